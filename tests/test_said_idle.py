"""A remark that a brake does nothing, or felt cold, leaves open whether it works, whatever the gun showed.

A careful technician who reads "hose disconnected" or "bremst nicht" beside a wheel as warm as its mate tells
nobody that every brake works, and looks at that brake, standing. Whether a brake drags is not touched by it.
Texts are invented; the answers were written before the program was run.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from thermlog.reading.remarks.alarms import said_idle

ROUNDS = ((30, 91, 90, 85, 84), (150, 87, 86, 81, 80), (270, 83, 82, 78, 77))
WHEELS = ("1L", "1R", "2L", "2R")


def log_of(remark: str = "", *head: str, above_k: float = 0.0) -> str:
    """A lorry whose four brakes cool alike, with a remark in a row of rear right."""
    lines = ["# vehicle: rigid lorry", "# ambient: 18 C", *head, "time_s,position,temp_c,note"]
    for start_s, *temps in ROUNDS:
        for k, (wheel, degc) in enumerate(zip(WHEELS, temps, strict=True)):
            said = remark if (start_s, wheel) == (30, "2R") else ""
            lines.append(f"{start_s + 15 * k},{wheel},{degc + above_k},{said}")
    return "\n".join([*lines, ""])


def told(thermlog, text: str) -> tuple[int, dict[str, Any]]:
    Path("log.csv").write_text(text, encoding="utf-8")
    ran = thermlog("check", "log.csv", "--format", "json")
    assert ran.code in {0, 1}, ran.err
    return ran.code, json.loads(ran.out)


IDLE = [
    "bremst nicht", "hose disconnected", "cold to touch", "brake backed off", "caliper missing",
    "does not work", "doesn't work", "no braking", "stone cold", "cold", "keine Bremswirkung",
    "ne freine pas", "no frena", "non frena", "remt niet", "nie hamuje", "air hose clamped",
    "magnet unplugged", "flexible débranché",
    "brakes weakly", "weak brake", "bremst schlecht", "colder than its mate", "no agarra",
]  # fmt: skip
OTHER = [
    "", "new pads", "battery disconnected", "ABS sensor unplugged", "cold day", "not stone cold",
    "hose disconnected, renewed", "parking brake cable broken", "no hose disconnected",
    "brake not weak", "battery weak", "weak brake, pads replaced",
]  # fmt: skip


@pytest.mark.parametrize("remark", IDLE)
def test_a_brake_said_to_do_nothing_is_not_cleared(thermlog, remark):
    code, found = told(thermlog, log_of(remark))
    drag, idle = found["answers"]["drag"], found["answers"]["idle"]
    assert (code, drag["answer"], idle["answer"], idle["corners"]) == (1, "no", "cannot_tell", ["2R"])
    assert [(one["code"], one["corners"]) for one in idle["reasons"]] == [("said_idle", ["2R"])]
    assert idle["decides"][0]["code"] == "static_check"
    assert found["next_check"]["id"] == "static_check"


@pytest.mark.parametrize("remark", OTHER)
def test_other_remarks_leave_the_answers_as_they_are(thermlog, remark):
    code, found = told(thermlog, log_of(remark))
    assert (code, found["answers"]["idle"]["answer"]) == (0, "no")


@pytest.mark.parametrize(
    "text", ["RR hose disconnected", "rear right bremst nicht", "rear right: cold to touch"]
)
def test_above_the_table_it_is_of_the_wheel_it_names(thermlog, text):
    code, found = told(thermlog, log_of("", f"# remark: {text}"))
    assert (code, found["answers"]["idle"]["corners"]) == (1, ["2R"])


@pytest.mark.parametrize("text", ["brake does not work", "trailer brakes don't work", "Bremse ohne Wirkung"])
def test_where_it_is_a_brake_and_no_wheel_is_named_none_is_cleared(thermlog, text):
    code, found = told(thermlog, log_of("", f"# remark: {text}"))
    drag, idle = found["answers"]["drag"], found["answers"]["idle"]
    assert (code, drag["answer"], idle["answer"], idle["corners"]) == (1, "no", "cannot_tell", [])
    assert [one["code"] for one in idle["reasons"]] == ["said_idle"]
    assert text in idle["reasons"][0]["text"]


@pytest.mark.parametrize("text", ["washer does not work", "radio has no effect"])
def test_of_other_things_on_board_it_is_left_to_a_person(thermlog, text):
    code, found = told(thermlog, log_of("", f"# remark: {text}"))
    assert (code, found["answers"]["idle"]["answer"]) == (0, "no")
    assert [one["text"] for one in found["unweighed"]] == [f"remark: {text}"]


def test_a_wheel_that_was_not_read_is_not_read_whatever_is_said_of_it(thermlog):
    text = "\n".join(line for line in log_of().splitlines() if ",2R," not in line)
    _, found = told(thermlog, f"{text}\n# remark: RR does not work\n")
    codes = {one["code"] for one in found["answers"]["drag"]["reasons"]}
    assert "said_idle" not in codes
    assert codes & {"not_read", "one_side_read"}


def test_nobody_works_at_it_while_it_is_hot(thermlog):
    """At 200 °C and more nobody comes nearer than the gun."""
    _, found = told(thermlog, log_of("bremst nicht", above_k=330.0))
    assert found["next_check"]["id"] == "clear_and_wait"


def test_a_fleet_lists_it(thermlog):
    Path("depot").mkdir()
    Path("depot/a.csv").write_text(log_of("hose disconnected"), encoding="utf-8")
    ran = thermlog("fleet", "depot")
    assert ran.code == 1
    assert "said to do nothing" in ran.out


@pytest.mark.parametrize("remark", [one for one in IDLE if one != "cold"])
def test_the_words_stand_for_themselves(remark):
    assert said_idle(remark)
