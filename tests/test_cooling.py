"""Heating and cooling formulas, against textbook examples, quadrature and integrated heat balances."""

import math

import numpy as np
import pytest
from ht.conv_free_immersed import Nu_vertical_plate_Churchill
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from thermlog.physics.cooling import (
    LAWS,
    STEFAN_BOLTZMANN,
    biot_number,
    churchill_chu_nusselt,
    drag_power_w,
    law_shape,
    lumped_tau_s,
    newton_cooling_degc,
    newton_cooling_time_s,
    power_law_cooling_degc,
    radiation_cooling_time_s,
    radiation_film_w_m2k,
    steady_rise_k,
    stop_rise_k,
    stop_series_rise_k,
    three_point_recovery,
)

# "Worked" numbers were computed once apart from this code; they are compared to the last digit written.


@pytest.mark.parametrize("law", LAWS)
@given(x=st.floats(-0.5, 12.0))
def test_slope_answers_to_the_logarithm_of_the_time_constant(law, x):
    """dm/d ln τ at fixed t is −x·dm/dx: central difference in ln τ, good to 1e-8."""
    shape, slope = law_shape(x, law)
    step = 1e-5
    above, _ = law_shape(x * math.exp(-step), law)
    below, _ = law_shape(x * math.exp(step), law)
    assert float(slope) == pytest.approx(float(above - below) / (2 * step), abs=1e-8)
    assert float(shape) > 0.0


@pytest.mark.parametrize("law", LAWS)
def test_law_shape_keeps_any_shape_and_starts_at_one(law):
    shape, slope = law_shape(np.zeros((2, 3, 4)), law)
    assert shape.shape == slope.shape == (2, 3, 4)
    assert (shape == 1.0).all()
    assert (slope == 0.0).all()


def test_power_law_landmarks():
    """Exact: 0.8⁴ at one time constant; a half, a tenth at 4(2^¼ − 1), 4(10^¼ − 1); digits worked."""
    assert float(law_shape(1.0, "power")[0]) == pytest.approx(0.4096, rel=1e-15)
    assert float(law_shape(3.0, "power")[0]) == pytest.approx(0.10662224073, abs=5e-12)
    for left, x in ((0.5, 0.7568284600), (0.1, 3.1131176402)):
        found = brentq(lambda x, left=left: float(law_shape(x, "power")[0]) - left, 0.0, 5.0, xtol=1e-13)
        assert found == pytest.approx(x, abs=6e-11)


def test_local_time_constant_of_the_power_law_grows_on_the_way_down():
    """Worked: ×1.189207115, ×1.495348781, ×1.778279410 at a half, a fifth, a tenth of the rise."""
    for left, factor in ((2, 1.189207115), (5, 1.495348781), (10, 1.778279410)):
        x = 4.0 * (left**0.25 - 1.0)
        shape, slope = law_shape(x, "power")
        local = float(x * shape / slope)  # −m / (dm/dx)
        assert local == pytest.approx(factor, abs=6e-10)


def test_newton_cooling_to_a_reading_each_five_minutes():
    """Worked: 120 → 104.648172489 → 91.653131057 °C at 20 °C ambient and 30 min."""
    got = newton_cooling_degc([0.0, 300.0, 600.0], start_degc=120.0, ambient_degc=20.0, tau_s=1800.0)
    np.testing.assert_allclose(got, [120.0, 104.648172489, 91.653131057], atol=6e-10, rtol=0)


@pytest.mark.parametrize(
    ("minutes", "lost_k"), [(1, 3.27838995), (2, 6.44930150), (3, 9.51625820), (5, 15.35182751)]
)
def test_waiting_costs_kelvins(minutes, lost_k):
    """Worked: 100 K of rise and 30 min; why readings are brought to one time."""
    left = newton_cooling_degc(60.0 * minutes, start_degc=100.0, ambient_degc=0.0, tau_s=1800.0)
    assert 100.0 - float(left) == pytest.approx(lost_k, abs=6e-9)


