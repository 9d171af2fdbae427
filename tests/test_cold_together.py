"""Several axles cold together: what they have in common is looked at standing, and no reading decides it.

All logs are invented. A careful technician who has read a cold trailer six times reads no seventh time.
"""

from __future__ import annotations

import json

import pytest
from coolinglogs import cooling_log

FIVE = {f"{axle}{side}": rise for axle, rise in ((1, 77.0), (2, 71.0)) for side in "LR"}
COLD = {f"{axle}{side}": 6.5 for axle in (3, 4, 5) for side in "LR"}


@pytest.mark.parametrize("rounds", [2, 6])
@pytest.mark.parametrize("head", [(), ("axles: steer drive trailer trailer trailer",), ("weight: heavy",)])
def test_three_cold_axles_are_checked_standing(thermlog, tmp_path, head, rounds):
    text = cooling_log(FIVE | COLD, *head, rounds=rounds, lap_s=300)
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
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
