"""One walk round, four brakes near each other: "no" is said where this very walk would have shown the fault.

All logs are invented. What a careful technician accepts: a single walk clears nothing by the number of its
readings, and withholds nothing either: where extra heat, or missing heat, of the size of the printed limit is
planted at any wheel of the same walk, it is seen; where it would not be, nothing is cleared.
"""

from __future__ import annotations

import json

import pytest

WHEELS = {"FL": "1L", "FR": "1R", "RR": "2R", "RL": "2L"}


def log(rises: dict[str, float]) -> str:
    rows = [f"{15 * k},{wheel},{18.0 + rises[wheel]:.1f}" for k, wheel in enumerate(WHEELS)]
    return "\n".join(["# ambient: 18 C", "time_s,position,temp_c", *rows]) + "\n"


def near(level_k: float) -> dict[str, float]:
    """Four brakes within a kelvin and a half."""
    return {"FL": level_k + 0.5, "FR": level_k - 0.5, "RR": level_k - 1.0, "RL": level_k + 0.4}


def answers(thermlog, tmp_path, rises):
    (tmp_path / "log.csv").write_text(log(rises), encoding="utf-8")
    ran = thermlog("check", "log.csv", "--format", "json")
    return ran.code, json.loads(ran.out)["answers"]


@pytest.mark.parametrize("level_k", [30.0, 43.0, 73.0])
def test_its_limits_lie_below_the_lines_of_the_policy(thermlog, tmp_path, level_k):
    code, told = answers(thermlog, tmp_path, near(level_k))

    assert (code, told["drag"]["answer"], told["idle"]["answer"]) == (0, "no", "no")
    for name, limit, line in (("drag", "limit_k", "line_k"), ("idle", "share_limit", "share_line")):
        below = next(one for one in told[name]["reasons"] if one["code"] == "limit_below_line")
        assert below["numbers"][limit] < 0.95 * below["numbers"][line]


@pytest.mark.parametrize("level_k", [30.0, 43.0, 73.0])
@pytest.mark.parametrize("wheel", WHEELS)
def test_a_fault_of_the_size_of_the_limit_is_seen_in_the_same_walk(thermlog, tmp_path, wheel, level_k):
    """The limit is that of four cases of five; without scatter it is seen."""
    rises = near(level_k)
    _, told = answers(thermlog, tmp_path, rises)
    drag_k, lost = (
        next(one[name] for one in told[question]["detectable"] if one["corner"] == WHEELS[wheel])
        for question, name in (("drag", "rise_k"), ("idle", "lost_share"))
    )

    code, hot = answers(thermlog, tmp_path, rises | {wheel: rises[wheel] + drag_k})
    assert (code, hot["drag"]["answer"] != "no") == (1, True)
    assert hot["drag"]["corners"] == [WHEELS[wheel]]
    code, cold = answers(thermlog, tmp_path, rises | {wheel: rises[wheel] * (1.0 - lost)})
    assert (code, cold["idle"]["answer"] != "no") == (1, True)


@pytest.mark.parametrize("level_k", [8.0, 14.0])
def test_a_lukewarm_walk_clears_no_brake_of_doing_nothing(thermlog, tmp_path, level_k):
    code, told = answers(thermlog, tmp_path, near(level_k))

    assert (code, told["drag"]["answer"], told["idle"]["answer"]) == (1, "no", "cannot_tell")
