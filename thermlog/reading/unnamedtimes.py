"""A column of times under words nobody knows: its heading states a unit of time, and its numbers run."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.cells import decimal_of, number, shown
from thermlog.reading.cellwords import no_wheel_word
from thermlog.reading.headings import read_heading
from thermlog.reading.locate import Table, cells_below
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Sequence

_BRACKETS = regular(r"[(\[{].*?[)\]}]")


def with_time_by_unit(table: Table, *, file: str) -> Table:
    """The table with such a column taken as its time; the same if it has a time, or no such column.

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
    if "time" in plan.index or own or plan.layout == "rounds" or not any(units.values()):
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
        return table
    name = plan.names[runs[0]]
    note = f'column "{shown(name)}" taken as the time: it states a unit of time, and its numbers run'
    plan = replace(
        plan,
        index={**plan.index, "time": runs[0]},
        time_unit=units[runs[0]],
        unknown=tuple(k for k in plan.unknown if k != runs[0]),
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
