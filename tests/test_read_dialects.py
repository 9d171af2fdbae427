"""One vehicle's log in every dialect, time form, unit and layout: the same table or a refusal, never another.

``THERMLOG_DIALECTS=100000 pytest tests/test_read_dialects.py`` is the long run.
"""

from __future__ import annotations

import os
import random
from collections import Counter

import pytest
from dialects import AIR_DEGC, TIMES, Dialect, any_dialect, truth, written
from readcases import outcome, rows

from thermlog.words.errors import ThermlogError

COUNT = int(os.environ.get("THERMLOG_DIALECTS", "3000"))
PARTS = 20
_TIME_S, _TEMP_K = 0.02, 0.06  # times in days have nine decimals, temperatures one or two


def misread(d: Dialect) -> str | None:
    """What was read otherwise than written; ``"refused"`` if the log was; None if all is as written."""
    found = outcome(written(d))
    if isinstance(found, ThermlogError):
        return "refused"
    if TIMES[d.time].refused:  # or it gets no verdict
        return "refused" if found.readings.cases[0].impossible_pace else "not refused"
    seen = rows(found)
    first = min(time for time, _, _ in seen)
    got = sorted((time - first, corner, degc) for time, corner, degc in seen)
    if len(got) != len(truth(d)):
        return f"{len(got)} readings: {[aside.reason for aside in found.record.set_aside][:2]}"
    for (time, corner, degc), (true_time, true_corner, true_degc) in zip(got, truth(d), strict=True):
        if corner != true_corner or abs(time - true_time) > _TIME_S or abs(degc - true_degc) > _TEMP_K:
            return f"{time:.3f} {corner} {degc:.2f} for {true_time} {true_corner} {true_degc}"
    air = found.readings.cases[0].ambient_degc
    if air is None or abs(air - AIR_DEGC) > _TEMP_K:
        return f"air {air}"
    return None


@pytest.mark.parametrize("part", range(PARTS))
def test_any_dialect_gives_the_same_table_or_is_refused(part: int) -> None:
    dice = random.Random(20310504 + part)
    wrong, refused = [], Counter()
    count = COUNT // PARTS
    for _ in range(count):
        dialect = any_dialect(dice)
        said = misread(dialect)
        if said == "refused":
            refused[TIMES[dialect.time].refused] += 1
        elif said is not None:
            wrong.append((said, dialect))
    assert wrong == []
    assert refused[False] <= 0.1 * count  # a reader that refuses everything is no reader
