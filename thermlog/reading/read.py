"""Logs to readings: the one door through which bytes come in."""

from __future__ import annotations

import hashlib
import os
from codecs import BOM_UTF8
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.files.rawtext import read_bytes
from thermlog.reading.gathered import LogReadings, as_log
from thermlog.reading.plainlogs import PlainLog, plain_logs
from thermlog.reading.readoptions import ReadOptions
from thermlog.words.errors import LogRefusedError, ThermlogError, TroubleCode
from thermlog.words.tables import Readings, stack_readings
from thermlog.words.unread import UnreadDanger, UnreadLog

if TYPE_CHECKING:
    from thermlog.reading.files.paths import Expanded

_HELD_BYTES = 1 << 22  # of many small logs a thousand or more


class Unreadable(Struct, frozen=True, kw_only=True):
    """A log that was refused, and why.

    Attributes
    ----------
    file : str
            Path as given.
    reason : str
        File, line, column, value found and the cure, as far as they are known.
    problem : str
        The same without the file, by which files with one trouble stand together.
    code : TroubleCode
        The same for programs; more may come.
    line, column, value : int, str, str or None
        Where in the file, and what stands there; None where there is no such place.
    vehicle : str or None
        As stated in it.
    dangers : tuple of UnreadDanger
        What it says that stops the vehicle; not read is not cleared.
    """

    file: str
    reason: str
    problem: str
    code: TroubleCode
    line: int | None = None
    column: str | None = None
    value: str | None = None
    vehicle: str | None = None
    dangers: tuple[UnreadDanger, ...] = ()


def unreadable_for(refusal: ThermlogError, file: str) -> Unreadable:
    """The log that a refusal stops; one for the fault of another file names both."""
    own = refusal.file == file
    return Unreadable(
        file=file,
        reason=str(refusal) if own else f"{file}: {refusal}",
        problem=refusal.without_file() if own else str(refusal),
        code=refusal.code,
        line=refusal.line,
        column=refusal.column,
        value=refusal.value,
        vehicle=None if refusal.unread is None else refusal.unread.vehicle,
        dangers=() if refusal.unread is None else refusal.unread.dangers,
    )


def unreadable_paths(found: Expanded) -> list[Unreadable]:
    """Paths that are no logs to read."""
    return [unreadable_for(one, one.file) for one in found.refused]


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
    return _carefully(content, file=file, options=options or ReadOptions(), sha256=sha256)


def _carefully(content: bytes, *, file: str, options: ReadOptions, sha256: str) -> LogReadings:
    from thermlog.reading.careful import read_carefully  # thirty modules that plain logs do without

    try:
        return read_carefully(content, file=file, options=options, sha256=sha256)
    except LogRefusedError as refusal:
        from thermlog.reading.lookedthrough import looked_through

        refusal.unread = looked_through(content, file=file, options=options)
        raise


def unread_log(file: str, options: ReadOptions, content_of: Callable[[str], bytes]) -> UnreadLog:
    """What a log that is not judged, though it can be read, says that stops its vehicle."""
    from thermlog.reading.lookedthrough import looked_through

    return looked_through(content_of(file), file=file, options=options)


def stated_vehicle(file: str, content_of: Callable[[str], bytes]) -> str | None:
    """Vehicle named above the readings, also in a log that is refused; None if none is."""
    from thermlog.reading.careful import vehicle_above

    try:
        return vehicle_above(content_of(file), file=file)
    except LogRefusedError:
        return None


class Logs(Struct, frozen=True, kw_only=True, eq=False):
    """Many logs.

    Attributes
    ----------
    logs : tuple of LogReadings
        Those that could be read, in the order given.
    refused : tuple of (str, ThermlogError)
        The paths of the others, and why; and those of workbooks with a sheet that was passed over and says
        what stops a vehicle.
    texts : mapping
        File -> mark of its text, the same for files that differ in line ends and the like alone.
    """

    logs: tuple[LogReadings, ...]
    refused: tuple[tuple[str, ThermlogError], ...]
    texts: Mapping[str, str] = {}

    def readings(self) -> Readings:
        """Of all logs, stacked."""
        return stack_readings([log.readings for log in self.logs])

    def of_new_content(self) -> Logs:
        """The first log of every content."""
        first: dict[str, LogReadings] = {}
        for log in self.logs:
            first.setdefault(self.text_of(log), log)
        return replace(self, logs=tuple(first.values()))

    def text_of(self, log: LogReadings) -> str:
        """Mark of the text of one of the logs."""
        return self.texts.get(log.record.file, log.record.sha256)

    def copies(self) -> dict[str, str]:
        """Every log of the same content as one before it, and that one."""
        first: dict[str, str] = {}
        files = ((log.record.file, first.setdefault(self.text_of(log), log.record.file)) for log in self.logs)
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
    texts: dict[str, str] = {}
    for held in _held(paths, content_of):
        plain = plain_logs([(one.file, one.content, one.sha256) for one in held], options)
        for place, one in enumerate(held):
            texts[one.file] = _mark_of_text(one.content, one.sha256)
            try:
                log = _of_plain(plain[place]) if place in plain else one.read(options)
            except ThermlogError as refusal:
                refused.append((one.file, refusal))
            else:
                logs.append(log)
                refused += [(one.file, sheet) for sheet in log.passed]
    return Logs(logs=tuple(logs), refused=tuple(refused), texts=texts)


def _mark_of_text(content: bytes, sha256: str) -> str:
    """Hash of a text without what saving it again changes: byte order mark, line ends, blank lines below."""
    if b"\r" not in content and content.endswith(b"\n") and not content.endswith(b"\n\n"):
        bare = content.removeprefix(BOM_UTF8)
    else:
        bare = content.removeprefix(BOM_UTF8).replace(b"\r\n", b"\n").replace(b"\r", b"\n").rstrip() + b"\n"
    return sha256 if bare == content else hashlib.sha256(bare).hexdigest()


class _Held(Struct, frozen=True, kw_only=True):
    """Content of one file, or why there is none."""

    file: str
    content: bytes = b""
    sha256: str = ""
    refusal: ThermlogError | None = None

    def read(self, options: ReadOptions) -> LogReadings:
        if self.refusal is not None:
            raise self.refusal
        return _carefully(self.content, file=self.file, options=options, sha256=self.sha256)


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
    return as_log(plan=log.plan, gathered=log.gathered, delimiter="comma", encoding="UTF-8")
