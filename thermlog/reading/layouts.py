"""Rows of a table to observations, one a reading, still as text; rows that fit no reading are set aside."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate, chain
from typing import TypeAlias

import numpy as np
from msgspec.structs import replace

from thermlog.reading.cells import number, plain_numbers
from thermlog.reading.files.dialect import Records
from thermlog.reading.locate import Table
from thermlog.reading.mergedcells import named_in_each
from thermlog.reading.observations import FigureBeside, Gap, Observations, joined_observations
from thermlog.reading.plan import Plan, TempColumn
from thermlog.reading.remarkcells import remarks_of_readings, remarks_of_rows, remarks_without_reading
from thermlog.reading.vocabulary import UNIT_S, TimeUnit
from thermlog.reading.weeding import Weeder
from thermlog.words.columns import BESIDE, Role
from thermlog.words.errors import LogRefusedError

# Words of each row for its wheel, and for its axle; None where a row names none.
_Named: TypeAlias = tuple[Sequence[str] | None, Sequence[str] | None]
_WALKED = 0.5  # share of the wheels with a reading that makes an empty cell a wheel passed over


def observe(table: Table, *, file: str) -> Observations:
    """All readings of a table.

    Parameters
    ----------
    table : Table
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        A cell is longer than the csv module takes.
    """
    try:
        tables = [*_table_by_table(table, file)]
    except csv.Error as fault:
        problem = f"cells cannot be told apart ({fault}); export the log as plain CSV"
        raise LogRefusedError(problem, code="row_shape", file=file) from None
    if len(tables) == 1:
        return tables[0]
    temps = [one.plan.temps for one in tables]
    shifts = accumulate(map(len, temps), initial=0)
    parts = [_shifted(one, shift) for one, shift in zip(tables, shifts, strict=False)]
    return joined_observations(parts, replace(table.plan, temps=tuple(chain.from_iterable(temps))))


def _shifted(seen: Observations, shift: int) -> Observations:
    """The readings of a table whose temperature columns are counted behind those of the tables before."""
    which = seen.which if seen.which is not None else [0] * len(seen.line)
    return replace(seen, which=[k + shift for k in which], numbers=None)


def _table_by_table(table: Table, file: str) -> Iterator[Observations]:
    first = table.plan
    while True:
        weeder = Weeder(table=table)
        yield _of_one_table(table, weeder)
        if weeder.next_table is None:
            return
        line, plan = weeder.next_table
        table = replace(table, plan=plan, start=table.after(line), header=plan.names)
        _refuse_unlike(first, plan, line, file)


def _of_one_table(table: Table, weeder: Weeder) -> Observations:
    plan = table.plan
    one_a_row = plan.layout == "long" and len(plan.temps) == 1 and not plan.names_parts
    parts = [
        _long(records, weeder, many=number > 0) if one_a_row else _many_a_row(records, weeder)
        for number, records in enumerate(table.blocks())
    ]
    seen = parts[0] if len(parts) == 1 else joined_observations(parts, plan)
    headers = [*weeder.repeats, *([weeder.next_table[0]] if weeder.next_table is not None else [])]
    return replace(seen, notes=(*seen.notes, *weeder.notes()), headers=headers)


def _refuse_unlike(first: Plan, second: Plan, line: int, file: str) -> None:
    """Refuse a second table whose times cannot stand on one line with those of the first."""
    told = [
        (_has_times(plan), plan.time_unit, plan.since_parked, plan.of_day, plan.digits, plan.countdown)
        for plan in (first, second)
    ]
    if told[0] != told[1]:
        problem = "a second header whose times are written otherwise; make one file of each table"
        raise LogRefusedError(problem, file=file, line=line, code="second_table")


def _has_times(plan: Plan) -> bool:
    return "time" in plan.index or any(t.time_index is not None or t.moment is not None for t in plan.temps)


# ---- a row a reading ------------------------------------------------------------------------------------


def _long(records: Records, weeder: Weeder, *, many: bool) -> Observations:
    """Readings of a block; `many` is True where others stand before them."""
    plan = weeder.table.plan
    temp_index = plan.temps[0].index
    records = _without_blanks(records)
    columns = weeder.plain_columns(records)
    numbers = plain_numbers(columns[temp_index]) if columns else None
    seen = Observations(plan=plan, numbers=numbers)
    if numbers is None:
        weeded = weeder.rows(records)
        records, columns = weeded.records, list(zip(*weeded.records.rows, strict=True))
        seen = replace(seen, set_aside=weeded.set_aside, strays=weeded.strays)
    if not columns:
        return seen
    times = _times(columns, plan) if _has_times(plan) else None
    wheels, notes = _wheels_of_rows(columns, plan, times)
    return replace(
        seen,
        line=records.lines,
        temp=_shared(columns[temp_index], many=many),
        position=_shared(wheels, many=many),
        time=times,
        extra={role: _shared(columns[plan.index[role]], many=many) for role in _roles_beside(plan)},
        about={role: _shared(columns[place], many=many) for role, place in plan.about.items()},
        remarks=[*remarks_of_readings(columns, records.lines, plan)],
        notes=notes,
        beside=[*_figures_beside(columns, plan, dict(enumerate(range(len(records.lines)))))]
        if plan.beside
        else (),
    )


def _wheels_of_rows(
    columns: Sequence[Sequence[str]], plan: Plan, times: Sequence[str] | None
) -> tuple[Sequence[str], list[str]]:
    """Words for the wheel of each row, and a note where cells are merged over several rows."""
    merged = plan.index.keys() & {"position", "axle", "side", "vehicle_part"} == {"axle", "side"}
    apart = (columns[plan.index["axle"]], columns[plan.index["side"]]) if merged else None
    timed = times if "time" in plan.index else None
    return named_in_each(_positions(columns, plan), timed, apart)


def _roles_beside(plan: Plan) -> list[Role]:
    """Roles of the columns beside those that every reading has."""
    return [role for role in BESIDE if role in plan.index or (role == "spot" and plan.names_parts)]


def _times(columns: Sequence[Sequence[str]], plan: Plan) -> Sequence[str]:
    """Time text of each row, put together where its parts have columns of their own."""
    if plan.time_parts:
        units = [unit for _, unit in plan.time_parts]
        parts = zip(*(columns[k] for k, _ in plan.time_parts), strict=True)
        return [_of_parts(cells, units) for cells in parts]
    times = columns[plan.index["time"]]
    if "half" in plan.index:
        return [f"{a} {b}".strip() for a, b in zip(times, columns[plan.index["half"]], strict=True)]
    return times


def _of_parts(cells: Sequence[str], units: Sequence[TimeUnit]) -> str:
    """One time of its hours, minutes and seconds; the cells as they stand if they are no numbers."""
    numbers = [number(cell or "0", "," if "," in cell else ".") for cell in cells]
    if None in numbers or not any(map(str.strip, cells)):
        return " ".join(filter(None, map(str.strip, cells)))
    total = sum((n or 0.0) * UNIT_S[unit] for n, unit in zip(numbers, units, strict=True))
    whole = int(total)
    rest = f"{total - whole:.6f}".rstrip("0").rstrip(".").removeprefix("0")
    if "h" not in units:
        return f"{whole // 60}:{whole % 60:02d}{rest}"
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}{rest}"


def _figures_beside(
    columns: Sequence[Sequence[str]], plan: Plan, reading_of: Mapping[int, int]
) -> Iterator[FigureBeside]:
    """Cells of figures beside the readings; `reading_of` is the reading of each row."""
    for column in plan.beside:
        for k, text in enumerate(columns[column.index]):
            if text.strip() and k in reading_of:
                yield FigureBeside(row=reading_of[k], text=text, column=column)


def _without_blanks(records: Records) -> Records:
    """Without the rows that comments among the readings left empty; they would hold up all the others."""
    if records.damaged or all(records.rows):
        return records
    kept = [index for index, row in enumerate(records.rows) if row]
    return Records(
        rows=[records.rows[index] for index in kept], lines=[records.lines[index] for index in kept]
    )


def _shared(cells: Sequence[str], *, many: bool) -> Sequence[str]:
    """Equal texts of a long file held once."""
    return list(map(sys.intern, cells)) if many else cells


def _positions(columns: Sequence[Sequence[str]], plan: Plan) -> Sequence[str]:
    """Position text of each row, put together where axle and side have columns of their own."""
    index = plan.index
    parts = [columns[index[role]] for role in ("vehicle_part", "position", "axle", "side") if role in index]
    if len(parts) == 1:
        return parts[0]
    if not parts:  # named on lines of their own
        return [""] * len(columns[0])
    return [" ".join(filter(None, map(str.strip, cells))) for cells in zip(*parts, strict=True)]


# ---- several readings a row -----------------------------------------------------------------------------


def _many_a_row(records: Records, weeder: Weeder) -> Observations:
    plan = weeder.table.plan
    weeded = weeder.rows(records)
    seen = Observations(plan=plan, set_aside=weeded.set_aside, strays=weeded.strays)
    lines, rows = weeded.records.lines, weeded.records.rows
    if not rows:
        return seen
    columns = list(zip(*rows, strict=True))
    placed, notes = _wheels_of_rows(columns, plan, _times(columns, plan) if "time" in plan.index else None)
    wheels = placed if plan.layout in {"rounds", "long"} else None
    axles = placed if plan.layout == "sides" else None
    taken = [*_readings_in_order(rows, plan)]
    reading_of = {k: number for number, (k, _) in reversed([*enumerate(taken)])}  # the first of each row
    each = [(rows[k], plan.temps[which]) for k, which in taken]
    one_by_one = plan.layout == "long"
    return replace(
        seen,
        line=[lines[k] for k, _ in taken],
        temp=[row[temp.index] for row, temp in each],
        position=[_wheel_of(k, plan.temps[which], (wheels, axles)) for k, which in taken],
        time=[_time_of(row, temp, plan) for row, temp in each] if _has_times(plan) else None,
        which=[which for _, which in taken],
        extra={role: [_cell_of(role, row, temp, plan) for row, temp in each] for role in _roles_beside(plan)},
        about={role: [row[place] for row, _ in each] for role, place in plan.about.items()},
        notes=notes,
        remarks=[
            *remarks_of_rows(weeded.records, plan, reading_of, of_wheel=wheels is not None),
            *remarks_without_reading(weeded.records, plan, reading_of),
        ],
        beside=[*_figures_beside(columns, plan, reading_of)] if one_by_one else (),
        gaps=() if one_by_one else [*_gaps(weeded.records, plan, (wheels, axles), reading_of)],
    )


def _wheel_of(row: int, temp: TempColumn, named: _Named) -> str:
    """Words for the wheel of a reading: those of its row, of its column, or of both."""
    wheels, axles = named
    if axles is not None:
        return f"{axles[row].strip()} {temp.wheel}"
    return temp.wheel if wheels is None else wheels[row]


def _lacks_all(row: Sequence[str], which: int, plan: Plan) -> bool:
    """True at the first column of a row about one wheel whose parts are all without a figure."""
    empty = not any(row[temp.index].strip() for temp in plan.temps)
    return plan.layout == "long" and which == 0 and empty


def _cell_of(role: Role, row: Sequence[str], temp: TempColumn, plan: Plan) -> str:
    """What stands beside a reading; the part of the wheel end that a column of temperatures names counts."""
    part = temp.spot if role == "spot" else None
    return part or (row[plan.index[role]] if role in plan.index else "")


def _gaps(records: Records, plan: Plan, named: _Named, reading_of: Mapping[int, int]) -> Iterator[Gap]:
    """Empty cells of moments at which half of the wheels or more have a reading; wheels never read."""
    wheels, axles = named
    filled = np.array([[bool(row[temp.index].strip()) for temp in plan.temps] for row in records.rows])
    moments = 1 if wheels is None else 0  # a row of the table is a moment, or a column is
    walked = filled.mean(axis=moments, keepdims=True) >= _WALKED
    for k, which in np.argwhere(~filled & walked).tolist():
        yield Gap(line=records.lines[k], wheel=_wheel_of(k, plan.temps[which], named), row=reading_of.get(k))
    if wheels is None and axles is None:
        for which in np.flatnonzero(~filled.any(axis=0)).tolist():
            yield Gap(line=records.lines[0], wheel=plan.temps[which].wheel, row=None, never=True)


def _readings_in_order(rows: Sequence[Sequence[str]], plan: Plan) -> Iterator[tuple[int, int]]:
    """Row and temperature column of each reading in the order in which they were taken."""
    for k, which in _cells_in_order(len(rows), plan):
        if rows[k][plan.temps[which].index].strip() or _lacks_all(rows[k], which, plan):
            yield k, which


def _cells_in_order(rows: int, plan: Plan) -> Iterator[tuple[int, int]]:
    if plan.layout == "rounds":
        return ((k, which) for which in range(len(plan.temps)) for k in range(rows))
    return ((k, which) for k in range(rows) for which in range(len(plan.temps)))


def _time_of(row: Sequence[str], temp: TempColumn, plan: Plan) -> str:
    if temp.time_index is not None:
        return row[temp.time_index]
    if temp.moment is not None:
        return temp.moment
    return _times([[cell] for cell in row], plan)[0] if "time" in plan.index else ""
