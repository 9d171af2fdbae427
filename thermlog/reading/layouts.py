"""Rows of a table to observations, one a reading, still as text; rows that fit no reading are set aside."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

import numpy as np
from msgspec.structs import replace

from thermlog.reading.cells import number, plain_numbers
from thermlog.reading.dialect import Records
from thermlog.reading.locate import Table
from thermlog.reading.mergedcells import filled_down
from thermlog.reading.observations import FigureBeside, Gap, Observations, joined_observations
from thermlog.reading.plan import Plan, TempColumn
from thermlog.reading.remarks import remarks_of_readings, remarks_of_rows, remarks_without_reading
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
        seen, weeder = _of_one_table(table)
        plans = [table.plan]
        while weeder.next_table is not None:
            line, plan = weeder.next_table
            table = replace(table, plan=plan, start=table.after(line), header=plan.names)
            _refuse_unlike(plans[0], plan, line, file)
            fresh, weeder = _of_one_table(table)
            seen = joined_observations(seen, fresh, shift=sum(len(plan.temps) for plan in plans))
            plans.append(plan)
    except csv.Error as fault:
        problem = f"cells cannot be told apart ({fault}); export the log as plain CSV"
        raise LogRefusedError(problem, code="row_shape", file=file) from None
    if len(plans) > 1:
        seen.plan = replace(plans[0], temps=tuple(temp for plan in plans for temp in plan.temps))
    return seen


def _of_one_table(table: Table) -> tuple[Observations, Weeder]:
    weeder = Weeder(table=table)
    seen = Observations(
        extra={role: [] for role in BESIDE if role in table.plan.index or _names_parts(role, table.plan)},
        about={role: [] for role in table.plan.about},
    )
    if _has_times(table.plan):
        seen.time = []
    one_a_row = table.plan.layout == "long" and len(table.plan.temps) == 1 and not table.plan.names_parts
    if not one_a_row:
        seen.which = []
    take = _long if one_a_row else _many_a_row
    for records in table.blocks():
        take(records, weeder, seen)
    seen.notes += weeder.notes()
    seen.headers = weeder.repeats + ([weeder.next_table[0]] if weeder.next_table is not None else [])
    return seen, weeder


def _names_parts(role: Role, plan: Plan) -> bool:
    return role == "spot" and plan.names_parts


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


def _long(records: Records, weeder: Weeder, seen: Observations) -> None:
    plan = weeder.table.plan
    temp_index = plan.temps[0].index
    records = _without_blanks(records)
    columns = weeder.plain_columns(records)
    numbers = plain_numbers(columns[temp_index]) if columns else None
    if numbers is None:
        records = weeder.rows(records, seen)
        columns = list(zip(*records.rows, strict=True))
        seen.numbers = None
    elif seen.numbers is not None:
        seen.numbers += numbers
    if not columns:
        return
    many, first = bool(seen.line), len(seen.line)
    seen.line += records.lines
    seen.temp += _shared(columns[temp_index], many=many)
    seen.position += _shared(_wheels_of_rows(columns, plan, seen), many=many)
    if seen.time is not None:
        seen.time += _times(columns, plan)
    for role, cells in seen.extra.items():
        cells.extend(_shared(columns[plan.index[role]], many=many))
    for role, cells in seen.about.items():
        cells.extend(_shared(columns[plan.about[role]], many=many))
    seen.remarks += remarks_of_readings(columns, records.lines, plan, first=first)
    if plan.beside:
        seen.beside += _figures_beside(columns, plan, dict(enumerate(range(first, len(seen.line)))))


def _wheels_of_rows(columns: Sequence[Sequence[str]], plan: Plan, seen: Observations) -> Sequence[str]:
    """Words for the wheel of each row; a wheel that stands once over its readings is written beside each."""
    wheels = _positions(columns, plan)
    if seen.time is None or "" not in wheels or plan.index.keys() & {"axle", "side", "vehicle_part"}:
        return wheels
    filled = filled_down(wheels, _times(columns, plan))
    if filled is None:
        return wheels
    seen.notes.append("a wheel stands once over its readings, and is taken for all of them")
    return filled


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


def _many_a_row(records: Records, weeder: Weeder, seen: Observations) -> None:
    plan = weeder.table.plan
    seen.numbers = None
    records = weeder.rows(records, seen)
    if not records.rows:
        return
    columns = list(zip(*records.rows, strict=True))
    placed = _positions(columns, plan) if plan.layout in {"rounds", "long", "sides"} else None
    wheels, axles = (None, placed) if plan.layout == "sides" else (placed, None)
    reading_of: dict[int, int] = {}
    for k, which in _reading_order(len(records.rows), plan):
        row, temp = records.rows[k], plan.temps[which]
        if not row[temp.index].strip() and not _lacks_all(row, which, plan):
            continue
        reading_of.setdefault(k, len(seen.line))
        seen.line.append(records.lines[k])
        seen.temp.append(row[temp.index])
        seen.position.append(_wheel_of(k, temp, (wheels, axles)))
        if seen.which is not None:
            seen.which.append(which)
        if seen.time is not None:
            seen.time.append(_time_of(row, temp, plan))
        _beside(row, temp, plan, seen)
    seen.remarks += remarks_of_rows(records, plan, reading_of, of_wheel=wheels is not None)
    seen.remarks += remarks_without_reading(records, plan, reading_of)
    if plan.layout == "long":
        seen.beside += _figures_beside(columns, plan, reading_of)
    else:
        seen.gaps += _gaps(records, plan, (wheels, axles), reading_of)


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


def _beside(row: Sequence[str], temp: TempColumn, plan: Plan, seen: Observations) -> None:
    for role, cells in seen.extra.items():
        part = temp.spot if role == "spot" else None
        cells.append(part or (row[plan.index[role]] if role in plan.index else ""))
    for role, cells in seen.about.items():
        cells.append(row[plan.about[role]])


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


def _reading_order(rows: int, plan: Plan) -> Iterator[tuple[int, int]]:
    """Row and temperature column of each reading in the order in which they were taken."""
    if plan.layout == "rounds":
        return ((k, which) for which in range(len(plan.temps)) for k in range(rows))
    return ((k, which) for k in range(rows) for which in range(len(plan.temps)))


def _time_of(row: Sequence[str], temp: TempColumn, plan: Plan) -> str:
    if temp.time_index is not None:
        return row[temp.time_index]
    if temp.moment is not None:
        return temp.moment
    return _times([[cell] for cell in row], plan)[0] if "time" in plan.index else ""
