"""A line of a list names the wheels to go to as the check of that log does, the colder side, too.

All logs are invented. Left and right of one axle differ; which of the two is odd is open, or it is the
colder one.
"""

from __future__ import annotations

import csv
import io
import json

import pytest
from coolinglogs import cooling_log

CAR = {"FL": 77.0, "FR": 76.0, "RR": 52.0, "RL": 53.0}
WAYS = {
    "one_axle": (cooling_log({"1L": 42.0, "1R": 24.0}, "axles: trailer"), "gap_open"),
    "colder_front": (cooling_log(CAR | {"FR": 42.0}), ""),
    "colder_rear": (cooling_log(CAR | {"RL": 33.0}), ""),
    "dead_front": (cooling_log(CAR | {"FR": 5.0}), ""),
    "dead_rear": (cooling_log(CAR | {"RL": 4.0}), ""),
    "axles": (
        cooling_log({"FL": 134.0, "FR": 131.0, "RR": 11.0, "RL": 10.0}, "weight: heavy"),
        "axles_unlike",
    ),
}


@pytest.mark.parametrize("name", WAYS)
def test_a_line_names_the_wheels_of_the_check(thermlog, tmp_path, name):
    (tmp_path / "log.csv").write_text(WAYS[name][0], encoding="utf-8")
    told = json.loads(thermlog("check", "log.csv", "--format", "json").out)
    rows = list(csv.DictReader(io.StringIO(thermlog("fleet", "log.csv", "--format", "csv").out)))
    count = max(one["axle"] for one in told["corners"])
    words = {f"{axle}{side}": words_of(axle, side, count) for axle in range(1, count + 1) for side in "LR"}
    named = {
        corner
        for one in ("drag", "idle")
        if told["answers"][one]["answer"] in {"watch", "yes"}
        for corner in told["answers"][one]["corners"]
    }

    assert named
    placed = {corner for corner, said in words.items() for row in rows if said in row["place"]}
    assert placed == named
    for row in rows:
        assert all(words[corner] in row["finding"] for corner in named)
        assert "do_next" in row
        assert not any(corner in row["do_next"] for corner in words)
        assert "odd, drag or lost" not in row["finding"]


@pytest.mark.parametrize("name", [name for name, (_, code) in WAYS.items() if code])
def test_both_readings_of_one_thing_stand_on_its_line(thermlog, tmp_path, name):
    (tmp_path / "log.csv").write_text(WAYS[name][0], encoding="utf-8")
    told = json.loads(thermlog("check", "log.csv", "--format", "json").out)
    row = next(csv.DictReader(io.StringIO(thermlog("fleet", "log.csv", "--format", "csv").out)))

    assert told["answers"]["drag"]["reasons"][0]["code"] == WAYS[name][1]
    assert " may drag, or " in row["finding"]
    assert row["finding"].endswith(" may not work")


def words_of(axle: int, side: str, count: int) -> str:
    place = ("front", "rear")[axle - 1] if count == 2 else f"axle {axle}"
    return f"{place} {'left' if side == 'L' else 'right'}"
