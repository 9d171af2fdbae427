"""Answers that contradict each other, or one another's place, and what an answer forbids by itself."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from advicecases import log_evidence

from thermlog.advice.narrowing import Found, narrow

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
