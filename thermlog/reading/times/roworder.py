"""Elapsed times that do not rise from row to row: sorted where the rows tell why, understood, or refused."""

from __future__ import annotations

from itertools import pairwise
from operator import le, lt
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.times.face import ClockRefusedError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.times.pace import Walk


_Step: TypeAlias = Literal["follows", "back", "among"]
_MINUTE_S, _HOUR_S = 60.0, 3600.0
_WRAPPED_WITHIN_S = 300.0  # a watch that wraps is read again so soon after
_NEXT_LAP_S = 1200.0  # and the same wheel
_SHUFFLED = 1 / 3  # share of steps back from which the rows stand in no order of time at all
_MOST_AGREE = 0.75
_SEVERAL = 2
_TOLD_BY = 3  # wheels; two may rise by chance


class Ordered(Struct, frozen=True, kw_only=True):
    """Times in file order, all from one zero; `note` says what was done, empty if nothing."""

    times: list[float]
    note: str = ""
    counted_down: bool = False


def ordered_times(
    times: Sequence[float], walk: Walk | None, *, countdown: bool = False, seconds: bool = False
) -> Ordered:
    """Times of a watch, in the order of the rows.

    Parameters
    ----------
    times : sequence of float
        As written [s].
    walk : Walk or None
        Without it only a countdown is undone.
    countdown : bool
        True if the heading says so.
    seconds : bool
        True if they are plain numbers of seconds, which may lack their minutes.

    Raises
    ------
    ClockRefusedError
        The times run back and nothing tells why.

    Examples
    --------
    >>> import numpy as np
    >>> from thermlog.reading.times.pace import Walk
    >>> ordered_times([3590.0, 10.0], Walk(wheels=np.array([0, 1]), degc=np.array([80.0, 80.0]))).times
    [3590.0, 3610.0]
    """
    if countdown:
        top = max(times)
        return Ordered(times=[top - time for time in times], note=_COUNTED_DOWN, counted_down=True)
    if walk is None or all(map(le, times, times[1:])):
        return Ordered(times=list(times))
    return _out_of_order(times, walk, seconds=seconds)


def _out_of_order(times: Sequence[float], walk: Walk, *, seconds: bool) -> Ordered:
    rows = _fresh(times, walk)
    steps = _round_steps(times, walk, rows)
    if rows == sorted(rows, key=lambda row: times[row]) or set(steps) == {"follows"}:
        return Ordered(times=list(times))
    fresh = [times[row] for row in rows]
    backs = [k for k, (a, b) in enumerate(pairwise(fresh), start=1) if b < a]
    _refuse_swapped(walk.wheels[rows].tolist(), walk.degc[rows].tolist(), rows, backs)
    if wrapped := _past_the_hour(times, rows, backs):
        return wrapped
    if {"follows", "back"} <= set(steps) and max(times) < _HOUR_S:
        begun = walk.rounds(rows)[steps.index("back") + 1]
        raise ClockRefusedError(_AGAIN, code="starts_again", at=begun[0])
    return _to_and_fro(times, walk, rows, backs, seconds=seconds)


def _to_and_fro(
    times: Sequence[float], walk: Walk, rows: Sequence[int], backs: Sequence[int], *, seconds: bool
) -> Ordered:
    """Times whose `rows` run back at `backs`, and not past the hour."""
    fresh, wheels = [times[row] for row in rows], walk.wheels[rows].tolist()
    if not any(b > a for a, b in pairwise(fresh)):
        if seconds and max(times) < _MINUTE_S and len(set(times)) == _SEVERAL:
            raise ClockRefusedError(_NO_MINUTES, code="no_minutes", at=rows[backs[0]])
        return _falling(times, walk, rows[backs[0]])
    if _wheel_by_wheel(wheels):
        return _blocks(times, walk)
    again = _starts_again(wheels, backs) and not walk.turns_within_lines(rows, backs)
    if seconds and max(times) < _MINUTE_S and not (again and fresh[backs[0]] <= fresh[0]):
        raise ClockRefusedError(_NO_MINUTES, code="no_minutes", at=rows[backs[0]])
    if again:
        raise ClockRefusedError(_AGAIN, code="starts_again", at=rows[backs[0]])
    return Ordered(times=list(times))


def _round_steps(times: Sequence[float], walk: Walk, rows: Sequence[int]) -> list[_Step]:
    """How each round of a table with a row a wheel stands to the one before; empty for any other table."""
    spans = [(min(times[k] for k in mine), max(times[k] for k in mine)) for mine in walk.rounds(rows)]
    return [
        "follows" if last <= begin else "back" if begin < first else "among"
        for (first, last), (begin, _) in pairwise(spans)
    ]


def _refuse_swapped(
    wheels: Sequence[int], degc: Sequence[float], rows: Sequence[int], backs: Sequence[int]
) -> None:
    """Temperatures that rise from row to row through whole rounds are the times of a walk.

    Times that only start again with each round step back less often than temperatures do.
    """
    count = len(set(wheels))
    rounds = [wheels[k : k + count] for k in range(0, len(wheels), count)]
    if count < _TOLD_BY or not _SEVERAL <= len(rounds) <= len(backs) or not all(map(lt, degc, degc[1:])):
        return
    if all(len(set(mine)) == len(mine) for mine in rounds):
        raise ClockRefusedError(_SWAPPED, code="swapped", at=rows[backs[0]])


