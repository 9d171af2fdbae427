"""Readings to surface temperature: what is corrected, what is not, and what is said of it."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import replace

from thermlog.correcting.correct import (
    EMISSIVITY_SOURCES,
    Corrected,
    check_correction,
    correct_readings,
    correction_notes,
    target_share,
)
from thermlog.correcting.gun import BathCheck, Gun, noise_sigma_k, usual_gun
from thermlog.correcting.surfaces import SurfaceChoice, surface_choice, usual_surfaces
from thermlog.physics.boiling import boiling_point_degc
from thermlog.physics.radiation import indicated_degc
from thermlog.words.tables import Case, LogRecord, Readings
from thermlog.words.vehicle import SPOTS

GUN = usual_gun()
CATALOGUE = usual_surfaces()


def corrected(table: Readings, *, gun: Gun = GUN, choices: tuple[SurfaceChoice, ...] = ()) -> Corrected:
    return correct_readings(table, gun=gun, catalogue=CATALOGUE, choices=choices)


def readings(indicated, *, sides=None, axles=None, spots=None, emissivity=None, distance=None, ambient=20.0):
    """Rows of one case; sides alternate left and right unless given."""
    rows = len(indicated)
    record = LogRecord(file="walk.csv", sha256="0" * 64, rows_read=rows, rows_used=rows)
    blank = np.full(rows, np.nan)
    return Readings(
        cases=(Case(log=record, ambient_degc=ambient),),
        case=np.zeros(rows, dtype=np.int64),
        line=np.arange(2, rows + 2),
        axle=np.array(axles or [1] * rows, dtype=np.int64),
        side=np.array(sides or [k % 2 for k in range(rows)], dtype=np.int64),
        spot=np.array([SPOTS.index(s) for s in spots or ["hat"] * rows], dtype=np.int64),
        elapsed_s=60.0 * np.arange(rows),
        indicated_degc=np.array(indicated, dtype=np.float64),
        emissivity=blank if emissivity is None else np.array(emissivity, dtype=np.float64),
        distance_m=blank if distance is None else np.array(distance, dtype=np.float64),
    )


def names(corrected):
    return [EMISSIVITY_SOURCES[k] for k in corrected.emissivity_source]


@given(st.lists(st.floats(-50.0, 900.0), min_size=1, max_size=8))
def test_nothing_is_corrected_that_nobody_stated(indicated):
    got = corrected(readings(indicated))
    assert got.surface_degc.tolist() == got.gun_degc.tolist() == indicated
    assert names(got) == ["unknown"] * len(indicated)
    assert np.isnan(got.emissivity).all()
    assert got.emissivity_sigma_k.tolist() == [0.0] * len(indicated)
    assert got.surface_per_indicated.tolist() == [1.0] * len(indicated)
    assert correction_notes(got, gun=GUN) == ()


def test_no_readings_at_all():
    got = corrected(readings([]), gun=GUN, choices=(surface_choice("all=0.9", CATALOGUE),))
    assert got.surface_degc.shape == (0,)
    assert correction_notes(got, gun=GUN) == ()


def test_stated_emissivity_removes_a_false_gap():
    """Both at 120 °C; 0.30 and 0.60 read 59.38734576 and 89.98123183 °C (worked by quadrature)."""
    got = corrected(readings([59.38734576, 89.98123183], emissivity=[0.30, 0.60]), gun=GUN)
    np.testing.assert_allclose(got.surface_degc, 120.0, atol=1e-6)
    assert names(got) == ["row", "row"]
    assert got.readings.indicated_degc.tolist() == [59.38734576, 89.98123183]


@given(st.floats(0.5, 1.0), st.floats(60.0, 400.0))
def test_uncertainty_follows_the_trust_in_the_emissivity(emissivity, true_degc):
    """A tenth of the spread moves the surface by a tenth of the uncertainty, to first order (10 %)."""
    shown = float(indicated_degc(true_degc, emissivity=emissivity))
    step = 0.1 * CATALOGUE.stated_spread
    setting = GUN.emissivity_setting  # a log that states just this tells nothing of the surface
    assume(min(abs(emissivity - setting), abs(emissivity - step - setting)) > 0.001)
    got = corrected(readings([shown, shown], emissivity=[emissivity] * 2), gun=GUN)
    moved = corrected(readings([shown, shown], emissivity=[emissivity - step] * 2), gun=GUN)
    change = float(moved.surface_degc[0] - got.surface_degc[0])
    assert change == pytest.approx(0.1 * float(got.emissivity_sigma_k[0]), rel=0.1)
    hotter = corrected(readings([shown + 0.01] * 2, emissivity=[emissivity] * 2), gun=GUN)
    slope = float(hotter.surface_degc[0] - got.surface_degc[0]) / 0.01
    assert slope == pytest.approx(float(got.surface_per_indicated[0]), rel=1e-3)


def test_one_known_side_alone_is_not_corrected():
    table = readings([100.0, 100.0, 90.0, 90.0], axles=[1, 1, 2, 2], emissivity=[0.5, math.nan, 0.5, 0.5])
    got = corrected(table)
    assert names(got) == ["one side only", "unknown", "row", "row"]
    assert got.surface_degc[:2].tolist() == [100.0, 100.0]
    assert (got.surface_degc[2:] > 130.0).all()
    (note,) = correction_notes(got, gun=GUN)
    assert note.case == 0
    assert note.text.startswith("1L hat: emissivity stated, but not for every reading")


def test_pairs_are_kept_apart_by_case_axle_and_spot():
    """The unknown drum of the same axle does not stop the hats from being corrected."""
    table = readings([100.0] * 4, spots=["hat", "hat", "drum", "drum"], emissivity=[0.8, 0.8, 0.8, math.nan])
    assert names(corrected(table)) == [
        "row",
        "row",
        "one side only",
        "unknown",
    ]


def test_choices_apply_in_order_and_rows_come_first():
    book = CATALOGUE
    table = readings([100.0] * 4, axles=[1, 1, 2, 2], emissivity=[math.nan, math.nan, 0.66, math.nan])
    choices = tuple(
        surface_choice(text, book) for text in ("all=0.9", "1L.hat=red_rust", "1R=0.5", "3L=0.4", "drum=0.3")
    )
    got = corrected(table, choices=choices)
    assert got.emissivity.tolist() == [0.73, 0.5, 0.66, 0.9]
    assert names(got) == ["stated", "stated", "row", "stated"]
    assert [choice.corner or choice.spot for choice in got.unmatched] == ["3L", "drum"]


def test_a_word_takes_the_wheels_that_its_own_log_calls_so():
    """Two logs of two axles; where a word names no wheel of a log, nothing there has its surface."""
    eight = readings([100.0] * 8, axles=[1, 1, 2, 2] * 2)
    called = [(("near front", ("1L",)),), (("near front", ("2R",)), ("rears", ("2L", "2R")))]
    table = replace(
        eight,
        cases=tuple(replace(eight.cases[0], places=places) for places in called),
        case=np.repeat([0, 1], 4),
    )
    surface = CATALOGUE.surfaces["red_rust"]

    def stated(word):
        found = corrected(table, choices=(SurfaceChoice(surface=surface, word=word),))
        assert [choice.word for choice in found.unmatched] == ([word] if word == "rear" else [])
        return [f"{case} {axle}{'LR'[side]}" for case, axle, side in _places_of(table, found)]

    assert stated("near front") == ["0 1L", "1 2R"]
    assert stated("rears") == ["1 2L", "1 2R"]
    assert stated("rear") == []


def _places_of(table, found):
    rows = np.isfinite(found.stated_emissivity)
    return zip(*(column[rows].tolist() for column in (table.case, table.axle, table.side)), strict=True)


def test_surroundings_are_the_stated_air():
    """At 40 °C air the bright surface mirrors more: the same reading means a cooler surface."""
    warm = corrected(readings([80.0, 80.0], emissivity=[0.3, 0.3], ambient=40.0), gun=GUN)
    usual = corrected(readings([80.0, 80.0], emissivity=[0.3, 0.3], ambient=20.0), gun=GUN)
    unknown = corrected(readings([80.0, 80.0], emissivity=[0.3, 0.3], ambient=None), gun=GUN)
    assert float(warm.surface_degc[0]) < float(usual.surface_degc[0]) - 5.0
    assert unknown.surface_degc.tolist() == usual.surface_degc.tolist()


def test_impossible_surface_is_nan_and_said():
    got = corrected(readings([-40.0, -40.0], emissivity=[0.1, 0.1], ambient=35.0), gun=GUN)
    assert np.isnan(got.surface_degc).all()
    notes = correction_notes(got, gun=GUN)
    assert [note.text[:2] for note in notes] == ["1L", "1R"]
    assert "no surface of emissivity 0.1 can show -40 °C" in notes[0].text


@pytest.mark.parametrize("nonsense", [0.0, -0.2, 1.4, math.inf])
def test_emissivity_that_is_none_counts_as_not_stated(nonsense):
    got = corrected(readings([80.0, 80.0], emissivity=[nonsense, nonsense]), gun=GUN)
    assert names(got) == ["unknown", "unknown"]


def test_overfilled_spot_is_flagged_with_numbers():
    """12:1 at 1 m is 83 mm; on a swept ring of 60 mm at best 83 % (by hand: strip of 0.72 of a circle)."""
    table = readings(
        [100.0, 100.0, 90.0, 90.0],
        spots=["rotor_outer"] * 4,
        distance=[0.9, 0.3, 1.0, math.nan],
    )
    got = corrected(table)
    assert got.overfilled.tolist() == [True, False, True, False]
    np.testing.assert_allclose(got.spot_m[:3], [0.075, 0.025, 1.0 / 12.0])
    (note,) = correction_notes(got, gun=GUN)  # the widest of the corner speaks for all
    assert note.text == (
        "1L rotor outer: at 1 m the gun's spot is 83 mm wide, the target about 60 mm; at best 83 % of what "
        "the gun sees is target; read again from 0.36 m or nearer"
    )


@given(st.floats(0.01, 0.5), st.floats(0.01, 0.5))
def test_share_of_a_strip_in_a_circle(spot_m, target_m):
    """Independent: chords summed over the width of the strip; the sum is good to 1e-4."""
    x = (np.arange(20000) + 0.5) / 20000 * min(target_m / spot_m, 1.0)
    chords = float(np.mean(np.sqrt(1.0 - x * x))) * min(target_m / spot_m, 1.0) * 4.0 / math.pi
    assert target_share(spot_m, target_m) == pytest.approx(chords, abs=1e-4)


def test_field_check_of_a_perfect_gun_changes_nothing():
    """Readings made with the emissivity of water: ice and boiling water as a right gun would show them."""
    boiling = boiling_point_degc(1000.0)
    shown = indicated_degc([0.0, boiling], emissivity=0.96, reflected_degc=22.0)
    check = BathCheck(
        ice_degc=float(shown[0]),
        boiling_degc=float(shown[1]),
        pressure_hpa=1000.0,
        pressure_sigma_hpa=1.0,
        surroundings_degc=22.0,
    )
    gun = replace(GUN, check=check)
    got = corrected(readings([20.0, 150.0]), gun=gun)
    np.testing.assert_allclose(got.gun_degc, [20.0, 150.0], atol=1e-9)
    assert names(got) == ["unknown", "unknown"]
    assert 0.5 < float(check_correction(gun, CATALOGUE).sigma_k(100.0)) < 1.2


def test_field_check_takes_an_offset_off_every_reading():
    boiling = boiling_point_degc(1000.0)
    shown = indicated_degc([0.0, boiling], emissivity=0.96)
    check = BathCheck(
        ice_degc=float(shown[0]) + 3.0,
        boiling_degc=float(shown[1]) + 3.0,
        pressure_hpa=1000.0,
        pressure_sigma_hpa=12.0,
    )
    got = corrected(readings([20.0, 150.0]), gun=replace(GUN, check=check))
    np.testing.assert_allclose(got.surface_degc, [17.0, 147.0], atol=1e-9)


def bath_sigmas(pressure_hpa=1000.0, pressure_sigma_hpa=0.0):
    """Standard uncertainty of a field check at its two points."""
    boiling = boiling_point_degc(pressure_hpa)
    shown = indicated_degc([0.0, boiling], emissivity=0.96)
    check = BathCheck(
        ice_degc=float(shown[0]),
        boiling_degc=float(shown[1]),
        pressure_hpa=pressure_hpa,
        pressure_sigma_hpa=pressure_sigma_hpa,
    )
    return check_correction(replace(GUN, check=check), CATALOGUE).sigmas_k


@pytest.mark.parametrize("sigma_hpa", [2.0, 12.0, 30.0])
def test_pressure_in_doubt_widens_the_boiling_point_by_its_slope(sigma_hpa):
    """The root of squares grows by (dT/dp · u(p))²; dT/dp by difference of IAPWS-IF97's line, to 2 %."""
    slope = (boiling_point_degc(1014.0) - boiling_point_degc(1012.0)) / 2.0
    assert slope == pytest.approx(0.0277, rel=5e-3)  # worked from the table of the boiling point
    sure, unsure = bath_sigmas(), bath_sigmas(pressure_sigma_hpa=sigma_hpa)
    assert unsure[0] == sure[0]
    assert math.sqrt(unsure[1] ** 2 - sure[1] ** 2) == pytest.approx(slope * sigma_hpa, rel=0.02)


