"""Left against right: the common time, the spot that is compared, difference, ratio and their intervals."""

import numpy as np
import pytest
from fitcases import Plan, logs, priors
from hypothesis import given, settings
from hypothesis import strategies as st
from judgecases import EXACT, LIGHT, USUAL, VAN_K, Walk, table, walked
from scipy import stats

from thermlog.fitting.fit import Fits, fit
from thermlog.fitting.pairs import Pairs, pair_readings
from thermlog.fitting.predict import state_at
from thermlog.inference.left_right import SideComparison, common_time_s, compare
from thermlog.judging.diagnose import judge
from thermlog.words.tables import Floats, Readings, stack_readings
from thermlog.words.vehicle import SPOTS


def compared(readings: Readings, wanted_s: float = 120.0) -> tuple[SideComparison, Fits, Pairs]:
    pairs, cases = pair_readings(readings), len(readings.cases)
    fits = fit(readings, pairs, priors(pairs, cases))
    return compare(pairs, fits, wanted_time_s=np.full(cases, wanted_s)), fits, pairs


def timed(readings: Readings, wanted_s: float) -> float:
    return float(compared(readings, wanted_s)[0].common_time_s[0])


# the common time

LONG = walked(VAN_K, EXACT)  # corners first read at 20, 35, 50, 65 s, last at 380, 395, 410, 425 s


def test_wanted_time_counts_from_the_first_reading():
    assert timed(LONG, 120.0) == 140.0


@pytest.mark.parametrize(
    ("wanted_s", "found_s"), [(0.0, 65.0), (44.9, 65.0), (45.1, 65.1), (360.0, 380.0), (9e9, 380.0)]
)
def test_common_time_stays_where_every_corner_was_read(wanted_s, found_s):
    """After the latest first reading (65 s), before the earliest last one (380 s)."""
    assert timed(LONG, wanted_s) == pytest.approx(found_s, abs=1e-9)


def test_single_round_meets_in_the_middle():
    """No time lies inside all windows: halfway between the latest and the earliest reading."""
    once = walked(VAN_K, Walk(rounds=1, noise_k=0.0))  # 20, 35, 50, 65 s
    assert timed(once, 120.0) == 42.5
    assert timed(once, 0.0) == 42.5


def test_corners_that_do_not_vote_do_not_narrow_the_time():
    """A corner without its mate still counts; a case without any reading has no time."""
    alone = table(
        [(1, 0, 0, 10.0, 90.0), (1, 0, 0, 400.0, 80.0), (2, 1, 0, 50.0, 70.0), (2, 1, 0, 300.0, 60.0)]
    )
    assert timed(alone, 500.0) == 300.0
    assert timed(alone, 0.0) == 50.0
    both = stack_readings([alone, table([])])
    found = compared(both)[0].common_time_s
    assert np.isfinite(found).tolist() == [True, False]


def test_common_time_of_a_case_is_its_own():
    later = walked(VAN_K, Walk(first_s=1000.0, noise_k=0.0))
    together = compared(stack_readings([LONG, later]))[0].common_time_s
    assert together.tolist() == [140.0, 1120.0]


