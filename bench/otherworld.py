"""A second simulator: other physics, other skins, other misses and other walks than the project's own.

A method tuned and tested on one simulator may only have learnt that simulator. This one was written without a
look at the other; the two share units, names of corners and the table of readings, nothing else.
What it assumes:

- Each brake is three heat stores: the swept ring, the rest of rotor or drum, and hub and carrier behind it,
  with conduction between them. On the road air cools it with the 0.75 power of the speed; parked it cools by
  natural convection with the 5/4 power of its rise, by radiation with the fourth power of its temperature, by
  the wind, more on one side than on the other, and into its hub. No curve is one exponential, and the shell
  of a drum peaks late.
- A drive is a random sequence of slow-downs, in town or in the country, in which motor or gears take their
  part; one drive in seven ends with a hard stop. A coast ends without braking; half of them begin cold.
- A drag is a torque all along the drive, or in one case of four from some moment on; it grows a little as a
  disc warms and eases as a drum opens. A dead brake leaves its work to the others, who do some or all of it.
- Healthy sides differ by Student's t with four degrees of freedom, not by a bell curve.
- All brakes are dull alike, or swept bright and unlike, or one part is new; an idle rotor is rusty among
  bright ones.
- The gun sees 8 to 14 µm by Planck's law and is set to 0.95; all its shots share its calibration error.
  The spot overlaps the rim a little, on some vehicles more. Two to six shots in a hundred miss, mostly low; a
  wheel cover on some vehicles sends shots at one corner astray again and again.

All numbers are engineering judgement (common practice, no source) unless a line names a source. Agreement
with this simulator shows that thermlog does not depend on its own; it does not show that either is like real
vehicles.

`simulate` makes vehicles of one kind with one fault and walks round them, `walk_again` walks round the same
vehicles once more, `planted` does so with known extra kelvin at a corner, `mixed` is the intake of a
workshop. Run as a script it prints the rises it makes.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Any

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from otherworld_body import draw_bodies
from otherworld_drive import draw_drives
from otherworld_faults import column_of, odd_corners, plant
from otherworld_gun import draw_guns, draw_skins
from otherworld_heat import KNOTS_S, drive_heat, park_heat
from otherworld_kinds import KINDS
from otherworld_walk import Extra, Parked, Shots, walk

from thermlog.words.tables import KINDS_OF_DRIVE, Case, Drive, LogRecord, Readings

Array = np.ndarray[Any, np.dtype[Any]]

COMMON_TIME_S = 120.0  # after parking: when extra heat is told
HUBS_TOO = 0.1  # of the walks; where a bearing is suspected all of them
# What reaches a workshop among vehicles with a brake fault; a hot diagonal needs a circuit that is one.
INTAKE = {
    "corner_hot": 0.45,
    "corner_cold": 0.22,
    "axle_hot": 0.10,
    "axle_cold": 0.06,
    "diagonal_hot": 0.03,
    "all_hot": 0.06,
    "hub_hot": 0.08,
}


class World(Struct, frozen=True, kw_only=True, eq=False):
    """Vehicles of one kind with one fault, and one walk round each.

    Attributes
    ----------
    readings : Readings
        One case a vehicle.
    odd : list of tuple of str
        Corners that truly are odd.
    extra_k : array (vehicles,)
        Metal's true difference [K] at parking + 120 s against the same vehicle without the fault, of the odd
        corner where it is largest: negative for a cold one, the hub's for a hub fault, 0 for none. After
        `planted` it is the indicated extra that was asked for.
    parked : Parked
        The vehicles as they stand.
    missed : bool array (rows,)
        Which readings missed the brake.
    extra : Extra or None
        What `planted` put on top.
    """

    kind: str
    fault: str
    drive: Drive
    rounds: int
    readings: Readings
    odd: list[tuple[str, ...]]
    extra_k: Array
    parked: Parked
    missed: Array
    extra: Extra | None = None


def kinds() -> list[str]:
    """Names of the kinds of vehicle."""
    return list(KINDS)


def simulate(  # noqa: PLR0913 - the interface the validation asks for
    kind: str,
    fault: str,
    count: int,
    rng: np.random.Generator,
    *,
    rounds: int = 3,
    skins: str = "mixed",
    drive: Drive = "normal",
    severity: float | Array | None = None,
    described: bool = True,
) -> World:
    """Vehicles of one kind with one fault, driven, parked and walked round.

    Parameters
    ----------
    kind : str
        One of `kinds()`.
    fault : str
        ``"none"``, ``"corner_hot"``, ``"corner_cold"``, ``"axle_hot"``, ``"axle_cold"``, ``"diagonal_hot"``,
        ``"all_hot"``, ``"hub_hot"``; at a place of one's choice ``"corner_hot@2L"``, ``"axle_hot@1"``.
    severity : float or array (vehicles,), optional
        N·m of a hot brake, lost part of a cold one, W of a bearing at 50 km/h; random if not given.
    rounds : int
        1 to 6; what a longer walk would see after 70 min is not kept.
    skins : {"mixed", "even", "bright", "one_new"}
    described : bool
        Whether the log describes the vehicle.
    """
    build = KINDS[kind]
    body = draw_bodies(build, count, rng)
    trip = draw_drives(build, drive, body.mass_kg, rng)
    wrong = plant(build, fault, severity, count, rng)
    kept = park_heat(body, drive_heat(build, body, trip, wrong).stores_degc)
    extra_k = np.zeros(count)
    if wrong.odd.any():
        healthy = park_heat(body, drive_heat(build, body, trip, wrong.without()).stores_degc, COMMON_TIME_S)
        store = 2 if fault.startswith("hub") else 1
        at = int(np.searchsorted(KNOTS_S, COMMON_TIME_S))
        more = np.where(wrong.odd, kept[at, store] - healthy[at, store], 0.0)
        extra_k = more[np.arange(count), np.abs(more).argmax(axis=1)].astype(float)
    parked = Parked(
        body=body,
        skins=draw_skins(build, skins, wrong.lost > 0.85, rng),
        guns=draw_guns(count, rng),
        kept_degc=kept,
        reads_hubs=rng.random(count) < (1.0 if fault.startswith("hub") else HUBS_TOO),
    )
    described_as = build.vehicle() if described else None
    shots = walk(parked, rounds, rng)
    stated = body.stated_degc
    cases = tuple(
        _case(f"{kind} {fault} {number:05d}", drive, float(stated[number])) for number in range(count)
    )
    readings, missed = as_readings(tuple(replace(case, description=described_as) for case in cases), shots)
    return World(
        kind=kind,
        fault=fault.partition("@")[0],
        drive=drive,
        rounds=rounds,
        readings=readings,
        odd=odd_corners(wrong.odd),
        extra_k=extra_k,
        parked=parked,
        missed=missed,
    )


def walk_again(world: World, rng: np.random.Generator, *, rounds: int | None = None) -> World:
    """A new walk round the same parked vehicles: new order, moments, noise and misses."""
    rounds = world.rounds if rounds is None else rounds
    readings, missed = as_readings(world.readings.cases, walk(world.parked, rounds, rng, world.extra))
    return replace(world, rounds=rounds, readings=readings, missed=missed)


def planted(
    world: World,
    corner_of_vehicle: Sequence[str] | Array,
    extra_k: float | Array,
    rng: np.random.Generator,
    *,
    at_s: float = COMMON_TIME_S,
) -> World:
    """A new walk in which one brake of each vehicle shows more than it would.

    Parameters
    ----------
    corner_of_vehicle : sequence of str or int array (vehicles,)
        Codes (``"2L"``) or columns (1L 0, 1R 1, 2L 2, ...).
    extra_k : float or array (vehicles,)
        Indicated kelvin on top at `at_s` after parking, fading as that corner cools; negative: taken off.
        A shot that misses the brake carries the part that is on the brake.

    Returns
    -------
    World
        `odd` names the corner as well, unless its extra is 0; `extra_k` is what was asked for.
    """
    if world.extra is not None:
        msg = "an extra is planted already: plant from the world that simulate gave"
        raise ValueError(msg)
    column = np.array([column_of(c) if isinstance(c, str) else int(c) for c in corner_of_vehicle])
    extra = np.broadcast_to(np.asarray(extra_k, dtype=float), column.shape)
    on_top = Extra(column=column, extra_k=extra, at_s=at_s)
    shots = walk(world.parked, world.rounds, rng, on_top)
    readings, missed = as_readings(world.readings.cases, shots)
    marked = np.zeros(world.parked.body.share.shape, dtype=bool)
    marked[np.arange(column.size), column] = extra != 0.0
    odd = [
        tuple(sorted({*before, *now}, key=column_of))
        for before, now in zip(world.odd, odd_corners(marked), strict=True)
    ]
    return replace(world, readings=readings, missed=missed, odd=odd, extra_k=extra.copy(), extra=on_top)


def mixed(
    count: int,
    rng: np.random.Generator,
    *,
    rounds: int = 3,
    skins: str = "mixed",
    fault_share: float = 0.3,
) -> dict[str, list[World]]:
    """Intake of a workshop: for each kind that came, its healthy vehicles and those with each fault."""
    weight = np.array([kind.intake for kind in KINDS.values()])
    came = rng.multinomial(count, weight / weight.sum())
    worlds: dict[str, list[World]] = {}
    for name, number in zip(KINDS, came, strict=True):
        usual = np.array([INTAKE[fault] for fault in INTAKE])
        usual[list(INTAKE).index("diagonal_hot")] *= KINDS[name].split == "diagonal"
        chance = [1.0 - fault_share, *(fault_share * usual / usual.sum())]
        counts = rng.multinomial(number, chance)
        worlds[name] = [
            simulate(name, fault, int(some), rng, rounds=rounds, skins=skins)
            for fault, some in zip(("none", *INTAKE), counts, strict=True)
            if some
        ]
    return {name: parts for name, parts in worlds.items() if parts}


def _case(vehicle: str, drive: Drive, stated_degc: float) -> Case:
    log = LogRecord(file=f"{vehicle}.csv", sha256="0" * 64, rows_read=0, rows_used=0)
    return Case(
        log=log,
        vehicle=vehicle,
        drive=drive if drive in KINDS_OF_DRIVE else None,
        ambient_degc=stated_degc,
        ambient_source="log",
        parked_known=True,
    )


def as_readings(cases: tuple[Case, ...], shots: Shots) -> tuple[Readings, Array]:
    """The shots as a table in the order they were taken, and which of them missed."""
    vehicle, shot = np.nonzero(shots.taken)
    order = np.lexsort((shots.elapsed_s[vehicle, shot], vehicle))
    vehicle, shot = vehicle[order], shot[order]
    rows = np.bincount(vehicle, minlength=len(cases))
    before = np.cumsum(rows) - rows
    column = shots.column[vehicle, shot]
    counted = tuple(
        replace(case, log=replace(case.log, rows_read=int(some), rows_used=int(some)))
        for case, some in zip(cases, rows, strict=True)
    )
    unknown = np.full(vehicle.size, np.nan)
    table = Readings(
        cases=counted,
        case=vehicle.astype(np.int64),
        line=np.arange(vehicle.size) - before[vehicle] + 2,
        axle=(column // 2 + 1).astype(np.int64),
        side=(column % 2).astype(np.int64),
        spot=shots.spot[vehicle, shot].astype(np.int64),
        elapsed_s=shots.elapsed_s[vehicle, shot],
        indicated_degc=shots.shown_degc[vehicle, shot],
        emissivity=unknown,
        distance_m=unknown.copy(),
    )
    return table, shots.missed[vehicle, shot]


def _print_rises() -> None:
    """Rises of the metal two minutes after parking, and what a drag adds."""
    at = int(np.searchsorted(KNOTS_S, COMMON_TIME_S))
    for name, build in KINDS.items():
        start = time.perf_counter()
        world = simulate(name, "none", 2000, np.random.default_rng(1))
        took = time.perf_counter() - start
        rise = world.parked.kept_degc[at, 1] - world.parked.body.air_degc[:, None]
        axles = [
            "/".join(f"{value:.0f}" for value in np.percentile(rise[:, 2 * a : 2 * a + 2], (5, 50, 95)))
            for a in range(len(build.axles))
        ]
        drags = [10.0 * build.heavy_factor * step for step in (1, 2, 4)]
        extra = [
            np.percentile(
                simulate(name, "corner_hot", 400, np.random.default_rng(2), severity=drag).extra_k,
                (5, 50, 95),
            )
            for drag in drags
        ]
        told = "  ".join(
            f"{drag:.0f} N·m {e[1]:.0f} ({e[0]:.0f} to {e[2]:.0f})"
            for drag, e in zip(drags, extra, strict=True)
        )
        print(f"{name:14s} {took:5.2f} s  rise {', '.join(axles)} K   extra {told} K")


if __name__ == "__main__":
    _print_rises()
