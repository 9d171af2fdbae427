"""Cost of a record: a frozen dataclass, a named tuple and the Struct that thermlog uses, in turn.

    python bench/record_speed.py [ROUNDS]

A check defines some hundred kinds of records at its start, a fleet makes some dozen records a log.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

from msgspec import Struct

DEFINED, MADE = 50, 20_000


def frozen_dataclass() -> Callable[..., Any]:
    @dataclass(frozen=True, slots=True, kw_only=True)
    class Wheel:
        """A record of six fields."""

        axle: int
        side: str
        rise_k: float | None = None
        rounds: int = 0
        first_line: int = 0
        notes: tuple[str, ...] = ()

    return Wheel


def named_tuple() -> Callable[..., Any]:
    class Wheel(NamedTuple):
        """A record of six fields."""

        axle: int
        side: str
        rise_k: float | None = None
        rounds: int = 0
        first_line: int = 0
        notes: tuple[str, ...] = ()

    return Wheel


def struct() -> Callable[..., Any]:
    class Wheel(Struct, frozen=True, kw_only=True):
        """A record of six fields."""

        axle: int
        side: str
        rise_k: float | None = None
        rounds: int = 0
        first_line: int = 0
        notes: tuple[str, ...] = ()

    return Wheel


KINDS = {"frozen dataclass": frozen_dataclass, "named tuple": named_tuple, "Struct": struct}


def seconds_each(work: Callable[[], object], times: int) -> float:
    start = time.perf_counter()
    for _ in range(times):
        work()
    return (time.perf_counter() - start) / times


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    define: dict[str, list[float]] = {name: [] for name in KINDS}
    make: dict[str, list[float]] = {name: [] for name in KINDS}
    for _ in range(rounds):
        for name, kind in KINDS.items():
            record = kind()
            define[name].append(seconds_each(kind, DEFINED))
            make[name].append(
                seconds_each(lambda record=record: record(axle=1, side="L", rise_k=80.0, rounds=6), MADE)
            )
    best = [statistics.median(times["Struct"]) for times in (define, make)]
    for name in KINDS:
        spent = [statistics.median(times[name]) for times in (define, make)]
        shown = (f"{1e6 * s:7.2f} µs ({s / b:4.1f} times)" for s, b in zip(spent, best, strict=True))
        print(
            f"{name:<17}"
            + ", ".join(f"{what} {text}" for what, text in zip(("define", "make"), shown, strict=True))
        )


if __name__ == "__main__":
    main()
