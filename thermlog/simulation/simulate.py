"""Simulated vehicles: driven, parked, walked round and read, with the truth kept beside the readings."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.simulation.builds import (
    BuiltFleet,
    Cooldown,
    DayPlan,
    Fault,
    build_fleet,
    drive_fleet,
    on_another_day,
    park_fleet,
)
from thermlog.simulation.roadtest import DRIVE_PLANS, DrivePlan, draw_road_load
from thermlog.simulation.vehicleclass import VehicleClass
from thermlog.simulation.walkround import (
    GunPlan,
    Shots,
    SimulatedWalk,
    SkinPlan,
    Target,
    WalkPlan,
    draw_skins,
    draw_walk,
    error_free_degc,
    shoot,
)
from thermlog.words.tables import KINDS_OF_DRIVE, Bools, Case, Drive, Floats, Ints, LogRecord, Readings
from thermlog.words.vehicle import SPOTS, Spot

# Part of the rotor's temperature in what is aimed at, the rest is the hub's: own estimate.
_ROTOR_PART: dict[Spot, float] = {
    "hat": 0.85,
    "caliper": 0.40,
    "hub": 0.0,
    "rim": 0.0,
    "tyre_inner": 0.0,
    "tyre_outer": 0.0,
}


class MeasurePlan(Struct, frozen=True, kw_only=True):
    """How vehicles are measured.

    Attributes
    ----------
    walk, gun, skins
        The walk, the gun, the surfaces.
    day : DayPlan
        Air and wind.
    ambient_sigma_k : float
        Error of the ambient stated in the log [K], which is rounded to half degrees.
    described : bool
        True if each case carries the vehicle's description, as a log with a vehicle file would.
    """

    walk: WalkPlan = field(default_factory=WalkPlan)
    gun: GunPlan = field(default_factory=GunPlan)
    skins: SkinPlan = field(default_factory=SkinPlan)
    day: DayPlan = field(default_factory=DayPlan)
    ambient_sigma_k: float = 1.0
    described: bool = False


class SimulatedFleet(Struct, frozen=True, kw_only=True):
    """Readings of simulated vehicles and the truth behind them.

    Attributes
    ----------
    vehicle_class : VehicleClass
        What was simulated.
    faults : tuple of Fault
        One a vehicle: the truth of case k.
    plan : MeasurePlan
        How it was measured.
    readings : Readings
        As read from logs; case k is vehicle k. A shot above the gun's range leaves no row.
    true_surface_degc : float array (rows,)
        Temperature of the place aimed at, at the moment of each reading [°C].
    missed : bool array (rows,)
        True where the shot caught something else.
    emissivity : float array (vehicles, corners)
        Skin in the gun's band; columns as ``vehicle_class.corners``.
    ambient_degc : float array (vehicles,)
        True ambient [°C]; the stated one is in the cases.
    cooldown : Cooldown
        True temperatures of both nodes from wheels stopped on.
    """

    vehicle_class: VehicleClass
    faults: tuple[Fault, ...]
    plan: MeasurePlan
    readings: Readings
    true_surface_degc: Floats
    missed: Bools
    emissivity: Floats
    ambient_degc: Floats
    cooldown: Cooldown

    def surface_degc(self, elapsed_s: float, spot: Spot = "brake") -> Floats:
        """True temperature of a spot of all corners at one moment.

        Parameters
        ----------
        elapsed_s : float
            Since wheels stopped, from 0 to the last of ``cooldown.grid_s`` [s].
        spot : Spot
            Place on the corner.

        Returns
        -------
        float array (vehicles, corners)
        """
        low, part = _grid_place(np.asarray(elapsed_s), self.cooldown.grid_s)
        share = _rotor_shares()[SPOTS.index(spot)]
        nodes = (
            share * self.cooldown.rotor_degc[low : low + 2]
            + (1.0 - share) * self.cooldown.hub_degc[low : low + 2]
        )
        return np.asarray(nodes[0] + part * (nodes[1] - nodes[0]), dtype=np.float64)

    def indicated_degc(self, elapsed_s: float, spot: Spot = "brake") -> Floats:
        """Tell what an error-free gun, set the same, would show at one moment, (vehicles, corners) [°C]."""
        target = Target(
            surface_degc=self.surface_degc(elapsed_s, spot),
            emissivity=self.emissivity,
            ambient_degc=self.ambient_degc[:, np.newaxis],
        )
        return error_free_degc(self.plan.gun, target)


def simulate_fleet(
    vehicle_class: VehicleClass,
    faults: Sequence[Fault],
    *,
    drive: Drive | DrivePlan = "normal",
    plan: MeasurePlan | None = None,
    seed: int,
    visit: int = 0,
) -> SimulatedFleet:
    """Drive, park and read vehicles of one class, one a fault.

    Parameters
    ----------
    vehicle_class : VehicleClass
        From `vehicleclass.VEHICLE_CLASSES`.
    faults : sequence of Fault
        One a vehicle, at least one.
    drive : Drive or DrivePlan
        A name takes the class's usual drive.
    plan : MeasurePlan, optional
        Default: three rounds, rusty skins.
    seed : int
        Same seed and faults: same numbers. Same seed with another drive or fault: the same vehicles.
    visit : int
        Above 0: the same vehicles, skins and parts on another day, with another load, drive, walk and gun.

    Returns
    -------
    SimulatedFleet

    Raises
    ------
    VehicleError
        A fault names a corner the vehicle does not have.
    """
    plan = plan or MeasurePlan()
    road_plan = DRIVE_PLANS[vehicle_class.weight_class, drive] if isinstance(drive, str) else drive
    which = KINDS_OF_DRIVE.index(road_plan.drive)
    later = [visit] if visit else []
    calm = replace(plan.day, side_wind_sigma=0.0) if visit else plan.day
    built = build_fleet(vehicle_class, faults, day=calm, rng=np.random.default_rng([seed, 0]))
    if visit:
        built = on_another_day(built, day=plan.day, rng=np.random.default_rng([seed, 5, visit]))
    trips = np.random.default_rng([seed, 1, which, *later])
    road = draw_road_load(road_plan, vehicles=len(faults), rng=trips)
    rng = np.random.default_rng([seed, 2, which, *later])
    walk = draw_walk(plan.walk, axles=len(vehicle_class.axles), vehicles=len(faults), rng=rng)
    cooldown = park_fleet(built, drive_fleet(built, road), until_s=float(walk.elapsed_s.max()))
    # Skins belong to the vehicle: they must not change with the drive.
    emissivity = draw_skins(plan.skins, built.lost, rng=np.random.default_rng([seed, 3]))
    seen = Target(
        surface_degc=_at_walk(walk, cooldown),
        emissivity=np.take_along_axis(emissivity, walk.corner, axis=1),
        ambient_degc=built.ambient_degc,
    )
    shots = shoot(plan.gun, seen, rng=rng)
    shown = ~np.isnan(shots.indicated_degc)
    cases = tuple(_cases(built, plan, drive=road_plan.drive, seed=(seed, *later), rows=shown.sum(axis=1)))
    return SimulatedFleet(
        vehicle_class=vehicle_class,
        faults=tuple(faults),
        plan=plan,
        readings=_readings(walk, shots, cases),
        true_surface_degc=seen.surface_degc[shown],
        missed=shots.missed[shown],
        emissivity=emissivity,
        ambient_degc=built.ambient_degc[:, 0],
        cooldown=cooldown,
    )


def _rotor_shares() -> Floats:
    """Part of the rotor node in each spot, in the order of `SPOTS`."""
    return np.array([_ROTOR_PART.get(spot, 1.0) for spot in SPOTS])


def _grid_place(elapsed_s: Floats, grid_s: Floats) -> tuple[Ints, Floats]:
    """Grid moment before each time, and how far on towards the next, 0 to 1."""
    place = np.asarray(elapsed_s, dtype=np.float64) / (grid_s[1] - grid_s[0])
    low = np.clip(place.astype(np.int64), 0, grid_s.size - 2)
    return low, place - low


def _at_walk(walk: SimulatedWalk, cooldown: Cooldown) -> Floats:
    """True temperature of what each shot is aimed at, (vehicles, readings) [°C]."""
    low, part = _grid_place(walk.elapsed_s, cooldown.grid_s)
    vehicle = np.arange(walk.corner.shape[0])[:, np.newaxis]
    share = _rotor_shares()[walk.spot]

    def node_degc(node: Floats) -> Floats:
        before, after = node[low, vehicle, walk.corner], node[low + 1, vehicle, walk.corner]
        return np.asarray(before + part * (after - before), dtype=np.float64)

    return share * node_degc(cooldown.rotor_degc) + (1.0 - share) * node_degc(cooldown.hub_degc)


def _cases(
    built: BuiltFleet, plan: MeasurePlan, *, drive: Drive, seed: tuple[int, ...], rows: Ints
) -> Iterator[Case]:
    """One case a vehicle, as the log of its walk would state it."""
    kind = built.vehicle_class
    rng = np.random.default_rng([seed[0], 4, KINDS_OF_DRIVE.index(drive), *seed[1:]])
    error_k = plan.ambient_sigma_k * rng.standard_normal(rows.size)
    stated_degc = np.round(2.0 * (built.ambient_degc[:, 0] + error_k)) / 2.0
    for k, (ambient_degc, count) in enumerate(zip(stated_degc.tolist(), rows.tolist(), strict=True)):
        name = "-".join([kind.name, *map(str, seed), str(k), drive])
        yield Case(
            log=LogRecord(
                file=name,
                sha256=hashlib.sha256(name.encode()).hexdigest(),
                rows_read=count,
                rows_used=count,
            ),
            vehicle=kind.title,
            drive=drive,
            ambient_degc=ambient_degc,
            ambient_source="log",
            parked_known=True,
            description=kind.description() if plan.described else None,
        )


def _readings(walk: SimulatedWalk, shots: Shots, cases: tuple[Case, ...]) -> Readings:
    """The shots that showed a number, as a table."""
    shown = ~np.isnan(shots.indicated_degc)
    vehicle, place = np.nonzero(shown)
    corner = walk.corner[shown]
    unstated = np.full(vehicle.size, np.nan)
    return Readings(
        cases=cases,
        case=vehicle,
        line=place + 2,  # after one line of column names
        axle=corner // 2 + 1,
        side=corner % 2,
        spot=walk.spot[shown],
        elapsed_s=walk.elapsed_s[shown],
        indicated_degc=shots.indicated_degc[shown],
        emissivity=unstated,
        distance_m=unstated,
    )
