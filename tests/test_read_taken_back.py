"""A reading that was taken back: in the file, set aside, and as if never taken."""

from __future__ import annotations

import pytest

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.reading.gathered import LogReadings
from thermlog.reading.read import read_content
from thermlog.reading.statements import read_statements
from thermlog.words.errors import LogRefusedError

HEAD = "# ambient: 18 C\nsince_parked_s,position,temp_c,note\n"
ROWS = "20,1L,177,\n38,1R,126,\n56,2R,67,\n75,2L,73,\n"  # lines 3 to 6


def log(text: str) -> LogReadings:
    return read_content(text.encode(), file="log.csv")


def answers(text: str):
    found = diagnoses(judge(log(text).readings, Settings()))
    return next(iter(found)).answers


@pytest.mark.parametrize("cell", ["737", "OL", "---", "cold"])
def test_what_was_taken_back_is_as_if_never_read(cell):
    """Also where it alone was urgent, blind or no number: the answers are those of the log without it."""
    slip = f"{HEAD}{ROWS}90,2L,{cell},\n# taken back: line 7, 2L {cell}\n95,2L,74,\n"
    plain = f"{HEAD}{ROWS}95,2L,74,\n"
    assert answers(slip) == answers(plain)
    kept = log(slip).record
    assert [(one.code, one.line, one.corner) for one in kept.set_aside] == [("taken_back", 7, "2L")]
    assert (kept.rows_read, kept.rows_used) == (6, 5)


def test_several_are_taken_back_and_the_number_alone_will_do():
    found = log(f"{HEAD}{ROWS}# undo: 5\n# taken back: Line 6\n95,2L,74,\n")
    assert [one.line for one in found.record.set_aside] == [5, 6]


def test_air_that_was_taken_back_is_no_air():
    """The median of 18 and 30 °C would be 24."""
    rows = HEAD.removeprefix("# ambient: 18 C\n") + ROWS + "90,ambient,18,\n95,ambient,30,\n"
    assert log(rows).readings.cases[0].ambient_degc == 24.0
    assert log(f"{rows}# taken back: line 7\n").readings.cases[0].ambient_degc == 18.0


@pytest.mark.parametrize(
    ("said", "found"),
    [("line 5, 2L 73", '"2R 67" stands there'), ("line 99", "no reading"), ("line 2", "no reading"),
     ("the last one", "no reading"), ("line 5, 2R 6", '"2R 67" stands there')],
)  # fmt: skip
def test_another_reading_is_refused_by_name(said, found):
    with pytest.raises(LogRefusedError) as refusal:
        log(f"{HEAD}{ROWS}# taken back: {said}\n")
    assert (refusal.value.code, refusal.value.line, refusal.value.value) == ("taken_back", 7, said)
    assert found in refusal.value.problem


def test_lines_between_drives_are_collected_too():
    """Another drive begins in line 7; what is taken back there counts as well."""
    found = log(f"# drive: normal\n{HEAD}{ROWS}# drive: coast\n# taken back: line 5\n10,1L,60,\n20,1R,50,\n")
    assert [(one.code, one.line) for one in found.record.set_aside] == [("taken_back", 5)]


def test_nothing_said_is_nothing_taken_back():
    assert read_statements([], file="log.csv").taken_back == ()
