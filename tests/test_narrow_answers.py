"""Answers that contradict each other, or one another's place, and what an answer forbids by itself."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from advicecases import CAR, log_evidence

from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, narrow
from thermlog.words.findings import Urgent

SAMPLE = str(Path(__file__).parent.parent / "sample_logs" / "van_front_left_hot.csv")
# Every answer speaks for another part.
NO_ONE_FAULT = {
    "bleeder_frees": "frees", "hose_outlet_frees": "no_change", "pins_slide": "stiff",
    "piston_draws_back": "stays_out", "wear_pads": "inner_more", "bearing_spin": "rough",
}  # fmt: skip


def test_answers_that_cannot_be_one_fault_fit_no_single_cause():
    found = [Found(check=check, answer=answer) for check, answer in NO_ONE_FAULT.items()]
    state = narrow(log_evidence("corner_hot", "1L"), found)
    assert state.ending == "contradiction"
    assert state.suspects[0].cause == "no_single_cause"


@pytest.mark.parametrize(
    ("answers", "forbids"),
    [
        ({"bearing_spin": "rough"}, True),
        ({"bearing_spin": "tight"}, True),
        ({"bearing_rock": "play"}, True),
        ({"bearing_spin": "rough", "bearing_spin_again": "smooth"}, True),
        ({"bearing_spin": "smooth", "bearing_spin_again": "rough"}, True),
        (NO_ONE_FAULT, True),
        ({"bearing_spin": "smooth", "bearing_rock": "no_play"}, False),
        ({"bearing_spin": "brake_drags"}, False),
        ({}, False),
    ],
)
def test_a_bearing_once_felt_bad_is_not_driven_on_whatever_the_ranking(answers, forbids):
    found = [Found(check=check, answer=answer) for check, answer in answers.items()]
    said = narrow(log_evidence("corner_hot", "1L"), found).cautions
    assert len(said) == forbids
    assert all("The bearing of front left was found bad" in line for line in said)
    assert all("the vehicle is not driven before it is checked" in line for line in said)


def test_that_caution_stands_in_text_json_and_on_the_screen(thermlog):
    text = thermlog("narrow", SAMPLE, "--found", "bearing_spin=rough").out
    (line,) = (line for line in text.splitlines() if "found bad" in line)
    assert line.startswith(
        "CAUTION   The bearing of front left was found bad (rough or growling): the vehicle"
    )
    told = json.loads(thermlog("narrow", SAMPLE, "--found", "bearing_spin=rough", "--format", "json").out)
    assert len(told["cautions"]) == 1


HUBS = ("1L", "2R")  # the search is about the first
COOLED = {"clear_and_wait": "cooled"}


@pytest.mark.parametrize(
    ("answers", "held"),
    [
        ({}, ()),  # while it has not cooled the wait itself says it
        (COOLED, ("front left", "rear right")),
        (COOLED | {"on_stands": "no"}, ("front left", "rear right")),
        (COOLED | {"bearing_spin": "brake_drags"}, ("front left", "rear right")),  # nothing was felt
        (COOLED | {"bearing_rock": "no_play"}, ("front left", "rear right")),  # it may be too tight
        (COOLED | {"bearing_spin": "smooth"}, ("rear right",)),
        (COOLED | {"bearing_spin": "rough"}, ("rear right",)),  # told as found bad
    ],
)
def test_a_hub_that_stopped_the_vehicle_holds_it_until_its_bearing_is_felt(answers, held):
    """What `check` says of a hot hub must not be lost once it has cooled: a cool bearing is no sound one."""
    urgent = tuple(Urgent(code="hub_hot", corner=one, spot="hub", value_degc=150.0) for one in HUBS)
    found = [Found(check=check, answer=answer) for check, answer in answers.items()]
    said = narrow(log_evidence("hub_hot", "1L", vehicle=CAR, urgent=urgent), found).cautions
    lines = [str(line) for line in said if "before the vehicle moves again" in line]
    assert len(lines) == bool(held)
    assert all(str(place) in line.replace("1L", "front left").replace("2R", "rear right")
               for line in lines for place in held)  # fmt: skip
    assert all("front left" not in line and "1L" not in line for line in lines if "front left" not in held)


def test_a_wheel_that_turns_is_not_asked_to_break_loose():
    """No answer of that card would be true of it."""
    told = [("on_stands", "yes"), ("frees_cold", "free")]
    found = [Found(check=check, answer=one) for check, one in told]
    asked = set()
    for _ in range(40):
        state = narrow(log_evidence("corner_hot", "1L", brake_degc=45.0), found, sorted(asked))
        if state.check is None or not state.answers:
            break
        asked.add(state.check.id)
    assert len(asked) > 5
    assert "frees_jerk" not in asked


def test_nobody_leans_on_a_trailer_that_stands_on_stands():
    """Whatever is found out by pushing a drawtube says so."""
    pushing = {"drawtube_out", "drawtube_force", "leak_surge"}
    table = evidence_table()
    assert {key for key, one in table.observations.items() if "comes off its stands" in one.safety} == pushing
    raised = (one for one in table.observations.values()
              if "surge_hyd" in one.applies_to and {"lift", "helper"} <= set(one.needs))  # fmt: skip
    assert all("never pushed" in one.how for one in raised)


def test_two_answers_to_one_check_are_refused_by_name(thermlog):
    """The first one vanished without a word."""
    ran = thermlog("narrow", SAMPLE, "--found", "spin_hot=free", "--found", "spin_hot=locked")
    assert ran.code == 2
    assert "spin_hot was given twice, free and locked: give the one that holds" in ran.err
    assert "spin_hot_again=locked" in ran.err
    assert thermlog("narrow", SAMPLE, "--found", "lamp=lit", "--found", "lamp=lit").code == 1


def test_an_answer_that_takes_the_place_of_a_recorded_one_is_said(thermlog):
    thermlog("narrow", SAMPLE, "--job", "job.json", "--found", "lamp=lit")
    ran = thermlog("narrow", SAMPLE, "--job", "job.json", "--found", "lamp=dark")
    assert "lamp=dark takes the place of lamp=lit of the record" in ran.err


def test_a_drive_that_is_next_is_no_check_to_be_answered_or_skipped(thermlog):
    ran = thermlog("narrow", SAMPLE, "--skip", "coast_drive")
    assert (ran.code, "coast_drive is driven, read or looked into, and has no answer" in ran.err) == (3, True)
