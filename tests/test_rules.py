"""Single rules of the answers, each at its line: rivals, unlike axles, shares of a gap, hubs, one more round.

Facts are made up; marks are read from the policy, and numbers are worked with scipy apart from the code.
"""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from answercases import EVEN, POLICY, USUAL, WALK
from hypothesis import given
from hypothesis import strategies as st
from judgecases import VAN_K, described, tell, walked
from msgspec.structs import replace
from ruledfacts import with_sides
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import norm

from thermlog.inference.limits import Limits, least_faults, trials
from thermlog.judging.alternatives import gap_open
from thermlog.judging.diagnose import judge
from thermlog.judging.facts import Suspected
from thermlog.judging.hubs import HubNumbers, hub_numbers
from thermlog.judging.reckoning import rather_idle, rivals, side_is_known
from thermlog.judging.unlike_axles import unlike_axles
from thermlog.words.estimates import Estimate

JUST = 1e-9

# rivals: whole axles that drag, others that do nothing

DOUBT = POLICY.doubt_probability
FRONT, REAR = ("1L", "1R"), ("2L", "2R")


def rival_facts(hot, cold, p_hot=0.6, p_cold=0.6):
    """Facts with a best dragging and a best idle explanation, (kind, corners) each."""
    return replace(
        EVEN,
        drag=Suspected(p=p_hot, kind=hot[0], corners=hot[1]),
        idle=Suspected(p=p_cold, kind=cold[0], corners=cold[1]),
    )


@pytest.mark.parametrize(
    ("hot", "cold", "both"),
    [
        (("axle_hot", FRONT), ("axle_cold", REAR), True),
        (("axle_hot", FRONT), ("corner_cold", ("2L",)), True),
        (("circuit_hot", ("1L", "2R")), ("corner_cold", ("1R",)), True),
        (("corner_hot", ("1L",)), ("axle_cold", REAR), True),
        # each axle by itself, as a drag of two axles and a trailer of two dead ones were told once
        (("several", FRONT), ("several", ("2L", "2R", "3L", "3R")), True),
        (("several", ("1L", "2R")), ("several", ("3L", "4R")), False),
        (("corner_hot", ("1L",)), ("corner_cold", ("2L",)), False),  # two faults, not two readings of one
        (("axle_hot", FRONT), ("corner_cold", ("1R",)), False),
        (("corner_hot", ("2L",)), ("axle_cold", REAR), False),
    ],
)
def test_rivals_are_whole_axles_that_share_no_wheel(hot, cold, both):
    assert rivals(rival_facts(hot, cold)) is both


def test_rivals_must_both_be_doubtful_at_least():
    pair = ("axle_hot", FRONT), ("axle_cold", REAR)
    assert rivals(rival_facts(*pair, p_hot=DOUBT, p_cold=DOUBT))
    assert not rivals(rival_facts(*pair, p_hot=DOUBT - JUST, p_cold=1.0))
    assert not rivals(rival_facts(*pair, p_hot=1.0, p_cold=DOUBT - JUST))
    assert not rivals(rival_facts(*pair, p_hot=None))


@pytest.mark.parametrize(
    ("p_hot", "p_cold", "rather"),
    [
        (0.5 - JUST, 0.5, True), (0.5, 1.0, False), (0.3, 0.3 + JUST, True), (0.3, 0.3, False),
        (0.3, None, False), (None, 0.2, True),
    ],
)  # fmt: skip
def test_no_drag_is_called_below_one_half_where_a_dead_brake_is_likelier(p_hot, p_cold, rather):
    """One half is "more likely than not"; rank of the two readings, no other number."""
    facts = rival_facts(("corner_hot", ("1L",)), ("corner_cold", ("2R",)), p_hot, p_cold)
    assert rather_idle(facts) is rather


