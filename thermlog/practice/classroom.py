"""Cases for a class: logs without an answer in one folder, and a key in a file apart.

The folder carries the hash of the key, so that a class can see afterwards that nobody changed it. The seeds
in the key cannot be guessed from the hash or a log unless the seed of the series was.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import msgspec
from msgspec import Struct

from thermlog.practice.cases import CaseOrder, PracticeCase
from thermlog.practice.commitment import commitment_of_words
from thermlog.practice.marking import PlantedFault, marked, planted_truth
from thermlog.practice.scorefile import OpenSeries
from thermlog.practice.series import Answered, nth_case
from thermlog.practice.topics import Topic
from thermlog.words.bounds import Count, Sha256
from thermlog.words.errors import OptionError, ScoreRefusedError
from thermlog.words.version import __version__

SHEET_COLUMNS = ["case", "finding", "place", "sure", "next"]
_SHOWN = 60  # characters of a line that is refused
KEY_SCHEMA: Literal["thermlog-practice-key-1"] = "thermlog-practice-key-1"


class KeyCase(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The answer to one log: its file and hash, how it is made again, and what was planted."""

    number: Count
    file: str
    sha256: Sha256
    case: CaseOrder
    topic: Topic
    truth: PlantedFault


class AnswerKey(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The answers to all logs of a folder."""

    schema: Literal["thermlog-practice-key-1"]
    tool: str
    series: OpenSeries
    cases: tuple[KeyCase, ...]


class WrittenCases(Struct, frozen=True, kw_only=True):
    """Everything that is written: (name, text) of the logs, the sheet for the class, the key."""

    logs: tuple[tuple[str, str], ...]
    sheet: tuple[str, str]
    key: str


def written_cases(plan: OpenSeries) -> WrittenCases:
    """All logs of a series, with their key.

    Parameters
    ----------
    plan : OpenSeries

    Returns
    -------
    WrittenCases
        The same plan, the same bytes.
    """
    logs, entries = [], []
    for number in range(1, plan.length + 1):
        case = nth_case(plan, number)
        name = f"case_{number:03d}.csv"
        logs.append((name, case.log))
        entries.append(
            KeyCase(
                number=number,
                file=name,
                sha256=hashlib.sha256(case.log.encode()).hexdigest(),
                case=case.order,
                topic=case.topic,
                truth=planted_truth(case.made.fault, case.corners),
            )
        )
    key = AnswerKey(schema=KEY_SCHEMA, tool=__version__, series=plan, cases=tuple(entries))
    text = msgspec.json.format(msgspec.json.encode(key), indent=2).decode() + "\n"
    return WrittenCases(
        logs=tuple(logs), sheet=("answers.csv", "\n".join(_sheet(plan, text)) + "\n"), key=text
    )


def _sheet(plan: OpenSeries, key: str) -> Iterator[str]:
    """What the class fills in."""
    yield "# finding: drag, idle, hub, nothing or cannot_tell; place: 1L, 2, 1L+2R or all, else empty"
    yield "# sure: guess (0.5), fairly (0.75), sure (0.95) or a probability; a wrong sure costs most"
    yield "# next: again, coast, braking, mark, wheel, clear or keep"
    yield f"# sha256 of the key: {hashlib.sha256(key.encode()).hexdigest()}"
    yield ",".join(SHEET_COLUMNS)
    yield from (f"{number},,,," for number in range(1, plan.length + 1))


class SheetAnswer(Struct, frozen=True, kw_only=True):
    """One row of an answer sheet that was filled in."""

    number: int
    text: str


def marked_sheet(key_path: str, sheet_path: str) -> tuple[OpenSeries, list[Answered]]:
    """Mark a filled-in answer sheet by its key.

    Parameters
    ----------
    key_path, sheet_path : str

    Returns
    -------
    OpenSeries
        Of the key.
    list of Answered
        In the order of the sheet; rows without a finding are left out.

    Raises
    ------
    ScoreRefusedError
        A file cannot be read, is no key or no sheet, or the key is of another version that makes other logs.
    OptionError
        An answer is not understood; the line is named.
    """
    key = load_key(key_path)
    by_number = {one.number: one for one in key.cases}
    answered: list[Answered] = []
    for line, one in _sheet_rows(sheet_path):
        entry = by_number.get(one.number)
        if entry is None:
            msg = f"{sheet_path}, line {line}: the key has no case {one.number}; it has 1 to {len(by_number)}"
            raise ScoreRefusedError(msg)
        case = PracticeCase(entry.case)
        if hashlib.sha256(case.log.encode()).hexdigest() != entry.sha256:
            msg = f"{key_path}: this version of thermlog makes another case {one.number}; use {key.tool}"
            raise ScoreRefusedError(msg)
        try:
            said = commitment_of_words(one.text, case.corners)
        except OptionError as fault:
            msg = f"{sheet_path}, line {line}: {fault}"
            raise OptionError(msg) from fault
        answered.append(Answered(case=case, number=one.number, told=marked(case, said)))
    return key.series, answered


def _sheet_rows(path: str) -> Iterator[tuple[int, SheetAnswer]]:
    """Rows with a finding, each with its line; comments and empty lines are passed over."""
    try:
        lines = Path(path).read_text(encoding="utf-8-sig").splitlines()
    except OSError as fault:
        msg = f"{path}: cannot be opened ({fault.strerror}); name the answer sheet"
        raise ScoreRefusedError(msg) from fault
    except UnicodeDecodeError as fault:
        msg = f"{path}: is no text in UTF-8; save the answer sheet as CSV in UTF-8"
        raise ScoreRefusedError(msg) from fault
    told = [(number, line) for number, line in enumerate(lines, 1) if line.strip(" ,;\t") and line[0] != "#"]
    head = told[0][1] if told else ""
    mark = next((one for one in ";\t" if one in head), ",")  # as the spreadsheet's country has it
    if not told or _cells(head, mark) != SHEET_COLUMNS:
        msg = f"{path}: no answer sheet; its columns are {','.join(SHEET_COLUMNS)}"
        raise ScoreRefusedError(msg)
    for number, line in told[1:]:
        cells = _cells(line, mark)
        if not cells or not cells[0].isdecimal() or len(cells) > len(SHEET_COLUMNS):
            msg = f'{path}, line {number}: "{line[:_SHOWN]}" is no row of {",".join(SHEET_COLUMNS)}'
            raise ScoreRefusedError(msg)
        if any(cells[1:]):
            yield number, SheetAnswer(number=int(cells[0]), text=" ".join(filter(None, cells[1:])))


def _cells(line: str, mark: str) -> list[str]:
    """Cells of one line; none of one that is no line of a table."""
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=mark, skipinitialspace=True))]
    except csv.Error:
        return []


def load_key(path: str) -> AnswerKey:
    """Read a key.

    Raises
    ------
    ScoreRefusedError
        The file cannot be read or is no key of thermlog.
    """
    try:
        return msgspec.json.decode(Path(path).read_bytes(), type=AnswerKey)
    except OSError as fault:
        msg = f"{path}: cannot be opened ({fault.strerror}); name the key of the cases"
        raise ScoreRefusedError(msg) from fault
    except msgspec.MsgspecError as fault:
        msg = f"{path}: no key of practice cases ({fault}); name the file that was written with them"
        raise ScoreRefusedError(msg) from fault
