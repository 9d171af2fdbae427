"""Readings that whoever took them did not mean: a later line takes them back, nothing is rewritten."""

from __future__ import annotations

import re

from thermlog.reading.cells import shown, tidy
from thermlog.reading.sifted import LogRows, StepResult
from thermlog.reading.statements import Said
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular
from thermlog.words.tables import SetAside

_SAID = regular(r"(?:line\s*)?(?P<line>\d{1,9})(?:\s*,\s*(?P<reading>.+))?", re.IGNORECASE)


def taken_back(rows: LogRows) -> StepResult[None]:
    """Every reading that a line ``# taken back: line 13, 2L 73`` names.

    Wheel and value behind the number may be left out; where they stand they must be those of the line.

    Raises
    ------
    LogRefusedError
        No reading stands in that line, or another one.
    """
    said = rows.asked.statements.taken_back
    row_of = {line: row for row, line in enumerate(rows.seen.line)} if said else {}
    aside: dict[int, SetAside] = {}
    for one in said:
        row, reason = _row(one, row_of, rows), f"taken back in line {one.line} by whoever took it"
        aside.setdefault(row, rows.temp_aside(row, "taken_back", reason))
    return StepResult(found=None, aside=aside)


def _row(one: Said, row_of: dict[int, int], rows: LogRows) -> int:
    found = _SAID.fullmatch(tidy(one.text))
    row = None if found is None else row_of.get(int(found["line"]))
    if found is None or row is None:
        raise _refusal(one, rows, "no reading stands there")
    reading = f"{tidy(rows.seen.position[row])} {tidy(rows.seen.temp[row])}"
    if found["reading"] is not None and found["reading"] != reading:
        raise _refusal(one, rows, f'"{shown(reading)}" stands there')
    return row


def _refusal(one: Said, rows: LogRows, found: str) -> LogRefusedError:
    cure = "write the line of the reading, as in: # taken back: line 13, 2L 73; or remove this line"
    return LogRefusedError(
        f"{found}; {cure}",
        code="taken_back",
        file=rows.asked.file,
        line=one.line,
        column=f"# {one.key}",
        value=shown(one.text),
    )
