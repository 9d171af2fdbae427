"""The walk round the parked vehicle and the gun in hand: when what is read, and how wrong."""

from __future__ import annotations

from typing import Literal

import numpy as np
from msgspec import Struct

from thermlog.physics.radiation import indicated_degc
from thermlog.words.tables import Bools, Floats, Ints
from thermlog.words.vehicle import SPOTS, Spot

# What a stray shot catches instead (rim, tyre, painted steel): common practice, no source.
STRAY_EMISSIVITY = 0.92
STRAY_RISE_PARTS = (0.03, 0.50)
LOWEST_EMISSIVITY, HIGHEST_EMISSIVITY = 0.10, 0.98


class WalkPlan(Struct, frozen=True, kw_only=True):
    """How the technician walks; the figures are common practice, no source.

    Attributes
    ----------
    rounds : int
        Walks round the vehicle, 1 to 8 or more.
    seconds_per_reading : float
        From one reading to the next [s].
    round_gap_s : float
        Pause between the last reading of a round and the first of the next [s].
    start_delay_s : float
        From wheels stopped to the first reading [s]; every vehicle draws its own about it.
    jitter_s : float
        Standard deviation of a reading's moment [s].
    reverse_alternate : bool
        True if every second round goes the other way.
    order : {"around", "across"}
        Down the left side and back up the right, or left then right axle by axle.
    mirrored_share : float
        Part of the vehicles on which left and right change places in the order, 0 to 1.
    spots : tuple of Spot
        What is read at every corner, in this order; ``"brake"``: the log does not say where on the brake.
    """

    rounds: int = 3
    seconds_per_reading: float = 15.0
    round_gap_s: float = 150.0
    start_delay_s: float = 30.0
    jitter_s: float = 3.0
    reverse_alternate: bool = True
    order: Literal["around", "across"] = "around"
    mirrored_share: float = 0.5
    spots: tuple[Spot, ...] = ("brake",)


class GunPlan(Struct, frozen=True, kw_only=True):
    """The gun and the hand that holds it.

    Attributes
    ----------
    emissivity_setting : float
        Set on the gun; it takes reflected ambient off.
    band_um : tuple of float
        Sensitive band [µm].
    calibration_sigma_k, calibration_gain_sigma : float
        Error shared by all readings of a vehicle: a shift [K], and a part of the reading above 23 °C.
    repeatability_sigma_k : float
        Scatter from shot to shot on one surface [K].
    resolution_k : float
        Last digit shown [K].
    highest_degc : float
        Above this the gun shows no number, and nothing is logged [°C].
    aim_scatter : float
        Standard deviation of the logarithm of the rise, from shot to shot: never quite the same place.
    miss_share : float
        Part of the shots that catch rim, tyre or gap, 0 to 1.

    Notes
    -----
    Two per cent or 2 °C as a rectangle gives the calibration figures; the rest is common practice, no source.
    """

    emissivity_setting: float = 0.95
    band_um: tuple[float, float] = (8.0, 14.0)
    calibration_sigma_k: float = 1.0
    calibration_gain_sigma: float = 0.01
    repeatability_sigma_k: float = 0.5
    resolution_k: float = 0.1
    highest_degc: float = 500.0
    aim_scatter: float = 0.03
    miss_share: float = 0.03


class SkinPlan(Struct, frozen=True, kw_only=True):
    """How the surfaces shine that the gun is aimed at.

    Attributes
    ----------
    emissivity : float
        Mean in the gun's band: oxidised iron 0.6 to 0.8, machined iron about 0.44, a swept face 0.2 to 0.4
        (handbook tables: Bramson; Wolfe & Zissis; Hottel in Holman).
    common_sigma, separate_sigma : float
        Standard deviation between vehicles, and between the corners of one vehicle.
    idle_emissivity : float or None
        Skin of a brake that does no work and rusts; None: no brake differs.
    """

    emissivity: float = 0.78
    common_sigma: float = 0.06
    separate_sigma: float = 0.03
    idle_emissivity: float | None = None


RUSTY_SKINS = SkinPlan()
BRIGHT_SKINS = SkinPlan(emissivity=0.35, common_sigma=0.06, separate_sigma=0.03)
MIXED_SKINS = SkinPlan(emissivity=0.60, common_sigma=0.12, separate_sigma=0.06, idle_emissivity=0.80)
# One corner polished and its mate rusty, as after work on one side: own estimate.
UNEVEN_SKINS = SkinPlan(emissivity=0.60, common_sigma=0.05, separate_sigma=0.15)


class SimulatedWalk(Struct, frozen=True, kw_only=True):
    """Who is read when: arrays (vehicles, readings), each row in order of time.

    Attributes
    ----------
    elapsed_s : float array
        Since wheels stopped [s], whole seconds.
    corner : int array
        2·(axle - 1) for left, plus 1 for right.
    spot : int array
        Index into `vehicle.SPOTS`.
    """

    elapsed_s: Floats
    corner: Ints
    spot: Ints


