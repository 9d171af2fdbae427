"""Sums over the explanations of a vehicle beside the healthy one: odds of axles, and of separate faults.

A vehicle may have any number of separate faults: a brake here, a whole axle there, a hot brake beside a dead
one. Each has a prior of its own, their products are summed over axle by axle, in closed form: the vehicle's
sum is a product over axles of 1 + (one fault) + (two faults), cut off below two.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.judging.explanations import (
    COLD_BY_HOT,
    HEALTHY,
    HOT_LEFT,
    Explanation,
    kind_weights,
)
from thermlog.judging.likelihood import Group
from thermlog.words.kinds import AXLE_COLD, AXLE_HOT, CORNER_COLD, CORNER_HOT, SEVERAL, FaultKind
from thermlog.words.tables import Bools, Floats

STATES = COLD_BY_HOT + 1
ODD = slice(HOT_LEFT, STATES)  # all states of an axle but the healthy one, in the order of `explanations`
# The left and the right brake in each of them: hot, and cold.
HOTS: Floats = np.array([[1, 0, 0, 0, 1, 0, 1, 0], [0, 1, 0, 0, 1, 0, 0, 1]], dtype=np.float64)
COLDS: Floats = np.array([[0, 0, 1, 0, 0, 1, 0, 1], [0, 0, 0, 1, 0, 1, 1, 0]], dtype=np.float64)
OF_TWO: Bools = np.logical_and(HOTS.any(0), COLDS.any(0))  # two faults of one axle: the others are one
LEAST = 1e-290  # a likelihood below is as good as none, and safe to divide by


class Separate(Struct, frozen=True, kw_only=True, eq=False):
    """Odds of separate faults at axles, an array (..., axles, levels) each.

    Attributes
    ----------
    one, two : float array
        Of one fault at an axle, and of two.
    """

    one: Floats
    two: Floats

    def in_all(self) -> Floats:
        """Two or more separate faults on the vehicle: (..., levels)."""
        before, more = (one[..., -1, :] for one in self._running(slice(None)))
        both = self.two[..., -1, :]
        here = self.one[..., -1, :] + both
        total: Floats = more * (1.0 + here) + before * here + both
        return total

    def beside(self) -> tuple[Floats, Floats]:
        """For every axle one or more, and two or more, on the others: (..., axles, levels) each."""
        before, more_before = self._running(slice(None))
        behind, more_behind = (one[..., ::-1, :] for one in self._running(slice(None, None, -1)))
        two = more_before * (1.0 + behind + more_behind) + more_behind * (1.0 + before) + before * behind
        return before + behind + two, two

    def _running(self, order: slice) -> tuple[Floats, Floats]:
        """For every axle exactly one, and two or more, on those before it."""
        one, two = self.one[..., order, :], self.two[..., order, :]
        single, more = np.zeros_like(one), np.zeros_like(one)
        some = one + two
        for axle in range(1, one.shape[-2]):  # a running sum of the library takes twenty times as long
            here, before, so_far = some[..., axle - 1, :], single[..., axle - 1, :], more[..., axle - 1, :]
            np.add(before, one[..., axle - 1, :], out=single[..., axle, :])
            total = more[..., axle, :]
            np.multiply(so_far + before, here, out=total)
            total += so_far
            total += two[..., axle - 1, :]
        return single, more


def others_of(values: Floats) -> Floats:
    """For every axle the sum over the others: (..., axles, levels), without ever subtracting.

    One axle may outweigh the others by twenty orders of magnitude: a difference would be noise.
    """
    others: Floats = _others(values.shape[-2]) @ values
    return others


@lru_cache(maxsize=64)
def _others(axles: int) -> Floats:
    return 1.0 - np.eye(axles)


class Odds(Struct, frozen=True, kw_only=True, eq=False):
    """Likelihoods of a group, beside those of the healthy vehicle.

    Attributes
    ----------
    odds : float array (cases, axles, states, levels)
        Likelihood of an axle's states over that of the healthy one.
    base, all_hot : float array (cases, levels)
        Of the healthy vehicle, and of one with all brakes hot; without their prior shares.
    part : float array (axles, odd states)
        Weight of every odd state of an axle among separate faults.
    separate : Separate
        The same times the odds.
    """

    odds: Floats
    base: Floats
    all_hot: Floats
    part: Floats
    separate: Separate

    def separate_of(self, part: Floats) -> Separate:
        """Separate faults with other weights: float array (cases, axles, odd states)."""
        return separate(part, self.odds)

    def of(self, one: Explanation) -> Floats:
        """Prior times likelihood of an explanation: float array (cases, levels)."""
        product = one.weight * (self.all_hot if one.raises_level else self.base)
        for row, state in one.changed:
            product *= self.odds[:, row, state]
        return product


def odds_of(group: Group, likelihood: Floats, heat: Floats | None = None) -> Odds:
    """Odds of a group.

    Parameters
    ----------
    group : Group
    likelihood : float array (cases, axles, states, levels)
    heat : float array (cases, levels), optional
        Prior of the vehicle's heat level; else that of the group's states.
    """
    heat = group.states.heat if heat is None else heat
    none = np.maximum(likelihood[:, :, HEALTHY], LEAST)
    healthy = none.prod(1)
    odds = likelihood / none[:, :, None]
    part = separate_weights(group, likelihood.shape[1])
    return Odds(
        odds=odds,
        base=healthy * heat,
        all_hot=healthy * group.states.heat_all_hot,
        part=part,
        separate=separate(part, odds),
    )


def separate(part: Floats, odds: Floats) -> Separate:
    """Separate faults: weights ((cases,) axles, odd states) times odds (cases, axles, states, levels)."""
    ones = int(np.argmax(OF_TWO))  # those of one fault come first: slices are no copies
    odd, parts = odds[:, :, ODD], part[..., None, :]
    one, two = ((parts[..., those] @ odd[:, :, those])[:, :, 0] for those in (slice(ones), slice(ones, None)))
    return Separate(one=one, two=two)


def all_but_one(odds: Odds, likelihood: Floats) -> Floats:
    """Weight of the heat level with all other axles healthy, for every axle: (cases, axles, levels)."""
    others: Floats = odds.base[:, None] / np.maximum(likelihood[:, :, HEALTHY], LEAST)
    return others


@lru_cache(maxsize=64)
def one_changed(table: tuple[Explanation, ...], axles: int) -> Floats:
    """Prior of explanations (rows) at the state of the axle that they change: columns are axles by states."""
    prior = np.zeros((len(table), axles, STATES))
    for number, one in enumerate(table):
        if len(one.changed) == 1:
            prior[number][one.changed[0]] = one.weight
    return prior.reshape(len(table), -1)


def separate_weights(group: Group, axles: int) -> Floats:
    """Weight of every odd state of every axle, so that products over two axles are the prior of the pair.

    A brake or an axle is odd in proportion to the prior shares of single faults. Kinds that this vehicle
    cannot have, or that are no fault on it, are none of several either.
    """
    weights = kind_weights(group.policy, axles, group.axle_count, group.impossible)
    faults = {one.kind for one in group.table}

    def share(kind: FaultKind) -> float:
        return weights.get(kind.name, 0.0) if kind.name in faults else 0.0

    prior, total = (
        weights.get(SEVERAL.name, 0.0),
        sum(map(share, (CORNER_HOT, CORNER_COLD, AXLE_HOT, AXLE_COLD))),
    )
    if axles < 2 or prior * total == 0.0:
        return np.zeros((axles, STATES - HOT_LEFT))
    scale = float(np.sqrt(prior / (0.5 * axles * (axles - 1)))) / total
    hot, cold = (0.5 * scale * share(kind) for kind in (CORNER_HOT, CORNER_COLD))
    one = [hot, hot, cold, cold, scale * share(AXLE_HOT), scale * share(AXLE_COLD)]
    return np.tile([*one, hot * cold, hot * cold], (axles, 1))


def odd_states(read: Bools, sides: Floats) -> Bools:
    """True for states in which a brake that was read is hot (`HOTS`), or cold (`COLDS`).

    Parameters
    ----------
    read : bool array (cases, 2 * axles)
        All left ones first.
    sides : float array (2, odd states)

    Returns
    -------
    bool array (cases, axles, odd states)
    """
    by_axle = read.reshape(read.shape[0], 2, -1).transpose(0, 2, 1).astype(np.float64)
    found: Bools = by_axle @ sides > 0.0
    return found