@settings(max_examples=40, deadline=None)
@given(
    starts=st.lists(st.floats(0.0, 600.0), min_size=2, max_size=6),
    spans=st.lists(st.floats(0.0, 900.0), min_size=6, max_size=6),
    wanted_s=st.floats(0.0, 2000.0),
)
def test_common_time_is_never_outside_the_walk(starts, spans, wanted_s):
    rows = []
    for k, (start, span) in enumerate(zip(starts, spans, strict=False)):
        place = (1 + k // 2, k % 2, 0)
        cooled = 18.0 + 72.0 * float(np.exp(-span / 1500.0))  # what stood as warm would not be fitted
        rows += [(*place, start, 90.0), (*place, start + span, cooled)]
    readings = table(rows)
    first, last = np.array(starts), np.array(starts) + np.array(spans[: len(starts)])
    found = timed(readings, wanted_s)
    begin, end = first.max(), last.min()
    assert min(begin, end) - 1e-9 <= found <= max(begin, end) + 1e-9
    assert first.min() <= found <= last.max()
    if begin <= end:
        assert found == pytest.approx(min(max(first.min() + wanted_s, begin), end), abs=1e-9)


# difference and ratio


def test_exact_cooling_gives_the_exact_difference_and_ratio():
    """Newton's law at 140 s, both sides; only the weak pull of the prior on tau is left, below 0.01 K."""
    found, _, _ = compared(walked({"1L": 150.0, "1R": 90.0}, Walk(rounds=6, noise_k=0.0)))
    fall = np.exp(-140.0 / 1800.0)
    assert found.difference_k[0] == pytest.approx(60.0 * fall, abs=0.01)
    assert found.ratio[0] == pytest.approx(150.0 / 90.0, abs=0.001)
    assert found.ratio_low[0] < found.ratio[0] < found.ratio_high[0]


def test_ratio_is_hotter_over_cooler_whichever_side_is_hotter():
    left, _, _ = compared(walked({"1L": 150.0, "1R": 90.0}, EXACT))
    right, _, _ = compared(walked({"1R": 150.0, "1L": 90.0}, EXACT))
    for name in ("ratio", "ratio_low", "ratio_high"):
        assert getattr(left, name)[0] == pytest.approx(getattr(right, name)[0], rel=1e-9)
    assert left.difference_k[0] == pytest.approx(-right.difference_k[0], rel=1e-9)


def some_logs() -> tuple[SideComparison, Fits, Pairs]:
    readings, _ = logs(np.random.default_rng(4), Plan(cases=40, axles=2, rounds=3))
    return compared(readings, 300.0)


def gradients(fits: Fits, pairs: Pairs, time_s: Floats) -> Floats:
    """Temperature of each side by (amplitude, ln tau) of both and the ambient, by central differences."""
    gradient = np.zeros((2, 5, pairs.count))
    gradient[:, 4] = 1.0
    for side in (0, 1):
        for place, column, step in ((0, fits.amplitude_k, 1e-3), (1, fits.log_tau, 1e-6)):
            kept = column[side].copy()
            ends = []
            for sign in (1, -1):
                column[side] = kept + sign * step
                ends.append(state_at(fits, pairs, time_s).temperature_degc[side])
            column[side] = kept
            gradient[side, 2 * side + place] = (ends[0] - ends[1]) / (2.0 * step)
    return gradient


def test_uncertainty_of_the_difference_is_that_of_the_pair():
    """Propagated with a numerical gradient of left minus right, whose own error is about 1e-7."""
    found, fits, pairs = some_logs()
    gradient = gradients(fits, pairs, found.common_time_s[pairs.case])
    gap = gradient[0] - gradient[1]
    variance = np.einsum("ip,ijp,jp->p", gap, fits.covariance, gap)
    np.testing.assert_allclose(found.difference_sigma_k, np.sqrt(variance), rtol=1e-5)


def test_shared_ambient_cancels_in_the_difference_and_not_in_the_sides():
    _, fits, pairs = some_logs()
    found = compare(pairs, fits, wanted_time_s=np.full(40, 300.0))
    apart = np.sqrt(found.state.temperature_variance.sum(0))
    assert (found.state.temperature_covariance > 0).mean() > 0.5
    assert (found.difference_sigma_k < apart).mean() > 0.5


def test_log_tau_difference_carries_its_covariance():
    found, fits, _ = some_logs()
    gap = np.array([0.0, 1.0, 0.0, -1.0, 0.0])
    variance = np.einsum("i,ijp,j->p", gap, fits.covariance, gap)
    np.testing.assert_allclose(found.log_tau_difference_sigma, np.sqrt(variance), rtol=1e-9)
    np.testing.assert_allclose(found.log_tau_difference, fits.log_tau[0] - fits.log_tau[1], rtol=1e-12)


def test_ratio_limits_are_where_the_weighted_gap_is_just_not_significant():
    """Fieller's definition: at a limit r, hotter minus r times cooler lies one quantile from zero."""
    found, fits, pairs = some_logs()
    rise, spread, shared = found.state.rise_k, found.state.rise_variance, found.state.rise_covariance
    hot = np.where(found.difference_k >= 0.0, 0, 1)
    at = np.arange(pairs.count)
    known = np.isfinite(found.ratio)
    assert known.mean() > 0.8
    for limit in (found.ratio_low, found.ratio_high):
        gap = rise[hot, at] - limit * rise[1 - hot, at]
        variance = spread[hot, at] + limit**2 * spread[1 - hot, at] - 2.0 * limit * shared
        sigmas = np.abs(gap) / np.sqrt(variance)
        np.testing.assert_allclose(sigmas[known], found.quantile[pairs.case][known], rtol=1e-6)
    # our quantile is an expansion in 1/dof, good to five figures here
    np.testing.assert_allclose(found.quantile, stats.t.ppf(0.975, fits.dof), rtol=1e-5)


def test_no_ratio_where_the_cooler_rise_is_not_clearly_above_zero():
    cold, _, _ = compared(walked({"1L": 100.0, "1R": 0.5}, USUAL))
    assert np.isnan([cold.ratio[0], cold.ratio_low[0], cold.ratio_high[0]]).all()
    assert cold.difference_k[0] > 80
    below, _, _ = compared(walked({"1L": 100.0, "1R": -30.0}, Walk(rounds=1, noise_k=0.0)))
    assert below.both[0]
    assert np.isnan([below.ratio[0], below.ratio_low[0], below.ratio_high[0]]).all()


def test_side_without_readings_leaves_no_numbers():
    found, _, _ = compared(walked({"1L": 100.0, "2L": 60.0, "2R": 61.0}, EXACT))
    assert found.both.tolist() == [False, True]
    for name in ("difference_k", "difference_sigma_k", "ratio", "ratio_low", "ratio_high"):
        assert np.isfinite(getattr(found, name)).tolist() == [False, True], name


# which spot speaks


def chosen(corners: dict[str, float], walk: Walk = EXACT) -> list[tuple[int, str]]:
    readings = walked(corners, walk)
    found, _, pairs = compared(readings)
    return [(int(pairs.axle[k]), SPOTS[pairs.spot[k]]) for k in np.flatnonzero(found.chosen)]


def both(axle: int, spot: str, rise_k: float = 80.0) -> dict[str, float]:
    return {f"{axle}L {spot}": rise_k, f"{axle}R {spot}": rise_k}


@pytest.mark.parametrize(
    ("fairer", "other"),
    [("drum", "hat"), ("hat", "rotor_outer"), ("rotor_outer", "brake"), ("brake", "rotor_inner"),
     ("rotor_inner", "caliper")],
)  # fmt: skip
def test_fairest_spot_read_on_both_sides_speaks(fairer, other):
    assert chosen(both(1, fairer) | both(1, other)) == [(1, fairer)]
    assert chosen(both(1, other) | both(1, fairer)) == [(1, fairer)]


def test_like_is_compared_with_like():
    """The hat was read left only: the rotor, read on both sides, speaks."""
    assert chosen({"1L hat": 80.0} | both(1, "rotor_outer")) == [(1, "rotor_outer")]
    readings = walked({"1L hat": 80.0, "1R rotor_outer": 80.0}, EXACT)
    assert not compared(readings)[0].both.any()


def test_more_readings_on_the_thinner_side_beat_the_fairer_spot():
    """Three rotor readings a side against one of the hat."""
    rotor = walked(both(1, "rotor_outer"), EXACT)
    hat = walked(both(1, "hat"), Walk(rounds=1, noise_k=0.0))
    columns = ("line", "axle", "side", "spot", "elapsed_s", "indicated_degc")
    joined = {name: np.concatenate([getattr(rotor, name), getattr(hat, name)]) for name in columns}
    readings = table(list(zip(*(joined[name].tolist() for name in columns[1:]), strict=True)))
    found, _, pairs = compared(readings)
    assert [SPOTS[pairs.spot[k]] for k in np.flatnonzero(found.chosen)] == ["rotor_outer"]


def test_hubs_rims_and_tyres_never_speak_for_a_brake():
    assert chosen(both(1, "hub") | both(1, "rim") | both(1, "tyre_outer") | both(1, "tyre_inner")) == []
    assert chosen(both(1, "hub") | both(1, "caliper")) == [(1, "caliper")]


def test_every_axle_of_every_case_has_one_speaker():
    tables = [walked(both(1, "hat") | both(1, "brake") | both(2, "drum") | both(3, "hub"), EXACT)] * 3
    judged = judge(stack_readings(tables), LIGHT)
    speakers = np.flatnonzero(judged.comparison.chosen)
    found = [(int(judged.pairs.case[k]), int(judged.pairs.axle[k])) for k in speakers]
    assert found == [(case, axle) for case in range(3) for axle in (1, 2)]


def test_common_time_ignores_cases_of_another_shape():
    """`common_time_s` alone, on two cases that share nothing."""
    readings = stack_readings([LONG, walked({"1L": 90.0, "1R": 80.0}, Walk(rounds=1, noise_k=0.0))])
    pairs = pair_readings(readings)
    fits = fit(readings, pairs, priors(pairs, 2))
    assert common_time_s(pairs, fits, np.array([120.0, 120.0])).tolist() == [140.0, 27.5]
