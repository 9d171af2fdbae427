"""Two-node heat balance of a brake, driven or parked, for whole arrays of brakes at once."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.physics.cooling import STEFAN_BOLTZMANN
from thermlog.words.tables import Floats
from thermlog.words.units import ZERO_DEGC_IN_K

REFERENCE_SPEED_MPS = 50.0 / 3.6
# Turbulent forced convection on a turning disc or in wind goes with speed to the power 0.8
# (Kreith; Dorfman; Limpert: from memory, not checked).
ROLLING_EXPONENT = 0.8

FloatsLike: TypeAlias = Floats | float


class BrakeNodes(Struct, frozen=True, kw_only=True):
    """Thermal constants of brakes; scalars or arrays that broadcast against the temperatures.

    Attributes
    ----------
    rotor_j_per_k, hub_j_per_k : float or array
        Heat capacities [J/K], above zero.
    rotor_to_hub_w_per_k : float or array
        Conduction between the nodes [W/K].
    area_m2 : float or array
        Surface of the rotor node that convects and radiates when parked [m²].
    emissivity : float or array
        Total hemispherical emissivity of that surface, 0 to 1. Not what the gun sees.
    film_w_per_m2k54 : float or array
        C in h = C·θ^¼, natural convection of the rotor node [W/m²K^1.25].
    rolling_w_per_k, hub_rolling_w_per_k : float or array
        Forced-convection loss at 50 km/h [W/K].
    hub_parked_w_per_k : float or array
        Loss of the hub node to still air [W/K].
    """

    rotor_j_per_k: FloatsLike
    hub_j_per_k: FloatsLike
    rotor_to_hub_w_per_k: FloatsLike
    area_m2: FloatsLike
    emissivity: FloatsLike
    film_w_per_m2k54: FloatsLike
    rolling_w_per_k: FloatsLike
    hub_rolling_w_per_k: FloatsLike
    hub_parked_w_per_k: FloatsLike


class HeatInput(Struct, frozen=True, kw_only=True):
    """What acts on the brakes during one step, constant through it.

    Attributes
    ----------
    ambient_degc : float or array
        Air and surroundings [°C].
    speed_mps : float or array
        Vehicle speed [m/s]; 0 is parked.
    rotor_w, hub_w : float or array
        Heat put into the nodes [W].
    """

    ambient_degc: FloatsLike
    speed_mps: FloatsLike = 0.0
    rotor_w: FloatsLike = 0.0
    hub_w: FloatsLike = 0.0


class BrakeState(Struct, frozen=True, kw_only=True):
    """Temperatures of the two nodes [°C], arrays of one shape."""

    rotor_degc: Floats
    hub_degc: Floats


class _Step(Struct, frozen=True, kw_only=True):
    """One step's inputs with everything computed that stays constant through it."""

    nodes: BrakeNodes
    heat: HeatInput
    rolling_w_per_k: FloatsLike
    hub_loss_w_per_k: FloatsLike
    natural_w_per_k54: FloatsLike
    radiating_w_per_k4: FloatsLike
    surroundings_k4: FloatsLike


def _prepare(nodes: BrakeNodes, heat: HeatInput) -> _Step:
    speed_factor = (np.asarray(heat.speed_mps) / REFERENCE_SPEED_MPS) ** ROLLING_EXPONENT
    return _Step(
        nodes=nodes,
        heat=heat,
        rolling_w_per_k=nodes.rolling_w_per_k * speed_factor,
        hub_loss_w_per_k=np.maximum(nodes.hub_parked_w_per_k, nodes.hub_rolling_w_per_k * speed_factor),
        natural_w_per_k54=nodes.film_w_per_m2k54 * nodes.area_m2,
        radiating_w_per_k4=STEFAN_BOLTZMANN * nodes.emissivity * nodes.area_m2,
        surroundings_k4=(heat.ambient_degc + ZERO_DEGC_IN_K) ** 4,
    )


def _losses_w(step: _Step, rotor_degc: Floats, hub_degc: Floats) -> tuple[Floats, Floats]:
    """Heat the two nodes give to the surroundings [W]: the stronger convection, and radiation."""
    rise_k = rotor_degc - step.heat.ambient_degc
    natural_w_per_k = step.natural_w_per_k54 * np.sqrt(np.sqrt(np.abs(rise_k)))
    square_k2 = (rotor_degc + ZERO_DEGC_IN_K) ** 2
    radiation_w = step.radiating_w_per_k4 * (square_k2 * square_k2 - step.surroundings_k4)
    rotor_w = np.maximum(step.rolling_w_per_k, natural_w_per_k) * rise_k + radiation_w
    return rotor_w, step.hub_loss_w_per_k * (hub_degc - step.heat.ambient_degc)


def _rates(step: _Step, rotor_degc: Floats, hub_degc: Floats) -> tuple[Floats, Floats]:
    rotor_loss_w, hub_loss_w = _losses_w(step, rotor_degc, hub_degc)
    across_w = step.nodes.rotor_to_hub_w_per_k * (rotor_degc - hub_degc)
    return (
        (step.heat.rotor_w - across_w - rotor_loss_w) / step.nodes.rotor_j_per_k,
        (step.heat.hub_w + across_w - hub_loss_w) / step.nodes.hub_j_per_k,
    )


def advance(nodes: BrakeNodes, heat: HeatInput, state: BrakeState, *, step_s: float) -> BrakeState:
    """Temperatures one step later.

    Parameters
    ----------
    nodes, heat, state
        Brakes, what acts on them during the step, their temperatures at its start; shapes broadcast.
    step_s : float
        Length of the step [s], at most a third of the shortest time constant.

    Returns
    -------
    BrakeState

    Notes
    -----
    Classical Runge-Kutta of fourth order. Rotor: C₁ dT₁/dt = P₁ - G₁₂(T₁ - T₂) - max(G_v, C A θ^¼) θ -
    εσA(T₁⁴ - Tₐ⁴); hub: C₂ dT₂/dt = P₂ + G₁₂(T₁ - T₂) - G₂(T₂ - Tₐ), with θ = T₁ - Tₐ.
    """
    step = _prepare(nodes, heat)
    rotor, hub = state.rotor_degc, state.hub_degc
    half = 0.5 * step_s
    a1, b1 = _rates(step, rotor, hub)
    a2, b2 = _rates(step, rotor + half * a1, hub + half * b1)
    a3, b3 = _rates(step, rotor + half * a2, hub + half * b2)
    a4, b4 = _rates(step, rotor + step_s * a3, hub + step_s * b3)
    return BrakeState(
        rotor_degc=rotor + step_s / 6.0 * (a1 + 2.0 * (a2 + a3) + a4),
        hub_degc=hub + step_s / 6.0 * (b1 + 2.0 * (b2 + b3) + b4),
    )
