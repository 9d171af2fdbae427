"""How hard practice is: tool and two plain rules on the same cases, level by level and topic by topic.

python bench/practice_levels.py [--cases N] [--write]: the table of docs/practice.md, anew with --write.

The plain rules look at left against right of every axle, in the last round or in the mean of all rounds, and
call the hotter side of the widest gap a dragging brake if the gap passes a mark, else nothing. Each mark is
the one that does best on these very cases, so that the rules are flattered.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from pathlib import Path

from msgspec import Struct

from thermlog.practice.cases import CaseOrder, PracticeCase, case_seed
from thermlog.practice.commitment import Commitment
from thermlog.practice.marking import Marked, mark_of, marked
from thermlog.practice.topics import LEVELS, TOPICS

PAGE = Path(__file__).parents[1] / "docs" / "practice.md"
HEAD, TAIL = "<!-- levels: made by bench/practice_levels.py -->", "<!-- end of levels -->"
SEED, MARKS_K = 2, tuple(range(4, 61, 2))
_NOBODY = Commitment(finding="nothing", p=0.5)


class Row(Struct, frozen=True, kw_only=True):
    """One case with what the tool and the plain rules make of it; gaps as (size, hotter corner)."""

    level: int
    topic: str
    told: Marked
    last: tuple[float, str]
    mean: tuple[float, str]


def rows_of(count: int) -> list[Row]:
    """So many cases of every topic at every level."""
    rows = []
    for level in LEVELS:
        for place, topic in enumerate(TOPICS):
            for number in range(count):
                seed = case_seed(SEED, 100_000 * (100 * level + place) + number)
                case = PracticeCase(CaseOrder(seed=seed, level=level, topic=topic))
                told = marked(case, _NOBODY)
                rows.append(
                    Row(
                        level=level,
                        topic=topic,
                        told=told,
                        last=gap(case, last=True),
                        mean=gap(case, last=False),
                    )
                )
    return rows


def gap(case: PracticeCase, *, last: bool) -> tuple[float, str]:
    """Widest difference between the sides of an axle, and its hotter corner."""
    shown = defaultdict(list)
    for one in case.readings:
        if one.spot != "hub":
            shown[one.corner].append(one.indicated_degc)
    level = {corner: each[-1] if last else sum(each) / len(each) for corner, each in shown.items()}
    widest = (0.0, "1L")
    for corner, degc in level.items():
        mate = corner[:-1] + ("R" if corner.endswith("L") else "L")
        if mate in level and degc - level[mate] > widest[0]:
            widest = (degc - level[mate], corner)
    return widest


def right_by_rule(row: Row, which: str, mark_k: float) -> bool:
    size, corner = row.last if which == "last" else row.mean
    if size >= mark_k:
        said = Commitment(finding="drag", corners=(corner,), p=0.95)
    else:
        said = Commitment(finding="nothing", p=0.95)
    return mark_of(said, row.told.truth, can_tell=row.told.open_because is None).right


def best_mark(rows: list[Row], which: str) -> float:
    return max(MARKS_K, key=lambda mark: sum(right_by_rule(row, which, mark) for row in rows))


def table(rows: list[Row]) -> str:
    """One line a level, then one a topic at every level."""
    marks = {which: best_mark(rows, which) for which in ("last", "mean")}
    head = (
        "level", "cases", "tool right", "faults found", "false alarms", "of these sure", "tool, Brier",
        f"last round, mark {marks['last']} °C", f"mean of rounds, mark {marks['mean']} °C",
        "sound vehicles", "\"cannot tell\" is right",
    )  # fmt: skip
    lines = [head, ("---",) * len(head), *(line(rows, level, marks) for level in LEVELS)]
    by_topic = [("tool right, by topic", *(f"level {level}" for level in LEVELS)), ("---",) * 4]
    by_topic += [
        (topic, *(share([r.told.tool_mark.right for r in rows if (r.topic, r.level) == (topic, level)])
                  for level in LEVELS))
        for topic in TOPICS
    ]  # fmt: skip
    return "\n\n".join(
        "\n".join(f"| {' | '.join(map(str, one))} |" for one in part) for part in (lines, by_topic)
    )


def line(rows: list[Row], level: int, marks: dict[str, float]) -> tuple[str, ...]:
    mine = [row for row in rows if row.level == level]
    faulty = [row for row in mine if row.told.truth.finding != "nothing"]
    sound = [row for row in mine if row.told.truth.finding == "nothing"]
    return (
        str(level),
        str(len(mine)),
        share([row.told.tool_mark.right for row in mine]),
        share([row.told.tool_mark.word == "right" for row in faulty]),
        share([row.told.tool_mark.word == "false_alarm" for row in sound]),
        f"{sum(row.told.tool_mark.word == 'false_alarm' and row.told.tool.p > 0.9 for row in sound)}",
        f"{sum(row.told.tool_mark.brier for row in mine) / len(mine):.2f}",
        share([right_by_rule(row, "last", marks["last"]) for row in mine]),
        share([right_by_rule(row, "mean", marks["mean"]) for row in mine]),
        share([not row.told.truth.corners for row in mine]),
        share([row.told.open_because is not None for row in mine]),
    )


def share(hits: list[bool]) -> str:
    return f"{100 * sum(hits) / len(hits):.0f} %"


def renewed(page: str, made: str) -> str:
    before, rest = page.split(HEAD)
    return f"{before}{HEAD}\n\n{made}\n\n{TAIL}{rest.split(TAIL)[1]}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=60, help="of every topic at every level")
    parser.add_argument("--write", action="store_true", help="the table of docs/practice.md anew")
    asked = parser.parse_args()
    made = table(rows_of(asked.cases))
    print(made)
    if asked.write:
        PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8"), made), encoding="utf-8")
