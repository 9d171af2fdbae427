"""What a unit's own earlier logs do to its answers today, on both simulators, also where drags creep.

python bench/memory_study.py --each 60
python bench/memory_study.py --each 400 --write docs/memory.md
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from memory_worlds import WORLDS, Life, kinds_of, lived
from msgspec import Struct
from msgspec.structs import replace
from validation_sets import Array

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.pipeline.keeping import visits_of
from thermlog.words.moments import moment_s
from thermlog.words.tables import Readings
from thermlog.words.visits import Past, PastVisit

FALSE_ALARMS = 0.05
PLAIN, CREEP, LATE = (0.0,) * 4, (0.10, 0.25, 0.45, 0.70), (0.0, 0.0, 0.45, 0.70)
HISTORIES = {
    "no history": 0, "1 visit": 1, "2 visits": 2, "4 visits": 4,
}  # fmt: skip


class Scored(Struct, frozen=True, kw_only=True, eq=False):
    """Today's probabilities and words of some vehicles."""

    p_drag: Array
    p_idle: Array
    drag: tuple[str, ...]
    idle: tuple[str, ...]
    right: Array


def past_of(visits: Sequence[Readings], settings: Settings) -> Past:
    """Earlier visits as a history would hand them out."""
    units: dict[str, list[PastVisit]] = {}
    for readings in visits:
        judged = judge(readings, settings)
        for visit in visits_of(judged, settings, [(0, None)] * len(readings.cases)):
            taken = visit.case.taken
            when = (moment_s(taken.start if taken else None) or 0.0, 0)
            one = PastVisit(when=when, log_sha256=visit.case.log.sha256, axles=visit.axles)
            units.setdefault((visit.case.vehicle or "").casefold(), []).append(one)
    return Past(units={unit: tuple(each) for unit, each in units.items()})


def scored(life: Life, earlier: int, *, told: bool) -> Scored:
    """Today's visit judged beside so many earlier ones."""
    settings = Settings()
    if earlier:
        settings = replace(settings, past=past_of(life.visits[-1 - earlier : -1], settings))
    judged = judge(life.visits[-1], settings)
    found = [tell_findings(judged, k).answers for k in range(len(life.odd))] if told else []
    named = [one.drag.suspected for one in found]
    return Scored(
        p_drag=np.nan_to_num(judged.patterns.p_drag),
        p_idle=np.nan_to_num(judged.patterns.p_idle),
        drag=tuple(one.drag.answer for one in found),
        idle=tuple(one.idle.answer for one in found),
        right=np.array([corner in corners for corner, corners in zip(life.odd, named, strict=False)]),
    )


def joined(parts: Sequence[Scored]) -> Scored:
    """All kinds of vehicle of one world together."""
    return Scored(
        p_drag=np.concatenate([one.p_drag for one in parts]),
        p_idle=np.concatenate([one.p_idle for one in parts]),
        drag=tuple(word for one in parts for word in one.drag),
        idle=tuple(word for one in parts for word in one.idle),
        right=np.concatenate([one.right for one in parts]),
    )


class Group(Struct, frozen=True, kw_only=True):
    """Vehicles of one world with one course of one fault, and how many earlier visits count."""

    fault: str
    course: tuple[float, ...]
    earlier: int


def study(world: str, each: int, *, told: bool) -> dict[Group, Scored]:
    """All groups of a world."""
    wanted = [
        *(
            Group(fault=fault, course=PLAIN, earlier=n)
            for fault in ("none", "corner_hot", "corner_cold")
            for n in (0, 1, 2, 4)
        ),
        *(Group(fault="corner_hot", course=course, earlier=4) for course in (CREEP, LATE)),
        Group(fault="corner_cold", course=CREEP, earlier=4),
    ]
    lives: dict[tuple[str, str, tuple[float, ...]], Life] = {}
    found: dict[Group, list[Scored]] = {}
    for number, kind in enumerate(kinds_of(world)):
        for group in wanted:
            key = (kind, group.fault, group.course)
            if key not in lives:
                lives[key] = lived((world, kind), group.fault, group.course, count=each, seed=1000 + number)
            found.setdefault(group, []).append(scored(lives[key], group.earlier, told=told))
    return {group: joined(parts) for group, parts in found.items()}


