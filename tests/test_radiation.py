"""Radiation in a band, against a printed table, quadrature and worked cases."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from oracle.radiation import SECOND_RADIATION_UM_K, planck_radiance
from scipy.integrate import quad
from scipy.optimize import brentq

from thermlog.physics.cooling import STEFAN_BOLTZMANN
from thermlog.physics.radiation import (
    band_radiance,
    band_slope,
    band_temperature_degc,
    indicated_degc,
    spot_diameter_m,
    surface_degc,
    surface_sensitivity,
)

# "Worked" numbers below were computed once by quadrature and root finding with CODATA constants, apart from
# this code; they are compared to the last digit written.

# λT [µm·K]: worked, and as printed in Bergman et al., Fundamentals of Heat and Mass Transfer, 7th ed. (2011),
# table 12.2 (printed values from memory, not checked).
FRACTIONS = {
    1000: (0.000320770, 0.000321),
    1400: (0.007790389, 0.007790),
    2000: (0.066729940, 0.066728),
    2400: (0.140257382, 0.140256),
    2898: (0.250106294, 0.250108),
    3000: (0.273229260, 0.273232),
    3600: (0.403598472, None),
    4000: (0.480864644, 0.480877),
    4107: (0.499956452, None),
    5000: (0.633725872, 0.633747),
    6000: (0.737789418, 0.737818),
    8000: (0.856250694, 0.856288),
    10000: (0.914156971, 0.914199),
}


TABLE_KELVIN = 500.0  # at which the products of the table are wavelengths of 2 to 20 µm


def share_of_all(band_um, degc=TABLE_KELVIN - 273.15):
    """Band radiance over that of all wavelengths."""
    return float(band_radiance(degc, band_um)) * math.pi / (STEFAN_BOLTZMANN * (degc + 273.15) ** 4)


@pytest.mark.parametrize("upper", [product for product in FRACTIONS if product > 1000])
def test_black_body_fractions(upper):
    """F(0 → λT) as differences from 1000 µm·K. The printed table rests on older constants and is off by up to
    4.3e-5, hence 5e-5 and not 1e-6."""
    (worked, printed), (lowest, lowest_printed) = FRACTIONS[upper], FRACTIONS[1000]
    got = share_of_all((1000 / TABLE_KELVIN, upper / TABLE_KELVIN))
    assert got == pytest.approx(worked - lowest, abs=5e-9)  # the table of the band is good to 4e-9
    if printed is not None:
        assert got == pytest.approx(printed - lowest_printed, abs=5e-5)


def test_planck_radiance_at_ten_micrometres():
    """Worked values at 300, 393.15, 573.15 K: the reference of the quadratures below, and a narrow band."""
    narrow = [float(band_radiance(k - 273.15, (9.999, 10.001))) / 0.002 for k in (300.0, 393.15, 573.15)]
    np.testing.assert_allclose(narrow, [9.924033330, 31.470518574, 105.321984233], rtol=1e-6)
    got = planck_radiance(10.0, np.array([300.0, 393.15, 573.15]) - 273.15)
    np.testing.assert_allclose(got, [9.924033330, 31.470518574, 105.321984233], rtol=1e-9)


# °C: L [W/(m²·sr)], share of all radiation, exponent n; band 8-14 µm, worked.
BAND = {
    20: (49.37289478, 0.37039672, 4.6655350),
    50: (76.38638165, 0.38809445, 4.2978854),
    80: (110.33356587, 0.39301484, 3.9901818),
    100: (136.77833909, 0.39086041, 3.8118232),
    120: (166.19392445, 0.38540750, 3.6513755),
    150: (215.67230668, 0.37269635, 3.4391174),
    200: (311.42939923, 0.34427253, 3.1460002),
    250: (422.06886688, 0.31218824, 2.9106194),
    300: (545.61724463, 0.28012575, 2.7182356),
    400: (824.43839353, 0.22245847, 2.4243243),
    500: (1136.11548504, 0.17615930, 2.2118940),
}


@pytest.mark.parametrize(("degc", "expected"), BAND.items())
def test_band_radiance_share_and_exponent(degc, expected):
    radiance, share, exponent = expected
    assert float(band_radiance(degc)) == pytest.approx(radiance, abs=5.1e-9)
    assert share_of_all((8.0, 14.0), degc) == pytest.approx(share, abs=5.1e-9)
    assert exponent_of(degc) == pytest.approx(exponent, abs=5.1e-8)


def exponent_of(degc):
    """Power of the absolute temperature with which the band radiance climbs, d ln L/d ln T."""
    return float(band_slope(degc) / band_radiance(degc)) * (degc + 273.15)


def test_fourth_power_holds_at_one_temperature_only():
    """Worked: n = 4 at 352.1098380 K."""
    crossing = brentq(lambda degc: exponent_of(degc) - 4.0, 50.0, 120.0, xtol=1e-12)
    assert crossing + 273.15 == pytest.approx(352.1098380, abs=1e-6)


@pytest.mark.parametrize("band", [(8.0, 14.0), (7.5, 13.0), (2.0, 5.0)])
@pytest.mark.parametrize("degc", [-60.0, -20.37, 19.5, 79.01, 251.5, 640.25, 1099.5])
def test_table_agrees_with_quadrature(band, degc):
    """1e-6 °C both ways; independent reference: adaptive quadrature of Planck's law."""
    exact, _ = quad(lambda um: float(planck_radiance(um, degc)), *band, epsabs=0.0, epsrel=1e-12)
    assert float(band_radiance(degc, band)) == pytest.approx(exact, rel=1e-9)
    assert float(band_temperature_degc(exact, band)) == pytest.approx(degc, abs=1e-6)


