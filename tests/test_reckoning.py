"""What the answers to both questions share: sums over corners, the widest gap, few readings; all by hand."""

from __future__ import annotations

import pytest
from answercases import EVEN, POLICY
from msgspec.structs import replace
from ruledfacts import with_sides

from thermlog.judging.facts import Suspected
from thermlog.judging.reckoning import (
    above,
    below_others,
    few_readings,
    hotter_may_drag,
    no_difference,
    plain_gaps,
    unseen,
)
from thermlog.judging.uncleared import Uncleared
from thermlog.words.reasons import Reason

JUST = 1e-9


def rises(first, second):
    """Rises of both axles, (left, right) each; None where a side has none."""
    facts = EVEN
    for axle, (left, right) in ((1, first), (2, second)):
        facts = with_sides(facts, axle, left={"rise_k": left}, right={"rise_k": right})
    return facts


def gaps(first_k, second_k, *, half_k=1.0, rise_k=100.0):
    """Both axles with a difference and its interval."""
    facts = EVEN
    for axle, gap_k in ((1, first_k), (2, second_k)):
        ends = None if gap_k is None else (gap_k - half_k, gap_k + half_k)
        sides = {"left": {"rise_k": rise_k + (gap_k or 0.0)}, "right": {"rise_k": rise_k}}
        facts = with_sides(facts, axle, **sides, difference_k=gap_k, difference_interval_k=ends)
    return facts


def test_corners_stand_above_the_mean_of_the_others():
    facts = rises((100.0, 90.0), (40.0, None))
    assert above(facts, ("1L",)) == {"above_k": pytest.approx(100.0 - (90.0 + 40.0) / 2.0)}
    assert above(facts, ("1L", "1R")) == {"above_k": pytest.approx(95.0 - 40.0)}
    assert below_others(facts, ("2L",)) == {"below_k": pytest.approx(95.0 - 40.0)}
    assert above(facts, ("2R",)) == below_others(facts, ("2R",)) == {}  # it has no rise
    assert above(facts, ("1L", "1R", "2L")) == {}  # there are no others


def test_no_difference_shows_the_widest_gap_of_sound_brakes():
    (found,) = no_difference(gaps(3.0, -5.0))
    assert (found.code, found.corners) == ("even", ("2R", "2L"))
    assert found.numbers["difference_k"] == 5.0
    (found,) = no_difference(gaps(-5.0, 3.0))
    assert found.corners == ("1R", "1L")
    (found,) = no_difference(gaps(None, 3.0))
    assert found.corners == ("2L", "2R")
    assert no_difference(gaps(None, None)) == (Reason(code="even"),)


def test_a_gap_of_another_kind_is_no_even_one():
    """An axle with a plain gap, and one whose brake probably does nothing, are not shown as even."""
    plain_k = POLICY.watch_difference_k + 100.0
    (found,) = no_difference(gaps(plain_k, 3.0))
    assert found.corners == ("2L", "2R")
    assert no_difference(gaps(plain_k, plain_k)) == ()
    for off, corners in ((JUST, ("2L", "2R")), (-JUST, ("1L", "1R"))):
        idle = Suspected(p=POLICY.doubt_probability + off, kind="corner_cold", corners=("1R",))
        (found,) = no_difference(replace(gaps(9.0, 3.0), idle=idle))
        assert found.corners == corners
    far_behind = Suspected(p=1.0, kind="corner_cold", corners=("12L",))  # the twelfth axle, not the first
    assert no_difference(replace(gaps(9.0, 3.0), idle=far_behind))[0].corners == ("1L", "1R")
    sure = Suspected(p=None, kind="corner_cold", corners=("1R",))
    assert no_difference(replace(gaps(9.0, 3.0), idle=sure))[0].corners == ("1L", "1R")


def test_plain_gaps_come_widest_first():
    assert [one.axle for one in plain_gaps(gaps(150.0, -180.0))] == [2, 1]
    assert [one.axle for one in plain_gaps(gaps(-180.0, 150.0))] == [1, 2]
    assert [one.axle for one in plain_gaps(gaps(3.0, 150.0))] == [2]
    least_k = POLICY.watch_difference_k  # of the near end of the interval, with a wide ratio
    near = [gaps(least_k + 1.0 + off, 0.0, rise_k=1.0) for off in (0.0, -1e-6)]
    assert [[one.axle for one in plain_gaps(facts)] for facts in near] == [[1], []]


@pytest.mark.parametrize(("used", "few"), [((2, 9), True), ((9, 2), True), ((1, 1), True), ((3, 3), False)])
def test_two_readings_on_either_side_are_few(used, few):
    facts = with_sides(EVEN, 1, left={"used": used[0]}, right={"used": used[1]})
    assert few_readings(facts, "1L") is few_readings(facts, "1R") is few
    assert few_readings(facts, "7L") is False


@pytest.mark.parametrize(
    ("p_hot", "p_cold", "may"),
    [(0.0, 0.0, True), (0.01, 0.02, False), (0.02, 0.02, True), (0.03, 0.02, True), (0.01, 0.9, False)],
)
def test_hotter_side_may_drag_unless_the_cooler_one_is_likelier_odd(p_hot, p_cold, may):
    def numbers(hot, cold):
        facts = with_sides(EVEN, 1, left={"p_hot": hot}, right={"p_cold": cold}, difference_k=30.0)
        return facts.axles[1]

    assert hotter_may_drag(numbers(p_hot, p_cold), EVEN) is may
    assert hotter_may_drag(numbers(POLICY.gap_probability, 0.9), EVEN)
    assert not hotter_may_drag(numbers(POLICY.gap_probability - JUST, 0.9), EVEN)
    alone = replace(EVEN, axles={1: EVEN.axles[1]})
    assert hotter_may_drag(numbers(p_hot, p_cold), alone)


def test_nothing_unseen_is_cleared():
    assert unseen(replace(EVEN, uncleared=Uncleared(corners={}, whole=(), blocks_all=False)), 0.1) is None
    reason = Reason(code="not_read", corners=("2R",))
    facts = replace(EVEN, uncleared=Uncleared(corners={"2R": reason}, whole=(), blocks_all=False))
    found = unseen(facts, 0.1)
    assert (found.answer, found.p, found.corners) == ("cannot_tell", 0.1, ("2R",))
    assert [one.code for one in found.reasons] == ["not_read"]
