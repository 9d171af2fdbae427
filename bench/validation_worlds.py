"""Vehicles of both simulators in one form: what is wrong, what was read, and a new walk with heat on top."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, TypeAlias

import numpy as np
import otherworld
from msgspec import Struct
from msgspec.structs import replace
from otherworld import INTAKE, World
from otherworld_gun import light_of, rim_degc, seen_light, shown_degc
from otherworld_heat import KNOTS_S
from otherworld_kinds import KINDS as OTHER_KINDS
from validation_sets import CLASSES, SKINS, plantable, planted, policy_mix, walked

from thermlog.simulation.builds import HEALTHY, PARKED_STEP_S
from thermlog.simulation.simulate import SimulatedFleet, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import Target, draw_walk, shoot
from thermlog.words.kinds import fault_kind
from thermlog.words.policy import load_policy
from thermlog.words.tables import Drive, Readings
from thermlog.words.vehicle import SPOTS

Array = np.ndarray[Any, np.dtype[Any]]
WorldName: TypeAlias = Literal["own", "other"]
WORLDS: tuple[WorldName, ...] = ("own", "other")
OTHER_SKINS = ("mixed",)
# Single drags, log-uniform [N·m] on light vehicles, three times that on heavy ones; rows of the tables.
DRAG_NM = (5.0, 80.0)
OCTAVES_NM = (5.0, 10.0, 20.0, 40.0, 80.0)
MIXED_FROM_NM = 10.0  # weaker drags are within what a healthy brake may hold: rows of their own, never mixed
DEAD = 1.0
LOST = (0.4, 1.0)
# Again, in a sense: column of each vehicle, indicated extra [K], source of chance.
Again: TypeAlias = Callable[[Array, Array, np.random.Generator], Readings]


class Cell(Struct, frozen=True, kw_only=True):
    """Which vehicles, and how they are read; skins by the plans of their simulator."""

    world: WorldName
    kind: str
    skins: str
    rounds: int = 3
    drive: Drive = "normal"
    described: bool = True


class Batch(Struct, frozen=True, kw_only=True, eq=False):
    """Vehicles of one class with one fault, walked round once.

    Attributes
    ----------
    odd : list of tuple of str (vehicles,)
        Corners that are truly odd.
    size : float array (vehicles,)
        Drag as on light vehicles [N·m], or lost part of the braking; 0 for none.
    extra_k : float array (vehicles,)
        What an error-free gun, set the same, would show on top at the common time [K], at the odd corner
        where it is most; negative for a cold one, 0 for none.
    again : callable
        A new walk round the same parked vehicles, with heat on top at one corner of each, so much at `at_s`.
    at_s : float
        On the log's own clock [s].
    truth : callable
        What an error-free gun, set the same, would show at a moment of each vehicle's own [°C], an array
        (vehicles, corners), from moments (vehicles,) on the log's own clock [s].
    air_degc : float array (vehicles,)
        True air.
    """

    fault: str
    readings: Readings
    odd: list[tuple[str, ...]]
    size: Array
    extra_k: Array
    again: Again
    at_s: float
    truth: Callable[[Array], Array]
    air_degc: Array


def kinds_of(world: WorldName) -> tuple[str, ...]:
    """Classes of one simulator whose brakes get warm enough to compare."""
    if world == "own":
        return CLASSES
    return tuple(name for name, kind in OTHER_KINDS.items() if not kind.regenerative)


def skins_of(world: WorldName) -> tuple[str, ...]:
    """Skin plans of one simulator."""
    return tuple(SKINS) if world == "own" else OTHER_SKINS


def weight_of(world: WorldName, kind: str) -> str:
    """Light or heavy."""
    return VEHICLE_CLASSES[kind].weight_class if world == "own" else OTHER_KINDS[kind].weight_class


def mix_of(world: WorldName, kind: str) -> dict[str, float]:
    """Share of every fault among vehicles as brought to a check; the rest, 0.7, is healthy."""
    if world == "own":
        return {str(fault): share for fault, share in policy_mix(VEHICLE_CLASSES[kind]).items()}
    build = OTHER_KINDS[kind]
    left_out = {"hub_hot"} | (set() if build.split == "diagonal" else {"diagonal_hot"})
    if len(build.axles) == 1:
        left_out |= {"axle_hot", "axle_cold"}  # that is everything hot, and nothing braked
    usual = {fault: share for fault, share in INTAKE.items() if fault not in left_out}
    total = sum(usual.values())
    return {fault: 0.3 * share / total for fault, share in usual.items()}


def batch(cell: Cell, fault: str, count: int, seed: int) -> Batch:
    """Simulate; drags log-uniform, of cold brakes every second one dead."""
    size = _sizes(fault, count, np.random.default_rng([seed, 21]))
    return _own(cell, fault, size, seed) if cell.world == "own" else _other(cell, fault, size, seed)


def _other(cell: Cell, fault: str, size: Array, seed: int) -> Batch:
    scale = 1.0 if fault.endswith("cold") else OTHER_KINDS[cell.kind].heavy_factor
    made = otherworld.simulate(
        cell.kind,
        fault,
        size.size,
        np.random.default_rng([seed, 22]),
        rounds=cell.rounds,
        skins=cell.skins,
        drive=cell.drive,
        severity=None if fault == "none" else size * scale,
        described=cell.described,
    )
    return Batch(
        fault=fault,
        readings=made.readings,
        odd=made.odd,
        size=size,
        extra_k=_other_extra_k(made),
        again=lambda column, extra_k, source: otherworld.planted(made, column, extra_k, source).readings,
        at_s=otherworld.COMMON_TIME_S,
        truth=lambda when_s: _other_shown_degc(made, when_s),
        air_degc=made.parked.body.air_degc,
    )


def _sizes(fault: str, count: int, rng: np.random.Generator) -> Array:
    if fault == "none":
        return np.zeros(count)
    if fault.endswith("cold"):
        return np.where(np.arange(count) % 2 == 0, DEAD, rng.uniform(*LOST, count))
    low = DRAG_NM[0] if fault == "corner_hot" else MIXED_FROM_NM
    return np.asarray(low * (DRAG_NM[1] / low) ** rng.random(count))


def _own(cell: Cell, fault: str, size: Array, seed: int) -> Batch:
    kind, drive = VEHICLE_CLASSES[cell.kind], cell.drive
    plan = walked(cell.rounds, skins=SKINS[cell.skins], described=cell.described)
    healthy = [HEALTHY] * size.size
    faults = healthy
    if fault != "none":
        which = next(one for one in plantable(kind) if one == fault)
        faults = planted(kind, which, size, size.size, np.random.default_rng([seed, 23]))
    fleet = simulate_fleet(kind, faults, drive=drive, plan=plan, seed=seed)
    odd = [one.corners or (kind.corners if fault_kind(one.kind).scope == "vehicle" else ()) for one in faults]
    extra_k = np.zeros(size.size)
    if fault != "none":
        at_s = own_common_s(fleet)
        sound = simulate_fleet(kind, healthy, drive=drive, plan=plan, seed=seed)
        more = fleet.indicated_degc(at_s) - sound.indicated_degc(at_s)
        at_odd = np.array([[corner in one for corner in kind.corners] for one in odd])
        extra_k = _largest(np.where(at_odd, more, 0.0))
    return Batch(
        fault=fault,
        readings=fleet.readings,
        odd=odd,
        size=size,
        extra_k=extra_k,
        again=lambda column, extra, source: own_again(fleet, column, extra, source),
        at_s=own_common_s(fleet),
        truth=lambda when_s: _own_shown_degc(fleet, when_s),
        air_degc=fleet.ambient_degc,
    )


def _own_shown_degc(fleet: SimulatedFleet, when_s: Array) -> Array:
    last_s = float(fleet.cooldown.grid_s[-1]) - 1.0
    moments = np.clip(when_s, 0.0, last_s).tolist()
    return np.array([fleet.indicated_degc(moment)[k] for k, moment in enumerate(moments)])


def _largest(table: Array) -> Array:
    return np.asarray(table[np.arange(table.shape[0]), np.abs(table).argmax(axis=1)])


def own_common_s(fleet: SimulatedFleet) -> float:
    """Usual common time of such walks [s]."""
    kind = fleet.vehicle_class
    return load_policy(kind.weight_class).common_time_s + fleet.plan.walk.start_delay_s


def own_again(fleet: SimulatedFleet, column: Array, extra_k: Array, rng: np.random.Generator) -> Readings:
    """A new walk round the same parked vehicles, with indicated heat on top at one corner of each.

    Heat of so much at the common time falls as that corner itself cools; shots beside the brake do not
    show it.
    """
    kind, plan = fleet.vehicle_class, fleet.plan
    vehicles = column.size
    walk = draw_walk(plan.walk, axles=len(kind.axles), vehicles=vehicles, rng=rng)
    grid = fleet.cooldown.grid_s
    last_s = float(grid[-1] - 1.0)
    elapsed_s = np.minimum(walk.elapsed_s, last_s)
    place = elapsed_s / (grid[1] - grid[0])
    low = np.clip(place.astype(np.int64), 0, grid.size - 2)
    each = np.arange(vehicles)[:, None]
    before, after = (fleet.cooldown.rotor_degc[low + step, each, walk.corner] for step in (0, 1))
    seen = Target(
        surface_degc=before + (place - low) * (after - before),
        emissivity=np.take_along_axis(fleet.emissivity, walk.corner, axis=1),
        ambient_degc=fleet.ambient_degc[:, None],
    )
    shots = shoot(plan.gun, seen, rng=rng)
    at_s = own_common_s(fleet)
    tau_s = _local_tau_s(fleet, max(at_s, PARKED_STEP_S))[each[:, 0], column]
    fading = np.exp(-(elapsed_s - at_s) / tau_s[:, None])
    on_top = (walk.corner == column[:, None]) & ~shots.missed
    shown = shots.indicated_degc + on_top * extra_k[:, None] * fading
    return readings_of(fleet, walk.corner, elapsed_s, shown)


def _local_tau_s(fleet: SimulatedFleet, elapsed_s: float) -> Array:
    """Rise over rate of fall of the rotor at one moment, (vehicles, corners) [s]."""
    half_s = PARKED_STEP_S / 2.0
    early, late = fleet.surface_degc(elapsed_s - half_s), fleet.surface_degc(elapsed_s + half_s)
    rise_k = 0.5 * (early + late) - fleet.ambient_degc[:, None]
    return np.asarray(rise_k * PARKED_STEP_S / (early - late))


def readings_of(fleet: SimulatedFleet, corner: Array, elapsed_s: Array, shown_k: Array) -> Readings:
    vehicle, place = np.nonzero(np.isfinite(shown_k))
    unknown = np.full(vehicle.size, np.nan)
    return replace(
        fleet.readings,
        case=vehicle,
        line=place + 2,
        axle=corner[vehicle, place] // 2 + 1,
        side=corner[vehicle, place] % 2,
        spot=np.full(vehicle.size, SPOTS.index("brake")),
        elapsed_s=elapsed_s[vehicle, place],
        indicated_degc=np.round(shown_k[vehicle, place], 1),
        emissivity=unknown,
        distance_m=unknown.copy(),
    )


def _other_extra_k(made: World) -> Array:
    """Indicated extra of the second simulator: its metal's extra, through skin and gun."""
    if made.fault in {"none", "hub_hot"}:
        return np.zeros(made.extra_k.size)
    at = int(np.searchsorted(KNOTS_S, otherworld.COMMON_TIME_S))
    column = np.array([otherworld.column_of(corners[0]) for corners in made.odd])
    each = np.arange(column.size)
    metal = made.parked.kept_degc[at, 1]
    sound = metal.copy()
    sound[each, column] -= made.extra_k
    air = _other_air(made)
    more = shown_degc(_other_brake_light(made, metal), air) - shown_degc(_other_brake_light(made, sound), air)
    return np.asarray((made.parked.skins.fill * more)[each, column])


