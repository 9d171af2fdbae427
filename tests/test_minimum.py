"""The look for deeper valleys: what it finds does not depend on where in time the valley lies."""

from __future__ import annotations

import numpy as np
import pytest
from fitcases import Shape, lowest, problem
from msgspec.structs import replace

from thermlog.fitting.jointfit import Problem, Solution, solve
from thermlog.fitting.minimum import deepened, start_log_tau
from thermlog.words.tables import Floats


def two_valleys() -> tuple[Problem, Solution, Solution, Floats]:
    """Vehicles with gross misses whose first valley is not the lowest: both, and the rate of the lowest."""
    rng = np.random.default_rng(18)
    whole = problem(rng, Shape(vehicles=2500, pairs=1))
    missed = rng.random(whole.rise_k.shape) < 0.1
    whole = replace(whole, rise_k=np.where(missed, 0.1 * whole.rise_k, whole.rise_k))
    first, best = solve(whole, start_log_tau(whole)), lowest(whole)
    better = np.flatnonzero(best.cost < first.cost - 1e-3)
    whole, first, best = whole.take(better), first.take(better), best.take(better)
    corner = np.abs(best.log_tau - first.log_tau).reshape(2, -1).argmax(0)
    return whole, first, best, np.exp(best.log_tau.reshape(2, -1)[corner, np.arange(better.size)])


@pytest.fixture(scope="module")
def valleys():
    return two_valleys()


MEAN = float(np.log(1800.0))


def scaled(whole: Problem, factor: Floats) -> Problem:
    """The same vehicles on another clock; every cost stays what it was."""
    return replace(whole, time_s=whole.time_s * factor, log_tau_mean=whole.log_tau_mean + np.log(factor))


@pytest.mark.parametrize(("tau_s", "most_missed"), [(5.0, 2), (6.0, 2), (6.3, 2), (60.0, 2), (1e5, 8)])
def test_a_deeper_valley_is_found_on_any_clock(valleys, tau_s, most_missed):
    """From 5 s up; 120 vehicles, missed are two at most (own number), more where all is flat."""
    whole, first, best, rate_s = valleys
    assert best.cost.size >= 100
    assert (best.cost < first.cost).all()
    found = lowest(scaled(whole, tau_s / rate_s))
    assert (found.cost > best.cost * (1.0 + 1e-6)).sum() <= most_missed


def test_looking_deeper_never_ends_higher_and_a_second_look_finds_nothing(valleys):
    whole, first, best, _ = valleys
    found = deepened(whole, first)
    assert (found.cost <= first.cost).all()
    np.testing.assert_array_equal(deepened(whole, found).cost, found.cost)
    np.testing.assert_allclose(found.cost, best.cost, rtol=1e-12)


def start(time_s, rise_k, *, sigma_k=1.5, mean=MEAN):
    """Start of a single corner."""
    size = (len(time_s), 2, 1, 1)
    time, rise, weight = (np.zeros(size) for _ in range(3))
    time[:, 0, 0, 0], rise[:, 0, 0, 0], weight[:, 0, 0, 0] = time_s, rise_k, sigma_k**-2
    nothing = np.zeros((1, 1))
    one = Problem(
        time_s=time, rise_k=rise, weight=weight, ambient_precision=np.ones(1), log_tau_mean=nothing + mean,
        precision_own=nothing + 1.0, precision_cross=nothing, law="exponential",
    )  # fmt: skip
    return float(start_log_tau(one)[0, 0, 0])


TIMES = np.array([0.0, 100.0, 250.0, 420.0])


@pytest.mark.parametrize("tau_s", [120.0, 900.0, 30_000.0])
def test_start_of_an_exact_curve_is_its_own_rate(tau_s):
    """ln(rise) is a straight line."""
    assert start(TIMES, 100.0 * np.exp(-TIMES / tau_s)) == pytest.approx(np.log(tau_s), abs=1e-9)


def test_start_weighs_every_logarithm_by_its_own_scatter():
    """Scatter of ln(rise) is that of the reading over the rise: weights rise², by numpy's polyfit."""
    rise = np.array([100.0, 70.0, 48.0, 9.0])
    slope = np.polyfit(TIMES, np.log(rise), 1, w=rise)[0]
    assert start(TIMES, rise) == pytest.approx(-np.log(-slope), abs=1e-9)


def test_start_counts_clear_rises_only():
    """Above three standard deviations and above the air; else the prior speaks."""
    prior = np.log(1800.0)
    rise = 100.0 * np.exp(-TIMES / 900.0)
    for unclear in (4.499, -60.0):  # 3 σ are 4.5 K
        bent = np.append(rise, unclear)
        assert start(np.append(TIMES, 500.0), bent) == pytest.approx(np.log(900.0), abs=1e-9)
    assert start(np.append(TIMES, 500.0), np.append(rise, 4.501)) != pytest.approx(np.log(900.0), abs=1e-6)
    assert start(TIMES, [1.0, 0.5, -2.0, 3.0]) == prior
    assert start(TIMES, [100.0, 110.0, 115.0, 130.0]) == prior  # climbs
    assert start(TIMES[:1], [100.0]) == prior


@pytest.mark.parametrize(("off", "taken"), [(2.99, True), (-2.99, True), (3.01, False), (-3.01, False)])
def test_a_start_far_from_the_prior_is_not_taken(off, taken):
    """Three in ln(tau), a factor of twenty (own number)."""
    tau = np.log(600.0)
    found = start(TIMES, 100.0 * np.exp(-TIMES / 600.0), mean=tau + off)
    assert found == pytest.approx(tau if taken else tau + off, abs=1e-9)


def test_put_replaces_some_and_leaves_the_given_alone(valleys):
    _, first, best, _ = valleys
    kept = first.cost.copy()
    some = np.arange(0, kept.size, 3)
    mixed = first.put(some, best.take(some))
    np.testing.assert_array_equal(mixed.cost[some], best.cost[some])
    np.testing.assert_array_equal(np.delete(mixed.log_tau, some, -1), np.delete(first.log_tau, some, -1))
    np.testing.assert_array_equal(first.cost, kept)