@pytest.mark.parametrize("hot", [True, False])
def test_a_side_is_known_from_its_share_of_both_readings_on(hot):
    """`side_probability` of "this one drags" and "its mate idles" together."""
    own, other = ("p_hot", "p_cold") if hot else ("p_cold", "p_hot")
    share = POLICY.side_probability
    for off, known in ((JUST, True), (-JUST, False)):
        facts = with_sides(EVEN, 1, left={own: share + off}, right={other: 1.0 - share - off})
        assert side_is_known(facts, ("1L",), hot=hot) is known
        assert side_is_known(facts, ("1L", "1R"), hot=hot)  # both are named: no side to choose
        assert side_is_known(facts, ("9L",), hot=hot)


# two axles far from their usual share

FAR = POLICY.unlike_axles_ratio


def axle_facts(times, *, warm=1, floor_k=None, p_hot=0.0, p_cold=0.0, best="none", **about):
    """Two even axles, one of them so many times as warm as usual beside the other."""
    cool_k = 60.0 if floor_k is None else floor_k
    front = POLICY.front_share
    rises = {1: cool_k * times * front, 2: cool_k} if warm == 1 else {1: cool_k, 2: cool_k * times / front}
    facts = EVEN
    for axle, rise_k in rises.items():
        side = {"rise_k": rise_k}
        facts = with_sides(
            facts, axle, left=side, right=side, difference_k=0.0, difference_interval_k=(-1.0, 1.0)
        )
    kinds = dict.fromkeys(facts.p_kind, 0.0) | {"axle_hot": p_hot, "axle_cold": p_cold}
    kinds |= {best: max(kinds[best], 1.0 - p_hot - p_cold)}
    return replace(facts, p_kind=kinds, **about)


@pytest.mark.parametrize("hot", [True, False])
@pytest.mark.parametrize("warm", [1, 2])
def test_axles_are_unlike_from_the_ratio_of_the_policy_on(warm, hot):
    assert unlike_axles(axle_facts(FAR * (1.0 - JUST), warm=warm), hot=hot) is None
    found = unlike_axles(axle_facts(FAR * (1.0 + JUST), warm=warm), hot=hot)
    assert found.answer == "watch"
    assert found.corners == ((FRONT, REAR) if hot == (warm == 1) else (REAR, FRONT))[0]
    assert found.reasons[0].code == "axles_unlike"
    assert found.reasons[0].corners == (FRONT + REAR if warm == 1 else REAR + FRONT)
    assert found.reasons[0].numbers["times"] == pytest.approx(FAR)


@pytest.mark.parametrize(("times", "warm"), [(1.0, 1), (1.01, 1), (1.01, 2), (1.4, 2), (1.9, 2)])
def test_warm_is_the_axle_above_its_usual_share(times, warm):
    found = unlike_axles(axle_facts(times, warm=warm, p_hot=0.5, p_cold=0.4), hot=True)
    assert found.corners == (FRONT if warm == 1 else REAR)
    assert found.reasons[0].numbers["times"] == pytest.approx(times)


def test_a_motor_that_brakes_too_does_not_decide_between_two_axles():
    """A drag that is probable is watched as on any other vehicle; a cool axle is no fault, however cool.

    One far warmer than it that is warmer than usual braking makes any is watched, too.
    """
    motor = replace(EVEN.vehicle, regenerative=True)
    for p_hot, word in ((DOUBT + JUST, "watch"), (0.9, "watch"), (DOUBT - JUST, None)):
        facts = axle_facts(7.0, warm=2, floor_k=14.0, p_hot=p_hot, vehicle=motor)
        found = unlike_axles(facts, hot=True)
        assert (found and found.answer) == word
        assert unlike_axles(facts, hot=False) is None
    for cool_k, watched in ((14.0, False), (16.0, True)):  # the warm axle at 65 and 75 K, usual are 70
        found = unlike_axles(axle_facts(7.0, warm=2, floor_k=cool_k, vehicle=motor), hot=True)
        assert (found is not None) is watched


