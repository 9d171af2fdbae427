"""A column of times under words nobody knows, or none: by its unit over numbers, or its cells."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.cells import decimal_of, number, shown
from thermlog.reading.cellwords import no_wheel_word
from thermlog.reading.headings import read_heading
from thermlog.reading.headless import are_times
from thermlog.reading.locate import Table, cells_below
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.vocabulary import TimeUnit

_BRACKETS = regular(r"[(\[{].*?[)\]}]")


def with_time_by_unit(table: Table, *, file: str) -> Table:
    """The table with such a column taken as its time; the same if it has a time, or no such column.

    Where no heading states a unit of time, it is a column without heading whose cells all are times by
    themselves: of a clock, or with a unit.

    Parameters
    ----------
    table : Table
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        Several columns could be the time.
    """
    plan = table.plan
    own = any(temp.time_index is not None or temp.moment is not None for temp in plan.temps)
    units = {k: read_heading(plan.names[k]).time_unit for k in plan.unknown}
    if "time" in plan.index or own or plan.layout == "rounds":
        return table
    rows = table.first_rows()
    runs = [
        k
        for k, unit in units.items()
        if unit and not no_wheel_word(_BRACKETS.sub(" ", plan.names[k])) and _runs(cells_below(rows, k))
    ]
    if len(runs) > 1:
        names = " and ".join(f'"{plan.names[k]}"' for k in runs)
        problem = f"columns {names} state a unit of time and could both be the time; name one of them time"
        raise LogRefusedError(problem, code="two_columns", file=file, line=table.start or None)
    if not runs:
        return _with_unheaded_time(table)
    name = plan.names[runs[0]]
    note = f'column "{shown(name)}" taken as the time: it states a unit of time, and its numbers run'
    return _timed_by(table, runs[0], units[runs[0]], note)


def _with_unheaded_time(table: Table) -> Table:
    """The table with its one column of times that has no heading; the same if there is none, or several."""
    blank = table.plan.unheaded
    rows = table.first_rows() if blank else ()
    clocks = [k for k in blank if are_times(cells_below(rows, k))]
    if len(clocks) != 1:
        return table
    note = f"{table.plan.names[clocks[0]]}, which has no heading, is taken as the time: its cells are times"
    return _timed_by(table, clocks[0], None, note)


def _timed_by(table: Table, column: int, unit: TimeUnit | None, note: str) -> Table:
    """The table with a column as its time, and a note that says so."""
    plan = replace(
        table.plan,
        index={**table.plan.index, "time": column},
        time_unit=unit,
        unknown=tuple(k for k in table.plan.unknown if k != column),
    )
    return replace(table, plan=plan, notes=(*table.notes, note))


def _runs(cells: Sequence[str]) -> bool:
    """True for numbers that rise, but for one step (midnight, a watch set to nought), or that all fall."""
    mark = decimal_of(cells)
    values = [number(cell, "," if mark == "," else ".") for cell in cells]
    known = [value for value in values if value is not None]
    if len(known) < len(values) or len(set(known)) <= 1:
        return False
    falls = sum(later < sooner for sooner, later in pairwise(known))
    return falls <= 1 or falls == len(known) - 1
