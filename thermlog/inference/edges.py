"""Where a rising quantity first reaches zero on the steps of a grid, for thousands of them at once.

Halving asks as often for each as the grid has powers of two. How far each is from zero tells where to look
next (regula falsi), so that most are settled in four or five; who is settled is asked no more.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.words.tables import Floats, Ints

EVERYWHERE = slice(None)
# Values at one step each: steps, and the numbers of those that are asked; `EVERYWHERE` where all are.
Guide: TypeAlias = Callable[[Ints, Ints | slice], Floats]
_SLOW = 3  # times in a row that a bracket shrank by less than half: then it is halved


class LogSteps(Struct, frozen=True, kw_only=True):
    """Even steps of a logarithm from `low` (step 0) to `high`, both above 0."""

    low: float
    high: float
    steps: int

    def at(self, step: Ints) -> Floats:
        """Value at some steps."""
        return np.asarray(self.low * (self.high / self.low) ** (step / self.steps))

    def of(self, value: Floats) -> Floats:
        """Step of some values, with its parts; those below the first count as it."""
        ratio = np.log(self.high / self.low)
        return np.asarray(np.log(np.maximum(value, self.low) / self.low) / ratio * self.steps)


class Edges(Struct, frozen=True, kw_only=True, eq=False):
    """Where the values reach zero.

    Attributes
    ----------
    step : int array (each,)
        A step at which the value is 0 or more, and below 0 at the one before; one more than there are where
        not even the last is.
    below, above : float array (each,)
        The value at the one before, NaN before the first step; and at this one.
    """

    step: Ints
    below: Floats
    above: Floats

    def crossed(self) -> Floats:
        """Step with its parts at which values that rise evenly from step to step reach zero.

        The step itself where the one before is not known, or where not even the last is at zero.
        """
        part = np.maximum(self.above, 0.0) / np.maximum(self.above - self.below, np.finfo(float).tiny)
        return np.asarray(self.step - np.nan_to_num(part))


class _Brackets(Struct, kw_only=True, eq=False):
    """Steps known to lie below the edge and at or above it, with the values there; NaN for none yet."""

    low: Ints
    high: Ints
    below: Floats
    above: Floats

    def at(self, some: Ints) -> _Brackets:
        return _Brackets(
            low=self.low[some], high=self.high[some], below=self.below[some], above=self.above[some]
        )

    def narrow(self, some: Ints, at: Ints, value: Floats) -> None:
        under = value < 0.0
        self.low[some[under]], self.below[some[under]] = at[under], value[under]
        self.high[some[~under]], self.above[some[~under]] = at[~under], value[~under]


def edges_of(guide: Guide, start: Ints, steps: int, slope: float) -> Edges:
    """First step at which each value is 0 or more.

    Parameters
    ----------
    guide : callable
        From steps (some,) and those that are asked, by number or all, to their values (some,). A value
        that does not rise all the way has several edges; one of them is found.
    start : int array (each,)
        Step thought to be the last below zero; a good one saves time, and changes nothing else.
    steps : int
        Steps are 1 to `steps`, at least 2; before the first every value counts as below zero.
    slope : float
        Rough rise of the values from step to step, above 0, for where only one value is known.

    Returns
    -------
    Edges
    """
    known = _Brackets(
        low=np.zeros(start.size, dtype=np.int64),
        high=np.full(start.size, steps),
        below=np.full(start.size, np.nan),
        above=np.full(start.size, np.nan),
    )
    slow = np.zeros(start.size, dtype=np.int64)
    active, at, tried = np.arange(start.size), np.clip(start, 1, steps - 1), 0
    while active.size:
        asked = active if active.size < start.size else EVERYWHERE  # nothing is copied then
        value, before = guide(at, asked), known.high[active] - known.low[active]
        known.narrow(active, at, value)
        width = known.high[active] - known.low[active]
        slow[active] = np.where(2 * width > before, slow[active] + 1, 0)
        active, under = active[width > 1], value[width > 1] < 0.0
        guess = _guess(known.at(active), slope, next_after_start=tried == 0)
        guess = np.where(slow[active] >= _SLOW, 0.5 * (known.low[active] + known.high[active]), guess)
        # just across zero, as seen from where the last look was
        guess = np.where(under, np.ceil(guess), np.floor(guess))
        at = np.clip(guess, known.low[active] + 1, known.high[active] - 1).astype(np.int64)
        tried += 1
    last = np.flatnonzero(np.isnan(known.above))
    if last.size:
        known.above[last] = guide(np.full(last.size, steps), last)
    step = np.where(known.above < 0.0, steps + 1, known.high)
    return Edges(step=step, below=known.below, above=known.above)


def _guess(known: _Brackets, slope: float, *, next_after_start: bool) -> Floats:
    """Where the value may be zero, as a step and its parts."""
    with np.errstate(invalid="ignore", divide="ignore"):
        between = known.low - known.below * (known.high - known.low) / (known.above - known.below)
    ahead = known.low + 1.0 if next_after_start else known.low - known.below / slope
    one_sided = np.where(np.isnan(known.below), known.high - known.above / slope, ahead)
    return np.where(np.isnan(known.below + known.above), one_sided, between)
