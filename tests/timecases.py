"""One walk, written with times of any form, and the check that it was read as walked."""

from __future__ import annotations

import pytest
from readcases import rows

WALK_S = (0, 12, 25, 37, 240, 252, 265, 277)
WHEELS = ("FL", "FR", "RL", "RR") * 2
DEGC = (85.5, 84.0, 61.5, 92.0, 80.0, 79.0, 58.0, 86.0)
CORNERS = ("1L", "1R", "2L", "2R") * 2
TRUTH = list(zip(map(float, WALK_S), CORNERS, DEGC, strict=True))


def log(heading: str, write, *, delimiter: str = ",", order=range(8), more: str = "") -> str:
    """One row a reading, the time written as asked; `order` of the rows."""
    lines = [delimiter.join((heading, "position", "temp_c"))]
    lines += [delimiter.join((write(WALK_S[k]), WHEELS[k], str(DEGC[k]))) for k in order]
    return more + "\n".join(lines) + "\n"


def same(found, *, from_first: bool = True) -> None:
    """The walk, from its first reading or from the zero of the watch."""
    seen = rows(found)
    first = seen[0][0] if from_first else 0.0
    assert [(corner, degc) for _, corner, degc in seen] == [(c, d) for _, c, d in TRUTH]
    assert [time - first for time, _, _ in seen] == pytest.approx([t for t, _, _ in TRUTH], abs=2e-3)
    assert found.record.set_aside == ()
    assert found.readings.cases[0].impossible_pace == ()


def clock(seconds: int, start: int = 50_400) -> str:
    at = (start + seconds) % 86400
    return f"{at // 3600:02d}:{at // 60 % 60:02d}:{at % 60:02d}"
