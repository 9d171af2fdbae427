"""Ranked list of a fleet -> text: what needs a look first on top, what could not be judged below."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.wording import (
    VERDICT_WORDS,
    Show,
    columned,
    corners_in_words,
    degrees,
    difference_with_range,
    percent,
    printable,
)
from thermlog.words.sentences import Page, on_page
from thermlog.words.vehicle import axle_words, corner_words
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.judging.fleetlist import FleetList, FleetRow
    from thermlog.reading.read import Unreadable

_MOST_NAMES = 12
_CAUTION = (
    "A screening result, not an inspection: hands-on checks and the judgement of a qualified person decide."
)


def fleet_text(fleet: FleetList, *, show: Show = "C", quiet: bool = False) -> str:
    """Text of a whole fleet.

    Parameters
    ----------
    fleet : FleetList
    show : {"C", "F"}
        Unit on paper.
    quiet : bool
        Only the list of what needs a look.
    """
    rows = fleet.ranked()
    odd = [row for row in rows if row.verdict in {"hot", "cold", "watch"}]
    if quiet:
        return "\n".join(_odd(odd, show)) + "\n"
    blocks = (
        [_counts(fleet)],
        _odd(odd, show),
        _untold([row for row in rows if row.cannot_tell], show),
        _titled("Unreadable", [_refusal(item) for item in fleet.unreadable]),
        _titled("Same content, judged once", [f"{item.file} = {item.same_as}" for item in fleet.duplicates]),
        [_CAUTION, _foot(rows)],
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _counts(fleet: FleetList) -> str:
    files = f"{len(fleet.unreadable)} unreadable, {len(fleet.duplicates)} of the same content as another"
    even = fleet.judged - fleet.flagged
    return f"{fleet.judged} drives judged: {fleet.flagged} ask for a look, {even} even | files: {files}"


def _odd(odd: Sequence[FleetRow], show: Show) -> list[str]:
    if not odd:
        return ["Nothing hot, cold or to watch."]
    head = ("", "unit", "drive", "place", f"left - right, {degrees(show)}", "finding", "some fault", "file")
    rows = [_odd_row(rank, row, show) for rank, row in enumerate(odd, start=1)]
    return ["Look at these first", *columned([head, *rows])]


def _odd_row(rank: int, row: FleetRow, show: Show) -> tuple[str, ...]:
    return (
        str(rank),
        printable(row.unit),
        row.drive or "-",
        _place(row),
        difference_with_range(row.difference_k, row.difference_interval_k, show),
        VERDICT_WORDS[row.verdict],
        percent(row.p_fault),
        printable(row.file),
    )


def _place(row: FleetRow) -> str:
    """The odd corner, else the corners of the pattern, else the axle whose odd side is open."""
    if row.corner is not None:
        hub = " hub" if row.pattern == "hub_hot" and row.verdict == "hot" else ""
        return corner_words(row.corner, row.axle_count) + hub
    if len(row.members) == 2 * row.axle_count:
        return "every brake"
    if row.members:
        return corners_in_words(row.members, row.axle_count)
    return "not known" if row.axle is None else f"{axle_words(row.axle, row.axle_count)}, side open"


def _untold(untold: Sequence[FleetRow], show: Show) -> list[str]:
    """Units that could not (or not wholly) be judged, gathered by what is missing (up to the colon)."""
    by_kind: dict[str, dict[str, str]] = {}
    for row in untold:
        for reason in on_page(row.cannot_tell, Page(unit=show, axle_count=row.axle_count)):
            by_kind.setdefault(reason.partition(":")[0], {})[row.unit] = reason
    units = {unit for reasons in by_kind.values() for unit in reasons}
    lines = [_missing(kind, reasons) for kind, reasons in by_kind.items()]
    return [f"Cannot tell ({len(units)})", *map(printable, lines)] if lines else []


def _missing(kind: str, reasons: dict[str, str]) -> str:
    """One thing that is missing, and where; one unit gets its whole reason, many are named up to a dozen."""
    names = list(reasons)
    if len(names) == 1:
        return f"  {names[0]}: {reasons[names[0]]}"
    more = len(names) - _MOST_NAMES
    rest = f" and {more} more (all are in --format csv)" if more > 0 else ""
    return f"  {kind}, {len(names)} units: {'; '.join(names[:_MOST_NAMES])}{rest}"


def _refusal(item: Unreadable) -> str:
    """File and reason; a reason that begins with the file says it once."""
    return item.reason if item.reason.startswith(item.file) else f"{item.file}: {item.reason}"


def _titled(title: str, lines: Sequence[str]) -> list[str]:
    return [f"{title} ({len(lines)})", *(f"  {printable(line)}" for line in lines)] if lines else []


def _foot(rows: Sequence[FleetRow]) -> str:
    policies = ", ".join(sorted({row.policy for row in rows}))
    return f"thermlog {__version__} | policy {printable(policies) or '-'}"
