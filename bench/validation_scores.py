"""Scores, baselines and counts of the validation."""

from __future__ import annotations

import warnings
from collections.abc import Callable

import numpy as np
from msgspec import Struct
from scipy.optimize import curve_fit
from validation_sets import Array, Said, corner

from thermlog.simulation.simulate import SimulatedFleet

FALSE_ALARMS = 0.05  # per vehicle
_START_TAU_S = 1800.0


class Scores(Struct, frozen=True, kw_only=True):
    """How odd a method finds each vehicle, and which corner it would name."""

    value: Array
    named: list[set[str]]

    def head(self, count: int) -> Scores:
        """The first vehicles only."""
        return Scores(value=self.value[:count], named=self.named[:count])


def thermlog_scores(said: Said, sought: str) -> Scores:
    """Probability that anything drags, or that anything is wrong; corners of the best supported fault."""
    return Scores(value=said.p_drag if sought == "drag" else said.p_fault, named=said.members)


def largest_last(said: Said) -> Scores:
    """Baseline 1: the largest left-right difference among the last readings."""
    return _from_corners(_corner_table(said.fleet, lambda degc: degc[-1]))


def largest_mean(said: Said) -> Scores:
    """Baseline 2: the largest left-right difference of the means of all readings."""
    return _from_corners(_corner_table(said.fleet, lambda degc: float(degc.mean())))


def largest_fitted(said: Said, count: int) -> Scores:
    """Baseline 3: an exponential through each corner alone, the first `count` vehicles at the common time."""
    readings, common = said.fleet.readings, said.judged.comparison.common_time_s
    table = np.full((count, len(said.fleet.vehicle_class.corners)), np.nan)
    for rows in _corner_rows(said.fleet):
        case = int(readings.case[rows[0]])
        if case >= count:
            continue
        place = 2 * (int(readings.axle[rows[0]]) - 1) + int(readings.side[rows[0]])
        ambient = float(readings.cases[case].ambient_degc or 0.0)
        since_s = readings.elapsed_s[rows] - common[case]
        table[case, place] = fitted_rise_k(since_s, readings.indicated_degc[rows] - ambient)
    return _from_corners(table)


def fitted_rise_k(since_s: Array, rise_k: Array) -> float:
    """Rise at time zero of an exponential through the readings; their mean where there is none."""
    if rise_k.size < 2:
        return float(rise_k.mean())
    start = (max(float(rise_k.mean()), 1.0), _START_TAU_S)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # two readings leave no covariance
            found, _ = curve_fit(_exponential, since_s, rise_k, p0=start, jac=_slope, maxfev=200)
    except RuntimeError:
        return float(rise_k.mean())
    return float(found[0]) if np.isfinite(found[0]) and abs(found[0]) < 1000.0 else float(rise_k.mean())


def _exponential(since_s: Array, rise_k: float, tau_s: float) -> Array:
    return np.asarray(rise_k * np.exp(np.clip(-since_s / tau_s, -50.0, 50.0)))


def _slope(since_s: Array, rise_k: float, tau_s: float) -> Array:
    shape = np.exp(np.clip(-since_s / tau_s, -50.0, 50.0))
    return np.stack([shape, rise_k * shape * since_s / tau_s**2], axis=1)


def _corner_rows(fleet: SimulatedFleet) -> list[Array]:
    """Rows of every corner in order of time."""
    readings = fleet.readings
    corners = len(fleet.vehicle_class.corners)
    key = readings.case * corners + 2 * (readings.axle - 1) + readings.side
    order = np.lexsort((readings.elapsed_s, key))
    return np.split(order, np.flatnonzero(np.diff(key[order])) + 1)


def _corner_table(fleet: SimulatedFleet, of: Callable[[Array], float]) -> Array:
    """One number a corner: (vehicles, corners); NaN where nothing was read."""
    readings = fleet.readings
    table = np.full((len(fleet.faults), len(fleet.vehicle_class.corners)), np.nan)
    for rows in _corner_rows(fleet):
        place = 2 * (readings.axle[rows[0]] - 1) + readings.side[rows[0]]
        table[readings.case[rows[0]], place] = of(readings.indicated_degc[rows])
    return table


def _from_corners(table: Array) -> Scores:
    gap = np.nan_to_num(table[:, 0::2] - table[:, 1::2])
    axle = np.abs(gap).argmax(axis=1)
    most = gap[np.arange(axle.size), axle]
    named = [{corner(int(a) + 1, int(g < 0))} for a, g in zip(axle, most, strict=True)]
    return Scores(value=np.abs(most), named=named)


def threshold(healthy: Scores) -> float:
    """Score that the stated share of healthy vehicles exceeds."""
    return float(np.quantile(healthy.value, 1.0 - FALSE_ALARMS))


def auc(healthy: Array, faulty: Array) -> float:
    """Chance that a faulty vehicle scores above a healthy one, ties half."""
    order = np.sort(healthy)
    below = np.searchsorted(order, faulty, side="left")
    not_above = np.searchsorted(order, faulty, side="right")
    return float((0.5 * (below + not_above)).mean() / order.size)


class Bins(Struct, frozen=True, kw_only=True):
    """A reliability diagram: what was said, what was true, how many, per bin."""

    said: Array
    true: Array
    count: Array

    @property
    def calibration_error(self) -> float:
        """Expected calibration error: mean distance between said and true, weighted by count."""
        return float((np.abs(self.said - self.true) * self.count).sum() / self.count.sum())


def reliability(said: Array, true: Array, edges: Array, *, weight: Array | None = None) -> Bins:
    """Sort statements, each once or by its weight, into bins of probability; empty bins are left out."""
    bins = edges.size - 1
    place = np.clip(np.searchsorted(edges, said, side="right") - 1, 0, bins - 1)
    count = np.bincount(place, weights=weight, minlength=bins)
    full = count > 0
    weighed = (values if weight is None else values * weight for values in (said, true))
    sums = [np.bincount(place, weights=values, minlength=bins)[full] for values in weighed]
    return Bins(said=sums[0] / count[full], true=sums[1] / count[full], count=count[full])