def test_unlike_axles_need_heat_or_doubt():
    """A ratio of two small rises means nothing; the weighing of the vehicle counts at any heat."""
    small_k = POLICY.minimum_rise_k / (FAR * POLICY.front_share) / 1.01  # the warmer axle just above
    assert unlike_axles(axle_facts(1.0 / JUST, floor_k=1e-9), hot=True) is None
    assert unlike_axles(axle_facts(FAR * 1.02, floor_k=small_k), hot=True) is not None
    assert unlike_axles(axle_facts(FAR * 1.0001, floor_k=0.98 * small_k), hot=True) is None
    for total, told_so in ((DOUBT + JUST, True), (DOUBT - JUST, False)):
        facts = axle_facts(1.2, floor_k=1.0, p_hot=0.5 * total, p_cold=0.5 * total)
        assert (unlike_axles(facts, hot=True) is not None) is told_so


@pytest.mark.parametrize(("share", "word"), [(0.1001, "watch"), (0.0999, "cannot_tell")])
def test_the_reading_with_a_tenth_of_both_is_watched(share, word):
    """Own number of the rule: a tenth of both readings."""
    assert (
        unlike_axles(axle_facts(3.0, p_hot=0.8 * share, p_cold=0.8 * (1.0 - share)), hot=True).answer == word
    )
    assert (
        unlike_axles(axle_facts(3.0, p_cold=0.8 * share, p_hot=0.8 * (1.0 - share)), hot=False).answer == word
    )


def test_rises_below_a_kelvin_count_as_one():
    """So that an axle at the air's temperature is not infinitely unlike."""
    found = unlike_axles(axle_facts(100.0 / POLICY.front_share, floor_k=1.0), hot=True)
    facts = with_sides(axle_facts(100.0, floor_k=1.0), 2, left={"rise_k": 0.1}, right={"rise_k": -0.7})
    assert unlike_axles(facts, hot=True).reasons[0].numbers["times"] == pytest.approx(100.0)
    assert found.reasons[0].numbers["times"] == pytest.approx(100.0 / POLICY.front_share)


def test_unlike_axles_are_no_question_of_other_vehicles_drives_and_faults():
    far = axle_facts(3.0)
    assert unlike_axles(far, hot=True) is not None
    longer = described("steer", "drive", "axle")
    electric = axle_facts(3.0, floor_k=12.0, vehicle=replace(far.vehicle, regenerative=True))
    for other in (
        replace(far, vehicle=longer),
        electric,
        replace(far, case=replace(far.case, drive="coast")),
        replace(far, axles={1: far.axles[1]}),
        axle_facts(3.0, best="corner_hot"),
        with_sides(far, 1, surface_known=True),
        # a plain gap: one brake can make its whole axle unlike the other
        with_sides(
            far, 1, left={"rise_k": 400.0}, right={"rise_k": 50.0}, difference_k=350.0,
            difference_interval_k=(300.0, 400.0),
        ),
    ):  # fmt: skip
        assert unlike_axles(other, hot=True) is None
    both = with_sides(with_sides(far, 1, surface_known=True), 2, surface_known=True)
    assert unlike_axles(both, hot=True) is not None


# shares of a gap


def gap_facts(p_hot, p_cold, *, gap_k=30.0, level_k=100.0, used=(3, 3), in_doubt=False):
    left = {"p_hot": p_hot, "rise_k": level_k, "used": used[0], "in_doubt": in_doubt}
    right = {"p_cold": p_cold, "rise_k": level_k - gap_k, "used": used[1]}
    return with_sides(EVEN, 1, left=left, right=right, difference_k=gap_k, skin_fraction=0.1).axles[1]


def shares(*about, **more):
    numbers = gap_open(gap_facts(*about, **more), POLICY).numbers
    return [numbers[f"share_{name}"] for name in ("drag", "idle", "skins", "reading")]


def test_drag_and_idle_keep_their_shares_and_the_rest_is_shared_out():
    drag, idle, skins, reading = shares(0.3, 0.2)
    assert (drag, idle) == pytest.approx((0.3, 0.2))
    assert skins + reading == pytest.approx(0.5)


def test_shares_beyond_one_are_scaled_to_one():
    """By hand: 0.9 and 0.6 are three fifths and two fifths."""
    assert shares(0.9, 0.6) == pytest.approx([0.6, 0.4, 0.0, 0.0])


