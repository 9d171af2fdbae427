"""What multiplies the likelihood of an axle's states: all that is read elsewhere on the vehicle.

All sums over explanations are linear in the likelihood of an axle. Most explanations change one axle: they
need no more than a prior for each state, and two functions of the vehicle's heat level.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.inference.explanations import HEALTHY, Explanation
from thermlog.inference.likelihood import Group, axle_kernel, over_levels
from thermlog.inference.odds import LEAST, STATES, Odds, one_changed, summed
from thermlog.words.tables import Bools, Floats, Ints

SINGLE = "float32"
_NOTHING = 1e-25  # beside the largest weight of an axle: what is less costs time and changes no digit


class Elsewhere(Struct, frozen=True, kw_only=True, eq=False):
    """Weights for every axle over the vehicle's heat levels, for several sums over explanations.

    What leaves an axle healthy is summed up, never subtracted: it can be twenty orders of magnitude less.

    Attributes
    ----------
    alone : float array (axles, cases, levels)
        Weight with all other axles healthy.
    prior : float array (axles, sums, states, 1 or cases)
        Of explanations that change this axle alone; they multiply `alone`.
    healthy : float array (axles, sums, cases, levels)
        Of this axle healthy and others changed.
    rows : float array (rows, cases, levels)
        Of explanations that change several axles, for what they leave of each.
    several : tuple of mapping of (sum, state) to int
        For every axle which of these rows it is.
    """

    alone: Floats
    prior: Floats
    healthy: Floats
    rows: Floats
    several: tuple[dict[tuple[int, int], int], ...]

    def of_axle(self, group: Group, row: int, more: Sequence[Floats] = ()) -> OfAxle:
        """Weights of an axle over its own levels, and `more` weights over the vehicle's heat levels."""
        several, sums = self.several[row], self.healthy.shape[1]
        mine = sorted(set(several.values()))
        stacked = np.stack([self.alone[row], *self.healthy[row], *more, *(self.rows[n] for n in mine)])
        size = np.maximum(stacked.max(0).max(-1), LEAST)  # both axes at once take four times as long
        stacked /= size[:, None]
        # a product of single precision differs in its last digits with how many cases are judged together
        over = over_levels(_without_specks(stacked), _kernel(group.axles[row], group))
        over = _without_specks(over.astype(SINGLE))
        behind = 1 + sums + len(more)
        of_row = {number: over[behind + n] for n, number in enumerate(mine)}
        return OfAxle(
            alone=over[0],
            healthy=over[1 : 1 + sums],
            more=over[1 + sums : behind],
            several={key: of_row[number] for key, number in several.items()},
            prior=_numbers(self.prior[row].astype(SINGLE)),
            like_first=(self.prior[row] == self.prior[row, 0]).all(-1).tolist(),
            size=size,
        )


class OfAxle(Struct, frozen=True, kw_only=True, eq=False):
    """Weights for one axle over its own levels, in single precision: it is twice as fast.

    Attributes
    ----------
    alone, healthy, more, several
        As of `Elsewhere`, over (cases, levels).
    prior : list of list of float or float array (cases, 1)
        By sum and state.
    like_first : list of list of bool
        True where it is that of the first sum.
    size : float array (cases,)
        What all of them are parts of.
    """

    alone: Floats
    healthy: Floats
    more: Floats
    several: dict[tuple[int, int], Floats]
    prior: list[list[float | Floats]]
    like_first: list[list[bool]]
    size: Floats

    def of(self, number: int, state: int) -> Floats:
        """One of the sums, in one state of the axle, without separate faults: (cases, levels)."""
        found: Floats = self.prior[number][state] * self.alone
        if state == HEALTHY:
            found += self.healthy[number]
        if (number, state) in self.several:
            found += self.several[number, state]
        return found

    def alike(self, number: int, state: int) -> bool:
        """True if a sum has the weights of the first in one state."""
        same = self.several.get((0, state)) is self.several.get((number, state))
        return same and self.like_first[number][state]


def _numbers(prior: Floats) -> list[list[float | Floats]]:
    """Of (sums, states, 1 or cases): a number where all cases are alike, which is quicker to multiply by."""
    one = prior.shape[-1] == 1
    return [[float(each[0]) if one else each[:, None] for each in states] for states in prior]


def _without_specks(weights: Floats) -> Floats:
    weights *= weights > _NOTHING
    return weights


def _kernel(axle: int, group: Group) -> Floats:
    return _without_specks(axle_kernel(axle, group).copy())


