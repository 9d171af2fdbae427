"""Laws of cooling, and worked examples of textbooks on the code that runs: heat balance, curve and fit."""

import math

import numpy as np
import pytest
from fitcases import LAWS, corner, fitted, no_prior
from hypothesis import given
from hypothesis import strategies as st
from oracle.cooling import newton_degc, power_law_left, radiation_film_w_m2k, radiation_time_s
from scipy.integrate import quad
from scipy.optimize import brentq

from thermlog.physics.cooling import STEFAN_BOLTZMANN, drag_power_w, law_curvature, law_shape
from thermlog.simulation.brakeheat import BrakeNodes, BrakeState, HeatInput, advance

# "Worked" numbers were computed once apart from this code; they are compared to the last digit written.


# --- the laws -------------------------------------------------------------------------------------------


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


def test_laws_are_those_of_the_book():
    """Newton's law; Bejan & Kraus (2003), 3.285-3.286."""
    x = np.linspace(0.0, 6.0, 31)
    np.testing.assert_allclose(law_shape(x, "exponential")[0], np.exp(-x), rtol=1e-15)
    np.testing.assert_allclose(law_shape(x, "power")[0], power_law_left(x), rtol=1e-14)


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


@pytest.mark.parametrize(
    ("minutes", "lost_k"), [(1, 3.27838995), (2, 6.44930150), (3, 9.51625820), (5, 15.35182751)]
)
def test_waiting_costs_kelvins(minutes, lost_k):
    """Worked: 100 K of rise and 30 min; why readings are brought to one time."""
    left, _ = law_shape(minutes / 30.0, "exponential")
    assert 100.0 - 100.0 * float(left) == pytest.approx(lost_k, abs=6e-9)


@pytest.mark.parametrize("law", LAWS)
def test_derivatives_of_the_laws(law):
    """Against central differences in ln(tau), good to 1e-8."""
    x, step = np.linspace(0.0, 8.0, 41), 1e-5
    shape, slope = law_shape(x, law)
    (above, slope_above), (below, slope_below) = (
        law_shape(x * np.exp(-step), law),
        law_shape(x * np.exp(step), law),
    )
    np.testing.assert_allclose(slope, (above - below) / (2 * step), atol=1e-8)
    bend = law_curvature(x, slope, law)
    np.testing.assert_allclose(bend, (slope_above - slope_below) / (2 * step), atol=1e-8)
    assert (shape[0], slope[0]) == (1.0, 0.0)


# --- lumped bodies of textbooks: where the heat balance has them after the printed time, and the fit -------

REFERENCE_SPEED = 50.0 / 3.6  # where a brake's rolling loss is a plain conductance


def lumped(capacity_j_k: float, loss_w_k: float) -> BrakeNodes:
    """A body of one capacity and one conductance to the air."""
    return BrakeNodes(
        rotor_j_per_k=capacity_j_k, hub_j_per_k=1.0, rotor_to_hub_w_per_k=0.0, area_m2=0.0, emissivity=0.0,
        film_w_per_m2k54=0.0, rolling_w_per_k=loss_w_k, hub_rolling_w_per_k=0.0, hub_parked_w_per_k=0.0,
    )  # fmt: skip


def cooled_degc(nodes: BrakeNodes, *, start_degc: float, air_degc: float, seconds: float, steps: int = 400):
    """Temperatures of the heat balance: after every step, the start first."""
    heat = HeatInput(ambient_degc=air_degc, speed_mps=REFERENCE_SPEED)
    now = BrakeState(rotor_degc=np.array([start_degc]), hub_degc=np.array([air_degc]))
    found = [start_degc]
    for _ in range(steps):
        now = advance(nodes, heat, now, step_s=seconds / steps)
        found.append(float(now.rotor_degc[0]))
    return np.array(found)


def sphere(diameter_m: float, *, density: float, heat: float, film: float) -> BrakeNodes:
    """A ball in a stream."""
    volume, area = math.pi * diameter_m**3 / 6.0, math.pi * diameter_m**2
    return lumped(density * heat * volume, film * area)


