"""Series that do not cool, at every line of the rule from both sides; the lines are its own numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from thermlog.fitting.notcooling import Trend, line_through, trend_of

STEP_S, READINGS = 240.0, 6
PER_SLOPE = STEP_S * math.sqrt(READINGS * (READINGS**2 - 1) / 12.0)  # scatter over it is the slope's own
MEAN, SPREAD = math.log(1800.0), 0.5
COLD_K = -50.0  # below the air there is nothing to lose: only a climb can count


def vehicle(
    slopes: list[float],
    *,
    level_k: float = COLD_K,
    sigma_k: float = 1.0,
    spread: float = SPREAD,
    readings: int = READINGS,
) -> Trend:
    """Corners, two an axle, of straight series about a level; slopes in their own uncertainties."""
    size = (readings, 2, len(slopes) // 2, 1)
    time_s = np.broadcast_to((np.arange(readings) * STEP_S).reshape(-1, 1, 1, 1), size)
    per_s = np.array(slopes).reshape(-1, 2).T[None, :, :, None] * sigma_k / PER_SLOPE
    rise = level_k + per_s * (time_s - time_s.mean())
    pairs = (np.full(size[2:], MEAN), np.full(size[2:], spread))
    return trend_of(time_s, rise, np.ones(size, dtype=bool), np.full(size[1:], sigma_k), pairs)


def first(found: Trend) -> tuple[bool, bool]:
    return bool(found.climbing[0, 0, 0]), bool(found.flat[0, 0, 0])


FALLS = [-9.0, -9.0, -9.0]


@pytest.mark.parametrize(("sigmas", "climbs"), [(2.51, True), (2.49, False)])
def test_one_corner_climbs_from_two_and_a_half_uncertainties_on(sigmas, climbs):
    assert first(vehicle([sigmas, *FALLS])) == (climbs, False)


def loss(slower: float, level_k: float) -> float:
    """Slope that a brake so many spreads slower than usual has at least [K/s]."""
    return level_k / math.exp(MEAN + slower * SPREAD)


@pytest.mark.parametrize(("sigmas", "flat"), [(4.01, True), (3.99, False)])
def test_one_corner_is_flat_from_four_uncertainties_on(sigmas, flat):
    """Over the fall of a brake two and a half spreads slower than usual."""
    level_k = 100.0
    sigma_k = loss(2.5, level_k) * PER_SLOPE / sigmas
    assert first(vehicle([0.0, -99.0, -99.0, -99.0], level_k=level_k, sigma_k=sigma_k)) == (False, flat)


@pytest.mark.parametrize(("slope", "climbs"), [(0.01, True), (-0.01, False)])
def test_what_stands_and_rises_climbs(slope, climbs):
    found = vehicle([slope, -99.0, -99.0, -99.0], level_k=100.0, sigma_k=loss(2.5, 100.0) * PER_SLOPE / 8.0)
    assert first(found) == (climbs, not climbs)


@pytest.mark.parametrize(("sigmas", "climbs"), [(1.51, True), (1.49, False)])
def test_four_corners_climb_together_from_three_on(sigmas, climbs):
    """Their sum over the root of their number."""
    assert vehicle([sigmas] * 4).climbing.all() == climbs
    assert vehicle([sigmas] * 4).climbing.any() == climbs


@pytest.mark.parametrize(("sigmas", "flat"), [(1.86, True), (1.84, False)])
def test_four_corners_are_flat_together_from_three_point_seven_on(sigmas, flat):
    """Over the fall of brakes one spread slower than usual."""
    sigma_k = loss(1.0, 80.0) * PER_SLOPE / sigmas
    found = vehicle([-1e-6] * 4, level_k=80.0, sigma_k=sigma_k)
    assert found.flat.all() == found.flat.any() == flat


@pytest.mark.parametrize(("sigmas", "climbs"), [(1.01, True), (0.99, False)])
def test_one_corner_adds_three_at_most(sigmas, climbs):
    """3 + 3 · 1 over the root of four is three."""
    found = vehicle([2.4, 2.4, 2.4, 2.4])
    assert found.climbing.all()
    # a wild corner is a climb by itself; the others tell whether they count together
    assert vehicle([50.0, sigmas, sigmas, sigmas]).climbing[1, 0, 0] == climbs
    assert not vehicle([sigmas * 5, -50.0, sigmas * 2, sigmas * 2]).climbing[0, 1, 0]


@pytest.mark.parametrize(("up", "counts"), [(6, True), (5, False)])
def test_three_corners_of_four_must_agree(up, counts):
    """Eight corners: those that rise by 2.4 uncertainties do not count alone."""
    found = vehicle([2.4] * up + [-0.1] * (8 - up))
    assert bool(found.climbing[0, 0, 0]) == counts
    assert not found.climbing[1, 3, 0]


def test_a_single_corner_is_no_vehicle_and_two_are():
    assert not vehicle([2.4, -0.1]).climbing.any()
    assert vehicle([2.4, 2.4]).climbing.all()  # 3.4 together


def test_two_readings_count_together_and_never_alone():
    """Two readings 240 s apart: 9 uncertainties of theirs."""
    steep = 9.0 * PER_SLOPE / (STEP_S / math.sqrt(2.0))
    alone = vehicle([steep, -steep, -steep, -steep], readings=2)
    assert not alone.climbing.any()
    assert vehicle([steep] * 4, readings=2).climbing.all()
    assert vehicle([steep, -steep, -steep, -steep], readings=3).climbing[0, 0, 0]
    assert not vehicle([steep] * 4, readings=1).climbing.any()


def test_line_without_one_reading_needs_three():
    size = (3, 1, 1, 1)
    time_s, rise = np.array([0.0, 10.0, 30.0]).reshape(size), np.array([1.0, 2.0, 9.0]).reshape(size)
    there = np.ones(size, dtype=bool)
    whole = line_through(time_s, rise, there, np.ones(size[1:]))
    np.testing.assert_allclose(whole.without_one.ravel(), [7.0 / 20.0, 8.0 / 30.0, 0.1])
    there[1] = False
    two = line_through(time_s, rise, there, np.ones(size[1:]))
    assert np.isnan(two.without_one).all()
    assert (two.count.item(), two.level_k.item(), two.slope_k_per_s.item()) == (
        2.0,
        5.0,
        pytest.approx(8.0 / 30.0),
    )
    there[:] = False
    none = line_through(time_s, rise, there, np.ones(size[1:]))
    assert (none.count.item(), none.level_k.item(), none.slope_k_per_s.item()) == (0.0, 0.0, 0.0)


def test_a_free_prior_is_one_of_spread_one():
    free, one = (vehicle([0.0, *FALLS], level_k=100.0, sigma_k=0.5, spread=s) for s in (math.inf, 1.0))
    assert first(free) == first(one)
    sigma_k = 100.0 / math.exp(MEAN + 2.5) * PER_SLOPE
    for share, flat in ((4.01, True), (3.99, False)):
        found = vehicle([0.0, -99.0, -99.0, -99.0], level_k=100.0, sigma_k=sigma_k / share, spread=math.inf)
        assert first(found) == (False, flat)


@pytest.mark.parametrize(("fell", "flat"), [(0.24, True), (0.26, False)])
def test_what_lost_a_quarter_of_its_heat_did_cool(fell, flat):
    """A slow brake read for long, or again after a pause, is no brake that stands; by its line's two ends."""
    level_k, span_s = 100.0, STEP_S * (READINGS - 1)
    first_k = level_k / (1.0 - fell / 2.0)
    per_own = fell * first_k / span_s * PER_SLOPE / 0.001  # scatter so small that every slope is certain
    found = vehicle([-per_own] * 4, level_k=level_k, sigma_k=0.001, spread=0.01, readings=READINGS)
    tau_s = level_k * span_s / (fell * first_k)
    assert tau_s > math.exp(MEAN + 2.5 * 0.01)  # slower than any that is expected here
    assert first(found) == (False, flat)
