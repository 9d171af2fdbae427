"""Scatter that a log shows against the scatter assumed: its size, its degrees of freedom and its floor."""

from __future__ import annotations

import numpy as np
import pytest
from fitcases import MEDIAN_TAU_S, STATED_AMBIENT_DEGC, TAU_SPREAD, both_sides, corner, fitted, table

from thermlog.fitting.stack import STRAY, VOTES

TIMES = np.arange(9) * 220.0
WAVE = np.array([0.6, -1.1, 0.8, 0.2, -0.9, 1.2, -0.7, 0.3, -0.4])
# no prior on ln(tau), the air held, every reading with the same scatter
FREE = {"log_tau_spread": np.inf, "ambient_sigma_k": 0.0, "aim_fraction": 0.0, "find_strays": False}


def cooling(rise_k=100.0, tau_s=1500.0):
    return STATED_AMBIENT_DEGC + rise_k * np.exp(-TIMES / tau_s)


@pytest.mark.parametrize("sigma_k", [1.0, 2.5])
@pytest.mark.parametrize("scatter_k", [0.3, 1.0, 6.0])
def test_scatter_is_the_mean_of_what_is_assumed_and_what_is_seen(sigma_k, scatter_k):
    """Assumed as if seen in six readings: √((6 + Σ(r/σ)²)/(6 + n − 2)); two numbers a corner are fitted."""
    readings = corner(TIMES, cooling() + scatter_k * WAVE)
    fits = fitted(readings, **FREE, reading_sigma_k=sigma_k, floor_sigma_k=0.0)
    seen = float(((fits.residual_k / sigma_k) ** 2).sum())
    assert fits.dof[0] == pytest.approx(6.0 + 9.0 - 2.0, abs=1e-6)
    assert fits.noise_scale[0] == pytest.approx(np.sqrt((6.0 + seen) / (6.0 + 7.0)), rel=1e-6)
    assert fits.sigma_k[0, 0] == pytest.approx(sigma_k * fits.noise_scale[0], rel=1e-12)


def test_every_corner_of_a_vehicle_speaks_for_its_scatter():
    readings = both_sides((TIMES, cooling() + WAVE), (TIMES + 10.0, cooling(80.0) - 2.0 * WAVE))
    fits = fitted(readings, **FREE, floor_sigma_k=0.0)
    seen = float((fits.residual_k**2).sum())
    assert fits.dof[0] == pytest.approx(6.0 + 18.0 - 4.0, abs=1e-6)
    assert fits.noise_scale[0] == pytest.approx(np.sqrt((6.0 + seen) / 20.0), rel=1e-6)


def test_a_time_constant_held_by_its_prior_costs_no_degree_of_freedom():
    readings = corner(TIMES, cooling())
    held, free = (
        fitted(readings, **(FREE | {"log_tau_spread": spread, "side_spread": 1e-3}))
        for spread in (1e-3, np.inf)
    )
    assert held.dof[0] == pytest.approx(6.0 + 8.0, abs=0.02)
    assert free.dof[0] == pytest.approx(6.0 + 7.0, abs=1e-6)


@pytest.mark.parametrize(
    ("floor_k", "scale"), [(0.0, np.sqrt(6.0 / 13.0)), (1.8, 0.9), (5.0, 1.0), (1.0, np.sqrt(6.0 / 13.0))]
)
def test_scatter_never_falls_below_what_the_gun_can_do(floor_k, scale):
    """Exact readings at an assumed scatter of 2 K: the floor counts in its parts, and never above it."""
    fits = fitted(corner(TIMES, cooling()), **FREE, reading_sigma_k=2.0, floor_sigma_k=floor_k)
    assert fits.noise_scale[0] == pytest.approx(scale, rel=1e-6)


def test_scatter_known_exactly_is_taken_as_it_is():
    fits = fitted(corner(TIMES, cooling() + 9.0 * WAVE), **FREE, noise_dof=np.inf)
    assert (fits.noise_scale[0], fits.dof[0]) == (1.0, np.inf)


def test_covariance_grows_with_the_scatter_seen():
    """The same curve under twice the scatter known exactly: four times the covariance."""
    readings = corner(TIMES, cooling())
    one, two = (fitted(readings, **FREE, noise_dof=np.inf, reading_sigma_k=sigma) for sigma in (1.0, 2.0))
    np.testing.assert_allclose(two.covariance[:2, :2, 0], 4.0 * one.covariance[:2, :2, 0], rtol=1e-9)
    wide = fitted(corner(TIMES, cooling() + 5.0 * WAVE), **FREE, floor_sigma_k=0.0)
    known = fitted(
        corner(TIMES, cooling() + 5.0 * WAVE),
        **FREE,
        noise_dof=np.inf,
        reading_sigma_k=float(wide.noise_scale[0]),
    )
    np.testing.assert_allclose(wide.covariance[:2, :2, 0], known.covariance[:2, :2, 0], rtol=1e-6)


def test_nothing_read_gives_nothing_and_clocks_start_at_the_first_reading():
    two = table(
        case=np.array([0, 0, 0, 1, 1, 1]), axle=1, side=0,
        elapsed_s=[500.0, 100.0, 900.0, 40.0, 300.0, 20.0],
        indicated_degc=[90.0, 110.0, 75.0, 100.0, 88.0, 101.0],
    )  # fmt: skip
    fits = fitted(two)
    assert fits.reference_s.tolist() == [100.0, 20.0]
    assert fits.first_s[0].tolist() == [100.0, 20.0]
    assert fits.last_s[0].tolist() == [900.0, 300.0]
    assert fits.used.tolist() == [[3, 3], [0, 0]]
    assert np.isnan(fits.amplitude_k[1]).all()


@pytest.mark.parametrize("place", range(9))
def test_one_gross_miss_is_left_out_and_the_others_keep_their_curve(place):
    degc = cooling() + 0.2 * WAVE
    clean = fitted(corner(np.delete(TIMES, place), np.delete(degc, place)), aim_fraction=0.0)
    degc[place] -= 45.0
    found = fitted(corner(TIMES, degc), aim_fraction=0.0)
    assert (found.left_out == STRAY).nonzero()[0].tolist() == [place]
    assert found.used[0, 0] == 8
    if place:  # the clock starts at the first reading, missed or not
        assert found.log_tau[0, 0] == pytest.approx(clean.log_tau[0, 0], abs=1e-6)
        assert found.amplitude_k[0, 0] == pytest.approx(clean.amplitude_k[0, 0], rel=1e-6)


@pytest.mark.parametrize(("spreads", "left_out"), [(-2.9, [VOTES, VOTES]), (-3.1, [VOTES, STRAY])])
def test_two_readings_are_looked_at_where_their_time_constant_is_three_spreads_off_what_is_usual(
    spreads, left_out
):
    """The curve goes through both, so that no residual tells: the line is that of the rule, three squared."""
    tau_s = MEDIAN_TAU_S * np.exp(TAU_SPREAD * spreads)
    falls = STATED_AMBIENT_DEGC + 90.0 * np.exp(-np.array([0.0, 240.0]) / tau_s)
    found = fitted(corner([0.0, 240.0], falls), ambient_sigma_k=0.0, aim_fraction=0.0)
    assert found.left_out.tolist() == left_out