def cylinder(radius_m: float, length_m: float, *, density: float, heat: float, film: float) -> BrakeNodes:
    volume = math.pi * radius_m**2 * length_m
    return lumped(density * heat * volume, film * 2.0 * math.pi * radius_m * (length_m + radius_m))


BOOKS = {
    # body, start, air, end [°C], time printed [s], time worked [s]
    "Bergman et al., Fundamentals of Heat and Mass Transfer, 7th ed., example 5.1 (from memory)": (
        sphere(7.06e-4, density=8500.0, heat=400.0, film=400.0), 25.0, 200.0, 199.0, 5.2, 5.165646772,
    ),
    "Çengel, Heat Transfer, example 4-1": (
        sphere(0.001, density=8500.0, heat=320.0, film=210.0), 0.0, 100.0, 99.0, 10.0, 9.941319767,
    ),
    "Holman, Heat Transfer, example 4-1 (from memory)": (
        sphere(0.05, density=7800.0, heat=460.0, film=10.0), 450.0, 100.0, 150.0, 5819.0, 5818.271346,
    ),
    "Çengel, Heat Transfer, example 4-2 (from memory)": (
        cylinder(0.15, 1.7, density=996.0, heat=4178.0, film=8.0), 37.0, 20.0, 25.0,
        12.2 * 3600.0, 43871.0444,
    ),
}  # fmt: skip


@pytest.mark.parametrize("book", BOOKS)
def test_bodies_of_textbooks_are_at_their_end_after_the_printed_time(book):
    """Heat balance, Runge-Kutta over 400 steps: good to 1e-9 of the rise; printed times are rounded."""
    nodes, start, air, end, printed_s, worked_s = BOOKS[book]
    assert printed_s == pytest.approx(worked_s, rel=0.01)
    path = cooled_degc(nodes, start_degc=start, air_degc=air, seconds=worked_s)
    assert path[-1] == pytest.approx(end, abs=1e-8 * abs(start - air))


def test_fit_finds_the_time_constant_of_a_textbooks_ball():
    """Holman's example: worked time = τ·ln(350/50); six readings of the heat balance."""
    nodes, start, air, end, _, worked_s = BOOKS["Holman, Heat Transfer, example 4-1 (from memory)"]
    path = cooled_degc(nodes, start_degc=start, air_degc=air, seconds=worked_s)[::80]
    fits = fitted(corner(np.linspace(0.0, worked_s, 6), path), **no_prior(ambient_degc=air))
    tau_s = worked_s / math.log((start - air) / (end - air))
    assert np.exp(fits.log_tau[0, 0]) == pytest.approx(tau_s, rel=1e-7)


def test_solder_bead():
    """Lienhard, A Heat Transfer Textbook, example 1.4: τ 1.116 s (film, density and heat from memory)."""
    nodes = sphere(0.001, density=9300.0, heat=180.0, film=250.0)
    path = cooled_degc(nodes, start_degc=200.0, air_degc=20.0, seconds=1.116)
    assert path[-1] == pytest.approx(20.0 + 180.0 / math.e, abs=0.03)  # τ to four digits


def parked(*, emissivity: float = 0.0, film: float = 0.0, capacity_j_k: float = 3000.0) -> BrakeNodes:
    """A body of 0.2 m² that radiates, or convects of its own."""
    return BrakeNodes(
        rotor_j_per_k=capacity_j_k, hub_j_per_k=1.0, rotor_to_hub_w_per_k=0.0, area_m2=0.2,
        emissivity=emissivity, film_w_per_m2k54=film, rolling_w_per_k=0.0, hub_rolling_w_per_k=0.0,
        hub_parked_w_per_k=0.0,
    )  # fmt: skip


