"""Simulated vehicles for the validation: what is planted, how it is read, and what thermlog says of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from msgspec import Struct, field

from thermlog.correcting.surfaces import load_surfaces
from thermlog.judging.diagnose import Settings, diagnoses, judge
from thermlog.judging.judged import Judged
from thermlog.judging.pattern import KINDS
from thermlog.simulation.builds import HEALTHY, Fault, FaultKind, fault_places
from thermlog.simulation.simulate import MeasurePlan, SimulatedFleet, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES, VehicleClass
from thermlog.simulation.walkround import MIXED_SKINS, RUSTY_SKINS, SkinPlan, WalkPlan
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.tables import Drive
from thermlog.words.vehicle import SIDES, corner_name

Array = np.ndarray[Any, np.dtype[Any]]

# The motor of the electric car slows it: its brakes stay too cool to compare, which has a section of its own.
CLASSES = tuple(name for name, kind in VEHICLE_CLASSES.items() if not kind.regenerative)
LIGHT_DRAGS_NM = (5.0, 10.0, 20.0, 40.0, 80.0)
HEAVY_OVER_LIGHT = 3.0
LOST = (0.5, 0.8, 1.0)
ROUNDS = (1, 2, 3, 6)
# Mixed populations: drag log-uniform between these on light vehicles, three times that on heavy ones.
MIXED_DRAG_NM = (10.0, 80.0)
MIXED_LOST = (0.4, 1.0)


class Said(Struct, frozen=True, kw_only=True):
    """Simulated vehicles of one class with all that thermlog says of them."""

    fleet: SimulatedFleet
    judged: Judged
    told: tuple[Diagnosis, ...] = field(default=())

    @property
    def p_fault(self) -> Array:
        """Probability that anything is wrong, (vehicles,)."""
        return 1.0 - self.judged.patterns.p_kind[:, KINDS.index("none")]

    @property
    def p_drag(self) -> Array:
        """Probability that anything is hot: ``p_fault`` less its cold part, (vehicles,)."""
        cold = [KINDS.index("corner_cold"), KINDS.index("axle_cold")]
        return self.p_fault - self.judged.patterns.p_kind[:, cold].sum(axis=1)

    @property
    def members(self) -> list[set[str]]:
        """Corners of the best supported fault of each vehicle."""
        return [{corner(*place) for place in places} for places in self.judged.patterns.members]


def corner(axle: int, side: int) -> str:
    """Canonical name of a corner."""
    return corner_name(axle, SIDES[side])


def unknown_skins() -> SkinPlan:
    """Skins that differ as thermlog believes of a brake whose surface nobody stated."""
    skin = load_surfaces().skins["brake"]
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


def plantable(kind: VehicleClass) -> set[FaultKind]:
    """Kinds of fault that a vehicle of this class can have; a diagonal needs a diagonal or unstated split."""
    kinds: list[FaultKind] = [
        "none",
        "corner_hot",
        "corner_cold",
        "axle_hot",
        "axle_cold",
        "all_hot",
        "hub_hot",
    ]
    if kind.split != "front_rear":
        kinds.append("diagonal_hot")
    return {fault for fault in kinds if fault_places(kind, fault)}


def planted(
    kind: VehicleClass, fault: FaultKind, severity: float | Array, count: int, rng: np.random.Generator
) -> list[Fault]:
    """So many vehicles with one kind of fault at places drawn evenly; severity as for light vehicles."""
    places = fault_places(kind, fault)
    levels = np.broadcast_to(np.asarray(severity, dtype=np.float64), (count,))
    cold = fault.endswith("cold")
    return [
        Fault(
            kind=fault,
            corners=places[int(rng.integers(len(places)))],
            drag_nm=0.0 if cold else float(level) * drag_scale(kind),
            lost_fraction=float(level) if cold else 0.0,
        )
        for level in levels
    ]


def mixed_severity(fault: FaultKind, count: int, rng: np.random.Generator) -> Array:
    """Severities of a mixed population."""
    if fault.endswith("cold"):
        return rng.uniform(*MIXED_LOST, size=count)
    low, high = MIXED_DRAG_NM
    return np.asarray(low * (high / low) ** rng.random(count))


def policy_mix(kind: VehicleClass) -> dict[FaultKind, float]:
    """Share of every plantable kind among all vehicles: the policy's own, scaled to its fault share."""
    policy = load_policy(kind.weight_class)
    weights: dict[FaultKind, float] = {
        "corner_hot": policy.corner_hot_weight,
        "corner_cold": policy.corner_cold_weight,
        "axle_hot": policy.axle_hot_weight,
        "axle_cold": policy.axle_cold_weight,
        "all_hot": policy.all_hot_weight,
    }
    if "diagonal_hot" in plantable(kind):
        weights["diagonal_hot"] = policy.diagonal_hot_weight
    total = sum(weights.values())
    return {fault: policy.fault_share * weight / total for fault, weight in weights.items() if weight > 0}


def mixed(kind: VehicleClass, count: int, rng: np.random.Generator) -> list[Fault]:
    """Vehicles as brought to a check: healthy and faulty in the policy's own shares."""
    faults: list[Fault] = []
    for fault, share in policy_mix(kind).items():
        size = round(share * count)
        faults += planted(kind, fault, mixed_severity(fault, size, rng), size, rng)
    return faults + [HEALTHY] * (count - len(faults))


def say(
    kind: VehicleClass,
    faults: Sequence[Fault],
    plan: MeasurePlan,
    *,
    seed: int,
    drive: Drive = "normal",
    tell: bool = True,
) -> Said:
    """Simulate and judge, and tell in words if asked."""
    fleet = simulate_fleet(kind, faults, drive=drive, plan=plan, seed=seed)
    judged = judge(fleet.readings, Settings())
    return Said(fleet=fleet, judged=judged, told=tuple(diagnoses(judged)) if tell else ())
