"""How fast a person walks round a vehicle with a gun: what decides between two readings of a time column."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

# What a walk with a gun can be like: common practice, no source.
FASTEST_GAP_S = 1.0  # nobody aims at the next wheel sooner
SLOWEST_LAP_S = 1800.0  # nor takes longer once round: what is compared then was not read in one walk
_FASTEST_MEAN_S = 1.5  # on average over a whole log
_SLOWEST_MEAN_S = 120.0  # from wheel to wheel within a lap
_LONGEST_PAUSE_S = 7200.0  # between two laps
_FEW = 3  # readings below which nothing is said
_MOST_PAIRS = 20


class Walk(Struct, frozen=True, kw_only=True):
    """What is known of the readings besides their times, one entry a reading in file order.

    Attributes
    ----------
    wheels : sequence of int
        Equal numbers are one wheel end.
    degc : sequence of float
        What the gun showed [°C].
    """

    wheels: Sequence[int]
    degc: Sequence[float]


def likely(times_s: Sequence[float], walk: Walk | None) -> bool:
    """Whether a person could have walked so: not too fast for the readings, not too slow within a lap.

    Examples
    --------
    >>> likely([0, 12, 25, 37], None), likely([0, 0.2, 0.4, 0.6], None), likely([0, 4000, 8000, 9000], None)
    (True, False, False)
    """
    if len(times_s) < 2:
        return True
    span, last = max(times_s) - min(times_s), max(times_s)
    before_last = sum(time < last for time in times_s)
    fastest_s = _FASTEST_MEAN_S * before_last if len(times_s) >= _FEW else FASTEST_GAP_S
    if before_last and span < fastest_s:
        return False
    laps = list(_laps(times_s, walk))
    steps = [(lap[-1] - lap[0], len(lap) - 1) for lap in laps if len(lap) > 1]
    steps_s, count = sum(span for span, _ in steps), sum(count for _, count in steps)
    if count >= _FEW and steps_s < FASTEST_GAP_S * count:
        return False
    slow = steps_s > _SLOWEST_MEAN_S * count
    return not slow and all(b[0] - a[-1] <= _LONGEST_PAUSE_S for a, b in pairwise(laps))


def _laps(times_s: Sequence[float], walk: Walk | None) -> Iterator[list[float]]:
    """Moments of each lap: a new one begins where a wheel is read again."""
    order = sorted(range(len(times_s)), key=lambda row: times_s[row])
    lap: list[float] = []
    seen: dict[int, float] = {}
    for row in order:
        wheel, time = (walk.wheels[row] if walk else row), times_s[row]
        if seen.get(wheel, time) < time:
            yield lap
            lap, seen = [], {}
        seen.setdefault(wheel, time)
        if not lap or lap[-1] < time:
            lap.append(time)
    if lap:
        yield lap


def impossible_pace(times_s: Sequence[float], walk: Walk) -> list[tuple[int, int]]:
    """Pairs of readings that nobody can have taken one after the other.

    Parameters
    ----------
    times_s : sequence of float
        In any order [s].
    walk : Walk

    Returns
    -------
    list of (int, int)
        Rows of two wheels read closer together than `FASTEST_GAP_S` and not at one moment, and of the ends
        of laps longer than `SLOWEST_LAP_S`.

    Examples
    --------
    >>> impossible_pace([0.0, 0.2, 60.0], Walk(wheels=[0, 1, 0], degc=[80, 80, 80]))
    [(0, 1)]
    """
    order = sorted(range(len(times_s)), key=lambda row: times_s[row])
    found = [
        (a, b)
        for a, b in pairwise(order)
        if 0.0 < times_s[b] - times_s[a] < FASTEST_GAP_S and walk.wheels[a] != walk.wheels[b]
    ]
    first = order[0] if order else 0
    seen: dict[int, float] = {}
    for before, row in pairwise([*order[:1], *order]):
        wheel = walk.wheels[row]
        if seen.get(wheel, times_s[row]) < times_s[row]:
            if times_s[before] - times_s[first] > SLOWEST_LAP_S:
                found.append((first, before))
            first, seen = row, {}
        seen.setdefault(wheel, times_s[row])
    if order and times_s[order[-1]] - times_s[first] > SLOWEST_LAP_S:
        found.append((first, order[-1]))
    if order and not found and _too_many(times_s):
        found.append((order[0], order[-1]))
    return found[:_MOST_PAIRS]


def _too_many(times_s: Sequence[float]) -> bool:
    """Whether there are more readings than anyone takes in their time."""
    first, last = min(times_s), max(times_s)
    before_last = sum(time < last for time in times_s)
    return first < last and len(times_s) > _FEW and last - first < FASTEST_GAP_S * before_last
