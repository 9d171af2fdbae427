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
from types import new_class
from typing import Any, NamedTuple

from msgspec import Struct

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


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
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


if __name__ == "__main__":
    main()
