"""Which readings may vote in a fit: none that missed the spot.

Arrays carry the axes (readings in time order, series). Nothing is dropped here: masks are returned.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.physics.cooling import Law, law_shape
from thermlog.words.tables import Bools, Floats

# A shot beside the brake lands on colder metal, so a low stray is believed sooner than a high one.
LOW_MISS_SIGMAS = 3.5
HIGH_MISS_SIGMAS = 4.5
_TAU_STEPS = np.linspace(-2.5, 2.5, 11)  # trial time constants, in standard deviations of the prior
_MOST_ANCHORS = 12


class Series(Struct, frozen=True, kw_only=True, eq=False):
    """Series of readings whose strays are to be found.

    Attributes
    ----------
    time_s, rise_k : float array (readings, series)
    voting : bool array (readings, series)
    sigma_k : float array (series,)
        Scatter of one reading [K].
    log_tau_mean, log_tau_spread : float array (series,)
        Prior of ln(tau / 1 s).
    law : Law
    """

    time_s: Floats
    rise_k: Floats
    voting: Bools
    sigma_k: Floats
    log_tau_mean: Floats
    log_tau_spread: Floats
    law: Law


def strays(series: Series) -> Bools:
    """Readings that no plausible cooling curve shares with the others.

    Curves through each single reading, over the range of plausible time constants, are tried; the one with
    the smallest sum of bounded squares wins (a low stray costs less than a high one). At most half of a
    series can be strays, and a single reading never is.

    Parameters
    ----------
    series : Series

    Returns
    -------
    bool array (readings, series)
    """
    spread = np.where(np.isfinite(series.log_tau_spread), series.log_tau_spread, 1.0)
    best = np.full(series.sigma_k.shape, np.inf)
    residual = np.zeros_like(series.rise_k)
    for z in _TAU_STEPS:
        shape, _ = law_shape(series.time_s * np.exp(-(series.log_tau_mean + z * spread)), series.law)
        for anchor in _anchors(series.time_s.shape[0]):
            level = series.rise_k[anchor] / np.maximum(shape[anchor], 1e-12)
            off = (series.rise_k - level * shape) / series.sigma_k
            cost = np.where(series.voting, _bounded(off), 0.0).sum(0) + z * z
            better = (cost < best) & series.voting[anchor]
            best = np.where(better, cost, best)
            residual = np.where(better, off, residual)
    return _at_most_half(is_stray(residual) & series.voting, residual, series.voting)


def is_stray(standardised: Floats) -> Bools:
    """Too far below or above the curve, in standard deviations."""
    return (standardised < -LOW_MISS_SIGMAS) | (standardised > HIGH_MISS_SIGMAS)


def _bounded(off: Floats) -> Floats:
    limit = np.where(off < 0, LOW_MISS_SIGMAS, HIGH_MISS_SIGMAS)
    bounded: Floats = np.minimum(off * off, limit * limit)
    return bounded


def _anchors(readings: int) -> list[int]:
    return sorted({round(k) for k in np.linspace(0, readings - 1, min(readings, _MOST_ANCHORS))})


def _at_most_half(stray: Bools, residual: Floats, voting: Bools) -> Bools:
    """Keep only the worst strays where more than half of a series would go."""
    allowed = voting.sum(0) // 2
    size = np.where(stray, np.abs(residual), 0.0)
    rank = np.argsort(np.argsort(-size, axis=0, kind="stable"), axis=0, kind="stable")
    kept: Bools = stray & (rank < allowed)
    return kept
