"""Heat that a remark states, wheels in doubt and zeros clear nothing, and call nothing.

What a careful technician accepts, written before: "hub 130" beside a brake of 67 °C is a reading that was not
entered; sizes, torques, distances and dates beside it are none. A wheel with a question mark may be another,
and a brake cannot be colder than the air it stands in.
"""

from __future__ import annotations

import json
import re

import pytest

from thermlog.reading.read import read_content
from thermlog.reading.remarks.heatsaid import heat_said, over_said

ROWS = [
    "25,FL,129.6", "41,FR,125.4", "57,RR,81.7", "73,RL,78.5", "235,RL,72.2", "251,RR,74.1",
    "267,FR,105.3", "283,FL,106.1", "445,FL,97.1", "461,FR,94.0", "477,RR,66.8", "493,RL,64.0",
]  # fmt: skip
HEADER = "time_s,position,temp_c"
HOT = ["hub 130", "Nabe 125", "tyre 95 C", "rim 140", "caliper 170", "inner side 230", "first 190 then 84",
       "second try, first showed 240", "zuerst 190 dann 67", "drum 266 °F", "hub: 130°",
       "gun 240"]  # fmt: skip
# 90 °C of a tyre, 120 °C of a rim, 99 °C of a hub in air of 16 °C, 140 °C of a caliper: lines of the policy.
PASSED = {"hub": "hub_hot", "nabe": "hub_hot", "tyre": "tyre_hot", "rim": "rim_hot", "caliper": "caliper_hot"}
OVER = ["gun showed OL", "first shot over range", "display HI", "OL", "0L at first"]
CALM = [
    "tyre 315/80", "tyre 295", "torque 130 Nm", "wheel nuts 130", "odometer 84000 km", "12 bar",
    "pads 8 mm", "12.05.2031", "14:05", "part no. 130-445", "caliper no 130", "disc 330 mm",
    "drum 420 x 180", "engine 95 C", "road 95 C",
    "max speed 90", "first 120 km", "pads 80%", "brake force 130",
    "new disc 330", "hub 70", "M14", "high mileage, over 3 mm", "pressure too high", "no OL seen",
]  # fmt: skip


@pytest.fixture
def told(thermlog, tmp_path):
    """Exit code, answers to the first two questions and all that a log says of itself."""

    def run(rows, header=HEADER, above=(), air="16 C"):
        log = tmp_path / "walk.csv"
        log.write_text("\n".join([f"# ambient: {air}", *above, header, *rows]) + "\n", encoding="utf-8")
        ran = thermlog("check", str(log), "--format", "json")
        found = json.loads(ran.out)
        return ran.code, (found["answers"]["drag"]["answer"], found["answers"]["idle"]["answer"]), found

    return run


def changed(old, new, rows=ROWS):
    return [new if one == old else one for one in rows]


def beside(text, row="477,RR,66.8"):
    """A column beside the readings that says something at one of them."""
    return [f"{one},{text if one == row else ''}" for one in ROWS]


@pytest.mark.parametrize("text", [*HOT, *OVER])
def test_heat_in_a_note_clears_nothing_at_its_wheel(told, text):
    code, (drag, _), found = told(beside(text), f"{HEADER},note")
    assert (code, drag) == (1, "cannot_tell")
    stops = {one["code"] for one in found["urgent"]}  # of a part that is named: by its own line
    assert stops == {code for word, code in PASSED.items() if word in text.lower()}
    (why,) = (one for one in found["answers"]["drag"]["reasons"] if one["code"] == "unread_cell")
    assert why["corners"] == ["2R"]


@pytest.mark.parametrize("text", CALM)
def test_other_figures_in_a_note_stay_harmless(told, text):
    code, answers, _ = told(beside(f'"{text}"'), f"{HEADER},note")
    assert (code, answers) == (0, ("no", "no"))


def test_a_figure_is_held_against_the_reading_of_its_row_by_fifteen_kelvin(told):
    assert told(beside("hub 81"), f"{HEADER},note")[0] == 0  # 14.2 K above 66.8
    assert told(beside("hub 82"), f"{HEADER},note")[0] == 1  # 15.2 K


@pytest.mark.parametrize(
    ("rows", "above"),
    [(ROWS, ["# RR hub 130"]), (ROWS, ["RR hub 130"]), ([*ROWS, "RR hub 130"], []),
     (changed("477,RR,66.8", "477,RR,66.8,hub 130"), []), (changed("477,RR,66.8", "477,RR,66.8 hub 130"), []),
     (ROWS, ["# gun showed OL once"])],
)  # fmt: skip
def test_it_counts_wherever_it_stands(told, rows, above):
    code, (drag, _), _ = told(rows, above=above)
    assert (code, drag) == (1, "cannot_tell")


@pytest.mark.parametrize("above", ["# RR hub 70", "# gun: OL 500", "# OL = over range"])
def test_cooler_parts_names_and_legends_do_not_count(told, above):
    assert told(ROWS, above=[above])[0] == 0


@pytest.mark.parametrize("mark", ["OL", "over range", "HI", "OVER"])
@pytest.mark.parametrize("heading", ["status", "xyz"])
def test_an_over_range_mark_in_a_column_that_nothing_uses_is_not_lost(told, mark, heading):
    code, (drag, _), _ = told(beside(mark), f"{HEADER},{heading}")
    assert (code, drag) == (1, "cannot_tell")


