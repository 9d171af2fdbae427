"""Columns told by their cells, where the headings do not tell or are missing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.cells import DecimalMark, measured
from thermlog.reading.dialect import Records
from thermlog.reading.plan import Plan, TempColumn
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.words.columns import Role

_CLOCK = re.compile(r"\d{1,2}:\d{2}")


class Header(Struct, kw_only=True):
    """A header found in a sample of rows.

    Attributes
    ----------
    plan : Plan
    index : int
        Row of its first line in the sample.
    span : int
        Number of rows; 0 if there is no header and the columns were told by their cells.
    agreement : float
        Share of the following rows that have as many cells.
    """

    plan: Plan
    index: int
    span: int
    agreement: float


def told_position(plan: Plan, sample: Records, first: int) -> Plan:
    """A column of unknown name whose cells are all wheel positions is the position column."""
    if not plan.lacks_wheel:
        return plan
    rows = [row for row in sample.rows[first:] if len(row) == plan.width]
    hits = [k for k in plan.unknown if rows and all(looks_like_position(row[k]) for row in rows)]
    if len(hits) != 1:
        return plan
    note = (
        f'column "{plan.names[hits[0]]}" taken as the wheel position, because every cell in it names a wheel'
    )
    rest = tuple(k for k in plan.unknown if k != hits[0])
    index = {**plan.index, "position": hits[0]}
    return replace(
        plan,
        layout="long",
        index=index,
        missing="",
        lacks_wheel=False,
        unknown=rest,
        notes=(*plan.notes, note),
    )


def told_by_cells(sample: Records) -> Header | None:
    """Columns of a table without header, if its cells leave one way to read them.

    Parameters
    ----------
    sample : Records
        First rows of the log.
    """
    rows = [row for row in sample.rows if any(row)]
    width = len(rows[0]) if rows else 0
    if width < 3 or len(rows) < 4 or any(len(row) != width for row in rows):
        return None
    columns = list(zip(*rows, strict=True))
    wheels = [k for k in range(width) if all(map(looks_like_position, columns[k]))]
    others = [k for k in range(width) if k not in wheels and any(columns[k])]
    if len(wheels) != 1 or len(others) != 2:
        return None
    time = _time_column(columns, others)
    if time is None:
        return None
    temp = next(k for k in others if k != time)
    return _headless(sample, width, {"time": time, "position": wheels[0]}, temp)


def _headless(sample: Records, width: int, index: dict[Role, int], temp: int) -> Header:
    names = tuple(f"column {k + 1}" for k in range(width))
    note = (
        f"no header: column {index['time'] + 1} taken as the time, "
        f"column {index['position'] + 1} as the wheel, column {temp + 1} as the temperature"
    )
    plan = Plan(
        layout="long",
        width=width,
        names=names,
        temps=(TempColumn(index=temp, name=names[temp]),),
        index={"time": index["time"], "position": index["position"]},
        notes=(note,),
        score=3,
    )
    first = next(k for k, row in enumerate(sample.rows) if any(row))
    return Header(plan=plan, index=first, span=0, agreement=1.0)


def _time_column(columns: Sequence[Sequence[str]], others: Sequence[int]) -> int | None:
    """Of two columns the one that must be the time; None if either could be."""
    clocks = [k for k in others if all(_CLOCK.search(cell) for cell in columns[k])]
    temps = [k for k in others if all(not measured(cell, _mark(columns[k])).problem for cell in columns[k])]
    if len(clocks) == 1 and len(temps) == 1 and clocks != temps:
        return clocks[0]
    if len(temps) != 2:
        return None
    with_unit = [k for k in temps if all(measured(cell, _mark(columns[k])).unit for cell in columns[k])]
    if len(with_unit) == 1:
        return next(k for k in temps if k != with_unit[0])
    rising = [
        k for k in temps if _never_falls([measured(cell, _mark(columns[k])).value for cell in columns[k]])
    ]
    return rising[0] if len(rising) == 1 else None


def _mark(cells: Sequence[str]) -> DecimalMark:
    return "," if any("," in cell for cell in cells) else "."


def _never_falls(values: Sequence[float]) -> bool:
    """True for times; a plain count of rows is no time."""
    steps = [b - a for a, b in pairwise(values)]
    counting = values[0] in {0, 1} and all(step == 1 for step in steps)
    return all(step >= 0 for step in steps) and values[-1] > values[0] and not counting
