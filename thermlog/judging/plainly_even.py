"""Vehicles about which every answer is plainly "no", found for a whole batch at once.

A fleet is mostly healthy, and telling each healthy vehicle axle by axle would cost more than judging it. The
test asks for more than the answers do: of what it passes every answer is "no" and nothing is urgent, and
what it does not pass is told in full.
"""

from __future__ import annotations

import math

import numpy as np

from thermlog.inference.explanations import column_of
from thermlog.inference.gaps import MarkColumns
from thermlog.judging.axlenumbers import CLEARLY_UNLIKE_SIGMAS
from thermlog.judging.faded import is_faded, late_by_s, times_larger
from thermlog.judging.judged import Judged
from thermlog.judging.uncleared import fastest_tau_s, spoken_of
from thermlog.words.kinds import kind_of
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Case, Floats
from thermlog.words.vehicle import SPOTS, Vehicle

_CLEAR = 0.99  # of a mark: what stands as near as this to it is told in full
_COMPARED_AXLES = 2  # each is held beside the other; of more one may stand off, as one that is slowed does


def plainly_even(judged: Judged) -> Bools:
    """Cases without an odd axle, a hub, anything urgent, or anything that cannot be told.

    Parameters
    ----------
    judged : Judged

    Returns
    -------
    bool array (cases,)
        True where `tell.tell_findings` answers all three questions with "no", calls every axle and corner
        even and nothing urgent; False where it has to be asked.
    """
    even: Bools = (
        _seen_whole(judged)
        & ~_late(judged)
        & _improbable(judged)
        & _warm_and_varied(judged)
        & _axles_alike(judged)
        & ~_all_fast(judged)
    )
    odd = np.zeros(even.size, dtype=bool)
    odd[judged.pairs.case[~_even_axles(judged)]] = True
    return even & ~odd


def _seen_whole(judged: Judged) -> Bools:
    """Usual drives of which nothing is unread, set aside, hidden or settled by another drive."""
    told, hidden = judged.digest, judged.hidden
    remembered = (k for k, visits in enumerate(judged.visits) if visits)  # what they did has to be said
    each = zip(judged.readings.cases, judged.vehicles, strict=True)
    usual = np.fromiter((_is_usual(case, vehicle) for case, vehicle in each), bool, len(judged.vehicles))
    for k in (
        *hidden.drag,
        *hidden.idle,
        *remembered,
        *judged.stops,
        *(k for k, other in enumerate(told.coast_case) if other is not None),
    ):
        usual[k] = False
    # a pair an axle up to the last one: none is missing, and no hub or second spot was read
    spoken = zip(judged.readings.cases, judged.vehicles, strict=True)
    highest = np.array([max(len(one.axles), spoken_of(case, one)) for case, one in spoken], dtype=np.int64)
    np.maximum.at(highest, judged.pairs.case, judged.pairs.axle)
    whole: Bools = np.diff(judged.pairs.first) == highest
    return usual & whole


def _is_usual(case: Case, vehicle: Vehicle) -> bool:
    """Air known, brakes used, all readings temperatures, nothing noticed or noted, no axle may stay cold."""
    return (
        case.ambient_degc is not None
        and case.drive != "coast"
        and not case.blind
        and not case.impossible_pace
        and case.pause is None
        and not case.seen
        and not any(one.of_brakes for one in case.unweighed)
        and not any(axle.lifted or axle.unbraked for axle in vehicle.axles)
        and not (vehicle.spared and len(vehicle.axles) > _COMPARED_AXLES)
    )


def _late(judged: Judged) -> Bools:
    """Cases with a brake first read so long after the wheels stopped that nothing is cleared by it."""
    parked = np.fromiter((case.parked_known for case in judged.readings.cases), bool)
    latest_s = _CLEAR * judged.policies.table(lambda policy: policy.latest_reading_s)
    first_s = np.full(parked.size, -np.inf)
    np.fmax.at(first_s, judged.pairs.case, judged.fits.first_s.max(0))
    late: Bools = parked & (first_s > latest_s)
    return late


def _improbable(judged: Judged) -> Bools:
    """Every fault less probable than what asks for a look; never so where nothing was weighed."""
    patterns, policies = judged.patterns, judged.policies
    doubt = _CLEAR * policies.table(lambda policy: policy.doubt_probability)
    heat = _CLEAR * policies.table(lambda policy: policy.heat_watch_probability)
    whole_axles = patterns.p_kind[:, [column_of(kind_of("axle", sign)) for sign in ("hot", "cold")]].sum(1)
    rare: Bools = (patterns.p_drag < doubt) & (patterns.p_idle < doubt) & (whole_axles < doubt)
    return rare & (patterns.p_heat < heat)


