"""All corners together: which single explanation of the whole vehicle has most support.

Every brake is healthy, hot (drags: heat added) or cold (idle: a part of its heat left). The vehicle's heat
level and each axle's departure from its usual share are unknown and summed over; the explanations compete
with the prior shares of the policy. The result is a probability given that model and those shares, no more.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.fitting.fit import FITTED, Fits
from thermlog.fitting.pairs import Pairs
from thermlog.judging.compare import Comparison
from thermlog.judging.explanations import (
    COLD_RIGHT,
    HEALTHY,
    HOT_LEFT,
    Explanation,
    explanations,
    kind_weights,
)
from thermlog.judging.skingap import SkinGap
from thermlog.judging.states import States, healthy_likelihood, share_kernel, states_of
from thermlog.words.findings import PatternKind
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Floats, Ints

KINDS: tuple[PatternKind, ...] = (
    "none", "corner_hot", "corner_cold", "axle_hot", "axle_cold", "diagonal_hot", "circuit_hot", "all_hot",
    "several",
)  # fmt: skip
_HOT, _COLD = 1, 2
_SIDES_OF_STATE = (
    (HEALTHY, HEALTHY), (_HOT, HEALTHY), (HEALTHY, _HOT), (_COLD, HEALTHY), (HEALTHY, _COLD), (_HOT, _HOT),
    (_COLD, _COLD),
)  # fmt: skip
_SINGLES = slice(
    HOT_LEFT, COLD_RIGHT + 1
)  # one brake hot or cold: left hot, right hot, left cold, right cold
_STACKED_CASES = 64  # judged at once: their arrays stay in the processor's cache
_SAME = 1e-9  # probabilities that differ by less are the same
_MISS_FLOOR = 1e-4  # no reading is beyond doubt: keeps one freak from deciding a vehicle


class Patterns(Struct, frozen=True, kw_only=True, eq=False):
    """Support for every explanation.

    Attributes
    ----------
    p_kind : float array (cases, kinds)
        Probability of each of `KINDS`; NaN where nothing can be compared.
    p_hot, p_cold : float array (2, pairs)
        Probability that the brake is hot or cold; NaN for pairs that do not speak for their axle.
    kind : int array (cases,)
        Index of the best supported kind; -1 where there is none.
    members : tuple of tuple of (axle, side)
        The corners that the best supported fault names, however likely the healthy vehicle is beside it.
    """

    p_kind: Floats
    p_hot: Floats
    p_cold: Floats
    kind: Ints
    members: tuple[tuple[tuple[int, int], ...], ...]


class CaseContext(Struct, frozen=True, kw_only=True, eq=False):
    """What the pattern must know of every case besides its readings.

    Attributes
    ----------
    policies : sequence of Policy (cases,)
    coast : bool array (cases,)
        True for a drive without braking.
    axle_count : int array (cases,)
        Axles of the vehicle, read or not.
    steered_front : bool array (cases,)
        True if axle 1 is a steer axle before others, which has a usual share of its own.
    impossible : sequence of frozenset of PatternKind (cases,)
        Explanations this vehicle or drive cannot have.
    harmless : sequence of frozenset of PatternKind (cases,)
        Explanations that are no fault on this vehicle.
    silent : frozenset of (case, axle)
        Axles that say nothing, such as a lifted one.
    """

    policies: Sequence[Policy]
    coast: Bools
    axle_count: Ints
    steered_front: Bools
    impossible: Sequence[frozenset[PatternKind]]
    harmless: Sequence[frozenset[PatternKind]]
    silent: frozenset[tuple[int, int]]


class _Group(Struct, frozen=True, kw_only=True, eq=False):
    """Cases judged together: their pairs as (axles, cases), their policy and their explanations."""

    cases: Ints
    columns: Ints
    policy: Policy
    states: States
    coast: bool
    steered_front: bool
    axle_count: int
    impossible: frozenset[PatternKind]
    table: tuple[Explanation, ...]


def find_patterns(
    pairs: Pairs, fits: Fits, comparison: Comparison, gap: SkinGap, context: CaseContext
) -> Patterns:
    """Weigh the explanations of every case.

    Parameters
    ----------
    pairs : Pairs
    fits : Fits
    comparison : Comparison
    gap : SkinGap
        What surfaces leave open in each rise.
    context : CaseContext

    Returns
    -------
    Patterns
    """
    cases = len(context.policies)
    found = Patterns(
        p_kind=np.full((cases, len(KINDS)), np.nan),
        p_hot=np.full((2, pairs.count), np.nan),
        p_cold=np.full((2, pairs.count), np.nan),
        kind=np.full(cases, -1),
        members=(),
    )
    timed = np.isfinite(comparison.common_time_s)[pairs.case]
    usable = comparison.chosen & (fits.state == FITTED).any(0) & timed
    if context.silent:
        places = zip(pairs.case.tolist(), pairs.axle.tolist(), strict=True)
        usable &= [place not in context.silent for place in places]
    members: list[tuple[tuple[int, int], ...]] = [()] * cases
    for group in _groups(pairs, np.flatnonzero(usable), context):
        likelihood = _axle_likelihood(pairs, fits, (comparison, gap), group)
        for case, rows in zip(group.cases, _weigh(group, likelihood, found), strict=True):
            axles = pairs.axle[group.columns[:, 0]]
            members[case] = tuple((int(axles[row]), side) for row, side in rows)
    return replace(found, members=tuple(members))


def _groups(pairs: Pairs, speaking: Ints, context: CaseContext) -> list[_Group]:
    """Cases with the same axles, policy and kind of drive."""
    table: dict[tuple[object, ...], list[int]] = {}
    starts = np.searchsorted(pairs.case[speaking], np.arange(len(context.policies) + 1))
    axle, coast = pairs.axle[speaking].tolist(), context.coast.tolist()
    counts, steered = context.axle_count.tolist(), context.steered_front.tolist()
    for case, (begin, end) in enumerate(pairwise(starts.tolist())):
        if end > begin:
            key = (
                tuple(axle[begin:end]),
                counts[case],
                id(context.policies[case]),
                coast[case],
                steered[case],
                context.impossible[case],
                context.harmless[case],
            )
            table.setdefault(key, []).append(case)
    return [
        _group(context, np.array(alike[begin : begin + _STACKED_CASES]), speaking, starts)
        for alike in table.values()
        for begin in range(0, len(alike), _STACKED_CASES)
    ]


def _group(context: CaseContext, cases: Ints, speaking: Ints, starts: Ints) -> _Group:
    first = int(cases[0])
    axles = int(starts[first + 1] - starts[first])
    policy, coast = context.policies[first], bool(context.coast[first])
    count, impossible = int(context.axle_count[first]), context.impossible[first]
    return _Group(
        cases=cases,
        columns=speaking[starts[cases][None, :] + np.arange(axles)[:, None]],
        policy=policy,
        states=states_of(policy, coast=coast),
        coast=coast,
        steered_front=bool(context.steered_front[first]),
        axle_count=count,
        impossible=impossible,
        table=explanations(axles, count, policy, impossible, context.harmless[first]),
    )


def _axle_likelihood(pairs: Pairs, fits: Fits, compared: tuple[Comparison, SkinGap], group: _Group) -> Floats:
    """Likelihood of every axle's two brakes: array (cases, axles, states, vehicle heat levels)."""
    healthy = _with_odd_skins(_side_likelihood(fits, *compared, group), compared[1], group)
    by_side = {
        HEALTHY: healthy,
        _HOT: _mapped(healthy, group.states.hot),
        _COLD: _mapped(healthy, group.states.cold),
    }
    likelihood = np.empty((*healthy.shape[:2], len(_SIDES_OF_STATE), healthy.shape[3]))
    together = np.empty((healthy.shape[0], *likelihood.shape[2:]))
    for row, axle in enumerate(pairs.axle[group.columns[:, 0]]):
        for state, (left, right) in enumerate(_SIDES_OF_STATE):
            np.multiply(by_side[left][:, row, 0], by_side[right][:, row, 1], out=together[:, state])
        kernel = share_kernel(_usual_share(int(axle), group), group.policy.axle_spread)
        np.matmul(together, kernel.T, out=likelihood[:, row])
    return likelihood