def test_baths_hold_their_temperature_to_a_third_and_half_a_kelvin():
    """The rule's own numbers, 0.3 K of ice and 0.5 K of boiling water, beside noise and the skin of water."""
    water, noise = CATALOGUE.surfaces["water"], noise_sigma_k(GUN)
    baths = np.array([0.0, boiling_point_degc(1000.0)])
    ends = indicated_degc(baths, emissivity=water.emissivity + np.array([[-1.0], [1.0]]) * water.spread)
    skin = np.abs(ends[1] - ends[0]) / 2.0
    wanted = [math.hypot(noise, bath, own) for bath, own in zip((0.3, 0.5), skin.tolist(), strict=True)]
    assert bath_sigmas() == pytest.approx(wanted, rel=1e-9)


def test_correction_of_a_gun_without_a_check_is_refused():
    with pytest.raises(ValueError, match="no field check"):
        check_correction(GUN, CATALOGUE)


SETTING = GUN.emissivity_setting


@pytest.mark.parametrize(
    ("stated", "source"),
    [
        ([SETTING, SETTING], "gun setting"),
        ([SETTING + 0.0004, SETTING - 0.0004], "gun setting"),
        ([SETTING + 0.0006, SETTING], "row"),  # one that differs: somebody looked at surfaces
        ([SETTING, math.nan], "mixed"),
        ([SETTING, 1.5], "mixed"),  # no emissivity at all says nothing of the others
        ([0.0, SETTING], "mixed"),
        ([1.0, SETTING], "row"),
    ],
)
def test_a_log_that_states_the_guns_own_setting_tells_nothing_of_surfaces(stated, source):
    """Emissivities are stated to two or three digits: half a unit of the third is the same."""
    got = corrected(readings([100.0, 90.0], emissivity=stated))
    wanted = {"mixed": ["gun setting" if value == SETTING else "unknown" for value in stated]}
    assert names(got) == wanted.get(source, [source] * 2)
    if source != "row":
        assert got.surface_degc.tolist() == [100.0, 90.0]
