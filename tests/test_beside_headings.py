"""Columns headed "wheel ..." or "brake ..." beside that of the wheels: pressures, torques, nuts, linings.

A careful technician reads the wheel from the column of wheels and the rest as what it says. Answers were
written before any log was run; all numbers invented.
"""

from __future__ import annotations

import pytest
from answeredtext import CLEARED, HEAD, ROWS, answered
from readcases import read

HEADINGS = [
    ("wheel pressure", "2.4"), ("wheel pressure (bar)", "2.4"), ("wheel torque (Nm)", "120"),
    ("brake type", "disc"), ("brake pads mm", "8"), ("wheel nuts", "ok"), ("wheel bearing", "ok"),
    ("wheel size", "205/55"), ("brake pressure (bar)", "12"), ("brake pressure (bar)", "0"),
    ("wheel speed", "0"), ("brake wear mm", "3"),
]  # fmt: skip
SIDES = {"FL": "1,L", "FR": "1,R", "RL": "2,L", "RR": "2,R"}


def table(heading: str, cells: dict[str, str], usual: str, *, wheels: str = "wheel") -> str:
    """The healthy car with such a column behind its temperatures."""
    rows = [
        f"{at},{SIDES[wheel] if ',' in wheels else wheel},{degc},{cells.get(wheel, usual)}"
        for at, wheel, degc in ROWS
    ]
    return "\n".join([f"{HEAD}time_s,{wheels},brake temperature (C),{heading}", *rows, ""])


@pytest.mark.parametrize("wheels", ["wheel", "position", "axle,side"])
@pytest.mark.parametrize(("heading", "usual"), HEADINGS)
def test_what_says_more_than_a_wheel_is_no_column_of_wheels(heading: str, usual: str, wheels: str) -> None:
    assert answered(table(heading, {}, usual, wheels=wheels)) == CLEARED


@pytest.mark.parametrize(
    ("heading", "odd", "usual", "urgent"),
    [
        ("wheel nuts", "loose", "ok", ("loose",)), ("wheel pressure (bar)", "0", "2.4", ("burst",)),
        ("wheel bearing", "noisy", "ok", ("grind",)), ("brake condition", "seized", "ok", ()),
        ("brake turns freely", "no", "yes", ()),
    ],
)  # fmt: skip
def test_what_it_says_of_a_wheel_is_heard(
    heading: str, odd: str, usual: str, urgent: tuple[str, ...]
) -> None:
    found = answered(table(heading, {"RR": odd}, usual))
    assert (found.flagged, found.urgent) == (True, urgent)


def test_brake_beside_wheel_is_the_temperature_where_nothing_else_is() -> None:
    rows = [",".join(row) for row in ROWS]
    assert answered("\n".join([f"{HEAD}# unit: C\ntime_s,wheel,brake", *rows, ""])) == CLEARED
    kinds = [f"{at},{wheel},disc,{degc}" for at, wheel, degc in ROWS]
    assert answered("\n".join([f"{HEAD}time_s,wheel,brake,temp_c", *kinds, ""])) == CLEARED


def test_a_column_of_places_is_still_the_spot() -> None:
    rows = [f"{at},{wheel},{degc},hub" for at, wheel, degc in ROWS]
    log = read("\n".join([f"{HEAD}time_s,wheel,temp_c,point", *rows, ""]))
    assert log.understood.columns["spot"] == "point"


@pytest.mark.parametrize("heading", ["repeat reading", "second reading", "max reading", "recheck temp"])
def test_a_second_reading_in_a_column_of_its_own_is_held_against_the_first(heading: str) -> None:
    """Blank, or alike, it changes nothing; 160 °C beside 68.5 °C leaves that wheel open."""
    assert answered(table(heading, {}, "")) == CLEARED
    assert answered(table(heading, {"RR": "68"}, "")) == CLEARED
    assert answered(table(heading, {"RR": "160"}, "")).flagged


def test_a_distance_headed_in_short_is_one() -> None:
    assert answered(table("gun dist m", {}, "0.3")) == CLEARED
    assert answered(table("gun dist m", {"RR": "5"}, "0.3")).flagged