def _with_odd_skins(healthy: Floats, gap: SkinGap, group: _Group) -> Floats:
    """Where no emissivity is stated, a face may shine quite unlike the others and show a part of its rise."""
    share = np.where(gap.known[group.columns.T], 0.0, group.policy.odd_skin_share)[:, :, None, None]
    mixed: Floats = _mapped(healthy, group.states.odd_skin)
    mixed -= healthy
    mixed *= share
    mixed += healthy
    return mixed


def _mapped(likelihood: Floats, kernel: Floats) -> Floats:
    """Likelihoods (cases, ..., levels) through a linear map; one product a case: none feels the others."""
    mapped = likelihood.reshape(likelihood.shape[0], -1, likelihood.shape[-1]) @ kernel.T
    return mapped.reshape(likelihood.shape)


def _side_likelihood(fits: Fits, comparison: Comparison, gap: SkinGap, group: _Group) -> Floats:
    """Healthy likelihood of each brake: array (cases, axles, 2, levels)."""
    policy, columns = group.policy, group.columns
    rise = np.where(fits.state[:, columns] == FITTED, comparison.state.rise_k[:, columns], np.nan)
    variance = comparison.state.own_variance[:, columns]
    used = fits.used[:, columns]
    miss = policy.miss_share ** np.maximum(used, 1) + _MISS_FLOOR
    fraction, spread_k = (
        (policy.coast_side_spread_fraction, policy.coast_side_spread_k)
        if group.coast
        else (policy.side_spread_fraction, policy.side_spread_k)
    )
    flat = healthy_likelihood(
        rise.T.ravel(),
        np.nan_to_num(variance, nan=1.0).T.ravel(),
        miss.T.ravel(),
        side_fraction=np.hypot(fraction, gap.side_fraction[:, columns]).T.ravel(),
        side_k=np.full(rise.size, spread_k),
    )
    return flat.reshape(*rise.T.shape, -1)


