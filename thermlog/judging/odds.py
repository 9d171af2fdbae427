"""Sums over the explanations of a vehicle beside the healthy one: odds of axles, alone and in pairs."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.judging.explanations import (
    BOTH_COLD,
    COLD_RIGHT,
    HEALTHY,
    HOT_LEFT,
    Explanation,
    kind_weights,
)
from thermlog.judging.likelihood import Group
from thermlog.words.kinds import CORNER_COLD, CORNER_HOT, SEVERAL
from thermlog.words.tables import Bools, Floats

SINGLES = slice(HOT_LEFT, COLD_RIGHT + 1)  # one brake odd: left hot, right hot, left cold, right cold
HOTS, COLDS = slice(0, 2), slice(2, 4)  # of these
LEAST = 1e-290  # a likelihood below is as good as none, and safe to divide by
STATES = BOTH_COLD + 1


def others_of(values: Floats) -> Floats:
    """For every axle the sum over the others: (..., axles, levels), without ever subtracting.

    One axle may outweigh the others by twenty orders of magnitude: a difference would be noise.
    """
    others: Floats = _later(values.shape[-2]).others @ values
    return others


def pairs_of(values: Floats) -> Floats:
    """Sum over pairs of axles of the products of their values: (cases, axles, levels) to (cases, levels)."""
    pairs: Floats = (values * (_later(values.shape[1]).later @ values)).sum(1)
    return pairs


def pairs_beside(values: Floats) -> Floats:
    """For every axle the sum of `pairs_of` over the others: (cases, axles, levels)."""
    sum_before, before = _running(values)
    sum_behind, behind = (one[:, ::-1] for one in _running(values[:, ::-1]))
    pairs: Floats = before + sum_before * sum_behind + behind
    return pairs


def _running(values: Floats) -> tuple[Floats, Floats]:
    """For every axle the sum over those before it, and the sum of `pairs_of` over them."""
    sums, pairs = np.zeros_like(values), np.zeros_like(values)
    for axle in range(1, values.shape[1]):  # a running sum of the library takes twenty times as long
        before, last = sums[:, axle - 1], values[:, axle - 1]
        np.add(before, last, out=sums[:, axle])
        np.add(pairs[:, axle - 1], before * last, out=pairs[:, axle])
    return sums, pairs


class _Later(Struct, frozen=True, kw_only=True, eq=False):
    """Which axles are summed up beside each: the others, those behind it."""

    others: Floats
    later: Floats


@lru_cache(maxsize=64)
def _later(axles: int) -> _Later:
    return _Later(others=1.0 - np.eye(axles), later=np.triu(np.ones((axles, axles)), 1))


class Odds(Struct, frozen=True, kw_only=True, eq=False):
    """Likelihoods of a group, beside those of the healthy vehicle.

    Attributes
    ----------
    odds : float array (cases, axles, states, levels)
        Likelihood of an axle's states over that of the healthy one.
    base, all_hot : float array (cases, levels)
        Of the healthy vehicle, and of one with all brakes hot; without their prior shares.
    part : float array (axles, 4)
        Weight of one of two separate faults at an axle: left hot, right hot, left cold, right cold.
    each : float array (cases, axles, levels)
        The same times the odds, summed over the four.
    """

    odds: Floats
    base: Floats
    all_hot: Floats
    part: Floats
    each: Floats

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
    part = two_faults(group, likelihood.shape[1])
    each = (part[:, None] @ odds[:, :, SINGLES])[:, :, 0]
    return Odds(
        odds=odds,
        base=healthy * heat,
        all_hot=healthy * group.states.heat_all_hot,
        part=part,
        each=each,
    )


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


def two_faults(group: Group, axles: int) -> Floats:
    """Weight of each of two separate faults at every axle, so that their products are the pair's prior."""
    weights = kind_weights(group.policy, axles, group.axle_count, group.impossible)
    prior, hot, cold = (weights.get(kind.name, 0.0) for kind in (SEVERAL, CORNER_HOT, CORNER_COLD))
    if axles < 2 or prior == 0.0:
        return np.zeros((axles, 4))
    hot_part = hot / max(hot + cold, 1e-9)
    part = np.array([0.5 * hot_part, 0.5 * hot_part, 0.5 * (1 - hot_part), 0.5 * (1 - hot_part)])
    scale = np.sqrt(prior / (0.5 * axles * (axles - 1)))
    return np.tile(scale * part, (axles, 1))


def read_parts(part: Floats, read: Bools, kind: slice) -> Floats:
    """Weights of two separate faults but those of one kind at brakes that were read: (cases, axles, 4)."""
    return np.where(read_singles(read, kind), 0.0, part)


def read_singles(read: Bools, kind: slice) -> Bools:
    """True for single odd brakes of one kind that were read: (cases, axles, 4)."""
    sides = read.reshape(read.shape[0], 2, -1).transpose(0, 2, 1)
    found = np.zeros((*sides.shape[:2], 4), dtype=bool)
    found[:, :, kind] = sides
    return found
