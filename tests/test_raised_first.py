"""Whether a cold axle was raised is asked before anything is done about its brakes."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest


@pytest.mark.parametrize("rounds", [1, 2, 3])
@pytest.mark.parametrize("role", ["tag", "lift", "pusher"])
def test_whether_it_was_raised_is_asked_first(thermlog, role: str, rounds: int) -> None:
    """Whatever else the log leaves open, such as a small drag on another axle."""
    rows = [
        f"{30 + 15 * k + 240 * turn},{axle}{side},"
        f"{18 + rise_k * math.exp(-(30 + 15 * k + 240 * turn) / 1900):.1f}"
        for turn in range(rounds)
        for k, (axle, side, rise_k) in enumerate(
            (axle, side, {1: 80.0, 2: 88.0, 3: 1.5}[axle]) for axle in (1, 2, 3) for side in "LR"
        )
    ]
    head = f"# weight: heavy\n# axles: steer drive {role}\n# brakes: drum drum drum\n# drive: normal\n"
    Path("log.csv").write_text(
        head + "# ambient: 18 C\nsince_parked_s,position,temp_c\n" + "\n".join(rows) + "\n"
    )
    ran = thermlog("check", "log.csv", "--format", "json")
    found = json.loads(ran.out)
    assert ran.code == 1
    assert set(found["answers"]["idle"]["corners"]) == {"3L", "3R"}
    if found["answers"]["idle"]["answer"] == "watch":
        assert found["next_check"]["id"] == "ask_raised"