@pytest.mark.parametrize("gap_k", [10.0, 30.0, 55.0])
@pytest.mark.parametrize(
    ("used", "in_doubt", "votes"), [((1, 3), False, 1), ((3, 2), False, 2), ((3, 3), True, 1)]
)
def test_miss_beside_unlike_skins(gap_k, used, in_doubt, votes):
    """Bayes by scipy: two healthy sides of unlike skins, or as many shots missed as stand behind a side."""
    level_k = 100.0
    spread_k = math.hypot(POLICY.side_spread_fraction * level_k, POLICY.side_spread_k)
    skin_k = POLICY.skins_unlike_part * 0.1 * level_k
    healthy = norm.pdf(gap_k, scale=math.sqrt(2.0) * math.hypot(spread_k, skin_k))
    missed = POLICY.miss_share**votes / (level_k + 10.0)  # anywhere over about the span of the rise
    found = shares(0.0, 0.0, gap_k=gap_k, level_k=level_k, used=used, in_doubt=in_doubt)
    assert found[3] == pytest.approx(missed / (missed + healthy), rel=1e-9)
    assert found[2] == pytest.approx(healthy / (missed + healthy), rel=1e-9)


# hubs

HUB, BRAKE = 0, 1  # pairs of the table below


def hubs(*, gap_k=0.0, sigma_k=1.0, mate_k=20.0, brake_degc=(90.0, 90.0), hub_degc=None, used=(3, 3), idle=(),
         policy=POLICY) -> dict[str, HubNumbers]:  # fmt: skip
    """Hubs and brakes of one axle; the left hub is so much warmer than the right one."""
    hub = (18.0 + mate_k + gap_k, 18.0 + mate_k) if hub_degc is None else hub_degc
    table = SimpleNamespace(
        axle=[1, 1], spot=["hub", "brake"], chosen=[False, True], corner=[["1L", "1L"], ["1R", "1R"]],
        readings=[[2, 3], [2, 3]], used=[[2, used[0]], [2, used[1]]],
        difference_k=[Estimate(gap_k), Estimate(0.0)],
        difference_sigma_k=[sigma_k, 1.0], rise_k=[[mate_k + gap_k, 72.0], [mate_k, 72.0]],
        at_common_degc=[[Estimate(h), Estimate(b)] for h, b in zip(hub, brake_degc, strict=True)],
    )  # fmt: skip
    return dict(hub_numbers(table, range(2), idle, policy))


def bayes(gap_k, sigma_k, mate_k):
    """One hub in twenty makes heat, every octave from 15 to 250 K alike (the rule's own numbers)."""
    spread = math.hypot(sigma_k, 0.15 * mate_k, 3.0)

    def hot(sign):
        mean, _ = quad(
            lambda u: norm.pdf(gap_k, sign * 15.0 * (250.0 / 15.0) ** u, spread), 0.0, 1.0, limit=200
        )
        return 0.05 * mean

    return hot(1.0) / (hot(1.0) + hot(-1.0) + 0.9 * norm.pdf(gap_k, 0.0, spread))


@pytest.mark.parametrize("gap_k", [-40.0, 0.0, 8.0, 20.0, 45.0])
@pytest.mark.parametrize(("sigma_k", "mate_k"), [(1.0, 20.0), (6.0, 40.0)])
def test_probability_of_a_hot_hub_is_bayes(gap_k, sigma_k, mate_k):
    """Reference: the integral by quad; 24 steps stand for it in the code, good to 3 %."""
    found = hubs(gap_k=gap_k, sigma_k=sigma_k, mate_k=mate_k)
    assert found["1L"].p_hot == pytest.approx(bayes(gap_k, sigma_k, mate_k), rel=0.03, abs=1e-6)
    assert found["1R"].p_hot == pytest.approx(bayes(-gap_k, sigma_k, mate_k + gap_k), rel=0.03, abs=1e-6)


@given(gap_k=st.floats(-120.0, 120.0), sigma_k=st.floats(0.5, 10.0))
def test_a_larger_gap_never_makes_a_hub_less_probably_hot(gap_k, sigma_k):
    less, more = (hubs(gap_k=gap, sigma_k=sigma_k)["1L"].p_hot for gap in (gap_k, gap_k + 1.0))
    assert more >= less - 1e-9


