"""What cooling tells of a clock that was put forward within a walk, on both simulators.

`python bench/clock_study.py`: walks with a real pause, of which none may be called a moved clock, and walks
whose clock jumps between two rounds. Eight rounds are simulated; some of them are taken.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from validation_results import table
from validation_worlds import WORLDS, Array, Cell, batch, kinds_of, skins_of, weight_of

from thermlog.judging.clock_moved import clock_moved
from thermlog.words.policy import load_policy
from thermlog.words.tables import Case, Pause, Readings
from thermlog.words.vehicle import HUB_SPOT, SPOTS

PAUSES_MIN = (5, 8, 10, 15, 30)
JUMPS_MIN = (5, 10, 15, 20, 25)
REAL = (((0, 1), (5, 6, 7)), ((0,), (6, 7)), ((0, 1, 2), (7,)))  # rounds taken before and after the pause
MOVED = ((1, 1), (1, 2), (2, 2))  # rounds before and after the jump
EACH, SEED = 25, 7


def pause_of(elapsed_s: Array, wheel: Array, degc: Array) -> Pause:
    """The longest pause of some readings, as the reader gives it."""
    order = np.argsort(elapsed_s, kind="stable")
    elapsed_s, wheel, degc = elapsed_s[order], wheel[order], degc[order]
    steps = np.diff(elapsed_s)
    begins_s = float(elapsed_s[int(steps.argmax()) + 1])
    across, within = [], []
    for one in np.unique(wheel):
        mine = wheel == one
        taken = zip(elapsed_s[mine].tolist(), degc[mine].tolist(), strict=True)
        for (then_s, then), (now_s, now) in pairwise(taken):
            if then_s < begins_s <= now_s:
                across.append((then, now))
            else:
                within.append((then, now, now_s - then_s))
    return Pause(line=1, seconds=float(steps.max()), across=tuple(across), within=tuple(within))


def walks(world: str) -> Iterator[tuple[Case, str, Array, Array, Array, Array]]:
    """Case, weight, moments, wheels, readings and rounds of every simulated vehicle."""
    for kind in kinds_of(world):
        for fault in ("none", "corner_hot"):
            cell = Cell(world=world, kind=kind, skins=skins_of(world)[0], rounds=8)
            readings = batch(cell, fault, EACH, SEED).readings
            for k, case in enumerate(readings.cases):
                yield (case, weight_of(world, kind), *_of_case(readings, k))


def _of_case(readings: Readings, k: int) -> tuple[Array, Array, Array, Array]:
    mine = np.flatnonzero((readings.case == k) & (readings.spot != SPOTS.index(HUB_SPOT)))
    elapsed_s, degc = readings.elapsed_s[mine], readings.indicated_degc[mine]
    wheel = readings.axle[mine] * 2 + readings.side[mine]
    rounds = np.zeros(mine.size, dtype=np.int64)
    for one in np.unique(wheel):
        place = np.flatnonzero(wheel == one)
        rounds[place[np.argsort(elapsed_s[place], kind="stable")]] = np.arange(place.size)
    return elapsed_s, wheel, degc, rounds


def counted(world: str) -> tuple[Counter[tuple[str, int]], Counter[tuple[str, int]]]:
    """How many walks there were of each sort, and how many were called a moved clock."""
    seen: Counter[tuple[str, int]] = Counter()
    called: Counter[tuple[str, int]] = Counter()
    policies = {name: load_policy(name) for name in ("light", "heavy")}
    for case, weight, elapsed_s, wheel, degc, rounds in walks(world):
        found: list[tuple[tuple[str, int], Pause]] = []
        for before, after in REAL:
            taken = np.isin(rounds, before + after)
            pause = pause_of(elapsed_s[taken], wheel[taken], degc[taken])
            length = max((one for one in PAUSES_MIN if 60 * one <= pause.seconds), default=0)
            found.append((("real", length), pause))
        for before, after in MOVED:
            taken = rounds < before + after
            for jump in JUMPS_MIN:
                late_s = elapsed_s[taken] + 60.0 * jump * (rounds[taken] >= before)
                found.append(((f"{before}+{after}", jump), pause_of(late_s, wheel[taken], degc[taken])))
        for sort, pause in found:
            seen[sort] += 1
            one = Case(log=case.log, ambient_degc=case.ambient_degc, pause=pause)
            called[sort] += bool(clock_moved(one, policies[weight]))
    return seen, called


def main() -> None:
    """Print both tables."""
    for world in WORLDS:
        seen, called = counted(world)
        rows = [
            (f"{sort}", f"{minutes}", f"{seen[sort, minutes]}", f"{called[sort, minutes]}")
            for sort, minutes in sorted(seen)
        ]
        print(f"\n{world}\n")
        print(table(("pause or rounds", "minutes from", "walks", "called a moved clock"), rows))


if __name__ == "__main__":
    main()
