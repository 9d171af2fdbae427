"""Practice: how a commitment is marked against what was planted and what the log could show."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from practicecases import COLD, FOUR, HEALTHY, HOT, case_of

from thermlog.advice.evidenceload import evidence_table
from thermlog.practice.commitment import FINDINGS, STEPS, SURE, Commitment
from thermlog.practice.marking import (
    STEP_OF,
    PlantedFault,
    mark_of,
    marked,
    open_because,
    tool_commitment,
)
from thermlog.reports.practicewords import MARK_WORDS
from thermlog.words.findings import Answer, Answers, Detectable
from thermlog.words.reasons import DoCode, Reason

# marks


@pytest.mark.parametrize(
    ("finding", "corners", "truth", "can_tell", "word"),
    [
        ("drag", ("1L",), HOT, True, "right"),
        ("drag", ("1L",), HOT, False, "right"),
        ("drag", ("1R",), HOT, True, "wrong_place"),
        ("drag", ("1L", "1R"), HOT, True, "part"),
        ("idle", ("1R",), HOT, True, "wrong_kind"),
        ("hub", ("1L",), HOT, True, "wrong_kind"),
        ("nothing", (), HOT, True, "missed"),
        ("nothing", (), HOT, False, "missed"),
        ("cannot_tell", (), HOT, True, "could_be_told"),
        ("cannot_tell", (), HOT, False, "rightly_open"),
        ("nothing", (), HEALTHY, True, "right"),
        ("nothing", (), HEALTHY, False, "right"),
        ("idle", ("2L",), HEALTHY, False, "false_alarm"),
        ("cannot_tell", (), HEALTHY, False, "rightly_open"),
    ],
)
def test_marks(finding, corners, truth, can_tell, word):
    mark = mark_of(Commitment(finding=finding, corners=corners, p=0.75), truth, can_tell=can_tell)
    assert mark.word == word
    # (0.75 - 1)² and (0.75 - 0)²
    assert mark.brier == (0.0625 if word in {"right", "rightly_open"} else 0.5625)
    assert mark.word in MARK_WORDS


def test_a_wrong_sure_costs_most_and_a_right_one_least():
    """Brier 1950: the square of forecast minus outcome."""
    grades = [
        [
            mark_of(Commitment(finding="drag", corners=at, p=p), HOT, can_tell=True).brier
            for p in SURE.values()
        ]
        for at in (("1L",), ("2L",))
    ]
    assert grades == [[0.25, 0.0625, 0.0025], [0.25, 0.5625, 0.9025]]


@given(belief=st.floats(0.0, 1.0), other=st.floats(0.0, 1.0))
def test_the_score_is_proper(belief, other):
    """Nobody expects a better score by stating another probability than their own."""

    def expected(stated_p):
        right, wrong = (
            mark_of(Commitment(finding="drag", corners=at, p=stated_p), HOT, can_tell=True).brier
            for at in (("1L",), ("1R",))
        )
        return belief * right + (1 - belief) * wrong

    assert expected(belief) <= expected(other) + 2e-6  # the score is kept to six digits


def answered(told, **given_answers):
    sound = Answer(answer="no", p=0.01)
    return replace(told, answers=Answers(**({"drag": sound, "idle": sound, "heat": sound} | given_answers)))


def test_when_cannot_tell_is_right():
    """The tool's own limits: no answer, a fault too small to have shown, a gap with two readings."""
    told = case_of(1, 1, "diagonal").told
    assert open_because(answered(told), HOT) is None
    assert open_because(answered(told, drag=Answer(answer="cannot_tell")), HOT) == "not_answered"
    assert open_because(answered(told, drag=Answer(answer="cannot_tell")), COLD) is None
    assert open_because(answered(told, idle=Answer(answer="cannot_tell")), COLD) == "not_answered"
    assert open_because(answered(told, idle=Answer(answer="cannot_tell")), HEALTHY) == "not_answered"
    coast = replace(told, drive="coast")
    assert open_because(answered(coast, idle=Answer(answer="cannot_tell")), HEALTHY) is None
    heat = PlantedFault(kind="all_hot", finding="drag", corners=FOUR, drag_nm=20.0)
    assert open_because(answered(told, heat=Answer(answer="cannot_tell")), heat) == "not_answered"
    hub = PlantedFault(kind="hub_hot", finding="hub", corners=("1L",), drag_nm=20.0)
    assert open_because(answered(told, drag=Answer(answer="cannot_tell")), hub) is None
    both = Answer(answer="watch", reasons=(Reason(code="gap_open", corners=("1L", "1R")),))
    assert open_because(answered(told, drag=both), HOT) == "two_readings"
    assert open_because(answered(told, drag=replace(both, answer="yes")), HOT) is None


@pytest.mark.parametrize(
    ("truth", "limit", "is_open"),
    [
        (HOT, Detectable(corner="1L", rise_k=30.0, torque_nm=20.1), True),  # 20 N·m were planted
        (HOT, Detectable(corner="1L", rise_k=30.0, torque_nm=20.0), False),
        (HOT, Detectable(corner="1L", rise_k=None, torque_nm=None), True),  # none would have shown
        (HOT, Detectable(corner="1R", rise_k=30.0, torque_nm=90.0), False),  # of another wheel
        (COLD, Detectable(corner="2R", lost_share=0.61), True),  # 0.6 were planted
        (COLD, Detectable(corner="2R", lost_share=0.6), False),
        (COLD, Detectable(corner="2R", lost_share=None), True),
    ],
)
def test_a_fault_below_the_limit_cannot_be_told(truth, limit, is_open):
    told = case_of(1, 1, "diagonal").told
    no = Answer(answer="no", p=0.01, detectable=(limit,))
    named = {"drag" if truth is HOT else "idle": no}
    assert (open_because(answered(told, **named), truth) == "below_limit") is is_open


def test_what_the_tool_commits_to_are_its_own_words():
    """Of many cases: pattern and corners of the JSON, its yes and no as sure, its watch as fairly."""
    seen = set()
    for number in range(30):
        case = case_of(number, 1 + number % 3)
        told = marked(case, Commitment(finding="nothing", p=0.5))
        pattern = case.told.pattern
        seen.add(told.tool.finding)
        if told.tool.finding in {"drag", "idle"} and pattern.kind != "all_hot":
            assert set(told.tool.corners) == set(pattern.corners)
            word = (case.told.answers.drag if told.tool.finding == "drag" else case.told.answers.idle).answer
            assert told.tool.p == (0.95 if word == "yes" else 0.75)
        if told.tool.finding == "nothing":
            assert case.told.answers.drag.answer == "no"
            assert told.tool.p == 0.95
        assert told.tool_steps
        assert set(told.tool_steps) <= set(STEPS)
    assert {"drag", "idle", "nothing"} <= seen
    assert tool_commitment(answered(case.told, idle=Answer(answer="cannot_tell"))).finding in FINDINGS


def test_every_step_the_tool_can_ask_for_is_on_the_short_list():
    assert set(STEP_OF) == set(get_args(DoCode))
    assert set(STEP_OF.values()) == set(STEPS)
    assert not set(evidence_table().observations) & set(STEP_OF)  # these are checks at the wheel
