"""The key claims of docs/validation.md on few simulated vehicles, with margins, so that a regression is seen.

The figures beside the limits are those of the full run; the limits leave about three standard deviations of
the small numbers used here. Seeds are fixed.
"""

from __future__ import annotations

import importlib
import sys
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from thermlog.simulation.vehicleclass import VEHICLE_CLASSES

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))
cells, checks, lines, scores, sets = (
    importlib.import_module(f"validation_{part}") for part in ("cells", "checks", "lines", "scores", "sets")
)
CAR, COMBINATION = "car_disc", "combination5_drum"


@lru_cache(maxsize=16)
def said_of(name, fault="none", severity=0.0, *, count=150, skins="even", rounds=3):
    kind = VEHICLE_CLASSES[name]
    rng = np.random.default_rng(7)
    faults = [sets.HEALTHY] * count if fault == "none" else sets.planted(kind, fault, severity, count, rng)
    return sets.say(kind, faults, sets.walked(rounds, skins=sets.SKINS[skins]), seed=3)


# the bench's own arithmetic


def test_area_under_the_curve_by_hand():
    """Three of four pairs in order, one tie counted half, over four pairs: 0.625 by counting."""
    assert scores.auc(np.array([1.0, 3.0]), np.array([3.0, 2.0])) == pytest.approx((1 + 0.5 + 1 + 0) / 4)


def test_calibration_error_by_hand():
    """Two bins of two: 0.2 said and 0.5 true, 0.9 said and 1 true: (0.3 + 0.1) / 2."""
    bins = scores.reliability(
        np.array([0.2, 0.2, 0.9, 0.9]), np.array([0.0, 1.0, 1.0, 1.0]), np.array([0.0, 0.5, 1.0])
    )
    assert bins.calibration_error == pytest.approx(0.2)


def test_the_curve_fit_baseline_finds_an_exact_exponential():
    """80 K at time zero falling with 1500 s: noiseless, so curve_fit must give it back."""
    since_s = np.array([-120.0, 60.0, 300.0, 600.0])
    assert scores.fitted_rise_k(since_s, 80.0 * np.exp(-since_s / 1500.0)) == pytest.approx(80.0, rel=1e-6)
    assert scores.fitted_rise_k(since_s[:1], np.array([44.0])) == 44.0


def test_the_baselines_name_the_hotter_side_of_the_widest_gap():
    said = said_of(CAR, "corner_hot", 80.0)
    planted = [set(fault.corners) for fault in said.fleet.faults]
    for baseline in (scores.largest_last(said), scores.largest_mean(said), scores.largest_fitted(said, 150)):
        right = [named == places for named, places in zip(baseline.named, planted, strict=True)]
        assert np.mean(right) > 0.9


# claims about thermlog


@pytest.mark.parametrize(("name", "skins"), [(CAR, "somewhat unlike"), (COMBINATION, "somewhat unlike")])
def test_healthy_vehicles_are_rarely_called_and_seldom_watched(name, skins):
    """Stated: below 1 % called, about 5 % watched."""
    calls = cells.calls(said_of(name, count=600, skins=skins))
    assert calls.called <= 0.015
    assert calls.watch <= 0.075


@pytest.mark.parametrize(("name", "drag", "least"), [(CAR, 10.0, 0.80), (COMBINATION, 20.0, 0.82)])
def test_more_drags_are_found_than_by_last_difference_and_means(name, drag, least):
    """At 5 % false alarms each; full run 0.92 against 0.81 and 0.93 against 0.72 for the means."""
    healthy, faulty = said_of(name, count=600), said_of(name, "corner_hot", drag)

    def found(of):
        return np.mean(of(faulty).value > scores.threshold(of(healthy)))

    ours = found(lambda said: scores.thermlog_scores(said, "drag"))
    assert ours >= least
    assert ours >= found(scores.largest_last) + 0.1
    assert ours >= found(scores.largest_mean)


