"""Validation on simulated vehicles: python bench/validation.py [--write docs/validation.md] [--small].

Fixed seeds, two processes, about twelve minutes. Without ``--write`` the page goes to standard output and no
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

from msgspec import Struct
from msgspec.structs import replace
from validation_changes import changes
from validation_charts import draw
from validation_coast import both_drives, coasted
from validation_page import page
from validation_plain import plain_gap
from validation_planted import at_the_limit
from validation_results import ROUNDS, Results
from validation_rows import drag_rows, undecided
from validation_skinpairs import PAIRED_CLASSES, PAIRS, skin_pair
from validation_truths import coverage, look
from validation_walks import FEWEST, scored, walks
from validation_worlds import WORLDS, Cell, WorldName, kinds_of, skins_of

# Vehicles a cell: own simulator with its three skin plans, and second one.
WALKED: dict[WorldName, int] = {"own": 300, "other": 900}
FITTED: dict[WorldName, int] = {"own": 200, "other": 500}
CHANGED: dict[WorldName, int] = {"own": 300, "other": 900}
PLAIN: dict[WorldName, int] = {"own": 120, "other": 360}
COASTED: dict[WorldName, int] = {"own": 160, "other": 480}
COVERED: dict[WorldName, int] = {"own": 100, "other": 240}
CLOSER = 6  # times as many, where these leave open who finds more
PLANTED, BOTH, LOOKED, PAIRED = 200, 100, 400, 400
SETTINGS = ((3, True), (1, True), (3, False))  # rounds, described
EVEN_SKINS, MIDDLE_SKINS = "even", "somewhat unlike"
DRIVEN_TWICE = ("corner_hot", "corner_cold")
SEEDS_APART = 20  # one job uses a few of them
CLOSER_SEED = 9_000_000


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
        return max(FEWEST, round(count * part))

    walked, middle = (
        [replace(cell, rounds=rounds) for cell in _cells() for rounds in ROUNDS],
        _cells(MIDDLE_SKINS),
    )
    in_middle = [replace(cell, rounds=rounds) for cell in middle for rounds in ROUNDS]
    changed = [
        replace(cell, rounds=rounds, described=described)
        for cell in _cells()
        for rounds, described in SETTINGS
    ]
    plain = [replace(cell, described=described) for cell in _cells() for described in (True, False)]
    covered = [replace(cell, rounds=rounds) for cell in _cells() for rounds in (2, 3)]
    listed: list[tuple[str, Callable[..., Any], list[tuple[Any, ...]]]] = [
        ("walks", walks, [(cell, some(WALKED[cell.world]), some(FITTED[cell.world])) for cell in walked]),
        ("changes", changes, [(cell, some(CHANGED[cell.world])) for cell in changed]),
        ("planted", at_the_limit, [(cell, some(PLANTED)) for cell in in_middle]),
        ("plain", plain_gap, [(cell, some(PLAIN[cell.world])) for cell in plain]),
        ("coasts", coasted, [(cell, some(COASTED[cell.world])) for cell in _cells()]),
        ("both", both_drives, [(cell, fault, some(BOTH)) for cell in middle for fault in DRIVEN_TWICE]),
        ("coverages", coverage, [(cell, some(COVERED[cell.world])) for cell in covered]),
        ("looks", look, [(cell, some(LOOKED)) for cell in _cells(EVEN_SKINS)]),
        ("skins", skin_pair, [(name, *pair, some(PAIRED)) for name in PAIRED_CLASSES for pair in PAIRS]),
    ]
    return [
        Job(kind=kind, function=function, arguments=(*arguments, 100_000 * group + _seed(kind, number)))
        for group, (kind, function, table) in enumerate(listed, start=1)
        for number, arguments in enumerate(table)
    ]


def closer(walked: Results, part: float) -> list[Job]:
    """Classes and rounds in which the first walks left open who finds more, with more and other vehicles."""
    open_ = {(world, *row) for world in WORLDS for row in undecided(drag_rows(walked.seen(world)))}
    cells = [
        replace(cell, rounds=rounds)
        for cell in _cells()
        for rounds in ROUNDS
        if (cell.world, cell.kind, rounds) in open_
    ]
    return [
        Job(
            kind="closer",
            function=scored,
            arguments=(
                cell,
                max(FEWEST, round(CLOSER * part * WALKED[cell.world])),
                max(FEWEST, round(CLOSER * part * FITTED[cell.world])),
                CLOSER_SEED + SEEDS_APART * number,
            ),
        )
        for number, cell in enumerate(cells)
    ]


def _seed(kind: str, number: int) -> int:
    return 0 if kind == "skins" else SEEDS_APART * number  # the same vehicles under every pair of skins


def _cells(own_skins: str | None = None) -> list[Cell]:
    """Every class of both simulators; of the own one with all skin plans, or with one."""
    return [
        Cell(world=world, kind=kind, skins=skins)
        for world in WORLDS
        for kind in kinds_of(world)
        for skins in skins_of(world)
        if world == "other" or own_skins in (None, skins)
    ]


def worked_out(part: float) -> Results:
    """Run all jobs on two processes, `part` of the vehicles."""
    os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        first = Results(**_answers(jobs(part), pool))
        return replace(first, **_answers(closer(first, part), pool))


def _answers(todo: list[Job], pool: ProcessPoolExecutor) -> dict[str, list[Any]]:
    done: dict[str, list[Any]] = {}
    for job, answer in zip(todo, pool.map(_run, todo), strict=True):
        done.setdefault(job.kind, []).append(answer)
    return done


def _run(job: Job) -> Any:
    return job()


def main() -> None:
    """Work everything out, write page and charts."""
    options = argparse.ArgumentParser(description="Validation on simulated vehicles.")
    options.add_argument("--write", type=Path, help="page to write; charts go to img beside it")
    options.add_argument("--small", action="store_true", help="a tenth of the vehicles")
    chosen = options.parse_args()
    begin = time.perf_counter()
    results = worked_out(0.1 if chosen.small else 1.0)
    if chosen.write is None:
        print(page(results, small=chosen.small))
        return
    chosen.write.parent.mkdir(parents=True, exist_ok=True)
    chosen.write.write_text(page(results, small=chosen.small), encoding="utf-8")
    draw(results, chosen.write.parent / "img")
    print(f"{chosen.write} and charts in {time.perf_counter() - begin:.0f} s")


if __name__ == "__main__":
    main()
