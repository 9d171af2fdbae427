"""Simulated fleets whose skins a test sets itself, for the tests of surfaces and of uncertainty."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from msgspec import Struct
from msgspec.structs import replace

from thermlog.correcting.surfaces import usual_surfaces
from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.simulation import simulate
from thermlog.simulation.builds import HEALTHY, Fault
from thermlog.simulation.simulate import MeasurePlan, SimulatedFleet, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import GunPlan, SkinPlan, WalkPlan
from thermlog.words.findings import Diagnosis
from thermlog.words.tables import Floats, Readings
from thermlog.words.vehicle import Spot

# Shape (vehicles, corners) and a source of chance -> emissivity of every corner.
Skins = Callable[[tuple[int, int], np.random.Generator], Floats]


class Tour(Struct, frozen=True, kw_only=True):
    """Which vehicles are read how."""

    build: str
    skins: Skins
    vehicles: int = 250
    spot: Spot = "brake"
    rounds: int = 3
    resolution_k: float = 0.1
    miss_share: float = 0.03
    equal_heat: bool = False
    fault: Fault = HEALTHY
    seed: int = 5


def toured(tour: Tour) -> SimulatedFleet:
    """Drive, park and read them; nothing but the skins is replaced."""

    def drawn(_plan: SkinPlan, idle: Floats, *, rng: np.random.Generator) -> Floats:
        return tour.skins(idle.shape, rng)

    kind = VEHICLE_CLASSES[tour.build]
    if tour.equal_heat:
        kind = replace(kind, side_spread=0.0)
    plan = MeasurePlan(
        walk=WalkPlan(rounds=tour.rounds, spots=(tour.spot,)),
        gun=GunPlan(resolution_k=tour.resolution_k, miss_share=tour.miss_share),
        described=True,
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(simulate, "draw_skins", drawn)
        return simulate_fleet(kind, [tour.fault] * tour.vehicles, plan=plan, seed=tour.seed)


def sides(left: float, right: float, *, axle: int | None = None, elsewhere: float = 0.75) -> Skins:
    """One emissivity for all left and one for all right corners, or so on one axle only."""

    def skins(shape: tuple[int, int], _rng: np.random.Generator) -> Floats:
        skin = np.full(shape, elsewhere)
        places = slice(None) if axle is None else slice(2 * axle - 2, 2 * axle)
        skin[:, places][:, 0::2], skin[:, places][:, 1::2] = left, right
        return skin

    return skins


def believed(spot: Spot) -> Skins:
    """Skins drawn from what the table of surfaces states of this spot."""
    skin = usual_surfaces().skins[spot]
    middle, common, corner = (
        float(np.asarray(part)) for part in (skin.emissivity, skin.spread_common, skin.spread_corner)
    )

    def skins(shape: tuple[int, int], rng: np.random.Generator) -> Floats:
        log = common * rng.standard_normal((shape[0], 1)) + corner * rng.standard_normal(shape)
        return np.clip(middle * np.exp(log), 0.05, 0.99)

    return skins


def any_skin(shape: tuple[int, int], rng: np.random.Generator) -> Floats:
    """Everything from a swept face to soot, corner by corner."""
    return rng.uniform(0.25, 0.92, shape)


def with_emissivities(fleet: SimulatedFleet, *, error: float = 0.0, seed: int = 3) -> Readings:
    """The readings with every corner's emissivity in its rows, off by an error of its own a corner."""
    readings = fleet.readings
    off = error * np.random.default_rng(seed).standard_normal(fleet.emissivity.shape)
    stated = np.clip(fleet.emissivity + off, 0.05, 1.0)
    return replace(readings, emissivity=stated[readings.case, 2 * (readings.axle - 1) + readings.side])


def judged_and_told(readings: Readings, settings: Settings | None = None) -> tuple[Judged, list[Diagnosis]]:
    """Columns and findings of a batch."""
    judged = judge(readings, settings or Settings())
    return judged, list(diagnoses(judged))


class Hits(Struct, frozen=True, kw_only=True):
    """Of every compared axle: whether an interval held the truth, and the error in its own sigmas."""

    held: Any
    error: Any


def hits(fleet: SimulatedFleet, judged: Judged, which: str) -> Hits:
    """Compare "surface" or "indicated" intervals with the simulator's truth at the common time."""
    told = judged.digest
    name = {"surface": "surface", "indicated": "difference"}[which]
    gaps_k = getattr(told, f"{name}_k")
    held, error = [], []
    for pair in range(judged.pairs.count):
        gap_k = gaps_k[pair]
        if not told.chosen[pair] or gap_k is None:
            continue
        k, place = int(judged.pairs.case[pair]), 2 * (int(judged.pairs.axle[pair]) - 1)
        truth = getattr(fleet, f"{which}_degc")(told.common_time_s[k], told.spot[pair])[k]
        true_k = truth[place] - truth[place + 1]
        held.append(gap_k.low <= true_k <= gap_k.high)
        error.append((gap_k.value - true_k) / gap_k.half_width)
    return Hits(held=np.array(held), error=np.array(error))
