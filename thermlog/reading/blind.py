"""Readings that tell no temperature, and what was seen beside the readings, for each case of a log."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.beheld import said_of_remark
from thermlog.reading.cells import DecimalMark, beyond_figure, measured, number, shown
from thermlog.reading.cellwords import bare_letters, cell_words, no_wheel_word
from thermlog.reading.copied import copied_in
from thermlog.reading.figures import largest_figure
from thermlog.reading.identities import without_identities
from thermlog.reading.observations import Remark
from thermlog.reading.plan import cells_beside_wheel
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of, unlike_parts
from thermlog.reading.remarks.measures import without_quantities
from thermlog.reading.remarks.sights import (
    SEEN_HINT,
    Sight,
    Sights,
    nearest_sight,
    read_sights,
    told_sights,
)
from thermlog.reading.shownbeside import hides_hotter, hotter_shown, value_degc
from thermlog.reading.sifted import Sifted, StepResult
from thermlog.reading.spoken import (
    blind_of_remark,
    in_degc,
    named_corner,
    own_corner,
    resolved_corner,
    spot_tried,
)
from thermlog.reading.wheelcodes import BAD
from thermlog.words.errors import SetAsideCode
from thermlog.words.regular import regular
from thermlog.words.seenwords import OF_VEHICLE, SEEN_WORDS
from thermlog.words.tables import Blind, BlindCode, Seen, SetAside
from thermlog.words.units import Unit, to_degc

# What became of a reading -> what it is to a reader who looks for the wheels nobody knows about;
# None: no wheel's reading, or one that was used elsewhere.
_BLIND: dict[SetAsideCode, BlindCode | None] = {
    "over_range": "over_range", "under_range": "under_range", "no_value": "no_value", "by_hand": "no_value",
    "no_wheel": "unknown_wheel", "unknown_wheel": "unknown_wheel", "unclear_wheel": "unknown_wheel",
    "summary": None, "other_part": None, "air": None, "repeat": None, "taken_back": None,
    "before_parked": "before_parked",
}  # fmt: skip
_NO_FIGURE = frozenset({"not_a_number", "unit"})
_FIGURES = regular(r"\d+")


# ---- blind ----------------------------------------------------------------------------------------------


def blind_by_case(work: Sifted) -> list[tuple[Blind, ...]]:
    """Blind readings of each case, in order of lines.

    A reading of which vehicle or drive is not stated, though others of the log are, belongs to every case
    that it may be of.
    """
    found: list[list[Blind]] = [[] for _ in work.cases.keys]
    for row, one in _blind(work):
        for case in cases_of(work, row):
            found[case].append(one)
    return [tuple(sorted(dict.fromkeys(mine), key=lambda one: one.line)) for mine in found]


def _blind(work: Sifted) -> Iterator[tuple[int | None, Blind]]:
    for row, entry in work.dropped.items():
        if code := _code_of_cell(work, row, entry.code):
            yield (
                row,
                Blind(
                    code=code,
                    line=entry.line,
                    corner=entry.corner,
                    quoted=entry.value or "",
                    value_degc=_VALUES[code](work, row) if code in _VALUES else None,
                    spot=spot_tried(work, row) if code == "over_range" else None,
                ),
            )
    for entry, cells in stray_rows(work):
        if _holds_figures(cells, work):
            yield None, _of_stray(work, entry, cells)
    yield from _unread(work)
    if work.seen.beside:
        yield from hotter_shown(work)
    yield from copied_in(work)
    if work.seen.gaps:
        yield from _gaps(work)
    if work.temps.units:
        from thermlog.reading.unitalone import units_alone  # most logs state one unit

        yield from units_alone(work)


def _code_of_cell(work: Sifted, row: int, code: SetAsideCode) -> BlindCode | None:
    """What a row is that was not used; words where a temperature should stand may say that it was hot."""
    if code in _NO_FIGURE and largest_figure(work.seen.temp[row], work.decimal) is None:
        return "unread_cell"
    if code == "by_hand" and cell_words().by_hand.get(bare_letters(work.seen.temp[row])) == "hot":
        return "felt_hot"
    if code == "summary" and hides_hotter(work, row):
        return "unknown_wheel"
    if code == "unclear_wheel" and work.seen.position[row] in work.codes.doubted:
        return "set_aside"  # of a wheel that the log knows
    if no_wheel_word(work.seen.position[row], whole=True) == "summary" and code == "not_a_number":
        return None  # a formula: no reading of a wheel
    found = _BLIND.get(code, "set_aside")
    if found == "set_aside" and code == "spot" and unlike_parts(work.seen.extra["spot"][row]):
        found = "doubted"  # it may be the hub
    return "unknown_wheel" if found in {"set_aside", "doubted"} and work.code[row] == BAD else found


def _unread(work: Sifted) -> Iterator[tuple[int | None, Blind]]:
    """What was seen, stated where nothing else is stated, in words nobody knows."""
    stated = [(None, one.line, one.text) for one in work.asked.statements.seen]
    cells = [(one.row, one.line, one.text) for one in work.seen.remarks if one.strict]
    for row, line, text in (*stated, *cells):
        for words in read_sights(text).strange:
            yield row, Blind(code="unread_sight", line=line, quoted=shown(words, 60))
    for one in work.seen.remarks:
        if not one.strict:
            yield from ((one.row, blind) for blind in blind_of_remark(work, one))


def _beyond_degc(work: Sifted, row: int) -> float | None:
    """The figure of ">500" [°C]; None where there is none, or its unit is not known."""
    figure = measured(beyond_figure(work.seen.temp[row]), work.decimal)
    return None if figure.problem else in_degc(work, row, figure.value, figure.unit)


_VALUES: dict[BlindCode, Callable[[Sifted, int], float | None]] = {
    "unknown_wheel": value_degc,
    "set_aside": value_degc,
    "before_parked": value_degc,
    "over_range": _beyond_degc,
}


def _of_stray(work: Sifted, entry: SetAside, cells: Sequence[str]) -> Blind:
    """A row of another shape; its temperature is a number that is sure to be none of its times."""
    told = _of_temperature(work, cells) if entry.corner else ()
    code, value, unit = _of_cells(told, work.decimal)
    unit = unit or work.temps.base
    return Blind(
        code=code,
        line=entry.line,
        corner=entry.corner,
        quoted=entry.value or "",
        value_degc=None if value is None or unit is None else float(to_degc(value, unit)),
    )


def _of_cells(told: Sequence[str], decimal: DecimalMark) -> tuple[BlindCode, float | None, Unit | None]:
    """What cells that may hold its temperature say, with the unit stated there; else words in its place."""
    found = [measured(cell, decimal) for cell in told]
    cell = next((one for one in found if not one.problem or one.code == "over_range"), None)
    if cell is not None:
        return ("over_range", None, None) if cell.problem else ("set_aside", cell.value, cell.unit)
    if not found or found[0].code not in _NO_FIGURE:
        return "set_aside", None, None
    figure = largest_figure(told[0], decimal)
    return "unread_cell" if figure is None else "set_aside", figure, None


def _of_temperature(work: Sifted, cells: Sequence[str]) -> Sequence[str]:
    """Cells of such a row that may hold its temperature, the likeliest first."""
    plan = work.asked.plan
    if plan.layout == "rounds" and all(temp.time_index is None for temp in plan.temps):
        return cells[::-1]
    if plan.layout != "long" or "position" not in plan.index:
        return ()
    place = plan.temps[0].index
    if len(cells) > plan.width:
        return cells[place], *cells[:place:-1]
    wheel = next(k for k, cell in enumerate(cells) if _code_of(work, cell) >= 0)
    beside = cells_beside_wheel(cells, wheel, plan)
    return [beside[place]] if place in beside else ()


def _code_of(work: Sifted, cell: str) -> int:
    return work.codes.of.get(cell, work.codes.of.get(cell.strip(), -1))


def _gaps(work: Sifted) -> Iterator[tuple[int | None, Blind]]:
    """Wheels passed over, and columns of wheels nobody read.

    Single empty cells count on axles that were walked to; elsewhere the whole column tells.
    """
    walked = {int(work.codes.axle[code]) for code in set(work.code) if code >= 0}
    for gap in work.seen.gaps:
        code = work.codes.of[gap.wheel]
        if code >= 0 and (gap.never or int(work.codes.axle[code]) in walked):
            yield gap.row, Blind(code="no_value", line=gap.line, corner=work.codes.corner(code))


def stray_rows(work: Sifted) -> list[tuple[SetAside, Sequence[str]]]:
    """Rows of another shape with their cells; where one wheel of the file is named its corner is entered."""
    found = []
    for entry, cells in zip(work.seen.set_aside, work.seen.strays, strict=True):
        codes = {_code_of(work, cell) for cell in cells}
        corners = {work.codes.corner(code) for code in codes} - {None}
        alone = corners.pop() if len(corners) == 1 else None
        found.append((replace(entry, corner=alone), cells))
    return found


def _holds_figures(cells: Sequence[str], work: Sifted) -> bool:
    """True if a row of another shape may be a reading; a line of words is a remark."""
    named = any(number(cell, work.decimal) is not None or cell in work.codes.of for cell in cells)
    text = without_identities(" ".join(cells))
    if not any(map(looks_like_position, tokens_of(text))):
        text = without_quantities(text)
    figures = _FIGURES.findall(text)
    if len(text.split()) - len(figures) > 1:  # "page 1 of 2"
        figures = [figure for figure in figures if len(figure) > 1]
    return named or len(figures) > 1 or (bool(figures) and looks_like_position(_FIGURES.sub(" ", text)))


def cases_of(work: Sifted, row: int | None) -> Sequence[int]:
    """Cases a row may belong to; all where there is none."""
    keys = work.cases.keys
    if row is None or work.cases.of_row is None:
        return range(len(keys))
    key = keys[work.cases.at(row)]
    return [
        index
        for index, other in enumerate(keys)
        if key.vehicle in {None, other.vehicle} and key.drive in {None, other.drive}
    ]


# ---- seen -----------------------------------------------------------------------------------------------


class _Beheld(Struct, frozen=True, kw_only=True):
    """What is said at one place to have been seen, there where no wheel is named; and what to say of it."""

    row: int | None = None
    corner: str | None = None
    found: Sequence[Sight] = ()
    notes: Sequence[str] = ()


def beheld_by_case(work: Sifted) -> StepResult[Sequence[tuple[Seen, ...]]]:
    """What header comments, the option, columns of remarks and lines beside the table say was seen."""
    by_case: list[list[Seen]] = [[] for _ in work.cases.keys]
    notes: list[str] = []
    for one in _beheld(work):
        notes += one.notes
        for sight in one.found:
            named = named_corner(work, sight.place) if sight.place else None
            if sight.place and named is None:
                place = shown(sight.place.lower(), 40)
                notes.append(f'seen: {sight.code} at "{place}", which names no wheel known here')
            corner = None if sight.code in OF_VEHICLE else named or one.corner
            for case in cases_of(work, one.row):
                by_case[case].append(Seen(code=sight.code, corner=corner))
    return StepResult(found=[tuple(dict.fromkeys(mine)) for mine in by_case], notes=notes)


def _beheld(work: Sifted) -> Iterator[_Beheld]:
    for text in work.asked.options.seen:
        yield _Beheld(found=read_sights(text).found)
    for said in work.asked.statements.seen:
        sights = read_sights(said.text)
        yield _Beheld(found=sights.found, notes=[*_strange(sights, said.line)])
    for remark in work.seen.remarks:
        yield _in_remark(work, remark)
    for row, entry in work.dropped.items():
        written = [one[row] for one in (work.seen.temp, work.seen.position, work.seen.time) if one]
        told = [sight for cell in written for sight in _told(work, cell)]
        if entry.code == "over_range":  # "burning hot" is no flame
            told = [sight for sight in told if sight.code != "flame"]
        yield _Beheld(row=row, corner=entry.corner, found=told)
    for entry, cells in stray_rows(work):
        both = _told(work, " ".join(cells)) or _told(work, ", ".join(cells))  # "smoked before", "not now"
        yield _Beheld(corner=entry.corner, found=both)


def _told(work: Sifted, text: str) -> list[Sight]:
    """Sights in a remark; a place counts if it is one by the words of the file."""
    found = told_sights(text)
    return [sight if resolved_corner(work, sight.place) else replace(sight, place="") for sight in found]


def _in_remark(work: Sifted, remark: Remark) -> _Beheld:
    row, corner = remark.row, own_corner(work, remark)
    if remark.strict:
        sights = read_sights(remark.text)
        return _Beheld(row=row, corner=corner, found=sights.found, notes=[*_strange(sights, remark.line)])
    found = _told(work, remark.text)
    return _Beheld(row=row, corner=corner, found=found, notes=_taken(found, remark) if found else ())


def _taken(found: Sequence[Sight], remark: Remark) -> list[str]:
    """Which words of a remark were taken for what, and what to do if it was not so."""
    said = shown(said_of_remark(remark.text), 60)
    taken = " and ".join(dict.fromkeys(SEEN_WORDS[sight.code] for sight in found))
    return [
        f'line {remark.line}: "{said}" is taken for {taken}; only if it was not so on this drive, write '
        "in that line what was, and check the log again"
    ]


def _strange(sights: Sights, line: int) -> Iterator[str]:
    """Notes on words that nobody knows, where nothing but what was seen is stated."""
    for words in sights.strange:
        near = nearest_sight(words)
        guess = f"did you mean {near}? " if near else ""
        yield f'line {line}: "{shown(words, 60)}" is nothing thermlog knows as seen; {guess}{SEEN_HINT}'
