"""Cells that may say what was seen: columns of remarks, and words in columns that are for others."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.beheld import is_line_told, is_remark
from thermlog.reading.cellwords import no_wheel_word
from thermlog.reading.identities import without_identities
from thermlog.reading.observations import Remark
from thermlog.reading.positions.resolve import spot_of
from thermlog.reading.remarks.alarms import alarms_of, said_idle, said_stuck
from thermlog.reading.remarks.answered import answers_told, rare_answers
from thermlog.reading.remarks.doubted import doubt_told
from thermlog.reading.remarks.heatsaid import over_said
from thermlog.reading.remarks.measures import flat_told
from thermlog.reading.remarks.verdicts import asks_verdict, names_part

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from thermlog.reading.files.dialect import Records
    from thermlog.reading.plan import Plan
    from thermlog.words.columns import Role

# Read elsewhere, or names.
_NO_REMARKS: tuple[Role, ...] = ("time", "position", "axle", "side", "vehicle", "date")


def remarks_of_readings(
    columns: Sequence[Sequence[str]], lines: Iterable[int], plan: Plan
) -> Iterator[Remark]:
    """Remarks of a table with a row a reading."""
    lines = list(lines)
    for column, free, strict in _columns(plan):
        cells = columns[column]
        telling = _told_in(plan, column, cells, free=free, of_wheel=True)
        for k, text in enumerate(cells) if telling else ():
            if said := telling.get(text):
                yield Remark(line=lines[k], text=said, row=k, of_wheel=True, strict=strict)


def remarks_of_rows(
    records: Records, plan: Plan, reading_of: Mapping[int, int], *, of_wheel: bool
) -> Iterator[Remark]:
    """Remarks of a table with several readings a row; `reading_of` is one of each row."""
    for column, free, strict in _columns(plan):
        cells = [row[column] for row in records.rows]
        telling = _told_in(plan, column, cells, free=free, of_wheel=of_wheel)
        for k, text in enumerate(cells):
            if said := telling.get(text):
                yield Remark(
                    line=records.lines[k],
                    text=said,
                    row=reading_of.get(k),
                    of_wheel=of_wheel,
                    strict=strict,
                )


def remarks_without_reading(records: Records, plan: Plan, reading_of: Mapping[int, int]) -> Iterator[Remark]:
    """Rows that hold a line of words, and no temperature, in a table with several readings a row."""
    noted = {*plan.remarks, *plan.sights}
    for k, row in enumerate(records.rows):
        text = ", ".join(filter(None, (cell.strip() for j, cell in enumerate(row) if j not in noted)))
        if k not in reading_of and is_line_told(text):
            yield Remark(line=records.lines[k], text=text, row=None, of_wheel=False, strict=False)


def _columns(plan: Plan) -> Iterator[tuple[int, bool, bool]]:
    """Column, whether it is for something else than remarks, whether it is for what was seen alone."""
    yield from ((k, False, False) for k in plan.remarks)
    yield from ((k, False, True) for k in plan.sights)
    index, temps = plan.index, plan.temps
    known = {index[role] for role in _NO_REMARKS if role in index} | {k for k, _ in plan.time_parts}
    figures = {temp.index for temp in temps} | {temp.time_index for temp in temps}
    known |= {*plan.about.values(), *plan.remarks, *plan.sights}
    yield from ((k, True, False) for k in range(plan.width) if k not in known and k not in figures)


def _told_in(plan: Plan, column: int, cells: Sequence[str], *, free: bool, of_wheel: bool) -> dict[str, str]:
    """What the cells of a column say, cell by cell; those that say nothing are left out."""
    if not free:
        return {text: text for text in set(cells) if text.strip()}
    marks = _may_mark(plan, column, cells)
    told = {text: text for text in set(cells) if _says(text, marks=marks, of_wheel=of_wheel)}
    if of_wheel:
        told |= flat_told(plan.names[column], cells)
    asked = answers_told(plan.names[column], cells)
    if of_wheel and not asked:
        stated = _stated(plan.names[column], cells)
        told |= {text: said for text, said in stated.items() if not (text in told and over_said(text))}
    rare = rare_answers(cells) if asked and of_wheel else frozenset()
    alarming = {
        cell: said for cell, said in asked.items() if cell in rare or _alarms(said, of_wheel=of_wheel)
    }
    return told | alarming


def _stated(heading: str, cells: Sequence[str]) -> dict[str, str]:
    """What words say of the part, or of the wheel, that a heading names: "caliper" over "seized".

    Under a heading for a verdict ("status", "diagnosis") what few rows have is weighed, whatever it is.
    """
    told, rare, words = {}, rare_answers(cells), {text for text in cells if any(map(str.isalpha, text))}
    part, verdict = names_part(heading), asks_verdict(heading)
    for text in words if part or verdict else ():
        said, whole = text.strip(), f"{heading}: {text.strip()}"
        if part and _alarms(f"{heading} {said}", of_wheel=True):
            told[text] = f"{heading} {said}"
        elif verdict and _alarms(said, of_wheel=True):
            told[text] = said
        elif verdict and (text in rare or (len(words) > 1 and _alarms(whole, of_wheel=True))):
            told[text] = whole
    return told


def _alarms(said: str, *, of_wheel: bool) -> bool:
    """True for an answer that leaves something open at a wheel."""
    if is_remark(said) or said_stuck(said, at_wheel=of_wheel) or said_idle(said, at_wheel=of_wheel):
        return True
    return bool(alarms_of(said, at_wheel=of_wheel)) or doubt_told(said, at_wheel=of_wheel) is not None


def _may_mark(plan: Plan, column: int, cells: Sequence[str]) -> bool:
    """True where a cell may hold the gun's mark: the column is of no other quantity, and not all the same."""
    return not no_wheel_word(plan.names[column]) and len(set(cells)) > 1


def _says(text: str, *, marks: bool, of_wheel: bool) -> bool:
    """True if a cell of a column for something else says what is seen or felt, or is a mark of over range."""
    text = without_identities(text)
    if text.lower() == text.upper() or (text.isalpha() and spot_of(text) is not None):
        return False
    told = is_remark(text) or said_stuck(text) or said_idle(text)
    return (marks and over_said(text)) or told or (of_wheel and bool(alarms_of(text, at_wheel=True)))
