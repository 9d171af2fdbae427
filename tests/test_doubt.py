"""Corners whose readings contradict each other: found, and weighed by which of the readings missed."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from judgecases import LIGHT, USUAL, VAN_K, Corners, Walk, walked
from scipy import stats

from thermlog.inference.doubt import FINE_K, at_common_k, spread_over_sides
from thermlog.inference.states import LEVELS_K
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.words.policy import Policy, load_policy
from thermlog.words.tables import Readings
from thermlog.words.vehicle import SIDES

POLICY = load_policy("light")
NO_CHANCE = 1e-5  # density of a miss where none can be


def missed(corners: Corners, offs: dict[tuple[str, int], float], walk: Walk = USUAL) -> Readings:
    """A walk some of whose readings are off: (corner, round) -> kelvin."""
    readings = walked(corners, walk)
    for (name, lap), off_k in offs.items():
        readings.indicated_degc[list(corners).index(name) + lap * len(corners)] += off_k
    return readings


def doubted_corners(judged: Judged) -> set[str]:
    side, pair = np.nonzero(judged.evidence.doubt.place >= 0)
    return {f"{judged.pairs.axle[p]}{SIDES[s]}" for s, p in zip(side, pair, strict=True)}


def likelihood_of(judged: Judged, corner: str) -> np.ndarray:
    pair = int(np.flatnonzero(judged.pairs.axle == int(corner[0]))[0])
    row = int(judged.evidence.doubt.place[SIDES.index(corner[1]), pair])
    assert row >= 0
    return judged.evidence.doubt.likelihood[row]


def rises_of(judged: Judged, corner: str) -> list[float]:
    """The corner's single readings at the common time."""
    rises = at_common_k(judged.readings, judged.pairs, judged.fits, judged.comparison)
    side, pair = judged.pairs.row_side, judged.pairs.row_pair
    mine = (judged.pairs.axle[pair] == int(corner[0])) & (side == SIDES.index(corner[1]))
    return rises[mine].tolist()


def by_which_missed(rises: list[float], policy: Policy) -> np.ndarray:
    """Sum over every way the readings can be good, a low or a high miss; over `FINE_K`, largest 1."""
    total = np.zeros(FINE_K.size)
    for k, level in enumerate(FINE_K.tolist()):
        sigma = math.hypot(policy.reading_sigma_k, policy.aim_fraction * level)
        ways = []
        for rise in rises:
            good = (1.0 - policy.miss_share) * stats.norm.pdf(rise, level, sigma)
            low = 1.0 / (level + 10.0) if rise < level else NO_CHANCE
            high = 1.0 / (level + 10.0) if level < rise < 2.0 * level + 10.0 else NO_CHANCE
            part = policy.high_miss_part
            ways.append((good, policy.miss_share * (1 - part) * low, policy.miss_share * part * high))
        total[k] = sum(math.prod(way) for way in product(*ways))
    return total / total.max()


# which corners


def test_readings_that_agree_are_not_in_doubt():
    assert doubted_corners(judge(walked(VAN_K), LIGHT)) == set()


@pytest.mark.parametrize("off_k", [-50.0, 60.0])
@pytest.mark.parametrize("corner", VAN_K)
def test_one_reading_far_off_puts_its_corner_in_doubt(corner, off_k):
    assert doubted_corners(judge(missed(VAN_K, {(corner, 1): off_k}), LIGHT)) == {corner}


def test_two_readings_that_contradict_each_other_are_in_doubt_and_a_single_one_never():
    two = judge(missed(VAN_K, {("1L", 0): -60.0}, Walk(rounds=2)), LIGHT)
    assert doubted_corners(two) == {"1L"}
    assert doubted_corners(judge(missed(VAN_K, {("1L", 0): -60.0}, Walk(rounds=1)), LIGHT)) == set()


def test_pair_that_does_not_speak_is_not_asked():
    """A hub is no brake: its readings may contradict each other as they like."""
    corners = VAN_K | {"1L hub": 30.0, "1R hub": 31.0}
    judged = judge(missed(corners, {("1L hub", 1): 60.0}), LIGHT)
    assert (judged.evidence.doubt.place < 0).all()


# their likelihood


MISSES: dict[str, dict[tuple[str, int], float]] = {
    "low": {("1L", 1): -50.0},
    "high": {("1L", 1): 60.0},
    "low, first": {("1L", 0): -70.0},
    "two of four": {("1L", 1): -50.0, ("1L", 2): -62.0},
    "low and high": {("1L", 1): 55.0, ("1L", 2): -50.0},
}


@pytest.mark.parametrize("name", MISSES)
def test_likelihood_is_the_sum_over_which_readings_missed(name):
    judged = judge(missed(VAN_K, MISSES[name], Walk(rounds=4)), LIGHT)
    found, wanted = likelihood_of(judged, "1L"), by_which_missed(rises_of(judged, "1L"), POLICY)
    np.testing.assert_allclose(found, np.maximum(wanted, 1e-25), rtol=1e-9)


