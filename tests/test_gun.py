"""Gun files, the gun's error, and the check in ice and boiling water."""

import math

import numpy as np
import pytest

from thermlog.correcting.gun import (
    accuracy_sigma_k,
    load_gun,
    noise_sigma_k,
    two_point_check,
    usual_gun,
)
from thermlog.physics.boiling import boiling_point_degc, pressure_at_altitude_hpa
from thermlog.words.errors import PolicyError


def write(tmp_path, text):
    path = tmp_path / "bay.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_usual_gun_names_the_source_of_every_value():
    gun = usual_gun()
    sources = dict(gun.sources)
    assert set(gun.assumed) == set(sources)
    assert len(sources) == 8
    assert all("common practice, no source" in text for text in sources.values())
    assert (gun.emissivity_setting, gun.band_um, gun.coverage_factor) == (0.95, (8.0, 14.0), None)


def test_own_file_states_only_what_differs(tmp_path):
    gun = load_gun(write(tmp_path, "distance_ratio = 30\ncompensated = false\ncoverage_factor = 2\n"))
    assert (gun.name, gun.distance_ratio, gun.compensated, gun.coverage_factor) == ("bay", 30.0, False, 2.0)
    assert gun.accuracy_k == usual_gun().accuracy_k
    assert "distance_ratio" not in gun.assumed
    assert "distance_ratio" not in dict(gun.sources)
    assert "accuracy_k" in gun.assumed


def test_own_file_may_name_its_sources(tmp_path):
    gun = load_gun(write(tmp_path, 'accuracy_k = 1\n[sources]\naccuracy_k = "data sheet of this gun"\n'))
    assert dict(gun.sources)["accuracy_k"] == "data sheet of this gun"
    assert dict(gun.sources)["resolution_k"] == dict(usual_gun().sources)["resolution_k"]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("emissivity = 0.9", "emissivity"),
        ("emissivity_setting = 1.2", "emissivity_setting is 1.2"),
        ("emissivity_setting = nan", "emissivity_setting is nan"),
        ("distance_ratio = true", "distance_ratio is True"),
        ('accuracy_k = "2"', "accuracy_k is '2'"),
        ("band_um = [14, 8]", "shorter wavelength comes first"),
        ("band_um = 10", "two wavelengths"),
        ("compensated = 1", "true or false"),
        ('schema = "thermlog-gun-9"', "thermlog-gun-9"),
        ("sources = 3", "sources"),
        ("[sources]\naccuracy_k = ''", "sources"),
        ("check = 4", "a table"),
        ("[check]\nice_degc = 0.4", "it needs ice_degc, boiling_degc"),
        ("[check]\nice_degc = 0.4\nboiling_degc = 99.0", "one of pressure_hpa, altitude_m"),
        ("[check]\nice_degc = 0\nboiling_degc = 99\npressure_hpa = 1000\naltitude_m = 1", "one of"),
        ("[check]\nice_degc = 55\nboiling_degc = 99\naltitude_m = 0", "ice_degc is 55"),
        ("[check]\nsteam = 1", "steam"),
        ("not toml", "not a TOML file"),
    ],
)
def test_refusals_name_file_and_key(tmp_path, text, named):
    path = write(tmp_path, text)
    with pytest.raises(PolicyError) as refusal:
        load_gun(path)
    assert str(refusal.value).startswith(path)
    assert named in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_missing_file_is_refused_by_name(tmp_path):
    with pytest.raises(PolicyError, match=r"none\.toml"):
        load_gun(str(tmp_path / "none.toml"))


def test_bytes_that_are_no_text_are_refused(tmp_path):
    (tmp_path / "bay.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(PolicyError, match="not a TOML file"):
        load_gun(str(tmp_path / "bay.toml"))


@pytest.mark.parametrize(
    ("pressure_mpa", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)]
)
def test_boiling_point_check_values(pressure_mpa, kelvin):
    """IAPWS-IF97 (2007 revision), table 36: check values of equation 31 (from memory, not checked)."""
    assert boiling_point_degc(pressure_mpa * 1e4) + 273.15 == pytest.approx(kelvin, abs=6e-7)


