"""Vehicles on which every axle is plainly even, found for a whole batch at once.

A fleet is mostly healthy, and telling each healthy vehicle axle by axle would cost more than judging it. The
test asks for more than `verdict.judge_axle` does: what it passes is even there too, and what it does not
pass is told in full.
"""

from __future__ import annotations

import math

import numpy as np

from thermlog.judging.assume import of_policies
from thermlog.judging.explanations import KINDS
from thermlog.judging.judged import Judged
from thermlog.judging.verdict import CLEARLY_UNLIKE_SIGMAS, OPEN_DOUBT
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Case, Floats
from thermlog.words.vehicle import Vehicle

_CLEAR = 0.99  # of a mark: what stands as near as this to it is told in full


def plainly_even(judged: Judged) -> Bools:
    """Cases without an odd axle, a hub, a pattern, or anything that cannot be told.

    Parameters
    ----------
    judged : Judged

    Returns
    -------
    bool array (cases,)
        True where `tell.tell` calls every axle and corner even and the pattern "none"; False where it has to
        be asked.
    """
    pairs, policies = judged.pairs, judged.policies
    doubt = of_policies(policies, _least_doubt)
    p_none = judged.patterns.p_kind[:, KINDS.index("none")]
    even: Bools = 1.0 - p_none < doubt  # never so where nothing was compared
    even &= np.fromiter(map(_judged_by_heat, judged.readings.cases, judged.vehicles), bool, doubt.size)
    odd = np.zeros(doubt.size, dtype=bool)
    odd[pairs.case[~_even_axles(judged, doubt)]] = True
    return even & ~odd


def _least_doubt(policy: Policy) -> float:
    """Probability of a fault below which no verdict asks for a look."""
    return _CLEAR * min(policy.flag_probability, policy.watch_probability, OPEN_DOUBT)


def _judged_by_heat(case: Case, vehicle: Vehicle) -> bool:
    """Air known, brakes used, and no axle that may stay cold."""
    return (
        case.ambient_degc is not None
        and case.drive != "coast"
        and not any(axle.lifted for axle in vehicle.axles)
    )


def _even_axles(judged: Judged, doubt: Floats) -> Bools:
    """Pairs that speak for their axle and have nothing to report."""
    pairs, patterns, comparison = judged.pairs, judged.patterns, judged.comparison
    least_rise_k = of_policies(judged.policies, lambda policy: policy.minimum_rise_k)
    odd = (patterns.p_hot + patterns.p_cold).sum(0)
    quiet: Bools = comparison.chosen & np.isfinite(comparison.difference_k) & (odd < doubt[pairs.case])
    quiet &= ~np.array(judged.digest.unchanged, dtype=bool).reshape(2, -1).any(0)
    warmer_k = np.fmax(*np.array(judged.digest.rise_high_k, dtype=np.float64).reshape(2, -1))
    quiet &= (warmer_k >= least_rise_k[pairs.case]) & _alike_cooling(judged)
    return quiet


def _alike_cooling(judged: Judged) -> Bools:
    """Time constants of the sides not clearly apart."""
    apart = np.abs(judged.comparison.log_tau_difference)
    mark = of_policies(judged.policies, lambda policy: _CLEAR * math.log(policy.tau_unlike_ratio))
    sigma = judged.comparison.log_tau_difference_sigma
    alike: Bools = (apart < mark[judged.pairs.case]) | (apart < _CLEAR * CLEARLY_UNLIKE_SIGMAS * sigma)
    return alike
