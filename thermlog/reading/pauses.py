"""A long pause between two readings of a drive: every wheel's temperature before and after it."""

from __future__ import annotations

from itertools import pairwise
from typing import TypeAlias

from thermlog.reading.sifted import Sifted
from thermlog.reading.times.pace import LONG_PAUSE_S
from thermlog.words.tables import Pause

_Taken: TypeAlias = tuple[float, float]  # when [s], and what the gun showed [°C]


def long_pause(work: Sifted, case: int) -> Pause | None:
    """The longest pause of a case, of more than a quarter of an hour; None where there is none.

    Parameters
    ----------
    work : Sifted
    case : int
    """
    if work.seen.time is None or not work.times.elapsed_s:
        return None
    rows = sorted(work.live_of(case), key=lambda row: work.times.elapsed_s[row])
    steps = [(work.times.elapsed_s[b] - work.times.elapsed_s[a], b, a) for a, b in pairwise(rows)]
    pause_s, first, last = max(steps, default=(0.0, 0, 0))
    if pause_s <= LONG_PAUSE_S:
        return None
    begins_s = work.times.elapsed_s[first]
    across, within = [], []
    for taken in _by_wheel(work, rows).values():
        for (then_s, then_degc), (now_s, now_degc) in pairwise(taken):
            if then_s < begins_s <= now_s:
                across.append((then_degc, now_degc))
            else:
                within.append((then_degc, now_degc, now_s - then_s))
    lines = work.seen.line
    return Pause(
        line=lines[first], before=lines[last], seconds=pause_s, across=tuple(across), within=tuple(within)
    )


def _by_wheel(work: Sifted, rows: list[int]) -> dict[tuple[int, int], list[_Taken]]:
    """Readings of every wheel and spot in the order they were taken."""
    found: dict[tuple[int, int], list[_Taken]] = {}
    for row in rows:
        place = work.code[row], -1 if work.spots is None else work.spots[row]
        found.setdefault(place, []).append((work.times.elapsed_s[row], float(work.temps.degc[row])))
    return found
