"""Series that do not cool: climbs of any step, flat series, whole vehicles; a single odd shot is no trend."""

import numpy as np
import pytest
from fitcases import MEDIAN_TAU_S, TAU_SPREAD, fitted, table
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from thermlog.fitting.fit import FITTED, RISING, STANDING
from thermlog.fitting.notcooling import Trend, line_through, trend_of
from thermlog.fitting.stack import FLAT, VOTES, WARMING

STEP_S = 240.0
PRIOR = (np.log(MEDIAN_TAU_S), TAU_SPREAD)


def trend(vehicle, *, sigma_k=1.0, step_s=STEP_S, prior=PRIOR) -> Trend:
    """Of one vehicle: a list of axles, each (left, right), each a list of rises [K], None where not read."""
    slots = max(len(side) for axle in vehicle for side in axle)
    rise = np.full((slots, 2, len(vehicle), 1), np.nan)
    for row, axle in enumerate(vehicle):
        for side, values in enumerate(axle):
            rise[: len(values), side, row, 0] = [np.nan if one is None else one for one in values]
    time_s = np.broadcast_to(np.arange(slots)[:, None, None, None] * step_s, rise.shape)
    present = np.isfinite(rise)
    shape = rise.shape[2:]
    tau = (np.full(shape, prior[0]), np.full(shape, prior[1]))
    return trend_of(time_s, np.where(present, rise, 0.0), present, np.full(rise.shape[1:], sigma_k), tau)


def cooling(rise_k, readings=4, tau_s=MEDIAN_TAU_S):
    return (rise_k * np.exp(-np.arange(readings) * STEP_S / tau_s)).tolist()


def left_front(found: Trend) -> tuple[bool, bool]:
    return bool(found.climbing[0, 0, 0]), bool(found.flat[0, 0, 0])


REST = [(cooling(100.0), cooling(98.0)), (cooling(60.0), cooling(62.0))]


def beside(series):
    """The series at the left front of a vehicle that cools everywhere else."""
    return [(series, REST[0][1]), REST[1]]


def test_vehicle_that_cools_has_no_trend():
    found = trend(REST)
    assert not found.climbing.any()
    assert not found.flat.any()


@pytest.mark.parametrize("step_k", [1.2, 1.5, 2.0, 8.0])
def test_steady_climb_of_one_corner_counts_however_small_its_steps(step_k):
    """Six readings one step apart have a slope of 1 / sqrt(17.5) uncertainties a kelvin a step: 1.2 K are
    five of these, 0.5 K two, and 2.5 are asked for."""
    climb = [80.0 + step_k * k for k in range(6)]
    assert left_front(trend(beside(climb))) == (True, False)
    assert not trend(beside(climb)).climbing[1].any()
    assert not trend(beside([4.0 + 0.5 * k for k in range(6)])).climbing.any()  # nearly as cool as the air


@pytest.mark.parametrize(
    ("climb", "mate", "climbs"),
    [
        ([42.0, 44.0, 46.0], [42.0, 39.0, 36.0], True),
        ([42.0, 43.0, 44.0, 45.0], [42.0, 39.0, 36.0, 34.0], True),
        ([42.0, 44.0, 43.9], [42.0, 39.0, 36.0], False),  # not every step
        ([42.0, 44.0, 46.0], [42.0, 44.0, 46.0], True),  # its mate, too: the other axle cools
        ([10.0, 11.0, 12.0], [42.0, 39.0, 36.0], False),  # it does nothing
    ],
)
def test_a_climb_step_by_step_counts_against_how_the_others_cool(climb, mate, climbs):
    """Of 1.6 K of scatter and 240 s: a step up of 2 K is 1.8 uncertainties of the slope alone, and the others
    lose 5 K a round (100 K at 1800 s of time constant, 13 %)."""
    found = trend([REST[0], (climb, mate)], sigma_k=1.6)
    assert bool(found.climbing[0, 1, 0]) is climbs
    assert not found.climbing[:, 0].any()


@pytest.mark.parametrize(
    ("two", "mate", "climbs"),
    [
        ((60.0, 75.0), (60.0, 57.0), True),
        ((60.0, 67.7), (60.0, 57.0), False),  # 5.5 scatters of a difference of two shots: 7.78 K
        ((60.0, 67.9), (60.0, 57.0), True),
        ((45.0, 60.0), (60.0, 57.0), False),  # the first lies further from its mate: it missed
        ((60.0, 75.0), (None, None), False),  # and nobody knows which missed
    ],
)
def test_of_two_readings_a_jump_away_from_the_mate_is_a_climb(two, mate, climbs):
    """A miss shows less than the brake has: the one that lies nearer the mate's is the better one."""
    found = trend([(cooling(100.0, 2), cooling(98.0, 2)), (two, mate)])
    assert bool(found.climbing[0, 1, 0]) is climbs


def test_rise_where_a_warm_brake_should_cool_is_a_climb():
    """0.5 K a step is two uncertainties of a slope only, but 80 K would have lost more than it gained."""
    assert left_front(trend(beside([80.0 + 0.5 * k for k in range(6)]))) == (True, False)