def test_radiation_alone():
    """Bejan & Kraus, Heat Transfer Handbook (2003), eq. 3.283; worked 1057.10074677 s; quadrature agrees."""
    around, capacity = 293.15, 1e4
    seconds = radiation_time_s(
        start_degc=300.0, end_degc=100.0, surroundings_degc=20.0, capacity_per_area_j_m2k=capacity
    )
    integral, _ = quad(
        lambda t: capacity / (STEFAN_BOLTZMANN * (t**4 - around**4)), 373.15, 573.15, epsrel=1e-12
    )
    assert seconds == pytest.approx(integral, rel=1e-10)
    assert seconds == pytest.approx(1057.10074677, abs=1e-7)  # last digits move with the digits of σ
    black = parked(emissivity=0.5, capacity_j_k=0.5 * 0.2 * capacity)
    assert cooled_degc(black, start_degc=300.0, air_degc=20.0, seconds=seconds)[-1] == pytest.approx(
        100.0, abs=1e-6
    )


def test_natural_convection_alone_is_the_power_law():
    """Bejan & Kraus (2003), 3.285-3.286: τ at the start is m·c/(C·A·θ^¼)."""
    tau_s = 3000.0 / (1.9 * 0.2 * 100.0**0.25)
    path = cooled_degc(parked(film=1.9), start_degc=120.0, air_degc=20.0, seconds=2.0 * tau_s)
    left, _ = law_shape(np.linspace(0.0, 2.0, 401), "power")
    np.testing.assert_allclose(path, 20.0 + 100.0 * left, atol=1e-6)


@pytest.mark.parametrize(
    ("emissivity", "film"), [(0.2, 1.871878927), (0.3, 2.807818390), (0.8, 7.487515707), (0.95, 8.891424903)]
)
def test_radiation_as_a_film_coefficient(emissivity, film):
    """Worked: 120 °C in 20 °C surroundings. A small step of the heat balance loses film · area · rise."""
    oracle = radiation_film_w_m2k(surface_degc=120.0, surroundings_degc=20.0, emissivity=emissivity)
    assert oracle == pytest.approx(film, abs=1e-9)
    lost_k = (
        120.0
        - cooled_degc(parked(emissivity=emissivity), start_degc=120.0, air_degc=20.0, seconds=0.02, steps=1)[
            -1
        ]
    )
    assert lost_k * 3000.0 / 0.02 == pytest.approx(film * 0.2 * 100.0, rel=1e-4)  # the step's own cooling


@given(st.floats(-20.0, 45.0), st.floats(30.0, 400.0), st.floats(500.0, 7200.0))
def test_three_readings_at_equal_steps_give_their_exponential_back(ambient_degc, rise_k, tau_s):
    """Exact: the one exponential through three readings, here through the fit with a floating level.

    Rounding of 1e-16 grows with the square of τ over the step, at most 24² here, and with T²/rise.
    """
    times = [0.0, 300.0, 600.0]
    temps = newton_degc(times, start_degc=ambient_degc + rise_k, ambient_degc=ambient_degc, tau_s=tau_s)
    fits = fitted(corner(times, temps), **no_prior(ambient_degc=ambient_degc + 3.0, ambient_sigma_k=np.inf))
    assert np.exp(fits.log_tau[0, 0]) == pytest.approx(tau_s, rel=1e-6)
    assert fits.ambient_degc[0] + fits.ambient_shift_k[0] == pytest.approx(ambient_degc, abs=1e-3)


# --- heat of a drag -------------------------------------------------------------------------------------


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
    """Definition: power = conductance · rise; a drive of many time constants ends there."""
    power_w = drag_power_w(torque_nm=10.0, speed_m_s=REFERENCE_SPEED, tyre_radius_m=0.31)
    heat = HeatInput(ambient_degc=0.0, speed_mps=REFERENCE_SPEED, rotor_w=power_w)
    now = BrakeState(rotor_degc=np.zeros(1), hub_degc=np.zeros(1))
    for _ in range(1000):
        now = advance(lumped(3000.0, 12.0), heat, now, step_s=5.0)
    assert float(now.rotor_degc[0]) * 12.0 == pytest.approx(power_w, rel=1e-6)