def _other_air(made: World) -> Array:
    return np.broadcast_to(made.parked.body.air_degc[:, None], made.parked.skins.fill.shape)


def _other_brake_light(made: World, metal_degc: Array) -> Array:
    skin = made.parked.skins
    return np.asarray(seen_light(metal_degc, skin.emissivity, _other_air(made) + skin.mirror_k))


def _other_shown_degc(made: World, when_s: Array) -> Array:
    """Brake and the bit of rim beside it, straight between the moments kept."""
    when_s = np.clip(when_s, 0.0, float(KNOTS_S[-1]))
    after = np.clip(np.searchsorted(KNOTS_S, when_s), 1, KNOTS_S.size - 1)
    part = ((when_s - KNOTS_S[after - 1]) / (KNOTS_S[after] - KNOTS_S[after - 1]))[:, None, None]
    each, skin = np.arange(when_s.size), made.parked.skins
    early, late = (made.parked.kept_degc[place, :, each] for place in (after - 1, after))
    stores = early + part * (late - early)  # (vehicles, stores, corners)
    brake = _other_brake_light(made, skin.ring * stores[:, 0] + (1.0 - skin.ring) * stores[:, 1])
    rim = rim_degc(made.parked.body, stores[:, 2], each[:, None], np.arange(stores.shape[2])[None])
    return np.asarray(shown_degc(skin.fill * brake + (1.0 - skin.fill) * light_of(rim), _other_air(made)))
