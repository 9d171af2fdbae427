"""A reading of 0 beside warm brakes: an empty one stored so, whoever states the air, or nobody.

A careful technician who finds a 0 in such a list asks whether that wheel was read at all. In winter a brake
may show 0: where the air says so, or another reading is as cold, it stands. All numbers are invented.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from judgecases import told_text

WARM = {"FL": (120, 108), "FR": (118, 106), "RL": (90, 81), "RR": (91, 82)}
HEAD = "time_s,position,temp_c"


def log_of(
    values: dict[str, tuple[object, object]],
    *,
    above: str = "",
    heading: str = HEAD,
    beside: str = "",
    below: str = "",
) -> str:
    """Two rounds, in the order of the wheels."""
    rows = [
        f"{15 + 15 * k + 300 * turn},{wheel},{both[turn]}{beside}"
        for turn in (0, 1)
        for k, (wheel, both) in enumerate(values.items())
    ]
    return f"{above}{heading}\n" + "\n".join(rows) + f"\n{below}"


# Where an air of 20 °C can stand, and nowhere.
AIRS = {
    "header": {"above": "# ambient: 20 C\n"},
    "column": {"heading": f"{HEAD},ambient_c", "beside": ",20"},
    "rows": {"below": "700,ambient,20\n"},
    "nowhere": {},
}


@pytest.mark.parametrize("where", AIRS)
@pytest.mark.parametrize("wheel", list(WARM))
@pytest.mark.parametrize("zero", ["0", "0.0", "-0"])
def test_a_wheel_that_reads_0_was_not_read(where, wheel, zero):
    """Neither is it called as a brake that does nothing, nor cleared of dragging."""
    one = told_text(log_of(WARM | {wheel: (zero, zero)}, **AIRS[where]))
    corner = {"FL": "1L", "FR": "1R", "RL": "2L", "RR": "2R"}[wheel]
    for answer in (one.answers.drag, one.answers.idle):
        assert (answer.answer, answer.corners) == ("cannot_tell", (corner,))
        assert answer.reasons[0].code == "no_value"
    assert one.next_check is not None
    assert one.next_check.id == "read_unread"
    codes = {reason.code for answer in one.answers.each for reason in answer.reasons}
    assert ("no_ambient" in codes) == (where == "nowhere")


@pytest.mark.parametrize("where", AIRS)
def test_a_single_0_leaves_what_else_was_read_there(where):
    one = told_text(log_of(WARM | {"RR": (91, 0)}, **AIRS[where]))
    assert [one.answers.drag.answer, one.answers.idle.answer] == ["no", "no"]
    assert [(aside.line, aside.code) for aside in one.log.set_aside if aside.corner == "2R"]


@pytest.mark.parametrize(
    ("other", "winter"), [("5", True), ("5.1", False), ("-3", True), ("0", False), ("19", False)]
)
def test_where_nobody_states_the_air_another_reading_as_cold_shows_that_it_may_be_true(other, winter):
    """The line is 5 °C, that of stated air; another 0 shows nothing."""
    values = {"FL": (60, 54), "FR": (61, 55), "RL": (other, other), "RR": (0, 0)}
    one = told_text(log_of(values))
    aside = {aside.corner for aside in one.log.set_aside}
    assert ("2R" in aside) is not winter


@pytest.mark.parametrize(("air", "kept"), [("5", True), ("5.1", False)])
@pytest.mark.parametrize("where", ["header", "column", "rows"])
def test_in_air_as_cold_as_that_a_0_stands(where, air, kept):
    how = {name: text.replace("20", air) for name, text in AIRS[where].items()}
    one = told_text(log_of(WARM | {"RR": (0, 0)}, **how))
    assert (not one.log.set_aside) is kept or where == "rows"
    assert (one.answers.idle.answer != "cannot_tell") is kept


def test_the_unit_is_that_of_the_readings():
    """0 °F, and 0 °C in a table in Fahrenheit, are stored empties alike; 0 °F beside an icy wheel is not."""
    warm = {"FL": (248, 226), "FR": (244, 223), "RL": (194, 178)}
    for zero in ("0", "32"):
        one = told_text(log_of(warm | {"RR": (zero, zero)}, heading="time_s,position,temp_f"))
        assert {aside.corner for aside in one.log.set_aside} == {"2R"}
    one = told_text(log_of(warm | {"RL": (14, 14), "RR": (0, 0)}, heading="time_s,position,temp_f"))
    assert not one.log.set_aside


def test_the_air_of_a_drive_is_its_own(thermlog):
    """Two vehicles in one file, one of them out in the frost."""
    rows = "".join(
        f"{unit},{15 + 15 * k + 300 * turn},{wheel},{0 if wheel == 'RR' else both[turn]},{air}\n"
        for unit, air in (("van", 20), ("truck", 2))
        for turn in (0, 1)
        for k, (wheel, both) in enumerate(WARM.items())
    )
    Path("two.csv").write_text(f"vehicle,{HEAD},ambient_c\n{rows}", encoding="utf-8")
    found = json.loads(thermlog("check", "two.csv", "--format", "json").out)
    idle = {one["vehicle"]: one["answers"]["idle"]["reasons"][0]["code"] for one in found}
    assert idle["van"] == "no_value"
    assert idle["truck"] != "no_value"


def test_the_cold_wheel_of_another_vehicle_shows_nothing(thermlog):
    rows = "".join(
        f"{unit},{15 + 15 * k + 300 * turn},{wheel},{at[wheel]}\n"
        for unit, cold in (("van", 90), ("truck", 2))
        for turn in (0, 1)
        for at in ({"FL": 60, "FR": 61, "RL": cold, "RR": 0},)
        for k, wheel in enumerate(at)
    )
    Path("two.csv").write_text(f"vehicle,{HEAD}\n{rows}", encoding="utf-8")
    found = json.loads(thermlog("check", "two.csv", "--format", "json").out)
    unread = {
        one["vehicle"]
        for one in found
        for why in one["answers"]["idle"]["reasons"]
        if (why["code"], why["corners"]) == ("no_value", ["2R"])
    }
    assert unread == {"van"}


def test_nothing_but_zeros_is_refused_with_the_cure(thermlog):
    Path("log.csv").write_text(log_of(dict.fromkeys(WARM, (0, 0))), encoding="utf-8")
    ran = thermlog("check", "log.csv")
    assert ran.code == 3
    assert "line 2" in ran.err
    assert "State the air (# ambient: 4 C), leave it empty, or read it again" in ran.err


def test_an_air_of_0_is_no_reading_of_a_wheel():
    one = told_text(log_of(WARM, below="700,ambient,0\n"))
    assert one.ambient_degc == 0.0
