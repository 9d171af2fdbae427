"""Times such as 9:00 of two drives in one file, hours apart: hours and minutes, though no walk is so long."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from thermlog.reading.times.cell import HOUR_S
from thermlog.reading.times.face import ColumnChoice
from thermlog.reading.times.pace import impossible_pace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.times.cell import TimeCell
    from thermlog.reading.times.column import TimeColumn

_SEVERAL = 2
_FEWEST = 3  # readings that tell a pace


def hours_in_parts(column: TimeColumn, cells: Sequence[TimeCell]) -> ColumnChoice | None:
    """That such times begin with hours, where hours lie between parts that are walks by themselves.

    Nobody reads any of the parts so fast as its times would be in minutes and seconds, and everybody may in
    hours and minutes.

    Parameters
    ----------
    column : TimeColumn
        Its walk is that of all cells.
    cells : sequence of TimeCell
        As many as the column has.

    Returns
    -------
    ColumnChoice or None
        None where the heading, the parked moment or the pace of all times together are to tell.
    """
    parked, walk = column.parked_cell(), column.walk
    started = parked is not None and parked.value == 0.0
    if walk is None or column.unit is not None or started or len(cells) != len(walk.wheels):
        return None
    if any(cell.style != "two" or cell.fraction for cell in cells):
        return None
    minutes = [cell.value for cell in cells]
    starts = [k for k, (a, b) in enumerate(pairwise(minutes), start=1) if (b - a) * 60.0 >= HOUR_S]
    parts = [range(a, b) for a, b in pairwise([0, *starts, len(minutes)])]
    if len(parts) < _SEVERAL or min(map(len, parts)) < _FEWEST:
        return None
    for part in parts:
        own, taken = walk.take(part), [minutes[row] for row in part]
        if not impossible_pace(taken, own) or impossible_pace([60.0 * value for value in taken], own):
            return None
    return ColumnChoice(
        choice="hours", why="they are of walks with hours between, and nobody reads one so fast"
    )
