"""What a vehicle's own earlier visits lead to expect of its brakes today.

Brakes of one vehicle differ for good: unlike surfaces, an axle that does more than its share. Each earlier
visit is one more measurement of these differences. The danger is to learn a fault that grows, hence the
guards: of the estimates after each visit the one all of them agree on counts (the smallest, none where their
signs differ), it is capped, what is old fades slowly, and suspicious visits stay in, or unlike surfaces would
never be learned. A difference that has grown from visit to visit is nothing usual at all. Whether a brake is
called by today's log alone is asked beside it (`tell`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.inference.left_right import SideComparison
from thermlog.inference.likelihood import Usual, axle_spread_of, share_of
from thermlog.inference.pattern import Evidence
from thermlog.words.policy import Policy
from thermlog.words.tables import Case, Floats
from thermlog.words.visits import LEAST_RATIO_RISE_K, AxleVisit, Past, PastVisit

_FEWEST_GROWING = 4  # drives, today's with them, before a difference can be said to grow
_GROWN_LN = 0.1  # from the first to today, a tenth of the rise; engineering judgement
_GROWING_PART = 0.9  # of all pairs of drives the later one shows more; judgement


class _Learned(Struct, frozen=True, kw_only=True):
    """One difference of a vehicle, in ln: its least agreed estimate, and the variance of the last one."""

    value: float
    variance: float


def usual_of(cases: Sequence[Case], past: Past, evidence: Evidence) -> Usual | None:
    """What earlier visits lead to expect of every pair.

    Parameters
    ----------
    cases : sequence of Case
    past : Past
    evidence : Evidence
        Of the same cases.

    Returns
    -------
    Usual or None
        None where nothing is known of any case.
    """
    pairs, gap, context = evidence.pairs, evidence.gap, evidence.context
    offset_ln, visited = np.zeros((2, pairs.count)), np.zeros(len(cases), dtype=np.int64)
    side_fraction, axle_spread = (np.full(pairs.count, np.nan) for _ in range(2))
    for k, case in enumerate(cases):
        visits = () if context.coast[k] else past.before(case)
        if not visits:
            continue
        own = range(int(pairs.first[k]), int(pairs.first[k + 1]))
        speaks = [pair for pair in own if evidence.comparison.chosen[pair] and not gap.known[pair]]
        rise_k = evidence.comparison.state.rise_k
        for pair in speaks:
            told = _usual_pair(visits, _Case.of(evidence, k, pair), _gap_ln(rise_k[:, pair]))
            if told is not None:
                offset_ln[:, pair], visited[k] = told.offset_ln, len(visits)
                side_fraction[pair], axle_spread[pair] = told.side_fraction, told.axle_spread
    if not visited.any():
        return None
    return Usual(offset_ln=offset_ln, side_fraction=side_fraction, axle_spread=axle_spread, visits=visited)


class _Case(Struct, frozen=True, kw_only=True):
    """What is believed of one axle before any visit."""

    policy: Policy
    axle: int
    axle_spread: float
    skin_fraction: float
    shares: tuple[float, ...]

    @classmethod
    def of(cls, evidence: Evidence, k: int, pair: int) -> _Case:
        context = evidence.context
        policy, axle = context.policies[k], int(evidence.pairs.axle[pair])
        count, steered = int(context.axle_count[k]), bool(context.steered_front[k])
        likeness = context.likeness[k]
        return cls(
            policy=policy,
            axle=axle,
            axle_spread=axle_spread_of(policy, likeness[axle - 1] if axle <= len(likeness) else "unsaid"),
            skin_fraction=float(evidence.gap.side_fraction[:, pair].max()),
            shares=tuple(
                share_of(number, count, policy.front_share if steered else 1.0)
                for number in range(1, count + 1)
            ),
        )


class _UsualPair(Struct, frozen=True, kw_only=True):
    """What is usual of one axle: as of `likelihood.Usual`."""

    offset_ln: tuple[float, float]
    side_fraction: float
    axle_spread: float


def _usual_pair(visits: Sequence[PastVisit], case: _Case, today_ln: float | None) -> _UsualPair | None:
    """What the visits tell of one axle; None where they tell nothing of it."""
    policy, gaps = case.policy, list(_side_gaps(visits, case))
    if today_ln is not None and is_growing([*(value for value, _ in gaps), today_ln]):
        return None
    sides = _filtered(gaps, 2.0 * case.skin_fraction**2, policy)
    share = _filtered(_axle_shares(visits, case), case.axle_spread**2, policy)
    if sides is None:
        return None
    whole, spread = 0.0, math.nan
    if share is not None:
        today = math.hypot(math.sqrt(share.variance), policy.memory_day_spread)
        whole, spread = share.value, min(case.axle_spread, today)
    return _UsualPair(
        offset_ln=(0.5 * sides.value + whole, -0.5 * sides.value + whole),
        side_fraction=max(policy.memory_least_spread, math.sqrt(0.5 * sides.variance)),
        axle_spread=spread,
    )


def _gap_ln(rise_k: Floats) -> float | None:
    """Logarithm of left over right; None where a rise is not worth a ratio."""
    left_k, right_k = rise_k.tolist()
    return math.log(left_k / right_k) if min(left_k, right_k) >= LEAST_RATIO_RISE_K else None


def is_growing(gaps_ln: Sequence[float]) -> bool:
    """True for a difference that is larger from drive to drive, in whatever sense: a fault that creeps.

    Parameters
    ----------
    gaps_ln : sequence of float
        Logarithm of left over right, in the order of the drives.

    Examples
    --------
    >>> is_growing([0.02, 0.08, 0.15, 0.26]), is_growing([0.2, 0.21, 0.19, 0.2])
    (True, False)
    """
    if len(gaps_ln) < _FEWEST_GROWING or abs(gaps_ln[-1]) - abs(gaps_ln[0]) < _GROWN_LN:
        return False
    sense = math.copysign(1.0, gaps_ln[-1])
    later = [sense * (second - first) > 0.0 for first, second in combinations(gaps_ln, 2)]
    return sum(later) >= _GROWING_PART * len(later)


def _filtered(seen: Iterable[tuple[float, float]], variance: float, policy: Policy) -> _Learned | None:
    """Running Gaussian estimate of a difference that is zero before any visit; `seen`: value and variance."""
    estimates, value = [], 0.0
    for measured, noise in seen:
        variance += policy.memory_forgetting_spread**2
        weight = variance / (variance + noise)
        value += weight * (measured - value)
        variance *= 1.0 - weight
        estimates.append(value)
    if not estimates:
        return None
    return _Learned(value=_least_agreed(estimates, policy.memory_most_spread), variance=variance)


def _least_agreed(estimates: Sequence[float], most: float) -> float:
    """The smallest of them, capped; none where their signs differ.

    Examples
    --------
    >>> _least_agreed([0.05, 0.11, 0.08], 0.2), _least_agreed([0.05, -0.01], 0.2), _least_agreed([-0.5], 0.2)
    (0.05, 0.0, -0.2)
    """
    low, high = min(estimates), max(estimates)
    if low <= 0.0 <= high:
        return 0.0
    least = low if low > 0.0 else high
    return math.copysign(min(abs(least), most), least)


def _side_gaps(visits: Sequence[PastVisit], case: _Case) -> Iterator[tuple[float, float]]:
    for visit in visits:
        told = visit.axle(case.axle)
        if told is not None and (sides := _logs(told, case.policy)) is not None:
            (left, left_variance), (right, right_variance) = sides
            yield left - right, left_variance + right_variance


def _axle_shares(visits: Sequence[PastVisit], case: _Case) -> Iterator[tuple[float, float]]:
    """The axle's share of the heat beside its usual one, where another axle was read, too."""
    for visit in visits:
        levels: dict[int, tuple[float, float]] = {}
        for one in visit.axles:
            if one.axle <= len(case.shares) and (sides := _logs(one, case.policy)) is not None:
                (left, left_variance), (right, right_variance) = sides
                usual = math.log(case.shares[one.axle - 1])
                levels[one.axle] = 0.5 * (left + right) - usual, 0.25 * (left_variance + right_variance)
        if case.axle in levels and len(levels) > 1:
            part = 1.0 / len(levels)
            mean = sum(level for level, _ in levels.values()) * part
            noise = sum((float(axle == case.axle) - part) ** 2 * own for axle, (_, own) in levels.items())
            yield levels[case.axle][0] - mean, noise + case.policy.memory_day_spread**2


def _logs(one: AxleVisit, policy: Policy) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Logarithm of both rises with its variance from day to day; None where a rise is not worth a ratio."""
    left_k, right_k = one.rise_k
    if one.of_metal or left_k is None or right_k is None or min(left_k, right_k) < LEAST_RATIO_RISE_K:
        return None
    left, right = (
        (math.log(rise_k), policy.memory_day_spread**2 + (variance + policy.memory_air_k**2) / rise_k**2)
        for rise_k, variance in ((left_k, one.variance_k2[0] or 0.0), (right_k, one.variance_k2[1] or 0.0))
    )
    return left, right


def beside_usual(comparison: SideComparison, usual: Usual) -> SideComparison:
    """Rises as they would be if the brakes did not differ for good: each beside what is usual of it."""
    part = np.exp(-usual.offset_ln)
    state = comparison.state
    return replace(
        comparison,
        state=replace(state, rise_k=state.rise_k * part, own_variance=state.own_variance * part**2),
    )