@pytest.mark.parametrize(
    ("heading", "cells"), [("status", ["ok"] * 12), ("load", ["HIGH"] * 12), ("pressure", ["HI", "LO"] * 6)]
)
def test_other_columns_are_no_marks(told, heading, cells):
    rows = [f"{row},{cell}" for row, cell in zip(ROWS, cells, strict=True)]
    assert told(rows, f"{HEADER},{heading}")[0] == 0


def test_over_range_as_the_most_that_was_shown_is_above_range(told):
    code, (drag, _), found = told(beside("OL"), f"{HEADER},max_c")
    assert (code, drag) == (1, "cannot_tell")
    assert found["urgent"]


def test_heat_and_marks_are_told_from_other_figures():
    assert heat_said("RR first 190 -> 84") == ((190.0, None), (84.0, None))
    assert heat_said("drum 266 °F") == ((266.0, "F"),)
    assert not any(heat_said(text) for text in CALM if text not in {"hub 70"})
    assert not any(map(over_said, CALM))


# ---- a wheel in doubt -----------------------------------------------------------------------------------


@pytest.mark.parametrize("wheel", ["RR ?", "RR?", "?RR", "RR (?)"])
def test_a_question_mark_at_the_wheel_sets_the_row_aside(told, wheel):
    code, _, found = told(changed("477,RR,66.8", f"477,{wheel},66.8"))
    assert code == 0  # two readings of that wheel are left, and this one is no hotter
    (aside,) = found["log"]["set_aside"]
    assert (aside["line"], aside["code"], aside["corner"]) == (13, "unclear_wheel", None)


def test_a_hot_reading_of_a_wheel_in_doubt_clears_no_wheel(told):
    code, (drag, _), _ = told(changed("477,RR,66.8", "477,RR ?,266.8"))
    assert (code, drag) == (1, "cannot_tell")


# ---- zeros ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("air", "zero"), [("16 C", "0"), ("16 C", "0.0"), ("6 C", "0")])
def test_zeros_in_warmer_air_are_no_readings(told, air, zero):
    rows = [f"{one.rpartition(',')[0]},{zero}" if ",RR," in one else one for one in ROWS]
    code, answers, found = told(rows, air=air)
    assert (code, answers) == (1, ("cannot_tell", "cannot_tell"))
    assert {one["code"] for one in found["log"]["set_aside"]} == {"no_value"}


def test_zero_degrees_in_freezing_air_is_a_reading():
    log = read_content(b"# ambient: 4 C\ntime_s,position,temp_c\n0,FL,0\n9,FR,60\n", file="log.csv")
    assert log.record.rows_used == 2


def test_zero_fahrenheit_counts_too():
    text = b"# ambient: 61 F\ntime_s,position,temp_f\n0,FL,0\n9,FR,160\n"
    assert read_content(text, file="log.csv").record.rows_used == 1


OF_NO_WHEEL = [
    "hub 130",
    "hub 130 C",
    "rim 99",
    "Nabe 125",
    "disc 190",
    "max 210 C",
    "drum 300 °F",
    "disc 160",
]


@pytest.mark.parametrize("key", ["", "note: "])
@pytest.mark.parametrize("text", OF_NO_WHEEL)
def test_heat_of_a_wheel_that_nobody_names_clears_no_wheel(told, text, key):
    """A hub at 130 °C is that of any wheel, also of the coolest; a disc above all that was read is news."""
    code, answers, found = told(ROWS, above=[f"# {key}{text}"])
    assert (code, answers) == (1, ("cannot_tell", "cannot_tell"))
    (why,) = found["answers"]["drag"]["reasons"]
    assert (why["code"], why["corners"]) == ("unknown_wheel", [])
    assert text in why["text"]


@pytest.mark.parametrize("text", [*CALM, "hub 80", "rim 75 C", "disc 110", "max 129.6 C", "gun 120"])
def test_other_figures_above_the_rows_stay_harmless(told, text):
    code, answers, _ = told(ROWS, above=[f"# {text}"])
    assert (code, answers) == (0, ("no", "no"))


@pytest.mark.parametrize("text", ["130", "~190", "ca. 190", "190!", "310", "130.5", "about 130"])
def test_a_note_that_is_only_a_figure_may_be_another_reading(told, text):
    code, answers, found = told(beside(text), f"{HEADER},note")
    assert (code, answers) == (1, ("cannot_tell", "cannot_tell"))
    (why,) = found["answers"]["drag"]["reasons"]
    numbers = {"line": 13.0, "value_degc": float(re.sub(r"[^0-9.]", "", text.replace("ca.", "")))}
    assert (why["code"], why["corners"], why["numbers"]) == ("unread_cell", ["2R"], numbers)


@pytest.mark.parametrize("text", ["81", "12", "2", "1", "1234", "0.95", "8/10", "13:05", "+3", "5%"])
def test_figures_of_something_else_are_none(told, text):
    """No more than 15 K above what was read there, or no temperature of a wheel end."""
    code, answers, _ = told(beside(text), f"{HEADER},note")
    assert (code, answers) == (0, ("no", "no"))


@pytest.mark.parametrize(("many", "heard"), [(3, True), (4, False)])
def test_a_column_of_figures_is_a_quantity_of_its_own(told, many, heard):
    rows = [f"{row},{310 + k if k < many else ''}" for k, row in enumerate(ROWS)]
    assert (told(rows, f"{HEADER},note")[0] == 1) is heard
