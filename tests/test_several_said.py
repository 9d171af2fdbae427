"""Several things said in one line beside the table, and values that stand before their word."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from readcases import read as read_text

from thermlog.reading.severalsaid import things_said

ROWS = """10:03 FL 168
10:03 FR 92
10:04 RL 71
10:04 RR 69
10:06 FL 150
10:06 FR 84
10:07 RL 66
10:07 RR 64
10:10 FL 131
10:10 FR 75
10:11 RL 60
10:11 RR 58
"""


@pytest.mark.parametrize(
    ("line", "start"),
    [
        ("# start 10:00", "T10:00:00"),
        ("start 10:00", "T10:00:00"),
        ("# started 9:05 pm", "T21:05:00"),
        ("# van 12, start 10:00, air 14 C", "T10:00:00"),
        ("# van 12 start 10:00 air 14 C", "T10:00:00"),
        ("# start: 9:00\n# start 10:00", "T09:00:00"),  # the first stands
        ("# start 10", None),
        ("# restart 10:00", None),
    ],
)
def test_a_start_needs_no_colon(line, start):
    rows = "since_parked_s,position,temp_c\n0,FL,90\n20,FR,91\n40,RL,60\n60,RR,61\n"
    case = read_text(f"{line}\n{rows}").readings.cases[0]
    assert (case.taken.start if case.taken else None) == start
    assert not case.unweighed


def test_words_of_likeness_are_no_wheel():
    """In another language "AS" is a front left wheel."""
    for line in ("# drive as last time", "# same as before"):
        case = read_text(f"{line}\n0,FL,90 C\n20,FR,91 C\n40,RL,60 C\n60,RR,61 C\n").readings.cases[0]
        assert not [one for one in case.unweighed if one.corner]


def read(thermlog, tmp_path, *lines: str):
    path = tmp_path / "walk.txt"
    path.write_text("\n".join([*lines, ROWS]), encoding="utf-8")
    ran = thermlog("check", str(path), "--unit", "C", "--format", "json")
    return ran.code, json.loads(ran.out) if ran.out else ran.err


# What whoever reads the line takes from it: air [°C], parked at 10:02 or not told, vehicle.
@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("# air 14 C, parked 10:02", (14.0, True, None)),
        ("# air: 14 C, parked: 10:02", (14.0, True, None)),
        ("# parked 10:02, 14 C outside", (14.0, True, None)),
        ("# parked 10:02; air temp (C): 14", (14.0, True, None)),
        ("# 14 °C outside", (14.0, False, None)),
        ("# 57 F outside", (13.9, False, None)),
        ("# 10:02 parked", (None, True, None)),
        ("# Van 12, 14 °C outside, parked 10:02", (14.0, True, "Van 12")),
        ("# Van 12, air 14 C", (14.0, False, "Van 12")),
        ("# vehicle: van 12, air 14 °C", (14.0, False, "van 12")),
        ("# vehicle: van 12, blue", (None, False, "van 12, blue")),
        ("# vehicle: van 12, blue; parked 10:02", (None, True, "van 12, blue")),
        ("# 14 °C outside, windy, parked 10:02", (14.0, True, None)),
        ("# air 14,5 °C, geparkt 10:02", (14.5, True, None)),
        ("air 14 C, parked 10:02", (14.0, True, None)),
        ("air 14 C; parked 10:02", (14.0, True, None)),
        ("Van 12, air 14 C", (14.0, False, "Van 12")),
        ("Van 12, air 14 C, parked 10:02", (14.0, True, "Van 12")),
        ("# Van 12 / air 14 C / parked 10:02", (14.0, True, "Van 12")),
        ("# Van 12 - 14 C outside - parked 10:02", (None, True, None)),
        # no mark between: what begins a statement begins another thing
        ("air 14 C parked 10:02", (14.0, True, None)),
        ("# Van 12 air 14 C parked 10:02 at depot", (14.0, True, "Van 12")),
        ("# parked 10:02 in the yard", (None, True, None)),
        ("# ambient=14C parked=10:02", (14.0, True, None)),
        ("# abgestellt 10:02 aussen 14 C", (14.0, True, None)),
        ("# Van 12, 14 °C outside parked 10:02", (14.0, True, "Van 12")),
        ("# tyre air 8 parked 10:02", (None, True, None)),
        # two figures for the air: neither is meant alone
        ("# air 14 - 16 C", (None, False, None)),
        ("# air 14, 16 C", (None, False, None)),
        # nothing of it is a statement by itself, and nothing is taken out of it
        ("# drove 20 km, parked 3 times", (None, False, None)),
        ("# repair: hose FR, parked brake free", (None, False, None)),
        ("# 10:15 stop", (None, False, None)),
        ("# rear, 14 C lower outside", (None, False, None)),
    ],
)
def test_each_thing_of_a_line_is_taken(thermlog, tmp_path, line, told):
    air_degc, parked, vehicle = told
    code, found = read(thermlog, tmp_path, line)
    assert code == 1, found
    assert found["ambient_degc"] == (pytest.approx(air_degc, abs=0.05) if air_degc else None)  # to 0.1 °F
    assert found["vehicle"] == vehicle
    follows = "they follow the parked moment" in " ".join(found["log"]["notes"])
    assert follows is parked  # the first reading is a minute after it


def test_smoke_stops_and_the_rest_of_its_line_counts(thermlog, tmp_path):
    code, found = read(thermlog, tmp_path, "# RR smoking, parked 10:02, air 14 C")
    assert code == 1
    assert [one["code"] for one in found["urgent"]] == ["smoke"]
    assert found["ambient_degc"] == 14.0


def test_what_is_left_of_a_line_is_named(thermlog, tmp_path):
    """A line above the table of which something was taken: the rest is told, not dropped."""
    _, found = read(thermlog, tmp_path, "Van 12, air 14 C, new driver")
    assert found["vehicle"] == "Van 12"
    assert [note for note in found["log"]["notes"] if "says nothing" in note] == [
        'line 1: "new driver" says nothing thermlog uses'
    ]


@pytest.mark.parametrize(
    "line", ["date 2026-11-20", "# Van 12 date 20.11.2026 air 14 C", "# Datum 20.11.2026"]
)
def test_a_date_needs_no_mark_behind_its_word(thermlog, tmp_path, line):
    _, found = read(thermlog, tmp_path, line)
    assert found["taken"]["started_at"].startswith("2026-11-20")


def test_half_a_day_is_not_dropped(thermlog, tmp_path):
    """Ten past two in the evening is not ten past two: the line is refused, and nothing guessed."""
    code, said = read(thermlog, tmp_path, "# parked 10:02 in the evening")
    assert code == 3
    assert "10:02 in the evening" in said


def test_half_of_a_statement_is_none(thermlog, tmp_path):
    """Braked hard on the way home: no coast drive, whatever its first word."""
    _, found = read(thermlog, tmp_path, "# drive: coast, then braked hard home")
    assert found["drive"] != "coast"
    assert any("then braked hard home" in note for note in found["log"]["notes"])


@given(
    st.lists(st.sampled_from(["air 14 C", "parked 10:02", "van 12", "windy", "repair: hose FR", "RR red"])),
    st.sampled_from([", ", " "]),
)
def test_no_word_of_a_line_is_lost_or_moved(pieces, between):
    """Whatever a line is parted into, its words stand in it once and in their order."""
    text = between.join(pieces)
    assert " ".join(things_said(text)).replace(",", "").split() == text.replace(",", "").split()
