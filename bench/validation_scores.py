"""How odd each method finds a vehicle: thermlog, what it would have said before, and the baselines."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from scipy.optimize import curve_fit
from validation_sets import Array

from thermlog.inference.doubt import Doubt
from thermlog.inference.explanations import column_of
from thermlog.inference.pattern import Evidence, find_patterns
from thermlog.inference.support import Patterns
from thermlog.judging.judged import Judged
from thermlog.words.kinds import AXLE_COLD, CORNER_COLD, NONE
from thermlog.words.policy import Policy, load_policy
from thermlog.words.tables import Readings
from thermlog.words.vehicle import HUB_SPOT, SPOTS

FALSE_ALARMS = 0.05  # per vehicle
DRAG_BASELINES = ("last difference", "difference of means", "curve_fit")
IDLE_BASELINES = ("largest deficit",)
_START_TAU_S = 1800.0
_RESAMPLES = 60
_COLD = [column_of(kind) for kind in (CORNER_COLD, AXLE_COLD)]
_LEAST_RISE_K = 3.0
_USUAL_S = 120.0


def drag_scores(judged: Judged, fitted: int) -> dict[str, Array]:
    """Scores of the drag question; `curve_fit` for the first vehicles only, NaN for the others."""
    readings = judged.as_read
    last, mean, fit = corner_tables(readings, judged.comparison.common_time_s, fitted)
    return {
        "thermlog": np.nan_to_num(judged.patterns.p_drag),
        "as before": hot_part(as_before(judged.evidence)),
        "last difference": _widest_gap(last),
        "difference of means": _widest_gap(mean),
        "curve_fit": np.where(np.arange(mean.shape[0]) < fitted, _widest_gap(fit), np.nan),
    }


def idle_scores(judged: Judged) -> dict[str, Array]:
    """Scores of the idle question."""
    _, mean, _ = corner_tables(judged.as_read, judged.comparison.common_time_s, 0)
    return {
        "thermlog": np.nan_to_num(judged.patterns.p_idle),
        "as before": cold_part(as_before(judged.evidence)),
        "largest deficit": largest_deficit(mean),
    }


def hot_part(found: Patterns) -> Array:
    """``p_fault`` less its cold part: the score of the drag question before there was one."""
    none = found.p_kind[:, column_of(NONE)]
    return np.nan_to_num(1.0 - none - found.p_kind[:, _COLD].sum(axis=1))


def cold_part(found: Patterns) -> Array:
    """The cold part of ``p_fault``."""
    return np.nan_to_num(found.p_kind[:, _COLD].sum(axis=1))


def undoubted(evidence: Evidence) -> Evidence:
    """The same without readings that may have missed: what does not fit is as the fit left it."""
    none = Doubt(place=np.full_like(evidence.doubt.place, -1), likelihood=evidence.doubt.likelihood[:0])
    return replace(evidence, doubt=none)


def with_policies(evidence: Evidence, of: Callable[[Policy], Policy]) -> Evidence:
    """The same weighed by other policies."""
    context = replace(evidence.context, policies=evidence.context.policies.map(of))
    return replace(evidence, context=context)


def earlier(policy: Policy) -> Policy:
    """The policy that emulates the earlier version."""
    return load_policy(str(Path(__file__).parent / f"as_before_{policy.name}.toml"))


def found_again(evidence: Evidence) -> Patterns:
    """Weighed by policies of the bench; where all skins are of one sort there is no other to tell it from."""
    with np.errstate(invalid="ignore"):
        return find_patterns(evidence)


def as_before(evidence: Evidence) -> Patterns:
    """The earlier version, emulated through the present program."""
    return found_again(undoubted(with_policies(evidence, earlier)))


# baselines


def corner_tables(readings: Readings, common_s: Array, fitted: int) -> tuple[Array, Array, Array]:
    """Last reading, mean, and rise of a fitted exponential, of every corner: (vehicles, corners), rises [K].

    NaN where nothing was read; the third for the first `fitted` vehicles.
    """
    brake = readings.spot != SPOTS.index(HUB_SPOT)
    common_s = np.nan_to_num(common_s, nan=_USUAL_S)  # where thermlog compares nothing
    corners = 2 * int(readings.axle.max())
    key = readings.case * corners + 2 * (readings.axle - 1) + readings.side
    rows = np.flatnonzero(brake)
    rows = rows[np.lexsort((readings.elapsed_s[rows], key[rows]))]
    ambient = np.array([case.ambient_degc or 0.0 for case in readings.cases])
    rise_k = readings.indicated_degc - ambient[readings.case]
    tables = np.full((3, len(readings.cases) * corners), np.nan)
    for some in np.split(rows, np.flatnonzero(np.diff(key[rows])) + 1):
        place, case = key[some[0]], readings.case[some[0]]
        tables[:2, place] = rise_k[some[-1]], rise_k[some].mean()
        if case < fitted:
            tables[2, place] = fitted_rise_k(readings.elapsed_s[some] - common_s[case], rise_k[some])
    last, mean, fit = tables.reshape(3, -1, corners)
    return last, mean, fit


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


def _widest_gap(table: Array) -> Array:
    return np.asarray(np.abs(np.nan_to_num(table[:, 0::2] - table[:, 1::2])).max(axis=1))


def largest_deficit(mean_k: Array) -> Array:
    """Largest part of its mate's rise that a corner lacks, (vehicles,)."""
    left, right = mean_k[:, 0::2], mean_k[:, 1::2]
    more = np.maximum(np.fmax(left, right), _LEAST_RISE_K)
    return np.asarray(np.nan_to_num(np.abs(left - right) / more).max(axis=1))


# what is found at one rate of false alarms


class Found(Struct, frozen=True, kw_only=True):
    """Shares of faulty vehicles found at the stated false alarms, methods in the order of `methods`.

    Attributes
    ----------
    share : float array (methods,)
    against : float array (methods,)
        Variance of the first method's share less each method's, over vehicles drawn again: healthy ones,
        which set the line, and faulty ones together.
    variance : float array (methods,)
        Of each share.
    """

    methods: tuple[str, ...]
    share: Array
    against: Array
    variance: Array


def found(calm: Mapping[str, Array], faulty: Mapping[str, Array], seed: int) -> Found:
    """What each method finds of one set of faulty vehicles, where it may alarm on so many healthy ones.

    Vehicles for which a method has no score (NaN) are left out for this method.
    """
    rng = np.random.default_rng([seed, 31])
    methods = tuple(calm)
    shares = np.array([_beyond(calm[name], faulty[name]) for name in methods])
    again = np.empty((_RESAMPLES, len(methods)))
    healthy, odd = len(calm[methods[0]]), len(faulty[methods[0]])
    for row in again:
        some, of_odd = rng.integers(0, healthy, healthy), rng.integers(0, odd, odd)
        row[:] = [_beyond(calm[name][some], faulty[name][of_odd]) for name in methods]
    return Found(
        methods=methods,
        share=shares,
        against=np.var(again[:, :1] - again, axis=0),
        variance=np.var(again, axis=0),
    )


def _beyond(calm: Array, faulty: Array) -> float:
    known, sought = calm[np.isfinite(calm)], faulty[np.isfinite(faulty)]
    if not known.size or not sought.size:
        return float("nan")
    return float((sought > threshold(known)).mean())


def threshold(healthy: Array) -> float:
    """Score that the stated share of healthy vehicles exceeds."""
    return float(np.quantile(healthy, 1.0 - FALSE_ALARMS))


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