def _warm_and_varied(judged: Judged) -> Bools:
    """Warm enough to show an idle brake, above the air and below any urgent line, no gun on hold."""
    readings, pairs = judged.readings, judged.pairs
    cases = len(judged.policies)
    low, high, warmest = np.full(cases, np.inf), np.full(cases, -np.inf), np.full(cases, -np.inf)
    np.minimum.at(low, readings.case, readings.indicated_degc)
    np.maximum.at(high, readings.case, readings.indicated_degc)
    np.fmax.at(warmest, pairs.case, np.fmax(*_rise_k(judged)))
    warm: Bools = _CLEAR * warmest >= judged.policies.table(lambda policy: policy.minimum_rise_k)
    urgent_degc = judged.policies.table(_least_urgent_degc)
    caliper_degc = judged.policies.table(lambda policy: policy.urgent_caliper_degc)
    of_calipers = pairs.case[pairs.spot == SPOTS.index("caliper")]
    urgent_degc[of_calipers] = np.minimum(urgent_degc, caliper_degc)[of_calipers]
    air_degc = np.array([np.nan if c.ambient_degc is None else c.ambient_degc for c in readings.cases])
    return warm & (low < high) & (low > air_degc) & (high < _CLEAR * urgent_degc)


def _least_urgent_degc(policy: Policy) -> float:
    """Reading of a brake, of whatever surface, that may be urgent [°C]."""
    return min(policy.urgent_brake_degc, policy.urgent_bright_degc)


def _rise_k(judged: Judged) -> Floats:
    """Rise of both sides of every pair (2, pairs) [K]; NaN where there is no curve."""
    rise: Floats = np.array(judged.digest.rise_k, dtype=np.float64).reshape(2, -1)
    return rise


def _even_axles(judged: Judged) -> Bools:
    """Pairs that speak for their axle, both sides read, and have nothing to report."""
    pairs, gaps, policies = judged.pairs, judged.gaps, judged.policies
    mark_k = _CLEAR * policies.table(lambda policy: policy.watch_difference_k)
    quiet: Bools = judged.comparison.chosen & np.isfinite(judged.comparison.difference_k)
    quiet &= (judged.fits.used > 0).all(0) & (_rise_k(judged) > 0.0).all(0)
    quiet &= np.abs(gaps.gap_k) - gaps.half_k < mark_k[pairs.case]
    quiet &= ~_faded(judged)
    quiet &= ~np.array(judged.digest.unchanged, dtype=bool).reshape(2, -1).any(0)
    doubtful = np.array(judged.digest.in_doubt, dtype=bool).reshape(2, -1)
    quiet &= ~((judged.fits.used == 1) & doubtful).any(0)
    quiet[[pair for _, pair in judged.digest.strays]] = False
    return quiet & _alike_cooling(judged)


def _faded(judged: Judged) -> Bools:
    """Pairs whose gap may have been past its marks when the wheels stopped."""
    each = zip(judged.policies, judged.digest.common_time_s, strict=True)
    late_s = np.array([late_by_s(policy, common_s) for policy, common_s in each])
    faded = np.zeros(judged.pairs.count, dtype=bool)
    pair = np.flatnonzero(late_s[judged.pairs.case] > 0.0)
    if pair.size == 0:
        return faded
    case, gaps = judged.pairs.case[pair], judged.gaps
    grown = times_larger(late_s[case], np.exp(judged.fits.log_tau[:, pair]).max(0))
    least_k = (np.abs(gaps.gap_k[pair]) - gaps.half_k[pair]) / _CLEAR
    marks = MarkColumns.of(judged.policies).at(case)
    faded[pair] = is_faded(least_k, _rise_k(judged)[:, pair].min(0), grown, marks)
    return faded


def _axles_alike(judged: Judged) -> Bools:
    """Of two axles none far from its usual share beside the other."""
    pairs, policies = judged.pairs, judged.policies
    share = policies.table(lambda policy: policy.front_share)[pairs.case]
    steered = np.fromiter((vehicle.axles[0].role == "steer" for vehicle in judged.vehicles), bool)
    share = np.where((pairs.axle == 1) & steered[pairs.case], share, 1.0)
    level = np.maximum(_rise_k(judged).mean(0), 1.0) / share
    high, low = np.full(len(policies), -np.inf), np.full(len(policies), np.inf)
    np.fmax.at(high, pairs.case, level)
    np.fmin.at(low, pairs.case, level)
    alike: Bools = high < _CLEAR * low * policies.table(lambda policy: policy.unlike_axles_ratio)
    more: Bools = np.fromiter((len(vehicle.axles) != 2 for vehicle in judged.vehicles), bool)
    alike |= more
    return alike


def _all_fast(judged: Judged) -> Bools:
    """Cases whose brakes may all lose their heat as no brake does."""
    tau_s = np.exp(judged.fits.log_tau).max(0)
    slowest = np.full(len(judged.policies), -np.inf)
    np.fmax.at(slowest, judged.pairs.case, tau_s)
    fast: Bools = slowest < judged.policies.table(lambda policy: fastest_tau_s(policy) / _CLEAR)
    return fast


def _alike_cooling(judged: Judged) -> Bools:
    """Time constants of the sides not clearly apart."""
    apart = np.abs(judged.comparison.log_tau_difference)
    mark = judged.policies.table(lambda policy: _CLEAR * math.log(policy.tau_unlike_ratio))
    sigma = judged.comparison.log_tau_difference_sigma
    alike: Bools = (apart < mark[judged.pairs.case]) | (apart < _CLEAR * CLEARLY_UNLIKE_SIGMAS * sigma)
    return alike
