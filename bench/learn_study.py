"""What learning from a depot's healthy vehicles does to the answers about others, on both simulators.

python bench/learn_study.py --each 100
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeAlias

import numpy as np
from memory_worlds import WORLDS, kinds_of, lived
from msgspec.structs import replace
from validation_sets import Array

from thermlog.history.learning import Lesson, learn_numbers
from thermlog.history.seen import drives_seen
from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.reports.policytext import policy_text
from thermlog.words.policy import Policy, load_policy
from thermlog.words.tables import Readings

FALSE_ALARMS = 0.05
_SURE = (0.95, 0.95)
Said: TypeAlias = tuple[Array, Array, Array]


def policy_of(lesson: Lesson, base: str) -> Policy:
    """The policy that was learned, through its file."""
    with TemporaryDirectory() as place:
        file = Path(place) / "own.toml"
        file.write_text(policy_text(lesson, base, "in a study"), encoding="utf-8")
        return load_policy(str(file))


def said(readings: Readings, policy: Policy) -> Said:
    """Probability of a drag, and whether one is called, or called or watched, of every vehicle."""
    judged = judge(readings, replace(Settings(), policy=policy))
    words = [tell_findings(judged, k).answers.drag.answer for k in range(len(readings.cases))]
    called = np.array([word == "yes" for word in words])
    asked = np.array([word in {"yes", "watch"} for word in words])
    return np.nan_to_num(judged.patterns.p_drag), called, asked


def row(world: str, name: str, healthy: Sequence[Said], drags: Sequence[Said]) -> str:
    """One line of the table."""
    p, called, asked = (np.concatenate([one[k] for one in healthy]) for k in range(3))
    p_drag, found, looked = (np.concatenate([one[k] for one in drags]) for k in range(3))
    line = np.quantile(p, 1.0 - FALSE_ALARMS)
    return (
        f"| {world} | {name} | {(p_drag > line).mean():.2f} | {called.mean():.3f} | {asked.mean():.3f}"
        f" | {found.mean():.2f} | {looked.mean():.2f} |"
    )


HEAD = (
    "| world | policy | drags found at 5 % | healthy called | healthy called or watched | drags called"
    " | drags called or watched |"
)


def rows_of(world: str, each: int) -> list[str]:
    """Both lines of one world; every kind of vehicle is a depot of its own."""
    usual: tuple[list[Said], list[Said]] = ([], [])
    own: tuple[list[Said], list[Said]] = ([], [])
    for number, kind in enumerate(kinds_of(world)):
        teach, healthy, drags = (
            lived((world, kind), fault, (), count=each, seed=seed + number).visits[0]
            for fault, seed in (("none", 5000), ("none", 6000), ("corner_hot", 7000))
        )
        base = judge(teach, Settings()).vehicles[0].weight_class
        bundled = load_policy(base)
        taught = list(drives_seen(judge(teach, replace(Settings(), policy=bundled))))
        lesson = learn_numbers(taught, {}, bundled, base, _SURE)
        numbers = (f"{one.name} {one.seen.value:.3g}" for one in lesson.numbers)
        print(world, kind, *numbers, sep=", ", file=sys.stderr)
        for policy, (evens, hots) in ((bundled, usual), (policy_of(lesson, base), own)):
            evens.append(said(healthy, policy))
            hots.append(said(drags, policy))
    return [row(world, "bundled", *usual), row(world, "learned", *own)]


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--each", type=int, default=100, help="vehicles of a kind that teach")
    asked.add_argument("--write", metavar="PAGE")
    given = asked.parse_args()
    rows = [line for world in WORLDS for line in rows_of(world, given.each)]
    table = "\n".join([HEAD, "| --- " * 7 + "|", *rows])
    print(table)
    if given.write:
        page = Path(given.write)
        before, mark, rest = page.read_text(encoding="utf-8").partition("<!-- learned -->\n")
        _, end, after = rest.partition("<!-- end -->")
        page.write_text(f"{before}{mark}{table}\n{end}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
