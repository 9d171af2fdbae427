"""Lines of a sheet that are no readings, though they have the cells of a row: sums, titles, names.

A careful technician passes them over, and hears what they say of a brake. Answers were written before any log
was run; all numbers invented.
"""

from __future__ import annotations

import pytest
from answeredtext import CLEARED, HEAD, TABLE, answered

CALM = [
    "total,,632", "average,,79.0", "Average:,,79.0", "Summe,,316", "Mittelwert,,79", "moyenne,,79", "max,,90",
    "min,,60", "count,,8", "average of 8,,79", "grand total,,600", "sum,,=SUM(C2:C9)", "gemiddelde,,79",
    "suma,,600", "medelvärde,,79", "średnia,,79", "průměr,,79", "ortalama,,79", "total readings: 8,,",
    "end,,", "Checked by JB,,", "signature,,", "round 2,,", "end of round 1,,", "page 1 of 2,,", "all ok,,",
    ",end of log,", "wheel nuts torqued 120 Nm,,", "outside temp 18 C,,", "engine,,90", "air,,18", "Luft,,18",
    "date 2031-05-04,,", "tyres 2.4 bar,,", "drive 1 of 2,,", "test drive 20 min,,",
]  # fmt: skip
OPEN = [
    "max,,150",  # a highest value above all that was read
    ",,79.0",  # a reading of a wheel that nobody named
    "?,,79.0",
    ",LFX,",  # a wheel with a slip
    ",,OL",
    "RR binds,,", "vehicle washed,,", "RR smoking,,", "max,FL,150",
]  # fmt: skip


@pytest.mark.parametrize("line", CALM)
def test_sums_and_words_below_the_readings_leave_them_as_they_are(line: str) -> None:
    assert answered(f"{HEAD}{TABLE}{line}\n") == CLEARED


@pytest.mark.parametrize(
    "line", [one for one in CALM if "total" not in one and "sum" not in one.lower()][:12]
)
def test_they_do_so_between_the_rounds_too(line: str) -> None:
    lines = TABLE.splitlines()
    assert answered("\n".join([HEAD.strip(), *lines[:5], line, *lines[5:], ""])) == CLEARED


@pytest.mark.parametrize("line", OPEN)
def test_what_may_be_of_a_wheel_is_not_passed_over(line: str) -> None:
    assert answered(f"{HEAD}{TABLE}{line}\n").flagged


def test_a_wheel_in_the_place_of_the_time_names_its_row() -> None:
    assert answered(f"{HEAD}{TABLE}RR,,400\n").urgent == ("brake_hot",)


@pytest.mark.parametrize(
    "title",
    ["Brake temperature check,,", "Brake temperature,,", "Brake temperature check,,\nvehicle: van 7,,\n,,"],
)
def test_a_title_in_one_cell_of_the_sheet_is_no_header(title: str) -> None:
    """The row below it heads the log."""
    assert answered(f"{title}\n{HEAD}{TABLE}") == CLEARED
    assert answered(f"{HEAD}{title}\n{TABLE}") == CLEARED
