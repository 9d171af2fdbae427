"""What a gun file may state: every figure up to its line and not beyond; the lines are its own numbers."""

from __future__ import annotations

import pytest

from thermlog.correcting.gun import load_gun, two_point_check
from thermlog.words.errors import PolicyError

LINES = {
    "emissivity_setting": (0.1, 1.0),
    "distance_ratio": (1.0, 200.0),
    "accuracy_k": (0.0, 20.0),
    "accuracy_percent": (0.0, 20.0),
    "coverage_factor": (1.0, 4.0),
    "repeatability_k": (0.0, 10.0),
    "resolution_k": (0.0, 10.0),
}
OF_THE_CHECK = {
    "ice_degc": (-10.0, 10.0),
    "boiling_degc": (60.0, 110.0),
    "pressure_hpa": (500.0, 1080.0),
    "altitude_m": (-400.0, 5500.0),
    "surroundings_degc": (-20.0, 50.0),
}
USUAL = {"ice_degc": 0.5, "boiling_degc": 99.0, "pressure_hpa": 1000.0}


@pytest.fixture
def gun(tmp_path):
    def load(text):
        path = tmp_path / "bay.toml"
        path.write_text(text, encoding="utf-8")
        return load_gun(str(path))

    return load


def ends(lines):
    """Every line with the side on which it stops."""
    return [(key, end, sign) for key, pair in lines.items() for end, sign in zip(pair, (-1, 1), strict=True)]


@pytest.mark.parametrize(("key", "line", "sign"), ends(LINES))
def test_figures_of_the_gun(gun, key, line, sign):
    assert getattr(gun(f"{key} = {line}\n"), key) == line
    with pytest.raises(PolicyError, match=key):
        gun(f"{key} = {line + sign * 0.001}\n")


def with_check(**about):
    stated = {**USUAL, **about}
    if "altitude_m" in about:
        del stated["pressure_hpa"]
    return "[check]\n" + "".join(f"{key} = {value}\n" for key, value in stated.items())


@pytest.mark.parametrize(("key", "line", "sign"), ends(OF_THE_CHECK))
def test_figures_of_its_check(gun, key, line, sign):
    assert gun(with_check(**{key: line})).check is not None
    with pytest.raises(PolicyError, match=key):
        gun(with_check(**{key: line + sign * 0.001}))


def test_pressure_is_known_by_a_barometer_or_by_the_altitude(gun):
    """1 hPa, or the 12 hPa that weather moves it by."""
    assert gun(with_check()).check.pressure_sigma_hpa == 1.0
    assert gun(with_check(altitude_m=100.0)).check.pressure_sigma_hpa == 12.0


@pytest.mark.parametrize(("apart_k", "allowed"), [(20.0, True), (19.99, False)])
def test_two_points_lie_twenty_kelvins_apart(apart_k, allowed):
    points = {"shown_degc": (60.0, 60.0 + apart_k), "right_degc": (60.0, 80.0), "sigmas_k": (1.0, 1.0)}
    if allowed:
        assert two_point_check(**points).gain == pytest.approx(1.0)
    else:
        with pytest.raises(PolicyError, match="20 K apart"):
            two_point_check(**points)
