"""Logs to readings: the one door through which bytes come in."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.beheld import told_apart
from thermlog.reading.cells import shown
from thermlog.reading.dialect import delimiter_words
from thermlog.reading.gather import Gathered, gather
from thermlog.reading.layouts import observe
from thermlog.reading.locate import Table, locate_in_records, locate_in_text
from thermlog.reading.overrides import StatedUnit, settle_unit
from thermlog.reading.plainlogs import PlainLog, plain_logs
from thermlog.reading.plan import LAYOUT_WORDS, Plan
from thermlog.reading.rawtext import Decoded, decode, is_workbook, read_bytes, unpack
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.scale import Asked
from thermlog.reading.sections import place_in_sections
from thermlog.reading.statements import Statements, read_statements
from thermlog.reading.strangers import with_strange_columns
from thermlog.reading.unnamedtimes import with_time_by_unit
from thermlog.words.errors import LogRefusedError, ThermlogError, TroubleCode
from thermlog.words.tables import LogRecord, Readings, stack_readings

_HELD_BYTES = 1 << 22  # of many small logs a thousand or more


class Understood(Struct, frozen=True, kw_only=True):
    """How a log was read, in words for people.

    Attributes
    ----------
    encoding : str
        Text encoding.
    delimiter : str
        Sign between columns.
    decimal : str
        Decimal mark.
    layout : str
        What a row holds.
    columns : dict of str to str
        Role -> heading as written, or ``column 3``.
    unit : str
        Unit of the readings.
    time : str
        What the times count from, and in what.
    """

    encoding: str
    delimiter: str
    decimal: str
    layout: str
    columns: dict[str, str]
    unit: str
    time: str


class LogReadings(Struct, frozen=True, kw_only=True, eq=False):
    """One log: its record, how it was understood, its readings.

    Attributes
    ----------
    record : LogRecord
        Shared by all cases of `readings`.
    understood : Understood
    readings : Readings
        Sorted by case and time; ``elapsed_s`` is NaN throughout if the log has no times.
    """

    record: LogRecord
    understood: Understood
    readings: Readings


class Unreadable(Struct, frozen=True, kw_only=True):
    """A log that was refused, and why.

    Attributes
    ----------
    file : str
            Path as given.
    reason : str
        File, line, column, value found and the cure, as far as they are known.
    code : TroubleCode
        The same for programs; more may come.
    line, column, value : int, str, str or None
        Where in the file, and what stands there; None where there is no such place.
    """

    file: str
    reason: str
    code: TroubleCode
    line: int | None = None
    column: str | None = None
    value: str | None = None


def unreadable_for(refusal: ThermlogError, file: str) -> Unreadable:
    """The log that a refusal stops; one for the fault of another file names both."""
    return Unreadable(
        file=file,
        reason=str(refusal) if refusal.file == file else f"{file}: {refusal}",
        code=refusal.code,
        line=refusal.line,
        column=refusal.column,
        value=refusal.value,
    )


def read_log(
    path: str | os.PathLike[str],
    options: ReadOptions | None = None,
    *,
    content_of: Callable[[str], bytes] = read_bytes,
) -> LogReadings:
    """Read one log.

    Parameters
    ----------
    path : str or Path
        A CSV or text file, plain or gzip, an .xlsx workbook, or ``-`` for standard input.
    options : ReadOptions, optional
    content_of : callable
        Gives the bytes of a path or raises `LogRefusedError`; else they are read where the path says.

    Raises
    ------
    LogRefusedError
        The log cannot be read without guessing.
    """
    file = os.fspath(path)
    return read_content(content_of(file), file=file, options=options)


def read_content(content: bytes, *, file: str, options: ReadOptions | None = None) -> LogReadings:
    r"""Read one log from its bytes; `file` is its name for messages.

    Raises
    ------
    LogRefusedError
        The log cannot be read without guessing.

    Examples
    --------
    >>> log = read_content(b"time_s,position,temp_c\n0,FL,85.5\n9,FR,91\n", file="log.csv")
    >>> log.record.rows_used, log.readings.indicated_degc.tolist(), log.understood.layout
    (2, [85.5, 91.0], 'a row a reading')
    """
    sha256 = hashlib.sha256(content).hexdigest()
    return _read(content, file=file, options=options or ReadOptions(), sha256=sha256)


def _read(content: bytes, *, file: str, options: ReadOptions, sha256: str) -> LogReadings:
    content = unpack(content, file=file)
    if is_workbook(content):
        return _read_workbook(content, file=file, options=options, sha256=sha256)
    decoded = decode(content, file=file, encoding=options.encoding)
    table = locate_in_text(decoded.text, file=file, options=options)
    return _read_table(table, decoded, file=file, options=options, sha256=sha256)


def stated_vehicle(file: str, content_of: Callable[[str], bytes] = read_bytes) -> str | None:
    """Vehicle named above the readings, also in a log that is refused; None if none is."""
    try:
        decoded = decode(unpack(content_of(file), file=file), file=file, encoding=None)
        table = locate_in_text(decoded.text, file=file, options=ReadOptions())
        return read_statements(table.comments, file=file, rows=[]).vehicle
    except LogRefusedError:
        return None


def _read_workbook(content: bytes, *, file: str, options: ReadOptions, sha256: str) -> LogReadings:
    """Every sheet that holds a log; the others are named as passed over."""
    from thermlog.reading.sheetlogs import SheetLogs  # with what they import only needed here
    from thermlog.reading.workbook import workbook_sheets

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
    record, readings, understood = found.joined()
    return LogReadings(record=record, readings=readings, understood=_one_for_all(understood))


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
    plan = seen.plan or table.plan
    comments, told = told_apart(table.comments)
    seen.remarks += told
    statements = read_statements(comments, file=file, rows=seen.line)
    asked = Asked(
        file=file,
        plan=plan,
        statements=statements,
        options=options,
    )
    settled = settle_unit(options, _stated_units(table, statements), file=file)
    place_in_sections(seen, statements, file=file)
    notes = (*decoded.notes, *table.notes, *statements.notes, *settled)
    gathered = gather(seen, asked, sha256=sha256, notes=notes)
    delimiter = "cells" if table.dialect is None else delimiter_words(table.dialect.delimiter)
    return _as_log(plan=table.plan, gathered=gathered, delimiter=delimiter, encoding=decoded.encoding)


def _stated_units(table: Table, statements: Statements) -> Iterator[StatedUnit]:
    """Places above the readings that state a temperature unit."""
    if statements.unit is not None:
        said = statements.said["unit"]
        yield StatedUnit(line=said.line, column=f"# {said.key}", value=shown(said.text), unit=statements.unit)
    for temp in table.plan.temps:
        if temp.unit is not None:
            line = table.start if table.header else None
            yield StatedUnit(line=line, column=temp.name, value=None, unit=temp.unit)


def _as_log(*, plan: Plan, gathered: Gathered, delimiter: str, encoding: str) -> LogReadings:
    understood = Understood(
        encoding=encoding,
        delimiter=delimiter,
        decimal=gathered.decimal,
        layout=LAYOUT_WORDS[plan.layout or "long"],
        columns=_column_words(plan),
        unit=gathered.unit,
        time=gathered.time,
    )
    return LogReadings(record=gathered.record, understood=understood, readings=gathered.readings)


def _column_words(plan: Plan) -> dict[str, str]:
    words: dict[str, str] = {role: plan.names[k] for role, k in plan.index.items()}
    if plan.layout == "long":
        return words | {"temperature": plan.temps[0].name}
    if plan.layout == "rounds":
        return words | {f"round {k + 1}": temp.name for k, temp in enumerate(plan.temps)}
    return words | {f"wheel {temp.wheel}": temp.name for temp in plan.temps}


class Logs(Struct, frozen=True, kw_only=True, eq=False):
    """Many logs.

    Attributes
    ----------
    logs : tuple of LogReadings
        Those that could be read, in the order given.
    refused : tuple of (str, ThermlogError)
        The paths of the others, and why.
    """

    logs: tuple[LogReadings, ...]
    refused: tuple[tuple[str, ThermlogError], ...]

    def readings(self) -> Readings:
        """Of all logs, stacked."""
        return stack_readings([log.readings for log in self.logs])

    def of_new_content(self) -> Logs:
        """The first log of every content."""
        first: dict[str, LogReadings] = {}
        for log in self.logs:
            first.setdefault(log.record.sha256, log)
        return Logs(logs=tuple(first.values()), refused=self.refused)

    def copies(self) -> dict[str, str]:
        """Every log of the same content as one before it, and that one."""
        first: dict[str, str] = {}
        files = ((log.record.file, first.setdefault(log.record.sha256, log.record.file)) for log in self.logs)
        return {file: same_as for file, same_as in files if file != same_as}

    def unreadable(self) -> tuple[Unreadable, ...]:
        """What was refused, in words."""
        return tuple(unreadable_for(refusal, file) for file, refusal in self.refused)


def read_logs(
    paths: Sequence[str],
    options: ReadOptions | None = None,
    *,
    content_of: Callable[[str], bytes] = read_bytes,
) -> Logs:
    """Read many logs; one that is refused never stops the rest.

    Parameters
    ----------
    paths : sequence of str
        Files, as `expand_paths` lists them.
    options : ReadOptions, optional
    content_of : callable
        As for `read_log`.
    """
    options = options or ReadOptions()
    logs: list[LogReadings] = []
    refused: list[tuple[str, ThermlogError]] = []
    for held in _held(paths, content_of):
        plain = plain_logs([(one.file, one.content, one.sha256) for one in held], options)
        for place, one in enumerate(held):
            try:
                logs.append(_of_plain(plain[place]) if place in plain else one.read(options))
            except ThermlogError as refusal:
                refused.append((one.file, refusal))
    return Logs(logs=tuple(logs), refused=tuple(refused))


class _Held(Struct, frozen=True, kw_only=True):
    """Content of one file, or why there is none."""

    file: str
    content: bytes = b""
    sha256: str = ""
    refusal: ThermlogError | None = None

    def read(self, options: ReadOptions) -> LogReadings:
        if self.refusal is not None:
            raise self.refusal
        return _read(self.content, file=self.file, options=options, sha256=self.sha256)


def _held(paths: Sequence[str], content_of: Callable[[str], bytes]) -> Iterator[list[_Held]]:
    """Contents of some files at a time, no more than memory holds easily."""
    held: list[_Held] = []
    size = 0
    for path in paths:
        try:
            content = content_of(path)
        except ThermlogError as refusal:
            held.append(_Held(file=path, refusal=refusal))
            continue
        held.append(_Held(file=path, content=content, sha256=hashlib.sha256(content).hexdigest()))
        size += len(content)
        if size > _HELD_BYTES:
            yield held
            held, size = [], 0
    yield held


def _of_plain(log: PlainLog) -> LogReadings:
    return _as_log(plan=log.plan, gathered=log.gathered, delimiter="comma", encoding="UTF-8")
