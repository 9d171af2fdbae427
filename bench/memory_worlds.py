"""Vehicles of both simulators on several days: same parts and skins; other weather, load, drive, gun."""

from __future__ import annotations

import hashlib
from typing import Any, TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from otherworld import as_readings
from otherworld_body import Body, draw_bodies
from otherworld_drive import draw_drives
from otherworld_faults import plant
from otherworld_gun import draw_guns, draw_skins
from otherworld_heat import drive_heat, park_heat
from otherworld_kinds import KINDS
from otherworld_walk import Parked, walk
from validation_sets import CLASSES, SKINS, planted, walked

from thermlog.simulation.builds import HEALTHY
from thermlog.simulation.simulate import simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import GunPlan
from thermlog.words.tables import Case, LogRecord, Readings, Taken

Array = np.ndarray[Any, np.dtype[Any]]
# Part of today's fault on a visit, first 1 for the oldest; 0 is healthy.
Course: TypeAlias = tuple[float, ...]
Place: TypeAlias = tuple[str, str]  # world and kind of vehicle
DAYS_APART = 60
WORLDS = ("other", *(f"own, {name}" for name in SKINS))
DRAG_NM = (5.0, 40.0)
_RELEASE_SPREAD = 0.3  # of residual drags of the second simulator from day to day
# Guns of the own simulator, one a visit in turn: set as most are, another setting, a coarse one.
_GUNS = (GunPlan(), GunPlan(emissivity_setting=0.90), GunPlan(resolution_k=1.0, calibration_sigma_k=2.0))


class Life(Struct, frozen=True, kw_only=True, eq=False):
    """Some vehicles of one kind, visit by visit; the last is today's.

    Attributes
    ----------
    visits : tuple of Readings
    odd : tuple of str (vehicles,)
        Corner with the fault; empty where there is none.
    """

    visits: tuple[Readings, ...]
    odd: tuple[str, ...]


def kinds_of(world: str) -> tuple[str, ...]:
    """Classes of vehicle of a world."""
    return tuple(KINDS) if world == "other" else CLASSES


def lived(place: Place, fault: str, course: Course, *, count: int, seed: int) -> Life:
    """So many vehicles with one fault, so much of it on each earlier visit, and all of it today."""
    made = _other if place[0] == "other" else _own
    return made(place, fault, (*course, 1.0), count=count, seed=seed)


def _sizes(fault: str, count: int, rng: np.random.Generator) -> Array:
    if fault == "corner_cold":
        return rng.uniform(0.7, 1.0, count)
    return np.exp(rng.uniform(np.log(DRAG_NM[0]), np.log(DRAG_NM[1]), count))


def _own(place: Place, fault: str, course: Course, *, count: int, seed: int) -> Life:
    world, kind = place
    vehicle = VEHICLE_CLASSES[kind]
    rng = np.random.default_rng([seed, 77])
    faults = [HEALTHY] * count
    if fault != "none":
        faults = planted(vehicle, fault, _sizes(fault, count, rng), count, rng)
    visits = []
    for visit, part in enumerate(course, start=1):
        today = [
            replace(one, drag_nm=one.drag_nm * part, lost_fraction=one.lost_fraction * part) for one in faults
        ]
        plan = replace(walked(3), skins=SKINS[world.partition(", ")[2]], gun=_GUNS[visit % len(_GUNS)])
        fleet = simulate_fleet(
            vehicle, today if part else [HEALTHY] * count, plan=plan, seed=seed, visit=visit
        )
        visits.append(_named(fleet.readings, f"{kind}-{fault}-{seed}", visit))
    return Life(visits=tuple(visits), odd=tuple("".join(one.corners[:1]) for one in faults))


def _other(place: Place, fault: str, course: Course, *, count: int, seed: int) -> Life:
    kind = place[1]
    build, rng = KINDS[kind], np.random.default_rng([seed, 78])
    scale = 3.0 if build.weight_class == "heavy" else 1.0
    size = _sizes(fault, count, rng) * (1.0 if fault == "corner_cold" else scale)
    body = draw_bodies(build, count, rng)
    wrong = plant(build, fault, None if fault == "none" else size, count, rng)
    skins = draw_skins(build, "mixed", wrong.lost > 0.85, rng)
    visits = []
    for visit, part in enumerate(course, start=1):
        day = np.random.default_rng([seed, 79, visit])
        here = _another_day(body, draw_bodies(build, count, day), day)
        trip = draw_drives(build, "normal", here.mass_kg, day)
        now = replace(wrong, drag_nm=part * wrong.drag_nm, lost=part * wrong.lost)
        parked = Parked(
            body=here,
            skins=skins,
            guns=draw_guns(count, day),
            kept_degc=park_heat(here, drive_heat(build, here, trip, now).stores_degc),
            reads_hubs=np.zeros(count, dtype=bool),
        )
        shots = walk(parked, 3, day)
        cases = tuple(
            Case(
                log=LogRecord(file="", sha256="", rows_read=0, rows_used=0),
                drive="normal",
                ambient_degc=float(stated),
                ambient_source="log",
                parked_known=True,
                description=build.vehicle(),
            )
            for stated in here.stated_degc
        )
        readings, _ = as_readings(cases, shots)
        visits.append(_named(readings, f"{kind}-{fault}-{seed}", visit))
    corners = [
        f"{int(column) // 2 + 1}{'LR'[int(column) % 2]}" if odd.any() else ""
        for odd, column in zip(wrong.odd, wrong.odd.argmax(axis=1), strict=True)
    ]
    return Life(visits=tuple(visits), odd=tuple(corners))


def _another_day(body: Body, day: Body, rng: np.random.Generator) -> Body:
    """The same vehicles with the weather and the load of a day, each brake released a little differently."""
    names = ("mass_kg", "air_degc", "stated_degc", "wind", "sun_w", "sun_k", "near_degc", "warm_k")
    released = body.drag_nm * np.exp(rng.normal(0.0, _RELEASE_SPREAD, body.drag_nm.shape))
    return replace(body, drag_nm=released, **{name: getattr(day, name) for name in names})


def _named(readings: Readings, group: str, visit: int) -> Readings:
    """Cases with a name for each vehicle and a date for the visit."""
    day = np.datetime64("2026-01-05") + DAYS_APART * visit
    cases = []
    for k, case in enumerate(readings.cases):
        file = f"{group}-{k}-{visit}"
        log = replace(case.log, file=file, sha256=hashlib.sha256(file.encode()).hexdigest())
        cases.append(replace(case, log=log, vehicle=f"{group}-{k}", taken=Taken(start=str(day))))
    return replace(readings, cases=tuple(cases))
