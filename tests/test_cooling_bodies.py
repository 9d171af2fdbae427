"""Real bodies beside the simple laws: convection with radiation, rotor with hub; what the fit tells."""

import math

import numpy as np
import pytest
from bodies import PARKED, marched, plain_fit, plate, plate_degc
from scipy.integrate import solve_ivp

from thermlog.fitting.pairs import pair_readings
from thermlog.fitting.predict import state_at
from thermlog.physics.cooling import law_shape
from thermlog.simulation.brakeheat import BrakeNodes, HeatInput

# "Worked" numbers were computed once apart from this code, by scipy's solvers.


@pytest.mark.parametrize(
    ("emissivity", "taus_s"),
    [(0.3, [1340.636, 1670.220, 2140.626, 2489.253]), (0.8, [837.072, 1098.052, 1428.019, 1632.420])],
)
def test_local_time_constant_nearly_doubles_on_the_way_down(emissivity, taus_s):
    """Worked, at 200, 120, 60 and 40 °C: rise over its own rate of fall, here from one step of 0.1 s."""
    got = []
    for degc in (200.0, 120.0, 60.0, 40.0):
        after = float(marched(plate(emissivity), PARKED, (degc, 20.0), [0.1], step_s=0.1)[0])
        got.append(0.1 / math.log((degc - 20.0) / (after - 20.0)))
    np.testing.assert_allclose(got, taus_s, rtol=1e-4)


@pytest.mark.parametrize(
    ("emissivity", "tau_s", "start_degc", "hour_degc"),
    [(0.3, 1515.673, 197.788, 36.53), (0.8, 1035.465, 194.755, 25.40)],
)
def test_an_exponential_hides_its_misfit_and_fails_forward(emissivity, tau_s, start_degc, hour_degc):
    """Worked: readings at 2, 5, 8, 11, 14 min; our fit run forward to an hour is 7 to 10 K low."""
    seconds = np.array([120.0, 300.0, 480.0, 660.0, 840.0])
    readings, fits = plain_fit(seconds, plate_degc(seconds, emissivity), 20.0)
    pairs = pair_readings(readings)
    assert np.exp(fits.log_tau[0, 0]) == pytest.approx(tau_s, abs=2e-3)
    assert np.abs(fits.residual_k).max() < 1.5  # the misfit hides below what a gun shows
    for at_s, degc, digits in ((0.0, start_degc, 2e-3), (3600.0, hour_degc, 6e-3)):
        found = state_at(fits, pairs, np.array([at_s])).temperature_degc[0, 0]
        assert found == pytest.approx(degc, abs=digits)


@pytest.mark.parametrize(
    ("span", "amplitude", "tau", "largest"),
    [
        (1.0, 98.8388, 1.10659, 1.161),
        (2.0, 97.1483, 1.18190, 2.852),
        (3.0, 95.8583, 1.23174, 4.142),
    ],
)
def test_an_exponential_through_a_pure_power_law(span, amplitude, tau, largest):
    """Worked: 61 points, 100 K; our exponential fit of our power law, time constant 1000 s."""
    x = np.linspace(0.0, span, 61)
    _, fits = plain_fit(1000.0 * x, 100.0 * law_shape(x, "power")[0], 0.0)
    assert fits.amplitude_k[0, 0] == pytest.approx(amplitude, abs=6e-5)
    assert np.exp(fits.log_tau[0, 0]) / 1000.0 == pytest.approx(tau, abs=6e-6)
    assert np.abs(fits.residual_k).max() == pytest.approx(largest, abs=6e-4)


def test_rotor_with_hub_against_integration():
    """Independent reference: the heat balance of both bodies, integrated by scipy; worked to 40 minutes."""
    nodes = BrakeNodes(
        rotor_j_per_k=3000.0, hub_j_per_k=8000.0, rotor_to_hub_w_per_k=3.0, area_m2=0.0, emissivity=0.0,
        film_w_per_m2k54=0.0, rolling_w_per_k=1.5, hub_rolling_w_per_k=2.0, hub_parked_w_per_k=0.0,
    )  # fmt: skip

    def balance(_t, y):
        flow = 3.0 * (y[0] - y[1])
        return [(-flow - 1.5 * y[0]) / 3000.0, (flow - 2.0 * y[1]) / 8000.0]

    seconds = np.array([300.0, 600.0, 1200.0, 2400.0, 7200.0])
    solved = solve_ivp(balance, (0.0, 7200.0), [100.0, 20.0], t_eval=seconds, rtol=1e-11, atol=1e-11)
    rolling = HeatInput(ambient_degc=0.0, speed_mps=50.0 / 3.6)  # where rolling losses are plain conductances
    rise = marched(nodes, rolling, (100.0, 20.0), seconds)
    np.testing.assert_allclose(rise, solved.y[0], rtol=1e-7)
    np.testing.assert_allclose(rise[:4], [69.34235111, 50.55145696, 31.04317396, 17.10990926], atol=1e-6)