def _usual_share(axle: int, group: _Group) -> float:
    """Usual rise of an axle over the vehicle's heat level; its logarithms add up to zero over all axles."""
    if not group.steered_front or group.axle_count < 2:
        return 1.0
    part = 1.0 / group.axle_count
    return float(group.policy.front_share ** (1.0 - part if axle == 1 else -part))


def _weigh(group: _Group, likelihood: Floats, found: Patterns) -> list[tuple[tuple[int, int], ...]]:
    """Write the posterior of one group into `found`; returns the corners its best explanations name."""
    none = likelihood[:, :, HEALTHY].copy()
    healthy = none.prod(1)
    base, all_hot = healthy * group.states.heat, healthy * group.states.heat_all_hot
    odds = np.divide(likelihood, none[:, :, None], out=likelihood)
    weight = np.array([explanation.weight for explanation in group.table])
    evidence = _evidences(base, all_hot, odds, group.table)
    several, several_hot, several_cold = _several(base, odds, group)
    posterior = evidence * weight
    total = posterior.sum(1) + several
    posterior /= total[:, None]
    of_kind, of_hot, of_cold = _shares(group.table, odds.shape[1])
    p_kind, in_hot, in_cold = ((posterior[:, None] @ share)[:, 0] for share in (of_kind, of_hot, of_cold))
    p_hot = several_hot / total + in_hot.T.reshape(several_hot.shape)
    p_cold = several_cold / total + in_cold.T.reshape(several_cold.shape)
    p_kind[:, KINDS.index("several")] += several / total
    found.p_kind[group.cases] = p_kind
    found.p_hot[:, group.columns], found.p_cold[:, group.columns] = p_hot, p_cold
    found.kind[group.cases] = p_kind.argmax(1)
    faults = np.where(np.arange(len(KINDS)) == KINDS.index("none"), -1.0, p_kind)
    return _named(group, posterior, faults.argmax(1), p_hot + p_cold)