def elsewhere(group: Group, odds: Odds, counted: Sequence[Bools]) -> Elsewhere:
    """Weights of all axles.

    Parameters
    ----------
    group : Group
    odds : Odds
    counted : sequence of bool array (1 or cases, explanations)
        For every sum the explanations in it; separate faults are none of them.

    Returns
    -------
    Elsewhere
    """
    axles, sums = len(group.axles), len(counted)
    those = np.stack(counted)
    inverse = 1.0 / np.maximum(odds.likelihood[:, HEALTHY], LEAST)
    alone = odds.base * inverse
    prior = (those @ one_changed(group.table, axles)).reshape(sums, -1, axles, STATES).transpose(2, 0, 3, 1)
    single = np.stack([summed(prior[row], odds.odds[row]) for row in range(axles)])
    healthy = (_others(axles) @ single.reshape(axles, -1)).reshape(single.shape)
    healthy *= alone[:, None]
    whole = _whole_changed(group.table, axles)
    products = np.stack([odds.of(one) for one in whole.explanations])
    found = _rows_of(whole, those[:, :, whole.numbers].tobytes(), those.shape[:2])
    rows = summed(found.weights, products)
    for row, (axle, state) in zip(rows, found.left, strict=True):
        if state == HEALTHY:
            np.multiply(row, inverse[axle], out=row)
        else:
            np.divide(row, np.maximum(odds.likelihood[axle, state], LEAST), out=row)
    for axle, number, row in found.at_rest:
        healthy[axle, number] += rows[row]
    return Elsewhere(alone=alone, prior=prior, healthy=healthy, rows=rows, several=found.several)


@lru_cache(maxsize=64)
def _others(axles: int) -> Floats:
    """For every axle the others; no sum is ever subtracted, one axle may outweigh the others by far."""
    return 1.0 - np.eye(axles)


class _Whole(Struct, frozen=True, kw_only=True, eq=False):
    """Explanations that speak of several axles, or of none.

    Attributes
    ----------
    numbers : tuple of int
        Their rows in the table.
    explanations : tuple of Explanation
    axles, states : int array (states,)
        Every state in which one of them leaves an axle, counted axle by axle.
    leaves : float array (states, explanations)
        1 where the explanation leaves the axle in this state.
    rows : range
        Of axles.
    """

    numbers: tuple[int, ...]
    explanations: tuple[Explanation, ...]
    axles: Ints
    states: Ints
    leaves: Floats
    rows: range


@lru_cache(maxsize=64)
def _whole_changed(table: tuple[Explanation, ...], axles: int) -> _Whole:
    numbers = tuple(number for number, one in enumerate(table) if len(one.changed) != 1)
    leaves = np.zeros((axles, STATES, len(numbers)))
    for place, number in enumerate(numbers):
        changed = dict(table[number].changed)
        for row in range(axles):
            leaves[row, changed.get(row, HEALTHY), place] = 1.0
    rows, states = np.nonzero(leaves.any(2))
    return _Whole(
        numbers=numbers,
        explanations=tuple(table[number] for number in numbers),
        axles=rows,
        states=states,
        leaves=leaves[rows, states],
        rows=range(axles),
    )


class _Rows(Struct, frozen=True, kw_only=True, eq=False):
    """Sums over explanations that change several axles, or none, for what they leave of each axle.

    Attributes
    ----------
    weights : float array (rows, explanations, 1 or cases)
        Sums that are alike share a row.
    left : list of (axle row, state)
        What each row is for.
    at_rest : list of (axle row, sum, row)
        Those that leave the axle healthy.
    several : tuple of mapping of (sum, state) to int
        The others, for every axle.
    """

    weights: Floats
    left: list[tuple[int, int]]
    at_rest: list[tuple[int, int, int]]
    several: tuple[dict[tuple[int, int], int], ...]


@lru_cache(maxsize=64)
def _rows_of(whole: _Whole, counted: bytes, shape: tuple[int, int]) -> _Rows:
    """`counted`: bool array (sums, 1 or cases, explanations), of `shape` but for the last, as bytes."""
    those = np.frombuffer(counted, dtype=bool).reshape(*shape, -1)
    numbers, weights, left = dict[bytes, int](), list[Floats](), list[tuple[int, int]]()
    at_rest, several = list[tuple[int, int, int]](), tuple(dict[tuple[int, int], int]() for _ in whole.rows)
    for axle, state, leaves in zip(whole.axles.tolist(), whole.states.tolist(), whole.leaves, strict=True):
        for number, some in enumerate(those):
            weight = (some * leaves).T
            if not weight.any():
                continue
            row = numbers.setdefault(bytes([axle, state]) + weight.tobytes(), len(weights))
            if row == len(weights):
                weights.append(weight)
                left.append((axle, state))
            if state == HEALTHY:
                at_rest.append((axle, number, row))
            else:
                several[axle][number, state] = row
    return _Rows(weights=np.stack(weights), left=left, at_rest=at_rest, several=several)
