"""Remarks that alarm clear nothing: heat that a hand felt, water on a brake, a wheel that is loose.

A careful technician stops for a bearing that rumbles, a fire that was put out and a haze off a brake, takes a
whiff of burning for a smell, and keeps no log as a record in which a brake was cooled with water before
it was read. Texts are invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from thermlog.reading.alarms import alarms_of
from thermlog.reading.read import read_log
from thermlog.reading.sights import Sight, read_sights, told_sights

ALARMS = [
    "wheel too hot to touch, RL", "driver says: RR too hot to hold", "could not touch RR", "RR very hot",
    "cooled RR with water before reading", "hosed down RR with water", "RR wheel nuts loose",
]  # fmt: skip
CALM = [
    "very hot day", "RR not too hot to touch", "wheel nuts not loose", "water cooled retarder",
]  # fmt: skip


@pytest.mark.parametrize("text", ALARMS)
@pytest.mark.parametrize("key", ["note", "remark", "driver"])
def test_what_alarms_leaves_nothing_cleared(text, key):
    Path("log.csv").write_text(
        f"# ambient: 18 C\n# {key}: {text}\ntime_s,position,temp_c\n20,1L,60\n40,1R,61\n60,2L,50\n80,2R,51\n"
    )
    (case,) = read_log("log.csv").readings.cases
    assert "unread_sight" in {one.code for one in case.blind}


@pytest.mark.parametrize("text", CALM)
def test_what_is_calm_or_denied_does_not(text):
    assert alarms_of(text) == ()


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("a wisp of blue haze off RR", "smoke"), ("put out RR with extinguisher", "flame"),
        ("bearing RR rumbles", "grind"), ("whiff of burning at RR", "smell"),
    ],
)  # fmt: skip
def test_more_words_for_what_is_seen(text, code):
    assert told_sights(text) == (Sight(code=code, place="RR"),)


def test_a_whiff_of_burning_is_no_flame_and_keeps_its_place():
    assert read_sights("whiff of burning at the rear").found == (Sight(code="smell", place="REAR"),)


@pytest.mark.parametrize(
    "text", ["haze over the hills", "extinguisher checked", "no haze off RR", "no rumble"]
)
def test_weather_equipment_and_denials_are_nothing_seen(text):
    assert told_sights(text) == ()
