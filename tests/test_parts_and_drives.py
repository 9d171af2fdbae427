"""A hub, rim, tyre or caliper that is watched beside a question about a brake.

Accepted by a careful technician: nobody is sent on a drive before it was looked into what heats that part,
whatever the brakes still leave open; and a bearing that is watched is not forgotten beside a brake that is.
"""

from __future__ import annotations

import json

import pytest
from test_parts_above import BRAKES_K, ODD, log_text, pair

from thermlog.words.reasons import DRIVES

# 25 K between sides of a rear axle of 60 K, read three times: watched, under the marks of a call; the
# first thing that decides is a drive without braking.
REAR = BRAKES_K | {"2R": 85.0}


@pytest.mark.parametrize("spot", ODD)
def test_no_drive_is_asked_for_before_a_watched_part_was_looked_at(checked, spot: str) -> None:
    alone = json.loads(checked(log_text(brakes=REAR), "--format", "json").out)
    assert alone["answers"]["drag"]["answer"] == "watch"
    assert alone["next_check"]["id"] in DRIVES
    text = log_text(*pair(spot, ODD[spot], ODD[spot] / 3.0), brakes=REAR)
    found = json.loads(checked(text, "--format", "json").out)
    assert found["parts_above"]
    assert found["next_check"]["id"].startswith("look_at_")
    assert "stands out" in found["next_check"]["why"]
    steps = [one["code"] for one in found["answers"]["drag"]["decides"]]
    first_drive = next(place for place, code in enumerate(steps) if code in DRIVES)
    assert steps[first_drive - 1] == found["next_check"]["id"]


def test_a_drive_with_braking_waits_for_the_hub_too(checked) -> None:
    cool = dict.fromkeys(BRAKES_K, 8.0)
    text = log_text(*pair("hub", 28.0, 6.0), brakes=cool).replace("normal", "coast")
    found = json.loads(checked(text, "--format", "json").out)
    assert found["answers"]["idle"]["answer"] == "cannot_tell"
    steps = [one["code"] for one in found["answers"]["idle"]["decides"]]
    assert steps.index("look_at_hub") + 1 == steps.index("drive_with_braking")
    assert found["next_check"]["id"] == "look_at_hub"


@pytest.mark.parametrize("brakes", [BRAKES_K | {"2R": 3.0}, BRAKES_K | {"2R": 160.0}, REAR])
def test_a_watched_bearing_stands_in_the_caution_beside_any_brake(checked, brakes) -> None:
    ran = checked(log_text(*pair("hub", ODD["hub"], ODD["hub"] / 3.0), brakes=brakes), "-q")
    caution = next(line for line in ran.out.splitlines() if line.startswith("CAUTION"))
    assert "The bearing of front left is checked before the vehicle moves again" in caution
    without = checked(log_text(brakes=brakes), "-q").out
    assert "bearing of" not in without


def test_a_rim_is_no_bearing(checked) -> None:
    ran = checked(log_text(*pair("rim", ODD["rim"], ODD["rim"] / 3.0), brakes=BRAKES_K | {"2R": 3.0}), "-q")
    assert "rim" in ran.out
    assert "The bearing of" not in ran.out
