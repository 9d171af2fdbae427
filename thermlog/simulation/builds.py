"""Vehicles as built, worn and faulty, driven and parked: the heat side of a simulation."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.simulation.brakeheat import BrakeNodes, BrakeState, HeatInput, advance
from thermlog.simulation.roadtest import RoadLoad
from thermlog.simulation.vehicleclass import VehicleClass
from thermlog.words.errors import VehicleError
from thermlog.words.findings import PatternKind
from thermlog.words.kinds import NONE, fault_kind
from thermlog.words.tables import Floats
from thermlog.words.vehicle import SIDES, corner_name

# Part of the friction heat that goes into rotor or drum, the rest into pads and hub: Limpert, Brake Design
# and Safety (from memory, not checked), computed 0.98 for organic linings by effusivity.
ROTOR_HEAT_SHARE = 0.95
PARKED_STEP_S = 20.0
# Healthy spread of cooling, masses and films; nothing is published. Own estimate.
ROLLING_SPREAD, FILM_SPREAD, MASS_SPREAD, FAULT_SPREAD = 0.05, 0.04, 0.02, 0.15
FILM_RANGE_W_PER_M2K54 = (1.3, 2.2)  # about the laminar plate's 1.95: McAdams, from memory, not checked
SHELL_EMISSIVITY_RANGE = (0.45, 0.85)  # painted, rusty and bright parts together: own estimate
HUB_ROLLING_FACTOR = 2.5  # own estimate


class Fault(Struct, frozen=True, kw_only=True):
    """What is wrong with a simulated vehicle.

    Attributes
    ----------
    kind : PatternKind
        One that is simulated; a parking brake left on is ``"axle_hot"`` on its axle.
    corners : tuple of str
        Canonical corners it sits at; empty for no fault and for one of the whole vehicle.
    drag_nm : float
        Torque of the dragging brake, the mean if there are several, or of the failing bearing [N·m]. What
        holds several brakes works through lines or cables: they share it as they share the braking force.
    lost_fraction : float
        Part of its braking that each cold corner has lost, 0 to 1. The other brakes then work more.
    """

    kind: PatternKind = NONE.name
    corners: tuple[str, ...] = ()
    drag_nm: float = 0.0
    lost_fraction: float = 0.0


HEALTHY = Fault()


class DayPlan(Struct, frozen=True, kw_only=True):
    """Air and wind.

    Attributes
    ----------
    ambient_degc : tuple of float
        Lowest and highest true ambient, each vehicle draws its own [°C].
    side_wind_sigma : float
        Standard deviation of the logarithm of the parked film, windward over mean; the lee side loses as
        much.
    """

    ambient_degc: tuple[float, float] = (2.0, 28.0)
    side_wind_sigma: float = 0.04


class BuiltFleet(Struct, frozen=True, kw_only=True):
    """Vehicles of one class, each with its own healthy spread and its fault.

    Attributes
    ----------
    vehicle_class : VehicleClass
        What they are.
    nodes : BrakeNodes
        Thermal constants, arrays (vehicles, corners).
    ambient_degc, mass_kg : float array (vehicles, 1)
        True ambient [°C], mass as loaded [kg].
    force_share, lost : float array (vehicles, corners)
        Part of the vehicle's friction braking that each corner does; part of its own that it has lost.
    drag_nm, bearing_nm : float array (vehicles, corners)
        Drag of the released brake, healthy and faulty together; drag of a failing bearing [N·m].
    """

    vehicle_class: VehicleClass
    nodes: BrakeNodes
    ambient_degc: Floats
    mass_kg: Floats
    force_share: Floats
    lost: Floats
    drag_nm: Floats
    bearing_nm: Floats


class Cooldown(Struct, frozen=True, kw_only=True):
    """True temperatures while parked.

    Attributes
    ----------
    grid_s : float array (moments,)
        Since wheels stopped, in equal steps from 0 [s].
    rotor_degc, hub_degc : float array (moments, vehicles, corners)
        Both nodes [°C].
    """

    grid_s: Floats
    rotor_degc: Floats
    hub_degc: Floats


def fault_places(vehicle_class: VehicleClass, kind: PatternKind) -> tuple[tuple[str, ...], ...]:
    """All places where a fault of this kind can sit.

    Parameters
    ----------
    vehicle_class : VehicleClass
        The vehicle.
    kind : PatternKind
        Pattern of the fault.

    Returns
    -------
    tuple of tuples of str
        Values for ``Fault.corners``; empty where the vehicle cannot have it.

    Examples
    --------
    >>> from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
    >>> fault_places(VEHICLE_CLASSES["car_disc"], "diagonal_hot")
    (('1L', '2R'), ('1R', '2L'))
    """
    axles, fault = len(vehicle_class.axles), fault_kind(kind)
    places = fault.places(axles, axles)
    if fault.scope == "vehicle":
        return ((),) if places else ()
    return tuple(tuple(corner_name(row + 1, SIDES[side]) for row, side in place) for place in places)


def build_fleet(
    vehicle_class: VehicleClass, faults: Sequence[Fault], *, day: DayPlan, rng: np.random.Generator
) -> BuiltFleet:
    """Draw vehicles of a class with their healthy spread, and put the faults in.

    Parameters
    ----------
    vehicle_class : VehicleClass
        What to build.
    faults : sequence of Fault
        One a vehicle.
    day : DayPlan
        Air and wind.
    rng : numpy Generator
        Source of chance. The draws do not depend on the faults.

    Returns
    -------
    BuiltFleet

    Raises
    ------
    VehicleError
        A fault names a corner the vehicle does not have.
    """
    shape = (len(faults), len(vehicle_class.corners))
    one = (len(faults), 1)
    force = _healthy_force(vehicle_class, shape, rng)
    healthy_nm = _healthy_drag_nm(vehicle_class, shape, rng)
    fault_spread = np.exp(FAULT_SPREAD * rng.standard_normal(shape))
    hot = fault_spread * _split_by_force(
        vehicle_class, _at_corners(vehicle_class, faults, [fault.drag_nm for fault in faults])
    )
    lost = _at_corners(vehicle_class, faults, [fault.lost_fraction for fault in faults])
    in_hub = np.array([[fault_kind(fault.kind).size == "bearing"] for fault in faults])
    working = force * (1.0 - lost)
    return BuiltFleet(
        vehicle_class=vehicle_class,
        nodes=_draw_nodes(vehicle_class, shape, day=day, rng=rng),
        ambient_degc=rng.uniform(*day.ambient_degc, size=one),
        mass_kg=rng.uniform(*vehicle_class.mass_kg, size=one),
        force_share=working / np.maximum(working.sum(axis=1, keepdims=True), 1e-12),
        lost=lost,
        drag_nm=healthy_nm + np.where(in_hub, 0.0, hot),
        bearing_nm=np.where(in_hub, hot, 0.0),
    )


def on_another_day(built: BuiltFleet, *, day: DayPlan, rng: np.random.Generator) -> BuiltFleet:
    """The same vehicles in other weather, with another load.

    Parameters
    ----------
    built : BuiltFleet
        Built without wind, so that the day's own is the only one.
    day : DayPlan
        Air and wind.
    rng : numpy Generator
        Of the day.
    """
    one, corners = built.mass_kg.shape, built.drag_nm.shape[1]
    windward = np.tile([1.0, -1.0], corners // 2) * day.side_wind_sigma * rng.standard_normal(one)
    film = built.nodes.film_w_per_m2k54 * np.exp(windward)
    return replace(
        built,
        nodes=replace(built.nodes, film_w_per_m2k54=film),
        ambient_degc=rng.uniform(*day.ambient_degc, size=one),
        mass_kg=rng.uniform(*built.vehicle_class.mass_kg, size=one),
    )


def _healthy_force(vehicle_class: VehicleClass, shape: tuple[int, int], rng: np.random.Generator) -> Floats:
    """Relative brake force of healthy corners: the axle's share, its spread, and the corner's own."""
    share = np.repeat([axle.force_share for axle in vehicle_class.axles], 2)
    by_axle = np.repeat(rng.standard_normal((shape[0], shape[1] // 2)), 2, axis=1)
    by_corner = rng.standard_normal(shape)
    spread = vehicle_class.axle_spread * by_axle + vehicle_class.side_spread * by_corner
    return np.asarray(share * np.exp(spread), dtype=np.float64)


def _healthy_drag_nm(vehicle_class: VehicleClass, shape: tuple[int, int], rng: np.random.Generator) -> Floats:
    """Residual drag, log-uniform: most healthy brakes are nearer the lower end."""
    least, most = _range_per_corner(vehicle_class, "residual_drag_nm")
    return np.asarray(vehicle_class.drag_factor * least * (most / least) ** rng.random(shape))


def _at_corners(vehicle_class: VehicleClass, faults: Sequence[Fault], values: Sequence[float]) -> Floats:
    """Array (vehicles, corners) holding each fault's value at its corners, elsewhere 0."""
    corners = vehicle_class.corners
    places = np.zeros((len(faults), len(corners)))
    for k, (fault, value) in enumerate(zip(faults, values, strict=True)):
        for corner in fault.corners or (corners if fault_kind(fault.kind).scope == "vehicle" else ()):
            if corner not in corners:
                msg = f'{vehicle_class.name} has no corner "{corner}"; it has {", ".join(corners)}'
                raise VehicleError(msg)
            places[k, corners.index(corner)] = value
    return places


