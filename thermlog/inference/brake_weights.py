"""What the weights of an axle's states give for one of its brakes: coefficients of its own likelihood."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.inference.elsewhere import SINGLE, Elsewhere, OfAxle, elsewhere
from thermlog.inference.explanations import (
    BOTH_COLD,
    BOTH_HOT,
    COLD_BY_HOT,
    COLD_LEFT,
    COLD_RIGHT,
    HEALTHY,
    HOT_BY_COLD,
    HOT_LEFT,
)
from thermlog.inference.likelihood import Group, odd_skin_share
from thermlog.inference.odds import COLDS, HOTS, OF_TWO, STATES, Odds, Separate, odd_states, once
from thermlog.inference.posterior import odd_and_read
from thermlog.inference.states import LEVELS_K, States
from thermlog.words.tables import Bools, Floats

# Of all explanations; of those that answer the one and the other question with yes; of those that a healthy
# brake is measured by.
_ALL, _DRAG, _IDLE, _USUAL = range(4)
_Triple: TypeAlias = tuple[Floats, Floats, Floats]  # of a healthy, a hot and a cold brake


class Folded(Struct, frozen=True, eq=False):
    """Coefficients of one brake over what it shows as a healthy one, (cases, levels) each.

    Attributes
    ----------
    asked_drag, own_drag : float array
        Of explanations in which a brake that was read drags, and in which this one does.
    total : float array
        Of all of them.
    asked_idle : float array
        Of those in which a brake that was read is idle.
    healthy : float array
        Of those in which this one is healthy, without separate faults and without a cause common to all.
    size : float array (cases,)
        What all of them are parts of.
    """

    asked_drag: Floats
    own_drag: Floats
    total: Floats
    asked_idle: Floats
    healthy: Floats
    size: Floats


def folded(
    group: Group, given: tuple[Odds, Separate], known: Bools, read: Bools, asked: Collection[tuple[int, int]]
) -> Iterator[tuple[int, int, Folded]]:
    """Coefficients of some brakes of a group under one node.

    Parameters
    ----------
    group : Group
    given : tuple of (Odds, Separate)
        Likelihoods under the node, and what they make of separate faults.
    known : bool array (axles, cases)
        True where an emissivity was stated.
    read : bool array (cases, 2 * axles)
        Brakes whose readings count, all left ones first.
    asked : collection of (row of the axle, side)

    Yields
    ------
    row of the axle, side, Folded
    """
    odds, separate = given
    beside = _beside(group, odds, separate, once(read))
    for row in sorted({row for row, _ in asked}):
        weights = beside.of_axle(group, row)
        sums = weights.sums()
        unlike = odd_skin_share(known[row], group)
        for side in (side for side in (0, 1) if (row, side) in asked):
            mate: Floats = odds.sides[:, 1 - side, row].astype(SINGLE)
            of_side = _of_side(weights, sums, mate, side)
            yield row, side, _shown(of_side, group.states, unlike, weights.of_axle.size)


class _OfSide(Struct, frozen=True, kw_only=True, eq=False):
    """Weights of one brake over the level of its axle, by sum; those that are the same are one object."""

    all: _Triple
    drag: _Triple
    idle: _Triple
    usual: Floats


def _of_side(weights: _Weights, sums: Sequence[Sequence[Floats]], mate: Floats, side: int) -> _OfSide:
    """`mate`: likelihoods of the other brake of the axle as a healthy, a hot and a cold one."""
    healthy, hot, cold = (
        (HEALTHY, HOT_LEFT + 1 - side, COLD_LEFT + 1 - side),
        (HOT_LEFT + side, BOTH_HOT, HOT_BY_COLD + side),
        (COLD_LEFT + side, COLD_BY_HOT - side, BOTH_COLD),
    )

    def of(number: int, states: tuple[int, int, int]) -> Floats:
        found: list[Floats] = [sums[number][state] * one for state, one in zip(states, mate, strict=True)]
        alone, with_hot, with_cold = found
        alone += with_hot
        alone += with_cold
        return alone

    every = of(_ALL, healthy), of(_ALL, hot), of(_ALL, cold)
    # where this brake is as asked, it answers itself
    drag_hot = every[1] if weights.all_count(_DRAG, hot) else of(_DRAG, hot)
    idle_cold = every[2] if weights.all_count(_IDLE, cold) else of(_IDLE, cold)
    return _OfSide(
        all=every,
        drag=(of(_DRAG, healthy), drag_hot, of(_DRAG, cold)),
        idle=(of(_IDLE, healthy), of(_IDLE, hot), idle_cold),
        usual=of(_USUAL, healthy),
    )


def _shown(found: _OfSide, states: States, unlike: Floats, size: Floats) -> Folded:
    """The coefficients over what the brake shows; `unlike` as of `odd_skin_share`."""
    share, *others = sorted(set(unlike.ravel().tolist()))  # np.unique loads masked arrays: 5 % of a check
    each = _shown_alike(found, _shown_by(states, share))
    for other in others:
        more = _shown_alike(found, _shown_by(states, other))
        each = [np.where(unlike == other, b, a) for a, b in zip(each, more, strict=True)]
    asked_drag, own_drag, total, asked_idle, healthy = each
    return Folded(asked_drag, own_drag, total, asked_idle, healthy, size)


def _shown_alike(found: _OfSide, shown: _Triple) -> list[Floats]:
    as_healthy, as_hot, as_cold = shown
    # in double precision, as in `elsewhere`; what comes of it is kept in single
    hot, cold = found.all[1] @ as_hot, found.all[2] @ as_cold
    sums = []
    for healthy, with_hot, with_cold in (found.all, found.drag, found.idle):
        total = healthy @ as_healthy
        total += hot if with_hot is found.all[1] else with_hot @ as_hot
        total += cold if with_cold is found.all[2] else with_cold @ as_cold
        sums.append(total)
    every, asked_drag, asked_idle = sums
    each = (asked_drag, hot, every, asked_idle, found.usual @ as_healthy)
    return [one.astype(SINGLE) for one in each]


@lru_cache(maxsize=64)
def _shown_by(states: States, unlike: float) -> _Triple:
    """What a healthy, a hot and a cold brake show of the level of the axle, unlike faces among them."""
    levels = np.eye(LEVELS_K.size)
    faces = (1.0 - unlike) * levels + unlike * states.odd_skin
    healthy, hot, cold = (state @ faces for state in (levels, states.hot, states.cold))
    return healthy, hot, cold


class _Weights(Struct, frozen=True, kw_only=True, eq=False):
    """What multiplies the states of one axle over its own levels, separate faults among them.

    Attributes
    ----------
    of_axle : OfAxle
    part : list of float
        Weight of every odd state among separate faults.
    answers : bool array (2, odd states, 1 or cases)
        States in which a brake that was read is hot, or cold.
    always, never : list of list of bool
        True where it is so in all cases, and in none.
    """

    of_axle: OfAxle
    part: list[float]
    answers: Bools
    always: list[list[bool]]
    never: list[list[bool]]

    def sums(self) -> list[list[Floats]]:
        """Every sum in every state that one of the two brakes asks for: (cases, levels) each."""
        return [
            [self._of(number, state) for state in range(STATES if number != _USUAL else COLD_RIGHT + 1)]
            for number in (_ALL, _DRAG, _IDLE, _USUAL)
        ]

    def _of(self, number: int, state: int) -> Floats:
        found = self.of_axle.of(number, state)
        if number != _USUAL and state != HEALTHY and self.part[state - HOT_LEFT] > 0.0:
            found += self.part[state - HOT_LEFT] * self._others(number, state)
        return found

    def all_count(self, number: int, states: tuple[int, ...]) -> bool:
        """True if all explanations that leave the axle in these states answer this question with yes."""
        return all(
            self.always[number - 1][state - HOT_LEFT] and self.of_axle.alike(number, state)
            for state in states
        )

    def _others(self, number: int, state: int) -> Floats:
        """Weight of separate faults on other axles, so that there are two, and the question is answered."""
        some, odd = self.of_axle.more, state - HOT_LEFT
        # two faults of this axle need none on another
        every: Floats = some[0] + self.of_axle.alone if OF_TWO[odd] else some[0]
        # where this axle answers the question, the others may be as they like
        if number == _ALL or self.always[number - 1][odd]:
            return every
        only: Floats = some[number]
        return (
            only
            if self.never[number - 1][odd]
            else np.where(self.answers[number - 1, odd, :, None], every, only)
        )


class _Beside(Struct, frozen=True, kw_only=True, eq=False):
    """What multiplies the states of axles, over the vehicle's heat levels.

    Attributes
    ----------
    elsewhere : Elsewhere
        With separate faults on other axles, but for the last sum.
    part : float array (axles, odd states)
        Weight of every odd state of an axle among separate faults.
    some : float array (3, axles, cases, levels)
        Weight of one or more faults on other axles.
    answers : bool array (2, axles, odd states, 1 or cases)
    """

    elsewhere: Elsewhere
    part: Floats
    some: Floats
    answers: Bools

    def of_axle(self, group: Group, row: int) -> _Weights:
        """The same for one axle over its own levels."""
        answers = self.answers[:, row]
        return _Weights(
            of_axle=self.elsewhere.of_axle(group, row, [*self.some[:, row]]),
            part=self.part[row].tolist(),
            answers=answers,
            always=np.asarray(answers.all(-1)).tolist(),
            never=np.asarray(~answers.any(-1)).tolist(),
        )


def _beside(group: Group, odds: Odds, separate: Separate, read: Bools) -> _Beside:
    """`read`: bool array (1 or cases, 2 * axles)."""
    drags, idles = odd_and_read(group, read)
    usual = np.broadcast_to(of_healthy(group), drags.shape)
    found = elsewhere(group, odds, (np.ones_like(drags), drags, idles, usual))
    some, two = separate.beside()
    for beside in (some, two):
        np.subtract(beside[0], beside[1:], out=beside[1:])  # less those none of which answers
        np.clip(beside[1:], 0.0, np.inf, out=beside[1:])
    some *= found.alone
    two *= found.alone
    beside_two = found.healthy[:, :_USUAL] + two.swapaxes(0, 1)
    healthy = np.concatenate([beside_two, found.healthy[:, _USUAL:]], axis=1)
    return _Beside(
        elsewhere=replace(found, healthy=healthy),
        part=separate.part,
        some=some,
        answers=np.stack([odd_states(read, sides) for sides in (HOTS, COLDS)]),
    )


def of_healthy(group: Group) -> Bools:
    """Explanations that a healthy brake is measured by: a cause common to all brakes leaves none healthy."""
    return np.array([[not one.raises_level for one in group.table]])
