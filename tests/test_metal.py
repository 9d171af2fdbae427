"""From readings to metal: what a gun's errors do to a verdict, and readings that cannot be."""

import numpy as np
import pytest
from judgecases import EXACT, LIGHT, VAN_K, Walk, axle_of, told, walked
from msgspec.structs import replace

from thermlog.correcting.gun import BathCheck, usual_gun
from thermlog.correcting.metal import corrected_readings
from thermlog.correcting.surfaces import Surface, SurfaceChoice, usual_surfaces
from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.physics.boiling import boiling_point_degc
from thermlog.physics.radiation import indicated_degc
from thermlog.words.policy import load_policy
from thermlog.words.tables import Readings, stack_readings
from thermlog.words.vehicle import HUB_SPOT, SPOTS

GUN, CATALOGUE = usual_gun(), usual_surfaces()
HOT = VAN_K | {"1L": 200.0}


def metal_of(readings, gun=GUN, surfaces=()):
    return corrected_readings(readings, gun, CATALOGUE, surfaces)


def stated(readings: Readings, **by_corner: float) -> Readings:
    """Emissivities in the rows; keys as ``c1L``."""
    skin = readings.emissivity.copy()
    for corner, value in by_corner.items():
        skin[(readings.axle == int(corner[1])) & (readings.side == "LR".index(corner[2]))] = value
    return replace(readings, emissivity=skin)


def seen_through(readings: Readings, **by_corner: float) -> Readings:
    """Readings of metal as skins of these emissivities show it, the emissivities stated."""
    readings = stated(readings, **by_corner)
    shown = indicated_degc(
        readings.indicated_degc, emissivity=readings.emissivity, reflected_degc=readings.cases[0].ambient_degc
    )
    return replace(readings, indicated_degc=shown)


def test_nothing_stated_changes_nothing():
    readings = walked(VAN_K)
    metal = metal_of(readings)
    assert metal.readings is readings
    assert metal.corrected is None
    assert metal.notes == ((),)


def test_stated_skins_give_back_the_metal():
    metal_degc = walked(VAN_K, EXACT)
    shown = seen_through(metal_degc, c1L=0.6, c1R=0.3, c2L=0.8, c2R=0.9)
    np.testing.assert_allclose(metal_of(shown).readings.indicated_degc, metal_degc.indicated_degc, atol=1e-6)
    bare = replace(shown, emissivity=np.full(shown.rows, np.nan))
    true, gap, closed = (axle_of(told(r), 1) for r in (metal_degc, bare, shown))
    assert true.difference_k.value == pytest.approx(0.9, abs=0.2)  # 105 and 104 K when parked
    assert gap.difference_k.value > 25.0
    assert closed.difference_k.value == pytest.approx(true.difference_k.value, abs=0.5)
    assert (gap.surface_known, closed.surface_known) == (False, True)
    assert (closed.verdict, told(shown).pattern.kind) == ("even", "none")


# calibration, shared by all readings


@pytest.mark.parametrize(
    ("gain", "offset_k"), [(1.02, 0.0), (0.98, 0.0), (1.0, 2.0), (1.0, -2.0), (1.01, 1.0)]
)
@pytest.mark.parametrize("corners", [VAN_K, HOT, VAN_K | {"2R": 10.0}], ids=["healthy", "hot", "cold"])
def test_calibration_error_of_the_gun_cancels_but_for_its_gain(gain, offset_k, corners):
    """The data-sheet accuracy of the usual gun, 2 °C or 2 %, on every reading: same verdicts."""
    right = walked(corners)
    wrong = replace(right, indicated_degc=gain * (right.indicated_degc - 23.0) + 23.0 + offset_k)
    one, other = told(right), told(wrong)
    assert other.pattern.kind == one.pattern.kind
    assert [c.verdict for c in other.corners] == [c.verdict for c in one.corners]
    for axle in (1, 2):
        a, b = axle_of(one, axle).difference_k.value, axle_of(other, axle).difference_k.value
        # an offset bends the curves a little, for the air stated is then not the level they settle at
        assert b == pytest.approx(gain * a, abs=0.15 + 0.01 * abs(a))
    # 2 K off 20 K of rise is a tenth of what the cold brake shows: between idle and an odd face that counts
    assert other.p_fault == pytest.approx(one.p_fault, abs=0.1)


# two-point check


def checked_gun(gain, offset_k, pressure_hpa=950.0):
    """A gun that shows `gain` times the right reading plus `offset_k`, and its field check."""
    baths = indicated_degc(
        [0.0, boiling_point_degc(pressure_hpa)],
        emissivity=CATALOGUE.surfaces["water"].emissivity,
        reflected_degc=20.0,
    )
    ice, boiling = (gain * baths + offset_k).tolist()
    check = BathCheck(ice_degc=ice, boiling_degc=boiling, pressure_hpa=pressure_hpa, pressure_sigma_hpa=1.0)
    return replace(GUN, check=check)


