"""Numbers with their 95 % intervals, and what changed between two drives."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from thermlog.words.findings import AxleFinding, CornerFinding, Diagnosis, Interval


class Estimate(Struct, frozen=True, kw_only=True):
    """A number with its 95 % interval.

    Attributes
    ----------
    value : float
        In the unit of what is estimated.
    interval : (low, high) or None
        None where the range is not known or not bounded.
    """

    value: float
    interval: Interval | None

    @property
    def turned(self) -> Estimate:
        """The same with the sign changed."""
        ends = None if self.interval is None else (-self.interval[1], -self.interval[0])
        return Estimate(value=-self.value, interval=ends)

    def times(self, factor: float) -> Estimate:
        """The same multiplied by a factor that is not negative."""
        ends = None if self.interval is None else (factor * self.interval[0], factor * self.interval[1])
        return Estimate(value=factor * self.value, interval=ends)


def change(before: Estimate | None, after: Estimate | None) -> Estimate | None:
    """After minus before for two independent estimates.

    Returns
    -------
    Estimate or None
        None if one is missing; interval None if one has none.

    Notes
    -----
    Half-widths add as squares, each side for itself, which is the rule "variances add" for lopsided
    intervals: Zou & Donner, Statistics in Medicine 27 (2008) 1693-1702 (from memory, not checked).

    Examples
    --------
    >>> change(Estimate(value=60.0, interval=(57.0, 63.0)), Estimate(value=5.0, interval=(1.0, 9.0)))
    Estimate(value=-55.0, interval=(-60.0, -50.0))
    """
    if before is None or after is None:
        return None
    value = after.value - before.value
    if before.interval is None or after.interval is None:
        return Estimate(value=value, interval=None)
    down = math.hypot(after.value - after.interval[0], before.interval[1] - before.value)
    up = math.hypot(after.interval[1] - after.value, before.value - before.interval[0])
    return Estimate(value=value, interval=(value - down, value + up))


def against_first(estimates: Sequence[Estimate | None]) -> tuple[Estimate | None, ...]:
    """Every estimate minus the first; None for the first itself."""
    return (None, *(change(estimates[0], later) for later in estimates[1:]))


def estimate(value: float | None, interval: Interval | None) -> Estimate | None:
    """None where there is no value."""
    return None if value is None else Estimate(value=value, interval=interval)


def corner_of(diagnosis: Diagnosis, corner: str, spot: str) -> CornerFinding | None:
    """Finding of one corner at one spot; None if it was not read."""
    return next((c for c in diagnosis.corners if (c.corner, c.spot) == (corner, spot)), None)


def axle_of(diagnosis: Diagnosis, number: int) -> AxleFinding | None:
    """Finding of one axle; None if it was not read."""
    return next((axle for axle in diagnosis.axles if axle.axle == number), None)


def level(found: CornerFinding | None) -> Estimate | None:
    """Temperature at the common time [°C]."""
    return None if found is None else estimate(found.at_common_degc, found.interval_degc)


def rise(found: CornerFinding | None) -> Estimate | None:
    """Rise with the interval of the temperature, moved down by the ambient [K]."""
    if found is None or found.rise_k is None:
        return None
    if found.interval_degc is None or found.at_common_degc is None:
        return Estimate(value=found.rise_k, interval=None)
    ambient = found.at_common_degc - found.rise_k
    return Estimate(
        value=found.rise_k, interval=(found.interval_degc[0] - ambient, found.interval_degc[1] - ambient)
    )


def left_minus_right(found: AxleFinding | None) -> Estimate | None:
    """Difference of an axle's brakes at the common time [K]."""
    return None if found is None else estimate(found.difference_k, found.difference_interval_k)
