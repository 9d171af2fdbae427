"""How often stated intervals hold the truth, and what the vehicles of both simulators look like."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from validation_sets import Array
from validation_worlds import Batch, Cell, WorldName, batch, weight_of

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.vehicle import HUB_SPOT

_APART_S = 30.0
_LEAST_K = 0.5


class Coverage(Struct, frozen=True, kw_only=True):
    """Hits of the stated 95 % intervals in one class, bool arrays.

    Attributes
    ----------
    difference, temperature, tau : bool array (axles,), (corners,), (corners,)
        Left minus right, and temperature, that an error-free gun would show at the common time; rise over
        rate of fall of the same in the middle of the walk.
    """

    world: WorldName
    kind: str
    skins: str
    rounds: int
    difference: Array
    temperature: Array
    tau: Array


def coverage(cell: Cell, count: int, seed: int) -> Coverage:
    """Count intervals that hold the truth, healthy and dragging vehicles half and half."""
    hits: tuple[list[bool], ...] = ([], [], [])
    for number, fault in enumerate(("none", "corner_hot")):
        made = batch(cell, fault, count // 2, seed + number)
        for mine, more in zip(hits, _hits(made), strict=True):
            mine.extend(more)
    difference, temperature, tau = (np.array(some) for some in hits)
    return Coverage(
        world=cell.world,
        kind=cell.kind,
        skins=cell.skins,
        rounds=cell.rounds,
        difference=difference,
        temperature=temperature,
        tau=tau,
    )


def _hits(made: Batch) -> tuple[list[bool], list[bool], list[bool]]:
    judged = judge(made.readings, Settings())
    common_s = np.nan_to_num(judged.comparison.common_time_s)
    last_s = np.zeros(common_s.size)
    np.maximum.at(last_s, made.readings.case, made.readings.elapsed_s)
    shown, tau_s = made.truth(common_s), local_tau_s(made, 0.5 * last_s)
    difference: list[bool] = []
    temperature: list[bool] = []
    tau: list[bool] = []
    for k in range(common_s.size):
        told = tell_findings(judged, k)
        difference += _axle_hits(told, shown[k])
        for found in told.corners:
            if found.spot != HUB_SPOT:
                place = 2 * (found.axle - 1) + (found.side == "R")
                temperature += _holds(found.at_common_degc, shown[k, place])
                tau += _holds(found.tau_s, tau_s[k, place])
    return difference, temperature, tau


def _axle_hits(told: Diagnosis, shown_degc: Array) -> list[bool]:
    hits: list[bool] = []
    for axle in told.axles:
        left = 2 * (axle.axle - 1)
        hits += _holds(axle.difference_k, shown_degc[left] - shown_degc[left + 1])
    return hits


def _holds(estimate: Estimate | None, truth: float) -> list[bool]:
    interval = None if estimate is None else estimate.interval
    return [] if interval is None else [bool(interval[0] <= truth <= interval[1])]


def local_tau_s(made: Batch, when_s: Array) -> Array:
    """Rise over rate of fall of what is shown, (vehicles, corners) [s]."""
    when_s = np.maximum(when_s, _APART_S)
    early, late = made.truth(when_s - _APART_S), made.truth(when_s + _APART_S)
    rise_k = 0.5 * (early + late) - made.air_degc[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(rise_k * 2.0 * _APART_S / (early - late))


class Look(Struct, frozen=True, kw_only=True):
    """What an error-free gun shows of one class at the usual common time.

    Attributes
    ----------
    heat_ln : float array (vehicles,)
        Geometric mean over the axles of a healthy vehicle, its logarithm [ln K].
    side_spread, axle_spread : float
        Scatter of ln of one side about its axle, and of one axle about its usual share.
    front_share : float
        First axle over the others; NaN with one axle.
    extra_k : tuple of float
        What a drag adds: lower quartile, median, upper quartile [K].
    """

    world: WorldName
    kind: str
    weight_class: str
    skins: str
    heat_ln: Array
    side_spread: float
    axle_spread: float
    front_share: float
    extra_k: tuple[float, float, float]


def look(cell: Cell, count: int, seed: int) -> Look:
    """Healthy vehicles, and what drags as planted for the tables add."""
    calm = batch(cell, "none", count, seed)
    hot = batch(cell, "corner_hot", count, seed + 1)
    at_s = load_policy(weight_of(cell.world, cell.kind)).common_time_s
    rise_k = calm.truth(np.full(count, at_s)) - calm.air_degc[:, None]
    log_rise = np.log(np.maximum(rise_k, _LEAST_K))
    axles = 0.5 * (log_rise[:, 0::2] + log_rise[:, 1::2])
    heat = axles.mean(axis=1)
    others = axles[:, 1:].mean(axis=1) if axles.shape[1] > 1 else np.full(count, np.nan)
    quartiles = np.quantile(hot.extra_k, (0.25, 0.5, 0.75)).tolist()
    return Look(
        world=cell.world,
        kind=cell.kind,
        weight_class=weight_of(cell.world, cell.kind),
        skins=cell.skins,
        heat_ln=heat,
        side_spread=float((log_rise[:, 0::2] - log_rise[:, 1::2]).std() / np.sqrt(2.0)),
        axle_spread=float((axles - heat[:, None]).std(axis=0).mean()),
        front_share=float(np.exp((axles[:, 0] - others).mean())),
        extra_k=(quartiles[0], quartiles[1], quartiles[2]),
    )