def test_exponent_agrees_with_quadrature():
    """n is the mean of x·eˣ/(eˣ − 1), x = c₂/(λT), weighted by the spectral radiance."""
    kelvin = 423.15

    def weighted(um: float) -> float:
        x = SECOND_RADIATION_UM_K / (um * kelvin)
        return float(planck_radiance(um, 150.0)) * x / -math.expm1(-x)

    top, _ = quad(weighted, 8.0, 14.0, epsrel=1e-12)
    assert exponent_of(150.0) == pytest.approx(top / float(band_radiance(150.0)), rel=1e-9)


@given(st.floats(-90.0, 1190.0))
def test_slope_is_the_derivative(degc):
    """Central difference over 2 × 0.01 K; its own error and rounding stay below 1e-6."""
    rise = float(band_radiance(degc + 0.01) - band_radiance(degc - 0.01)) / 0.02
    assert float(band_slope(degc)) == pytest.approx(rise, rel=1e-6)


def fourth_power_surface_degc(read_degc, *, emissivity, compensated):
    """Correction by the fourth-power rule, for contrast only."""
    ambient = 293.15**4
    signal = 0.95 * (read_degc + 273.15) ** 4 + (0.05 * ambient if compensated else 0.0)
    return ((signal - (1.0 - emissivity) * ambient) / emissivity) ** 0.25 - 273.15


@pytest.mark.parametrize(
    ("compensated", "band", "fourth_power"),
    [(True, 248.8219713, 221.0570080), (False, 245.2948235, 218.4877376)],
)
def test_bright_surface_behind_a_reading_of_120(compensated, band, fourth_power):
    """Worked: set to 0.95, true 0.30, 20 °C reflected; the fourth-power rule is 27-28 K short."""
    got = float(surface_degc(120.0, emissivity=0.30, compensated=compensated))
    assert got == pytest.approx(band, abs=1e-6)
    rule = fourth_power_surface_degc(120.0, emissivity=0.30, compensated=compensated)
    assert rule == pytest.approx(fourth_power, abs=1e-6)
    assert 26.8 < got - rule < 27.8


EMISSIVITIES = [0.2, 0.3, 0.44, 0.6, 0.7, 0.8, 0.9, 0.95, 1.0]
READS_120 = {
    True: [
        47.59639949,
        59.38734576,
        74.40622027,
        89.98123183,
        99.04799916,
        107.69452790,
        115.97884744,
        120.0,
        123.94720379,
    ],
    False: [
        50.17606194,
        61.75489211,
        76.55002127,
        91.93562680,
        100.90802783,
        109.47363214,
        117.68766114,
        121.67699002,
        125.59429984,
    ],
}


@pytest.mark.parametrize("compensated", [True, False])
def test_reading_of_a_surface_at_120_by_emissivity(compensated):
    """Worked, both conventions, and the way back."""
    got = indicated_degc(120.0, emissivity=EMISSIVITIES, compensated=compensated)
    np.testing.assert_allclose(got, READS_120[compensated], atol=2e-8, rtol=0)
    back = surface_degc(got, emissivity=EMISSIVITIES, compensated=compensated)
    np.testing.assert_allclose(back, 120.0, atol=1e-9)


