"""One simulated log on request: vehicle, planted fault, text of the log, and the truth behind it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Literal, TypeAlias, assert_never

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.simulation.builds import HEALTHY, DayPlan, Fault, fault_places
from thermlog.simulation.logtext import LogStyle, log_text
from thermlog.simulation.roadtest import DRIVE_PLANS, DrivePlan
from thermlog.simulation.simulate import MeasurePlan, SimulatedFleet, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES, VehicleClass
from thermlog.simulation.walkround import (
    BRIGHT_SKINS,
    MIXED_SKINS,
    RUSTY_SKINS,
    UNEVEN_SKINS,
    GunPlan,
    SkinPlan,
    WalkPlan,
)
from thermlog.words.errors import VehicleError
from thermlog.words.findings import PatternKind
from thermlog.words.kinds import FAULT_KINDS, NONE, FaultKind, fault_kind
from thermlog.words.tables import Drive
from thermlog.words.vehicle import HUB_SPOT, Spot

SkinName: TypeAlias = Literal["rusty", "bright", "mixed", "uneven"]
SKINS: dict[SkinName, SkinPlan] = {
    "rusty": RUSTY_SKINS, "bright": BRIGHT_SKINS, "mixed": MIXED_SKINS, "uneven": UNEVEN_SKINS,
}  # fmt: skip
Order: TypeAlias = Literal["around", "across"]
# Strength of a fault nobody chose: plain to find, but not extreme (own estimate).
_DRAG_NM = {"light": 30.0, "heavy": 150.0}
_LOST_FRACTION = 0.9
_HIDDEN = ("simulated: practice case, the fault is not told here",)


class Wanted(Struct, frozen=True, kw_only=True):
    """What is to be simulated.

    Attributes
    ----------
    vehicle_class : str
        Name in `vehicleclass.VEHICLE_CLASSES`.
    fault : PatternKind or "any"
        "any": kind, place and strength are drawn by the seed; it may be none.
    corner : str or None
        Where: the fault sits at the place that holds this corner. None: drawn by the seed.
    drag_nm, lost_fraction : float or None
        Torque of a hot fault [N·m]; part of its braking a cold one has lost, 0 to 1. None: usual.
    drive, rounds, seed
        As in `simulate.simulate_fleet` and `walkround.WalkPlan`.
    spots, order, skins
        What is read at each corner, in which order, and how it shines.
    seconds_per_reading : float
        From one reading to the next [s].
    one_way : bool
        True if every round goes the same way.
    miss_share : float
        Part of the shots that catch rim, tyre or gap, 0 to 1.
    last_stop_kmh : float or None
        Speed of the stop that ends the drive [km/h]; None: a gentle one from walking pace.
    ambient_degc : float or None
        True air temperature [°C]; None: drawn by the seed.
    described : bool
        True for header lines that describe the vehicle.
    """

    vehicle_class: str
    fault: PatternKind | Literal["any"] = NONE.name
    corner: str | None = None
    drag_nm: float | None = None
    lost_fraction: float | None = None
    drive: Drive = "normal"
    rounds: int = 3
    seed: int = 1
    spots: tuple[Spot, ...] = ("brake",)
    order: Order = "around"
    skins: SkinName = "rusty"
    seconds_per_reading: float = 15.0
    one_way: bool = False
    miss_share: float = 0.03
    last_stop_kmh: float | None = None
    ambient_degc: float | None = None
    described: bool = True


class OneLog(Struct, frozen=True, kw_only=True, eq=False):
    """A simulated log and its truth.

    Attributes
    ----------
    log : str
        Text of the log.
    truth : str
        The same wants and the planted fault, as TOML.
    fault : Fault
        What was planted.
    fleet : SimulatedFleet
        The one vehicle behind it, with all that no gun shows.
    """

    log: str
    truth: str
    fault: Fault
    fleet: SimulatedFleet


def simulated_log(wanted: Wanted, *, style: LogStyle, hidden: bool = False) -> OneLog:
    """Drive, park and read one vehicle.

    Parameters
    ----------
    wanted : Wanted
    style : LogStyle
        How the log is written; a wide layout takes one spot only.
    hidden : bool
        True to leave out of the log what was planted, and the seed, from which it could be made again.

    Returns
    -------
    OneLog
        Same wants and style: same bytes.

    Raises
    ------
    VehicleError
        The vehicle cannot have such a fault, or not there.
    """
    kind = VEHICLE_CLASSES[wanted.vehicle_class]
    fault = planted_fault(wanted)
    fleet = simulate_fleet(
        kind, [fault], drive=_drive(kind, wanted), plan=_measured(wanted), seed=wanted.seed
    )
    remarks = _HIDDEN if hidden else (f"simulated: {fault_words(fault)}", f"seed: {wanted.seed}")
    remarks = (*remarks, f"scenario: {wanted.vehicle_class}")
    return OneLog(
        log=log_text(fleet.readings, style=style, remarks=remarks),
        truth="\n".join(_truth(wanted, fault)) + "\n",
        fault=fault,
        fleet=fleet,
    )


def _measured(wanted: Wanted) -> MeasurePlan:
    walk = WalkPlan(
        rounds=wanted.rounds,
        seconds_per_reading=wanted.seconds_per_reading,
        reverse_alternate=not wanted.one_way,
        spots=wanted.spots,
        order=wanted.order,
    )
    return MeasurePlan(
        walk=walk,
        gun=GunPlan(miss_share=wanted.miss_share),
        skins=SKINS[wanted.skins],
        day=DayPlan() if wanted.ambient_degc is None else DayPlan(ambient_degc=(wanted.ambient_degc,) * 2),
        described=wanted.described,
    )


def _drive(kind: VehicleClass, wanted: Wanted) -> DrivePlan:
    usual = DRIVE_PLANS[kind.weight_class, wanted.drive]
    if wanted.last_stop_kmh is None:
        return usual
    return replace(usual, last_stop_mps=wanted.last_stop_kmh / 3.6)


def planted_fault(wanted: Wanted) -> Fault:
    """The fault that is wanted, with everything left open drawn by the seed."""
    kind = VEHICLE_CLASSES[wanted.vehicle_class]
    rng = np.random.default_rng([wanted.seed, 9])  # apart from the streams of the simulation
    name = _any_kind(kind, wanted, rng) if wanted.fault == "any" else wanted.fault
    corners = _place(kind, name, wanted.corner, rng)
    strength = float(2.0 ** rng.uniform(-1.0, 1.0)) if wanted.fault == "any" else 1.0
    size = fault_kind(name).size
    match size:
        case "none":
            return HEALTHY
        case "loss":
            lost = _LOST_FRACTION if wanted.lost_fraction is None else wanted.lost_fraction
            return Fault(kind=name, corners=corners, lost_fraction=lost)
        case "drag" | "bearing":
            usual_nm = round(strength * _DRAG_NM[kind.weight_class], 1)
            drag_nm = usual_nm if wanted.drag_nm is None else wanted.drag_nm
            return Fault(kind=name, corners=corners, drag_nm=drag_nm)
        case _:
            assert_never(size)


def fault_words(fault: Fault) -> str:
    """The planted fault in one line.

    Examples
    --------
    >>> fault_words(Fault(kind="corner_hot", corners=("1L",), drag_nm=30.0))
    'corner hot at 1L, drag 30 N·m'
    """
    what = f"{fault.kind.replace('_', ' ')} at {' and '.join(fault.corners) or 'all corners'}"
    size = fault_kind(fault.kind).size
    match size:
        case "none":
            return "healthy, no fault planted"
        case "loss":
            return f"{what}, {fault.lost_fraction:.0%} of its braking lost"
        case "drag" | "bearing":
            return f"{what}, drag {fault.drag_nm:g} N·m"
        case _:
            assert_never(size)


def _any_kind(kind: VehicleClass, wanted: Wanted, rng: np.random.Generator) -> PatternKind:
    """A kind this vehicle can have and these readings can show, all alike likely."""
    possible = [
        fault.name
        for fault in FAULT_KINDS
        if fault.simulated and _shows(fault, wanted) and fault_places(kind, fault.name)
    ]
    return possible[int(rng.integers(len(possible)))]


def _shows(fault: FaultKind, wanted: Wanted) -> bool:
    """True if such a drive, read at these spots, shows such a fault."""
    match fault.size:
        case "loss":
            return wanted.drive != "coast"
        case "bearing":
            return HUB_SPOT in wanted.spots
        case "none" | "drag":
            return True
        case _:
            assert_never(fault.size)


def _place(
    kind: VehicleClass, name: PatternKind, corner: str | None, rng: np.random.Generator
) -> tuple[str, ...]:
    places = fault_places(kind, name)
    if not places:
        msg = f"{kind.name}: this vehicle cannot have the fault {name}; choose another fault or class"
        raise VehicleError(msg)
    drawn = places[int(rng.integers(len(places)))]
    if corner is None or drawn == ():
        return drawn
    for place in places:
        if corner in place:
            return place
    msg = f'{kind.name} has no corner "{corner}"; it has {", ".join(kind.corners)}'
    raise VehicleError(msg)


def _truth(wanted: Wanted, fault: Fault) -> Iterator[str]:
    """Everything that makes the log again, and what a reader should find."""
    yield "# truth behind a log that thermlog simulated"
    yield f"words = {_quoted(fault_words(fault))}"
    yield f"fault = {_quoted(fault.kind)}"
    yield f"corners = [{', '.join(map(_quoted, fault.corners))}]"
    yield f"drag_nm = {fault.drag_nm!r}"
    yield f"lost_fraction = {fault.lost_fraction!r}"
    yield f"class = {_quoted(wanted.vehicle_class)}"
    yield f"drive = {_quoted(wanted.drive)}"
    yield f"rounds = {wanted.rounds}"
    yield f"skins = {_quoted(wanted.skins)}"
    yield f"seconds_per_reading = {wanted.seconds_per_reading!r}"
    yield f"one_way = {str(wanted.one_way).lower()}"
    yield f"miss_share = {wanted.miss_share!r}"
    if wanted.last_stop_kmh is not None:
        yield f"last_stop_kmh = {wanted.last_stop_kmh!r}"
    yield f"seed = {wanted.seed}"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
