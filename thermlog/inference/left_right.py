"""Left against right on every axle, at one common time inside the measured window."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.fitting.fit import FITTED, Fits
from thermlog.fitting.pairs import Pairs
from thermlog.fitting.predict import PairState, state_at
from thermlog.physics.distributions import fieller_limits, student_quantile
from thermlog.words.tables import Bools, Floats, Ints
from thermlog.words.vehicle import BRAKE_SPOTS, SPOTS, Spot

# Where both sides were read at several spots, the one that compares most fairly comes first (common practice,
# no source): the drum shell and the dull hat before the faces that brakes polish.
_FAIREST: tuple[Spot, ...] = ("drum", "hat", "rotor_outer", "brake", "rotor_inner", "caliper")
_RANK = np.array([_FAIREST.index(spot) if spot in BRAKE_SPOTS else len(_FAIREST) for spot in SPOTS])
_BRAKE_CODES = np.array([SPOTS.index(spot) for spot in BRAKE_SPOTS])
MOST_RISE_K = 3000.0  # twice what melts iron: no wheel end has it; engineering judgement


class SideComparison(Struct, frozen=True, kw_only=True, eq=False):
    """Left and right of every pair at the common time of its case.

    Attributes
    ----------
    common_time_s : float array (cases,)
        On the log's own clock [s]; NaN without readings.
    state : PairState
        Temperatures and rises there, no rise above `MOST_RISE_K`.
    quantile : float array (cases,)
        Two-sided 95 % quantile of Student's distribution with the degrees of freedom of the case.
    told : bool array (2, pairs)
        True where there is a curve, and it is told near enough to its readings.
    both : bool array (pairs,)
        True where both sides are told.
    difference_k, difference_sigma_k : float array (pairs,)
        Left minus right, indicated [K], and its standard uncertainty.
    ratio, ratio_low, ratio_high : float array (pairs,)
        Hotter over cooler rise with its 95 % interval (Fieller); NaN where the cooler rise is not clearly
        above zero, so that no ratio can be given.
    log_tau_difference, log_tau_difference_sigma : float array (pairs,)
        ln(tau left) minus ln(tau right).
    chosen : bool array (pairs,)
        The pair that speaks for its axle: the fairest brake spot read on both sides.
    """

    common_time_s: Floats
    state: PairState
    quantile: Floats
    told: Bools
    both: Bools
    difference_k: Floats
    difference_sigma_k: Floats
    ratio: Floats
    ratio_low: Floats
    ratio_high: Floats
    log_tau_difference: Floats
    log_tau_difference_sigma: Floats
    chosen: Bools


def compare(pairs: Pairs, fits: Fits, *, wanted_time_s: Floats) -> SideComparison:
    """Compare the sides of every pair.

    Parameters
    ----------
    pairs : Pairs
    fits : Fits
    wanted_time_s : float array (cases,)
        Common time asked for, after the first reading [s]; moved into the window all corners were read in.

    Returns
    -------
    SideComparison
    """
    common = common_time_s(pairs, fits, wanted_time_s)
    state = _within_reason(state_at(fits, pairs, common[pairs.case]))
    told = (fits.state == FITTED) & (state.rise_k < MOST_RISE_K)
    both = told.all(0)
    quantile = student_quantile(0.975, fits.dof)
    left, right = state.temperature_degc
    variance = state.temperature_variance.sum(0) - 2.0 * state.temperature_covariance
    ratio, low, high = _rise_ratio(state, left >= right, quantile[pairs.case])
    covariance = fits.covariance
    tau_variance = covariance[1, 1] + covariance[3, 3] - 2.0 * covariance[1, 3]
    return SideComparison(
        common_time_s=common,
        state=state,
        quantile=quantile,
        told=told,
        both=both,
        difference_k=np.where(both, left - right, np.nan),
        difference_sigma_k=np.where(both, np.sqrt(np.maximum(variance, 0.0)), np.nan),
        ratio=np.where(both, ratio, np.nan),
        ratio_low=np.where(both, low, np.nan),
        ratio_high=np.where(both, high, np.nan),
        log_tau_difference=fits.log_tau[0] - fits.log_tau[1],
        log_tau_difference_sigma=np.sqrt(np.maximum(tau_variance, 0.0)),
        chosen=_chosen(pairs, fits, both),
    )


def _within_reason(state: PairState) -> PairState:
    """The same with no rise above `MOST_RISE_K`: such curves are told hours away from their readings."""
    return replace(
        state,
        rise_k=np.minimum(state.rise_k, MOST_RISE_K),
        own_variance=np.minimum(state.own_variance, MOST_RISE_K**2),
    )


def common_time_s(pairs: Pairs, fits: Fits, wanted_time_s: Floats) -> Floats:
    """The moment all corners of a case are brought to.

    Parameters
    ----------
    pairs : Pairs
    fits : Fits
    wanted_time_s : float array (cases,)
        After the first reading [s].

    Returns
    -------
    float array (cases,)
        The wanted time, moved into the span between the latest first and the earliest last reading; with a
        single round, where no such span exists, the middle between the two.
    """
    begin = np.full(wanted_time_s.shape, -np.inf)
    end = np.full(wanted_time_s.shape, np.inf)
    np.maximum.at(begin, pairs.case, np.nan_to_num(fits.first_s, nan=-np.inf).max(0))
    np.minimum.at(end, pairs.case, np.nan_to_num(fits.last_s, nan=np.inf).min(0))
    wanted = fits.reference_s + wanted_time_s
    with np.errstate(invalid="ignore"):
        inside = np.where(begin <= end, np.clip(wanted, begin, end), 0.5 * (begin + end))
    return np.where(np.isfinite(begin) & np.isfinite(end), inside, np.nan)


def _rise_ratio(state: PairState, left_hotter: Bools, quantile: Floats) -> tuple[Floats, Floats, Floats]:
    above = np.where(left_hotter, state.rise_k, state.rise_k[::-1])
    spread = np.where(left_hotter, state.rise_variance, state.rise_variance[::-1])
    interval = fieller_limits(
        numerator=above[0],
        denominator=above[1],
        numerator_variance=spread[0],
        denominator_variance=spread[1],
        covariance=state.rise_covariance,
        quantile=quantile,
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = above[0] / above[1]
    known = interval.bounded & (above[1] > 0)
    return (
        np.where(known, ratio, np.nan),
        np.where(known, interval.lower, np.nan),
        np.where(known, interval.upper, np.nan),
    )


def _chosen(pairs: Pairs, fits: Fits, both: Bools) -> Bools:
    """One brake pair an axle: both sides read, most readings on the thinner side, fairest spot."""
    brake = np.isin(pairs.spot, _BRAKE_CODES)
    candidates = np.flatnonzero(brake)
    fewest: Ints = np.minimum(fits.used[0], fits.used[1])
    order = np.lexsort(
        (
            _RANK[pairs.spot[candidates]],
            -fewest[candidates],
            ~both[candidates],
            pairs.axle[candidates],
            pairs.case[candidates],
        )
    )
    ranked = candidates[order]
    first = np.ones(ranked.size, dtype=bool)
    first[1:] = (np.diff(pairs.case[ranked]) != 0) | (np.diff(pairs.axle[ranked]) != 0)
    chosen = np.zeros(pairs.count, dtype=bool)
    chosen[ranked[first]] = True
    return chosen
