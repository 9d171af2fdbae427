"""One vehicle's log in many dialects: not the table alone, the verdict is the same, or the log is refused."""

from __future__ import annotations

import os
import random
from functools import cache

from dialects import TIMES, any_dialect, truth, written
from readcases import outcome, read

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.reading.gathered import LogReadings
from thermlog.words.errors import ThermlogError

COUNT = int(os.environ.get("THERMLOG_VERDICTS", "60"))


def verdict(found: LogReadings) -> tuple[object, ...]:
    """Answers to both questions, and what is said of every corner."""
    (one,) = diagnoses(judge(found.readings, Settings()))
    answers = [(answer.answer, answer.corners) for answer in (one.answers.drag, one.answers.idle)]
    corners = [(corner.corner, corner.verdict) for corner in one.corners]
    return one.pattern.kind, tuple(answers), tuple(corners)


@cache
def true_verdict(rows: tuple[tuple[float, str, float], ...]) -> tuple[object, ...]:
    """Of the same readings written in the plainest way."""
    body = "".join(f"{time},{corner},{degc}\n" for time, corner, degc in rows)
    return verdict(read("# ambient: 18 C\ntime_s,position,temp_c\n" + body))


def test_any_dialect_gives_the_same_verdict_or_is_refused() -> None:
    dice = random.Random(31)
    wrong = []
    for _ in range(COUNT):
        dialect = any_dialect(dice)
        found = outcome(written(dialect))
        if isinstance(found, ThermlogError) or TIMES[dialect.time].refused:
            continue
        said = verdict(found)
        if said != true_verdict(tuple(truth(dialect))):
            wrong.append((said, dialect))
    assert wrong == []
