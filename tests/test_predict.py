"""Temperature at a time of choice: the curve itself, and its variance against one of another making."""

import numpy as np
import pytest
from fitcases import LAWS, Plan, both_sides, logs, no_prior, priors
from oracle.cooling import newton_degc

from thermlog.fitting.fit import Fits, fit
from thermlog.fitting.pairs import Pairs, pair_readings
from thermlog.fitting.predict import PairState, state_at


def state(fits: Fits, pairs: Pairs, time_s: float) -> PairState:
    return state_at(fits, pairs, np.full(pairs.count, time_s))


def fitted(law: str = "exponential") -> tuple[Fits, Pairs]:
    readings, _ = logs(np.random.default_rng(2), Plan(cases=30, law=law))
    pairs = pair_readings(readings)
    return fit(readings, pairs, priors(pairs, 30, law=law)), pairs


def test_exact_readings_give_the_exact_temperature_between_them():
    """Newton's law by its own function; the gap that is left is that of float64."""
    times = np.array([100.0, 250.0, 400.0, 700.0])
    left = newton_degc(times, start_degc=180.0, ambient_degc=18.0, tau_s=1500.0)
    right = newton_degc(times + 15.0, start_degc=90.0, ambient_degc=18.0, tau_s=2500.0)
    readings = both_sides((times, left), (times + 15.0, right))
    pairs = pair_readings(readings)
    found = state(fit(readings, pairs, priors(pairs, 1, **no_prior())), pairs, 333.0)
    wanted = newton_degc(333.0, start_degc=[180.0, 90.0], ambient_degc=18.0, tau_s=[1500.0, 2500.0])
    np.testing.assert_allclose(found.temperature_degc[:, 0], wanted, atol=1e-9)
    np.testing.assert_allclose(found.rise_k[:, 0], wanted - 18.0, atol=1e-9)


@pytest.mark.parametrize("law", LAWS)
def test_variances_are_those_of_the_gradient_by_finite_differences(law):
    """Propagation with a numerical gradient of the public curve; its own error is about 1e-7."""
    fits, pairs = fitted(law)
    found = state(fits, pairs, 650.0)
    steps = (1e-3, 1e-6)
    gradient = np.zeros((2, 5, pairs.count))
    for side in (0, 1):
        for place, column, step in ((0, fits.amplitude_k, steps[0]), (1, fits.log_tau, steps[1])):
            kept = column[side].copy()
            ends = []
            for sign in (1, -1):
                column[side] = kept + sign * step
                ends.append(state(fits, pairs, 650.0).rise_k[side])
            column[side] = kept
            gradient[side, 2 * side + place] = (ends[0] - ends[1]) / (2 * step)
    with_shift = gradient.copy()
    with_shift[:, 4] = 1.0
    for g, variance, covariance in (
        (gradient, found.rise_variance, found.rise_covariance),
        (with_shift, found.temperature_variance, found.temperature_covariance),
    ):
        full = np.einsum("aip,ijp,bjp->abp", g, fits.covariance, g)
        np.testing.assert_allclose(variance, full[[0, 1], [0, 1]], rtol=1e-6)
        np.testing.assert_allclose(covariance, full[0, 1], rtol=1e-5, atol=1e-9)


def test_own_variance_is_that_of_a_held_ambient():
    """What does not move all corners together is what is left of a rise once the ambient is known."""
    fits, pairs = fitted()
    found = state(fits, pairs, 500.0)
    given = (
        fits.covariance
        - np.einsum("ip,jp->ijp", fits.covariance[4], fits.covariance[4]) / fits.covariance[4, 4]
    )
    fits.covariance[:] = given
    held = state(fits, pairs, 500.0)
    np.testing.assert_allclose(found.own_variance, held.rise_variance, rtol=1e-9)
    told = np.isfinite(found.rise_variance)
    assert told.sum() > 10
    assert (found.own_variance <= found.rise_variance * (1 + 1e-12))[told].all()


def test_time_runs_on_the_clock_of_the_log():
    """A log whose clock starts an hour later gives the same at times an hour later."""
    readings, _ = logs(np.random.default_rng(3), Plan(cases=4))
    pairs = pair_readings(readings)
    early = state(fit(readings, pairs, priors(pairs, 4)), pairs, 500.0)
    readings.elapsed_s[:] += 3600.0
    late = state(fit(readings, pairs, priors(pairs, 4)), pairs, 4100.0)
    np.testing.assert_allclose(late.temperature_degc, early.temperature_degc, atol=1e-8)
    np.testing.assert_allclose(late.temperature_variance, early.temperature_variance, rtol=1e-6)


def test_a_side_without_readings_has_no_temperature():
    readings = both_sides(([0.0, 300.0, 600.0], [120.0, 104.0, 91.0]), ([], []))
    pairs = pair_readings(readings)
    found = state(fit(readings, pairs, priors(pairs, 1)), pairs, 300.0)
    assert np.isfinite(found.temperature_degc[0, 0])
    for column in (found.temperature_degc, found.rise_k, found.temperature_variance, found.rise_variance):
        assert np.isnan(column[1, 0])
    assert np.isnan(found.temperature_covariance[0])


@pytest.mark.parametrize("off_k", [-6.0, 6.0])
def test_temperature_stands_above_the_air_that_was_fitted(off_k):
    """Exact readings under an air stated wrong and left open: the curve passes through them all the same."""
    times = np.array([0.0, 400.0, 1100.0, 2600.0])
    left, right = (newton_degc(times, start_degc=s, ambient_degc=18.0, tau_s=1500.0) for s in (180.0, 120.0))
    readings = both_sides((times, left), (times, right))
    pairs = pair_readings(readings)
    air = {"ambient_degc": 18.0 + off_k, "ambient_sigma_k": np.inf}
    found = state(fit(readings, pairs, priors(pairs, 1, **no_prior(**air))), pairs, 1100.0)
    np.testing.assert_allclose(found.temperature_degc[:, 0], [left[2], right[2]], atol=1e-6)
    np.testing.assert_allclose(found.rise_k[:, 0], [left[2] - 18.0, right[2] - 18.0], atol=1e-6)
