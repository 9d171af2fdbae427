"""Tables side by side on one sheet, with the same headings: read one below the other."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from thermlog.reading.cells import shown
from thermlog.reading.columns import plan_columns
from thermlog.reading.files.dialect import Records
from thermlog.reading.plan import Plan
from thermlog.words.errors import LogRefusedError

_HEADER_WITHIN = 60  # lines, as for any header
_FEWEST = 2  # tables
STACKED_NOTE = "tables side by side are read one below the other"


class _Beside(Struct, frozen=True, kw_only=True):
    """Where the tables stand: the row of their headings, the first column of each, and how wide they are."""

    index: int
    starts: tuple[int, ...]
    width: int
    plan: Plan


def stacked(records: Records, *, file: str) -> Records:
    """Rows of tables side by side, one table below the other; as they are where there is one table.

    Parameters
    ----------
    records : Records
        All rows of the log.
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        They may be of several vehicles or drives: a title stands over the second one, or one wheel has two
        readings at one time.
    """
    beside = _tables(records.rows)
    if beside is None:
        return records
    first, end = beside.starts[0], beside.starts[0] + beside.width
    rows = [row[first:end] for row in records.rows[: beside.index + 1]]
    lines = [*records.lines[: beside.index + 1]]
    for start in beside.starts:
        for k in range(beside.index + 1, len(records.rows)):
            cells = records.rows[k][start : start + beside.width]
            if any(map(str.strip, cells)):
                rows.append([*cells, *[""] * (beside.width - len(cells))])
                lines.append(records.lines[k])
    titled = any(any(map(str.strip, row[beside.starts[1] :])) for row in records.rows[: beside.index])
    if titled or _meet(rows[beside.index + 1 :], beside.plan):
        row = records.rows[beside.index]
        problem = (
            "tables side by side, and nothing says whether they are of one walk; put them one below the "
            "other, with a column of the vehicle, drive or round"
        )
        line, value = records.lines[beside.index], shown(",".join(row))
        raise LogRefusedError(problem, code="two_columns", file=file, line=line, value=value)
    return Records(rows=rows, lines=lines)


def are_beside(rows: Sequence[Sequence[str]]) -> bool:
    """True where the first rows of a log hold the headings of several tables side by side."""
    return _tables(rows) is not None


def _tables(rows: Sequence[Sequence[str]]) -> _Beside | None:
    """Headings that are those of one log several times over."""
    for index, row in enumerate(rows[:_HEADER_WITHIN]):
        cells = [cell.strip().casefold() for cell in row]
        first = next((k for k, cell in enumerate(cells) if cell), None)
        if first is None:
            continue
        starts = [k for k, cell in enumerate(cells) if cell == cells[first]]
        if len(starts) < _FEWEST:
            continue
        blocks = [_without_blanks(cells[a:b]) for a, b in zip(starts, [*starts[1:], len(cells)], strict=True)]
        plan = plan_columns(tuple(row[first : first + len(blocks[0])]))
        if (
            all(block == blocks[0] for block in blocks)
            and plan.layout is not None
            and "position" in plan.index
        ):
            return _Beside(index=index, starts=tuple(starts), width=len(blocks[0]), plan=plan)
    return None


def _without_blanks(cells: list[str]) -> list[str]:
    """Headings without the blank columns behind them."""
    while cells and not cells[-1]:
        cells = cells[:-1]
    return cells


def _meet(rows: Sequence[Sequence[str]], plan: Plan) -> bool:
    """True where a wheel has two readings at one time, or two at all where there are no times."""
    keys = [plan.index["position"], *([plan.index["time"]] if "time" in plan.index else [])]
    told = [tuple(row[k].strip() for k in keys) for row in rows]
    return len(told) > len(set(told))
