"""Coverage of the stated intervals, calibration of the stated probabilities, confusion of patterns."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from validation_scores import Bins, reliability
from validation_sets import (
    SKINS,
    Array,
    Said,
    mixed,
    mixed_severity,
    plantable,
    planted,
    say,
    walked,
)

from thermlog.simulation.builds import HEALTHY, FaultKind
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import RUSTY_SKINS, GunPlan
from thermlog.words.vehicle import SIDES, split_corner

TENTHS = np.linspace(0.0, 1.0, 11)
PLANTED_KINDS: tuple[FaultKind, ...] = (
    "none", "corner_hot", "corner_cold", "axle_hot", "axle_cold", "diagonal_hot", "all_hot", "hub_hot",
)  # fmt: skip
PLAIN_GUN = GunPlan(
    calibration_sigma_k=0.0,
    calibration_gain_sigma=0.0,
    repeatability_sigma_k=0.5,
    aim_scatter=0.02,
    miss_share=0.0,
)
ROUGH_GUN = GunPlan(resolution_k=1.0)
SETTINGS = ("scatter only", "rounding, strays, ambient, skins", "and the gun's shared error")


class Coverage(Struct, frozen=True, kw_only=True):
    """Share of 95 % intervals that hold the truth, and how many were looked at."""

    name: str
    setting: str
    difference: float
    surface_difference: float
    temperature: float
    tau: float
    count: int


class Calibration(Struct, frozen=True, kw_only=True):
    """Reliability of ``p_fault`` and ``p_hot`` on one mixed population."""

    name: str
    skins: str
    fault: Bins
    hot: Bins
    true_share: float
    said_share: float


class Confusion(Struct, frozen=True, kw_only=True):
    """Counts of reported kinds for every planted kind."""

    weight_class: str
    counts: dict[str, dict[str, int]]


def coverage(name: str, setting: str, vehicles: int, seed: int) -> Coverage:
    """Count intervals that hold the truth, healthy and dragging vehicles half and half.

    Truth of a difference or temperature: what an error-free gun, set the same, would show at the common time.
    Truth of a time constant: rise over rate of fall of the rotor, in the middle of the measured window.
    """
    kind = VEHICLE_CLASSES[name]
    rng = np.random.default_rng([seed, 5])
    half = vehicles // 2
    faults = planted(kind, "corner_hot", mixed_severity("corner_hot", half, rng), half, rng)
    said = say(kind, faults + [HEALTHY] * half, walked(3, **_setting(setting)), seed=seed)
    shown, metal, middle = _truths(said)
    by_axle = [hit for k in range(2 * half) for hit in _axle_ends(said, k, shown, metal)]
    by_corner = [hit for k in range(2 * half) for hit in _corner_hits(said, k, shown, middle)]
    return Coverage(
        name=name,
        setting=setting,
        difference=_part([hit[0] for hit in by_axle]),
        surface_difference=_part([hit[1] for hit in by_axle]),
        temperature=_part([hit[0] for hit in by_corner]),
        tau=_part([hit[1] for hit in by_corner]),
        count=len(by_axle),
    )


def _setting(setting: str) -> dict[str, object]:
    if setting == SETTINGS[0]:
        even = replace(RUSTY_SKINS, separate_sigma=0.0)
        return {"gun": PLAIN_GUN, "ambient_sigma_k": 0.0, "skins": even}
    gun = ROUGH_GUN
    if setting == SETTINGS[1]:
        gun = replace(gun, calibration_sigma_k=0.0, calibration_gain_sigma=0.0)
    return {"gun": gun, "ambient_sigma_k": 2.0, "skins": SKINS["somewhat unlike"]}


def _part(hits: list[bool | None]) -> float:
    known = [hit for hit in hits if hit is not None]
    return float(np.mean(known)) if known else float("nan")


def _truths(said: Said) -> tuple[Array, Array, Array]:
    """Shown and metal temperature at the common time, time constant in mid-window; (vehicles, corners)."""
    fleet = said.fleet
    common = np.nan_to_num(said.judged.comparison.common_time_s)
    last = np.zeros(common.size)
    np.maximum.at(last, fleet.readings.case, fleet.readings.elapsed_s)
    middle = 0.5 * (said.judged.fits.reference_s + last)
    shown, metal = _each(fleet.indicated_degc, common), _each(fleet.surface_degc, common)
    return shown, metal, _each(fleet.local_tau_s, middle)


def _each(of: Callable[[float], Array], times_s: Array) -> Array:
    """Truth of every vehicle at its own moment, (vehicles, corners)."""
    return np.array([of(moment)[k] for k, moment in enumerate(times_s.tolist())])


def _axle_ends(said: Said, k: int, shown: Array, metal: Array) -> list[tuple[bool | None, bool | None]]:
    """For every axle: does the indicated and the surface interval hold the truth."""
    hits = []
    for axle in said.told[k].axles:
        left = 2 * (axle.axle - 1)
        gaps = (shown[k, left] - shown[k, left + 1], metal[k, left] - metal[k, left + 1])
        hits.append(
            (
                _holds(axle.difference_interval_k, gaps[0]),
                _holds(axle.surface_difference_interval_k, gaps[1]),
            )
        )
    return hits


def _corner_hits(said: Said, k: int, shown: Array, middle: Array) -> list[tuple[bool | None, bool | None]]:
    hits = []
    for found in said.told[k].corners:
        place = 2 * (found.axle - 1) + (found.side == "R")
        hits.append(
            (_holds(found.interval_degc, shown[k, place]), _holds(found.tau_interval_s, middle[k, place]))
        )
    return hits


def _holds(interval: tuple[float, float] | None, truth: float) -> bool | None:
    return None if interval is None else bool(interval[0] <= truth <= interval[1])


def calibration(name: str, skins: str, vehicles: int, seed: int) -> Calibration:
    """Reliability on vehicles as brought to a check."""
    kind = VEHICLE_CLASSES[name]
    faults = mixed(kind, vehicles, np.random.default_rng([seed, 6]))
    said = say(kind, faults, walked(3, skins=SKINS[skins]), seed=seed, tell=False)
    true = np.array([fault.kind != "none" for fault in faults], dtype=np.float64)
    p_hot, hot = _corner_statements(said)
    return Calibration(
        name=name,
        skins=skins,
        fault=reliability(said.p_fault, true, TENTHS),
        hot=reliability(p_hot, hot, TENTHS),
        true_share=float(true.mean()),
        said_share=float(said.p_fault.mean()),
    )


def _corner_statements(said: Said) -> tuple[Array, Array]:
    """``p_hot`` of every corner of every vehicle, and whether it drags."""
    judged, kind = said.judged, said.fleet.vehicle_class
    dragging = np.zeros((len(said.fleet.faults), len(kind.axles), 2))
    for k, fault in enumerate(said.fleet.faults):
        if fault.kind.endswith("_hot"):
            for place in fault.corners or kind.corners:
                axle, side = split_corner(place)
                dragging[k, axle - 1, SIDES.index(side)] = 1.0
    p_hot = judged.patterns.p_hot
    speaks = np.isfinite(p_hot[0])
    truth = dragging[judged.pairs.case, judged.pairs.axle - 1].T
    return p_hot[:, speaks].ravel(), truth[:, speaks].ravel()


def merged(bins: list[Bins], edges: Array = TENTHS) -> Bins:
    """One reliability diagram out of several."""
    said, true, count = (
        np.concatenate([getattr(b, part) for b in bins]) for part in ("said", "true", "count")
    )
    return reliability(said, true, edges, weight=count)


def confusion(name: str, vehicles: int, seed: int) -> Confusion:
    """Reported kind for every planted kind that the vehicle can have; hubs are read as well where planted."""
    kind = VEHICLE_CLASSES[name]
    rng = np.random.default_rng([seed, 7])
    counts: dict[str, dict[str, int]] = {}
    for number, fault in enumerate(PLANTED_KINDS):
        if fault not in plantable(kind):
            continue
        faults = planted(kind, fault, _strength(fault, vehicles, rng), vehicles, rng)
        walk = walked(3).walk
        if fault == "hub_hot":
            walk = replace(walk, spots=("brake", "hub"), seconds_per_reading=10.0)
        said = say(kind, faults, walked(3, walk=walk), seed=seed + number)
        table = counts.setdefault(fault, {})
        for told in said.told:
            table[told.pattern.kind] = table.get(told.pattern.kind, 0) + 1
    return Confusion(weight_class=kind.weight_class, counts=counts)


def _strength(fault: FaultKind, vehicles: int, rng: np.random.Generator) -> Array:
    return np.zeros(vehicles) if fault == "none" else mixed_severity(fault, vehicles, rng)
