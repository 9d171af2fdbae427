"""Ranked list of a fleet -> text: what needs a look first on top, what could not be judged below."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reports.wording import (
    Show,
    columned,
    corners_in_words,
    degrees,
    difference_with_range,
    percent,
    printable,
)
from thermlog.words.kinds import fault_kind
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.sentences import Page, capital, on_page
from thermlog.words.vehicle import axle_words, corner_words
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from thermlog.fleet.fleetlist import FleetList, FleetRow, LearnedSkins, Standing
    from thermlog.words.findings import AnswerWord, UrgentCode
    from thermlog.words.reasons import Reason

_MOST_NAMES = 12
_CAUTION = (
    "A screening result, not an inspection: hands-on checks and the judgement of a qualified person decide."
)
# The most pressing first.
_STANDINGS: dict[Standing, str] = {
    "urgent": "urgent",
    "yes": "with a brake that drags or does not work",
    "watch": "to watch",
    "cannot_tell": "undecided",
}
_DRAG_WORDS: dict[AnswerWord, str] = {
    "yes": "DRAGS", "watch": "watch", "no": "no", "cannot_tell": "cannot tell",
}  # fmt: skip
_IDLE_WORDS: dict[AnswerWord, str] = _DRAG_WORDS | {"yes": "DEAD"}
_HEAT_WORDS: dict[AnswerWord, str] = _DRAG_WORDS | {"yes": "ALL HOT"}
_URGENT_WORDS: dict[UrgentCode, str] = {
    "brake_hot": "brake", "hub_hot": "hub", "hub_over_mate": "hub", "hub_over_brake": "hub",
    "tyre_hot": "tyre", "rim_hot": "rim", "caliper_hot": "caliper", "smoke": "smoke", "glow": "glow",
    "flame": "flame", "smell": "smell", "sparks": "sparks", "steam": "steam", "burst": "burst tyre",
    "grease": "grease", "over_range": "above the gun's range",
}  # fmt: skip
_QUESTIONS = {
    "drag": "whether a brake drags",
    "idle": "whether every brake works",
    "heat": "whether the whole vehicle is hot",
}


def fleet_text(fleet: FleetList, *, show: Show = "C", quiet: bool = False) -> str:
    """Text of a whole fleet.

    Parameters
    ----------
    fleet : FleetList
    show : {"C", "F"}
        Unit on paper.
    quiet : bool
        Only the totals, the list of what needs a look, and files that cannot be read.
    """
    rows = fleet.ranked()
    pressing = [row for row in rows if row.standing in {"urgent", "yes", "watch"}]
    look = _pressing(pressing, show) if rows else ["Nothing was judged."]
    unreadable = _titled("Unreadable", [item.reason for item in fleet.unreadable])
    if quiet:
        return _paged([_counts(fleet, rows)], look, unreadable)
    return _paged(
        [_counts(fleet, rows), *([skins_words(fleet.skins)] if fleet.skins else [])],
        look,
        _untold(rows, show),
        unreadable,
        _titled("Same content, judged once", [f"{item.file} = {item.same_as}" for item in fleet.duplicates]),
        [_CAUTION, _foot(rows)],
    )


def _paged(*blocks: list[str]) -> str:
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def skins_words(skins: LearnedSkins) -> str:
    """What a fleet taught about the surfaces of its vehicles, and how to do without."""
    return (
        f"surfaces: learned from {skins.logs} of these logs: {100.0 * skins.even_share:.0f} % of vehicles "
        "have brakes that look alike; --skins assumed turns this off"
    )


def _counts(fleet: FleetList, rows: Sequence[FleetRow]) -> str:
    """How many drives ask for a look, and for which; a drive of several lines counts once."""
    files = f"{len(fleet.unreadable)} unreadable, {len(fleet.duplicates)} of the same content as another"
    if not rows:
        return f"0 drives judged | files: {files}"
    drives = Counter({_drive(row): row.standing for row in rows}.values())
    parts = ", ".join(f"{drives[one]} {words}" for one, words in _STANDINGS.items() if drives[one])
    asked = f"{fleet.flagged} ask for a look" + (f" ({parts})" if parts else "")
    return f"{fleet.judged} drives judged: {asked}, {fleet.judged - fleet.flagged} clear | files: {files}"


def _drive(row: FleetRow) -> tuple[str, str, str | None]:
    return row.unit, row.file, row.drive


def _pressing(rows: Sequence[FleetRow], show: Show) -> list[str]:
    if not rows:
        return ["Nothing urgent, no brake that drags or does nothing, none to watch."]
    gap = f"left - right, {degrees(show)}"
    head = ("", "unit", "drive", "place", gap, "one drags?", "one is dead?", "p drags", "also", "file")
    lines = [_pressing_row(rank, row, show) for rank, row in enumerate(rows, start=1)]
    return ["Look at these first", *columned([head, *lines])]


def _pressing_row(rank: int, row: FleetRow, show: Show) -> tuple[str, ...]:
    return (
        str(rank),
        printable(row.unit),
        row.drive or "-",
        _place(row),
        difference_with_range(row.finding.difference_k, show),
        _DRAG_WORDS[row.drag],
        _IDLE_WORDS[row.idle],
        percent(row.p_drag),
        _also(row),
        printable(row.file),
    )


def _also(row: FleetRow) -> str:
    """What stops the vehicle, and whether all of it is hot."""
    parts = dict.fromkeys(_URGENT_WORDS[code] for code in row.urgent)
    stop = [f"STOP: {', '.join(parts)}"] if parts else []
    heat = [] if row.heat in {"no", "cannot_tell"} else [f"all brakes hot: {_HEAT_WORDS[row.heat]}"]
    return "; ".join([*stop, *heat]) or "-"


def _place(row: FleetRow) -> str:
    """The odd corner, else the corners of the pattern, else the axle whose odd side is open."""
    axle = row.finding
    if axle.suspect is not None:
        hub = " hub" if fault_kind(row.pattern).shown_by == "hub" and axle.verdict == "hot" else ""
        return corner_words(axle.suspect, row.axle_count) + hub
    if len(row.members) == 2 * row.axle_count:
        return "every brake"
    if row.members:
        return corners_in_words(row.members, row.axle_count)
    if axle.verdict in {"even", "cannot_tell"}:
        return "-"
    return f"{axle_words(axle.axle, row.axle_count)}, side open" if axle.axle else "not known"


def _untold(rows: Sequence[FleetRow], show: Show) -> list[str]:
    """Drives that could not (or not wholly) be judged: by the question, then by what stands in the way."""
    files = Counter(unit for unit, _ in {(row.unit, row.file) for row in rows})
    shared = {unit for unit, count in files.items() if count > 1}
    table: dict[str, dict[tuple[str, str | None], dict[tuple[str, str, str | None], FleetRow]]] = {}
    for row in (row for row in rows if row.cannot_tell):
        cause = (row.cannot_tell[0].code, row.decides.code if row.decides else None)
        table.setdefault(_open_questions(row), {}).setdefault(cause, {})[_drive(row)] = row
    lines = []
    for questions, causes in table.items():
        count = sum(map(len, causes.values()))
        lines += [f"Cannot tell {questions} ({count})"]
        lines += [printable(line) for alike in causes.values() for line in _missing(alike, shared, show)]
    return lines


def _open_questions(row: FleetRow) -> str:
    answers = {"drag": row.drag, "idle": row.idle, "heat": row.heat}
    still = [name for name, word in answers.items() if word == "cannot_tell"]
    if len(still) > 1 and "heat" in still:
        still.remove("heat")  # what leaves a brake open leaves the whole vehicle open too
    return " and ".join(_QUESTIONS[name] for name in still)


def _missing(
    rows: Mapping[tuple[str, str, str | None], FleetRow], shared: Collection[str], show: Show
) -> list[str]:
    """What stands in the way and what to do: of one drive in full, of many once, named up to a dozen.

    A unit whose name several files share is named with its file.
    """
    first, *others = rows.values()
    names = [f"{row.unit} ({row.file})" if row.unit in shared else row.unit for row in rows.values()]
    page = Page(unit=show, axle_count=first.axle_count)
    if not others:
        said = "; ".join(_spoken(first.cannot_tell, page))
        return [f"  {names[0]}: {said}", *_to_do(first.decides, page)]
    more = len(names) - _MOST_NAMES
    rest = f" and {more} more (all are in --format csv)" if more > 0 else ""
    (cause,) = _spoken([_in_general(first.cannot_tell[0])], page)
    named = f"  {capital(cause)}, {len(names)} units: {'; '.join(names[:_MOST_NAMES])}{rest}"
    return [named, *_to_do(first.decides and _in_general(first.decides), page)]


def _to_do(step: Reason | None, page: Page) -> list[str]:
    return [f"    {text}" for text in _spoken([step] if step else [], page)]


def _spoken(reasons: Iterable[Reason], page: Page) -> list[str]:
    return [on_page(reason_sentence(reason), page) for reason in reasons]


def _in_general(reason: Reason) -> Reason:
    """The same without the corners and numbers of one vehicle."""
    return replace(reason, corners=(), numbers={}, quoted="")


def _titled(title: str, lines: Sequence[str]) -> list[str]:
    return [f"{title} ({len(lines)})", *(f"  {printable(line)}" for line in lines)] if lines else []


def _foot(rows: Sequence[FleetRow]) -> str:
    policies = ", ".join(sorted({row.policy for row in rows}))
    return f"thermlog {__version__} | policy {printable(policies) or '-'}"