@pytest.mark.parametrize(
    ("true_degc", "expected"),
    [
        (50, [30.339411, 39.809016, 45.732367]),
        (80, [42.123144, 60.859410, 72.087269]),
        (120, [59.387346, 89.981232, 107.694528]),
        (200, [96.641385, 149.548892, 179.396243]),
        (300, [144.469369, 223.994181, 268.862406]),
    ],
)
def test_readings_of_three_surfaces(true_degc, expected):
    """Worked: compensating gun set to 0.95, 20 °C around."""
    np.testing.assert_allclose(
        indicated_degc(true_degc, emissivity=[0.3, 0.6, 0.8]), expected, atol=6e-7, rtol=0
    )


def test_a_common_emissivity_error_spoils_differences_more_than_ratios():
    """Worked: both sides 0.30, true 150 and 110 °C; ratio of rises 1.444 true, 1.519 as read."""
    left, right = indicated_degc([150.0, 110.0], emissivity=0.30)
    assert (left, right) == pytest.approx((73.07914004, 54.94405325), abs=2e-8)
    assert left - right == pytest.approx(18.13508679, abs=2e-8)
    assert (left - 20.0) / (right - 20.0) == pytest.approx(1.51897491, abs=1e-8)


def test_unequal_skins_make_a_false_gap_which_correction_removes():
    """Worked: 120 °C on both sides, 0.30 against 0.60 reads 30.59 K apart."""
    read = indicated_degc(120.0, emissivity=[0.30, 0.60])
    assert read[1] - read[0] == pytest.approx(30.59388607, abs=2e-8)
    assert np.ptp(surface_degc(read, emissivity=[0.30, 0.60])) < 1e-9


@pytest.mark.parametrize(
    ("emissivity", "reflected_degc", "expected"), [(0.30, 60.0, 82.86696302), (0.80, -20.0, 103.96029118)]
)
def test_something_else_is_reflected_than_the_gun_assumes(emissivity, reflected_degc, expected):
    """Worked: a warm wall, a cold sky; the gun assumes 20 °C."""
    got = indicated_degc(120.0, emissivity=emissivity, reflected_degc=reflected_degc, compensation_degc=20.0)
    assert float(got) == pytest.approx(expected, abs=2e-8)


def test_setting_the_gun_a_little_wrong():
    """Worked: true 0.80; set to 0.85 and 0.75."""
    got = indicated_degc(120.0, emissivity=0.80, gun_emissivity=[0.85, 0.75])
    np.testing.assert_allclose(got, [115.50068646, 124.98787884], atol=2e-8, rtol=0)


@given(
    st.floats(-40.0, 900.0),
    st.floats(0.1, 1.0),
    st.floats(0.1, 1.0),
    st.floats(-40.0, 60.0),
    st.booleans(),
)
def test_surface_undoes_indicated(true_degc, emissivity, gun_emissivity, reflected_degc, compensated):
    """Exact inverse; 1e-7 °C allows for the loss of figures where the reading is mostly reflection."""
    setting = {
        "emissivity": emissivity,
        "gun_emissivity": gun_emissivity,
        "reflected_degc": reflected_degc,
        "compensated": compensated,
        "compensation_degc": 25.0,
    }
    read = float(indicated_degc(true_degc, **setting))
    if math.isnan(read):  # the gun would take more off than it sees, or leaves the table: it shows nothing
        return
    assert float(surface_degc(read, **setting)) == pytest.approx(true_degc, abs=1e-7)


def test_what_cannot_be_is_nan_without_a_warning():
    assert np.isnan(surface_degc([-50.0, 50.0], emissivity=[0.1, 0.0], reflected_degc=80.0)).all()
    assert np.isnan(band_radiance([-101.0, 1201.0, math.nan])).all()
    assert np.isnan(band_temperature_degc([0.0, -1.0, 1e9, math.nan])).all()


@pytest.mark.parametrize("band", [(14.0, 8.0), (0.5, 5.0), (8.0, 30.0)])
def test_impossible_bands_are_refused(band):
    with pytest.raises(ValueError, match="band must rise"):
        band_radiance(20.0, band)