def test_one_round_finds_drags_in_spite_of_stray_shots():
    """With one reading a corner a stray looks like a dead brake, not like a drag; full run 0.88 and 0.62."""
    healthy, faulty = said_of(CAR, count=600, rounds=1), said_of(CAR, "corner_hot", 10.0, rounds=1)
    ours, plain = (
        np.mean(of(faulty).value > scores.threshold(of(healthy)))
        for of in (lambda said: scores.thermlog_scores(said, "drag"), scores.largest_last)
    )
    assert ours >= plain + 0.1


@pytest.mark.parametrize(("name", "drag"), [(CAR, 20.0), (COMBINATION, 40.0)])
def test_the_named_corner_is_the_dragging_one(name, drag):
    """Aim: at least 95 of 100 named; full run 98 or more."""
    calls = cells.calls(said_of(name, "corner_hot", drag))
    assert calls.named >= 0.6
    assert calls.named_right >= 0.95
    assert calls.healthy_hot <= 0.03


@pytest.mark.parametrize("name", [CAR, COMBINATION])
def test_a_dead_brake_is_called_cold_at_its_own_corner(name):
    """Aim: at least 75 of 100; full run 83 or more."""
    calls = cells.calls(said_of(name, "corner_cold", 1.0))
    assert calls.own_corner >= 0.75
    assert calls.healthy_hot <= 0.02


def test_a_dead_brake_read_once_is_not_called():
    """One reading may be a stray: cannot tell, read again; full run 2 of 100 called, 80 cannot be told."""
    calls = cells.calls(said_of(CAR, "corner_cold", 1.0, rounds=1))
    assert calls.own_corner <= 0.07
    assert calls.cannot_tell >= 0.65


@pytest.mark.parametrize("name", [CAR, COMBINATION])
@pytest.mark.parametrize(("fault", "drag"), [("axle_hot", 40.0), ("all_hot", 80.0)])
def test_what_left_against_right_cannot_show_is_watched_at_least(name, fault, drag):
    """Full run: 99 of 100 or more."""
    assert cells.calls(said_of(name, fault, drag)).watch >= 0.93


def test_probabilities_mean_what_they_say():
    """Expected calibration error, full run 0.03; a few hundredths are chance with 1500 vehicles."""
    found = checks.calibration(CAR, "as believed", 1500, 5)
    assert found.fault.calibration_error <= 0.06
    assert found.hot.calibration_error <= 0.05
    assert found.said_share == pytest.approx(found.true_share, abs=0.05)


@pytest.mark.parametrize("setting", checks.SETTINGS)
def test_intervals_hold_the_truth(setting):
    """Stated 95 %; 0.90 to 0.99 aimed at, half a point for chance on 300 axles."""
    found = checks.coverage(CAR, setting, 150, 6)
    assert 0.90 <= found.difference <= 0.995
    assert found.surface_difference >= 0.90
    assert found.tau >= 0.90


def test_unlike_skins_do_not_make_a_dead_brake_and_vanish_when_stated():
    """0.8 against 0.7 makes 7 K; with emissivities in the log what is left is that of equal skins."""
    equal, unlike = (lines.skin_row(CAR, 0.8, right, 150, 8) for right in (0.8, 0.7))
    assert unlike.gap_k - equal.gap_k > 5.0
    assert unlike.called <= 0.02
    assert abs(unlike.given_gap_k - equal.given_gap_k) < 1.0
    assert unlike.given_called <= 0.02
    assert unlike.given_watch <= 0.05


def test_a_drive_without_braking_settles_hot_or_cold():
    """Only the odd axle read: open in four of ten before, in none after; full run 95 of 100 right."""
    found = lines.two_drives(CAR, "corner_hot", "one", 120, 9)
    assert found.decided[0] < 0.8
    assert found.decided[1] > 0.95
    assert found.right[1] >= 0.88


def test_an_electric_car_cannot_be_told():
    """Its motor does nearly all of the slowing: every vehicle too cool, in the full page as well."""
    calls = cells.calls(said_of("electric_car"))
    assert calls.called == 0.0
    assert calls.cannot_tell >= 0.97
