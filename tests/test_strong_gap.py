"""A strong gap whose cooler side is only watched leaves the hotter side watched, too.

A drum 36 K above its mate (2.3 to 1) beside two even discs: a handbrake cable may hold the one, the other may
do too little. A careful technician looks at both and is told of neither that it is in order. Where the cooler
side is called dead, or all but is, its healthy mate is left alone. Temperatures are invented; they cool by a
plain exponential.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

AIR_DEGC, TAU_S = 16.0, 1050.0
WALK = [(15, "FL"), (30, "RL"), (46, "RR"), (61, "FR"), (262, "FR"), (277, "RR"), (292, "RL"), (306, "FL"),
        (507, "FL"), (523, "RL"), (540, "RR"), (556, "FR")]  # fmt: skip


def answers(thermlog, front_k: float, left_k: float, right_k: float) -> dict[str, Any]:
    """Answers for discs in front and drums behind, of these rises when it stopped."""
    rises_k = {"FL": front_k, "FR": 0.98 * front_k, "RL": left_k, "RR": right_k}
    rows = [f"{t},{at},{AIR_DEGC + rises_k[at] * math.exp(-t / TAU_S):.1f}" for t, at in WALK]
    head = f"# ambient: {AIR_DEGC:g} C\n# axles: steer drive\n# brakes: disc drum\ntime_s,wheel,temp_c\n"
    Path("log.csv").write_text(head + "\n".join(rows) + "\n", encoding="utf-8")
    ran = thermlog("check", "log.csv", "--format", "json")
    assert ran.code in {0, 1}, ran.err
    return json.loads(ran.out)["answers"]


@pytest.mark.parametrize(("left_k", "right_k"), [(72.0, 30.0), (70.4, 32.0)])
def test_neither_side_of_a_strong_gap_is_cleared_where_none_is_called(thermlog, left_k, right_k):
    found = answers(thermlog, 100.0, left_k, right_k)
    drag, idle = found["drag"], found["idle"]
    assert (drag["answer"], drag["corners"]) == ("watch", ["2L"])
    assert (idle["answer"], idle["corners"]) == ("watch", ["2R"])
    assert drag["p"] < idle["p"]  # the model takes the cooler one for the odd one, and does not know it


@pytest.mark.parametrize("right_k", [3.0, 12.0])
def test_the_healthy_mate_of_a_dead_brake_is_left_alone(thermlog, right_k):
    found = answers(thermlog, 100.0, 60.0, right_k)
    assert (found["drag"]["answer"], found["idle"]["answer"]) == ("no", "yes")
    assert found["idle"]["corners"] == ["2R"]


def test_it_is_not_cleared_where_the_other_has_the_heat_of_a_sound_drum(thermlog):
    found = answers(thermlog, 100.0, 60.0, 24.0)
    assert (found["drag"]["answer"], found["idle"]["answer"]) == ("cannot_tell", "watch")
    assert found["idle"]["corners"] == ["2R"]


def test_even_drums_that_do_little_are_cleared(thermlog):
    found = answers(thermlog, 100.0, 32.0, 32.0)
    assert {found[one]["answer"] for one in ("drag", "idle")} == {"no"}
