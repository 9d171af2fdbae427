"""Remarks that alarm clear nothing: heat that a hand felt, water on a brake, a wheel that is loose.

A careful technician stops for a bearing that rumbles, a fire that was put out and a haze off a brake, takes a
whiff of burning for a smell, and keeps no log as a record in which a brake was cooled with water before
it was read. Texts are invented.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from thermlog.reading.read import read_log
from thermlog.reading.remarks.alarms import alarms_of
from thermlog.reading.remarks.sights import Sight, read_sights, told_sights
from thermlog.words.vehicle import mate_of

ALARMS = [
    "wheel too hot to touch, RL", "driver says: RR too hot to hold", "could not touch RR", "RR very hot",
    "cooled RR with water before reading", "hosed down RR with water",
    "wheel FL wobbles", "oil on RR drum", "RF brake hose bulging", "RR drum full of water", "LF wet",
    "brakes feel spongy", "air gauge drops", "LF knocking", "RR bearing play", "low brake fluid",
    "RL oily", "VL heißer als VR", "RR hotter than RL", "RL lining came off", "brake fade on descent",
    "Radlager RR Spiel", "RL tyre flat", "hinten links Öl am Rad",
]  # fmt: skip
PASSED_OVER = ["LR not checked", "skipped RR, mud", "RR wheel was not read", "RL ausgelassen"]
CALM = [
    "very hot day", "RR not too hot to touch", "wheel nuts not loose", "water cooled retarder",
    "tyre pressure not checked", "brakes not checked", "wheel does not wobble",
    "no play in RR bearing", "RR bearing play ok", "wet road", "engine oil at RR", "oil changed",
    "front brakes hotter than rear", "hotter than yesterday", "flat road with much braking",
    "hubcap came off", "fluid not low", "RR new hose, old one was twisted", "steering play",
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "key"),
    [*((text, key) for text in ALARMS for key in ("note", "remark", "driver")),
     *((text, "note") for text in PASSED_OVER)],
)  # fmt: skip
def test_what_alarms_leaves_nothing_cleared(text, key):
    Path("log.csv").write_text(
        f"# ambient: 18 C\n# {key}: {text}\ntime_s,position,temp_c\n20,1L,60\n40,1R,61\n60,2L,50\n80,2R,51\n"
    )
    (case,) = read_log("log.csv").readings.cases
    assert {"unread_sight", "felt_hot"} & {one.code for one in case.blind}


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
    assert [(one.code, one.place.split()[-1]) for one in told_sights(text)] == [(code, "RR")]


def test_a_whiff_of_burning_is_no_flame_and_keeps_its_place():
    assert read_sights("whiff of burning at the rear").found == (Sight(code="smell", place="REAR"),)


@pytest.mark.parametrize(
    "text", ["haze over the hills", "extinguisher checked", "no haze off RR", "no rumble"]
)
def test_weather_equipment_and_denials_are_nothing_seen(text):
    assert told_sights(text) == ()


EVEN = (Path(__file__).parent.parent / "sample_logs" / "saloon_healthy.csv").read_text(encoding="utf-8")


def told(thermlog, *lines: str) -> dict[str, Any]:
    """What a check says of an even saloon with these lines below."""
    Path("even.csv").write_text("\n".join([EVEN.rstrip(), *lines, ""]), encoding="utf-8")
    ran = thermlog("check", "even.csv", "--format", "json")
    assert ran.code in {0, 1}, ran.err
    return json.loads(ran.out)


@pytest.mark.parametrize(
    ("text", "corners"),
    [
        ("RR too hot to touch", ["2R"]), ("driver says: hub RL too hot to hold", ["2L"]),
        ("too hot to touch RL and RR", ["2L", "2R"]),
        ("wheel FL too hot to hold, air cold", ["1L"]),
    ],
)  # fmt: skip
def test_heat_that_a_hand_felt_is_of_that_wheel(thermlog, text, corners):
    found = told(thermlog, f"# remark: {text}")
    assert [(one["code"], one["corner"]) for one in found["blind"]] == [("felt_hot", one) for one in corners]
    drag = found["answers"]["drag"]
    assert drag["answer"] == "cannot_tell"
    assert [one["corners"][0] for one in drag["reasons"]] == corners
    assert "a hand is no reading" in drag["reasons"][0]["text"]
    step = next(one for one in drag["decides"] if one["code"] == "read_felt")
    assert step["corners"] == [corners[0], mate_of(corners[0])]
    assert found["answers"]["heat"]["answer"] == "no"  # one wheel is no vehicle


def test_smoke_at_one_wheel_is_no_heat_felt_there(thermlog):
    found = told(thermlog, "# remark: smoke at FR, RR too hot to touch")
    assert [(one["code"], one["corner"]) for one in found["blind"]] == [("felt_hot", "2R")]
    assert [(one["code"], one["corner"]) for one in found["urgent"]] == [("smoke", "1R")]


@pytest.mark.parametrize(
    "text",
    ["too hot to touch", "rear brakes too hot to touch", "driver side rear too hot to touch",
     "RR too hot to touch, hosed down with water", "RR and the off side front too hot to touch"],
)  # fmt: skip
def test_where_no_wheel_can_be_told_or_more_was_done_nothing_is_cleared(thermlog, text):
    found = told(thermlog, f"# remark: {text}")
    assert {one["code"] for one in found["blind"]} == {"unread_sight"}
    assert {one["answer"] for one in found["answers"].values()} == {"cannot_tell"}


def test_heat_felt_at_the_wheel_of_a_row_is_of_that_wheel():
    rows = "20,1L,60,\n40,1R,61,\n60,2L,50,\n80,2R,51,too hot to touch\n"
    Path("log.csv").write_text(f"# ambient: 18 C\ntime_s,position,temp_c,note\n{rows}", encoding="utf-8")
    (case,) = read_log("log.csv").readings.cases
    assert [(one.code, one.corner) for one in case.blind] == [("felt_hot", "2R")]


@pytest.mark.parametrize(
    "text",
    ["smoking is forbidden in the yard", "smoking prohibited", "fire is not allowed here",
     "open flames are prohibited", "smoking not permitted near RF"],
)  # fmt: skip
def test_what_a_yard_forbids_was_not_seen(thermlog, text):
    assert told_sights(text) == ()
    assert told(thermlog, f"# remark: {text}")["urgent"] == []


@pytest.mark.parametrize(
    "text", ["smoking is forbidden, RF smokes", "RF smoking, forbidden to drive", "forbidden: smoke at RF"]
)
def test_a_ban_beside_smoke_denies_no_smoke(text):
    assert [one.code for one in told_sights(text)] == ["smoke"]


@pytest.mark.parametrize(
    ("text", "taken"),
    [("soft pedal after bleeding, now firm", "soft pedal"), ("RR smoked, stopped now", "smoke"),
     ("no more smoke", "smoke"), ("sparks and smoke at RF", "sparks and smoke")],
)  # fmt: skip
def test_words_that_stop_a_vehicle_are_told_with_what_to_do_if_it_was_not_so(thermlog, text, taken):
    found = told(thermlog, f"# remark: {text}")
    assert found["urgent"]
    (note,) = (one for one in found["log"]["notes"] if "is taken for" in one)
    assert f'"{text}" is taken for {taken}; only if it was not so on this drive' in note
    assert note.startswith(f"line {len(EVEN.splitlines()) + 1}:")


BESIDE_A_WHEEL = [
    "very hot", "too hot!", "hot!!", "HOT !", "sehr heiß", "zu heiß zum Anfassen", "brûlant",
    "trop chaud pour toucher", "muy caliente", "quema", "scottante", "heiss!", "çok sıcak",
    "burnt hand", "burnt my hand on it",
    "Hand verbrannt", "main brûlée", "me quemé la mano", "parzy",
]  # fmt: skip
CALM_BESIDE_A_WHEEL = [
    "hot", "warm", "not too hot", "very hot day", "very hot exhaust", "burnt hand on exhaust", "hot day!",
    "ok!", "no burnt hand", "hot, as always",
]  # fmt: skip


def beside(text: str, cell: str = "51") -> Any:
    """The one case of a log with this remark, or cell, at the rear right wheel."""
    rows = f"20,1L,60,\n40,1R,61,\n60,2L,50,\n80,2R,51,{text}\n100,2R,{cell},\n"
    Path("log.csv").write_text(f"# ambient: 18 C\ntime_s,position,temp_c,note\n{rows}", encoding="utf-8")
    (case,) = read_log("log.csv").readings.cases
    return case


@pytest.mark.parametrize("text", BESIDE_A_WHEEL)
def test_heat_that_a_hand_felt_beside_one_wheel_is_of_that_wheel(text):
    """A remark in the row of a wheel need not name it again."""
    assert [(one.code, one.corner) for one in beside(text).blind] == [("felt_hot", "2R")]


@pytest.mark.parametrize("text", CALM_BESIDE_A_WHEEL)
def test_what_is_calm_of_something_else_or_denied_beside_a_wheel_opens_nothing(text):
    assert beside(text).blind == ()


@pytest.mark.parametrize("cell", ["hot", "HOT!!", "heiß", "chaud", "caliente", "sıcak"])
def test_a_cell_that_says_hot_for_a_figure_is_heat_that_a_hand_felt(cell):
    assert [(one.code, one.corner) for one in beside("", cell).blind] == [("felt_hot", "2R")]


@pytest.mark.parametrize("cell", ["warm", "cold", "kalt", "lukewarm"])
def test_a_cell_that_says_warm_or_cold_is_no_heat_that_was_felt(cell):
    assert {one.code for one in beside("", cell).blind} == {"no_value"}


def test_a_figure_replaced_by_hot_clears_nothing_there(thermlog):
    """A wheel read twice like its mate, and then "HOT!!" for a figure: read by gun before it is cleared."""
    beside("", "HOT!!")
    ran = thermlog("check", "log.csv", "--format", "json")
    told = json.loads(ran.out)
    drag = told["answers"]["drag"]
    assert (ran.code, drag["answer"]) == (1, "cannot_tell")
    assert ("felt_hot", ["2R"]) in [(one["code"], one["corners"]) for one in drag["reasons"]]
    assert told["next_check"]["id"] == "read_felt"


@pytest.mark.parametrize(
    "text", ["drags when turned", "brake binding", "binds", "schleift", "caliper stuck",
             "sliding pin seized", "sticky pin", "piston sticking", "frotte", "étrier grippé",
             "hard to turn", "stiff to turn by hand", "does not turn freely", "dreht schwer"]
)  # fmt: skip
def test_a_brake_that_binds_by_hand_is_not_cleared(text):
    """Even heat is one thing, and what a hand found another."""
    assert [(one.code, one.corner) for one in beside(text).blind] == [("said_stuck", "2R")]


@pytest.mark.parametrize("text", ["RR binds", "caliper RR stuck", "rear right drags when turned by hand"])
def test_above_the_table_a_brake_that_binds_is_that_of_the_wheel_named(thermlog, text):
    """It is turned by hand, cooled, before anybody says that it does not drag, or works."""
    found = told(thermlog, f"# remark: {text}")
    assert [(one["code"], one["corner"]) for one in found["blind"]] == [("said_stuck", "2R")]
    answers = found["answers"]
    assert [answers[one]["answer"] for one in ("drag", "idle", "heat")] == [
        "cannot_tell",
        "cannot_tell",
        "no",
    ]
    assert found["next_check"]["id"] == "cool_and_turn"


def test_a_complaint_without_a_wheel_is_what_the_log_is_to_answer(thermlog):
    """ "A brake binds" is why it was driven: whether one drags is told by the gun."""
    found = told(thermlog, "# driver says: a brake binds")
    assert (found["blind"], found["answers"]["drag"]["answer"]) == ([], "no")


@pytest.mark.parametrize(
    "text", ["does not drag", "no binding", "caliper stuck, replaced", "new pads, sticky pin greased",
             "door stuck", "stuck in traffic", "nuts hard to turn", "not hard to turn", "turns freely",
             "clutch drags", "pads ok", "drag test done"]
)  # fmt: skip
def test_what_was_mended_denied_or_is_of_something_else_opens_nothing(text):
    assert beside(text).blind == ()
