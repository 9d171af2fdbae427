"""The simulator's heat balance against computed and closed-form cases."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermlog.simulation.brakeheat import BrakeNodes, BrakeState, HeatInput, advance
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES

LONE = {
    "hub_j_per_k": 1.0,
    "rotor_to_hub_w_per_k": 0.0,
    "hub_rolling_w_per_k": 0.0,
    "hub_parked_w_per_k": 0.0,
}
BARE = {"area_m2": 0.0, "emissivity": 0.0, "film_w_per_m2k54": 0.0}


def state(rotor_degc: float, hub_degc: float) -> BrakeState:
    return BrakeState(rotor_degc=np.array([rotor_degc]), hub_degc=np.array([hub_degc]))


def march(nodes: BrakeNodes, heat: HeatInput, start: BrakeState, *, until_s: float, step_s: float = 10.0):
    now = start
    for _ in range(round(until_s / step_s)):
        now = advance(nodes, heat, now, step_s=step_s)
    return now


# Convection 5/4 with McAdams' laminar plate, h = 1.42 (θ/L)^¼ with L = 0.28 m, plus radiation; 3000 J/K,
# 0.20 m², 200 °C into 20 °C. No closed form: integrated to all digits printed, by a high-order solver.
BENCHMARK_S = (300, 600, 900, 1200, 1800, 2400, 3600, 5400)
BENCHMARK_DEGC = {
    0.3: (165.351083, 139.317903, 119.201998, 103.329736, 80.2529674, 64.6986907, 46.0374144, 32.8027989),
    0.8: (149.616767, 117.384203, 95.1913956, 79.1913047, 58.2121600, 45.6379210, 32.4536395, 24.7615383),
}


@pytest.mark.parametrize("emissivity", BENCHMARK_DEGC)
def test_parked_cooling_follows_the_benchmark(emissivity):
    nodes = BrakeNodes(
        rotor_j_per_k=3000.0,
        area_m2=0.20,
        emissivity=emissivity,
        film_w_per_m2k54=1.95208550450,
        rolling_w_per_k=0.0,
        **LONE,
    )
    for until_s, expected in zip(BENCHMARK_S, BENCHMARK_DEGC[emissivity], strict=True):
        now = march(nodes, HeatInput(ambient_degc=20.0), state(200.0, 20.0), until_s=until_s)
        assert now.rotor_degc[0] == pytest.approx(expected, abs=1e-6)  # digits printed


def losses_w(nodes: BrakeNodes, heat: HeatInput, now: BrakeState) -> float:
    """Written out apart from the code: the stronger convection of each node, and radiation (CODATA σ)."""
    rise_k, hub_rise_k = (float(x[0]) - heat.ambient_degc for x in (now.rotor_degc, now.hub_degc))
    wind = (heat.speed_mps * 3.6 / 50.0) ** 0.8
    still = nodes.film_w_per_m2k54 * nodes.area_m2 * abs(rise_k) ** 0.25
    radiated = (rise_k + heat.ambient_degc + 273.15) ** 4 - (heat.ambient_degc + 273.15) ** 4
    return (
        max(nodes.rolling_w_per_k * wind, still) * rise_k
        + nodes.emissivity * nodes.area_m2 * 5.670374419e-8 * radiated
        + max(nodes.hub_parked_w_per_k, nodes.hub_rolling_w_per_k * wind) * hub_rise_k
    )


def test_two_nodes_follow_their_two_exponentials():
    """Closed form: eigenvalues of the 2 x 2 balance, 550.93 and 3226.84 s, computed to all digits."""
    nodes = BrakeNodes(
        rotor_j_per_k=3000.0,
        hub_j_per_k=8000.0,
        rotor_to_hub_w_per_k=3.0,
        rolling_w_per_k=1.5,
        hub_rolling_w_per_k=2.0,
        hub_parked_w_per_k=0.0,
        **BARE,
    )
    # At the reference speed the rolling loss is a plain conductance.
    heat = HeatInput(ambient_degc=0.0, speed_mps=50.0 / 3.6)
    expected = {300: 69.34235111, 600: 50.55145696, 1200: 31.04317396, 2400: 17.10990926}
    for until_s, rise_k in expected.items():
        now = march(nodes, heat, state(100.0, 20.0), until_s=until_s)
        assert now.rotor_degc[0] == pytest.approx(rise_k, abs=1e-6)  # step of 10 s; digits printed to 1e-8


# Steady rise per N·m of drag at 50 km/h for the poorest and the best cooling: a disc turning in still air
# (Kreith; Dorfman) and one in the vehicle's wind (Limpert), computed from both; three digits.
@pytest.mark.parametrize(
    ("name", "per_nm"), [("car_disc", (14.42, 4.11)), ("bus_disc", (4.22, 0.96))], ids=["car", "heavy disc"]
)
def test_drag_heats_as_computed_from_both_correlations(name, per_nm):
    brake = VEHICLE_CLASSES[name].axles[0].brake
    tyre_radius_m = 0.31 if name == "car_disc" else 0.50
    speed_mps = 50.0 / 3.6
    for rolling_w_per_k, expected_k in zip(brake.rolling_w_per_k, per_nm, strict=True):
        nodes = BrakeNodes(rotor_j_per_k=brake.rotor_j_per_k, rolling_w_per_k=rolling_w_per_k, **LONE, **BARE)
        heat = HeatInput(ambient_degc=15.0, speed_mps=speed_mps, rotor_w=1.0 * speed_mps / tyre_radius_m)
        now = march(nodes, heat, state(15.0, 15.0), until_s=60_000.0, step_s=60.0)
        assert now.rotor_degc[0] - 15.0 == pytest.approx(expected_k, rel=0.006)  # 0.96 has two digits


def test_rise_per_newton_metre_barely_changes_with_speed():
    """The same correlations give 14.42 and 16.93, 4.11 and 4.12 K per N·m at 50 and 100 km/h."""
    nodes = BrakeNodes(rotor_j_per_k=3000.0, rolling_w_per_k=5.0, **LONE, **BARE)
    rises = []
    for speed_kmh in (50.0, 100.0):
        heat = HeatInput(ambient_degc=0.0, speed_mps=speed_kmh / 3.6, rotor_w=speed_kmh / 3.6 / 0.31)
        rises.append(march(nodes, heat, state(0.0, 0.0), until_s=20_000.0, step_s=50.0).rotor_degc[0])
    assert 1.0 < rises[1] / rises[0] < 16.93 / 14.42


def test_one_stop_heats_one_disc():
    """Limpert: 1600 kg from 100 km/h, share 0.35, 6 kg at 500 J/kgK: 72.01646091 K, computed."""
    energy_j = 0.5 * 1600.0 * (100.0 / 3.6) ** 2
    nodes = BrakeNodes(rotor_j_per_k=3000.0, rolling_w_per_k=0.0, **LONE, **BARE)
    heat = HeatInput(ambient_degc=20.0, rotor_w=0.35 * energy_j / 10.0)
    now = advance(nodes, heat, state(20.0, 20.0), step_s=10.0)
    assert now.rotor_degc[0] - 20.0 == pytest.approx(72.01646091, abs=1e-8)


def test_fifteen_stops_climb_as_the_geometric_series():
    """ΔT 72.01646091 K, every 45 s, τ 300 s: 462.52455896 K just after the fifteenth, computed."""
    nodes = BrakeNodes(rotor_j_per_k=3000.0, rolling_w_per_k=10.0, **LONE, **BARE)
    rolling = HeatInput(ambient_degc=0.0, speed_mps=50.0 / 3.6)
    now = state(0.0, 0.0)
    for stop in range(15):
        if stop:
            now = march(nodes, rolling, now, until_s=45.0, step_s=5.0)
        now = state(float(now.rotor_degc[0]) + 72.01646091, 0.0)
    assert now.rotor_degc[0] == pytest.approx(462.52455896, abs=1e-4)  # steps of 5 s


temperatures = st.floats(min_value=-20.0, max_value=400.0)
powers = st.floats(min_value=0.0, max_value=5000.0)


@settings(max_examples=40, deadline=None)
@given(rotor=temperatures, hub=temperatures, rotor_w=powers, hub_w=powers, speed=st.floats(0.0, 30.0))
def test_no_heat_is_made_or_lost(rotor, hub, rotor_w, hub_w, speed):
    """Heat put in = heat stored + heat given off, whatever the drive."""
    nodes = BrakeNodes(
        rotor_j_per_k=3000.0,
        hub_j_per_k=8000.0,
        rotor_to_hub_w_per_k=3.0,
        area_m2=0.2,
        emissivity=0.6,
        film_w_per_m2k54=1.9,
        rolling_w_per_k=6.0,
        hub_rolling_w_per_k=5.0,
        hub_parked_w_per_k=2.0,
    )
    heat = HeatInput(ambient_degc=15.0, speed_mps=speed, rotor_w=rotor_w, hub_w=hub_w)
    now, step_s, given_off_j = state(rotor, hub), 2.0, 0.0
    for _ in range(100):
        after = advance(nodes, heat, now, step_s=step_s)
        loss_w = losses_w(nodes, heat, now) + losses_w(nodes, heat, after)
        given_off_j += 0.5 * step_s * loss_w
        now = after
    stored_j = 3000.0 * (now.rotor_degc[0] - rotor) + 8000.0 * (now.hub_degc[0] - hub)
    put_in_j = (rotor_w + hub_w) * 200.0
    turnover_j = put_in_j + abs(given_off_j) + abs(stored_j) + 1.0
    assert math.isclose(stored_j + given_off_j, put_in_j, abs_tol=2e-4 * turnover_j)  # trapezium rule


def test_without_losses_every_joule_stays():
    nodes = BrakeNodes(
        rotor_j_per_k=3000.0,
        hub_j_per_k=8000.0,
        rotor_to_hub_w_per_k=3.0,
        rolling_w_per_k=0.0,
        hub_rolling_w_per_k=0.0,
        hub_parked_w_per_k=0.0,
        **BARE,
    )
    heat = HeatInput(ambient_degc=15.0, speed_mps=20.0, rotor_w=700.0, hub_w=40.0)
    now = march(nodes, heat, state(60.0, 30.0), until_s=1800.0)
    stored_j = 3000.0 * (now.rotor_degc[0] - 60.0) + 8000.0 * (now.hub_degc[0] - 30.0)
    assert stored_j == pytest.approx(740.0 * 1800.0, rel=1e-12)