def at_five_percent(found: dict[Group, Scored], group: Group, question: str) -> float:
    """Share of a group found where one healthy vehicle in twenty, with as many visits, is called too."""
    healthy = found[Group(fault="none", course=PLAIN, earlier=group.earlier)]
    line = float(np.quantile(getattr(healthy, f"p_{question}"), 1.0 - FALSE_ALARMS))
    return float((getattr(found[group], f"p_{question}") > line).mean())


def share_of(words: Sequence[str], *wanted: str) -> float:
    """Share of answers that are one of some words."""
    return sum(word in wanted for word in words) / max(len(words), 1)


def rows_of(world: str, found: dict[Group, Scored]) -> list[list[str]]:
    """Rows of the table of one world."""
    rows = []
    for name, earlier in HISTORIES.items():
        hot, cold, none = (
            Group(fault=fault, course=PLAIN, earlier=earlier)
            for fault in ("corner_hot", "corner_cold", "none")
        )
        rows.append([world, name, *_numbers(found, hot, cold, none)])
    none = Group(fault="none", course=PLAIN, earlier=4)
    creep, late = (Group(fault="corner_hot", course=course, earlier=4) for course in (CREEP, LATE))
    cold = Group(fault="corner_cold", course=CREEP, earlier=4)
    rows.append([world, "4 visits, it creeps", *_numbers(found, creep, cold, none)])
    rows.append([world, "4 visits, it began late", *_numbers(found, late, None, none)])
    return rows


def _numbers(found: dict[Group, Scored], hot: Group, cold: Group | None, none: Group) -> list[str]:
    drags, healthy = found[hot], found[none]
    words = ["-"] * 6
    words[0] = f"{at_five_percent(found, hot, 'drag'):.2f}"
    if cold is not None:
        words[1] = f"{at_five_percent(found, cold, 'idle'):.2f}"
    words[2] = f"{(healthy.p_drag >= 0.15).mean():.3f}"
    if drags.drag:
        words[3] = f"{share_of(drags.drag, 'yes', 'watch'):.2f}"
        words[4] = f"{float(drags.right.mean()):.2f}"
        words[5] = f"{share_of(healthy.drag, 'yes', 'watch'):.3f} / {share_of(healthy.drag, 'no'):.2f}"
    return words


HEAD = [
    "world", "history", "drags found at 5 %", "idle found at 5 %", "healthy, p of a drag 0.15 or more",
    "drags called or watched", "the right corner", "healthy called or watched / plain no",
]  # fmt: skip


def table(rows: Sequence[Sequence[str]]) -> str:
    """As Markdown."""
    return "\n".join("| " + " | ".join(row) + " |" for row in [HEAD, ["---"] * len(HEAD), *rows])


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--each", type=int, default=60, help="vehicles of each kind and fault")
    asked.add_argument("--worlds", nargs="*", default=list(WORLDS))
    asked.add_argument("--quick", action="store_true", help="probabilities alone, no words")
    asked.add_argument("--write", metavar="PAGE")
    given = asked.parse_args()
    rows: list[list[str]] = []
    for world in given.worlds:
        rows += rows_of(world, study(world, given.each, told=not given.quick))
        print("\n".join(" | ".join(row) for row in rows[-6:]), flush=True)
    if given.write:
        page = Path(given.write)
        before, _, rest = page.read_text(encoding="utf-8").partition("<!-- study -->")
        _, _, after = rest.partition("<!-- end -->")
        count = f"{given.each} vehicles of each kind and fault"
        command = f"`python bench/memory_study.py --each {given.each} --write {given.write}`"
        text = f"<!-- study -->\n{command}: {count}.\n\n"
        page.write_text(f"{before}{text}{table(rows)}\n<!-- end -->{after}", encoding="utf-8")
    sys.exit(0)


if __name__ == "__main__":
    main()
