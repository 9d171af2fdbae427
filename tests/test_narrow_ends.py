"""When a search ends, how much one answer counts, and that usual answers lead to their cause."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import numpy as np
import pytest
from advicecases import CAR, HEAVY_DRUMS, LIGHT_TRAILER, after, log_evidence

from thermlog.advice.board import bits_per_minute, board_of, expected_bits
from thermlog.advice.choosing import choose
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.search import advanced, begun
from thermlog.advice.situations import situation_of
from thermlog.advice.weighing import cause_weights
from thermlog.words.errors import OptionError

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))
narrow_cases = importlib.import_module("narrow_cases")
narrow_search = importlib.import_module("narrow_search")

TABLE = evidence_table()
COLD = log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)


def share(search) -> float:
    weights = cause_weights(search.situation)
    return max(weights.values()) / sum(weights.values())


def test_about_one_answer_in_ten_is_taken_for_wrong():
    """Worked by hand from the row: 86 parts of it, 14 of any of the three answers, two of them wrong."""
    before, then = (cause_weights(after(COLD, **found).situation) for found in ({}, {"stroke": "over_limit"}))
    rows = TABLE.observations["stroke"].p
    for cause in ("slack_long", "lining_contaminated", "chamber_leaking"):
        by_hand = 0.86 * rows[cause][1] + 0.14 / 3
        assert then[cause] / before[cause] == pytest.approx(by_hand, rel=1e-12)


def test_answers_of_the_gun_count_to_the_power_of_those_of_the_log():
    hot = log_evidence("corner_hot", "1L")
    before, then = (
        cause_weights(after(hot, **found).situation) for found in ({}, {"th_face": "inner_hotter"})
    )
    for cause in ("slide_pin_seized", "piston_stuck_on"):
        by_hand = 0.86 * TABLE.observations["th_face"].p[cause][0] + 0.14 / 3
        assert then[cause] / before[cause] == pytest.approx(by_hand**0.7, rel=1e-12)


@pytest.mark.parametrize(("factor", "ending"), [(0.9999, "settled"), (1.0001, None)])
def test_a_cause_believed_enough_and_confirmed_ends_the_search(monkeypatch, factor, ending):
    search = after(COLD, stroke="over_limit")
    monkeypatch.setitem(evidence_table().rule, "confirmed_share", 2.0)
    monkeypatch.setitem(evidence_table().rule, "settled_share", share(search) * factor)
    assert choose(search).ending == ending
    assert (choose(search).asked is None) == (ending == "settled")


def test_a_cause_believed_enough_is_confirmed_first(monkeypatch):
    """Nothing was measured yet: what is asked is the check that would confirm it, not the end."""
    search = begun(COLD)
    monkeypatch.setitem(evidence_table().rule, "settled_share", share(search) * 0.9999)
    assert choose(search).asked.key in {one.check for one in TABLE.causes["slack_long"].confirms}


@pytest.mark.parametrize(
    ("confirmed", "least", "ends"), [(0.9999, 1.0001, True), (1.0001, 1.0001, False), (0.9999, 0.9999, False)]
)
def test_a_confirmed_cause_ends_before_what_tells_little(monkeypatch, confirmed, least, ends):
    """Just above and just below both lines: the share that is enough, the bits a minute that are too few."""
    search = after(COLD, stroke="over_limit")
    rule = evidence_table().rule
    monkeypatch.setitem(rule, "end_bits", 0.0)
    monkeypatch.setitem(rule, "confirmed_share", 2.0)
    asked = choose(search).asked
    minutes = advanced(search, asked.key, next(iter(asked.asked.answers))).minutes - search.minutes
    board = board_of(search.situation)
    k = board.at[asked.key]
    bits = expected_bits(board, search.situation)[k]
    monkeypatch.setitem(rule, "confirmed_share", share(search) * confirmed)
    rate = bits / (minutes + rule["overhead_min"] + board.second_min[k])
    monkeypatch.setitem(rule, "confirmed_rate", rate * least)
    assert (choose(search).ending == "settled") is ends


def test_a_second_person_is_counted():
    """The same check with and without a helper: its own minutes more in the rate, none more on the clock."""
    board = board_of(situation_of(log_evidence("corner_cold", "1L")))
    k, alone = board.at["hold_grips"], board.at["pulsation"]
    assert "helper" in TABLE.observations["hold_grips"].needs
    assert board.second_min[k] == TABLE.observations["hold_grips"].minutes
    assert board.second_min[alone] == 0.0
    count = len(board.asked)
    rate = bits_per_minute(board, np.ones(count), np.full(count, 10.0))
    assert rate[k] == pytest.approx(1 / (10 + TABLE.rule["overhead_min"] + 4))
    assert rate[alone] == pytest.approx(1 / (10 + TABLE.rule["overhead_min"]))


def found_first(case, place) -> bool:
    """The search answered as the cause mostly shows itself."""
    search = begun(place)
    for one in case.known:
        search = advanced(search, one.check, one.answer)
    sure = narrow_search.Luck(wrong=0.0, seed="")
    ended = narrow_search.session(narrow_search.Node(search), case, 0, narrow_search.ORDERS["thermlog"], sure)
    return ended.right


def test_usual_answers_lead_to_every_cause_on_every_brake_as_every_verdict():
    """Every cause, or the other of a pair that is named; without an error in any answer."""
    every = narrow_cases.cases()
    assert {case.cause for case in every} == set(TABLE.causes)
    assert {case.kind for case in every} == set(TABLE.kinds)
    missed = [
        (case.cause, case.kind, case.verdict)
        for case in every
        for place in case.places
        if not found_first(case, place)
    ]
    assert missed == []


def test_errors_of_simulated_answers_are_as_many_as_said():
    """One in ten of 4 000 answers, to three standard deviations of a binomial."""
    case = next(case for case in narrow_cases.cases() if case.cause == "slide_pin_seized")
    usual = narrow_search.answer(case, 0, "spin_hot", narrow_search.Luck(wrong=0.0, seed=""))
    some = [
        narrow_search.answer(case, n, "spin_hot", narrow_search.Luck(wrong=0.1, seed="a"))
        for n in range(4000)
    ]
    wrong = np.mean([one != usual for one in some])
    assert abs(wrong - 0.1) < 3 * (0.1 * 0.9 / 4000) ** 0.5


@pytest.mark.parametrize(
    ("vehicle", "check", "answer", "fitted"),
    [
        (HEAVY_DRUMS, "bleeder_frees", "frees", "S-cam air drum"),
        (LIGHT_TRAILER, "pedal_freeplay", "none", "overrun trailer drum or electric trailer drum"),
        (CAR, "stroke", "over_limit", "floating caliper"),
        (HEAVY_DRUMS, "supply_gauge", "low", "S-cam air drum"),
        (CAR, "brake_kind", "air_disc", "floating caliper"),
    ],
)
def test_an_answer_that_this_brake_cannot_have_is_refused_by_name(vehicle, check, answer, fitted):
    evidence = log_evidence("corner_hot", "1L", vehicle=vehicle)
    with pytest.raises(OptionError) as refused:
        narrow(evidence, [Found(check=check, answer=answer)])
    said = str(refused.value)
    assert said.startswith(check)
    assert fitted in said
    if check != "brake_kind":
        asked = narrow(evidence).check.id
        assert f"asked next is {asked}; thermlog narrow --checks lists all" in said
        assert check not in said.partition("; it can be ")[2].replace(" (", ", ").split(", ")


def test_whatever_is_asked_may_be_answered():
    """Of every kind of brake every check that applies to it: the refusal takes none of them away."""
    for vehicle in (CAR, HEAVY_DRUMS, LIGHT_TRAILER):
        evidence = log_evidence("corner_hot", "2L", vehicle=vehicle)
        situation = situation_of(evidence)
        board = board_of(situation)
        for one, applies in zip(board.asked, board.applies, strict=True):
            answer = next(iter(one.asked.answers))
            if applies > 0 and "trailer" not in one.asked.needs:  # no trailer's axle stands out
                assert narrow(evidence, [Found(check=one.key, answer=answer)]).found


def test_an_answer_undoes_a_skip():
    state = narrow(
        log_evidence("corner_hot", "1L"), [Found(check="visual", answer="nothing_seen")], ["visual", "leak"]
    )
    assert (state.skipped, [one.check for one in state.found]) == (("leak",), ["visual"])


def test_a_name_near_to_none_is_refused_with_what_is_asked_next_and_where_all_stand():
    evidence = log_evidence("corner_hot", "1L")
    with pytest.raises(OptionError) as refused:
        narrow(evidence, (), ["nonsense"])
    asked = narrow(evidence).check.id
    all_stand = "thermlog narrow --checks lists all with their answers"
    assert str(refused.value) == f'no check "nonsense"; asked next is {asked}; {all_stand}'


@pytest.mark.parametrize("told", [("nonsense", "yes"), ("spin_hott", "free"), ("stroke", "over_limit")])
def test_no_refusal_of_a_check_lists_them_all(told):
    """A line that a phone and a terminal show whole (common practice, no source)."""
    with pytest.raises(OptionError) as refused:
        narrow(log_evidence("corner_hot", "1L"), [Found(check=told[0], answer=told[1])])
    assert len(str(refused.value)) < 250
    assert "narrow --checks lists all" in str(refused.value)
