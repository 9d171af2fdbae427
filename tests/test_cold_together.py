"""Several axles cold together: what they have in common is looked at standing, and no reading decides it.

All logs are invented. A careful technician who has read a cold trailer six times reads no seventh time.
"""

from __future__ import annotations

import json
import math

import pytest

FIVE = {f"{axle}{side}": rise for axle, rise in ((1, 77.0), (2, 71.0)) for side in "LR"}
COLD = {f"{axle}{side}": 6.5 for axle in (3, 4, 5) for side in "LR"}


def log(rises: dict[str, float], *head: str, rounds: int = 6) -> str:
    rows = [
        f"{300 * turn + 15 * k},{wheel},{18.0 + rise_k * math.exp(-(300 * turn + 15 * k) / 2000.0):.1f}"
        for turn in range(rounds)
        for k, (wheel, rise_k) in enumerate(rises.items())
    ]
    lines = ["# ambient: 18 C", *(f"# {one}" for one in head), "time_s,position,temp_c", *rows]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("rounds", [2, 6])
@pytest.mark.parametrize("head", [(), ("axles: steer drive trailer trailer trailer",), ("weight: heavy",)])
def test_three_cold_axles_are_checked_standing(thermlog, tmp_path, head, rounds):
    (tmp_path / "log.csv").write_text(log(FIVE | COLD, *head, rounds=rounds), encoding="utf-8")
    ran = thermlog("check", "log.csv", "--format", "json")
    told = json.loads(ran.out)
    idle = told["answers"]["idle"]

    assert ran.code == 1
    assert set(idle["corners"]) == set(COLD)
    assert told["next_check"]["id"] not in {
        "read_again",
        "another_round",
        "coast_drive",
        "drive_with_braking",
    }
    if idle["answer"] == "watch":
        assert [one["code"] for one in idle["decides"]] == ["static_check"]
        assert set(idle["decides"][0]["corners"]) == set(COLD)
