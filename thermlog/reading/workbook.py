"""Rows of an .xlsx workbook, as text cells like those of any other log."""

from __future__ import annotations

import datetime as dt
import io

from thermlog.reading.dialect import Records
from thermlog.words.errors import LogRefusedError


def workbook_records(content: bytes, *, file: str) -> Records:
    """Rows of the first sheet that has any.

    Parameters
    ----------
    content : bytes
        An .xlsx file.
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        The extra ``thermlog[xlsx]`` is not installed, or the file is no workbook.
    """
    try:
        import python_calamine as calamine
    except ImportError:
        problem = "an .xlsx workbook needs an extra; pip install 'thermlog[xlsx]', or save the sheet as CSV"
        raise LogRefusedError(problem, file=file) from None
    try:
        workbook = calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheets = [
            workbook.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in workbook.sheet_names
        ]
    except (calamine.CalamineError, OSError, ValueError) as fault:
        problem = f"not an .xlsx workbook that can be read ({fault}); save the sheet as CSV"
        raise LogRefusedError(problem, file=file) from None
    for sheet in sheets:
        if any(any(cell != "" for cell in row) for row in sheet):
            rows = [[_text(cell) for cell in row] for row in sheet]
            return Records(rows=rows, lines=range(1, len(rows) + 1))
    problem = "the workbook is empty; a log needs a header line and readings"
    raise LogRefusedError(problem, file=file)


def _text(cell: object) -> str:
    """Cell as it would stand in a CSV file."""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, dt.timedelta):
        return str(cell.total_seconds())
    if isinstance(cell, (dt.datetime, dt.date, dt.time)):
        return cell.isoformat()
    return str(cell)
