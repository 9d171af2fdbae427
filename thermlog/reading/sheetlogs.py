"""Logs on the sheets of one workbook -> one log of several cases, and a word about every other sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, TypeVar

from msgspec.structs import replace

from thermlog.reading.cells import shown
from thermlog.reading.files.workbook import Sheet
from thermlog.words.errors import LogRefusedError
from thermlog.words.sentences import sentence
from thermlog.words.tables import Blind, Case, LogRecord, Readings, SetAside, stack_readings
from thermlog.words.unread import UnreadLog
from thermlog.words.vehicle import unit_key

_Understood = TypeVar("_Understood")
_MOST_NAMED = 12


class SheetLogs(Generic[_Understood]):
    """What the sheets of a workbook come to, gathered as they are read.

    Parameters
    ----------
    file : str
        For messages.
    """

    def __init__(self, *, file: str) -> None:
        self._file = file
        self._read: list[tuple[Sheet, LogRecord, Readings, _Understood]] = []
        self._passed: list[tuple[Sheet, LogRefusedError | None]] = []
        self._refused: dict[int, LogRefusedError] = {}  # by the number of the sheet
        self._said: list[tuple[Sheet, LogRefusedError, UnreadLog]] = []
        self._vast: list[Sheet] = []

    def take(self, sheet: Sheet, record: LogRecord, readings: Readings, understood: _Understood) -> None:
        """Take in a sheet that holds a log."""
        kept = replace(sheet, records=None)  # its cells are not needed any more
        self._read.append((kept, record, readings, understood))

    def pass_over(self, sheet: Sheet, refusal: LogRefusedError | None = None) -> None:
        """Note a sheet that holds none, and why; an empty one needs no reason."""
        why = refusal or sheet.refusal
        if why is not None:
            why = why.with_traceback(None)  # which holds the cells
            why.__context__ = None
            self._refused[len(self._read) + len(self._passed)] = why
        self._passed.append((replace(sheet, records=None), why))

    def unheard(self) -> frozenset[int]:
        """Numbers of the sheets that were passed over, and are not empty, beside one that holds a log."""
        return frozenset(self._refused) if self._read else frozenset()

    def hear(self, number: int, sheet: Sheet, said: UnreadLog | None) -> None:
        """Take in what a sheet says that was passed over; None for one that nobody looked through."""
        kept = replace(sheet, records=None)
        if said is None:
            self._vast.append(kept)
        elif said.dangers:
            self._said.append((kept, self._refused[number], said))

    def dangerous(self) -> tuple[LogRefusedError, ...]:
        """Why each sheet that says what stops a vehicle holds no log."""
        return tuple(
            _of_sheet(sheet, why, unread=replace(said, vehicle=self._vehicle(sheet, said), no_readings=False))
            for sheet, why, said in self._said
        )

    def _vehicle(self, sheet: Sheet, said: UnreadLog) -> str | None:
        """Vehicle of a sheet that was passed over: with readings it is called by its sheet like others."""
        called = said.vehicle is None and len(self._read) > 1 and not said.no_readings
        return shown(sheet.name) if called else said.vehicle

    def joined(self) -> tuple[LogRecord, Readings, Sequence[tuple[str, _Understood]]]:
        """One record, the readings of all sheets, and how each was understood.

        Raises
        ------
        LogRefusedError
            No sheet holds a log: the reason of the first that is not empty, with its name.
        """
        if not self._read:
            raise self._nothing()
        alone = len(self._read) == 1
        record = LogRecord(
            file=self._file,
            sha256=self._read[0][1].sha256,
            rows_read=sum(record.rows_read for _, record, _, _ in self._read),
            rows_used=sum(record.rows_used for _, record, _, _ in self._read),
            set_aside=tuple(self._set_aside(alone=alone)),
            notes=tuple(self._notes(alone=alone)),
        )
        stacked = stack_readings([readings for _, _, readings, _ in self._read])
        cases = [
            self._case(case, record, None if alone else sheet.name)
            for sheet, _, readings, _ in self._read
            for case in readings.cases
        ]
        named = [(sheet.name, understood) for sheet, _, _, understood in self._read]
        return record, replace(stacked, cases=tuple(cases)), named

    def _case(self, case: Case, record: LogRecord, sheet: str | None) -> Case:
        """The case with the record of the whole workbook, called by its sheet where nobody named its vehicle.

        What a sheet that was passed over says is of every vehicle that it may be of.
        """
        vehicle = case.vehicle if case.vehicle is not None or sheet is None else shown(sheet)
        unread = [
            Blind(code="unread_sight", line=one.line or 1, quoted=f"{shown(other.name)}: {one.said}")
            for other, _, said in self._said
            if _may_be_one(vehicle, self._vehicle(other, said))
            for one in said.dangers
        ]
        blind = tuple(sorted((*case.blind, *unread), key=lambda one: one.line))
        return replace(case, log=record, vehicle=vehicle, blind=blind)

    def _nothing(self) -> LogRefusedError:
        told = [(sheet, refusal) for sheet, refusal in self._passed if refusal is not None]
        if not told:
            return LogRefusedError(
                "the workbook is empty; a log needs a header line and readings", code="empty", file=self._file
            )
        sheet, first = told[0]
        if len(self._passed) == 1:
            return first
        more = "" if len(told) == 1 else f" (no log on {len(told)} sheets; this is the first)"
        return _of_sheet(sheet, first, more)

    def _set_aside(self, *, alone: bool) -> list[SetAside]:
        return [
            one if alone else replace(one, reason=sentence("{}: {}", _named(sheet), one.reason))
            for sheet, record, _, _ in self._read
            for one in record.set_aside
        ]

    def _notes(self, *, alone: bool) -> list[str]:
        notes: list[str] = []
        for sheet, record, _, _ in self._read:
            own = [*sheet.notes, *record.notes]
            notes += own if alone else [sentence("{}: {}", _named(sheet), note) for note in own]
            if sheet.hidden:
                notes.append(f"{_named(sheet)} is hidden; read like any other")
        passed = [_passed_words(sheet, refusal) for sheet, refusal in self._passed]
        if len(passed) > _MOST_NAMED:
            passed[_MOST_NAMED:] = [f"{len(passed) - _MOST_NAMED} more sheets passed over"]
        vast = [f"{_named(sheet)} not looked through for what stops a vehicle" for sheet in self._vast]
        return [*notes, *passed, *vast[:_MOST_NAMED]]


def _of_sheet(
    sheet: Sheet, why: LogRefusedError, more: str = "", unread: UnreadLog | None = None
) -> LogRefusedError:
    """A refusal with the name of its sheet."""
    return LogRefusedError(
        f"{_named(sheet)}: {why.problem}{more}",
        code=why.code,
        file=why.file,
        line=why.line,
        column=why.column,
        value=why.value,
        hint=None if unread is not None else why.hint,
        unread=unread,
    )


def _named(sheet: Sheet) -> str:
    return f'sheet "{shown(sheet.name)}"'


def _may_be_one(vehicle: str | None, other: str | None) -> bool:
    """True unless two vehicles have names of their own."""
    return vehicle is None or other is None or unit_key(vehicle) == unit_key(other)


def _passed_words(sheet: Sheet, refusal: LogRefusedError | None) -> str:
    hidden = ", which is hidden," if sheet.hidden else ""
    why = "it is empty" if refusal is None else refusal.problem
    where = "" if refusal is None or refusal.line is None else f"line {refusal.line}: "
    return f"{_named(sheet)}{hidden} passed over: {where}{why}"
