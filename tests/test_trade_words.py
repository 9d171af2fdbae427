"""Plain words of the trade are heard the same wherever they stand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

# A sound car: even, warm, every wheel read twice; without the words every answer is "no".
ROWS = (
    "# ambient: 15 C\ntime_s,position,temp_c{head}\n30,LF,107{no}\n45,RF,105{no}\n60,LR,68{note}\n"
    "75,RR,69{no}\n360,RR,61{no}\n375,LR,60{no}\n390,RF,88{no}\n405,LF,91{no}\n"
)
BARE = ROWS.format(head="", no="", note="")
PLACES = {
    "above": lambda words: f"# {words}\n{BARE}",
    "remark": lambda words: f"{BARE}# remark: {words}\n",
    "line": lambda words: f"{BARE}{words}\n",
    "note": lambda words: ROWS.format(head=",note", no=",", note=f',"{words}"'),
}


def checked(thermlog, words: str, place: str):
    Path("a.csv").write_text(PLACES[place](words), encoding="utf-8")
    told = json.loads(thermlog("check", "a.csv", "--format", "json").out)
    return thermlog("check", "a.csv", "-q"), told


def test_without_words_all_is_cleared(thermlog):
    Path("a.csv").write_text(BARE, encoding="utf-8")
    assert thermlog("check", "a.csv").code == 0


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize(
    "words",
    [
        # said to bind
        "LR seized", "LR seized?", "LR sticking I think", "LF partially seized", "nearside rear binding",
        "O/S front binding badly", "N/S/F caliper seized", "caliper sticking", "brakes binding?", "LR stuck",
        "LR stuck on", "LR sticks", "rear brakes stuck on", "will not roll freely", "HL fest",
        "frein AV bloque",
        # nobody drives it
        "do not drive", "DON'T MOVE THIS VAN", "danger", "VOR", "not safe", "nicht fahren", "ne pas rouler",
        # it hardly stopped
        "trailer pushed the car", "took ages to stop", "nearly hit someone", "handbrake does nothing",
        # a part that gave way, and what heat left
        "RF piston pushed right out", "LR pads down to the backing plate",
        "paint blistered on LR rim",
        "LF hot as hell",
    ],
)  # fmt: skip
def test_what_leaves_no_brake_cleared(thermlog, place, words):
    quiet, told = checked(thermlog, words, place)
    assert quiet.code == 1
    assert "cannot_tell" in {one["answer"] for one in told["answers"].values()}
    assert "Keep this log" not in quiet.out
    assert words in quiet.out


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("could not stop at the junction, rolled through", "pedal"),
        ("couldn't stop", "pedal"),
        ("nearly hit someone, nothing there first time", "pedal"),
        ("fire extinguisher used LR", "flame"),
        ("hub cap melted RR", "melted"),
        ("wheel trim melted RR", "melted"),
        ("RR tyre melted", "melted"),
        ("Radkappe HR geschmolzen", "melted"),
        ("RR bearing noisy", "grind"),
        ("smokin", "smoke"),
        ("wheel nuts finger tight RF", "loose"),
        ("LF wheel nuts loose", "loose"),
    ],
)
def test_what_stops_the_vehicle(thermlog, place, words, code):
    _, told = checked(thermlog, words, place)
    assert [one["code"] for one in told["urgent"]] == [code]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize(
    "words",
    [
        "LR not seized", "brakes not binding", "caliper was seized, freed off", "stuck in traffic",
        "no danger",
        "vor dem Test gefahren", "LR door locked", "doors stuck RR", "LR bleed nipple seized",
        "tools stuck under seat",
        "fire extinguisher checked", "radio does nothing", "handbrake holds", "nothing there",
        "engine cover melted",
        "no bearing noise RR", "wheel nuts not loose", "locked van, keys in office",
    ],
)  # fmt: skip
def test_what_says_nothing_of_the_kind(thermlog, place, words):
    quiet, told = checked(thermlog, words, place)
    assert (quiet.code, told["urgent"], told["blind"]) == (0, [], [])


def test_a_complaint_asks_and_an_observation_answers(thermlog):
    """Why it was driven is answered by the readings; what somebody found is not."""
    assert checked(thermlog, "customer says: brakes binding", "above")[0].code == 0
    assert checked(thermlog, "customer says: LR binding", "above")[0].code == 1
    assert checked(thermlog, "brakes binding", "above")[0].code == 1


def test_of_no_wheel_it_may_be_any(thermlog):
    _, told = checked(thermlog, "caliper sticking", "above")
    assert [(one["code"], one["corner"]) for one in told["blind"]] == [("said_stuck", None)]
    assert "nobody can tell which" in thermlog("check", "a.csv").out


def test_a_side_that_nobody_can_place_is_not_cleared(thermlog):
    """Without the side of traffic "nearside" is no wheel; with it, it is one."""
    nowhere = checked(thermlog, "nearside rear binding", "above")[1]["blind"]
    assert [one["corner"] for one in nowhere] == [None]
    Path("a.csv").write_text("# traffic: left\n" + PLACES["above"]("nearside rear binding"), encoding="utf-8")
    known = json.loads(thermlog("check", "a.csv", "--format", "json").out)["blind"]
    assert [one["corner"] for one in known] == ["2L"]


@pytest.mark.parametrize("words", ["do not drive", "VOR", "LR seized"])
def test_fleet_clears_nothing_and_names_the_line(thermlog, words):
    Path("a.csv").write_text(PLACES["above"](words), encoding="utf-8")
    ran = thermlog("fleet", "a.csv")
    assert ran.code == 1
    assert words in " ".join(ran.out.split())
    assert "Nothing found" not in ran.out


@pytest.mark.parametrize(
    ("words", "corner"),
    [("O/S front binding badly", "1R"), ("N/S/R caliper seized", "2L"), ("n/s/f sticking", "1L")],
)
def test_a_side_with_a_stroke_is_one_wheel(thermlog, words, corner):
    """Where traffic keeps left the near side is the left one."""
    Path("a.csv").write_text("# traffic: left\n" + PLACES["above"](words), encoding="utf-8")
    told = json.loads(thermlog("check", "a.csv", "--format", "json").out)
    assert [one["corner"] for one in told["blind"]] == [corner]
