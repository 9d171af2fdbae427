"""Readings that whoever took them did not mean: a later line takes them back, nothing is rewritten."""

from __future__ import annotations

import re

from thermlog.reading.cells import shown, tidy
from thermlog.reading.sifting import Sifting
from thermlog.reading.statements import Said
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular

_SAID = regular(r"(?:line\s*)?(?P<line>\d{1,9})(?:\s*,\s*(?P<reading>.+))?", re.IGNORECASE)


def take_back(work: Sifting) -> None:
    """Set every reading aside that a line ``# taken back: line 13, 2L 73`` names.

    Wheel and value behind the number may be left out; where they stand they must be those of the line.

    Raises
    ------
    LogRefusedError
        No reading stands in that line, or another one.
    """
    said = work.asked.statements.taken_back
    row_of = {line: row for row, line in enumerate(work.seen.line)} if said else {}
    for one in said:
        row = _row(one, row_of, work)
        work.drop_temp(row, "taken_back", f"taken back in line {one.line} by whoever took it")


def _row(one: Said, row_of: dict[int, int], work: Sifting) -> int:
    found = _SAID.fullmatch(tidy(one.text))
    row = None if found is None else row_of.get(int(found["line"]))
    if found is None or row is None:
        raise _refusal(one, work, "no reading stands there")
    reading = f"{tidy(work.seen.position[row])} {tidy(work.seen.temp[row])}"
    if found["reading"] is not None and found["reading"] != reading:
        raise _refusal(one, work, f'"{shown(reading)}" stands there')
    return row


def _refusal(one: Said, work: Sifting, found: str) -> LogRefusedError:
    cure = "write the line of the reading, as in: # taken back: line 13, 2L 73; or remove this line"
    return LogRefusedError(
        f"{found}; {cure}",
        code="taken_back",
        file=work.asked.file,
        line=one.line,
        column=f"# {one.key}",
        value=shown(one.text),
    )