def test_single_readings_are_brought_to_the_common_time_along_the_curve():
    """Without noise every reading of a corner that cools so has the same rise at the common time."""
    judged = judge(walked(VAN_K, Walk(noise_k=0.0)), LIGHT)
    for corner in VAN_K:
        row = (int(corner[0]) - 1, SIDES.index(corner[1]))
        rise = judged.comparison.state.rise_k[row[1], row[0]]
        np.testing.assert_allclose(rises_of(judged, corner), rise, atol=0.5)


def test_low_miss_leaves_the_other_readings_their_say():
    """Two of three near 100 K and one at 50: the brake is near 100 K, its other half all but excluded."""
    judged = judge(missed(VAN_K, {("1L", 1): -50.0}), LIGHT)
    found, rises = likelihood_of(judged, "1L"), sorted(rises_of(judged, "1L"))
    assert FINE_K[found.argmax()] == pytest.approx(np.mean(rises[1:]), rel=0.03)
    half = found[(0.9 * rises[0] < FINE_K) & (1.1 * rises[0] > FINE_K)].max()
    assert 1e-9 < half < 0.05


def test_of_two_readings_the_higher_is_believed_four_to_one():
    """Both may have missed; a fifth of the misses are high (`high_miss_part`), each 1/(rise + 10 K)."""
    judged = judge(missed(VAN_K, {("1L", 1): -50.0}, Walk(rounds=2)), LIGHT)
    low, high = sorted(rises_of(judged, "1L"))
    found = likelihood_of(judged, "1L")
    peaks = [found[(0.9 * rise < FINE_K) & (1.1 * rise > FINE_K)].max() for rise in (low, high)]
    sigma = [math.hypot(1.0, 0.03 * rise) for rise in (low, high)]
    # good at one, a miss at the other: low miss below the higher, high miss above the lower
    wanted = (0.2 / (low + 10.0) / sigma[0]) / (0.8 / (high + 10.0) / sigma[1])
    assert peaks[0] / peaks[1] == pytest.approx(wanted, rel=0.05)


@settings(max_examples=20, deadline=None)
@given(offs=st.lists(st.floats(-80.0, 90.0), min_size=3, max_size=3), seed=st.integers(0, 1000))
def test_order_of_rows_does_not_matter(offs, seed):
    readings = missed(VAN_K, {("1L", lap): off for lap, off in enumerate(offs)})
    one = judge(readings, LIGHT)
    two = judge(readings.take(np.random.default_rng(seed).permutation(readings.rows)), LIGHT)
    np.testing.assert_array_equal(one.evidence.doubt.place, two.evidence.doubt.place)
    np.testing.assert_allclose(one.evidence.doubt.likelihood, two.evidence.doubt.likelihood, rtol=1e-6)


# the healthy spread of a side


def narrow(rise_k: float, sigma_k: float) -> np.ndarray:
    return stats.norm.pdf(FINE_K, rise_k, sigma_k)[None, :]


@pytest.mark.parametrize("shift_k", [0.0, 25.0, -20.0])
@pytest.mark.parametrize("fraction", [0.085, 0.2])
def test_spread_of_a_side_is_summed_over(fraction, shift_k):
    """A normal likelihood stays normal, variances added; the grid of 2.5 % costs up to 1 % of the peak."""
    found = spread_over_sides(narrow(90.0, 6.0), np.array([fraction]), 1.5, shift_k=np.array([shift_k]))[0]
    sigma = np.sqrt((fraction * LEVELS_K) ** 2 + 1.5**2 + 36.0)
    wanted = stats.norm.pdf(90.0 + shift_k, LEVELS_K, sigma)
    np.testing.assert_allclose(found, wanted, atol=0.01 * wanted.max())


def test_every_corner_has_a_spread_and_a_shift_of_its_own():
    likelihood = np.concatenate([narrow(60.0, 4.0), narrow(120.0, 4.0)])
    fractions, shifts = np.array([0.1, 0.2]), np.array([0.0, 30.0])
    both = spread_over_sides(likelihood, fractions, 1.5, shift_k=shifts)
    for k in (0, 1):
        alone = spread_over_sides(likelihood[[k]], fractions[[k]], 1.5, shift_k=shifts[[k]])
        np.testing.assert_array_equal(both[k], alone[0])


# what it changes


def test_one_miss_among_three_makes_no_call():
    for off_k in (-55.0, 70.0):
        patterns = judge(missed(VAN_K, {("1L", 1): off_k}), LIGHT).patterns
        assert patterns.p_drag[0] < POLICY.drag_call_probability
        assert patterns.p_idle[0] < POLICY.idle_call_probability
        assert patterns.p_kind[0].sum() == pytest.approx(1.0)
