"""How fast a person walks round a vehicle with a gun: what decides between two readings of a time column."""

from __future__ import annotations

from itertools import pairwise, zip_longest
from operator import sub
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.words.policy import ReadingLimits, usual_limits
from thermlog.words.tables import Bools, Floats, Ints

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

LONG_PAUSE_S = 900.0  # a longer pause is looked at: did the brakes cool in it? `bench/clock_study.py`
_FEW = 3  # readings below which nothing is said
_MOST_PAIRS = 20

_Rows: TypeAlias = tuple[int, int]


class Walk(Struct, frozen=True, kw_only=True, eq=False):
    """What is known of the readings besides their times, one entry a reading in file order.

    Attributes
    ----------
    wheels : int array
        Equal numbers are one wheel end.
    degc : float array
        What the gun showed [°C].
    lines : int array, optional
        Line of the file: the wheels of one line may have been read in another order than they stand there.
    limits : ReadingLimits
        What a walk can be like.
    """

    wheels: Ints
    degc: Floats
    lines: Ints | None = None
    limits: ReadingLimits = field(default_factory=usual_limits)

    def take(self, rows: Sequence[int]) -> Walk:
        """Some readings."""
        picked = list(rows)
        lines = None if self.lines is None else self.lines[picked]
        return replace(self, wheels=self.wheels[picked], degc=self.degc[picked], lines=lines)

    def turns_within_lines(self, rows: Sequence[int], backs: Sequence[int]) -> bool:
        """True if the times of `rows` run back, at places `backs`, only between wheels of one line."""
        if self.lines is None:
            return False
        lines = self.lines[list(rows)]
        return all(lines[k] == lines[k - 1] for k in backs)

    def rounds(self, rows: Sequence[int]) -> list[Sequence[int]]:
        """Of `rows` those of each round of a table with a row a wheel; one part of any other table.

        In which order the wheels of a round were read its times tell, not the lines they stand in.
        """
        lines = [] if self.lines is None else self.lines[list(rows)].tolist()
        starts = [0, *(k for k, (a, b) in enumerate(pairwise(lines), start=1) if b < a), len(rows)]
        return [rows[a:b] for a, b in pairwise(starts)]


def likely(times_s: Sequence[float], walk: Walk | None) -> bool:
    """Whether a person could have walked so: not too fast for the readings, not too slow within a lap.

    Examples
    --------
    >>> likely([0, 12, 25, 37], None), likely([0, 0.2, 0.4, 0.6], None), likely([0, 4000, 8000, 9000], None)
    (True, False, False)
    """
    if len(times_s) < 2:
        return True
    limits = usual_limits() if walk is None else walk.limits
    span, last = max(times_s) - min(times_s), max(times_s)
    before_last = sum(time < last for time in times_s)
    fastest_s = limits.fastest_mean_gap_s * before_last if len(times_s) >= _FEW else limits.fastest_gap_s
    if before_last and span < fastest_s:
        return False
    laps = list(_laps(times_s, walk))
    steps = [(lap[-1] - lap[0], len(lap) - 1) for lap in laps if len(lap) > 1]
    steps_s, count = sum(span for span, _ in steps), sum(count for _, count in steps)
    if count >= _FEW and steps_s < limits.fastest_gap_s * count:
        return False
    slow = steps_s > limits.slowest_mean_gap_s * count
    return not slow and all(b[0] - a[-1] <= limits.longest_pause_s for a, b in pairwise(laps))


def _laps(times_s: Sequence[float], walk: Walk | None) -> Iterator[list[float]]:
    """Moments of each lap, each once."""
    order = sorted(range(len(times_s)), key=lambda row: times_s[row])
    wheels = list(range(len(times_s))) if walk is None else walk.wheels.tolist()
    for lap in _lap_rows(times_s, wheels, order):
        yield list(dict.fromkeys(times_s[row] for row in lap))


