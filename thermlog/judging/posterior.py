"""Bayes over the explanations of whole vehicles: likelihoods of axles in, probabilities of faults out."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.judging.explanations import (
    COLD_RIGHT,
    HEALTHY,
    HOT_LEFT,
    KINDS,
    Explanation,
    kind_weights,
)
from thermlog.judging.likelihood import Group
from thermlog.words.tables import Bools, Floats, Ints

_DRAGS = (
    "corner_hot",
    "axle_hot",
    "diagonal_hot",
    "circuit_hot",
    "several",
)  # "all_hot" is a question of its own
_IDLES = ("corner_cold", "axle_cold")
_SINGLES = slice(HOT_LEFT, COLD_RIGHT + 1)  # one brake odd: left hot, right hot, left cold, right cold
_SAME = 1e-9  # probabilities that differ by less are the same


class Posterior(Struct, frozen=True, kw_only=True, eq=False):
    """Probabilities of one group.

    Attributes
    ----------
    explanation : float array (cases, explanations)
    p_kind : float array (cases, kinds)
    p_hot, p_cold : float array (2, axles, cases)
    p_drag, p_idle : float array (cases,)
        That a brake which was read carries extra heat, or lacks a part of its heat.
    p_heat : float array (cases,)
        That all brakes are hot, against what is usual after such a drive.
    node : float array (cases, nodes)
        Evidence of every node of what was summed over, its weight apart.
    """

    explanation: Floats
    p_kind: Floats
    p_hot: Floats
    p_cold: Floats
    p_drag: Floats
    p_idle: Floats
    p_heat: Floats
    node: Floats


def weigh(group: Group, nodes: Sequence[tuple[float, Floats]], read: Bools) -> Posterior:
    """Posterior of one group.

    Parameters
    ----------
    group : Group
    nodes : sequence of (weight, likelihood)
        What is not known of a vehicle and summed over: weight, and likelihood of axles
        (cases, axles, states, levels), which is overwritten.
    read : bool array (cases, 2 * axles)
        Brakes with a reading, all left ones first: an unread one is never counted as evidence.

    Returns
    -------
    Posterior
    """
    prior = np.array([explanation.weight for explanation in group.table])
    axles = nodes[0][1].shape[1]
    joint = np.zeros((read.shape[0], prior.size))
    several = np.zeros(read.shape[0])
    hot_too, cold_too = np.zeros((2, 2, axles, read.shape[0]))
    evidence = np.empty((read.shape[0], len(nodes)))
    whole_too = np.zeros((2, read.shape[0]))
    for number, (share, likelihood) in enumerate(nodes):
        whole_too += share * _as_usual(group, likelihood)
        here, two, two_hot, two_cold = _joint(group, likelihood, prior)
        evidence[:, number] = here.sum(1) + two
        joint += share * here
        several += share * two
        hot_too += share * two_hot
        cold_too += share * two_cold
    total = joint.sum(1) + several
    joint /= total[:, None]
    of_kind, of_hot, of_cold = _shares(group.table, axles)
    p_kind, in_hot, in_cold = ((joint[:, None] @ share)[:, 0] for share in (of_kind, of_hot, of_cold))
    p_kind[:, KINDS.index("several")] += several / total
    whole = of_kind[:, KINDS.index("all_hot")] > 0
    return Posterior(
        explanation=joint,
        p_kind=p_kind,
        p_hot=hot_too / total + in_hot.T.reshape(hot_too.shape),
        p_cold=cold_too / total + in_cold.T.reshape(cold_too.shape),
        p_drag=_of_read(joint, of_hot * ~whole[:, None], hot_too / total, read),
        p_idle=_of_read(joint, of_cold, cold_too / total, read),
        p_heat=_whole_hot(group, p_kind, whole_too),
        node=evidence,
    )


def _of_read(joint: Floats, odd: Floats, several: Floats, read: Bools) -> Floats:
    """Probability that a brake that was read is odd: explanations that name one, and two separate faults."""
    names_read = (odd @ read.T.astype(np.float64)).T > 0  # (cases, explanations)
    also = several.reshape(-1, read.shape[0]).T * read
    p: Floats = np.minimum((joint * names_read).sum(1) + also.sum(1), 1.0)
    return p


def _as_usual(group: Group, likelihood: Floats) -> Floats:
    """Evidence of all brakes healthy, and of all brakes hot, where heat is as usual: (2, cases)."""
    healthy = likelihood[:, :, HEALTHY].prod(1)
    return np.stack([healthy @ group.states.usual, healthy @ group.states.usual_all_hot])


def _whole_hot(group: Group, p_kind: Floats, evidence: Floats) -> Floats:
    """Share of "all hot" among vehicles without any other fault, times the probability of those."""
    share = group.policy.all_hot_share
    even, hot = (1.0 - share) * evidence[0], share * evidence[1]
    no_other = p_kind[:, [KINDS.index(kind) for kind in ("none", "all_hot")]].sum(1)
    p: Floats = no_other * hot / np.maximum(even + hot, 1e-300)
    return p


def named_faults(group: Group, found: Posterior) -> list[tuple[list[tuple[tuple[int, int], ...]], Ints]]:
    """Corners, as (row of the axle, side), and kind of the best fault, the best drag and the best idle one."""
    p_kind, kinds = found.p_kind, np.array(KINDS)
    any_fault = np.where(kinds == "none", -1.0, p_kind).argmax(1)
    drag, idle = (np.where(np.isin(kinds, some), p_kind, -1.0).argmax(1) for some in (_DRAGS, _IDLES))
    return [
        (_named(group, found.explanation, kind, p_odd), kind)
        for kind, p_odd in (
            (any_fault, found.p_hot + found.p_cold),
            (drag, found.p_hot),
            (idle, found.p_cold),
        )
    ]


def _joint(group: Group, likelihood: Floats, prior: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Prior times evidence of every explanation, and of two separate faults."""
    none = likelihood[:, :, HEALTHY].copy()
    healthy = none.prod(1)
    base, all_hot = healthy * group.states.heat, healthy * group.states.heat_all_hot
    odds = np.divide(likelihood, none[:, :, None], out=likelihood)
    return prior * _evidences(base, all_hot, odds, group.table), *_several(base, odds, group)


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
        odd = cold if explanation.kind in _IDLES else hot
        odd[row, [side * axles + axle for axle, side in explanation.members]] = 1.0
    return kind, hot, cold


def _several(base: Floats, odds: Floats, group: Group) -> tuple[Floats, Floats, Floats]:
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


def _named(group: Group, posterior: Floats, kind: Ints, p_odd: Floats) -> list[tuple[tuple[int, int], ...]]:
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