def test_a_gap_beyond_all_figures_is_certain():
    """Where every density is zero: the warmer hub is hot and the other is not."""
    found = hubs(gap_k=-5e4, sigma_k=0.5, mate_k=5.0)
    assert (found["1L"].p_hot, found["1R"].p_hot) == (0.0, 1.0)


def test_a_hub_over_its_mate_is_past_the_mark_and_more_likely_hot_than_not():
    """Either alone is not enough; the even chance is found by bisection on the probability itself."""
    never, always = (replace(POLICY, hub_over_mate_k=mark) for mark in (1.0, 300.0))
    even_k = brentq(lambda gap: hubs(gap_k=gap)["1L"].p_hot - 0.5, 1.0, 60.0, xtol=1e-12)
    assert hubs(gap_k=even_k + 1e-6, policy=never)["1L"].hot.over == "mate"
    assert hubs(gap_k=even_k - 1e-6, policy=never)["1L"].hot is None
    assert hubs(gap_k=even_k + 40.0, policy=always)["1L"].hot is None
    mark_k = POLICY.hub_over_mate_k
    for off, hot in ((1e-9, True), (0.0, True), (-1e-9, False)):
        found = hubs(gap_k=mark_k + off, sigma_k=0.5, mate_k=5.0, brake_degc=(900.0, 900.0))
        assert (found["1L"].hot is not None) is hot
        assert found["1R"].hot is None
    mirrored = hubs(gap_k=-(even_k + 30.0), mate_k=20.0 + even_k + 30.0)
    assert (mirrored["1L"].hot, mirrored["1R"].hot.over) == (None, "mate")


def test_a_hub_over_its_brake_needs_the_wide_mark_unless_its_mate_is_usual():
    own_k, stop_k = POLICY.hub_own_heat_k, POLICY.hub_stop_k
    for over_k, mate_over_k, hot in (
        (stop_k, stop_k, True),
        (stop_k - 0.01, stop_k - 0.01, False),
        (own_k, 0.0, True),
        (own_k - 0.01, -50.0, False),  # a mate below its brake counts as level with it
        (own_k + 5.0, 5.0, True),
        (own_k + 5.0, 5.01, False),
    ):
        found = hubs(hub_degc=(90.0 + over_k, 90.0 + mate_over_k))
        assert (found["1L"].hot is not None) is hot, (over_k, mate_over_k)
        if hot:
            assert found["1L"].hot.over == "brake"
            assert found["1L"].hot.difference_k == pytest.approx(over_k)
    assert hubs(hub_degc=(90.0 + stop_k, 60.0), idle=("1L",))["1L"].hot is None
    assert hubs(hub_degc=(90.0 + stop_k, 60.0), used=(1, 3))["1L"].hot is None
    assert hubs(hub_degc=(90.0 + stop_k, 60.0), used=(2, 3))["1L"].hot is not None


# what one more round would show


def test_another_round_halves_the_variance_of_one():
    """Variance of a mean: one shot more leaves n/(n + 1) of it, here half; its limit is foretold."""
    judged = judge(walked(dict.fromkeys(VAN_K, 100.0), replace(WALK, rounds=1, noise_k=0.0)), USUAL)
    drag = tell(judged, 0).answers.drag
    limit = next(reason for reason in drag.reasons if reason.code == "limit_above_line")
    step = next(step for step in drag.decides if step.code == "another_round")

    def halved(group):
        def change(brakes):
            assert (brakes.used == 1).all()
            return replace(brakes, variance=0.5 * brakes.variance, used=2 * brakes.used)

        return group, change

    (tried,) = trials(judged.evidence, judged.gaps, np.array([True]), halved)
    after = Limits.placed(judged.pairs.count, [least_faults(tried)]).extra_k
    place = "LR".index(limit.corners[0][1]), int(limit.corners[0][0]) - 1
    assert step.numbers["after_k"] == pytest.approx(after[place], rel=1e-5)
    assert step.numbers["after_k"] < limit.numbers["limit_k"]