def _lap_rows(times_s: Sequence[float], wheels: Sequence[int], order: Sequence[int]) -> Iterator[list[int]]:
    """Rows of each lap, in order of time: a new one begins where a wheel is read again."""
    lap: list[int] = []
    seen: dict[int, float] = {}
    for row in order:
        wheel, time_s = wheels[row], times_s[row]
        if seen.get(wheel, time_s) < time_s:
            yield lap
            lap, seen = [], {}
        seen.setdefault(wheel, time_s)
        lap.append(row)
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
        Rows of two wheels read closer together than `fastest_gap_s` and not at one moment, and of the ends
        of laps longer than `slowest_lap_s`, or of more wheels than anyone reads in their time.

    Examples
    --------
    >>> wheels, degc = np.array([0, 1, 0]), np.array([80.0, 80.0, 79.0])
    >>> impossible_pace([0.0, 0.2, 60.0], Walk(wheels=wheels, degc=degc))
    [(0, 1)]
    """
    if not len(times_s):
        return []
    times, wheels, limits = np.asarray(times_s, dtype=np.float64), walk.wheels, walk.limits
    order = np.argsort(times, kind="stable")
    steps = np.diff(times[order])
    fast = (steps > 0.0) & (steps < limits.fastest_gap_s) & (np.diff(wheels[order]) != 0)
    found = [(int(order[k]), int(order[k + 1])) for k in np.flatnonzero(fast)[:_MOST_PAIRS].tolist()]
    long = _may_be_long(times, wheels, limits.slowest_lap_s)
    hurried = _may_be_hurried(times[order], wheels, limits.fastest_mean_gap_s)
    laps = list(_lap_rows(times.tolist(), wheels.tolist(), order.tolist())) if long or hurried else []
    if long:
        found += _long_laps(laps, times.tolist(), limits.slowest_lap_s)
    if not found and _too_many(times, limits.fastest_gap_s):
        found.append((int(order[0]), int(order[-1])))
    if not found and hurried:
        found += _hurried_laps(laps, times.tolist(), wheels.tolist(), limits.fastest_mean_gap_s)
    return found[:_MOST_PAIRS]


def plainly_possible(rising_s: Sequence[float], limits: ReadingLimits) -> bool:
    """True if times that rise from reading to reading leave a person the time; False says nothing.

    Examples
    --------
    >>> limits = usual_limits()
    >>> plainly_possible([0.0, 12.0, 25.0], limits), plainly_possible([0.0, 0.2], limits)
    (True, False)
    """
    if not rising_s:
        return True
    steps = map(sub, rising_s[1:], rising_s)
    fastest_s = _unhurried_s(limits)
    in_one_lap = rising_s[-1] - rising_s[0] <= limits.slowest_lap_s
    return in_one_lap and min(steps, default=fastest_s) >= fastest_s


def plainly_walked(rising_s: Floats, limits: ReadingLimits) -> Bools:
    """`plainly_possible` of many logs, a row each; False as well for times that do not rise."""
    steps = np.diff(rising_s, axis=1)
    in_one_lap: Bools = rising_s[:, -1] - rising_s[:, 0] <= limits.slowest_lap_s
    in_one_lap &= (steps <= LONG_PAUSE_S).all(1)
    rising, slow = (steps > 0.0).all(1), (steps >= _unhurried_s(limits)).all(1)
    return in_one_lap & rising & slow


def _unhurried_s(limits: ReadingLimits) -> float:
    """Time from wheel to wheel at which nothing is too fast, neither a step nor a lap [s]."""
    return max(limits.fastest_gap_s, limits.fastest_mean_gap_s)


def _may_be_long(times: Floats, wheels: Ints, slowest_lap_s: float) -> bool:
    """False if every wheel is read again soon, so that no lap can be too long."""
    last = float(times.max())
    if last - float(times.min()) <= slowest_lap_s:
        return False
    order = np.lexsort((times, wheels))
    same = np.diff(wheels[order]) == 0
    gaps = np.diff(times[order])[same]
    ends = times[order][np.append(~same, True)]
    return bool(gaps.max(initial=0.0) > slowest_lap_s or last - float(ends.min()) > slowest_lap_s)


def _long_laps(laps: Iterable[list[int]], times: Sequence[float], slowest_lap_s: float) -> Iterator[_Rows]:
    """First and last reading of each lap that takes too long."""
    return ((lap[0], lap[-1]) for lap in laps if times[lap[-1]] - times[lap[0]] > slowest_lap_s)


def _too_many(times: Floats, fastest_gap_s: float) -> bool:
    """Whether there are more readings than anyone takes in their time."""
    first, last = float(times.min()), float(times.max())
    before_last = int((times < last).sum())
    return first < last and times.size > _FEW and last - first < fastest_gap_s * before_last


def _may_be_hurried(rising_s: Floats, wheels: Ints, fastest_mean_s: float) -> bool:
    """False if every step takes a person's time, or all readings are of one moment or of two wheels."""
    if rising_s[0] == rising_s[-1] or np.unique(wheels).size < _FEW:
        return False
    return bool((np.diff(rising_s) < fastest_mean_s).any())


def _hurried_laps(
    laps: Sequence[list[int]], times: Sequence[float], wheels: Sequence[int], fastest_mean_s: float
) -> Iterator[_Rows]:
    """First and last reading of each lap of several wheels that takes, or lasts, less than anyone needs.

    Where all wheels of a lap share one moment it is that of the lap, and the next one begins no sooner than
    they are read.
    """
    for lap, after in zip_longest(laps, laps[1:]):
        count = len({wheels[row] for row in lap})
        span_s, least_s = times[lap[-1]] - times[lap[0]], fastest_mean_s * (count - 1)
        if count < _FEW:
            continue
        if 0.0 < span_s < least_s:
            yield lap[0], lap[-1]
        elif after and times[after[0]] - times[lap[0]] < least_s:
            yield lap[0], after[0]
