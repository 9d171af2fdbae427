"""Drives before the walk round: speed and braking of many vehicles, step by step."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from msgspec import Struct

from thermlog.words.tables import Drive, Floats
from thermlog.words.vehicle import WeightClass

# One gentle stop from walking-to-jogging speed ends a drive of which nothing else is said.
LAST_STOP_MPS = 4.0
_STEP_S = 10.0  # a stop takes one step


class DrivePhase(Struct, frozen=True, kw_only=True):
    """A stretch of driving in one style.

    Attributes
    ----------
    duration_s : float
        Its length [s].
    speed_kmh, speed_sigma_kmh : float
        Mean and standard deviation between vehicles of the steady speed [km/h].
    stops : tuple of int
        Fewest and most stops or slow-downs in it.
    """

    duration_s: float
    speed_kmh: float
    speed_sigma_kmh: float = 5.0
    stops: tuple[int, int] = (0, 0)


class DrivePlan(Struct, frozen=True, kw_only=True):
    """A drive: its name in the log, its phases in order, and the speed from which it ends [m/s]."""

    drive: Drive
    phases: tuple[DrivePhase, ...]
    last_stop_mps: float = LAST_STOP_MPS


class RoadLoad(Struct, frozen=True, kw_only=True):
    """What the drive asks of every vehicle, one row a step.

    Attributes
    ----------
    step_s : float
        Length of a step [s].
    speed_mps : float array (steps, vehicles)
        Mean speed in the step [m/s].
    braking_w_per_kg : float array (steps, vehicles)
        Kinetic energy taken off in the step, per kilogram and second [W/kg].
    """

    step_s: float
    speed_mps: Floats
    braking_w_per_kg: Floats


def _plans() -> dict[tuple[WeightClass, Drive], DrivePlan]:
    # Lengths, speeds and numbers of stops: workshop road-test custom, common practice, no source.
    light = DrivePhase(duration_s=1080.0, speed_kmh=52.0, stops=(15, 25))
    heavy = DrivePhase(duration_s=2100.0, speed_kmh=50.0, stops=(18, 30))
    light_coast = (
        DrivePhase(duration_s=420.0, speed_kmh=50.0, stops=(5, 9)),
        DrivePhase(duration_s=960.0, speed_kmh=65.0, stops=(0, 1)),
    )
    heavy_coast = (
        DrivePhase(duration_s=720.0, speed_kmh=48.0, stops=(5, 9)),
        DrivePhase(duration_s=2100.0, speed_kmh=62.0, stops=(0, 1)),
    )
    return {
        ("light", "normal"): DrivePlan(drive="normal", phases=(light,)),
        ("light", "verification"): DrivePlan(drive="verification", phases=(light,)),
        ("light", "coast"): DrivePlan(drive="coast", phases=light_coast),
        ("heavy", "normal"): DrivePlan(drive="normal", phases=(heavy,)),
        ("heavy", "verification"): DrivePlan(drive="verification", phases=(heavy,)),
        ("heavy", "coast"): DrivePlan(drive="coast", phases=heavy_coast),
    }


DRIVE_PLANS: Mapping[tuple[WeightClass, Drive], DrivePlan] = MappingProxyType(_plans())


def draw_road_load(plan: DrivePlan, *, vehicles: int, rng: np.random.Generator) -> RoadLoad:
    """Speeds and stops of `vehicles` drives after one plan, each drawn on its own.

    Parameters
    ----------
    plan : DrivePlan
        The drive; a phase must hold at least as many steps as stops.
    vehicles : int
        How many.
    rng : numpy Generator
        Source of chance.

    Returns
    -------
    RoadLoad
    """
    parts = [_draw_phase(phase, vehicles=vehicles, rng=rng) for phase in plan.phases]
    speed_mps = np.concatenate([part[0] for part in parts])
    braking = np.concatenate([part[1] for part in parts])
    speed_mps[-1] = 0.5 * plan.last_stop_mps
    braking[-1] = 0.5 * plan.last_stop_mps**2 / _STEP_S
    return RoadLoad(step_s=_STEP_S, speed_mps=speed_mps, braking_w_per_kg=braking)


def _draw_phase(phase: DrivePhase, *, vehicles: int, rng: np.random.Generator) -> tuple[Floats, Floats]:
    steps = max(1, round(phase.duration_s / _STEP_S))
    drawn_kmh = phase.speed_kmh + phase.speed_sigma_kmh * rng.standard_normal(vehicles)
    steady_mps = np.maximum(drawn_kmh, 0.4 * phase.speed_kmh) / 3.6
    fewest, most = phase.stops
    stops = rng.integers(fewest, most + 1, size=vehicles)
    place = np.argsort(rng.random((steps, vehicles)), axis=0)
    braking = np.argsort(place, axis=0) < stops
    # From steady speed down to this part of it: some are full stops, most are slow-downs.
    down_to = np.where(braking, rng.uniform(0.0, 0.6, size=(steps, vehicles)), 1.0)
    energy_j_per_kg = 0.5 * steady_mps**2 * (1.0 - down_to**2)
    return 0.5 * steady_mps * (1.0 + down_to), energy_j_per_kg / _STEP_S
