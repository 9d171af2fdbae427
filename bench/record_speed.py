"""Cost of a record: a frozen dataclass, a named tuple and the Struct that thermlog uses, in turn.

    python bench/record_speed.py [ROUNDS]

A check defines some hundred kinds of records at its start, a fleet makes some dozen records a log. Below
stands what the parallel records that were kept save a fleet: the digest of the columns, the rows of vehicles
that are plainly even, and the numbers of axles and sides that the answers read.
"""

from __future__ import annotations

import gc
import math
import random
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from types import new_class
from typing import Any, NamedTuple
from unittest.mock import patch

import numpy as np
from fleet_speed import log_text
from msgspec import Struct
from rowviews import axle_view

from thermlog.fleet.fleetrows import plain_row, rows_of
from thermlog.judging import facts
from thermlog.judging.diagnose import judge
from thermlog.judging.digesting import Steps, digest
from thermlog.judging.judged import Judged
from thermlog.judging.plainly_even import plainly_even
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.reading.read import read_content
from thermlog.words.findings import Diagnosis
from thermlog.words.tables import stack_readings

DEFINED, MADE = 50, 20_000
FIELDS = {
    "axle": "int",
    "side": "str",
    "rise_k": "float | None",
    "rounds": "int",
    "first_line": "int",
    "notes": "tuple[str, ...]",
}
DEFAULTS = {"rise_k": None, "rounds": 0, "first_line": 0, "notes": ()}
FROZEN = {"frozen": True, "kw_only": True}


def wheel(base: tuple[Any, ...], keywords: dict[str, Any]) -> Any:
    """What the class statement of a record does."""
    body = {"__doc__": "A record of six fields.", "__module__": __name__, "__annotations__": dict(FIELDS)}
    return new_class("Wheel", base, keywords, lambda namespace: namespace.update(body | DEFAULTS))


KINDS: dict[str, Callable[[], Any]] = {
    "frozen dataclass": lambda: dataclass(slots=True, **FROZEN)(wheel((), {})),
    "named tuple": lambda: wheel((NamedTuple,), {}),
    "Struct": lambda: wheel((Struct,), FROZEN),
}


def made(record: Callable[..., Any]) -> Callable[[], Any]:
    return lambda: record(axle=1, side="L", rise_k=80.0, rounds=6)


def seconds_each(work: Callable[[], object], times: int) -> float:
    start = time.perf_counter()
    for _ in range(times):
        work()
    return (time.perf_counter() - start) / times


def five_axle_batch(count: int) -> Judged:
    chance = random.Random(1)  # noqa: S311 (invented readings, no secrets)
    logs = [log_text(unit, chance).encode() for unit in range(1, count + 1)]
    tables = [read_content(log, file=f"unit-{k}.csv").readings for k, log in enumerate(logs)]
    return judge(stack_readings(tables), Settings())


def kept_records(rounds: int, count: int = 200) -> None:
    """Time a vehicle with and without the parallel records that were kept."""
    judged = five_axle_batch(count)
    held = {name: getattr(judged, name) for name in Steps.__struct_fields__ if hasattr(judged, name)}
    steps = Steps(doubt=judged.evidence.doubt, usual=judged.evidence.usual, **held)
    plain = np.flatnonzero(plainly_even(judged)).tolist()
    column, numbers = judged.comparison.difference_k, numbers_in(judged)

    def one_by_one() -> list[float | None]:
        found = (float(column[k % column.size]) for k in range(numbers))
        return [value if math.isfinite(value) else None for value in found]

    def told_all() -> list[Diagnosis]:
        return [tell_findings(judged, k) for k in range(count)]

    def from_views() -> list[Diagnosis]:
        with patch.object(facts, "axle_numbers", axle_view):
            return told_all()

    if told_all() != from_views():
        msg = "views tell something else"
        raise SystemExit(msg)
    works: dict[str, tuple[Callable[[], object], int]] = {
        "digest of the columns": (lambda: digest(steps), count),
        f"its {numbers // count} numbers one by one": (one_by_one, count),
        "row of a plainly even vehicle": (lambda: [plain_row(judged, k) for k in plain], len(plain)),
        "the same told in full": (lambda: [rows_of(tell_findings(judged, k)) for k in plain], len(plain)),
        "findings, from axle and side records": (told_all, count),
        "findings, from views of the digest": (from_views, count),
    }
    spent_s: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(rounds):
        for name, (work, _) in works.items():
            spent_s[name].append(seconds_each(work, 1))
    for name, (_, vehicles) in works.items():
        print(f"{name:<38}{1e6 * statistics.median(spent_s[name]) / vehicles:8.1f} µs a vehicle")


def numbers_in(judged: Judged) -> int:
    """Single numbers that the digest holds."""
    columns = (getattr(judged.digest, name) for name in judged.digest.__struct_fields__)
    lists = [column for column in columns if isinstance(column, list)]
    return sum(len(part) if isinstance(part, list) else 1 for column in lists for part in column)


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    gc.disable()  # as the command line does
    spent: dict[str, tuple[list[float], list[float]]] = {name: ([], []) for name in KINDS}
    for _ in range(rounds):
        for name, define in KINDS.items():
            make = made(define())
            spent[name][0].append(seconds_each(define, DEFINED))
            spent[name][1].append(seconds_each(make, MADE))
    define_s, make_s = ({name: statistics.median(times[k]) for name, times in spent.items()} for k in (0, 1))
    for name in KINDS:
        shown = [
            f"{what} {1e6 * each[name]:6.2f} µs ({each[name] / each['Struct']:4.1f} times)"
            for what, each in (("define", define_s), ("make", make_s))
        ]
        print(f"{name:<17}{', '.join(shown)}")
    kept_records(rounds)


if __name__ == "__main__":
    main()
