"""Where long records settle: found where it is not the stated ambient, and few healthy ones accused."""

import numpy as np
import pytest
from fitcases import LAWS, STATED_AMBIENT_DEGC, Plan, both_sides, corner, logs, priors, rows
from scipy.optimize import curve_fit

from thermlog.fitting.fit import Fits, fit
from thermlog.fitting.pairs import pair_readings
from thermlog.fitting.settle import FEWEST_READINGS, Settling, settling
from thermlog.fitting.stack import STRAY
from thermlog.physics.cooling import law_shape
from thermlog.words.tables import Readings

TIMES = np.arange(16) * 180.0


def settled(readings: Readings, **changes) -> tuple[Settling, Fits]:
    pairs = pair_readings(readings)
    fits = fit(readings, pairs, priors(pairs, len(readings.cases), **changes))
    return settling(readings, pairs, fits), fits


def curve(
    level_degc: float, *, rise_k: float = 90.0, tau_s: float = 1500.0, law="exponential", times_s=TIMES
):
    noise = np.random.default_rng(5).normal(0.0, 0.5, times_s.size)
    return level_degc + rise_k * law_shape(times_s / tau_s, law)[0] + noise


@pytest.mark.parametrize("law", LAWS)
def test_a_record_that_settles_elsewhere_is_found_and_its_mate_is_not_accused(law):
    """45 minutes at half a kelvin of scatter. Level and time constant as `curve_fit` of scipy has them."""
    warm, right = curve(38.0, law=law), curve(STATED_AMBIENT_DEGC, law=law)
    readings = both_sides((TIMES, warm), (TIMES + 15.0, right))
    found, _ = settled(readings, law=law)
    assert found.unlike_ambient[:, 0].tolist() == [True, False]

    def free(time_s, level_degc, rise_k, tau_s):
        return level_degc + rise_k * law_shape(time_s / tau_s, law)[0]

    for side, (times, temps) in enumerate(((TIMES, warm), (TIMES + 15.0, right))):
        wanted, _ = curve_fit(free, times, temps, [30.0, 80.0, 1800.0], ftol=1e-14, xtol=1e-14, gtol=1e-14)
        assert found.level_degc[side, 0] == pytest.approx(wanted[0], abs=1e-4)
        assert found.tau_s[side, 0] == pytest.approx(wanted[2], rel=1e-5)


def test_the_f_ratio_is_that_of_two_least_squares_fits():
    """Ambient held (uncertainty 0); both sums of squares by linear least squares at every tau of a fine grid.

    Step 0.001 in ln tau: the minimum is missed by less than 1e-6 of the sum.
    """
    temps = curve(27.0)
    found, _ = settled(corner(TIMES, temps), ambient_sigma_k=0.0)
    squares = []
    for columns in (lambda m: m[:, None], lambda m: np.stack([m, np.ones_like(m)], axis=1)):
        target, best = temps - STATED_AMBIENT_DEGC, np.inf
        for tau_s in np.exp(np.arange(np.log(300.0), np.log(9000.0), 0.001)):
            design = columns(np.exp(-TIMES / tau_s))
            left = target - design @ np.linalg.lstsq(design, target, rcond=None)[0]
            best = min(best, float(left @ left))
        squares.append(best)
    wanted = (squares[0] - squares[1]) / (squares[1] / (TIMES.size - 3))
    assert found.f_ratio[0, 0] == pytest.approx(wanted, rel=1e-3)


def test_an_uncertain_ambient_excuses_a_level_beside_it():
    """9 K beside an ambient known to 0.5 K is elsewhere; beside one known to 6 K it is not."""
    readings = corner(TIMES, curve(STATED_AMBIENT_DEGC + 9.0))
    assert settled(readings, ambient_sigma_k=0.5)[0].unlike_ambient[0, 0]
    assert not settled(readings, ambient_sigma_k=6.0)[0].unlike_ambient[0, 0]
    floating, _ = settled(readings, ambient_sigma_k=np.inf)
    assert floating.f_ratio[0, 0] == pytest.approx(0.0, abs=1e-6)
    assert not floating.unlike_ambient[0, 0]


@pytest.mark.parametrize(("gap_k", "called"), [(2.5, False), (3.5, True)])
def test_a_gap_below_three_kelvin_is_never_called(gap_k, called):
    """However sure: here the readings lie on the curve to a tenth of a kelvin."""
    temps = STATED_AMBIENT_DEGC + gap_k + 90.0 * np.exp(-TIMES / 1200.0)
    found, _ = settled(corner(TIMES, temps.round(1)), ambient_sigma_k=0.0)
    assert found.f_ratio[0, 0] > 1000.0
    assert found.unlike_ambient[0, 0] == called


@pytest.mark.parametrize(("rounds", "round_s"), [(8, 300.0), (12, 240.0), (30, 240.0)])
def test_healthy_records_are_rarely_accused(rounds, round_s):
    """Ambient wrong by its stated uncertainty, scatter as known as assumed: one in a thousand by design.

    2 000 corners: up to 6 by chance (Poisson, mean 2, 0.995).
    """
    readings, _ = logs(
        np.random.default_rng(rounds), Plan(cases=500, rounds=rounds, round_s=round_s, scatter_dof=6.0)
    )
    found, _ = settled(readings)
    assert np.isfinite(found.f_ratio).mean() > 0.5
    assert found.unlike_ambient.sum() <= 6


@pytest.mark.parametrize(
    "times_s",
    [TIMES[: FEWEST_READINGS - 1] * 3.0, np.arange(16) * 20.0],
    ids=["few readings", "short window"],
)
def test_short_records_are_not_asked(times_s):
    found, _ = settled(corner(times_s, curve(60.0, times_s=times_s)))
    for column in (found.level_degc, found.tau_s, found.f_ratio):
        assert np.isnan(column).all()
    assert not found.unlike_ambient.any()


def test_a_straight_record_settles_nowhere_that_anyone_could_name():
    """Asked, but a straight line points at no level: unknown, not minus a hundred thousand degrees."""
    straight = 110.0 - TIMES / 50.0 + np.random.default_rng(5).normal(0.0, 0.5, TIMES.size)
    found, _ = settled(corner(TIMES, straight))
    assert np.isfinite(found.f_ratio[0, 0])
    assert np.isnan(found.level_degc[0, 0])
    assert np.isnan(found.tau_s[0, 0])
    assert not found.unlike_ambient.any()


def test_strays_of_the_joint_fit_stay_out():
    temps = curve(STATED_AMBIENT_DEGC)
    missed = temps.copy()
    missed[6] = 20.0
    found, fits = settled(corner(TIMES, missed))
    without, _ = settled(rows(corner(TIMES, temps), np.arange(16) != 6))
    assert np.flatnonzero(fits.left_out == STRAY).tolist() == [6]
    assert found.level_degc[0, 0] == pytest.approx(without.level_degc[0, 0], abs=1e-6)


def test_records_do_not_see_each_other():
    readings, _ = logs(np.random.default_rng(6), Plan(cases=6, rounds=12))
    together, _ = settled(readings)
    for case in range(6):
        mine = rows(readings, readings.case == case)
        mine.case[:] = 0
        alone, _ = settled(mine)
        for name in ("level_degc", "tau_s", "f_ratio"):
            np.testing.assert_allclose(
                getattr(together, name)[:, 2 * case : 2 * case + 2], getattr(alone, name)[:, :2], rtol=1e-6
            )


def test_no_record_at_all():
    found, _ = settled(rows(corner([0.0], [20.0]), slice(0)))
    assert found.level_degc.shape == (2, 0)