@pytest.mark.parametrize("rises", [[20.0, 96.0, 84.0, 74.0], [5.0, 96.0, 84.0, 74.0, 65.0], [70.0, 81.0]])
def test_low_first_shot_of_a_cooling_corner_is_no_climb(rises):
    assert left_front(trend(beside(rises))) == (False, False)


@pytest.mark.parametrize("place", range(5))
@pytest.mark.parametrize("off_k", [-60.0, 60.0])
def test_one_odd_shot_anywhere_makes_no_trend(place, off_k):
    rises = cooling(90.0, 5)
    rises[place] += off_k
    assert left_front(trend(beside(rises))) == (False, False)


def test_brake_that_stands_where_it_should_cool_is_flat():
    """100 K held over 16 min: even 2.5 spreads slower than usual it would have lost 14 K."""
    assert left_front(trend(beside([100.0] * 5))) == (False, True)
    assert left_front(trend(beside(cooling(100.0, 5, tau_s=3600.0)))) == (False, False)  # slow is not flat


@pytest.mark.parametrize("rises", [[4.0] * 5, [-3.0] * 5, [0.0] * 5])
def test_cold_brake_may_stand(rises):
    """There is nothing to lose, and the rise of a brake below the stated air is none."""
    assert left_front(trend(beside(rises))) == (False, False)


def test_all_corners_climbing_a_little_count_together():
    """1 K a step at 1 K of scatter, three readings: 1.4 uncertainties each; four corners 2.8, ten 4.5."""
    one = [1.0, 2.0, 3.0]
    assert not trend(beside(one)).climbing.any()
    assert not trend([(one, one), (one, one)]).climbing.any()
    assert trend([(one, one)] * 5).climbing.all()
    more = [1.0, 2.2, 3.4]
    assert trend([(more, more), (more, more)]).climbing.all()


def test_two_rounds_count_together_only():
    up = [60.0, 64.0]  # 2.8 uncertainties each
    assert not trend(beside(up)).climbing.any()
    assert trend([(up, up), (up, up)]).climbing.all()


def test_together_spares_the_corner_that_cools():
    up, down = [5.0, 11.0], [5.0, 3.0]
    found = trend([(up, up), (up, down)])
    assert found.climbing[:, :, 0].tolist() == [[True, True], [True, False]]
    assert not trend([(up, up), (down, down)]).climbing.any()  # half of the corners are no vehicle


def test_one_wild_corner_does_not_speak_for_a_vehicle():
    """A single jump adds three uncertainties at most: two good corners and two at rest stay unsaid."""
    wild, calm = [10.0, 200.0], [5.0, 5.1]
    found = trend([(wild, calm), (calm, calm)])
    assert not found.climbing.any()


def test_all_corners_flat_together():
    """80 K at rest for 8 min, usual brakes of 1800 s and a spread of 0.5 would have lost 9 K even one spread
    slower: 6.5 uncertainties a corner, each of them counted as three."""
    flat = [80.0, 80.0, 80.0]
    assert trend([(flat, flat), (flat, flat)]).flat.all()
    assert not trend([(cooling(80.0, 3), cooling(80.0, 3))] * 2).flat.any()


def test_no_corner_climbs_and_stands_at_once():
    found = trend(beside([80.0, 84.0, 88.0, 92.0, 96.0]))
    assert not (found.climbing & found.flat).any()


def test_free_prior_still_has_a_slowest_curve():
    """A spread of 1 stands in: 22 000 s loses 1.1 K a step, 2.5 uncertainties over 4 readings, 7 over 8."""
    free = (np.log(MEDIAN_TAU_S), np.inf)
    assert left_front(trend(beside([100.0] * 4), prior=free)) == (False, False)
    assert left_front(trend(beside([100.0] * 8), prior=free)) == (False, True)


def test_line_is_that_of_least_squares():
    rng = np.random.default_rng(5)
    time_s = np.sort(rng.uniform(0.0, 900.0, 6))
    rise = rng.normal(80.0, 5.0, 6)
    shape = (6, 1, 1, 1)
    line = line_through(
        time_s.reshape(shape), rise.reshape(shape), np.ones(shape, dtype=bool), np.full(shape[1:], 2.0)
    )
    wanted = stats.linregress(time_s, rise)
    assert line.slope_k_per_s.item() == pytest.approx(wanted.slope, rel=1e-12)
    assert line.level_k.item() == pytest.approx(rise.mean())
    # standard error of a slope for a known scatter: sigma over the root of the sum of squares of the times
    assert line.sigma_k_per_s.item() == pytest.approx(2.0 / np.sqrt(((time_s - time_s.mean()) ** 2).sum()))
    for k in range(6):
        rest = stats.linregress(np.delete(time_s, k), np.delete(rise, k))
        assert line.without_one[k].item() == pytest.approx(rest.slope, rel=1e-9)