def _split_by_force(vehicle_class: VehicleClass, drag_nm: Floats) -> Floats:
    """Each vehicle's drag shared among its dragging corners like the braking force, the mean kept."""
    force = np.repeat([axle.force_share for axle in vehicle_class.axles], 2)
    at_fault = drag_nm > 0.0
    total = np.where(at_fault, force, 0.0).sum(axis=1, keepdims=True)
    mean_force = total / np.maximum(at_fault.sum(axis=1, keepdims=True), 1)
    return np.where(at_fault, drag_nm * force / np.where(total > 0.0, mean_force, 1.0), 0.0)


def _per_corner(vehicle_class: VehicleClass, name: str) -> Floats:
    """A figure of the brakes, (corners,)."""
    return np.repeat(np.array([getattr(axle.brake, name) for axle in vehicle_class.axles], dtype=float), 2)


def _range_per_corner(vehicle_class: VehicleClass, name: str) -> Floats:
    """Low and high end of a figure of the brakes, (2, corners)."""
    ends = np.array([getattr(axle.brake, name) for axle in vehicle_class.axles], dtype=float)
    return np.repeat(ends.T, 2, axis=1)


def _draw_nodes(
    vehicle_class: VehicleClass, shape: tuple[int, int], *, day: DayPlan, rng: np.random.Generator
) -> BrakeNodes:
    one = (shape[0], 1)
    low, high = _range_per_corner(vehicle_class, "rolling_w_per_k")
    # The ends of the published range come from opposite extremes of every factor: stay off them.
    exposure = rng.uniform(0.2, 0.8, size=one)
    windward = np.tile([1.0, -1.0], shape[1] // 2) * day.side_wind_sigma * rng.standard_normal(one)
    film = rng.uniform(*FILM_RANGE_W_PER_M2K54, size=one)
    hub_w_per_k = _per_corner(vehicle_class, "hub_parked_w_per_k") * np.exp(0.2 * rng.standard_normal(one))
    return BrakeNodes(
        rotor_j_per_k=_per_corner(vehicle_class, "rotor_j_per_k")
        * np.exp(MASS_SPREAD * rng.standard_normal(shape)),
        hub_j_per_k=_per_corner(vehicle_class, "hub_j_per_k"),
        rotor_to_hub_w_per_k=_per_corner(vehicle_class, "rotor_to_hub_w_per_k")
        * np.exp(0.2 * rng.standard_normal(one)),
        area_m2=_per_corner(vehicle_class, "area_m2"),
        emissivity=rng.uniform(*SHELL_EMISSIVITY_RANGE, size=one),
        film_w_per_m2k54=film * np.exp(FILM_SPREAD * rng.standard_normal(shape) + windward),
        rolling_w_per_k=low * (high / low) ** exposure * np.exp(ROLLING_SPREAD * rng.standard_normal(shape)),
        hub_rolling_w_per_k=HUB_ROLLING_FACTOR * hub_w_per_k,
        hub_parked_w_per_k=hub_w_per_k,
    )


def drive_fleet(built: BuiltFleet, road: RoadLoad) -> BrakeState:
    """Temperatures at the moment the wheels stop, from cold.

    Parameters
    ----------
    built : BuiltFleet
        The vehicles.
    road : RoadLoad
        Their drives, one column a vehicle.

    Returns
    -------
    BrakeState
        Arrays (vehicles, corners).
    """
    cold = np.broadcast_to(built.ambient_degc, built.drag_nm.shape)
    state = BrakeState(rotor_degc=cold, hub_degc=cold)
    kind = built.vehicle_class
    for speed, braking in zip(road.speed_mps, road.braking_w_per_kg, strict=True):
        speed_mps = speed[:, np.newaxis]
        wheel_rad_per_s = speed_mps / kind.tyre_radius_m
        stopping_w = kind.friction_share * built.mass_kg * braking[:, np.newaxis]
        friction_w = built.force_share * stopping_w + built.drag_nm * wheel_rad_per_s
        heat = HeatInput(
            ambient_degc=built.ambient_degc,
            speed_mps=speed_mps,
            rotor_w=ROTOR_HEAT_SHARE * friction_w,
            hub_w=(1.0 - ROTOR_HEAT_SHARE) * friction_w + built.bearing_nm * wheel_rad_per_s,
        )
        state = advance(built.nodes, heat, state, step_s=road.step_s)
    return state


def park_fleet(built: BuiltFleet, stopped: BrakeState, *, until_s: float) -> Cooldown:
    """Cooling from wheels stopped to at least `until_s` [s].

    Parameters
    ----------
    built : BuiltFleet
        The vehicles.
    stopped : BrakeState
        Temperatures at the start, arrays (vehicles, corners).
    until_s : float
        Last moment needed [s].

    Returns
    -------
    Cooldown
        In steps of 20 s; between them a straight line is good to a few hundredths of a kelvin.
    """
    steps = int(np.ceil(until_s / PARKED_STEP_S)) + 1
    still = HeatInput(ambient_degc=built.ambient_degc)
    rotor, hub = np.empty((2, steps + 1, *stopped.rotor_degc.shape))
    state = stopped
    rotor[0], hub[0] = state.rotor_degc, state.hub_degc
    for k in range(1, steps + 1):
        state = advance(built.nodes, still, state, step_s=PARKED_STEP_S)
        rotor[k], hub[k] = state.rotor_degc, state.hub_degc
    return Cooldown(
        grid_s=PARKED_STEP_S * np.arange(steps + 1, dtype=np.float64), rotor_degc=rotor, hub_degc=hub
    )