class Target(Struct, frozen=True, kw_only=True):
    """What the gun is pointed at; arrays that broadcast to (vehicles, readings).

    Attributes
    ----------
    surface_degc : float array
        True temperature [°C].
    emissivity : float array
        In the gun's band.
    ambient_degc : float array
        Air, and all that the surface mirrors [°C].
    """

    surface_degc: Floats
    emissivity: Floats
    ambient_degc: Floats


class Shots(Struct, frozen=True, kw_only=True, eq=False):
    """What came of the shots: arrays (vehicles, readings).

    Attributes
    ----------
    indicated_degc : float array
        What the gun showed [°C]; NaN above its range.
    missed : bool array
        True where it caught something else.
    """

    indicated_degc: Floats
    missed: Bools


def draw_walk(plan: WalkPlan, *, axles: int, vehicles: int, rng: np.random.Generator) -> SimulatedWalk:
    """Moments and places of all readings of many walks after one plan.

    Parameters
    ----------
    plan : WalkPlan
        How it is done.
    axles, vehicles : int
        Axles of each vehicle; how many vehicles.
    rng : numpy Generator
        Source of chance.

    Returns
    -------
    SimulatedWalk
    """
    corner, spot = _stations(plan, axles)
    per_round = corner.size
    turn_round = [
        slice(None, None, -1 if plan.reverse_alternate and r % 2 else 1) for r in range(plan.rounds)
    ]
    corners = np.concatenate([corner[turn] for turn in turn_round])
    spots = np.concatenate([spot[turn] for turn in turn_round])
    mirrored = (rng.random((vehicles, 1)) < plan.mirrored_share).astype(np.int64)
    place = np.arange(corners.size)
    planned_s = place * plan.seconds_per_reading + (place // per_round) * plan.round_gap_s
    delay_s = plan.start_delay_s * np.exp(0.3 * rng.standard_normal((vehicles, 1)))
    drawn_s = delay_s + planned_s + plan.jitter_s * rng.standard_normal((vehicles, corners.size))
    return SimulatedWalk(
        elapsed_s=np.sort(np.maximum(np.round(drawn_s), 1.0), axis=1),
        corner=corners ^ mirrored,
        spot=np.broadcast_to(spots, (vehicles, spots.size)),
    )


def _stations(plan: WalkPlan, axles: int) -> tuple[Ints, Ints]:
    """Corner and spot of every reading of a round in forward order."""
    left = 2 * np.arange(axles)
    across = np.arange(2 * axles)
    corners = across if plan.order == "across" else np.concatenate([left, left[::-1] + 1])
    spots = np.array([SPOTS.index(spot) for spot in plan.spots])
    return np.repeat(corners, spots.size), np.tile(spots, corners.size)


def draw_skins(plan: SkinPlan, idle: Floats, *, rng: np.random.Generator) -> Floats:
    """Emissivity of every corner in the gun's band.

    Parameters
    ----------
    plan : SkinPlan
        Means and spreads.
    idle : float array (vehicles, corners)
        Part of its braking that a corner has lost, 0 to 1.
    rng : numpy Generator
        Source of chance.

    Returns
    -------
    float array (vehicles, corners)
    """
    common = plan.common_sigma * rng.standard_normal((idle.shape[0], 1))
    separate = plan.separate_sigma * rng.standard_normal(idle.shape)
    skin = plan.emissivity + common + separate
    if plan.idle_emissivity is not None:
        skin = skin + idle * (plan.idle_emissivity + separate - skin)
    return np.clip(skin, LOWEST_EMISSIVITY, HIGHEST_EMISSIVITY)


def shoot(gun: GunPlan, target: Target, *, rng: np.random.Generator) -> Shots:
    """Readings with all the errors of gun, hand and surface.

    Parameters
    ----------
    gun : GunPlan
        The gun and the hand.
    target : Target
        What is aimed at.
    rng : numpy Generator
        Source of chance.

    Returns
    -------
    Shots
    """
    shape = target.surface_degc.shape
    missed = rng.random(shape) < gun.miss_share
    aim = np.exp(gun.aim_scatter * rng.standard_normal(shape))
    part = np.where(missed, rng.uniform(*STRAY_RISE_PARTS, size=shape), aim)
    seen = Target(
        surface_degc=target.ambient_degc + part * (target.surface_degc - target.ambient_degc),
        emissivity=np.where(missed, STRAY_EMISSIVITY, target.emissivity),
        ambient_degc=target.ambient_degc,
    )
    shown = error_free_degc(gun, seen)
    gain, shift = rng.standard_normal((2, shape[0], 1))
    shown = shown + gun.calibration_gain_sigma * gain * (shown - 23.0) + gun.calibration_sigma_k * shift
    shown = shown + gun.repeatability_sigma_k * rng.standard_normal(shape)
    digits = np.round(np.round(shown / gun.resolution_k) * gun.resolution_k, 6)
    return Shots(indicated_degc=np.where(digits > gun.highest_degc, np.nan, digits), missed=missed)


def error_free_degc(gun: GunPlan, target: Target) -> Floats:
    """Tell what a gun without errors of its own, set the same, would show [°C]."""
    return indicated_degc(
        target.surface_degc,
        emissivity=target.emissivity,
        gun_emissivity=gun.emissivity_setting,
        reflected_degc=target.ambient_degc,
        band_um=gun.band_um,
    )
