"""Tables side by side on one sheet: read one below the other where they are plainly of one walk.

A careful technician reads the fronts left and the rears right of a sheet as one walk; two tables of the same
wheels at the same times are of two vehicles, or two drives. Answers were written before any log was run.
"""

from __future__ import annotations

import io

import pytest
import xlsxwriter
from answeredtext import CLEARED, HEAD, ROWS, answered
from readcases import read

from thermlog.words.errors import LogRefusedError

HEADING = "time_s,position,temp_c"
FRONTS = [row for row in ROWS if row[1][0] == "F"]
REARS = [row for row in ROWS if row[1][0] == "R"]


def beside(left, right, *, gap: str = ",,", title: str = "") -> str:
    """Two tables with one heading, row by row."""
    rows = [f"{','.join(a)}{gap}{','.join(b)}" for a, b in zip(left, right, strict=True)]
    return "\n".join([f"{HEAD}{title}{HEADING}{gap}{HEADING}", *rows, ""])


@pytest.mark.parametrize("gap", [",,", ",", ",,,"])
def test_fronts_and_rears_side_by_side_are_one_walk(gap: str) -> None:
    assert answered(beside(FRONTS, REARS, gap=gap)) == CLEARED
    hot = [(at, wheel, "138.5" if wheel == "RR" else degc) for at, wheel, degc in REARS]
    assert answered(beside(FRONTS, hot, gap=gap)).drag == "yes"


def test_so_are_two_rounds_and_a_title_over_the_sheet() -> None:
    assert answered(beside(ROWS[:4], ROWS[4:])) == CLEARED
    assert answered(beside(FRONTS, REARS, title="Brake check,,,,,,\n")) == CLEARED


def test_every_reading_keeps_its_line_and_a_note_says_what_was_done() -> None:
    log = read(beside(FRONTS, REARS))
    assert log.record.rows_read == log.record.rows_used == len(ROWS)
    assert sorted(set(log.readings.line.tolist())) == [3, 4, 5, 6]
    assert any("side by side" in note for note in log.record.notes)


@pytest.mark.parametrize(
    "text", [beside(ROWS, ROWS), beside(FRONTS, REARS, title="van 1,,,,van 2,,\n")], ids=["same", "titled"]
)
def test_what_may_be_of_two_vehicles_is_refused_with_the_cure(text: str) -> None:
    with pytest.raises(LogRefusedError, match="put them one below the other"):
        read(text)


def test_a_workbook_with_tables_side_by_side_is_read_too() -> None:
    kept = io.BytesIO()
    book = xlsxwriter.Workbook(kept, {"in_memory": True})
    sheet = book.add_worksheet("walk")
    sheet.write_row(0, 0, ["ambient: 18 C"])
    sheet.write_row(1, 0, [*HEADING.split(","), "", *HEADING.split(",")])
    for k, (a, b) in enumerate(zip(FRONTS, REARS, strict=True)):
        sheet.write_row(2 + k, 0, [float(a[0]), a[1], float(a[2]), "", float(b[0]), b[1], float(b[2])])
    book.close()
    assert read(kept.getvalue()).record.rows_used == len(ROWS)
