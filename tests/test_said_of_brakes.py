"""What is said of a brake in other words than those for smoke and the like is not lost, wherever it stands.

"Does not brake" denies nothing that was seen: it is the fault. A careful technician clears no brake beside
it, and none that was washed, misread or not driven before the walk. Texts are invented; answers were written
first.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from thermlog.reading.remarks.alarms import alarms_of
from thermlog.reading.remarks.sights import read_sights

EVEN = (Path(__file__).parent.parent / "sample_logs" / "saloon_healthy.csv").read_text(encoding="utf-8")
FAULTS = [
    "RR does not brake", "RR not working", "no brakes", "no brake at RR", "no pads RR", "not holding RR",
    "without brake RR", "bremst nicht HR", "keine Bremswirkung HR", "ARD ne freine pas", "no frena RR",
    "RR does not release", "no pressure", "no fluid", "no air", "brake lamp not out", "not released",
]  # fmt: skip
CALM = [
    "nothing", "no smoke", "no complaints", "nothing at RF", "not checked", "n/a", "all ok", "no problem",
    "keine Auffälligkeiten", "RAS rien à signaler", "sin novedad", "no sign of smoke at RF", "pedal firm",
    "pedal not soft", "no leaks", "no burning brake smell", "nothing unusual seen", "no hot brakes",
    "no ABS lamp", "does not pull", "nichts gesehen", "no drag", "never smoked",
]  # fmt: skip


def told(thermlog, *options: str, head: str = "", foot: str = "") -> tuple[int, dict[str, Any]]:
    """Exit code and answers of a check of an even saloon with more lines above or below."""
    Path("log.csv").write_text(f"{head}{EVEN.rstrip()}\n{foot}", encoding="utf-8")
    ran = thermlog("check", "log.csv", "--format", "json", *options)
    return ran.code, json.loads(ran.out) if ran.out else {}


@pytest.mark.parametrize("text", FAULTS)
def test_a_fault_told_with_not_or_no_is_no_denial(text):
    assert read_sights(text).strange == (text.lower().replace("è", "e"),)


@pytest.mark.parametrize("text", CALM)
def test_what_denies_something_seen_is_one(text):
    sights = read_sights(text)
    assert (sights.found, sights.strange) == ((), ())


@pytest.mark.parametrize(
    ("text", "code"),
    [("pedal not firm", "pedal"), ("ABS lamp not out", "abs_lamp"), ("wheel will not turn", "locked"),
     ("wheel RR does not turn", "locked")],
)  # fmt: skip
def test_the_denial_of_what_is_well_is_what_is_seen(text, code):
    assert [one.code for one in read_sights(text).found] == [code]


@pytest.mark.parametrize("text", ["RR does not brake", "no pressure"])
def test_nothing_is_cleared_beside_a_fault_stated_as_seen(thermlog, text):
    code, found = told(thermlog, foot=f"# seen: {text}\n")
    assert code == 1
    assert {found["answers"][one]["answer"] for one in ("drag", "idle")} == {"cannot_tell"}
    code, _ = told(thermlog, "--seen", text)
    assert code == 2  # an option of which nothing is known is wrong usage


# What is said, and the answers to "does one drag?" and "does one not work?".
SAID = [
    ("RR brake not working", "no", "cannot_tell"),
    ("FL brake hose clamped off", "no", "cannot_tell"),
    ("lining gone RR", "no", "cannot_tell"),
    ("yellow line disconnected", "no", "cannot_tell"),
    ("trailer air lines not coupled", "no", "cannot_tell"),
    ("brakes out of adjustment RR", "no", "cannot_tell"),
    ("brake test on rollers failed RR", "no", "cannot_tell"),
    ("RR caliper pins seized", "cannot_tell", "cannot_tell"),
    ("towed in on a flatbed, not driven", "cannot_tell", "cannot_tell"),
    ("FL disc cracked", "cannot_tell", "cannot_tell"),
    ("drove with handbrake on", "cannot_tell", "cannot_tell"),
    ("FL read by mistake", "cannot_tell", "cannot_tell"),
    ("just washed", "cannot_tell", "cannot_tell"),
]


@pytest.mark.parametrize("mark", ["# ", "# note: "])
@pytest.mark.parametrize(("text", "drag", "idle"), SAID)
def test_the_same_words_have_one_fate(thermlog, text, drag, idle, mark):
    code, found = told(thermlog, foot=f"{mark}{text}\n")
    answers = found["answers"]
    assert (code, answers["drag"]["answer"], answers["idle"]["answer"]) == (1, drag, idle)
    assert any(text in one["text"] for one in found["unweighed"])


@pytest.mark.parametrize("mark", ["# ", "# note: ", "# seen: "])
def test_what_holds_a_wheel_is_seen_to_be_gone(thermlog, mark):
    """No remark to be weighed by the reader: the vehicle is not driven."""
    code, found = told(thermlog, foot=f"{mark}lug nuts missing RR\n")
    assert (code, found["unweighed"]) == (1, [])
    assert {found["answers"][one]["answer"] for one in ("drag", "idle")} == {"cannot_tell"}
    assert [(one["code"], one["corner"]) for one in found["urgent"]] == [("loose", "2R")]
    why = [one["code"] for each in ("drag", "idle") for one in found["answers"][each]["reasons"]]
    assert set(why) == {"seen_beside"}
    assert found["next_check"]["id"] == "secure_wheel"


@pytest.mark.parametrize("text", ["RR brake not working", "squeals at RR"])
def test_a_line_above_the_table_that_names_a_wheel_is_a_remark(thermlog, text):
    _, found = told(thermlog, head=f"{text}\n")
    assert any(text in one["text"] for one in found["unweighed"])
    assert not any("says nothing" in note for note in found["log"]["notes"])


@pytest.mark.parametrize(
    "text", ["exported by the gun", "new tyres", "Brake check, spring", "pads 8 mm all round"]
)
def test_other_comments_are_noted_and_no_remarks(thermlog, text):
    code, found = told(thermlog, foot=f"# {text}\n")
    assert (code, found["unweighed"]) == (0, [])
    assert any("says nothing" in note for note in found["log"]["notes"])


@pytest.mark.parametrize(
    "text", ["handbrake on", "parked with handbrake on", "drove with handbrake off", "not washed"]
)
def test_a_parked_vehicle_is_held_by_its_parking_brake(text):
    assert alarms_of(text) == ()