@pytest.mark.parametrize(("gain", "offset_k"), [(1.04, 3.0), (0.95, -2.5)])
def test_field_check_puts_the_gun_right(gain, offset_k):
    right = walked(HOT)
    wrong = replace(right, indicated_degc=gain * right.indicated_degc + offset_k)
    gun = checked_gun(gain, offset_k)
    np.testing.assert_allclose(metal_of(wrong, gun).readings.indicated_degc, right.indicated_degc, atol=1e-6)
    one, other = (axle_of(told(r, s), 1) for r, s in ((right, LIGHT), (wrong, replace(LIGHT, gun=gun))))
    assert other.difference_k.value == pytest.approx(one.difference_k.value, abs=1e-3)
    assert not other.surface_known


def test_field_check_comes_before_the_emissivity():
    metal_degc = walked(VAN_K, EXACT)
    shown = seen_through(metal_degc, c1L=0.6, c1R=0.3, c2L=0.8, c2R=0.9)
    wrong = replace(shown, indicated_degc=1.03 * shown.indicated_degc + 1.5)
    got = metal_of(wrong, checked_gun(1.03, 1.5)).readings.indicated_degc
    np.testing.assert_allclose(got, metal_degc.indicated_degc, atol=1e-5)


# readings that cannot be


def with_impossible(readings: Readings, count: int) -> Readings:
    """The first readings at -60 °C, which no skin of emissivity 0.2 in air of 18 °C can show."""
    shown = readings.indicated_degc.copy()
    shown[:count] = -60.0
    return stated(replace(readings, indicated_degc=shown), c1L=0.2, c1R=0.2, c2L=0.2, c2R=0.2)


@pytest.mark.parametrize("count", [1, 3])
def test_impossible_reading_is_set_aside_and_counted(count):
    metal = metal_of(with_impossible(walked(VAN_K), count))
    (case,) = metal.readings.cases
    assert metal.readings.rows == 12 - count == case.log.rows_used
    assert case.log.rows_used + len(case.log.set_aside) == case.log.rows_read == 12
    first = case.log.set_aside[0]
    assert (first.line, first.value) == (2, "-60")
    assert first.reason.startswith("1L: no surface of the stated emissivity can show this")
    assert metal.corrected.readings is metal.readings
    assert metal.corrected.surface_degc.shape == metal.corrected.spot_m.shape == (12 - count,)
    assert any("no surface of emissivity 0.2 can show -60 °C" in note for note in metal.notes[0])


def test_impossible_readings_of_two_drives_of_one_log_add_up_in_that_log():
    one = with_impossible(walked(VAN_K), 1)
    log = replace(one.cases[0].log, rows_read=24, rows_used=24)
    both = stack_readings([one, one])
    both = replace(both, cases=tuple(replace(case, log=log) for case in both.cases))
    cases = metal_of(both).readings.cases
    assert {case.log.rows_used for case in cases} == {22}
    assert all(len(case.log.set_aside) == 2 for case in cases)


def test_corner_of_impossible_readings_alone_is_not_judged():
    readings = seen_through(walked(VAN_K), c1L=0.2, c1R=0.2, c2L=0.8, c2R=0.8)
    lost = (readings.axle == 1) & (readings.side == 0)
    found = told(replace(readings, indicated_degc=np.where(lost, -60.0, readings.indicated_degc)))
    assert axle_of(found, 1).verdict == "cannot_tell"
    assert axle_of(found, 2).verdict == "even"
    assert found.log.rows_used == 9


# notes


def test_overfilled_spot_is_warned_with_numbers():
    """1 m at 12:1 is 83.3 mm; of a 60 mm ring at best 83 % fills it; half of 60 mm needs 0.36 m."""
    readings = walked(VAN_K)
    far = replace(readings, distance_m=np.where(readings.axle == 1, 1.0, 0.3))
    found = told(far)
    notes = [note for note in found.notes if "mm" in note]
    assert [note[:9] for note in notes] == ["1L brake:", "1R brake:"]
    assert "at 1 m the gun's spot is 83 mm wide, the target about 60 mm" in notes[0]
    assert "at best 83 % of what the gun sees is target; read again from 0.36 m or nearer" in notes[0]
    assert axle_of(found, 1).difference_k == axle_of(told(readings), 1).difference_k


