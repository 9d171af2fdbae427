"""Bayes over the explanations of whole vehicles: likelihoods of axles in, probabilities of faults out."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import assert_never

import numpy as np
from msgspec import Struct

from thermlog.inference.explanations import HEALTHY, KINDS, Explanation, column_of, kinds_asked_of
from thermlog.inference.likelihood import Group
from thermlog.inference.odds import (
    COLDS,
    HOTS,
    ONE,
    TWO,
    Odds,
    Separate,
    one_changed,
)
from thermlog.words.kinds import ALL_HOT, NONE, SEVERAL, Members, fault_kind
from thermlog.words.tables import Bools, Floats, Ints

_DRAGS, _IDLES = kinds_asked_of("drag"), kinds_asked_of("idle")
_SEVERAL = column_of(SEVERAL)
_ALSO = 0.5  # of the first corner's probability: others are named with it; judgement
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


def _evidences(group: Group, odds: Odds) -> Floats:
    """Prior times evidence of every explanation: (cases, explanations); one axle changed by one product."""
    of_one = np.einsum("ascl,cl->cas", odds.odds, odds.base)
    found: Floats = of_one.reshape(of_one.shape[0], -1) @ one_changed(group.table, len(group.axles)).T
    for number, one in enumerate(group.table):
        if len(one.changed) != 1:
            found[:, number] = odds.of(one).sum(-1)
    return found


def odd_and_read(group: Group, read: Bools) -> tuple[Bools, Bools]:
    """Explanations that name a dragging, or an idle, brake that was read: (cases, explanations) each.

    Parameters
    ----------
    group : Group
    read : bool array (cases, 2 * axles)
        Brakes with a reading, all left ones first: an unread one is never counted as evidence.
    """
    _, of_hot, of_cold = _shares(group.table, read.shape[1] // 2)
    seen = read.T.astype(np.float64)
    return (of_hot @ seen > 0).T, (of_cold @ seen > 0).T


def weigh(group: Group, nodes: Sequence[tuple[float, Odds, Separate]], read: Bools) -> Posterior:
    """Posterior of one group.

    Parameters
    ----------
    group : Group
    nodes : sequence of (weight, Odds, Separate)
        What is not known of a vehicle and summed over.
    read : bool array (cases, 2 * axles)
        See `odd_and_read`.

    Returns
    -------
    Posterior
    """
    cases, axles = read.shape[0], len(group.axles)
    explained = np.zeros((cases, len(group.table)))
    touched = np.zeros((axles, HOTS.shape[1], cases))
    several = np.zeros((3, cases))  # of all, of those without a drag, of those without an idle brake
    whole = np.zeros((2, cases))
    evidence = np.empty((cases, len(nodes)))
    for number, (share, odds, separate) in enumerate(nodes):
        here, more = _evidences(group, odds), (odds.base * separate.in_all()).sum(-1)
        evidence[:, number] = here.sum(1) + more[0]
        explained += share * here
        several += share * more
        touched += share * _touched(odds, separate)
        whole += share * _as_usual(group, odds)
    total = explained.sum(1) + several[0]
    explained /= total[:, None]
    of_kind, of_hot, of_cold = _shares(group.table, axles)  # a vehicle all hot has no odd corner
    p_kind, in_hot, in_cold = ((explained[:, None] @ share)[:, 0] for share in (of_kind, of_hot, of_cold))
    p_kind[:, _SEVERAL] += several[0] / total
    odd = np.moveaxis(touched / total, 1, 0)  # (odd states, axles, cases)
    drags, idles = odd_and_read(group, read)
    return Posterior(
        explanation=explained,
        p_kind=p_kind,
        p_hot=np.tensordot(HOTS, odd, 1) + in_hot.T.reshape(2, axles, cases),
        p_cold=np.tensordot(COLDS, odd, 1) + in_cold.T.reshape(2, axles, cases),
        p_drag=(explained * drags).sum(1) + (several[0] - several[1]) / total,
        p_idle=(explained * idles).sum(1) + (several[0] - several[2]) / total,
        p_heat=_whole_hot(group, p_kind, whole),
        node=evidence,
    )


def _touched(odds: Odds, separate: Separate) -> Floats:
    """Part of several separate faults that each odd state of each axle has: (axles, odd states, cases)."""
    some = odds.base * separate.every.beside()[0][0]
    each = ((ONE, some), (TWO, odds.base + some))
    touched: Floats = separate.part[..., None] * np.concatenate(
        [np.einsum("aocl,acl->aoc", odds.odds[:, s], b) for s, b in each], axis=1
    )
    return touched


def _as_usual(group: Group, odds: Odds) -> Floats:
    """Evidence of all brakes healthy, and of all brakes hot, where heat is as usual: (2, cases)."""
    healthy = odds.likelihood[:, HEALTHY].prod(0)
    return np.stack([healthy @ group.states.usual, healthy @ group.states.usual_all_hot])


def _whole_hot(group: Group, p_kind: Floats, evidence: Floats) -> Floats:
    """Share of "all hot" among vehicles without any other fault, times the probability of those."""
    share = group.policy.all_hot_share
    even, hot = (1.0 - share) * evidence[0], share * evidence[1]
    no_other = p_kind[:, [column_of(kind) for kind in (NONE, ALL_HOT)]].sum(1)
    p: Floats = no_other * hot / np.maximum(even + hot, 1e-300)
    return p


@lru_cache(maxsize=64)
def _shares(table: tuple[Explanation, ...], axles: int) -> tuple[Floats, Floats, Floats]:
    """Which kind every explanation is of, and which corners (side by side) it calls hot or cold."""
    kind = np.zeros((len(table), len(KINDS)))
    hot, cold = np.zeros((len(table), 2 * axles)), np.zeros((len(table), 2 * axles))
    for row, explanation in enumerate(table):
        kind[row, KINDS.index(explanation.kind)] = 1.0
        columns = [side * axles + axle for axle, side in explanation.members]
        question = fault_kind(explanation.kind).asked_of
        match question:
            case "drag":
                hot[row, columns] = 1.0
            case "idle":
                cold[row, columns] = 1.0
            case "heat":
                pass
            case None:  # faults of both signs, each by the state that it leaves its axle in
                for axle, state in explanation.changed if explanation.members else ():
                    for side in (0, 1):
                        hot[row, side * axles + axle] = HOTS[side, state - 1]
                        cold[row, side * axles + axle] = COLDS[side, state - 1]
            case _:
                assert_never(question)
    return kind, hot, cold


def named_faults(group: Group, found: Posterior) -> list[tuple[list[Members], Ints]]:
    """The best fault, the best with a dragging brake and the best with an idle one.

    Parameters
    ----------
    group : Group
    found : Posterior

    Returns
    -------
    list of (corners, kind)
        Corners of every case as (row of the axle, side), and index of the kind (cases,).
    """
    p_kind = found.p_kind
    both = _best_fault(
        group, found, np.where(np.array(KINDS) == NONE.name, -1.0, p_kind), found.p_hot + found.p_cold
    )
    drag = _best_fault(group, found, _with_several(p_kind, _DRAGS, found.p_drag), found.p_hot)
    idle = _best_fault(group, found, _with_several(p_kind, _IDLES, found.p_idle), found.p_cold)
    return [both, drag, idle]


def _with_several(p_kind: Floats, kinds: tuple[str, ...], p: Floats) -> Floats:
    """Probabilities of some kinds, -1 for the others; separate faults have what is left of `p`.

    Two faults may be one of each kind: only the part that answers the question counts.
    """
    support = np.where(np.isin(KINDS, kinds), p_kind, -1.0)
    support[:, _SEVERAL] = 0.0
    support[:, _SEVERAL] = np.minimum(p_kind[:, _SEVERAL], p - np.maximum(support, 0.0).sum(1))
    return support


def _best_fault(group: Group, found: Posterior, p_kind: Floats, p_odd: Floats) -> tuple[list[Members], Ints]:
    """Corners and kind of the best supported fault of every case."""
    kind = p_kind.argmax(1)
    names = _named(group, found.explanation, kind)
    for case in np.flatnonzero(kind == _SEVERAL).tolist():
        names[case] = _oddest(p_odd[:, :, case].T)
    return names, kind


def _named(group: Group, posterior: Floats, kind: Ints) -> list[Members]:
    """Corners of the best explanation of the given kind of every case, as (row of the axle, side)."""
    kinds = np.array([KINDS.index(explanation.kind) for explanation in group.table])
    support = np.where(kinds == kind[:, None], posterior, -1.0)
    # of explanations alike but for rounding, such as two corners nobody read, the first
    likeliest = (support >= (1.0 - _SAME) * support.max(1, keepdims=True)).argmax(1)
    return [group.table[row].members for row in likeliest.tolist()]


def _oddest(p_odd: Floats) -> Members:
    """The likeliest odd corner, and all that are about as likely, from an array (axles, 2).

    Of sides that are alike but for rounding, such as those nobody read, the left one.
    """
    told = np.round(p_odd / _SAME)
    also = told >= _ALSO * told.max()
    return tuple((row, side) for row, side in np.argwhere(also).tolist())