@given(st.floats(60.0, 500.0), st.floats(0.2, 1.0), st.floats(-10.0, 40.0))
def test_sensitivities_are_the_derivatives(read_degc, emissivity, reflected_degc):
    """Central differences; the step leaves about 1e-5 of error."""

    def surface(read=read_degc, own=emissivity, around=reflected_degc):
        return float(surface_degc(read, emissivity=own, reflected_degc=around, compensation_degc=20.0))

    if math.isnan(surface()):
        return
    got = surface_sensitivity(
        read_degc, surface_degc=surface(), emissivity=emissivity, reflected_degc=reflected_degc
    )
    by_read = (surface(read=read_degc + 0.01) - surface(read=read_degc - 0.01)) / 0.02
    by_own = (surface(own=emissivity + 1e-5) - surface(own=emissivity - 1e-5)) / 2e-5
    by_around = (surface(around=reflected_degc + 0.01) - surface(around=reflected_degc - 0.01)) / 0.02
    assert float(got.per_indicated) == pytest.approx(by_read, rel=1e-5)
    assert float(got.per_emissivity_k) == pytest.approx(by_own, rel=1e-4, abs=1e-3)
    assert float(got.per_reflected) == pytest.approx(by_around, rel=1e-4, abs=1e-5)


def test_partly_filled_spot():
    """Worked: 150 °C before 30 °C, 0.9 / 0.7 / 0.5 filled."""
    filled = np.array([0.9, 0.7, 0.5])
    got = band_temperature_degc(filled * band_radiance(150.0) + (1.0 - filled) * band_radiance(30.0))
    np.testing.assert_allclose(got, [140.81908256, 121.33038477, 99.90196637], atol=2e-8, rtol=0)


def test_spot_of_a_twelve_to_one_gun():
    """By hand: 25, 50 and 83.3 mm at 0.3, 0.6 and 1 m."""
    np.testing.assert_allclose(spot_diameter_m([0.3, 0.6, 1.0], 12.0), [0.025, 0.05, 1.0 / 12.0])


def test_time_constant_survives_a_wrong_emissivity_better_than_the_amplitude():
    """Worked: 130 K, 30 min, read at 0.95 where 0.3 / 0.6 / 0.8 is true, six readings in 15 min.

    Least squares for one exponential above the known ambient, by a scan over τ (not thermlog's fit).
    """
    minutes = np.arange(0.0, 16.0, 3.0)
    for emissivity, amplitude, tau in ((0.3, 53.076, 26.402), (0.6, 92.232, 28.497), (0.8, 114.564, 29.441)):
        rise = indicated_degc(20.0 + 130.0 * np.exp(-minutes / 30.0), emissivity=emissivity) - 20.0
        taus = np.linspace(tau - 0.05, tau + 0.05, 2001)
        shapes = np.exp(-minutes / taus[:, np.newaxis])
        scale = shapes @ rise / np.sum(shapes**2, axis=1)
        best = int(np.argmin(np.sum((rise - scale[:, np.newaxis] * shapes) ** 2, axis=1)))
        assert taus[best] == pytest.approx(tau, abs=6e-4)
        assert scale[best] == pytest.approx(amplitude, abs=2e-3)


def test_usual_surroundings_are_at_twenty_degrees_and_guns_set_to_0_95():
    """What is left out of a call: 0.95, 20 °C mirrored, and the gun takes just that off."""
    named = {"gun_emissivity": 0.95, "reflected_degc": 20.0}
    assert indicated_degc(120.0, emissivity=0.6) == indicated_degc(
        120.0, emissivity=0.6, compensated=True, **named
    )
    assert surface_degc(90.0, emissivity=0.6) == surface_degc(90.0, emissivity=0.6, compensated=True, **named)
    usual, stated = (
        surface_sensitivity(90.0, surface_degc=120.0, emissivity=0.6, **about) for about in ({}, named)
    )
    for name in ("per_indicated", "per_emissivity_k", "per_reflected"):
        assert float(getattr(usual, name)) == float(getattr(stated, name))


def test_table_reaches_from_100_below_to_1200_above_and_not_beyond():
    """Both ends are in it, and are met from both sides."""
    assert np.isfinite(band_radiance([-100.0, 1200.0])).all()
    assert np.isnan(band_radiance([-100.001, 1200.001])).all()
    for end in (-100.0, 1200.0):
        exact, _ = quad(
            lambda um, end=end: float(planck_radiance(um, end)), 8.0, 14.0, epsabs=0.0, epsrel=1e-12
        )
        assert float(band_radiance(end)) == pytest.approx(exact, rel=1e-9)
        assert float(band_temperature_degc(float(band_radiance(end)))) == pytest.approx(end, abs=1e-6)


@pytest.mark.parametrize(
    ("band", "fits"), [((1.0, 20.0), True), ((0.999, 20.0), False), ((1.0, 20.001), False)]
)
def test_bands_lie_between_one_and_twenty_micrometres(band, fits):
    if fits:
        assert float(band_radiance(100.0, band)) > float(band_radiance(100.0))
    else:
        with pytest.raises(ValueError, match="band must rise"):
            band_radiance(100.0, band)
