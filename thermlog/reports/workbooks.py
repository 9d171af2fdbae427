"""The list of work as a workbook: the same columns as the CSV, with heads that stay and filters."""

from __future__ import annotations

import datetime as dt
from io import BytesIO
from typing import TYPE_CHECKING

from thermlog.reports.fleetcolumns import FLEET, fleet_cells
from thermlog.reports.wording import printable, six_digits
from thermlog.reports.workwords import CAUTION, tally_lines, total_lines
from thermlog.words.errors import OptionError
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from thermlog.fleet.worklist import WorkList
    from thermlog.reports.report_csv import Cell

_WIDE, _NARROW = 40, 12
_LONG = frozenset({"finding", "do_next", "tools", "file", "why", "cannot_tell", "decides", "unit"})
_NO_MOMENT = dt.datetime(2000, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)


def fleet_workbook(work: WorkList) -> bytes:
    """The list as an ``.xlsx`` workbook, the same bytes for the same list.

    Parameters
    ----------
    work : WorkList

    Raises
    ------
    OptionError
        XlsxWriter is not installed.
    """
    try:
        from xlsxwriter import Workbook  # type: ignore[import-untyped]
    except ImportError:
        msg = 'a workbook needs XlsxWriter: python -m pip install ".[xlsx]"; --format csv does without'
        raise OptionError(msg) from None
    content = BytesIO()
    book = Workbook(content, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"created": _NO_MOMENT, "comments": f"thermlog {__version__}"})
    bold, wrapped = book.add_format({"bold": True}), book.add_format({"text_wrap": True, "valign": "top"})
    sheet = book.add_worksheet("work")
    for column, told in enumerate(FLEET):
        sheet.set_column(column, column, _WIDE if told.name in _LONG else _NARROW, wrapped)
        sheet.write_string(0, column, told.name, bold)
    last = 0
    for last, row in enumerate(fleet_cells(work), start=1):
        for column, cell in enumerate(row):
            _write(sheet, (last, column), cell)
    sheet.freeze_panes(1, 3)
    sheet.autofilter(0, 0, last, len(FLEET) - 1)
    about = book.add_worksheet("about")
    about.set_column(0, 0, 2 * _WIDE, wrapped)
    lines = [*tally_lines(work), *total_lines(work), CAUTION, f"thermlog {__version__}"]
    for number, line in enumerate(lines):
        about.write_string(number, 0, printable(line))
    book.close()
    return content.getvalue()


def _write(sheet: object, place: tuple[int, int], cell: Cell) -> None:
    """A cell by its kind: text is never taken for a formula, what is not known stays empty."""
    if isinstance(cell, str):
        sheet.write_string(*place, printable(cell))  # type: ignore[attr-defined]  # the library has no types
    elif (number := six_digits(cell)) is not None:
        sheet.write_number(*place, number)  # type: ignore[attr-defined]