def test_power_law_broadcasts_over_corners():
    got = power_law_cooling_degc(
        [0.0, 1800.0], start_degc=np.array([[120.0], [70.0]]), ambient_degc=20.0, tau_s=1800.0
    )
    np.testing.assert_allclose(got, [[120.0, 60.96], [70.0, 40.48]], rtol=1e-14)


def test_radiation_alone_against_quadrature():
    """Bejan & Kraus, Heat Transfer Handbook (2003), eq. 3.283; worked 1057.10074677 s."""
    hot, cool, around, capacity = 573.15, 373.15, 293.15, 1e4
    got = radiation_cooling_time_s(
        start_degc=300.0, end_degc=100.0, surroundings_degc=20.0, capacity_per_area_j_m2k=capacity
    )
    integral, _ = quad(lambda t: capacity / (STEFAN_BOLTZMANN * (t**4 - around**4)), cool, hot, epsrel=1e-12)
    assert got == pytest.approx(integral, rel=1e-10)
    assert got == pytest.approx(1057.10074677, abs=1e-7)  # last digits move with the digits of σ


def sphere_tau_s(diameter_m, *, density, heat, film):
    """Time constant of a ball: volume over surface is a sixth of the diameter."""
    volume, area = math.pi * diameter_m**3 / 6.0, math.pi * diameter_m**2
    return lumped_tau_s(capacity_j_k=density * heat * volume, film_w_m2k=film, area_m2=area)


def test_thermocouple_junction():
    """Bergman et al., Fundamentals of Heat and Mass Transfer, 7th ed., example 5.1 (from memory): 5.2 s."""
    tau_s = sphere_tau_s(7.06e-4, density=8500.0, heat=400.0, film=400.0)
    got = newton_cooling_time_s(start_rise_k=25.0 - 200.0, end_rise_k=199.0 - 200.0, tau_s=tau_s)
    assert got == pytest.approx(5.2, abs=0.05)
    assert got == pytest.approx(5.165646772, abs=6e-10)


def test_another_junction():
    """Çengel, Heat Transfer, example 4-1: 10 s, Biot number 0.001, exponent 0.462 1/s."""
    tau_s = sphere_tau_s(0.001, density=8500.0, heat=320.0, film=210.0)
    got = newton_cooling_time_s(start_rise_k=100.0, end_rise_k=1.0, tau_s=tau_s)
    assert got == pytest.approx(10.0, abs=0.1)
    assert got == pytest.approx(9.941319767, abs=6e-10)
    assert 1.0 / tau_s == pytest.approx(0.4632352941, abs=6e-11)
    biot = biot_number(film_w_m2k=210.0, length_m=0.001 / 6.0, conductivity_w_mk=35.0)
    assert biot == pytest.approx(0.001, rel=1e-12)


def test_steel_ball():
    """Holman, Heat Transfer, example 4-1 (from memory): 5819 s, Biot number 0.0023."""
    tau_s = sphere_tau_s(0.05, density=7800.0, heat=460.0, film=10.0)
    got = newton_cooling_time_s(start_rise_k=350.0, end_rise_k=50.0, tau_s=tau_s)
    assert got == pytest.approx(5819.0, abs=1.0)
    assert got == pytest.approx(5818.271346, abs=6e-7)
    assert biot_number(film_w_m2k=10.0, length_m=0.025 / 3.0, conductivity_w_mk=35.0) == pytest.approx(
        0.0023, abs=1e-4
    )


def test_a_cylinder_too_thick_to_be_lumped():
    """Çengel, Heat Transfer, example 4-2 (from memory): Biot number 0.89, 12.2 h by the rule all the same."""
    radius, length = 0.15, 1.7
    volume = math.pi * radius**2 * length
    area = 2.0 * math.pi * radius * length + 2.0 * math.pi * radius**2
    assert volume / area == pytest.approx(0.0689189189, abs=6e-11)
    biot = biot_number(film_w_m2k=8.0, length_m=volume / area, conductivity_w_mk=0.617)
    assert biot == pytest.approx(0.8936002453, abs=6e-11)
    tau_s = lumped_tau_s(capacity_j_k=996.0 * 4178.0 * volume, film_w_m2k=8.0, area_m2=area)
    got = newton_cooling_time_s(start_rise_k=17.0, end_rise_k=5.0, tau_s=tau_s)
    assert got / 3600.0 == pytest.approx(12.2, abs=0.05)
    assert got == pytest.approx(43871.0444, abs=6e-5)


