"""Sums over the explanations of a vehicle beside the healthy one: odds of axles, and of separate faults.

A vehicle may have any number of separate faults: a brake here, a whole axle there, a hot brake beside a dead
one. Each has a prior of its own, their products are summed over axle by axle, in closed form: the vehicle's
sum is a product over axles of 1 + (one fault) + (two faults), cut off below two.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.inference.explanations import (
    COLD_BY_HOT,
    HEALTHY,
    HOT_BY_COLD,
    HOT_LEFT,
    Explanation,
    kind_weights,
)
from thermlog.inference.likelihood import Group, axle_likelihood
from thermlog.words.kinds import SEVERAL, FaultKind, kind_of
from thermlog.words.tables import Bools, Floats

STATES = COLD_BY_HOT + 1
ODD = slice(HOT_LEFT, STATES)  # all states of an axle but the healthy one, in the order of `explanations`
# The left and the right brake in each of them: hot, and cold.
HOTS: Floats = np.array([[1, 0, 0, 0, 1, 0, 1, 0], [0, 1, 0, 0, 1, 0, 0, 1]], dtype=np.float64)
COLDS: Floats = np.array([[0, 0, 1, 0, 0, 1, 0, 1], [0, 0, 0, 1, 0, 1, 1, 0]], dtype=np.float64)
ONE, TWO = slice(HOT_LEFT, HOT_BY_COLD), slice(HOT_BY_COLD, STATES)  # states of one fault, and of two
OF_TWO: Bools = np.logical_and(HOTS.any(0), COLDS.any(0))  # two faults of one axle: the others are one
LEAST = 1e-290  # a likelihood below is as good as none, and safe to divide by


class Separate(Struct, frozen=True, kw_only=True, eq=False):
    """Odds of separate faults at axles, an array (sets, axles, cases, levels) each.

    The sets: all faults; those that leave no brake dragging; those that leave none idle. Of brakes read.

    Attributes
    ----------
    part : float array (axles, odd states)
        Weight of every odd state among separate faults: what all of them are made of.
    one, two : float array
        Of one fault at an axle, and of two.
    single, more : float array
        For every axle exactly one, and two or more, on those before it.
    """

    part: Floats
    one: Floats
    two: Floats
    single: Floats
    more: Floats

    @property
    def every(self) -> Separate:
        """The first set alone."""
        return self._each(lambda odds: odds[:1])

    def some(self, cases: Bools) -> Separate:
        """The same of some cases."""
        return self._each(lambda odds: odds[..., cases, :])

    def _each(self, change: Callable[[Floats], Floats]) -> Separate:
        one, two, single, more = map(change, (self.one, self.two, self.single, self.more))
        return Separate(part=self.part, one=one, two=two, single=single, more=more)

    def in_all(self) -> Floats:
        """Two or more separate faults on the vehicle: (sets, cases, levels)."""
        before, more, both = self.single[:, -1], self.more[:, -1], self.two[:, -1]
        here = self.one[:, -1] + both
        total: Floats = more * (1.0 + here) + before * here + both
        return total

    def beside(self) -> tuple[Floats, Floats]:
        """For every axle one or more, and two or more, on the others: (sets, axles, cases, levels) each."""
        before, more_before = self.single, self.more
        behind, more_behind = (sums[:, ::-1] for sums in _running(self.one[:, ::-1], self.two[:, ::-1]))
        two = more_before * (1.0 + behind + more_behind) + more_behind * (1.0 + before) + before * behind
        return before + behind + two, two


def _running(one: Floats, two: Floats) -> tuple[Floats, Floats]:
    """For every axle exactly one, and two or more, on those before it."""
    single, more = np.zeros_like(one), np.zeros_like(one)
    for axle in range(1, one.shape[1]):  # a running sum of the library takes twenty times as long
        last, before, so_far = axle - 1, single[:, axle - 1], more[:, axle - 1]
        np.add(before, one[:, last], out=single[:, axle])
        total = more[:, axle]
        np.multiply(so_far + before, one[:, last] + two[:, last], out=total)
        total += so_far
        total += two[:, last]
    return single, more


class Odds(Struct, frozen=True, kw_only=True, eq=False):
    """Likelihoods of a group under one node, also beside those of the healthy vehicle.

    State by state, so that what is computed with lies together.

    Attributes
    ----------
    sides : float array (3, 2, axles, cases, levels)
        From `likelihood.by_state`, left and right.
    likelihood : float array (axles, states, cases, levels)
        Of an axle's states.
    odds : float array (axles, states, cases, levels)
        The same over that of the healthy one.
    base, all_hot : float array (cases, levels)
        Of the healthy vehicle, and of one with all brakes hot; without their prior shares.
    """

    sides: Floats
    likelihood: Floats
    odds: Floats
    base: Floats
    all_hot: Floats

    def of(self, one: Explanation) -> Floats:
        """Prior times likelihood of an explanation: float array (cases, levels)."""
        product = one.weight * (self.all_hot if one.raises_level else self.base)
        for row, state in one.changed:
            product *= self.odds[row, state]
        return product

    def separate(self, parts: Floats) -> Separate:
        """Separate faults with weights from `separate_parts`."""
        one, two = (np.where(those[:, None], parts, 0.0) for those in (~OF_TWO, OF_TWO))
        weights = np.stack([one, two])  # (2, sets, axles, odd states, 1 or cases)
        axles, _, cases, levels = self.odds.shape
        found = np.empty((*weights.shape[:2], axles, cases, levels))
        for row, odd in enumerate(self.odds[:, ODD]):
            of_axle = weights[:, :, row].reshape(-1, *parts.shape[2:])
            found[:, :, row] = summed(of_axle, odd).reshape(*weights.shape[:2], cases, levels)
        single, more = _running(*found)
        return Separate(part=parts[0, :, :, 0], one=found[0], two=found[1], single=single, more=more)

    def some(self, cases: Bools) -> Odds:
        """The same of some cases."""
        return Odds(**{name: getattr(self, name)[..., cases, :] for name in self.__struct_fields__})


def odds_of(group: Group, sides: Floats, heat: Floats | None) -> Odds:
    """Odds of a group.

    Parameters
    ----------
    group : Group
    sides : float array (3, 2, axles, cases, levels)
        From `likelihood.by_state`, left and right.
    heat : float array (cases, levels) or None
        Prior of the vehicle's heat level; else that of the group's states.
    """
    likelihood = np.empty((sides.shape[2], STATES, *sides.shape[3:]))
    for row, axle in enumerate(group.axles):
        axle_likelihood(sides[:, :, row], axle, group, out=likelihood[row])
    none = np.maximum(likelihood[:, HEALTHY], LEAST)
    healthy = none.prod(0)
    return Odds(
        sides=sides,
        likelihood=likelihood,
        odds=likelihood / none[:, None],
        base=healthy * (group.states.heat if heat is None else heat),
        all_hot=healthy * group.states.heat_all_hot,
    )


def summed(weights: Floats, values: Floats) -> Floats:
    """Sums of some arrays, each array with a weight, or with one for every case.

    Parameters
    ----------
    weights : float array (sums, arrays, 1 or cases)
    values : float array (arrays, cases, levels)

    Returns
    -------
    float array (sums, cases, levels)
    """
    if weights.shape[-1] == 1:
        return np.tensordot(weights[..., 0], values, 1)
    return np.asarray(np.einsum("vsc,scl->vcl", weights, values))


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
    weights = kind_weights(group.policy, axles, group.axle_count, group.impossible, group.towed)
    faults = {one.kind for one in group.table}

    def share(kind: FaultKind) -> float:
        return weights.get(kind.name, 0.0) if kind.name in faults else 0.0

    corner_hot, corner_cold, axle_hot, axle_cold = (
        share(kind_of(scope, sign)) for scope in ("corner", "axle") for sign in ("hot", "cold")
    )
    prior, total = weights.get(SEVERAL.name, 0.0), corner_hot + corner_cold + axle_hot + axle_cold
    if axles < 2 or prior * total == 0.0:
        return np.zeros((axles, STATES - HOT_LEFT))
    scale = float(np.sqrt(prior / (0.5 * axles * (axles - 1)))) / total
    hot, cold = 0.5 * scale * corner_hot, 0.5 * scale * corner_cold
    one = [hot, hot, cold, cold, scale * axle_hot, scale * axle_cold]
    return np.tile([*one, hot * cold, hot * cold], (axles, 1))


def separate_parts(group: Group, read: Bools) -> Floats:
    """Weights of separate faults: float array (sets, axles, odd states, 1 or cases), sets as of `Separate`.

    Parameters
    ----------
    group : Group
    read : bool array (1 or cases, 2 * axles)
        Brakes with a reading, all left ones first.
    """
    part = separate_weights(group, len(group.axles))[..., None]
    left = [np.where(odd_states(read, sides), 0.0, part) for sides in (HOTS, COLDS)]
    return np.stack([np.broadcast_to(part, left[0].shape), *left])


def odd_states(read: Bools, sides: Floats) -> Bools:
    """True for states in which a brake that was read is hot (`HOTS`), or cold (`COLDS`).

    Parameters
    ----------
    read : bool array (1 or cases, 2 * axles)
        All left ones first.
    sides : float array (2, odd states)

    Returns
    -------
    bool array (axles, odd states, 1 or cases)
    """
    by_axle = read.reshape(read.shape[0], 2, -1).astype(np.float64)
    found: Bools = np.einsum("csa,so->aoc", by_axle, sides) > 0.0
    return found


def once(read: Bools) -> Bools:
    """The same of one case, if all cases are alike: bool array (1 or cases, ...)."""
    return read[:1] if read.shape[0] and (read == read[0]).all() else read
