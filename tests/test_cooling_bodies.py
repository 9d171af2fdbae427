"""Real bodies beside the simple laws: convection with radiation, rotor with hub, sums of exponentials."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares

from thermlog.physics.cooling import (
    STEFAN_BOLTZMANN,
    TwoNodes,
    exponential_sum,
    law_shape,
    two_node_modes,
)

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
