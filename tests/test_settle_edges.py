"""Where a record settles: the lines of the rule from both sides, scipy's fits beside ours."""

from __future__ import annotations

import numpy as np
import pytest
from fitcases import corner, priors
from scipy import stats
from scipy.optimize import brentq, curve_fit

from thermlog.fitting.fit import fit
from thermlog.fitting.pairs import pair_readings
from thermlog.fitting.settle import settling

AIR_DEGC, TAU_S, RISE_K = 20.0, 1500.0, 90.0


def settled(time_s, degc, **about):
    """Findings of the left brake of a record whose air is stated as exactly 20 °C."""
    readings = corner(time_s, degc)
    pairs = pair_readings(readings)
    free = {"log_tau_spread": np.inf, "ambient_sigma_k": 0.0, "find_strays": False, "noise_dof": np.inf}
    fits = fit(readings, pairs, priors(pairs, 1, ambient_degc=AIR_DEGC, aim_fraction=0.0, **(free | about)))
    found = settling(readings, pairs, fits)
    return (
        float(found.level_degc[0, 0]),
        float(found.tau_s[0, 0]),
        float(found.f_ratio[0, 0]),
        bool(found.unlike_ambient[0, 0]),
    )


def curve(time_s, level_degc=AIR_DEGC):
    return level_degc + RISE_K * np.exp(-time_s / TAU_S)


@pytest.mark.parametrize(("part", "asked"), [(0.705, True), (0.695, False)])
def test_a_record_of_seven_tenths_of_its_time_constant_is_asked(part, asked):
    times = np.linspace(0.0, part * TAU_S, 12)
    level, tau_s, ratio, unlike = settled(times, curve(times))
    assert np.isfinite(ratio) == asked
    assert not unlike
    if asked:
        assert (level, tau_s) == pytest.approx((AIR_DEGC, TAU_S), rel=1e-4)
    else:
        assert np.isnan([level, tau_s]).all()


@pytest.mark.parametrize(("count", "asked"), [(8, True), (7, False)])
def test_eight_readings_are_asked(count, asked):
    times = np.linspace(0.0, 2.0 * TAU_S, count)
    assert np.isfinite(settled(times, curve(times))[0]) == asked


TIMES = np.linspace(0.0, 1.2 * TAU_S, 13)
WAVE = np.array([0.3, -1.0, 0.7, 0.4, -0.9, 1.1, -0.6, 0.2, -0.8, 0.9, 0.1, -0.5, 0.1])


def scipys(degc):
    """Level with its standard error, and F of the stated air against the free level."""

    def free(time_s, level, rise, tau_s):
        return level + rise * np.exp(-time_s / tau_s)

    def held(time_s, rise, tau_s):
        return free(time_s, AIR_DEGC, rise, tau_s)

    tight = {"ftol": 1e-14, "xtol": 1e-14, "gtol": 1e-14}
    found, covariance = curve_fit(free, TIMES, degc, [AIR_DEGC, RISE_K, TAU_S], **tight)
    kept, _ = curve_fit(held, TIMES, degc, [RISE_K, TAU_S], **tight)
    of_free, of_held = (((degc - f) ** 2).sum() for f in (free(TIMES, *found), held(TIMES, *kept)))
    return found[0], np.sqrt(covariance[0, 0]), (of_held - of_free) / (of_free / (TIMES.size - 3))


@pytest.mark.parametrize("level_degc", [AIR_DEGC, AIR_DEGC + 8.0])
def test_level_and_f_are_scipys(level_degc):
    degc = curve(TIMES, level_degc) + 0.5 * WAVE
    level, _, ratio, _ = settled(TIMES, degc)
    wanted, _, f = scipys(degc)
    assert level == pytest.approx(wanted, rel=1e-6)
    assert ratio == pytest.approx(f, rel=1e-5)


@pytest.mark.parametrize(("part", "known"), [(0.98, True), (1.02, False)])
def test_a_level_known_within_ten_kelvins_is_told(part, known):
    """Standard error by curve_fit; the scatter at which it is 10 K by bisection."""
    scatter = brentq(lambda a: scipys(curve(TIMES) + a * WAVE)[1] - 10.0, 0.2, 5.0, xtol=1e-6)
    level, tau_s, ratio, unlike = settled(TIMES, curve(TIMES) + part * scatter * WAVE)
    assert np.isfinite([level, tau_s]).all() == known
    assert np.isfinite(ratio)
    assert known or not unlike


@pytest.mark.parametrize(("part", "unlike"), [(0.99, True), (1.01, False)])
def test_one_in_a_thousand_records_that_settle_at_the_air_is_called_unlike(part, unlike):
    """F with 1 and n - 3 degrees, by scipy; the scatter at which that line is met by bisection."""
    line = stats.f.isf(1e-3, 1, TIMES.size - 3)

    def over(scatter):
        return scipys(curve(TIMES, AIR_DEGC + 12.0) + scatter * WAVE)[2] - line

    scatter = brentq(over, 0.2, 3.0, xtol=1e-9)
    assert settled(TIMES, curve(TIMES, AIR_DEGC + 12.0) + part * scatter * WAVE)[3] == unlike


@pytest.mark.parametrize(("off_k", "unlike"), [(3.02, True), (2.98, False), (-3.02, True), (-2.98, False)])
def test_less_than_three_kelvins_are_no_other_level(off_k, unlike):
    assert settled(TIMES, curve(TIMES, AIR_DEGC + off_k) + 1e-4 * WAVE)[3] == unlike


def test_air_in_doubt_is_held_as_firmly_as_it_is_stated():
    """A level 8 K off is plain against air known to 0.5 K, and nothing against air known to 20 K."""
    degc = curve(TIMES, AIR_DEGC + 8.0) + 0.5 * WAVE
    ratios = [settled(TIMES, degc, ambient_sigma_k=sigma)[2] for sigma in (0.0, 0.5, 3.0, 20.0)]
    assert ratios == sorted(ratios, reverse=True)
    assert ratios[3] < 1.0 < ratios[0]
