"""What multiplies the likelihood of an axle's states: all that is read elsewhere on the vehicle.

All sums over explanations are linear in the likelihood of an axle. Most explanations change one axle: they
need no more than a prior for each state, and two functions of the vehicle's heat level.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.judging.explanations import HEALTHY, Explanation
from thermlog.judging.likelihood import Group, axle_kernel, over_levels
from thermlog.judging.odds import LEAST, STATES, Odds, all_but_one, one_changed, others_of
from thermlog.words.tables import Bools, Floats, Ints

SINGLE = "float32"
_NOTHING = 1e-25  # beside the largest weight of an axle: what is less costs time and changes no digit


class Elsewhere(Struct, frozen=True, kw_only=True, eq=False):
    """Weights for every axle over the vehicle's heat levels, for several sums over explanations.

    What leaves an axle healthy is summed up, never subtracted: it can be twenty orders of magnitude less.

    Attributes
    ----------
    alone : float array (cases, axles, levels)
        Weight with all other axles healthy.
    prior : float array (sums, cases, axles, states)
        Of explanations that change this axle alone; they multiply `alone`.
    healthy : float array (sums, cases, axles, levels)
        Of this axle healthy and others changed.
    states : tuple of (axle row, state)
        In which explanations that change several axles leave this one.
    several : float array (sums, cases, states, levels)
        Of these.
    """

    alone: Floats
    prior: Floats
    healthy: Floats
    states: tuple[tuple[int, int], ...]
    several: Floats

    def of_axle(self, group: Group, row: int, more: Floats | None = None) -> OfAxle:
        """Weights of an axle over its own levels, and `more` weights over the vehicle's heat levels."""
        here = [number for number, (axle, _) in enumerate(self.states) if axle == row]
        several = (self.several[:, :, number] for number in here)
        stacked = [self.alone[None, :, row], self.healthy[:, :, row], *several]
        over = over_levels(
            np.concatenate(stacked if more is None else [*stacked, more]),
            axle_kernel(group.axles[row], group),
        )
        size = np.maximum(over.max((0, 2)), LEAST)
        over = (over / size[:, None]).astype(SINGLE)
        over *= over > _NOTHING
        sums = self.prior.shape[0]
        states: Floats = self.prior[:, :, row, :, None].astype(SINGLE) * over[0][:, None]
        states[:, :, HEALTHY] += over[1 : 1 + sums]
        for place, number in enumerate(here):
            first = 1 + sums * (1 + place)
            states[:, :, self.states[number][1]] += over[first : first + sums]
        return OfAxle(states=states, more=over[1 + sums * (1 + len(here)) :], size=size)


class OfAxle(Struct, frozen=True, kw_only=True, eq=False):
    """Weights for one axle over its own levels, in single precision: it is twice as fast.

    Attributes
    ----------
    states : float array (sums, cases, states, levels)
    more : float array (further, cases, levels)
        Further weights that were handed in.
    size : float array (cases,)
        What all of them are parts of.
    """

    states: Floats
    more: Floats
    size: Floats


def elsewhere(group: Group, odds: Odds, likelihood: Floats, counted: Sequence[Bools]) -> Elsewhere:
    """Weights of all axles.

    Parameters
    ----------
    group : Group
    odds : Odds
    likelihood : float array (cases, axles, states, levels)
    counted : sequence of bool array (cases, explanations)
        For every sum the explanations in it; separate faults are none of them.

    Returns
    -------
    Elsewhere
    """
    axles, those = likelihood.shape[1], np.stack(counted)
    whole = _whole_changed(group.table, axles)
    alone = all_but_one(odds, likelihood)
    prior = (those @ one_changed(group.table, axles)).reshape(*those.shape[:2], axles, STATES)
    healthy = others_of((prior[:, :, :, None] @ odds.odds)[:, :, :, 0]) * alone
    products = np.stack([odds.of(group.table[number]) for number in whole.numbers], axis=1)
    several = whole.leaves @ (products * those[:, :, whole.numbers, None])
    several /= np.maximum(likelihood[:, whole.axles, whole.states], LEAST)
    at_rest = whole.states == HEALTHY
    healthy[:, :, whole.axles[at_rest]] += several[:, :, at_rest]
    changed = zip(whole.axles[~at_rest].tolist(), whole.states[~at_rest].tolist(), strict=True)
    return Elsewhere(
        alone=alone, prior=prior, healthy=healthy, states=tuple(changed), several=several[:, :, ~at_rest]
    )


class _Whole(Struct, frozen=True, kw_only=True, eq=False):
    """Explanations that speak of several axles, or of none.

    Attributes
    ----------
    numbers : tuple of int
        Their rows in the table.
    axles, states : int array (states,)
        Every state in which one of them leaves an axle, counted axle by axle.
    leaves : float array (states, explanations)
        1 where the explanation leaves the axle in this state.
    """

    numbers: tuple[int, ...]
    axles: Ints
    states: Ints
    leaves: Floats


@lru_cache(maxsize=64)
def _whole_changed(table: tuple[Explanation, ...], axles: int) -> _Whole:
    numbers = tuple(number for number, one in enumerate(table) if len(one.changed) != 1)
    leaves = np.zeros((axles, STATES, len(numbers)))
    for place, number in enumerate(numbers):
        changed = dict(table[number].changed)
        for row in range(axles):
            leaves[row, changed.get(row, HEALTHY), place] = 1.0
    rows, states = np.nonzero(leaves.any(2))
    return _Whole(numbers=numbers, axles=rows, states=states, leaves=leaves[rows, states])
