"""A reading before the parked moment that is stated: the answer says so, and points to that line too."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest


@pytest.mark.parametrize("late_min", [4, 7])
def test_parked_moment_after_the_first_readings_is_named(thermlog, late_min: int) -> None:
    """Three rounds from 13:54 on; the wheels are said to have stopped after the first, or the second."""
    rows = []
    for turn in range(3):
        for k, (corner, rise_k) in enumerate({"1L": 100.0, "2L": 60.0, "2R": 59.0, "1R": 98.0}.items()):
            at_s = 15 * k + 240 * turn
            clock = (
                f"13:{54 + at_s // 60}:{at_s % 60:02d}"
                if at_s < 360
                else f"14:{at_s // 60 - 6:02d}:{at_s % 60:02d}"
            )
            rows.append(f"{clock},{corner},{18 + rise_k * math.exp(-at_s / 1200):.1f}")
    parked = f"13:{52 + late_min}:30" if late_min < 8 else ""
    Path("log.csv").write_text(
        f"# weight: light\n# ambient: 18 C\n# parked: {parked}\ntime,position,temp_c\n"
        + "\n".join(rows)
        + "\n"
    )
    ran = thermlog("check", "log.csv", "--format", "json")
    found = json.loads(ran.out)
    drag = found["answers"]["drag"]
    assert (ran.code, drag["answer"]) == (1, "cannot_tell")
    assert drag["reasons"][0]["code"] == "before_parked"
    assert "before the parked moment" in drag["reasons"][0]["text"]
    assert found["next_check"]["id"] == "correct_parked"
    assert {one["code"] for one in found["blind"]} == {"before_parked"}
