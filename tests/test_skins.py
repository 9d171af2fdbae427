"""Unknown skins in a comparison, against draws and worked cases."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from thermlog.correcting.gun import usual_gun
from thermlog.correcting.skins import skin_spread_k
from thermlog.correcting.surfaces import Skin, usual_surfaces
from thermlog.physics.radiation import indicated_degc, surface_degc

GUN = usual_gun()


def drawn(rng, middle, spread, size):
    return np.clip(middle * np.exp(rng.normal(0.0, spread, size)), 0.01, 1.0)


@pytest.mark.parametrize("compensated", [True, False])
@pytest.mark.parametrize("true_degc", [60.0, 120.0, 300.0])
def test_false_gap_of_equally_hot_corners_against_draws(compensated, true_degc):
    """Independent: 40 000 pairs of skins drawn; sampling error 0.4 %, linearisation within 3 %."""
    rng = np.random.default_rng(7)
    gun = replace(GUN, compensated=compensated)
    shown = indicated_degc(true_degc, emissivity=drawn(rng, 0.7, 0.08, (2, 40000)), compensated=compensated)
    level = float(indicated_degc(true_degc, emissivity=0.7, compensated=compensated))
    skin = Skin(emissivity=0.7, spread_common=0.3, spread_corner=0.08)
    got = skin_spread_k(level, level, ambient_degc=20.0, skin=skin, gun=gun)
    ratio = np.log((shown[0] - 20.0) / (shown[1] - 20.0))
    assert float(np.std(ratio)) == pytest.approx(float(got.log_ratio_sigma), rel=0.03)
    assert float(got.surface_difference_k) == 0.0


def test_surface_difference_against_draws():
    """Independent: surfaces behind 110 and 80 °C for 40 000 drawn skins, common and separate part."""
    rng = np.random.default_rng(11)
    common = np.exp(rng.normal(0.0, 0.10, 40000))
    own = np.exp(rng.normal(0.0, 0.05, (2, 40000)))
    behind = surface_degc(np.array([[110.0], [80.0]]), emissivity=np.clip(0.6 * common * own, 0.01, 1.0))
    skin = Skin(emissivity=0.6, spread_common=0.10, spread_corner=0.05)
    got = skin_spread_k(110.0, 80.0, ambient_degc=20.0, skin=skin, gun=GUN)
    assert float(np.std(behind[0] - behind[1])) == pytest.approx(float(got.surface_sigma_k), rel=0.03)
    assert float(np.median(behind[0] - behind[1])) == pytest.approx(float(got.surface_difference_k), rel=0.01)


def test_common_skin_cancels_where_both_sides_read_alike():
    skin = Skin(emissivity=0.5, spread_common=0.5, spread_corner=1e-9)
    got = skin_spread_k([100.0, 100.0], [100.0, 60.0], ambient_degc=20.0, skin=skin, gun=GUN)
    assert got.surface_sigma_k[0] == pytest.approx(0.0, abs=1e-6)
    assert got.surface_sigma_k[1] > 20.0
    assert got.log_ratio_sigma[1] == pytest.approx(0.0, abs=1e-6)


def test_pair_of_bright_and_dull_is_covered_by_the_belief_of_a_swept_face():
    """Worked gap of 30.59 K between 0.30 and 0.60 at 120 °C: ln 2 apart, 2.45 of the believed spreads."""
    skin = usual_surfaces().skins["rotor_outer"]
    got = skin_spread_k(59.38734576, 89.98123183, ambient_degc=20.0, skin=skin, gun=GUN)
    expected = np.log(2.0) / (np.sqrt(2.0) * skin.spread_corner)
    shown = np.log((89.98123183 - 20.0) / (59.38734576 - 20.0))
    assert shown / float(got.log_ratio_sigma) == pytest.approx(expected, rel=0.01)


@given(st.floats(30.0, 400.0), st.floats(30.0, 400.0), st.floats(0.2, 1.0))
def test_swapping_sides_mirrors(left, right, emissivity):
    skin = Skin(emissivity=emissivity, spread_common=0.2, spread_corner=0.1)
    one = skin_spread_k(left, right, ambient_degc=20.0, skin=skin, gun=GUN)
    other = skin_spread_k(right, left, ambient_degc=20.0, skin=skin, gun=GUN)
    assert float(one.surface_difference_k) == -float(other.surface_difference_k)
    assert float(one.surface_sigma_k) == pytest.approx(float(other.surface_sigma_k))
    assert float(one.left_per_indicated) == float(other.right_per_indicated)


def test_columns_of_many_axles_and_an_unknown_ambient():
    skin = Skin(
        emissivity=np.array([0.5, 0.8, 0.8]),
        spread_common=np.array([0.3, 0.1, 0.1]),
        spread_corner=np.array([0.2, 0.06, 0.06]),
    )
    got = skin_spread_k(
        [90.0, 90.0, 90.0], [80.0, 80.0, 18.0], ambient_degc=[20.0, np.nan, 20.0], skin=skin, gun=GUN
    )
    assert np.isfinite(got.surface_sigma_k).tolist() == [True, False, True]
    assert np.isfinite(got.log_ratio_sigma).tolist() == [True, False, False]  # no ratio of a rise below zero
