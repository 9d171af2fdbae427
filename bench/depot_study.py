"""A simulated depot week by week: when each drag is found, and how many work orders were for nothing.

python bench/depot_study.py --seeds 5
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from statistics import median

import numpy as np
from memory_study import past_of
from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.simulation.depot import SimulatedUnit, SimulatedWeek, depot_units, depot_weeks
from thermlog.words.tables import Readings
from thermlog.words.visits import Past, PastVisit

RULE_K = 20.0
METHODS = ("20 K between the sides", "thermlog, each visit alone", "thermlog with history")
# Unit and week -> corners that a work order is written for.
Orders = dict[tuple[str, int], tuple[str, ...]]


class Tally(Struct, frozen=True, kw_only=True):
    """What one method did over some depots.

    Attributes
    ----------
    visits, false : int
        Visits of units without a drag then, and work orders written for them.
    drags, found : int
    delays : tuple of int
        Weeks from the first week with a drag to the order that names its corner.
    strength_nm : tuple of float
        What it was by then.
    """

    visits: int
    false: int
    drags: int
    found: int
    delays: tuple[int, ...]
    strength_nm: tuple[float, ...]


def plain_rule(readings: Readings) -> list[tuple[str, ...]]:
    """Corners whose mean reading lies more than so much above the other side's."""
    corners = 2 * int(readings.axle.max())
    key = readings.case * corners + 2 * (readings.axle - 1) + readings.side
    size = len(readings.cases) * corners
    count = np.bincount(key, minlength=size)
    mean = np.bincount(key, weights=readings.indicated_degc, minlength=size) / np.maximum(count, 1)
    mean = mean.reshape(-1, corners)
    gap = mean[:, 0::2] - mean[:, 1::2]
    return [
        tuple(f"{axle + 1}{'L' if wide > 0 else 'R'}" for axle, wide in enumerate(row) if abs(wide) > RULE_K)
        for row in gap.tolist()
    ]


def judged_orders(readings: Readings, past: Past | None) -> list[tuple[str, ...]]:
    """Corners that thermlog calls or watches for a drag."""
    judged = judge(readings, replace(Settings(), past=past))
    return [tell_findings(judged, k).answers.drag.suspected for k in range(len(readings.cases))]


def orders_of(weeks: Sequence[SimulatedWeek]) -> dict[str, Orders]:
    """What each method orders, week by week; history restarts where a brake was repaired."""
    past: dict[str, list[PastVisit]] = {}
    found: dict[str, Orders] = {name: {} for name in METHODS}
    for one in weeks:
        for unit in one.units:
            if unit.repaired == one.week:
                past[unit.name] = []
        known = Past(units={name: tuple(each) for name, each in past.items()})
        told: list[Callable[[], list[tuple[str, ...]]]] = [
            lambda one=one: plain_rule(one.readings),
            lambda one=one: judged_orders(one.readings, None),
            lambda one=one, known=known: judged_orders(one.readings, known),
        ]
        for name, orders in zip(METHODS, told, strict=True):
            for unit, corners in zip(one.units, orders(), strict=True):
                found[name][unit.name, one.week] = corners
        for name, visits in past_of([one.readings], Settings()).units.items():
            past.setdefault(name, []).extend(visits)
    return found


def tallied(units: Sequence[SimulatedUnit], orders: Orders) -> Tally:
    """One method over one depot."""
    visits = false = 0
    delays: list[int] = []
    strength: list[float] = []
    for unit in units:
        dragging = [week for week, drag in enumerate(unit.drag_nm, start=1) if drag > 0.0]
        for week in range(1, len(unit.drag_nm) + 1):
            if week not in dragging:
                visits += 1
                false += bool(orders[unit.name, week])
        hit = next((week for week in dragging if unit.corner in orders[unit.name, week]), None)
        if hit is not None:
            delays.append(hit - dragging[0])
            strength.append(unit.drag_nm[hit - 1])
    drags = sum(unit.began is not None for unit in units)
    return Tally(
        visits=visits, false=false, drags=drags, found=len(delays), delays=tuple(delays),
        strength_nm=tuple(strength),
    )  # fmt: skip


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seeds", type=int, default=3, help="depots")
    given = asked.parse_args()
    tallies: dict[str, list[Tally]] = {name: [] for name in METHODS}
    for seed in range(1, given.seeds + 1):
        units, orders = depot_units(seed), orders_of(list(depot_weeks(seed)))
        for name in METHODS:
            tallies[name].append(tallied(units, orders[name]))
    print(f"{given.seeds} depots of 60 units over 12 weeks")
    print(
        "method | drags found | weeks from its first, median | within 2 weeks | false orders per 100 visits"
    )
    for name, each in tallies.items():
        drags, hits = sum(one.drags for one in each), sum(one.found for one in each)
        delays = [delay for one in each for delay in one.delays]
        soon = sum(delay <= 2 for delay in delays) / max(drags, 1)
        false = 100.0 * sum(one.false for one in each) / sum(one.visits for one in each)
        middle = f"{median(delays):.1f}" if delays else "-"
        print(f"{name} | {hits} of {drags} | {middle} | {100 * soon:.0f} % | {false:.1f}")


if __name__ == "__main__":
    main()
