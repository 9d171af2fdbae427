"""Numbers with their 95 % intervals, and what changed between two of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TypeAlias

from msgspec import Struct

Interval: TypeAlias = tuple[float, float]


class Estimate(Struct, frozen=True):
    """A difference, a ratio, a temperature or a time, with its 95 % interval.

    Attributes
    ----------
    value : float
        In the unit of what is estimated.
    low, high : float or None
        Ends of the interval; None where the range is not known or not bounded.
    """

    value: float
    low: float | None = None
    high: float | None = None

    @property
    def interval(self) -> Interval | None:
        """Both ends; None where one is not known."""
        return None if self.low is None or self.high is None else (self.low, self.high)

    @property
    def ends(self) -> Interval:
        """Both ends; the value itself for one that is not known."""
        low, high = self.low, self.high
        return self.value if low is None else low, self.value if high is None else high

    @property
    def half_width(self) -> float | None:
        """Half of the interval; None where it is not known."""
        return None if self.low is None or self.high is None else 0.5 * (self.high - self.low)

    @property
    def turned(self) -> Estimate:
        """The same with the sign changed."""
        return Estimate(-self.value, _negative(self.high), _negative(self.low))

    @property
    def size(self) -> Estimate:
        """The same turned, if need be, so that the value is not negative."""
        return self if self.value >= 0.0 else self.turned

    def times(self, factor: float) -> Estimate:
        """The same multiplied by a factor that is not negative."""
        return self.each(lambda number: factor * number)

    def moved(self, value: float) -> Estimate:
        """The same interval about another value."""
        zero, low, high = self.value - value, self.low, self.high
        return Estimate(value, None if low is None else low - zero, None if high is None else high - zero)

    def each(self, to: Callable[[float], float]) -> Estimate:
        """The same put through a rising function, such as into another unit."""
        low, high = self.low, self.high
        return Estimate(to(self.value), None if low is None else to(low), None if high is None else to(high))


def median(values: Sequence[float]) -> float:
    """Middle of some values, at least one, or of the two in the middle; the standard one takes long to load.

    Examples
    --------
    >>> median([3.0, 1.0, 2.0]), median([4.0, 1.0])
    (2.0, 2.5)
    """
    ordered, count = sorted(values), len(values)
    return 0.5 * (ordered[(count - 1) // 2] + ordered[count // 2])


def _negative(number: float | None) -> float | None:
    return None if number is None else -number


def change(before: Estimate | None, after: Estimate | None) -> Estimate | None:
    """After minus before for two independent estimates.

    Returns
    -------
    Estimate or None
        None if one is missing; without interval if one has none.

    Notes
    -----
    Half-widths add as squares, each side for itself, which is the rule "variances add" for lopsided
    intervals: Zou & Donner, Statistics in Medicine 27 (2008) 1693-1702 (from memory, not checked).

    Examples
    --------
    >>> change(Estimate(60.0, 57.0, 63.0), Estimate(5.0, 1.0, 9.0))
    Estimate(value=-55.0, low=-60.0, high=-50.0)
    """
    if before is None or after is None:
        return None
    value = after.value - before.value
    if before.interval is None or after.interval is None:
        return Estimate(value)
    (was_low, was_high), (low, high) = before.interval, after.interval
    down = math.hypot(after.value - low, was_high - before.value)
    up = math.hypot(high - after.value, before.value - was_low)
    return Estimate(value, value - down, value + up)