def test_emissivity_of_one_side_only_is_not_used_and_said():
    readings = walked(VAN_K)
    found, plain = told(stated(readings, c1L=0.4)), told(readings)
    assert axle_of(found, 1).difference_k.value == pytest.approx(
        axle_of(plain, 1).difference_k.value, abs=1e-9
    )
    assert not axle_of(found, 1).surface_known
    (note,) = [note for note in found.notes if "emissivity" in note]
    assert note.startswith("1L brake: emissivity stated, but not for every reading")
    assert "state it for both sides" in note


def test_gun_setting_in_the_log_is_not_the_surface():
    """A log that says 0.95 throughout, as set on the gun, is judged as one that says nothing; told once."""
    readings = walked(HOT)
    found, plain = told(replace(readings, emissivity=np.full(readings.rows, 0.95))), told(readings)
    assert found.axles == plain.axles
    assert sum("taken for the gun's setting" in note for note in found.notes) == 1
    choice = SurfaceChoice(surface=Surface(name="s", emissivity=0.95, spread=0.03, band="", source="test"))
    assert axle_of(told(readings, replace(LIGHT, surfaces=(choice,))), 1).surface_known


def test_setting_on_some_rows_is_a_surface_where_others_differ():
    readings = stated(walked(VAN_K), c1L=0.95, c1R=0.95, c2L=0.5, c2R=0.5)
    assert all(axle.surface_known for axle in told(readings).axles)


def test_surface_that_meets_no_reading_is_said():
    choice = SurfaceChoice(
        surface=Surface(name="s", emissivity=0.6, spread=0.03, band="", source="test"), corner="3L"
    )
    assert "surface stated for 3L: no reading there" in metal_of(walked(VAN_K), surfaces=(choice,)).notes[0]


def test_scatter_grows_with_the_correction():
    """Noise of the gun counts 2.4 times on metal of emissivity 0.3; the fit's scatter knows that."""
    readings = walked(VAN_K, Walk(noise_k=0.5))
    dull, bright = (
        judge(seen_through(readings, c1L=e, c1R=e, c2L=e, c2R=e), Settings(policy=load_policy("light")))
        for e in (0.9, 0.3)
    )
    gain = bright.corrected.surface_per_indicated.mean() / dull.corrected.surface_per_indicated.mean()
    assert gain > 1.8
    rear = bright.pairs.axle == 2  # at lower heat the gun's part of the scatter is the larger one
    assert (bright.fits.sigma_k[:, rear] > 1.1 * dull.fits.sigma_k[:, rear]).all()


def read_from(away_m: float, *corners: str) -> Readings:
    """A sound van, some brakes read from so far."""
    readings = walked(VAN_K, EXACT)
    names = [f"{axle}{'LR'[side]}" for axle, side in zip(readings.axle, readings.side, strict=True)]
    return replace(readings, distance_m=np.where(np.isin(names, corners), away_m, np.nan))


@pytest.mark.parametrize(("away_m", "cleared"), [(0.3, True), (1.0, True), (1.8, False), (5.0, False)])
def test_a_brake_read_from_so_far_that_most_of_the_spot_is_beside_it_is_not_cleared(away_m, cleared):
    """A gun of 12 to 1 on a strip of 60 mm: 1 m leaves 83 mm, of which it fills 0.83; 1.8 m leaves 150 mm, of
    which it fills 0.495 (segments of a circle, by hand)."""
    answers = told(read_from(away_m, "1L")).answers
    assert [answers.drag.answer, answers.idle.answer] == (["no", "no"] if cleared else ["cannot_tell"] * 2)
    if not cleared:
        assert "1L" in answers.drag.corners
        assert [reason.code for reason in answers.drag.reasons] == ["doubted"]


def test_each_brake_is_doubted_once_at_its_first_line_and_no_reading_is_lost():
    readings = read_from(5.0, "1L", "2R")
    metal = metal_of(readings)
    assert metal.readings.rows == readings.rows
    blind = metal.readings.cases[0].blind
    assert [(one.code, one.corner, one.quoted) for one in blind] == [
        ("doubted", "1L", "5 m"),
        ("doubted", "2R", "5 m"),
    ]
    first = [
        int(readings.line[(readings.axle == axle) & (readings.side == side)].min())
        for axle, side in ((1, 0), (2, 1))
    ]
    assert [one.line for one in blind] == first


def test_a_hub_read_from_afar_does_not_keep_its_brake_open():
    readings = read_from(5.0, "1L")
    hub = replace(
        readings, spot=np.where(np.isfinite(readings.distance_m), SPOTS.index(HUB_SPOT), readings.spot)
    )
    assert not metal_of(hub).readings.cases[0].blind
