"""Air temperature of each case of a log: stated for it, else measured in a column or rows of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from thermlog.reading.air import (
    Air,
    air_notes,
    column_air,
    measured_air,
    refuse_no_air,
    settle_air,
    stated_air,
)
from thermlog.reading.cells import count_words, shown
from thermlog.reading.headings import read_heading
from thermlog.reading.scale import temp_name
from thermlog.reading.sifted import Cases, LogRows, Sifted, StepResult
from thermlog.reading.wheelcodes import AIR_ROW
from thermlog.words.estimates import median
from thermlog.words.tables import SetAside


def case_airs(work: Sifted) -> StepResult[Sequence[Air]]:
    """Air temperature of each case."""
    airs, option = _stated(work, work.cases), work.asked.options.ambient_degc
    notes = [*_stated_notes(work)]
    if not _is_measured(work) or (option is None and all(air.degc is not None for air in airs)):
        return StepResult(found=airs, notes=notes)
    values = _measured(work, work.dropped)
    notes += _unread_notes(work, values)
    if option is not None:
        return StepResult(found=airs, notes=[*notes, *_beside_option(work, values)])
    where = "in the ambient column" if "ambient" in work.seen.extra else "in rows of their own"
    for row, air_degc in values.items():
        column, value = _air_cell(work, row)
        refuse_no_air(work.asked, air_degc, line=work.seen.line[row], column=column, value=value)
    for case, air in enumerate(airs):
        if air.degc is None and values:
            airs[case], own_notes = measured_air(_own_values(work.cases, case, values), where)
            notes += own_notes
    return StepResult(found=airs, notes=notes)


def _stated_notes(work: Sifted) -> Iterator[str]:
    for said in map(work.asked.statements.within, dict.fromkeys(work.cases.sections)):
        if said.ambient is not None:
            yield from air_notes(replace(work.asked, statements=said), work.temps.base)


def _unread_notes(work: Sifted, values: Mapping[int, float]) -> Iterator[str]:
    cells = work.seen.extra.get("ambient", ())
    if cells and (strange := sum(map(bool, map(str.strip, cells))) - len(values)):
        yield f"{count_words(strange, 'cell')} of the ambient column not used: no temperatures"


def airs_known(rows: LogRows, cases: Cases, dropped: Mapping[int, SetAside]) -> list[float | None]:
    """Air temperature of each case [°C], without a note or a refusal; None where nothing tells it."""
    stated = [air.degc for air in _stated(rows, cases)]
    if all(degc is not None for degc in stated) or not _is_measured(rows):
        return stated
    values = _measured(rows, dropped)
    if not values:
        return stated
    return [
        median(_own_values(cases, case, values)) if degc is None else degc for case, degc in enumerate(stated)
    ]


def _stated(rows: LogRows, cases: Cases) -> list[Air]:
    """What the option or the log states for each case."""
    said = map(rows.asked.statements.within, cases.sections)
    return [stated_air(one, rows.asked.options, rows.temps.base) for one in said]


def _is_measured(rows: LogRows) -> bool:
    return "ambient" in rows.seen.extra or (not rows.codes.clean and AIR_ROW in rows.code)


def _own_values(cases: Cases, case: int, values: Mapping[int, float]) -> list[float]:
    """What was measured in a case, else in the whole log."""
    own = [degc for row, degc in values.items() if cases.at(row) == case]
    return own or list(values.values())


def _beside_option(rows: LogRows, values: Mapping[int, float]) -> list[str]:
    """Note on the first air temperature of a column or row that is not the option's."""
    for row, air_degc in values.items():
        column, value = _air_cell(rows, row)
        if notes := settle_air(rows.asked, air_degc, line=rows.seen.line[row], column=column, value=value):
            return notes
    return []


def _air_cell(rows: LogRows, row: int) -> tuple[str, str]:
    """Column of an air temperature that was measured, and the cell."""
    seen, cells = rows.seen, rows.seen.extra.get("ambient")
    column = temp_name(seen, rows.asked.plan, row) if cells is None else rows.column("ambient")
    return column, shown((seen.temp if cells is None else cells)[row])


def _measured(rows: LogRows, dropped: Mapping[int, SetAside]) -> Mapping[int, float]:
    """Air temperatures in a column or rows of their own [°C], without those that were taken back."""
    cells = rows.seen.extra.get("ambient")
    if cells is not None:
        return column_air(cells, rows.temps, read_heading(rows.column("ambient")), rows.decimal)
    degc = rows.temps.degc.tolist()
    limits = rows.asked.options.limits
    low, high = limits.lowest_reading_degc, limits.highest_reading_degc
    back = {row for row, one in dropped.items() if one.code == "taken_back"}
    own = [row for row, code in enumerate(rows.code) if code == AIR_ROW and row not in back]
    return {row: degc[row] for row in own if low <= degc[row] <= high}
