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


def case_airs(work: Sifting) -> list[Air]:
    """Air temperature of each case."""
    section = [work.section(case) for case in range(len(work.keys))]
    told = [work.asked.statements.within(number) for number in section]
    for said in map(work.asked.statements.within, dict.fromkeys(section)):
        if said.ambient is not None:
            work.notes += air_notes(replace(work.asked, statements=said), work.temps.base)
    stated = [stated_air(said, work.asked.options, work.temps.base) for said in told]
    measured = "ambient" in work.seen.extra or (not work.codes.clean and AIR in work.code)
    if measured and work.asked.options.ambient_degc is not None:
        work.notes += _beside_option(work)
    if not measured or all(air.degc is not None for air in stated):
        return stated
    values, where = _measured_values(work)
    for row, air_degc in values.items():
        column, value = _air_cell(work, row)
        refuse_no_air(work.asked, air_degc, line=work.seen.line[row], column=column, value=value)
    airs = []
    for case, own_air in enumerate(stated):
        if own_air.degc is not None:
            airs.append(own_air)
            continue
        own = [degc for row, degc in values.items() if work.case is None or work.case[row] == case]
        air, notes = measured_air(own or list(values.values()), where) if values else (Air(), [])
        work.notes += notes
        airs.append(air)
    return airs


def _beside_option(work: Sifting) -> list[str]:
    """Note on the first air temperature of a column or row that is not the option's."""
    for row, air_degc in _measured_values(work)[0].items():
        column, value = _air_cell(work, row)
        if notes := settle_air(work.asked, air_degc, line=work.seen.line[row], column=column, value=value):
            return notes
    return []


def _air_cell(work: Sifting, row: int) -> tuple[str, str]:
    """Column of an air temperature that was measured, and the cell."""
    seen, cells = work.seen, work.seen.extra.get("ambient")
    column = temp_name(seen, work.asked.plan, row) if cells is None else work.column("ambient")
    return column, shown((seen.temp if cells is None else cells)[row])


def _measured_values(work: Sifting) -> tuple[Mapping[int, float], str]:
    cells = work.seen.extra.get("ambient")
    if cells is not None:
        values = column_air(cells, work.temps, read_heading(work.column("ambient")), work.decimal)
        if strange := sum(map(bool, map(str.strip, cells))) - len(values):
            work.notes.append(
                f"{count_words(strange, 'cell')} of the ambient column not used: no temperatures"
            )
        return values, "in the ambient column"
    degc = work.temps.degc.tolist()
    limits = work.asked.options.limits
    low, high = limits.lowest_reading_degc, limits.highest_reading_degc
    back = {row for row, one in work.dropped.items() if one.code == "taken_back"}
    own = [row for row, code in enumerate(work.code) if code == AIR and row not in back]
    rows = [row for row in own if low <= degc[row] <= high]
    return {row: degc[row] for row in rows}, "in rows of their own"
