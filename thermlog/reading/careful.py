"""A log -> its readings, whatever form it has: row by row, with every doubt about it noted or refused.

Most logs are so plain that `plainlogs` reads them, and none of what this needs is loaded.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.asidewords import remarks_of_strays
from thermlog.reading.beheld import is_line_told, told_apart
from thermlog.reading.cells import shown
from thermlog.reading.files.dialect import delimiter_words
from thermlog.reading.files.rawtext import Decoded, decode, is_workbook, unpack
from thermlog.reading.gather import gather
from thermlog.reading.gathered import LogReadings, Understood, as_log
from thermlog.reading.layouts import observe
from thermlog.reading.locate import Table, locate_in_records, locate_in_text
from thermlog.reading.overrides import StatedUnit, settle_unit
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.scale import Asked
from thermlog.reading.sections import placed_in_sections
from thermlog.reading.statements import Statements, read_statements
from thermlog.reading.strangers import with_strange_columns
from thermlog.reading.titles import unused_above, with_titles
from thermlog.reading.unnamedtimes import with_time_by_unit
from thermlog.words.errors import LogRefusedError

if TYPE_CHECKING:
    from thermlog.reading.sheetlogs import SheetLogs

_NO_COLUMNS = frozenset({"columns", "wheel_columns"})  # refusals of what may be a list of readings
_MOST_HEARD = 100_000  # rows of all sheets of a workbook that are passed over: some ten seconds


def read_carefully(content: bytes, *, file: str, options: ReadOptions, sha256: str) -> LogReadings:
    """Read one log from its bytes; `file` is its name for messages.

    Raises
    ------
    LogRefusedError
        The log cannot be read without guessing.
    """
    content = unpack(content, file=file)
    if is_workbook(content):
        return _read_workbook(content, file=file, options=options, sha256=sha256)
    decoded = decode(content, file=file, encoding=options.encoding)
    table = _located(decoded.text, file=file, options=options)
    return _read_table(table, decoded, file=file, options=options, sha256=sha256)


def _located(text: str, *, file: str, options: ReadOptions) -> Table:
    """The table of a text, also one that is no table but a list of readings."""
    try:
        return locate_in_text(text, file=file, options=options)
    except LogRefusedError as refusal:
        from thermlog.reading.listed import table_of_list  # most logs are tables

        table = table_of_list(text, marked=refusal.code not in _NO_COLUMNS)
        if table is None:
            raise
        return table


def vehicle_above(content: bytes, *, file: str) -> str | None:
    """Vehicle named above the readings, if one is.

    Raises
    ------
    LogRefusedError
        Not even that can be read.
    """
    decoded = decode(unpack(content, file=file), file=file, encoding=None)
    table = _located(decoded.text, file=file, options=ReadOptions())
    return read_statements(table.comments, file=file, rows=[]).vehicle


def _read_workbook(content: bytes, *, file: str, options: ReadOptions, sha256: str) -> LogReadings:
    """Every sheet that holds a log; the others are named as passed over."""
    from thermlog.reading.files.workbook import workbook_sheets
    from thermlog.reading.sheetlogs import SheetLogs  # with what they import only needed here

    options = replace(options, decimal=None)  # numbers in a workbook are no text with a mark
    found: SheetLogs[Understood] = SheetLogs(file=file)
    decoded = Decoded(text="", encoding="workbook")
    for sheet in workbook_sheets(content, file=file):
        if sheet.records is None or not any(map(any, sheet.records.rows)):
            found.pass_over(sheet)
            continue
        try:
            table = locate_in_records(sheet.records, file=file, options=options)
            log = _read_table(table, decoded, file=file, options=options, sha256=sha256)
        except LogRefusedError as refusal:
            found.pass_over(sheet, refusal)
        else:
            found.take(sheet, log.record, log.readings, log.understood)
    _hear_passed(found, content, file=file, options=options)
    record, readings, understood = found.joined()
    whole = _one_for_all(understood)
    return LogReadings(record=record, readings=readings, understood=whole, passed=found.dangerous())


def _hear_passed(found: SheetLogs[Understood], content: bytes, *, file: str, options: ReadOptions) -> None:
    """Look through the sheets that were passed over beside one that holds a log."""
    from thermlog.reading.files.workbook import workbook_sheets
    from thermlog.reading.lookedthrough import looked_through_sheet

    unheard, left = found.unheard(), _MOST_HEARD
    for number, sheet in enumerate(workbook_sheets(content, file=file) if unheard else ()):
        if number in unheard and sheet.records is not None:
            left -= len(sheet.records.rows)
            said = looked_through_sheet(sheet.records, options=options) if left >= 0 else None
            found.hear(number, sheet, said)


def _one_for_all(sheets: Sequence[tuple[str, Understood]]) -> Understood:
    """How a workbook was read: each word once, columns sheet by sheet."""
    if len(sheets) == 1:
        return sheets[0][1]
    words = {
        name: "; ".join(dict.fromkeys(getattr(one, name) for _, one in sheets))
        for name in Understood.__struct_fields__
        if name != "columns"
    }
    columns = {f"{sheet}, {role}": head for sheet, one in sheets for role, head in one.columns.items()}
    return Understood(columns=columns, **words)


def _read_table(
    table: Table, decoded: Decoded, *, file: str, options: ReadOptions, sha256: str
) -> LogReadings:
    if options.column_map is None:
        table = with_strange_columns(with_time_by_unit(table, file=file))
    seen = observe(table, file=file)
    comments, seen = with_titles(table, seen)
    spoken = [one for one in table.above if is_line_told(one.text)]
    above = unused_above(table, [*comments, *spoken])
    comments, told = told_apart([*comments, *spoken])
    seen = replace(seen, remarks=[*seen.remarks, *told, *remarks_of_strays(seen)])
    statements = read_statements(comments, file=file, rows=seen.line)
    asked = Asked(
        file=file,
        plan=seen.plan,
        statements=statements,
        options=options,
    )
    settled = settle_unit(options, _stated_units(table, statements), file=file)
    seen = placed_in_sections(seen, statements, file=file)
    notes = (*decoded.notes, *above, *table.notes, *statements.notes, *settled)
    gathered = gather(seen, asked, sha256=sha256, notes=notes)
    delimiter = "cells" if table.dialect is None else delimiter_words(table.dialect.delimiter)
    return as_log(plan=table.plan, gathered=gathered, delimiter=delimiter, encoding=decoded.encoding)


def _stated_units(table: Table, statements: Statements) -> Iterator[StatedUnit]:
    """Places above the readings that state a temperature unit."""
    if statements.unit is not None:
        said = statements.said["unit"]
        yield StatedUnit(line=said.line, column=f"# {said.key}", value=shown(said.text), unit=statements.unit)
    for temp in table.plan.temps:
        if temp.unit is not None:
            line = table.start if table.header else None
            yield StatedUnit(line=line, column=temp.name, value=None, unit=temp.unit)
