"""The header among the first rows of a log, over one row or several."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.reading.cells import measured
from thermlog.reading.columnmap import plan_from_map
from thermlog.reading.columns import plan_columns
from thermlog.reading.files.dialect import Records
from thermlog.reading.headless import Header, plan_told_below, told_position
from thermlog.reading.plan import Plan
from thermlog.reading.readoptions import ColumnMap

MOST_COLUMNS = 1_000  # columns; more is no log, and looking at each would take long
_HEADER_WITHIN = 60  # lines; a longer preamble needs a column map
_HEADER_ROWS = 3
_FEWEST_COLUMNS = 3  # of a sheet whose title fills one cell alone
_AGREEMENT = 0.5  # share of rows as wide as the header that makes it one


def find_header(sample: Records, column_map: ColumnMap | None, file: str) -> Header:
    """Best header in a sample of rows.

    Parameters
    ----------
    sample : Records
        First rows of the log.
    column_map : ColumnMap or None
        Columns named by the user; nothing is looked for then.
    file : str
        For messages.

    Returns
    -------
    Header
        Its plan has no layout if none makes a log.
    """
    if column_map is not None:
        return _mapped(sample, column_map, file)
    best = Header(plan=plan_columns(()), index=0, span=0, agreement=0.0)
    for span in range(1, _HEADER_ROWS + 1):
        for index in range(min(len(sample.rows), _HEADER_WITHIN)):
            header = _header_at(sample, index, span)
            if header is None:
                continue
            if is_sure(header):
                return _with_unit_row(sample, header)
            if header_rank(header) > header_rank(best):
                best = header
    return best


def is_sure(header: Header) -> bool:
    """True if a header makes a log and the rows below agree with it."""
    return header.plan.layout is not None and header.agreement >= _AGREEMENT


def header_rank(header: Header) -> tuple[bool, int]:
    """How much of a header was understood, for choosing among several."""
    return header.plan.layout is not None, header.plan.score


def _mapped(sample: Records, column_map: ColumnMap, file: str) -> Header:
    found = plan_from_map(sample, column_map, file=file)
    index = 0 if found.index is None else found.index
    span = 0 if found.index is None else 1
    return Header(
        plan=found.plan, index=index, span=span, agreement=_agreement(sample, index + span, found.plan)
    )


def _header_at(sample: Records, index: int, span: int) -> Header | None:
    """Header that starts at a row and takes up so many; None if these rows can be none."""
    rows = sample.rows[index : index + span]
    if any(len(row) > MOST_COLUMNS for row in rows):
        return None
    if len(rows) < span or not all(any(row) for row in rows) or (span > 1 and any(map(_has_readings, rows))):
        return None
    if span == 1 and _is_title(sample, index):
        return None
    plan = told_position(plan_told_below(_joined(rows), sample, index + span), sample, index + span)
    if span > 1 and not _readings_follow(sample, index + span, plan):
        return None
    return Header(plan=plan, index=index, span=span, agreement=_agreement(sample, index + span, plan))


def _is_title(sample: Records, index: int) -> bool:
    """True for words in one cell of a sheet ("Brake temperature check") above a row that heads a log."""
    if sum(map(bool, sample.rows[index])) != 1 or len(sample.rows[index]) < _FEWEST_COLUMNS:
        return False
    below = (row for row in sample.rows[index + 1 : index + _HEADER_WITHIN] if sum(map(bool, row)) > 1)
    return any(len(row) <= MOST_COLUMNS and plan_columns(tuple(row)).layout is not None for row in below)


def _with_unit_row(sample: Records, header: Header) -> Header:
    """The header with the row of units below it, if there is one."""
    for span in range(header.span + 1, _HEADER_ROWS + 1):
        longer = _header_at(sample, header.index, span)
        if longer is None or longer.plan.layout != header.plan.layout or longer.agreement < _AGREEMENT:
            break
        if (longer.plan.units, longer.plan.time_unit) != (header.plan.units, header.plan.time_unit):
            return longer
    return header


def _has_readings(row: Sequence[str]) -> bool:
    """True if a cell is a temperature: such a row is never part of a header of several rows."""
    return any(not measured(cell, ".").problem or not measured(cell, ",").problem for cell in row)


def _readings_follow(sample: Records, first: int, plan: Plan) -> bool:
    """True if most rows below have a temperature where a header of several rows says so."""
    rows = [row for row in sample.rows[first : first + 20] if any(row)]
    hits = sum(_has_readings([row[t.index] for t in plan.temps if t.index < len(row)]) for row in rows)
    return hits > 0.5 * len(rows)


def _joined(rows: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Cells of several header rows, one above the other; an empty upper cell continues its left neighbour."""
    if len(rows) == 1:
        return tuple(rows[0])
    width = max(map(len, rows))
    full = [[*row, *[""] * (width - len(row))] for row in rows]
    for upper in full[:-1]:
        for k in range(1, width):
            if not upper[k].strip() and full[-1][k].strip() and full[-1][k - 1].strip():
                upper[k] = upper[k - 1]
    return tuple(" ".join(filter(None, (row[k].strip() for row in full))) for k in range(width))


def _agreement(sample: Records, first: int, plan: Plan) -> float:
    """Share of the rows after the header that have its width, trailing empty cells left out."""
    rows = [row for row in sample.rows[first : first + 20] if any(row)]
    if not rows:
        return 1.0
    return sum(fits_plan(row, plan) for row in rows) / len(rows)


def fits_plan(row: Sequence[str], plan: Plan) -> bool:
    """True if a row has the cells its table needs and none beyond."""
    return plan.last_needed < len(row) and not any(row[plan.width :])
