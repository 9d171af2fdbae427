"""What surfaces and the gun's calibration leave in left minus right, against worked and numerical cases."""

import numpy as np
import pytest
from judgecases import EXACT, LIGHT, VAN_K, Walk, axle_of, rows, told, walked
from msgspec.structs import replace
from test_metal import checked_gun, seen_through, stated

from thermlog.correcting.correct import check_correction
from thermlog.correcting.gun import usual_gun
from thermlog.correcting.surfaces import usual_surfaces
from thermlog.inference.skingap import Correcting, beside_unstated, calibration_sigma_k
from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.physics.radiation import surface_degc
from thermlog.words.policy import load_policy

GUN, CATALOGUE = usual_gun(), usual_surfaces()
ONE = np.ones((2, 1))


def sides(left, right):
    return np.array([[left], [right]], dtype=np.float64)


# calibration


def test_calibration_cancels_where_both_sides_read_alike():
    assert calibration_sigma_k(GUN, CATALOGUE, sides(180.0, 180.0), ONE).tolist() == [0.0]
    # below 100 °C the accuracy of the usual gun is 2 °C, the same everywhere: it cancels wholly
    assert calibration_sigma_k(GUN, CATALOGUE, sides(95.0, 40.0), ONE).tolist() == [0.0]


def test_calibration_of_the_worked_pair():
    """2 % as a rectangle at 118.4 and 100 °C: 1.36717 less 1.15470 K is 0.2125 K; two guns have 1.79."""
    got = calibration_sigma_k(GUN, CATALOGUE, sides(118.4, 100.0), ONE)
    assert got[0] == pytest.approx(0.2125, abs=5e-5)


def test_calibration_of_metal_counts_by_the_gains():
    """2 K / √3 on both sides, told 1.4 and 2.2 times by dull and bright metal: 0.8 of it stays."""
    got = calibration_sigma_k(GUN, CATALOGUE, sides(90.0, 60.0), sides(1.4, 2.2))
    assert got[0] == pytest.approx(0.8 * 2.0 / np.sqrt(3.0), rel=1e-12)


@pytest.mark.parametrize("gains", [(1.0, 1.0), (1.3, 2.1), (1.5, 1.1)])
def test_calibration_after_a_field_check_against_draws(gains):
    """100 000 drawn errors of the two baths, sampling error 0.3 %."""
    gun = checked_gun(1.02, 1.0)
    line = check_correction(gun, CATALOGUE)
    rng = np.random.default_rng(4)
    ice, boiling = (sigma * rng.standard_normal(100_000) for sigma in line.sigmas_k)
    low, high = line.points_degc
    left, right = (
        gain * (ice + (degc - low) / (high - low) * (boiling - ice))
        for degc, gain in zip((140.0, 70.0), gains, strict=True)
    )
    got = calibration_sigma_k(gun, CATALOGUE, sides(140.0, 70.0), sides(*gains))
    assert got[0] == pytest.approx(float(np.std(left - right)), rel=0.02)
    if gains == (1.0, 1.0):
        assert got[0] == pytest.approx(float(line.difference_sigma_k(140.0, 70.0)), rel=1e-12)


# where nobody stated the skins


def test_gap_of_the_metal_is_the_readings_inverted_at_the_middle_of_the_belief():
    judged = judge(walked(VAN_K | {"1L": 200.0}, EXACT), LIGHT)
    for pair in (0, 1):
        left, right = surface_degc(
            judged.comparison.state.temperature_degc[:, pair],
            emissivity=float(np.asarray(CATALOGUE.skins["brake"].emissivity)),
            reflected_degc=18.0,
        )
        assert judged.gap.surface_difference_k[pair] == pytest.approx(left - right, abs=1e-6)
        step = surface_degc(
            judged.comparison.state.temperature_degc[:, pair] + 0.01, emissivity=0.7, reflected_degc=18.0
        )
        np.testing.assert_allclose(
            judged.gap.metal_per_curve[:, pair], (step - [left, right]) / 0.01, rtol=1e-3
        )


