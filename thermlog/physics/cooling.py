"""Formulas of heating and cooling, on numbers and arrays.

Temperatures in °C carry ``_degc``, differences ``_k``. Nothing here knows of readings or vehicles.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.words.tables import Floats
from thermlog.words.units import ZERO_DEGC_IN_K

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


STEFAN_BOLTZMANN = 5.670374419184430e-8  # W/(m²·K⁴), 2π⁵k⁴/(15h³c²) with the exact constants of the SI

Law: TypeAlias = Literal["exponential", "power", "warming"]
LAWS: tuple[Law, ...] = ("exponential", "power")  # the laws of cooling, which a user may choose from


def law_shape(scaled_time: ArrayLike, law: Law) -> tuple[Floats, Floats]:
    """Tell what is left of a rise (or how much of one is done), and how that answers to the time constant.

    Parameters
    ----------
    scaled_time : array_like, any shape
        x = time over time constant, t/τ, without unit. Above −4 under the power law.
    law : {"exponential", "power", "warming"}
        Newton's law, the 5/4-power law of natural convection (film coefficient ~ rise^¼), or Newton's law for
        a body that warms towards a level.

    Returns
    -------
    shape : float array
        m(x) = exp(−x), (1 + x/4)⁻⁴ or 1 − exp(−x); 1 at x = 0, but 0 when warming.
    slope : float array
        dm/d ln τ = x·exp(−x), x·(1 + x/4)⁻⁵ or −x·exp(−x).

    Notes
    -----
    Power law: Bejan & Kraus, Heat Transfer Handbook (2003), eqs 3.285-3.286, with exponent ¼. τ is the time
    constant at the start.

    Examples
    --------
    >>> shape, slope = law_shape([0.0, 1.0], "power")
    >>> shape.round(4).tolist(), slope.round(5).tolist()
    ([1.0, 0.4096], [0.0, 0.32768])
    """
    x = np.asarray(scaled_time, dtype=np.float64)
    if law == "exponential":
        shape = np.exp(-x)
        return shape, x * shape
    if law == "warming":
        return -np.expm1(-x), -x * np.exp(-x)
    inverse = 1.0 / (1.0 + 0.25 * x)
    square = inverse * inverse
    shape = square * square
    return shape, x * shape * inverse


def law_curvature(scaled_time: Floats, slope: Floats, law: Law) -> Floats:
    """Second derivative d²m/d(ln τ)² of the shape of `law_shape`.

    Parameters
    ----------
    scaled_time, slope : float array, same shape
        x = t/τ without unit, and the slope which `law_shape` gives there.
    law : Law

    Returns
    -------
    float array
        slope·(x − 1), under the power law slope·((5/4)·x/(1 + x/4) − 1).

    Examples
    --------
    >>> x = np.array([0.5, 1.0, 2.0])
    >>> law_curvature(x, law_shape(x, "exponential")[1], "exponential").round(4).tolist()
    [-0.1516, 0.0, 0.2707]
    """
    if law == "power":
        return slope * (1.25 * scaled_time / (1.0 + 0.25 * scaled_time) - 1.0)
    return slope * (scaled_time - 1.0)


def newton_cooling_degc(
    elapsed_s: ArrayLike, *, start_degc: ArrayLike, ambient_degc: ArrayLike, tau_s: ArrayLike
) -> Floats:
    """Temperature of a body that loses heat in proportion to its excess.

    Parameters
    ----------
    elapsed_s : array_like
        Time since the start [s]; all arguments broadcast.
    start_degc, ambient_degc : array_like
        Temperature at the start, and of the air far away [°C].
    tau_s : array_like
        Time constant, above 0 [s].

    Returns
    -------
    float array
        Temperature [°C]: ambient + (start − ambient)·exp(−t/τ).

    Notes
    -----
    Lumped body: Bergman et al., Fundamentals of Heat and Mass Transfer, 7th ed. (2011), section 5.1-5.2
    (from memory, not checked). Valid while `biot_number` stays below 0.1 and radiation is small beside
    convection.

    Examples
    --------
    >>> newton_cooling_degc([0.0, 300.0], start_degc=120.0, ambient_degc=20.0, tau_s=1800.0).round(3).tolist()
    [120.0, 104.648]
    """
    return _cooled(
        elapsed_s, start_degc=start_degc, ambient_degc=ambient_degc, tau_s=tau_s, law="exponential"
    )


def power_law_cooling_degc(
    elapsed_s: ArrayLike, *, start_degc: ArrayLike, ambient_degc: ArrayLike, tau_s: ArrayLike
) -> Floats:
    """Temperature of a body whose film coefficient grows with the fourth root of its excess.

    Parameters and result as in `newton_cooling_degc`; `tau_s` is the time constant at the start. The local
    time constant grows as rise^(−¼) on the way down.

    Notes
    -----
    Laminar natural convection. Bejan & Kraus, Heat Transfer Handbook (2003), eqs 3.285-3.286.

    Examples
    --------
    >>> float(power_law_cooling_degc(60.0, start_degc=100.0, ambient_degc=0.0, tau_s=60.0).round(2))
    40.96
    """
    return _cooled(elapsed_s, start_degc=start_degc, ambient_degc=ambient_degc, tau_s=tau_s, law="power")


def _cooled(
    elapsed_s: ArrayLike, *, start_degc: ArrayLike, ambient_degc: ArrayLike, tau_s: ArrayLike, law: Law
) -> Floats:
    """Ambient plus what the law leaves of the rise."""
    start, ambient = np.asarray(start_degc, dtype=np.float64), np.asarray(ambient_degc, dtype=np.float64)
    shape, _ = law_shape(np.asarray(elapsed_s, dtype=np.float64) / np.asarray(tau_s, dtype=np.float64), law)
    return ambient + (start - ambient) * shape


def newton_cooling_time_s(*, start_rise_k: float, end_rise_k: float, tau_s: float) -> float:
    """Time in which Newton's law takes one rise to another [s].

    Examples
    --------
    >>> round(newton_cooling_time_s(start_rise_k=350.0, end_rise_k=50.0, tau_s=2990.0), 1)
    5818.3
    """
    return tau_s * math.log(start_rise_k / end_rise_k)


def radiation_cooling_time_s(
    *, start_degc: float, end_degc: float, surroundings_degc: float, capacity_per_area_j_m2k: float
) -> float:
    """Time in which radiation alone cools a lumped body.

    Parameters
    ----------
    start_degc, end_degc, surroundings_degc : float
        Temperatures [°C], start above end above surroundings.
    capacity_per_area_j_m2k : float
        Heat capacity over emissivity times area, m·c/(ε·A) [J/(m²·K)].

    Returns
    -------
    float
        Time [s].

    Notes
    -----
    Bejan & Kraus, Heat Transfer Handbook (2003), eq. 3.283.
    """
    start, end, around = (v + ZERO_DEGC_IN_K for v in (start_degc, end_degc, surroundings_degc))

    def primitive(t: float) -> float:
        return math.log((t + around) / (t - around)) + 2.0 * math.atan(t / around)

    return (
        (primitive(end) - primitive(start)) * capacity_per_area_j_m2k / (4.0 * STEFAN_BOLTZMANN * around**3)
    )


def biot_number(*, film_w_m2k: float, length_m: float, conductivity_w_mk: float) -> float:
    """Inner over outer resistance to heat; a body is lumped below 0.1.

    `length_m` is volume over cooled area. Bergman et al., 7th ed. (2011), section 5.2 (from memory, not
    checked).
    """
    return film_w_m2k * length_m / conductivity_w_mk


def lumped_tau_s(*, capacity_j_k: float, film_w_m2k: float, area_m2: float) -> float:
    """Time constant of a lumped body, heat capacity over film coefficient times area [s]."""
    return capacity_j_k / (film_w_m2k * area_m2)


def radiation_film_w_m2k(*, surface_degc: float, surroundings_degc: float, emissivity: float) -> float:
    """Radiation between a small grey body and its surroundings as a film coefficient [W/(m²·K)].

    Examples
    --------
    >>> round(radiation_film_w_m2k(surface_degc=120.0, surroundings_degc=20.0, emissivity=0.8), 4)
    7.4875
    """
    hot, cold = surface_degc + ZERO_DEGC_IN_K, surroundings_degc + ZERO_DEGC_IN_K
    return emissivity * STEFAN_BOLTZMANN * (hot * hot + cold * cold) * (hot + cold)


def churchill_chu_nusselt(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Mean Nusselt number of natural convection on a vertical plate, any Rayleigh number up to 1e12.

    Notes
    -----
    Churchill & Chu, Int. J. Heat Mass Transfer 18 (1975) 1323 (from memory, not checked).

    Examples
    --------
    >>> float(churchill_chu_nusselt(1.813e9, 0.69).round(6))
    147.11901
    """
    ra, pr = np.asarray(rayleigh, dtype=np.float64), np.asarray(prandtl, dtype=np.float64)
    damping = (1.0 + (0.492 / pr) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return np.asarray((0.825 + 0.387 * ra ** (1.0 / 6.0) / damping) ** 2, dtype=np.float64)


def stop_rise_k(*, energy_j: float, share: float, capacity_j_k: float) -> float:
    """Mean rise of one rotor or drum from one stop [K].

    `share` is the part of the vehicle's energy which this brake takes. Limpert, Brake Design and Safety
    (from memory, not checked).
    """
    return share * energy_j / capacity_j_k


def stop_series_rise_k(single_rise_k: float, *, stops: float, interval_s: float, tau_s: float) -> float:
    """Rise just after the last of a series of equal stops.

    Parameters
    ----------
    single_rise_k : float
        Rise from one stop [K].
    stops : float
        Number of stops; ``inf`` gives the limit.
    interval_s : float
        Time between stops [s].
    tau_s : float
        Time constant while driving [s].

    Returns
    -------
    float
        Rise [K]: the geometric series of what cooling leaves of each stop.
    """
    return single_rise_k * math.expm1(-stops * interval_s / tau_s) / math.expm1(-interval_s / tau_s)


def drag_power_w(*, torque_nm: float, speed_m_s: float, tyre_radius_m: float) -> float:
    """Heat which a dragging brake makes on the road, torque times wheel speed [W].

    Examples
    --------
    >>> round(drag_power_w(torque_nm=10.0, speed_m_s=100.0 / 3.6, tyre_radius_m=0.31), 3)
    896.057
    """
    return torque_nm * speed_m_s / tyre_radius_m


def steady_rise_k(power_w: float, *, film_w_m2k: float, area_m2: float) -> float:
    """Rise at which a lumped body sheds as much heat as it gets [K]."""
    return power_w / (film_w_m2k * area_m2)


class TwoNodes(Struct, frozen=True, kw_only=True):
    """Two lumped bodies that exchange heat, such as a rotor (first) and its hub (second).

    Attributes
    ----------
    capacities_j_k : pair of float
        Heat capacities [J/K].
    losses_w_k : pair of float
        Conductances to the air [W/K].
    link_w_k : float
        Conductance between the two [W/K].
    """

    capacities_j_k: tuple[float, float]
    losses_w_k: tuple[float, float]
    link_w_k: float


class Modes(Struct, frozen=True, kw_only=True):
    """The two exponentials in which the first body cools, fast one first.

    Attributes
    ----------
    taus_s : pair of float
        Time constants [s].
    amplitudes_k : pair of float
        Their shares of the first body's rise at the start [K].
    """

    taus_s: tuple[float, float]
    amplitudes_k: tuple[float, float]


def two_node_modes(nodes: TwoNodes, *, first_rise_k: float, second_rise_k: float) -> Modes:
    """Exponentials in which the first of two linked bodies cools.

    Parameters
    ----------
    nodes : TwoNodes
        ``link_w_k`` above 0.
    first_rise_k, second_rise_k : float
        Rises at the start [K].

    Returns
    -------
    Modes
        Closed form: eigenvalues of the 2 × 2 heat balance.
    """
    (c1, c2), (g1, g2), link = nodes.capacities_j_k, nodes.losses_w_k, nodes.link_w_k
    own, other = (link + g1) / c1, (link + g2) / c2
    half, split = (own + other) / 2.0, math.hypot((own - other) / 2.0, link / math.sqrt(c1 * c2))
    fast, slow = half + split, half - split
    start_slope = link / c1 * second_rise_k - own * first_rise_k
    fast_k = -(start_slope + slow * first_rise_k) / (fast - slow)
    return Modes(taus_s=(1.0 / fast, 1.0 / slow), amplitudes_k=(fast_k, first_rise_k - fast_k))


def exponential_sum(
    elapsed_s: ArrayLike, *, offset: float, amplitudes: Floats, rates_per_s: Floats
) -> Floats:
    """Offset plus decaying exponentials, offset + Σ aᵢ·exp(−kᵢ·t), same shape as `elapsed_s`."""
    t = np.asarray(elapsed_s, dtype=np.float64)
    return np.asarray(offset + np.exp(-t[..., np.newaxis] * rates_per_s) @ amplitudes, dtype=np.float64)


class ThreePoint(Struct, frozen=True, kw_only=True):
    """Settling temperature [°C] and time constant [s] from three readings at equal steps."""

    ambient_degc: float
    tau_s: float


def three_point_recovery(temps_degc: tuple[float, float, float], *, step_s: float) -> ThreePoint:
    """Solve Newton's law exactly through three readings at equal steps of time.

    Parameters
    ----------
    temps_degc : three floats
        Readings in order of time, falling (or rising) by smaller and smaller steps [°C].
    step_s : float
        Time between them [s].

    Returns
    -------
    ThreePoint
        NaN twice where no exponential passes through the three.

    Notes
    -----
    An exact check, not an estimator: the settling temperature found so is far too sensitive to noise.

    Examples
    --------
    >>> three_point_recovery((120.0, 70.0, 45.0), step_s=60.0).ambient_degc
    20.0
    """
    first, second, third = temps_degc
    early, late = first - second, second - third
    if late == 0.0 or early / late <= 0.0 or early == late:
        return ThreePoint(ambient_degc=math.nan, tau_s=math.nan)
    ambient = (first * third - second * second) / (first + third - 2.0 * second)
    return ThreePoint(ambient_degc=ambient, tau_s=step_s / math.log(early / late))
