"""Heating and cooling formulas, against textbook examples, quadrature and integrated heat balances."""

import math

import numpy as np
import pytest
from ht.conv_free_immersed import Nu_vertical_plate_Churchill
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, least_squares

from thermlog.cooling import (
    LAWS,
    STEFAN_BOLTZMANN,
    TwoNodes,
    biot_number,
    churchill_chu_nusselt,
    drag_power_w,
    exponential_sum,
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
    two_node_modes,
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


# --- real bodies: what the simple laws miss -------------------------------------------------------------

BENCHMARK_S = [300, 600, 900, 1200, 1800, 2400, 3600, 5400]
BENCHMARK_DEGC = {
    0.3: [165.351083, 139.317903, 119.201998, 103.329736, 80.2529674, 64.6986907, 46.0374144, 32.8027989],
    0.8: [149.616767, 117.384203, 95.1913956, 79.1913047, 58.2121600, 45.6379210, 32.4536395, 24.7615383],
}


def plate_loss_w(degc, emissivity):
    """Natural convection 1.42(θ/L)^¼ (McAdams, laminar plate in air, from memory) and radiation, 0.20 m²."""
    rise = degc - 20.0
    film = 1.42 * (rise / 0.28) ** 0.25
    return 0.20 * (
        film * rise + emissivity * STEFAN_BOLTZMANN * ((degc + 273.15) ** 4 - (20.0 + 273.15) ** 4)
    )


def benchmark_degc(seconds, emissivity):
    """Integrate 3000 J/K from 200 °C."""
    solved = solve_ivp(
        lambda _t, y: [-plate_loss_w(y[0], emissivity) / 3000.0],
        (0.0, max(seconds)),
        [200.0],
        t_eval=seconds,
        method="DOP853",
        rtol=1e-11,
        atol=1e-11,
    )
    return solved.y[0]


@pytest.mark.parametrize("emissivity", BENCHMARK_DEGC)
def test_benchmark_of_convection_with_radiation(emissivity):
    """Worked, nine figures."""
    np.testing.assert_allclose(benchmark_degc(BENCHMARK_S, emissivity), BENCHMARK_DEGC[emissivity], rtol=1e-8)


@pytest.mark.parametrize(
    ("emissivity", "taus_s"),
    [(0.3, [1340.636, 1670.220, 2140.626, 2489.253]), (0.8, [837.072, 1098.052, 1428.019, 1632.420])],
)
def test_local_time_constant_nearly_doubles_on_the_way_down(emissivity, taus_s):
    """Worked, at 200, 120, 60 and 40 °C: rise over its own rate of fall."""
    got = [3000.0 * (degc - 20.0) / plate_loss_w(degc, emissivity) for degc in (200.0, 120.0, 60.0, 40.0)]
    np.testing.assert_allclose(got, taus_s, atol=6e-4)


def fitted_exponential(seconds, rise):
    """Least squares for amplitude and time constant, by scipy."""
    start = [rise[0], seconds[-1]]
    return least_squares(lambda p: p[0] * np.exp(-seconds / p[1]) - rise, start, xtol=1e-14, ftol=1e-14).x


@pytest.mark.parametrize(
    ("emissivity", "tau_s", "start_degc", "hour_degc"),
    [(0.3, 1515.673, 197.788, 36.53), (0.8, 1035.465, 194.755, 25.40)],
)
def test_an_exponential_hides_its_misfit_and_fails_forward(emissivity, tau_s, start_degc, hour_degc):
    """Worked: readings at 2, 5, 8, 11, 14 min; run forward to an hour it is 7 to 10 K low."""
    seconds = np.array([120.0, 300.0, 480.0, 660.0, 840.0])
    amplitude, tau = fitted_exponential(seconds, benchmark_degc(seconds, emissivity) - 20.0)
    assert tau == pytest.approx(tau_s, abs=2e-3)
    assert 20.0 + amplitude == pytest.approx(start_degc, abs=2e-3)
    assert 20.0 + amplitude * math.exp(-3600.0 / tau) == pytest.approx(hour_degc, abs=6e-3)


@pytest.mark.parametrize(
    ("span", "amplitude", "tau", "largest"),
    [
        (1.0, 98.8388, 1.10659, 1.161),
        (2.0, 97.1483, 1.18190, 2.852),
        (3.0, 95.8583, 1.23174, 4.142),
    ],
)
def test_an_exponential_through_a_pure_power_law(span, amplitude, tau, largest):
    """Worked: 61 points, 100 K, unit time constant."""
    x = np.linspace(0.0, span, 61)
    truth = 100.0 * law_shape(x, "power")[0]
    got_amplitude, got_tau = fitted_exponential(x, truth)
    assert got_amplitude == pytest.approx(amplitude, abs=6e-5)
    assert got_tau == pytest.approx(tau, abs=6e-6)
    assert np.abs(got_amplitude * np.exp(-x / got_tau) - truth).max() == pytest.approx(largest, abs=6e-4)


ROTOR_AND_HUB = TwoNodes(capacities_j_k=(3000.0, 8000.0), losses_w_k=(1.5, 2.0), link_w_k=3.0)


def test_rotor_with_hub():
    """Worked: modes of 550.9 and 3226.8 s, and temperatures at 5 to 40 min."""
    modes = two_node_modes(ROTOR_AND_HUB, first_rise_k=100.0, second_rise_k=20.0)
    assert modes.taus_s == pytest.approx((550.93393569, 3226.84384209), abs=6e-9)
    assert modes.amplitudes_k == pytest.approx((65.77864117, 34.22135883), abs=6e-9)
    rise = exponential_sum(
        [300.0, 600.0, 1200.0, 2400.0],
        offset=0.0,
        amplitudes=np.array(modes.amplitudes_k),
        rates_per_s=1.0 / np.array(modes.taus_s),
    )
    np.testing.assert_allclose(rise, [69.34235111, 50.55145696, 31.04317396, 17.10990926], atol=6e-9)


def test_rotor_with_hub_against_integration():
    """Independent reference: the heat balance of both bodies, integrated."""

    def balance(_t, y):
        flow = 3.0 * (y[0] - y[1])
        return [(-flow - 1.5 * y[0]) / 3000.0, (flow - 2.0 * y[1]) / 8000.0]

    seconds = np.array([300.0, 2400.0, 7200.0])
    solved = solve_ivp(balance, (0.0, 7200.0), [100.0, 20.0], t_eval=seconds, rtol=1e-11, atol=1e-11)
    modes = two_node_modes(ROTOR_AND_HUB, first_rise_k=100.0, second_rise_k=20.0)
    rise = exponential_sum(
        seconds,
        offset=0.0,
        amplitudes=np.array(modes.amplitudes_k),
        rates_per_s=1.0 / np.array(modes.taus_s),
    )
    np.testing.assert_allclose(rise, solved.y[0], rtol=1e-8)


# --- NIST StRD MGH17: the same sum of exponentials --------------------------------------------------------

# NIST Statistical Reference Datasets, nonlinear regression, MGH17 (public domain).
MGH17_X = np.arange(0.0, 330.0, 10.0)
MGH17_Y = np.array([
    0.844, 0.908, 0.932, 0.936, 0.925, 0.908, 0.881, 0.850, 0.818, 0.784, 0.751, 0.718, 0.685, 0.658, 0.628,
    0.603, 0.580, 0.558, 0.538, 0.522, 0.506, 0.490, 0.478, 0.467, 0.457, 0.448, 0.438, 0.431, 0.424, 0.420,
    0.414, 0.411, 0.406,
])  # fmt: skip
MGH17_B = [3.7541005211e-01, 1.9358469127e00, -1.4646871366e00, 1.2867534640e-02, 2.2122699662e-02]
MGH17_RSS = 5.4648946975e-05


def test_sum_of_exponentials_at_the_certified_parameters():
    """Certified residual sum of squares; ten digits of parameters give nine of it."""
    b1, b2, b3, b4, b5 = MGH17_B
    model = exponential_sum(MGH17_X, offset=b1, amplitudes=np.array([b2, b3]), rates_per_s=np.array([b4, b5]))
    assert float(np.sum((MGH17_Y - model) ** 2)) == pytest.approx(MGH17_RSS, rel=1e-9)


@pytest.mark.parametrize("start", [(1.0, 2.0), (0.01, 0.02)])
def test_separable_fit_finds_the_certified_rates_from_both_published_starts(start):
    """Amplitudes are linear once the rates are given, so only the rates are searched, by their logarithms."""

    def linear_part(log_rates):
        basis = np.column_stack([np.ones_like(MGH17_X), np.exp(-MGH17_X[:, np.newaxis] * np.exp(log_rates))])
        weights, *_ = np.linalg.lstsq(basis, MGH17_Y)
        return weights, basis @ weights - MGH17_Y

    # from (1, 2) both exponentials are zero after the first point: the search starts on a grid instead
    grid = np.log([(k, 2.0 * k) for k in np.geomspace(0.002, start[1], 24)])
    best = min(grid, key=lambda p: float(np.sum(linear_part(p)[1] ** 2)))
    found = least_squares(lambda p: linear_part(p)[1], best, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    weights, residual = linear_part(found.x)
    np.testing.assert_allclose(np.exp(found.x), MGH17_B[3:], rtol=1e-6)
    np.testing.assert_allclose(weights, MGH17_B[:3], rtol=1e-5)
    assert float(np.sum(residual**2)) == pytest.approx(MGH17_RSS, rel=1e-9)


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
