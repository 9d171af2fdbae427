"""Cells that a spreadsheet merged over all readings of a wheel: the wheel stands in the first row alone.

Where the table is plainly wheel by wheel the wheel is that of all its rows; in the order of a walk a blank is
a wheel that nobody wrote down, and clears nothing. Answers were written before any log was run.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_asked_columns import ROWS

from thermlog.reading.mergedcells import axles_filled_down, filled_down

HOT = {57: 171.7, 251: 156.1, 477: 141.8}  # the rear right 90, 82 and 75 K above what the sound van has


@pytest.fixture
def told(thermlog):
    """Exit code, and both answers with the wheels they name."""

    def run(text):
        Path("walk.csv").write_text(text, encoding="utf-8")
        ran = thermlog("check", "walk.csv", "--format", "json")
        answers = json.loads(ran.out)["answers"]
        return ran.code, *((answers[one]["answer"], answers[one]["corners"]) for one in ("drag", "idle"))

    return run


def by_wheel(hot=(), leave_out=()):
    """The walk wheel by wheel, each named once."""
    lines = ["# ambient: 16 C", "wheel,time_s,temp_c"]
    for wheel in ("FL", "FR", "RL", "RR"):
        own = [(at, degc) for at, one, degc in ROWS if one == wheel and at not in leave_out]
        for k, (at, degc) in enumerate(own):
            lines.append(f"{'' if k else wheel},{at},{HOT[at] if wheel in hot else degc}")
    return "\n".join([*lines, ""])


def test_a_sound_vehicle_is_cleared(told):
    assert told(by_wheel()) == (0, ("no", []), ("no", []))


def test_the_hot_wheel_is_found_at_its_name(told):
    assert told(by_wheel(hot={"RR"}))[:2] == (1, ("yes", ["2R"]))


def test_the_note_says_what_was_taken(thermlog):
    Path("walk.csv").write_text(by_wheel(), encoding="utf-8")
    assert "a wheel stands once over its readings" in thermlog("inspect", "walk.csv").out


def test_wheels_of_unlike_many_readings_are_not_filled(told):
    """One reading less at a wheel: a name may be missing there."""
    code, (drag, _), _ = told(by_wheel(leave_out={477}))
    assert (code, drag) == (1, "cannot_tell")


def test_a_blank_in_the_order_of_a_walk_is_a_wheel_nobody_wrote_down(told):
    lines = [f"{wheel if wheel[1] == 'L' else ''},{at},{degc}" for at, wheel, degc in ROWS]
    code, (drag, _), _ = told("\n".join(["# ambient: 16 C", "wheel,time_s,temp_c", *lines, ""]))
    assert (code, drag) == (1, "cannot_tell")


@pytest.mark.parametrize(
    ("wheels", "times"),
    [
        (["FL", "", "RL", ""], ["25", "41", "57", "73"]),  # times run on: the order of a walk
        (["", "FL", "", "FR"], ["25", "235", "41", "251"]),  # who the first was nobody says
        (["FL", "", "FL", ""], ["25", "235", "41", "251"]),  # one wheel twice
        (["FL", "", "FR", "", ""], ["25", "235", "41", "251", "461"]),
        (["FL", "", "FR", ""], ["25", "235", "later", "251"]),
        (["FL", "", "", ""], ["25", "235", "445", "600"]),
    ],
)
def test_what_is_not_plain_stays_blank(wheels, times):
    assert filled_down(wheels, times) is None


def test_clock_times_are_as_good_as_seconds():
    wheels = filled_down(["FL", "", "FR", ""], ["10:00:25", "10:03:55", "10:00:41", "10:04:11"])
    assert wheels == ["FL", "FL", "FR", "FR"]


PAIRS = {"FL": ("1", "L"), "FR": ("1", "R"), "RL": ("2", "L"), "RR": ("2", "R")}


def by_axle(*, words=("1", "2"), hot=()):
    """The walk with axle and side in columns of their own, each axle written once over its rows."""
    lines = ["# ambient: 16 C", "time_s,axle,side,temp_c"]
    above = None
    for at, wheel, degc in ROWS:
        axle, side = words[int(PAIRS[wheel][0]) - 1], PAIRS[wheel][1]
        told, above = "" if axle == above else axle, axle
        lines.append(f"{at},{told},{side},{HOT[at] if wheel in hot else degc}")
    return "\n".join([*lines, ""])


@pytest.mark.parametrize("words", [("1", "2"), ("front", "rear")])
def test_an_axle_merged_over_its_two_sides_is_that_of_both(told, words):
    assert told(by_axle(words=words)) == (0, ("no", []), ("no", []))
    assert told(by_axle(words=words, hot={"RR"}))[:2] == (1, ("yes", ["2R"]))


def test_the_note_says_that_an_axle_was_taken_for_its_rows(thermlog):
    Path("walk.csv").write_text(by_axle(), encoding="utf-8")
    assert "an axle or a side stands once over its rows" in thermlog("inspect", "walk.csv").out


@pytest.mark.parametrize(
    ("axles", "sides", "filled"),
    [
        (["1", "", "2", ""], ["L", "R", "L", "R"], ["1 L", "1 R", "2 L", "2 R"]),
        (["1", "2", "1", "2"], ["L", "", "R", ""], ["1 L", "2 L", "1 R", "2 R"]),
        (["1", "", "", ""], ["L", "", "R", ""], ["1 L", "", "1 R", ""]),  # the same wheel once more, or none
        (["1", "1", "2", ""], ["L", "R", "L", "R"], None),  # one cell blank is one that was forgotten
        (["", "1", "", "2"], ["L", "R", "L", "R"], None),
        (["1", "", "2", ""], ["L", "R", "L", "L"], None),  # a side twice, and one never
        (["1", "", "", "2", "", ""], ["L", "R", "L", "L", "R", "L"], None),
        (["1", "", "2", ""], ["L", "R", "L", ""], None),
        (["1", "1", "2", "2"], ["L", "R", "L", "R"], None),
    ],
)
def test_axles_are_filled_only_where_it_is_plain(axles, sides, filled):
    """By hand: below each axle both sides stand equally often, below each side all axles."""
    assert axles_filled_down(axles, sides) == filled


def test_one_axle_that_was_forgotten_clears_nothing(told):
    """All others are written in every row: it is no merged cell."""
    rows = [f"{at},{PAIRS[wheel][0]},{PAIRS[wheel][1]},{degc}" for at, wheel, degc in ROWS]
    rows[3] = rows[3].replace(",2,", ",,")
    code, (drag, _), _ = told("\n".join(["# ambient: 16 C", "time_s,axle,side,temp_c", *rows, ""]))
    assert (code, drag) == (1, "cannot_tell")