def test_interval_of_the_metal_holds_readings_skins_and_calibration():
    judged = judge(walked(VAN_K | {"1L": 200.0}), LIGHT)
    gap, state = judged.gap, judged.comparison.state
    gain = gap.metal_per_curve
    read = (gain**2 * state.temperature_variance).sum(0) - 2.0 * gain.prod(0) * state.temperature_covariance
    whole = read + gap.surface_shared_sigma_k**2 + gap.skin_common_k**2 + gap.skin_corner_k**2
    np.testing.assert_allclose(gap.surface_sigma_k**2, whole, rtol=1e-9)
    assert (gap.surface_sigma_k > 2.0 * judged.comparison.difference_sigma_k).all()
    assert (gap.skin_corner_k > gap.skin_common_k).all()


def test_unlike_skins_count_by_side_in_parts_of_the_rise():
    """Belief of an unnamed spot, 0.18 of ln emissivity: a compensated gun's rise answers a little less."""
    judged = judge(walked(VAN_K), LIGHT)
    spread = float(np.asarray(CATALOGUE.skins["brake"].spread_corner))
    assert (judged.gap.side_fraction < spread).all()
    assert (judged.gap.side_fraction > 0.7 * spread).all()
    np.testing.assert_array_equal(judged.gap.side_fraction[0], judged.gap.side_fraction[1])


def test_dull_spots_are_believed_more_alike_than_faces():
    hat, face = (
        judge(walked({f"{c} {spot}": k for c, k in VAN_K.items()}), LIGHT) for spot in ("hat", "rotor_outer")
    )
    assert (hat.gap.side_fraction < 0.5 * face.gap.side_fraction).all()
    assert (hat.gap.surface_sigma_k < 0.5 * face.gap.surface_sigma_k).all()


# where somebody stated them


def test_stated_skins_bring_their_own_spread_and_the_gain_of_the_calibration():
    shown = seen_through(walked(VAN_K), c1L=0.6, c1R=0.3, c2L=0.6, c2R=0.3)
    judged = judge(shown, LIGHT)
    gap, comparison = judged.gap, judged.comparison
    assert gap.known.all()
    np.testing.assert_array_equal(gap.metal_per_curve, 1.0)
    np.testing.assert_array_equal(gap.surface_difference_k, comparison.difference_k)
    own = ((gap.side_fraction * comparison.state.rise_k) ** 2).sum(0)
    whole = comparison.difference_sigma_k**2 + gap.shared_sigma_k**2 + gap.mirrored_sigma_k**2 + own
    np.testing.assert_allclose(gap.surface_sigma_k**2, whole, rtol=1e-9)
    # bright metal turns the shared 1.15 K into more kelvin than dull metal does
    assert (gap.shared_sigma_k > 0.4).all()
    even = judge(seen_through(walked(VAN_K), c1L=0.5, c1R=0.5, c2L=0.5, c2R=0.5), LIGHT)
    assert (even.gap.shared_sigma_k < 0.05).all()


def test_surroundings_count_by_what_one_side_mirrors_more():
    """Walls 2 K off the stated air, the gun's compensation left alone; noise-free, all readings of a side."""
    shown = seen_through(walked(VAN_K, EXACT), c1L=0.6, c1R=0.3, c2L=0.5, c2R=0.5)
    judged = judge(shown, LIGHT)
    off = surface_degc(
        shown.indicated_degc, emissivity=shown.emissivity, reflected_degc=20.0, compensation_degc=18.0
    )
    moved = off - judged.readings.indicated_degc
    front = shown.axle == 1
    gap_k = abs(moved[front & (shown.side == 0)].mean() - moved[front & (shown.side == 1)].mean())
    assert gap_k > 0.5
    assert judged.gap.mirrored_sigma_k[0] == pytest.approx(gap_k, rel=0.02)  # policy: air known to 2 K
    assert judged.gap.mirrored_sigma_k[1] < 0.02


