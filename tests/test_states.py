"""What healthy, dragging and idle brakes would show: the maps on the grid against plain integration."""

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats
from scipy.integrate import quad

from thermlog.inference.states import LEVELS_K, healthy_likelihood, share_kernel, states_of
from thermlog.words.policy import load_policy

POLICY = load_policy("light")
STEP = float(np.log(LEVELS_K[1] / LEVELS_K[0]))


def likelihood(rise_k, *, variance=4.0, miss=0.0, fraction=0.1, spread_k=2.0):
    rise = np.atleast_1d(np.asarray(rise_k, dtype=np.float64))
    columns = (np.full(rise.size, value) for value in (variance, miss, fraction, spread_k))
    variances, misses, fractions, spreads = columns
    return healthy_likelihood(rise, variances, misses, side_fraction=fractions, side_k=spreads)


def test_levels_cover_all_heat_there_is_in_equal_ratios():
    assert LEVELS_K[0] == pytest.approx(1.5)
    assert 600 < LEVELS_K[-1] < 700
    np.testing.assert_allclose(np.diff(np.log(LEVELS_K)), STEP)


def test_likelihood_of_a_hit_is_the_normal_density():
    level = LEVELS_K[40]
    sigma = np.sqrt(4.0 + 2.0**2 + (0.1 * level) ** 2)
    for rise in (0.5 * level, level, 1.3 * level):
        wanted = stats.norm.pdf(rise, level, sigma)
        assert likelihood(rise)[0, 40] == pytest.approx(wanted, rel=1e-12)


def test_likelihood_integrates_to_one_over_everything_a_hit_can_show():
    level = LEVELS_K[30]
    total, _ = quad(lambda rise: likelihood(rise)[0, 30], level - 200.0, level + 200.0, points=[level])
    assert total == pytest.approx(1.0, abs=1e-6)


def test_missed_shot_shows_anything_below_the_brake_and_hardly_anything_above():
    """Probability of a miss times one over (level + 10 K) below, a hundredth of that above."""
    level = LEVELS_K[45]
    low, high = likelihood([1.0, level * 3.0], miss=0.3)[:, 45]
    assert low == pytest.approx(0.3 / (level + 10.0), rel=1e-6)
    assert high == pytest.approx(0.003 / (level + 10.0), rel=1e-6)


@pytest.mark.parametrize("row", [5, 25, 45])
def test_missed_shot_may_read_up_to_two_deviations_above_the_level(row):
    """Where every shot missed, all that is left is the miss: a hundredth of it from 2 σ on."""
    level = LEVELS_K[row]
    sigma = np.sqrt(4.0 + 2.0**2 + (0.1 * level) ** 2)
    edge = level + 2.0 * sigma
    inside, outside = likelihood([edge - 1e-9 * edge, edge + 1e-9 * edge], miss=1.0)[:, row]
    assert inside == pytest.approx(1.0 / (level + 10.0), rel=1e-12)
    assert outside == pytest.approx(0.01 / (level + 10.0), rel=1e-12)


def test_brake_that_nobody_read_says_nothing():
    np.testing.assert_array_equal(likelihood([np.nan, 50.0])[0], np.ones(LEVELS_K.size))
    assert not np.allclose(likelihood([50.0])[0], 1.0)


def test_uncertain_reading_says_less():
    sharp, vague = likelihood(80.0), likelihood(80.0, variance=900.0)
    assert sharp.max() / np.median(sharp) > vague.max() / np.median(vague)


# maps


@pytest.mark.parametrize("policy", [POLICY, load_policy("heavy")])
def test_maps_move_probability_and_lose_none(policy):
    for coast in (False, True):
        states = states_of(policy, coast=coast)
        np.testing.assert_allclose(states.hot.sum(1), 1.0, atol=1e-12)
        np.testing.assert_allclose(states.cold.sum(1), 1.0, atol=1e-12)
        assert states.heat.sum() == pytest.approx(1.0, abs=1e-12)
        assert states.heat_all_hot.sum() == pytest.approx(1.0, abs=1e-12)
        assert (states.hot >= 0).all()
        assert (states.cold >= 0).all()