@pytest.mark.parametrize(("altitude_m", "hpa"), [(0.0, 1013.25), (1000.0, 898.75), (3000.0, 701.09)])
def test_standard_atmosphere(altitude_m, hpa):
    """ISO 2533:1975, tabulated values to 0.01 hPa (from memory, not checked); the formula is good to 0.1."""
    assert pressure_at_altitude_hpa(altitude_m) == pytest.approx(hpa, abs=0.1)


def test_altitude_of_a_check_becomes_pressure_with_the_weather_in_doubt(tmp_path):
    check = "[check]\nice_degc = 0.4\nboiling_degc = 95.1\n"
    high = load_gun(write(tmp_path, check + "altitude_m = 1000\n")).check
    exact = load_gun(write(tmp_path, check + "pressure_hpa = 899\n")).check
    assert high.pressure_hpa == pytest.approx(898.75, abs=0.1)
    assert high.pressure_sigma_hpa > exact.pressure_sigma_hpa


def test_shared_gun_cancels_in_a_difference():
    """Worked with the GUM's rules for 118.4 and 86.2 °C and max(2 K, 2 %): one gun, fully correlated."""
    u1, u2 = accuracy_sigma_k(usual_gun(), [118.4, 86.2])
    assert (u1, u2) == pytest.approx((1.367165437, 1.154700538), abs=6e-10)
    assert u1 - u2 == pytest.approx(0.212464899, abs=6e-10)


def test_stated_coverage_factor_replaces_the_rectangle(tmp_path):
    """By hand: 2 K at k = 2 is 1 K; 2 % of 300 °C is 6 K, at k = 2 3 K."""
    gun = load_gun(write(tmp_path, "coverage_factor = 2\n"))
    np.testing.assert_allclose(accuracy_sigma_k(gun, [20.0, 300.0]), [1.0, 3.0])


def test_noise_is_repeatability_and_last_digit():
    """By hand: a step of 0.1 K is a rectangle of half-width 0.05, 0.0289 K."""
    assert noise_sigma_k(usual_gun()) == pytest.approx(math.hypot(0.5, 0.05 / math.sqrt(3.0)))


def test_two_point_check_finds_gain_and_offset():
    """A gun that shows 1.02·T + 0.5 is put right by hand: (reading − 0.5)/1.02."""
    correction = two_point_check(shown_degc=(0.5, 102.5), right_degc=(0.0, 100.0), sigmas_k=(0.4, 0.6))
    readings = np.array([0.5, 51.5, 102.5, 200.0])
    np.testing.assert_allclose(correction.corrected_degc(readings), (readings - 0.5) / 1.02, atol=1e-12)
    assert correction.gain == pytest.approx(1.0 / 1.02)
    assert correction.offset_k == pytest.approx(-0.5 / 1.02)


def test_uncertainty_of_the_check_is_that_of_the_line_through_it():
    """By hand: the stated values at the points; 204.5 lies as far out again: √((−1·0.4)² + (2·0.6)²)."""
    correction = two_point_check(shown_degc=(0.5, 102.5), right_degc=(0.0, 100.0), sigmas_k=(0.4, 0.6))
    sigma = correction.sigma_k([0.5, 102.5, 204.5])
    np.testing.assert_allclose(sigma, [0.4, 0.6, math.hypot(0.4, 1.2)])
    apart = correction.difference_sigma_k([102.5, 80.0], [0.5, 80.0])
    np.testing.assert_allclose(apart, [math.hypot(0.4, 0.6), 0.0])


def test_check_points_too_close_are_refused():
    with pytest.raises(PolicyError, match="20 K apart"):
        two_point_check(shown_degc=(90.0, 99.0), right_degc=(90.0, 99.0), sigmas_k=(1.0, 1.0))
