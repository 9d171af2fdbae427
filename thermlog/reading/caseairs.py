"""Air temperature of each case of a log: stated for it, else measured in a column or rows of its own."""

from __future__ import annotations

from collections.abc import Mapping

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
from thermlog.reading.sifting import Sifting
from thermlog.reading.wheelcodes import AIR
from thermlog.words.estimates import median


def case_airs(work: Sifting) -> list[Air]:
    """Air temperature of each case."""
    section = [work.section(case) for case in range(len(work.keys))]
    told = [work.asked.statements.within(number) for number in section]
    for said in map(work.asked.statements.within, dict.fromkeys(section)):
        if said.ambient is not None:
            work.notes += air_notes(replace(work.asked, statements=said), work.temps.base)
    stated = [stated_air(said, work.asked.options, work.temps.base) for said in told]
    measured = _is_measured(work)
    if measured and work.asked.options.ambient_degc is not None:
        work.notes += _beside_option(work)
    if not measured or all(air.degc is not None for air in stated):
        return stated
    values = _noted_values(work)
    where = "in the ambient column" if "ambient" in work.seen.extra else "in rows of their own"
    for row, air_degc in values.items():
        column, value = _air_cell(work, row)
        refuse_no_air(work.asked, air_degc, line=work.seen.line[row], column=column, value=value)
    airs = []
    for case, own_air in enumerate(stated):
        if own_air.degc is not None:
            airs.append(own_air)
            continue
        air, notes = measured_air(_own_values(work, case, values), where) if values else (Air(), [])
        work.notes += notes
        airs.append(air)
    return airs


def airs_known(work: Sifting) -> list[float | None]:
    """Air temperature of each case [°C], without a note or a refusal; None where nothing tells it."""
    options, unit = work.asked.options, work.temps.base
    each = (work.asked.statements.within(work.section(case)) for case in range(len(work.keys)))
    stated = [stated_air(said, options, unit).degc for said in each]
    if all(degc is not None for degc in stated) or not _is_measured(work):
        return stated
    values = _measured_values(work)
    return [_of_case(work, case, values) if degc is None else degc for case, degc in enumerate(stated)]


def _is_measured(work: Sifting) -> bool:
    return "ambient" in work.seen.extra or (not work.codes.clean and AIR in work.code)


def _of_case(work: Sifting, case: int, values: Mapping[int, float]) -> float | None:
    own = _own_values(work, case, values)
    return median(own) if own else None


def _own_values(work: Sifting, case: int, values: Mapping[int, float]) -> list[float]:
    """What was measured in a case, else in the whole log."""
    own = [degc for row, degc in values.items() if work.is_of(row, case)]
    return own or list(values.values())


def _beside_option(work: Sifting) -> list[str]:
    """Note on the first air temperature of a column or row that is not the option's."""
    for row, air_degc in _noted_values(work).items():
        column, value = _air_cell(work, row)
        if notes := settle_air(work.asked, air_degc, line=work.seen.line[row], column=column, value=value):
            return notes
    return []


def _air_cell(work: Sifting, row: int) -> tuple[str, str]:
    """Column of an air temperature that was measured, and the cell."""
    seen, cells = work.seen, work.seen.extra.get("ambient")
    column = temp_name(seen, work.asked.plan, row) if cells is None else work.column("ambient")
    return column, shown((seen.temp if cells is None else cells)[row])


def _noted_values(work: Sifting) -> Mapping[int, float]:
    """What was measured, with a note on cells of the ambient column that are no temperatures."""
    values, cells = _measured_values(work), work.seen.extra.get("ambient", ())
    if cells and (strange := sum(map(bool, map(str.strip, cells))) - len(values)):
        work.notes.append(f"{count_words(strange, 'cell')} of the ambient column not used: no temperatures")
    return values


def _measured_values(work: Sifting) -> Mapping[int, float]:
    cells = work.seen.extra.get("ambient")
    if cells is not None:
        return column_air(cells, work.temps, read_heading(work.column("ambient")), work.decimal)
    degc = work.temps.degc.tolist()
    limits = work.asked.options.limits
    low, high = limits.lowest_reading_degc, limits.highest_reading_degc
    back = {row for row, one in work.dropped.items() if one.code == "taken_back"}
    own = [row for row, code in enumerate(work.code) if code == AIR and row not in back]
    rows = [row for row in own if low <= degc[row] <= high]
    return {row: degc[row] for row in rows}