def drag_range_k(healthy_k):
    """The policy's: least 15 K or a quarter of the rise, most 600 K or three times the least."""
    least = max(POLICY.drag_least_k, POLICY.drag_least_part * healthy_k)
    return least, max(POLICY.drag_most_k, 3.0 * least)


@pytest.mark.parametrize("healthy_k", [8.0, 60.0, 150.0, 500.0])
def test_every_octave_of_extra_heat_is_as_likely(healthy_k):
    """Median is the geometric mean of the range; 24 points on a grid of 10 % hold it within a step."""
    row = states_of(POLICY, coast=False).hot[np.argmin(np.abs(LEVELS_K - healthy_k))]
    healthy_k = LEVELS_K[np.argmin(np.abs(LEVELS_K - healthy_k))]
    least, most = drag_range_k(healthy_k)
    median = np.interp(0.5, np.cumsum(row), LEVELS_K)
    assert median == pytest.approx(min(healthy_k + np.sqrt(least * most), LEVELS_K[-1]), rel=STEP)
    assert row[(healthy_k + least) / (1 + STEP) > LEVELS_K].sum() == pytest.approx(0.0, abs=1e-12)


def test_least_drag_is_in_kelvin_on_cool_brakes_and_a_part_of_warm_ones():
    """30 K below 150 K of healthy rise, a fifth of it above; the lowest level that a drag reaches."""
    hot = states_of(POLICY, coast=False).hot
    for healthy_k, least_k in ((8.0, 30.0), (40.0, 30.0), (300.0, 60.0)):
        k = int(np.argmin(np.abs(LEVELS_K - healthy_k)))
        first = LEVELS_K[np.flatnonzero(hot[k])[0]]
        assert first == pytest.approx(LEVELS_K[k] + least_k, rel=1.5 * STEP)


def test_drag_reproduces_an_integral_over_the_extra_rise():
    """Likelihood of 170 K where the axle has 60 K, integrated directly; 24 points: 6 %."""
    k = int(np.argmin(np.abs(LEVELS_K - 60.0)))
    mapped = (states_of(POLICY, coast=False).hot @ likelihood(170.0)[0])[k]
    least, most = drag_range_k(LEVELS_K[k])
    extra = stats.loguniform(least, most)

    def weighed(extra_k: float) -> float:
        level = LEVELS_K[k] + extra_k
        return extra.pdf(extra_k) * stats.norm.pdf(170.0, level, np.sqrt(8.0 + (0.1 * level) ** 2))

    wanted, _ = quad(weighed, least, most, points=[110.0], limit=200)
    assert mapped == pytest.approx(wanted, rel=0.06)


def test_idle_brake_keeps_an_even_share_of_its_heat():
    """Uniform between nothing and the most an idle brake keeps: 12 K on an axle of 60 K; grid: 3 %."""
    k = int(np.argmin(np.abs(LEVELS_K - 60.0)))
    row = states_of(POLICY, coast=False).cold[k]
    assert row @ LEVELS_K == pytest.approx(0.5 * POLICY.cold_remaining_most * LEVELS_K[k], rel=0.03)
    most = POLICY.cold_remaining_most * LEVELS_K[k]
    assert row[most * (1 + STEP) < LEVELS_K].sum() == pytest.approx(0.0, abs=1e-12)
    mapped = (states_of(POLICY, coast=False).cold @ likelihood(12.0)[0])[k]
    wanted, _ = quad(
        lambda level: stats.norm.pdf(12.0, level, np.sqrt(8.0 + (0.1 * level) ** 2)) / most, 0.0, most
    )
    assert mapped == pytest.approx(wanted, rel=0.03)


def test_heat_levels_leave_the_grid_at_neither_end():
    """A drag on the hottest axle stays on the hottest level, an idle brake on the coolest on the coolest."""
    states = states_of(POLICY, coast=False)
    assert states.hot[-1, -2:].sum() == pytest.approx(1.0)
    assert states.cold[0, 0] == pytest.approx(1.0)