def test_solder_bead():
    """Lienhard, A Heat Transfer Textbook, example 1.4: 1.116 s (film, density and heat from memory)."""
    assert sphere_tau_s(0.001, density=9300.0, heat=180.0, film=250.0) == pytest.approx(1.116, abs=5e-4)


def test_rotor_ring_is_lumped():
    """By hand: 100 W/(m²·K), 11 mm half thickness, 48 W/(m·K)."""
    got = biot_number(film_w_m2k=100.0, length_m=0.011, conductivity_w_mk=48.0)
    assert got == pytest.approx(0.0229166667, abs=6e-11)


@pytest.mark.parametrize(
    ("emissivity", "film"), [(0.2, 1.871878927), (0.3, 2.807818390), (0.8, 7.487515707), (0.95, 8.891424903)]
)
def test_radiation_as_a_film_coefficient(emissivity, film):
    """Worked: 120 °C in 20 °C surroundings; also the flux divided by the difference, by definition."""
    got = radiation_film_w_m2k(surface_degc=120.0, surroundings_degc=20.0, emissivity=emissivity)
    assert got == pytest.approx(film, abs=1e-9)
    flux = emissivity * STEFAN_BOLTZMANN * (393.15**4 - 293.15**4)
    assert got == pytest.approx(flux / 100.0, rel=1e-12)


@given(st.floats(1e2, 1e12), st.floats(0.01, 100.0))
def test_churchill_chu_is_hts(rayleigh, prandtl):
    """Independent reference: the package ht, whose plate takes Grashof and Prandtl numbers."""
    theirs = Nu_vertical_plate_Churchill(prandtl, rayleigh / prandtl)
    assert float(churchill_chu_nusselt(rayleigh, prandtl)) == pytest.approx(theirs, rel=1e-12)


def test_glass_fire_screen():
    """Bergman et al., 7th ed., example 9.2 (from memory): Ra 1.813e9, Nu 147; worked 147.119010360."""
    got = float(churchill_chu_nusselt(1.813e9, 0.69))
    assert got == pytest.approx(147.0, abs=0.5)
    assert got == pytest.approx(147.119010360, abs=6e-10)
    rayleigh = 9.81 * (232.0 - 23.0) / 400.0 * 0.71**3 / (26.4e-6 * 38.3e-6)
    assert rayleigh == pytest.approx(1.81437748e9, abs=6.0)
    nusselt = float(churchill_chu_nusselt(rayleigh, 0.69))
    assert nusselt == pytest.approx(147.153727, abs=6e-7)
    film = nusselt * 0.0338 / 0.71
    assert film == pytest.approx(7.0, abs=0.05)
    assert film * 0.71 * 1.02 * 209.0 == pytest.approx(1060.0, abs=1.0)


def test_plate_in_feet():
    """Çengel, Heat Transfer, example 9-19E(a): Nu 102.6 at Ra 5.503e8 printed; worked at 5.50002e8."""
    got = float(churchill_chu_nusselt(5.50002e8, 0.7256))
    assert got == pytest.approx(102.6, abs=0.1)
    assert got == pytest.approx(102.53975, abs=6e-5)


# --- heating -------------------------------------------------------------------------------------------


def test_one_stop():
    """Limpert, Brake Design and Safety (from memory); worked: 1600 kg, 100 km/h, 35 % to one 6 kg disc."""
    energy_j = 0.5 * 1600.0 * (100.0 / 3.6) ** 2
    assert energy_j == pytest.approx(617283.95062, abs=6e-6)
    assert stop_rise_k(energy_j=energy_j, share=0.35, capacity_j_k=3000.0) == pytest.approx(
        72.01646091, abs=6e-9
    )
    assert stop_rise_k(energy_j=energy_j, share=0.35 * 0.95, capacity_j_k=3000.0) == pytest.approx(
        68.41563786, abs=6e-9
    )