def _fresh(times: Sequence[float], walk: Walk) -> list[int]:
    """Rows without exact repeats, and without one reading that differs from another of its moment."""
    seen: dict[tuple[int, float], float] = {}
    fresh, differing = [], []
    readings = zip(walk.wheels.tolist(), times, walk.degc.tolist(), strict=True)
    for row, (wheel, time, degc) in enumerate(readings):
        if (wheel, time) not in seen:
            seen[wheel, time] = degc
            fresh.append(row)
        elif seen[wheel, time] != degc:
            differing.append(row)
    return fresh if len(differing) < _SEVERAL else sorted(fresh + differing)


_PAST_HOUR = "the times pass the hour: the later ones count to the next"
_COUNTED_DOWN = "the times run down; they are counted from the first reading on"
_NO_MINUTES = (
    "the times run back here; are they seconds without their minutes? Write minutes and seconds, or "
    "seconds from the start, and the rows in order of time"
)
_AGAIN = (
    "the times start again here; make one file of each walk or drive, name them in a column drive or "
    "vehicle, or write times that go on"
)
_SWAPPED = (
    "the times run to and fro while the temperatures rise from row to row, round after round: are the "
    "headings of times and temperatures swapped? Swap them, or write the rows in order of time"
)
_DOWN = (
    "the times fall from row to row: newest first, or a watch that counts down? Head the column "
    "time_remaining if it counts down, or write the rows in order of time"
)


def _falling(times: Sequence[float], walk: Walk, at: int) -> Ordered:
    """Newest first, or counted down: wheels read twice tell, for brakes cool."""
    rows: dict[int, list[int]] = {}
    for row, wheel in enumerate(walk.wheels.tolist()):
        rows.setdefault(wheel, []).append(row)
    pairs = [(mine[0], mine[-1]) for mine in rows.values() if times[mine[0]] > times[mine[-1]]]
    if not pairs:
        return Ordered(times=list(times))  # read once: the gaps are the same either way
    down = sum(walk.degc[first] > walk.degc[last] for first, last in pairs)
    up = sum(walk.degc[first] < walk.degc[last] for first, last in pairs)
    if up >= _MOST_AGREE * len(pairs) and up > down:
        return Ordered(times=list(times))
    if down >= _MOST_AGREE * len(pairs) and down > up:
        top = max(times)
        note = f"{_COUNTED_DOWN}: the wheels cool from row to row"
        return Ordered(times=[top - time for time in times], note=note, counted_down=True)
    raise ClockRefusedError(_DOWN, code="falling", at=at)


def _wheel_by_wheel(wheels: Sequence[int]) -> bool:
    """Whether the rows of each wheel stand together, and some wheel has several."""
    blocks = sum(a != b for a, b in pairwise(wheels)) + 1
    return blocks == len(set(wheels)) < len(wheels)


def _blocks(times: Sequence[float], walk: Walk) -> Ordered:
    """Wheel by wheel: each wheel has its own rows in a row, which rise, fall, or pass the hour."""
    rows: dict[int, list[int]] = {}
    for row, wheel in enumerate(walk.wheels.tolist()):
        rows.setdefault(wheel, []).append(row)
    backs = [b for mine in rows.values() for a, b in pairwise(mine) if times[b] < times[a]]
    if not backs:
        return Ordered(times=list(times))
    if not any(times[b] > times[a] for mine in rows.values() for a, b in pairwise(mine)):
        return _falling(times, walk, backs[0])
    moved = _later_hours(times, list(rows.values()))
    steps = [moved[b] - moved[a] for mine in rows.values() for a, b in pairwise(mine)]
    if max(times) >= _HOUR_S or min(steps) < 0 or max(steps) > _NEXT_LAP_S:
        raise ClockRefusedError(_AGAIN, code="starts_again", at=backs[0])
    return Ordered(times=moved, note=_PAST_HOUR)


def _later_hours(times: Sequence[float], wheels: Sequence[Sequence[int]]) -> list[float]:
    """Times of a watch without hours, carried on past the hour wheel by wheel."""
    moved = list(times)
    for mine in wheels:
        later = False
        for a, b in pairwise(mine):
            later = later or times[b] < times[a]
            moved[b] += _HOUR_S if later else 0.0
    latest = max(moved[mine[0]] for mine in wheels)
    for mine in wheels:
        if moved[mine[0]] < latest - _HOUR_S / 2:  # first read after the hour already
            for row in mine:
                moved[row] += _HOUR_S
    return moved


def _past_the_hour(times: Sequence[float], rows: Sequence[int], backs: Sequence[int]) -> Ordered | None:
    """A watch that shows minutes and seconds alone passes the hour once, in rows that rise or fall else."""
    rises = [k for k, (a, b) in enumerate(pairwise(rows), start=1) if times[b] > times[a]]
    if len(backs) == 1:
        at, before, later = backs[0], rows[backs[0] - 1], rows[backs[0] :]
    elif len(rises) == 1:  # newest first
        at = rises[0]
        before, later = rows[at], rows[:at]
    else:
        return None
    after = rows[at] if len(backs) == 1 else rows[at - 1]
    step = times[after] + _HOUR_S - times[before]
    if not (max(times) < _HOUR_S and 0 < step <= _WRAPPED_WITHIN_S):
        return None
    moments = {times[row] for row in later}
    moved = [time + (_HOUR_S if time in moments else 0.0) for time in times]
    return Ordered(times=moved, note=_PAST_HOUR)


def _starts_again(wheels: Sequence[int], backs: Sequence[int]) -> bool:
    """Whether wheels are read anew after a step back, in rows that stand in order otherwise."""
    if len(backs) > _SHUFFLED * (len(wheels) - 1):
        return False
    ends = [0, *backs, len(wheels)]
    parts = [set(wheels[a:b]) for a, b in pairwise(ends)]
    return any(a & b for a, b in pairwise(parts))