def test_unlike_face_shows_an_even_part_of_its_rise():
    """Uniform between the least such a face shows and all of it: its mean lies half way; grid: 1 %."""
    odd = states_of(POLICY, coast=False).odd_skin
    np.testing.assert_allclose(odd.sum(1), 1.0, atol=1e-12)
    k = int(np.argmin(np.abs(LEVELS_K - 80.0)))
    assert odd[k] @ LEVELS_K == pytest.approx(0.5 * (1 + POLICY.odd_skin_least) * LEVELS_K[k], rel=0.01)
    assert odd[k][LEVELS_K[k] * (1 + STEP) < LEVELS_K].sum() == pytest.approx(0.0, abs=1e-12)


def test_usual_heat_is_narrower_than_what_may_be_and_one_with_it_on_a_coast_drive():
    states, coast = (states_of(POLICY, coast=coast) for coast in (False, True))
    mean = states.usual @ np.log(LEVELS_K)
    assert mean == pytest.approx(np.log(POLICY.usual_heat_median_k), abs=0.02)
    spread = np.sqrt(states.usual @ (np.log(LEVELS_K) - mean) ** 2)
    assert spread == pytest.approx(POLICY.usual_heat_spread, rel=0.05)
    np.testing.assert_array_equal(coast.usual, coast.heat)


@pytest.mark.parametrize("coast", [False, True])
def test_heat_prior_has_the_median_and_spread_of_the_policy(coast):
    heat = states_of(POLICY, coast=coast).heat
    median, spread = (
        (POLICY.coast_heat_median_k, POLICY.coast_heat_spread)
        if coast
        else (POLICY.heat_median_k, POLICY.heat_spread)
    )
    mean = heat @ np.log(LEVELS_K)
    assert mean == pytest.approx(np.log(median), abs=0.02)
    assert np.sqrt(heat @ (np.log(LEVELS_K) - mean) ** 2) == pytest.approx(spread, rel=0.05)


@pytest.mark.parametrize("coast", [False, True])
def test_heat_with_pressure_in_all_brakes_is_the_usual_heat_and_a_drag_on_top(coast):
    """Means add up but for what the highest level cuts: within 3 %."""
    states = states_of(POLICY, coast=coast)
    for before, after in ((states.heat, states.heat_all_hot), (states.usual, states.usual_all_hot)):
        least, most = np.array([drag_range_k(level) for level in LEVELS_K]).T
        uncut = LEVELS_K[:, None] + least[:, None] * (most / least)[:, None] ** np.linspace(0.0, 1.0, 400)
        wanted = before @ np.minimum(uncut, LEVELS_K[-1]).mean(1)
        assert after @ LEVELS_K == pytest.approx(wanted, rel=0.03)


def test_maps_follow_the_policy():
    hotter = states_of(replace(POLICY, drag_least_k=60.0), coast=False).hot
    assert hotter[30] @ LEVELS_K > states_of(POLICY, coast=False).hot[30] @ LEVELS_K
    colder = states_of(replace(POLICY, cold_remaining_most=0.2), coast=False).cold
    assert colder[45] @ LEVELS_K < states_of(POLICY, coast=False).cold[45] @ LEVELS_K


@pytest.mark.parametrize(("share", "spread"), [(1.0, 0.16), (1.6, 0.16), (0.8, 0.3)])
def test_share_kernel_is_centred_on_the_share(share, spread):
    kernel = share_kernel(share, spread)
    np.testing.assert_allclose(kernel.sum(1), 1.0, atol=1e-12)
    row = int(np.argmin(np.abs(LEVELS_K - 60.0)))
    mean = kernel[row] @ np.log(LEVELS_K)
    assert mean == pytest.approx(np.log(LEVELS_K[row] * share), abs=1e-6)
    deviation = np.sqrt(kernel[row] @ (np.log(LEVELS_K) - mean) ** 2)
    assert deviation == pytest.approx(spread, rel=0.01)
