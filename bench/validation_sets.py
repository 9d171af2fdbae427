"""Vehicles of the project's own simulator for the validation: what is planted, and how it is read."""

from __future__ import annotations

from typing import Any

import numpy as np

from thermlog.correcting.surfaces import usual_surfaces
from thermlog.simulation.builds import Fault, fault_places
from thermlog.simulation.simulate import MeasurePlan
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES, VehicleClass
from thermlog.simulation.walkround import MIXED_SKINS, RUSTY_SKINS, SkinPlan, WalkPlan
from thermlog.words.findings import PatternKind
from thermlog.words.kinds import FAULT_KINDS, fault_kind
from thermlog.words.policy import load_policy

Array = np.ndarray[Any, np.dtype[Any]]

# The motor of the electric car slows it: its brakes stay too cool to compare, which has a section of its own.
CLASSES = tuple(name for name, kind in VEHICLE_CLASSES.items() if not kind.regenerative)
HEAVY_OVER_LIGHT = 3.0
ROUNDS = (1, 2, 3, 6)


def unknown_skins() -> SkinPlan:
    """Skins that differ as thermlog believes of a brake whose surface nobody stated."""
    skin = usual_surfaces().skins["brake"]
    middle, common, own = (
        float(np.asarray(v)) for v in (skin.emissivity, skin.spread_common, skin.spread_corner)
    )
    return SkinPlan(emissivity=middle, common_sigma=middle * common, separate_sigma=middle * own)


SKINS: dict[str, SkinPlan] = {
    "even": RUSTY_SKINS,
    "somewhat unlike": MIXED_SKINS,
    "as believed": unknown_skins(),
}


def drag_scale(kind: VehicleClass) -> float:
    """How much stronger a heavy vehicle's drags are planted."""
    return HEAVY_OVER_LIGHT if kind.weight_class == "heavy" else 1.0


def walked(rounds: int, **changes: Any) -> MeasurePlan:
    """The usual measurement with so many rounds; the log carries the vehicle's description."""
    return MeasurePlan(**({"walk": WalkPlan(rounds=rounds), "described": True} | changes))


def plantable(kind: VehicleClass) -> set[PatternKind]:
    """Kinds of fault that a vehicle of this class can have; a diagonal needs a diagonal or unstated split."""
    kinds = [one.name for one in FAULT_KINDS if one.simulated and one.never_on != kind.split]
    return {fault for fault in kinds if fault_places(kind, fault)}


def planted(
    kind: VehicleClass, fault: PatternKind, severity: float | Array, count: int, rng: np.random.Generator
) -> list[Fault]:
    """So many vehicles with one kind of fault at places drawn evenly; severity as for light vehicles."""
    places = fault_places(kind, fault)
    levels = np.broadcast_to(np.asarray(severity, dtype=np.float64), (count,))
    cold = fault_kind(fault).sign == "cold"
    return [
        Fault(
            kind=fault,
            corners=places[int(rng.integers(len(places)))],
            drag_nm=0.0 if cold else float(level) * drag_scale(kind),
            lost_fraction=float(level) if cold else 0.0,
        )
        for level in levels
    ]


def policy_mix(kind: VehicleClass) -> dict[PatternKind, float]:
    """Share of every plantable kind among all vehicles: the policy's own, scaled to its fault share."""
    policy = load_policy(kind.weight_class)
    can_have = plantable(kind)
    # brakes of one circuit last: the order is that of the draws
    kinds = sorted(FAULT_KINDS, key=lambda one: one.scope == "circuit")
    weights = {one.name: getattr(policy, one.weight) for one in kinds if one.weight and one.name in can_have}
    total = sum(weights.values())
    return {fault: policy.fault_share * weight / total for fault, weight in weights.items() if weight > 0}
