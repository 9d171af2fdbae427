"""Readings that contradict each other: only whether the brake drags stays open where all are warm.

Answers as a careful technician would give them, written before the logs were run: a brake of which even the
coldest reading is as warm as its sound mate does its work, whichever is right; one of which a reading is as
cold as a dead brake's may be dead.
"""

import pytest
from readcases import read

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings

HEAD = "# ambient: 15 C\n# vehicle: saloon\n# drive: normal\nsince_parked_s,position,temp_c\n"
SOUND = "30,LF,122\n50,LR,80\n60,RR,84\n330,LF,105\n350,LR,74\n360,RR,76\n"
TWICE = [
    ("40,RF,124\n340,RF,160\n", "no"),  # a jump of two readings, both as warm as the mate
    ("40,RF,95\n340,RF,140\n", "no"),  # 80 K for the mate's 107: as warm as a working brake
    ("40,RF,71\n340,RF,190\n", "cannot_tell"),  # half of the mate's
]
THRICE = [
    ("40,RF,104\n340,RF,112\n640,RF,122\n", "cannot_tell"),  # step by step: perhaps not of the brake at all
    ("40,RF,30\n340,RF,45\n640,RF,62\n", "cannot_tell"),  # it may as well be dead and take heat from the hub
]


def told(text):
    (case,) = diagnoses(judge(read(text).readings, Settings()))
    return case.answers


@pytest.mark.parametrize(("rows", "word"), TWICE + THRICE)
def test_a_brake_that_is_warm_by_its_coldest_reading_works(rows, word):
    more = "630,LF,93\n650,LR,68\n660,RR,70\n" if "640" in rows else ""
    answers = told(HEAD + SOUND + more + rows)
    assert answers.drag.answer in {"cannot_tell", "watch"}
    assert answers.idle.answer == word
    codes = [reason.code for reason in answers.idle.reasons]
    assert ("warm_either_way" in codes) == (word == "no")


@pytest.mark.parametrize(
    "rows", ["40,RF,30\n340,RF,106\n", "40,RF,45\n340,RF,70\n", "40,RF,19\n340,RF,160\n"]
)
def test_a_brake_one_of_whose_two_readings_is_a_dead_one_s_may_be_dead(rows):
    """4 to 30 K of the mate's 107 are what a brake without work may have."""
    assert told(HEAD + SOUND + rows).idle.answer != "no"


def test_a_mate_as_cold_as_a_dead_brake_vouches_for_nothing():
    """Fronts of 14 to 50 K above the air beside rears of 65 K may both do too little."""
    for shown in ((29, 27, 24, 37), (60, 55, 55, 85), (65, 60, 60, 80)):
        cold = SOUND.replace("30,LF,122", f"30,LF,{shown[0]}").replace("330,LF,105", f"330,LF,{shown[1]}")
        assert told(HEAD + cold + f"40,RF,{shown[2]}\n340,RF,{shown[3]}\n").idle.answer != "no"


def test_a_mate_of_one_reading_vouches_for_nothing():
    """It may itself have been missed."""
    once = SOUND.replace("330,LF,105\n", "")
    assert told(HEAD + once + "40,RF,124\n340,RF,160\n").idle.answer != "no"