def test_series_of_one_moment_have_no_slope():
    shape = (3, 1, 1, 1)
    line = line_through(np.full(shape, 5.0), np.ones(shape), np.ones(shape, dtype=bool), np.ones(shape[1:]))
    assert line.slope_k_per_s.item() == 0.0
    assert np.isinf(line.sigma_k_per_s).all()
    assert not trend([([90.0] * 4, [90.0] * 4)], step_s=0.0).flat.any()


walks = st.lists(st.lists(st.floats(-20.0, 300.0), min_size=0, max_size=6), min_size=2, max_size=8)


@given(walks, st.floats(0.5, 4.0))
def test_mirrored_vehicle_has_the_mirrored_trend(series, sigma_k):
    sides = [one or [None] for one in series]
    axles = [(sides[2 * k], sides[2 * k + 1]) for k in range(len(sides) // 2)]
    one = trend(axles, sigma_k=sigma_k)
    other = trend([(right, left) for left, right in axles], sigma_k=sigma_k)
    np.testing.assert_array_equal(one.climbing, other.climbing[::-1])
    np.testing.assert_array_equal(one.flat, other.flat[::-1])
    assert not (one.climbing & one.flat).any()


@given(walks)
def test_slots_without_a_reading_say_nothing(series):
    sides = [one or [None] for one in series]
    axles = [(sides[2 * k], sides[2 * k + 1]) for k in range(len(sides) // 2)]
    slots = max(len(side) for side in sides) + 2
    padded = [tuple([*side, *[None] * (slots - len(side))] for side in axle) for axle in axles]
    wanted, found = trend(axles), trend(padded)
    np.testing.assert_array_equal(found.climbing, wanted.climbing)
    np.testing.assert_array_equal(found.flat, wanted.flat)


# through the fit


def walk(*corners):
    """One vehicle: rises of 1L, 1R, 2L, 2R over the rounds, read 15 s apart."""
    rows = [(place, lap, rise) for place, rises in enumerate(corners) for lap, rise in enumerate(rises)]
    place, lap, rise = (np.array(column) for column in zip(*rows, strict=True))
    return table(
        case=0,
        axle=1 + place // 2,
        side=place % 2,
        elapsed_s=20.0 + STEP_S * lap + 15.0 * place,
        indicated_degc=18.0 + rise,
    )


@pytest.mark.parametrize("step_k", [2.6, 3.5, 6.0])
def test_steady_climb_is_never_fitted(step_k):
    """Scatter of a shot there: 1 K and 3 % of 80 K, 2.6 K in all; each step is below it or near it."""
    climb = [80.0 + step_k * k for k in range(6)]
    fits = fitted(walk(climb, *(cooling(90.0, 6) for _ in range(3))))
    assert fits.state.tolist() == [[RISING, FITTED], [FITTED, FITTED]]
    assert np.isnan(fits.amplitude_k[0, 0])
    assert fits.left_out[:6].tolist() == [WARMING] * 6
    assert (fits.left_out[6:] == VOTES).all()


def test_low_first_shot_is_fitted():
    rises = cooling(100.0, 6)
    rises[0] = 15.0
    assert fitted(walk(rises, *(cooling(90.0, 6) for _ in range(3)))).state.tolist() == [[FITTED, FITTED]] * 2


def test_flat_corner_is_never_fitted():
    fits = fitted(walk([120.0] * 8, *(cooling(90.0, 8) for _ in range(3))))
    assert fits.state.tolist() == [[STANDING, FITTED], [FITTED, FITTED]]
    assert fits.left_out[:8].tolist() == [FLAT] * 8


def test_vehicle_that_climbs_a_little_everywhere_is_never_fitted():
    up = [60.0, 63.5, 67.0]  # 1.2 uncertainties of one corner's slope a step
    fits = fitted(walk(up, up, up, up))
    assert (fits.state == RISING).all()
    assert not fits.used.any()


# JCGM 100:2008 (GUM), table H.6: thermometer readings and corrections [°C] (values from memory, recomputed).
GUM_T = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])
GUM_B = np.array([-171, -169, -166, -159, -164, -165, -156, -157, -159, -161, -160]) / 1000.0


def test_line_is_the_calibration_line_of_the_gum():
    """GUM H.3.3-H.3.4: slope 0.00218 with 0.00067, s = 0.0035; more digits computed apart from this code."""
    shape = (-1, 1, 1, 1)
    line = line_through(
        (GUM_T - 20.0).reshape(shape), GUM_B.reshape(shape), np.ones((11, 1, 1, 1), dtype=bool),
        np.full((1, 1, 1), 0.0034975640),
    )  # fmt: skip
    slope, sigma = float(line.slope_k_per_s[0, 0, 0]), float(line.sigma_k_per_s[0, 0, 0])
    assert (slope, sigma) == pytest.approx((0.00218, 0.00067), abs=5e-6)
    assert (slope, sigma) == pytest.approx((0.0021826977, 0.0006679388), abs=1e-10)
    at_mean = float(line.level_k[0, 0, 0])
    assert at_mean - slope * float((GUM_T - 20.0).mean()) == pytest.approx(-0.1712037901, abs=1e-10)
