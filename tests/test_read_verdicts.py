"""One vehicle's log in many dialects: not the table alone, the verdict is the same, or the log is refused."""

from __future__ import annotations

import os
import random
from functools import cache

import pytest
from dialects import TIMES, any_dialect, truth, written
from readcases import outcome, read

from thermlog.judging.diagnose import Settings, diagnoses, judge
from thermlog.reading.read import LogReadings
from thermlog.words.errors import ThermlogError
from thermlog.words.policy import Policy

COUNT = int(os.environ.get("THERMLOG_VERDICTS", "60"))
pytestmark = pytest.mark.skipif(
    "flag_probability" not in Policy.__struct_fields__, reason="needs the judging by two probabilities"
)


def verdict(found: LogReadings) -> tuple[object, ...]:
    """Pattern and answer of every corner."""
    (one,) = diagnoses(judge(found.readings, Settings()))
    answers = [(corner.corner, getattr(corner, "verdict", None)) for corner in one.corners]
    return getattr(getattr(one, "pattern", None), "kind", None), tuple(answers)


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