def test_interval_of_stated_skins_is_as_wide_as_drawn_statements_say():
    """Emissivities off by the stated spread of 0.03, 200 draws (5 % sampling error) without noise."""
    shown = seen_through(walked(VAN_K, EXACT), c1L=0.6, c1R=0.4, c2L=0.6, c2R=0.4)
    rng = np.random.default_rng(6)
    gaps = []
    for _ in range(200):
        left, right = 0.6 + 0.03 * rng.standard_normal(), 0.4 + 0.03 * rng.standard_normal()
        judged = judge(stated(shown, c1L=left, c1R=right), LIGHT)
        gaps.append(float(judged.comparison.difference_k[0]))
    judged = judge(shown, LIGHT)
    claimed = np.sqrt(
        judged.gap.surface_sigma_k[0] ** 2
        - judged.comparison.difference_sigma_k[0] ** 2
        - judged.gap.shared_sigma_k[0] ** 2
        - judged.gap.mirrored_sigma_k[0] ** 2
    )
    assert claimed == pytest.approx(np.std(gaps), rel=0.15)


def test_digest_tells_the_interval_with_the_spread_of_the_stated_skins():
    judged = judge(seen_through(walked(VAN_K), c1L=0.6, c1R=0.3, c2L=0.6, c2R=0.3), LIGHT)
    told_k, quantile = judged.digest, judged.comparison.quantile[0]
    for pair in (0, 1):
        shown_k, metal_k = told_k.difference_k[pair], told_k.surface_k[pair]
        assert shown_k.half_width == pytest.approx(quantile * judged.gap.surface_sigma_k[pair], rel=1e-9)
        assert metal_k.low == pytest.approx(shown_k.low, rel=1e-9)


# stated beside unstated


def correcting(judged):
    return Correcting(
        corrected=judged.corrected,
        ambient_degc=judged.fits.ambient_degc,
        ambient_sigma_k=judged.fits.ambient_sigma_k,
        gun=GUN,
        catalogue=CATALOGUE,
    )


def test_level_of_a_stated_axle_beside_unstated_ones_is_the_one_shown():
    shown = seen_through(walked(VAN_K), c1L=0.6, c1R=0.4, c2L=0.5, c2R=0.5)
    front = replace(shown, emissivity=np.where(shown.axle == 1, shown.emissivity, np.nan))
    whole, part = judge(shown, LIGHT), judge(front, LIGHT)
    again = beside_unstated(whole.gap, whole.pairs, whole.comparison, correcting(whole))
    assert again is whole.comparison
    leveled = beside_unstated(part.gap, part.pairs, part.comparison, correcting(part)).state
    bare = judge(replace(shown, emissivity=np.full(shown.rows, np.nan)), LIGHT).comparison.state
    # mean of both sides as shown (the curve bends a little otherwise), ratio of the sides as the metal's
    assert leveled.rise_k[:, 0].mean() == pytest.approx(bare.rise_k[:, 0].mean(), rel=0.02)
    np.testing.assert_allclose(leveled.rise_k[:, 1], part.comparison.state.rise_k[:, 1])
    metal = part.comparison.state.rise_k[:, 0]
    assert leveled.rise_k[0, 0] / leveled.rise_k[1, 0] == pytest.approx(metal[0] / metal[1], rel=1e-12)
    scale = leveled.rise_k[0, 0] / metal[0]
    np.testing.assert_allclose(
        leveled.own_variance[:, 0], scale**2 * part.comparison.state.own_variance[:, 0], rtol=1e-9
    )
    assert told(front).pattern.kind == "none"


def test_stated_axle_keeps_its_corrected_difference_in_the_finding():
    shown = seen_through(walked(VAN_K, Walk(rounds=4)), c1L=0.6, c1R=0.4, c2L=0.5, c2R=0.5)
    front = replace(shown, emissivity=np.where(shown.axle == 1, shown.emissivity, np.nan))
    a, b = (axle_of(told(r, Settings(policy=load_policy("light"))), 1) for r in (shown, front))
    assert b.difference_k.value == pytest.approx(a.difference_k.value, abs=0.5)
    assert b.surface_known


def test_axle_read_on_one_side_is_metal_like_the_others():
    """All stated, one side unread: no axle is taken for a bare one, and the others keep their level."""
    shown = seen_through(walked(VAN_K), c1L=0.4, c1R=0.4, c2L=0.4, c2R=0.4)
    judged = judge(rows(shown, ~((shown.axle == 1) & (shown.side == 0))), LIGHT)
    assert judged.gap.known.all()
    again = beside_unstated(judged.gap, judged.pairs, judged.comparison, correcting(judged))
    assert again is judged.comparison
    assert judged.digest.p_none[0] > 0.7
