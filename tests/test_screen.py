"""Readings that may not vote: shots beside the spot. Masks only; nothing is dropped."""

import numpy as np
import pytest
from fitcases import LAWS
from hypothesis import given
from hypothesis import strategies as st

from thermlog.fitting import screen
from thermlog.fitting.screen import HIGH_MISS_SIGMAS, LOW_MISS_SIGMAS, Series, is_stray, strays
from thermlog.fitting.strays import _median
from thermlog.physics.cooling import law_shape


def series(rise_k, *, time_s=None, voting=None, law="exponential"):
    rise = np.array(rise_k, dtype=float)[:, None]
    times = np.arange(rise.size) * 240.0 if time_s is None else np.array(time_s)
    return Series(
        time_s=times[:, None],
        rise_k=rise,
        voting=np.ones_like(rise, dtype=bool) if voting is None else np.array(voting)[:, None],
        sigma_k=np.array([1.0]),
        log_tau_mean=np.array([np.log(1800.0)]),
        log_tau_spread=np.array([0.5]),
        law=law,
    )


def curve(law="exponential", readings=6, tau_s=1800.0):
    return 100.0 * law_shape(np.arange(readings) * 240.0 / tau_s, law)[0]


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize(
    ("tau_s", "off_k"),
    [(1800.0, -8.0), (1800.0, 9.0), *((t, o) for t in (700.0, 5000.0) for o in (-40.0, 60.0))],
)
@pytest.mark.parametrize("place", range(6))
def test_one_stray_is_found_wherever_it_stands(law, tau_s, off_k, place):
    """Up to two standard deviations off the prior; there a stray of 9 K would pass for another rate.

    Beside a curve that no trial hits exactly, a good reading may look stray too; it is let in again later.
    """
    rise = curve(law, tau_s=tau_s)
    rise[place] += off_k
    assert strays(series(rise, law=law))[place, 0]


@pytest.mark.parametrize("law", LAWS)
def test_a_curve_of_the_trial_grid_has_no_stray(law):
    assert not strays(series(curve(law), law=law)).any()


def test_two_strays_of_six_are_found():
    rise = curve()
    rise[[1, 4]] = 10.0
    assert strays(series(rise))[:, 0].tolist() == [False, True, False, False, True, False]


def test_at_most_half_are_strays_and_a_single_reading_never():
    assert strays(series([100.0, 20.0, 60.0, 5.0, 90.0, 40.0]))[:, 0].sum() == 3
    assert strays(series([100.0, 20.0, 5.0])).sum() <= 1
    assert not strays(series([100.0])).any()
    assert not strays(series([100.0, 3.0], voting=[True, False])).any()


def test_of_two_readings_the_low_one_is_the_stray():
    """A shot beside the brake lands on colder metal."""
    assert strays(series([100.0, 20.0]))[:, 0].tolist() == [False, True]
    assert strays(series([20.0, 100.0]))[:, 0].tolist() == [True, False]


def test_a_reading_that_does_not_vote_is_neither_stray_nor_judge():
    rise = curve()
    rise[2] = -500.0
    voting = np.ones(6, dtype=bool)
    voting[2] = False
    assert not strays(series(rise, voting=voting)).any()


def test_no_trial_curve_goes_through_a_reading_that_does_not_vote():
    """At one moment 100 and 104: four scatters apart, the low one is the stray.

    A third at 102, which does not vote, would have reconciled them.
    """
    found = strays(series([100.0, 104.0, 102.0], time_s=[0.0] * 3, voting=[True, True, False]))
    assert found[:, 0].tolist() == [True, False, False]


def test_an_odd_rate_is_no_cheap_excuse():
    """A low last reading: cooling faster than is plausible would save it at the cost of the first two."""
    assert np.flatnonzero(strays(series([102.0, 87.0, 78.0, 67.0, 56.0, 47.0]))[:, 0]).tolist() == [5]


def test_an_infinite_spread_of_the_prior_still_has_trial_curves():
    rise = curve()
    rise[3] = 5.0
    one = series(rise)
    free = Series(
        **{n: getattr(one, n) for n in Series.__slots__ if n != "log_tau_spread"},
        log_tau_spread=np.array([np.inf]),
    )
    assert strays(free)[:, 0].tolist() == [False, False, False, True, False, False]


def test_a_long_series_has_its_stray_found():
    """More readings than trial anchors."""
    time_s = np.arange(40) * 60.0
    rise = 100.0 * np.exp(-time_s / 1800.0)
    rise[17] -= 30.0
    assert np.flatnonzero(strays(series(rise, time_s=time_s))[:, 0]).tolist() == [17]


def test_low_is_believed_sooner_than_high():
    assert is_stray(
        np.array([-LOW_MISS_SIGMAS - 0.01, LOW_MISS_SIGMAS + 0.01, HIGH_MISS_SIGMAS + 0.01])
    ).tolist() == [
        True,
        False,
        True,
    ]


def test_series_do_not_see_each_other():
    rng = np.random.default_rng(4)
    rise = curve()[:, None] * rng.uniform(0.3, 2.0, 30) + rng.normal(0.0, 1.0, (6, 30))
    rise = np.where(rng.random((6, 30)) < 0.1, rise * 0.3, rise)
    many = Series(
        time_s=np.repeat(np.arange(6)[:, None] * 240.0, 30, axis=1),
        rise_k=rise,
        voting=np.ones((6, 30), dtype=bool),
        sigma_k=np.ones(30),
        log_tau_mean=np.full(30, np.log(1800.0)),
        log_tau_spread=np.full(30, 0.5),
        law="exponential",
    )
    together = strays(many)
    assert together.any()
    for k in range(30):
        np.testing.assert_array_equal(together[:, k], strays(series(rise[:, k]))[:, 0])


@pytest.mark.parametrize(("sigmas", "far"), [(-3.49, False), (-3.51, True), (4.49, False), (4.51, True)])
def test_low_shots_are_believed_to_miss_sooner_than_high_ones(sigmas, far):
    assert bool(screen.is_stray(np.array(sigmas))) is far


@given(st.lists(st.floats(0.0, 50.0), min_size=1, max_size=24))
def test_median_of_some_is_numpys(values):
    """Of the smallest so many of every column; the others are infinite."""
    column = np.array([*values, *[np.inf] * 3])[:, None]
    assert _median(column, np.array([len(values)]))[0] == pytest.approx(np.median(values))
