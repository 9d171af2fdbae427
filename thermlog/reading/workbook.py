"""Rows of an .xlsx workbook, as text cells like those of any other log."""

from __future__ import annotations

import datetime as dt
import io
import re

from thermlog.reading.dialect import Records
from thermlog.words.errors import LogRefusedError

_MOST_UNPACKED_BYTES = 512 * 1024**2  # a sheet takes some eight times the bytes of the same log as text
_FEW_COLUMNS = 8
_MOST_CELLS = _FEW_COLUMNS * 1_048_576  # a full sheet of few columns; the library holds the empty cells too
_CELL = re.compile(rb'\sr="([A-Z]{1,3})([0-9]{1,7})"')
_RIGHT_OF_FEW = re.compile(rb'\sr="(?:[I-Z]|[A-Z]{2,3})[0-9]{1,7}"')


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
        The extra ``thermlog[xlsx]`` is not installed, or the file is no workbook or a vast one.
    """
    try:
        import python_calamine as calamine
    except ImportError:
        problem = "an .xlsx workbook needs an extra; pip install 'thermlog[xlsx]', or save the sheet as CSV"
        raise LogRefusedError(problem, file=file) from None
    _refuse_vast(content, file)
    try:
        workbook = calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheets = [
            workbook.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in workbook.sheet_names
        ]
    except (calamine.CalamineError, OSError, ValueError) as fault:
        raise _no_workbook(fault, file) from None
    for sheet in sheets:
        if any(any(cell != "" for cell in row) for row in sheet):
            rows = [[_text(cell) for cell in row] for row in sheet]
            return Records(rows=rows, lines=range(1, len(rows) + 1))
    problem = "the workbook is empty; a log needs a header line and readings"
    raise LogRefusedError(problem, file=file)


def _no_workbook(fault: Exception, file: str) -> LogRefusedError:
    problem = f"not an .xlsx workbook that can be read ({fault}); save the sheet as CSV"
    return LogRefusedError(problem, file=file)


def _refuse_vast(content: bytes, file: str) -> None:
    """Refuse what would not fit into memory: one such file must not end a whole fleet."""
    import zipfile  # with what it imports only needed here
    import zlib

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            entries = parts.infolist()
            if sum(entry.file_size for entry in entries) > _MOST_UNPACKED_BYTES:
                problem = f"unpacks to over {_MOST_UNPACKED_BYTES // 1024**2} MiB; save the sheet as CSV"
                raise LogRefusedError(problem, file=file)
            for entry in entries:
                if re.fullmatch(r"xl/worksheets/[^/]*\.xml", entry.filename):
                    _refuse_stray_cells(parts.read(entry), file)
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError) as fault:  # the last: under a password
        raise _no_workbook(fault, file) from None


def _refuse_stray_cells(sheet: bytes, file: str) -> None:
    if _RIGHT_OF_FEW.search(sheet) is None:
        return
    rows, columns, widest = 0, 0, ""
    for cell in _CELL.finditer(sheet):
        rows = max(rows, int(cell[2]))
        column = 0
        for letter in cell[1]:
            column = 26 * column + letter - ord("A") + 1
        if column > columns:
            columns, widest = column, cell[1].decode()
    if rows * columns > _MOST_CELLS:
        problem = (
            f"the sheet reaches to column {widest} and row {rows}, "
            f"over {_MOST_CELLS // 10**6} million cells; "
            "delete what stands far from the readings, or save the sheet as CSV"
        )
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