@pytest.mark.parametrize(
    ("tau_s", "stops", "expected"),
    [(300.0, 15, 462.52455896), (300.0, math.inf, 517.01783819), (600.0, 15, 673.10387273)],
)
def test_series_of_stops(tau_s, stops, expected):
    """Worked from a single rise of 72.01646091 K every 45 s; and the sum written out."""
    single = 0.35 * 0.5 * 1600.0 * (100.0 / 3.6) ** 2 / 3000.0
    got = stop_series_rise_k(single, stops=stops, interval_s=45.0, tau_s=tau_s)
    assert got == pytest.approx(expected, abs=6e-9)
    terms = int(min(stops, 2000))
    written_out = sum(single * math.exp(-45.0 * k / tau_s) for k in range(terms))
    assert got == pytest.approx(written_out, rel=1e-12)


@pytest.mark.parametrize(
    ("torque_nm", "power_w"),
    [
        (1, 89.605734767),
        (3, 268.817204301),
        (5, 448.028673835),
        (10, 896.057347670),
        (20, 1792.114695341),
        (50, 4480.286738351),
    ],
)
def test_drag_power(torque_nm, power_w):
    """Worked: 100 km/h on a tyre of 0.31 m."""
    got = drag_power_w(torque_nm=torque_nm, speed_m_s=100.0 / 3.6, tyre_radius_m=0.31)
    assert got == pytest.approx(power_w, abs=6e-10)


def test_steady_rise_is_where_heat_in_is_heat_out():
    """Definition: power = film · area · rise; a drive of many time constants ends there."""
    power_w = drag_power_w(torque_nm=10.0, speed_m_s=100.0 / 3.6, tyre_radius_m=0.31)
    rise = steady_rise_k(power_w, film_w_m2k=60.0, area_m2=0.2)
    assert rise * 60.0 * 0.2 == pytest.approx(power_w)
    capacity = 3000.0
    driven = solve_ivp(lambda _t, y: (power_w - 60.0 * 0.2 * y) / capacity, (0.0, 5000.0), [0.0], rtol=1e-9)
    assert driven.y[0, -1] == pytest.approx(rise, rel=1e-6)


# --- three readings --------------------------------------------------------------------------------------


def test_three_readings_give_ambient_and_time_constant_back():
    """Worked: 120, 104.648172489, 91.653131057 °C five minutes apart: 20 °C and 30 min."""
    got = three_point_recovery((120.0, 104.648172489, 91.653131057), step_s=300.0)
    assert got.ambient_degc == pytest.approx(20.0, abs=1e-6)
    assert got.tau_s == pytest.approx(1800.0, abs=1e-4)


@given(st.floats(-20.0, 45.0), st.floats(30.0, 400.0), st.floats(500.0, 7200.0))
def test_three_point_recovery_is_exact(ambient_degc, rise_k, tau_s):
    """Rounding of 1e-16 grows with the square of τ over the step, at most 24² here, and with T²/rise."""
    temps = newton_cooling_degc(
        [0.0, 300.0, 600.0], start_degc=ambient_degc + rise_k, ambient_degc=ambient_degc, tau_s=tau_s
    )
    got = three_point_recovery((float(temps[0]), float(temps[1]), float(temps[2])), step_s=300.0)
    assert got.tau_s == pytest.approx(tau_s, rel=1e-8)
    assert got.ambient_degc == pytest.approx(ambient_degc, abs=1e-6)


@pytest.mark.parametrize(
    "temps", [(50.0, 50.0, 50.0), (60.0, 50.0, 40.0), (60.0, 50.0, 55.0), (60.0, 60.0, 50.0)]
)
def test_three_readings_without_an_exponential_cannot_tell(temps):
    got = three_point_recovery(temps, step_s=60.0)
    assert math.isnan(got.ambient_degc)
    assert math.isnan(got.tau_s)
