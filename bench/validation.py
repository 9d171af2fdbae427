"""Validation on simulated vehicles: python bench/validation.py [--write docs/validation.md] [--small].

Fixed seeds, two processes, about five minutes. Without ``--write`` the page goes to standard output and no
chart is drawn; ``--small`` takes a tenth of the vehicles, to try the command itself.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import validation_charts
from msgspec import Struct
from validation_builds import look
from validation_cells import Size, cell, healthy_calls
from validation_checks import SETTINGS, calibration, confusion, coverage
from validation_lines import PAIRS, skin_row, trade_off, two_drives
from validation_page import Results, page
from validation_sets import CLASSES, ROUNDS, SKINS
from validation_tables import FAULTY, FITTED

DRIVEN_TWICE = ("car_disc", "van_disc", "rigid2_drum", "combination5_drum")
COVERED = ("car_disc", "pickup_drum", "bus_disc", "combination5_drum")


class Job(Struct, frozen=True, kw_only=True):
    """One function with its arguments, and the list of the results that its answer goes to."""

    kind: str
    function: Callable[..., Any]
    arguments: tuple[Any, ...]

    def __call__(self) -> Any:
        return self.function(*self.arguments)


def jobs(part: float) -> list[Job]:
    """Everything to be worked out, each with a seed of its own; `part` scales the numbers of vehicles."""

    def some(count: int) -> int:
        return max(20, 4 * round(count * part / 4))

    size = Size(healthy=some(2000), faulty=some(FAULTY), healthy_fitted=some(600), faulty_fitted=some(FITTED))
    listed = [
        ("cells", cell, [(name, rounds, size) for name in CLASSES for rounds in ROUNDS]),
        ("healthy", healthy_calls, [(name, skins, some(2000)) for name in CLASSES for skins in SKINS]),
        ("confusions", confusion, [(name, some(160)) for name in CLASSES]),
        ("coverages", coverage, [(name, setting, some(600)) for name in COVERED for setting in SETTINGS]),
        ("calibrations", calibration, [(name, skins, some(4000)) for name in CLASSES for skins in SKINS]),
        ("trades", trade_off, [(name, some(1600)) for name in CLASSES]),
        (
            "drives",
            two_drives,
            [
                (name, kind, read, some(400))
                for name in DRIVEN_TWICE
                for kind in ("corner_hot", "corner_cold")
                for read in ("all", "one")
            ],
        ),
        ("looks", look, [(name, some(1000)) for name in CLASSES]),
        ("skins", skin_row, [(name, *pair, some(800)) for name in DRIVEN_TWICE for pair in PAIRS]),
    ]
    return [
        Job(kind=kind, function=function, arguments=(*arguments, 1000 * group + 20 * number))
        for group, (kind, function, table) in enumerate(listed, start=1)
        for number, arguments in enumerate(table)
    ]


def worked_out(todo: list[Job]) -> Results:
    """Run all jobs on two processes."""
    os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"
    done: dict[str, list[Any]] = {}
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        for job, answer in zip(todo, pool.map(_run, todo), strict=True):
            done.setdefault(job.kind, []).append(answer)
    return Results(**done)


def _run(job: Job) -> Any:
    return job()


def main() -> None:
    """Work everything out, write page and charts."""
    options = argparse.ArgumentParser(description="Validation on simulated vehicles.")
    options.add_argument("--write", type=Path, help="page to write; charts go to img beside it")
    options.add_argument("--small", action="store_true", help="a tenth of the vehicles")
    chosen = options.parse_args()
    begin = time.perf_counter()
    results = worked_out(jobs(0.1 if chosen.small else 1.0))
    if chosen.write is None:
        print(page(results))
        return
    chosen.write.parent.mkdir(parents=True, exist_ok=True)
    chosen.write.write_text(page(results), encoding="utf-8")
    validation_charts.draw(results, chosen.write.parent / "img")
    print(f"{chosen.write} and charts in {time.perf_counter() - begin:.0f} s")


if __name__ == "__main__":
    main()
