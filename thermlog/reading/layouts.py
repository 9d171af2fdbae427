"""Rows of a table to observations, one a reading, still as text; rows that fit no reading are set aside."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.reading.cells import count_words, number, plain_numbers, shown
from thermlog.reading.columns import plan_columns
from thermlog.reading.dialect import Records
from thermlog.reading.locate import Table
from thermlog.reading.observations import Gap, HighestShown, Observations, joined_observations
from thermlog.reading.plan import Plan, TempColumn, cells_beside_wheel
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.remarks import remarks_of_readings, remarks_of_rows
from thermlog.reading.vocabulary import UNIT_S, TimeUnit
from thermlog.words.columns import BESIDE, Role
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular
from thermlog.words.tables import SetAside

_RULE = regular(r"\s*[-=+:_*|—–]{2,}\s*")
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


def _of_one_table(table: Table) -> tuple[Observations, _Weeder]:
    weeder = _Weeder(table=table)
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


# ---- rows that are no readings --------------------------------------------------------------------------


class _Weeder(Struct, kw_only=True):
    """Takes out blank rows, repeated headers, rows of another width, and whatever follows a second header."""

    table: Table
    repeats: list[int] = field(default_factory=list)
    next_table: tuple[int, Plan] | None = None

    def plain_columns(self, records: Records) -> list[tuple[str, ...]]:
        """Columns of a block in which every row has the table's width and nothing else is odd; else none."""
        if self.next_table is not None or records.damaged:
            return []
        try:
            columns = list(zip(*records.rows, strict=True))
        except ValueError:
            return []
        return columns if len(columns) == self.table.plan.width else []

    def rows(self, records: Records, seen: Observations) -> Records:
        """Rows of a block that have the table's shape; the others go to ``seen.set_aside``."""
        width = self.table.plan.width
        kept, lines = [], []
        for index, row in enumerate(records.rows):
            if _is_rule(row):
                continue
            line = records.lines[index]
            problem = records.damaged.get(index) or self._problem(row, line)
            if problem is None:
                kept.append(row if len(row) == width else self._fitted(row))
                lines.append(line)
            elif problem:
                text = shown(" | ".join(row))
                entry = SetAside(line=line, column=None, value=text, reason=problem, code="row_shape")
                seen.set_aside.append(entry)
                seen.strays.append(row)
        return Records(rows=kept, lines=lines)

    def _fitted(self, row: list[str]) -> list[str]:
        width = self.table.plan.width
        if self._is_long_remark(row):
            return [*row[: width - 1], ", ".join(cell.strip() for cell in row[width - 1 :] if cell.strip())]
        return row[:width] + [""] * (width - len(row))

    def _is_long_remark(self, row: Sequence[str]) -> bool:
        """True where the last column is for remarks, and words with a delimiter between them stand there.

        A figure among them may be the rest of a decimal comma.
        """
        plan = self.table.plan
        words = row[plan.width - 1 :]
        last_is_words = bool(words) and not any(c.isdigit() for cell in words for c in cell)
        return last_is_words and plan.width - 1 in plan.remarks

    def _problem(self, row: list[str], line: int) -> str | None:
        """Why a row is no row of the table; empty if it is one not worth a word; None if it is one."""
        plan = self.table.plan
        if self.next_table is not None:
            return ""
        header = self._as_header(row, line)
        if header is not None:
            return header
        if len(row) > plan.width and any(row[plan.width :]) and not self._is_long_remark(row):
            return f"{_cells(row, plan)}; look for a delimiter too many"
        if len(row) <= plan.last_needed:
            return f"{_cells(row, plan)}{_lacking(row, plan)}; look for a delimiter missing"
        return None

    def _as_header(self, row: list[str], line: int) -> str | None:
        """The same header again is passed over; another one ends the table."""
        cells = [cell.strip() for cell in row]
        if self.table.header and _same_heads(cells, self.table.header):
            self.repeats.append(line)
            return ""
        if any(c.isdigit() for k in self._figures(row) for c in row[k]):
            return None
        plan = plan_columns(tuple(cells))
        if plan.layout is None or plan.score < 2:
            return None
        self.next_table = line, plan
        return ""

    def _figures(self, row: Sequence[str]) -> list[int]:
        """Columns that hold figures in a row of readings and words in a header."""
        plan = self.table.plan
        columns = [temp.index for temp in plan.temps] + [plan.index.get("time", -1)]
        return [k for k in columns if 0 <= k < len(row)]

    def notes(self) -> list[str]:
        """What was passed over without being a reading."""
        found = [f"{count_words(len(self.repeats), 'repeated header')} passed over"] if self.repeats else []
        if self.next_table is not None:
            found.append(f"a second table begins in line {self.next_table[0]}, with columns of its own")
        return found


def _is_rule(row: Sequence[str]) -> bool:
    """True for a blank row, and for a line drawn under a header or between rounds: no cell says anything."""
    return all(not cell.strip() or _RULE.fullmatch(cell) for cell in row)


def _cells(row: Sequence[str], plan: Plan) -> str:
    return f"{count_words(len(row), 'cell')} where the header has {plan.width}"


def _lacking(row: Sequence[str], plan: Plan) -> str:
    """Columns that a short row has surely no cell for, told by the place of its wheel."""
    wheel = next((k for k, cell in enumerate(row) if looks_like_position(cell)), None)
    if wheel is None or "position" not in plan.index:
        return ""
    found = cells_beside_wheel(row, wheel, plan)
    lacking = [f'"{plan.names[k]}"' for k in plan.needed if k not in found]
    return f", none for {' and '.join(lacking)}" if len(found) == len(row) else ""


def _same_heads(cells: Sequence[str], header: Sequence[str]) -> bool:
    return len(cells) == len(header) and all(
        cell == head or (not cell and head.startswith("column "))
        for cell, head in zip(cells, header, strict=True)
    )


# ---- a row a reading ------------------------------------------------------------------------------------


def _long(records: Records, weeder: _Weeder, seen: Observations) -> None:
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
    seen.position += _shared(_positions(columns, plan), many=many)
    if seen.time is not None:
        seen.time += _times(columns, plan)
    for role, cells in seen.extra.items():
        cells.extend(_shared(columns[plan.index[role]], many=many))
    for role, cells in seen.about.items():
        cells.extend(_shared(columns[plan.about[role]], many=many))
    seen.remarks += remarks_of_readings(columns, records.lines, plan, first=first)
    if plan.highest:
        seen.highest += _highest(columns, plan, dict(enumerate(range(first, len(seen.line)))))


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


def _highest(
    columns: Sequence[Sequence[str]], plan: Plan, reading_of: Mapping[int, int]
) -> Iterator[HighestShown]:
    """Cells of the most that the gun showed; `reading_of` is the reading of each row."""
    for column in plan.highest:
        for k, text in enumerate(columns[column.index]):
            if text.strip() and k in reading_of:
                yield HighestShown(row=reading_of[k], text=text, column=column)


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


def _many_a_row(records: Records, weeder: _Weeder, seen: Observations) -> None:
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
    if plan.layout == "long":
        seen.highest += _highest(columns, plan, reading_of)
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
