"""Curves for charts: every reading with its fate, and a band that is that of the fit."""

import numpy as np
import pytest
from judgecases import LIGHT, VAN_K, Walk, corner_of, rows, table, tell, walked
from oracle.cooling import newton_degc

from thermlog.fitting.stack import FLAT, STRAY, WARMING
from thermlog.judging.curves import REASONS, curves_of
from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.words.policy import load_policy
from thermlog.words.tables import stack_readings

MANY = Walk(rounds=6)


def curve(found, corner, spot="brake"):
    return next(one for one in found if (one.corner, one.spot) == (corner, spot))


def test_every_corner_and_spot_has_its_readings_in_time_order():
    readings = walked(VAN_K | {"2R hub": 30.0}, MANY)
    shuffled = rows(readings, np.random.default_rng(1).permutation(readings.rows))
    found = curves_of(judge(shuffled, LIGHT), 0)
    places = [(one.corner, one.spot) for one in found]
    assert places == [("1L", "brake"), ("1R", "brake"), ("2L", "brake"), ("2R", "brake"), ("2R", "hub")]
    for one in found:
        own = (readings.axle == int(one.corner[0])) & (readings.side == "LR".index(one.corner[1]))
        own &= readings.spot == (0 if one.spot == "brake" else 6)
        np.testing.assert_array_equal(one.elapsed_s, readings.elapsed_s[own])
        np.testing.assert_array_equal(one.indicated_degc, readings.indicated_degc[own])
        np.testing.assert_array_equal(one.line, readings.line[own])


def test_curve_spans_the_walk_and_follows_the_cooling():
    """From the first reading of all to the last: every curve crosses the common time.

    Without noise it is Newton's law; the prior on tau pulls it by less than 0.1 K.
    """
    one = curve(curves_of(judge(walked(VAN_K, Walk(rounds=6, noise_k=0.0)), LIGHT), 0), "1L")
    assert (one.grid_s[0], one.grid_s[-1]) == (20.0, 965.0)
    assert (np.diff(one.grid_s) > 0).all()
    wanted = newton_degc(one.grid_s, start_degc=123.0, ambient_degc=18.0, tau_s=1800.0)
    np.testing.assert_allclose(one.mean_degc, wanted, atol=0.1)
    np.testing.assert_allclose(one.residual_k, 0.0, atol=0.1)


def test_residual_is_reading_minus_curve():
    one = curve(curves_of(judge(walked(VAN_K, MANY), LIGHT), 0), "2R")
    on_curve = np.interp(one.elapsed_s, one.grid_s, one.mean_degc)  # the grid is fine: 61 points
    np.testing.assert_allclose(one.residual_k, one.indicated_degc - on_curve, atol=0.01)


@pytest.mark.parametrize("law", ["exponential", "power"])
def test_band_is_the_interval_of_the_corner_at_the_common_time(law):
    """The same covariance by two roads: state at one time, band along the curve.

    The gun's calibration, shared by all corners, is in the corner's interval and not in the band.
    """
    judged = judge(walked(VAN_K, MANY), Settings(policy=load_policy("light"), law=law))
    one, quantile = tell(judged, 0, curves=True), float(judged.comparison.quantile[0])
    for corner, side, pair in (("1L", 0, 0), ("2R", 1, 1)):
        band, finding = curve(one.curves, corner), corner_of(one, corner)
        level = finding.at_common_degc
        half = np.sqrt(level.half_width**2 - (quantile * judged.gap.level_sigma_k[side, pair]) ** 2)
        for column, wanted in (
            (band.mean_degc, level.value),
            (band.low_degc, level.value - half),
            (band.high_degc, level.value + half),
        ):
            # linear between the 61 points of the grid
            assert np.interp(one.common_time_s, band.grid_s, column) == pytest.approx(wanted, abs=0.02)
        assert (band.low_degc < band.mean_degc).all()
        assert (band.mean_degc < band.high_degc).all()


def test_readings_left_out_say_why():
    readings = walked(VAN_K, MANY)
    readings.indicated_degc[8] = 25.0
    one = curve(curves_of(judge(readings, LIGHT), 0), "1L")
    assert one.left_out == ("", "", REASONS[STRAY], "", "", "")
    assert one.residual_k[2] < -50.0
    assert set(REASONS) == {WARMING, FLAT, STRAY}


def test_rising_corner_has_readings_and_no_curve():
    rising = [(1, 0, 0, 20.0 + 90.0 * k, 60.0 + 20.0 * k) for k in range(4)]
    cooling = [(1, 1, 0, 30.0 + 90.0 * k, 90.0 - 4.0 * k) for k in range(4)]
    left, right = curves_of(judge(table(rising + cooling), LIGHT), 0)
    assert left.grid_s.size == left.mean_degc.size == left.low_degc.size == 0
    assert np.isnan(left.residual_k).all()
    assert left.elapsed_s.size == 4
    assert left.left_out[:3] == (REASONS[WARMING],) * 3
    assert right.grid_s.size == 61


def test_single_reading_has_a_curve_through_itself():
    one = curve(curves_of(judge(walked(VAN_K, Walk(rounds=1)), LIGHT), 0), "1L")
    assert (one.grid_s[0], one.grid_s[-1]) == (20.0, 65.0)
    assert one.mean_degc[0] == pytest.approx(one.indicated_degc[0], abs=1.0)  # pulled by the ambient's doubt


def test_single_moment_has_a_point_for_a_curve():
    one = curves_of(judge(walked({"1L": 80.0}, Walk(rounds=1)), LIGHT), 0)[0]
    assert set(one.grid_s) == {20.0}


def test_curves_of_a_case_are_its_own():
    judged = judge(stack_readings([walked(VAN_K, MANY), walked({"1L": 50.0}, MANY), table([])]), LIGHT)
    assert [len(curves_of(judged, k)) for k in range(3)] == [4, 1, 0]
    alone = judge(walked({"1L": 50.0}, MANY), LIGHT)
    np.testing.assert_allclose(
        curves_of(judged, 1)[0].mean_degc, tell(alone, 0, curves=True).curves[0].mean_degc, rtol=1e-9
    )
