"""An average above the readings tells of something hotter that the log lacks; all readings invented."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

COOLING = {"LF": (110, 101, 93), "RF": (108, 99, 91), "LR": (70, 64, 59), "RR": (71, 65, 60)}


@pytest.fixture
def answered(thermlog):
    """Drag answer of a van that cools evenly, with a column beside, or rows below."""

    def run(heading="", cells=None, below=""):
        head = "time_s,position,temp_c" + (f",{heading}" if heading else "")
        rows = [
            f"{300 * turn + 20 * place},{wheel},{degc[turn]}" + (f",{cells(wheel, turn)}" if cells else "")
            for turn in range(3)
            for place, (wheel, degc) in enumerate(COOLING.items())
        ]
        text = "\n".join(["# ambient: 16 C", head, *rows, below, ""])
        Path("a.csv").write_text(text, encoding="utf-8")
        return json.loads(thermlog("check", "a.csv", "--format", "json", "--exit-zero").out)["answers"][
            "drag"
        ]

    return run


@pytest.mark.parametrize("word", ["avg", "mean", "Average", "Mittelwert", "Durchschnitt"])
def test_an_average_of_all_that_is_above_all_readings_was_made_of_something_hotter(answered, word):
    """Hottest reading 110; 15 K more may be another aim, as for a highest value."""
    assert answered(below=f"700,{word},190")["answer"] == "cannot_tell"
    assert answered(below=f"700,{word},126")["answer"] == "cannot_tell"
    assert answered(below=f"700,{word},125")["answer"] == "no"
    assert answered(below=f"700,{word},85")["answer"] == "no"


@pytest.mark.parametrize("heading", ["mean_c", "average temp", "avg temp (C)", "Mittelwert"])
def test_an_average_above_all_readings_of_its_wheel_leaves_that_wheel_open(answered, heading):
    """LR was read at 70 at most: an average of 90 there holds a shot that the log does not."""
    drag = answered(heading, lambda wheel, turn: 90 if (wheel, turn) == ("LR", 0) else "")
    assert drag["answer"] == "cannot_tell"
    assert [(one["code"], one["corners"]) for one in drag["reasons"]] == [("aside_hotter", ["2L"])]


@pytest.mark.parametrize(
    "cells",
    [
        lambda wheel, turn: COOLING[wheel][turn] + 2,
        lambda wheel, turn: (COOLING["LF"][turn] + COOLING["RF"][turn]) / 2 if wheel[1] == "F" else "",
        lambda *_: 90,
        lambda *_: "---",
    ],
    ids=["of shots", "of an axle", "of the round", "none"],
)
def test_averages_of_what_was_read_open_nothing(answered, cells):
    assert answered("mean_c", cells)["answer"] == "no"


def test_the_mean_of_one_thing_of_several_wheels_is_no_mean_of_a_wheel(answered):
    assert answered("axle mean (C)", lambda *_: 190)["answer"] == "no"


def test_a_mean_at_several_wheels_above_all_that_was_read_opens_them(answered):
    drag = answered("mean_c", lambda wheel, turn: 190 if (turn, wheel[1]) == (0, "R") else "")
    assert drag["answer"] == "cannot_tell"
    assert {corner for one in drag["reasons"] for corner in one["corners"]} == {"2L", "2R"}


def test_avg_is_the_front_left_where_the_columns_are_wheels(thermlog):
    """French codes, a column a wheel."""
    table = "# ambient: 15 C\ntime_s,AVG,AVD,ARG,ARD\n20,70,71,65,66\n200,67,68,62,63\n"
    Path("wide.csv").write_text(table, encoding="utf-8")
    corners = json.loads(thermlog("check", "wide.csv", "--format", "json").out)["corners"]
    assert {one["corner"] for one in corners} == {"1L", "1R", "2L", "2R"}
