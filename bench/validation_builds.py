"""What simulated healthy vehicles and drags look like: the figures that the policies lean on."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from validation_sets import LIGHT_DRAGS_NM, Array, planted, walked

from thermlog.simulation.builds import HEALTHY
from thermlog.simulation.simulate import SimulatedFleet, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.words.policy import load_policy


class Look(Struct, frozen=True, kw_only=True):
    """Indicated rises of one class at the policy's common time, even skins.

    Attributes
    ----------
    heat_k, heat_ln, heat_spread : float, float array, float
        Geometric mean over the axles of a healthy vehicle: median [K], its logarithms, their scatter.
    side_spread, axle_spread : float
        Scatter of ln of one side about its axle, and of one axle about its usual share.
    front_share : float
        First axle over the others.
    extra_ln : float array
        Logarithms of what a drag adds [ln K].
    """

    name: str
    weight_class: str
    heat_k: float
    heat_ln: Array
    heat_spread: float
    side_spread: float
    axle_spread: float
    front_share: float
    extra_ln: Array


def look(name: str, vehicles: int, seed: int) -> Look:
    """Simulate the same vehicles healthy and with one dragging corner each, 5 to 80 N·m or thrice that."""
    kind = VEHICLE_CLASSES[name]
    rng = np.random.default_rng([seed, 11])
    low, high = LIGHT_DRAGS_NM[0], LIGHT_DRAGS_NM[-1]
    faults = planted(kind, "corner_hot", low * (high / low) ** rng.random(vehicles), vehicles, rng)
    healthy, dragging = (
        _log_rises(simulate_fleet(kind, some, plan=walked(2), seed=seed))
        for some in ([HEALTHY] * vehicles, faults)
    )
    at_fault = (np.arange(vehicles), [kind.corners.index(fault.corners[0]) for fault in faults])
    extra_k = np.exp(dragging[at_fault]) - np.exp(healthy[at_fault])
    axles = 0.5 * (healthy[:, 0::2] + healthy[:, 1::2])
    heat = axles.mean(axis=1)
    return Look(
        name=name,
        weight_class=kind.weight_class,
        heat_k=float(np.exp(np.median(heat))),
        heat_ln=heat,
        heat_spread=float(heat.std()),
        side_spread=float((healthy[:, 0::2] - healthy[:, 1::2]).std() / np.sqrt(2.0)),
        axle_spread=float((axles - heat[:, np.newaxis]).std(axis=0).mean()),
        front_share=float(np.exp((axles[:, 0] - axles[:, 1:].mean(axis=1)).mean())),
        extra_ln=np.log(np.maximum(extra_k, 0.1)),
    )


def _log_rises(fleet: SimulatedFleet) -> Array:
    """ln of the rise an error-free gun would show at the common time after the start, (vehicles, corners)."""
    policy = load_policy(fleet.vehicle_class.weight_class)
    start_s = fleet.plan.walk.start_delay_s
    shown = fleet.indicated_degc(start_s + policy.common_time_s)
    return np.asarray(np.log(np.maximum(shown - fleet.ambient_degc[:, np.newaxis], 0.5)))
