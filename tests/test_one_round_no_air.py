"""One reading a wheel and no air calls no whole axle: a degree or two between two shots decided it.

Accepted by a careful technician: an axle 40 K above four others, read once and in an air nobody stated, is
read again; three rounds of it, or a stated air, may call it.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

HEAD = "# weight: heavy\n# axles: steer drive trailer trailer trailer\n# drive: normal\n"


def log_text(level_k: float, over_k: float, gap_k: float, *, axle: int = 3, rounds: int = 1) -> str:
    rows = [HEAD + "time_s,position,temp_c"]
    for turn in range(rounds):
        for number in range(1, 6):
            for side in "LR":
                own_k = over_k + (gap_k if side == "R" else 0.0) if number == axle else 0.0
                at_s = 30 + 20 * (2 * number + (side == "R")) + 400 * turn
                rows.append(f"{at_s},{number}{side},{18 + (level_k + own_k) * 0.85**turn:.0f}")
    return "\n".join(rows) + "\n"


@pytest.fixture
def answers(thermlog):
    def of(text: str) -> dict[str, dict[str, object]]:
        Path("log.csv").write_text(text)
        return json.loads(thermlog("check", "log.csv", "--format", "json").out)["answers"]

    return of


@pytest.mark.parametrize("gap_k", [0.0, 1.0, 2.0, 3.0])
@pytest.mark.parametrize("level_k", [20.0, 40.0, 90.0])
@pytest.mark.parametrize(("over_k", "axle"), [(40.0, 3), (40.0, 5), (80.0, 2), (80.0, 3)])
def test_a_whole_axle_is_not_called_by_one_reading_a_wheel(
    answers, over_k: float, axle: int, level_k: float, gap_k: float
) -> None:
    found = answers(log_text(level_k, over_k, gap_k, axle=axle))
    assert "yes" not in {found["drag"]["answer"], found["idle"]["answer"]}
    if found["drag"]["answer"] == "watch" and len(found["drag"]["corners"]) > 1:
        assert {f"{axle}L", f"{axle}R"} <= set(found["drag"]["corners"])


def test_what_was_watched_names_the_single_readings(answers) -> None:
    """The log that two degrees had made a call of."""
    found = answers(log_text(40.0, 40.0, 2.0))
    assert (found["drag"]["answer"], found["drag"]["corners"]) == ("watch", ["3L", "3R"])
    assert "single_reading" in [one["code"] for one in found["drag"]["reasons"]]


def test_three_rounds_may_call_it(answers) -> None:
    assert answers(log_text(40.0, 80.0, 2.0, rounds=3))["drag"]["answer"] == "yes"