def _evidences(base: Floats, all_hot: Floats, odds: Floats, table: Sequence[Explanation]) -> Floats:
    """Evidence of every explanation: array (cases, explanations); a vehicle all hot has a base of its own."""
    of_one = (odds @ base[:, None, :, None])[..., 0]  # one axle changed, array (cases, axles, states)
    columns = []
    for one in table:
        if len(one.changed) == 1:
            ((row, state),) = one.changed
            columns.append(of_one[:, row, state])
        else:
            columns.append(_evidence(all_hot if one.kind == "all_hot" else base, odds, one.changed))
    return np.stack(columns, axis=1)


def _evidence(base: Floats, odds: Floats, changed: tuple[tuple[int, int], ...]) -> Floats:
    product = base
    for row, state in changed:
        product = product * odds[:, row, state]
    evidence: Floats = product.sum(-1)
    return evidence


@lru_cache(maxsize=64)
def _shares(table: tuple[Explanation, ...], axles: int) -> tuple[Floats, Floats, Floats]:
    """Which kind every explanation is of, and which corners (side by side) it calls hot or cold."""
    kind = np.zeros((len(table), len(KINDS)))
    hot, cold = np.zeros((len(table), 2 * axles)), np.zeros((len(table), 2 * axles))
    for row, explanation in enumerate(table):
        kind[row, KINDS.index(explanation.kind)] = 1.0
        odd = cold if explanation.kind in {"corner_cold", "axle_cold"} else hot
        odd[row, [side * axles + axle for axle, side in explanation.members]] = 1.0
    return kind, hot, cold


def _several(base: Floats, odds: Floats, group: _Group) -> tuple[Floats, Floats, Floats]:
    """Two separate faults on two axles: weight, and its part for every side and axle, hot and cold."""
    cases, axles = odds.shape[:2]
    nothing = np.zeros((2, axles, cases))
    weights = kind_weights(group.policy, axles, group.axle_count, group.impossible)
    prior, hot, cold = (weights.get(kind, 0.0) for kind in ("several", "corner_hot", "corner_cold"))
    if axles < 2 or prior == 0.0:
        return np.zeros(cases), nothing, nothing
    hot_part = hot / max(hot + cold, 1e-9)
    part = np.array([0.5 * hot_part, 0.5 * hot_part, 0.5 * (1 - hot_part), 0.5 * (1 - hot_part)])
    single = odds[:, :, _SINGLES]
    each = (part @ single[..., None, :, :])[..., 0, :]
    other = each.sum(1, keepdims=True) - each
    other *= base[:, None]
    scale = prior / (0.5 * axles * (axles - 1))
    # an axle's fault counts with a fault on any other axle; the pair of axles is counted once in the weight
    by_state = (scale * part * (single @ other[..., None])[..., 0]).T
    return 0.5 * by_state.sum((0, 1)), by_state[:2], by_state[2:]


def _named(group: _Group, posterior: Floats, kind: Ints, p_odd: Floats) -> list[tuple[tuple[int, int], ...]]:
    """Corners of the best explanation of the given kind of every case, as (row of the axle, side)."""
    kinds = np.array([KINDS.index(explanation.kind) for explanation in group.table])
    support = np.where(kinds == kind[:, None], posterior, -1.0)
    # of explanations alike but for rounding, such as two corners nobody read, the first
    likeliest = (support >= (1.0 - _SAME) * support.max(1, keepdims=True)).argmax(1)
    names = [group.table[row].members for row in likeliest.tolist()]
    for case in np.flatnonzero(kind == KINDS.index("several")).tolist():
        names[case] = _two_oddest(p_odd[:, :, case].T)
    return names


def _two_oddest(p_odd: Floats) -> tuple[tuple[int, int], ...]:
    """The likeliest odd corners on two different axles, from an array (axles, 2)."""
    told = np.round(p_odd / _SAME)  # what differs by rounding only keeps its order
    rows = sorted(np.argsort(-told.max(1), kind="stable")[:2].tolist())
    return tuple((row, int(told[row].argmax())) for row in rows)
