"""One log of two axles never decides which is odd; a gap between two sides of one is told all the same.

What a careful technician accepts stands beside each log; it was written before the log was run.
"""

from __future__ import annotations

from typing import Any

import pytest
from judgedtext import judged_text

CAR = "# weight: light\n# axles: steer drive\n# brakes: disc disc\n"
LORRY = "# weight: heavy\n# axles: steer drive\n# brakes: drum drum\n"


def log(*rounds: dict[str, float], head: str = "") -> str:
    """Rounds of readings, air 18 °C, a quarter of a minute apart."""
    rows = [
        f"{60 + 90 * n + 15 * k},{wheel},{degc}\n"
        for n, readings in enumerate(rounds)
        for k, (wheel, degc) in enumerate(readings.items())
    ]
    return f"# ambient: 18 C\n{head}time_s,position,temp_c\n" + "".join(rows)


def round_of(*degc: float) -> dict[str, float]:
    return dict(zip(("FL", "FR", "RL", "RR"), degc, strict=True))


def answers(thermlog: Any, text: str) -> dict[str, Any]:
    _, found = judged_text(thermlog, text)
    return found["answers"]


@pytest.mark.parametrize("head", ["", CAR, LORRY])
@pytest.mark.parametrize("hot", [110.0, 174.0, 240.0])
def test_a_dead_brake_beside_a_hot_mate_is_not_cleared(thermlog, head, hot):
    """Front left is 3 K above the air where it should have some 60 K: read it again, or it does nothing."""
    idle = answers(thermlog, log(round_of(21.0, hot, 61.0, 60.0), head=head))["idle"]
    assert idle["answer"] != "no"
    assert "1L" in idle["corners"]


def test_a_brake_with_hardly_any_heat_is_not_cleared_past_the_line(thermlog):
    """Whatever the sizes: a "no" goes with a probability below the line of doubt (policy light: 0.12)."""
    for mate in (24.0, 30.0):
        for hot in (100.0, 140.0, 200.0, 300.0):
            told = answers(thermlog, log(round_of(mate, hot, 60.0, 60.0), head=CAR))
            assert [one for one in told.values() if one["answer"] == "no" and one["p"] >= 0.12] == []


def test_a_gap_beside_a_cold_axle_is_watched(thermlog):
    """Front right is 55 K above its mate and the rears are cold: both are told."""
    rounds = [
        round_of(*one)
        for one in ((42.0, 99.0, 18.0, 19.0), (40.0, 95.0, 18.0, 19.0), (39.0, 91.0, 18.0, 19.0))
    ]
    told = answers(thermlog, log(*rounds))
    assert told["drag"]["answer"] == "watch"
    assert "1R" in told["drag"]["corners"]
    assert {"gap_open", "axles_unlike"} <= {reason["code"] for reason in told["drag"]["reasons"]}
    assert set(told["idle"]["corners"]) == {"2L", "2R"}


def test_one_odd_reading_makes_no_call_of_the_other_axle(thermlog):
    """Drums at 190, 187, 154 and 154 °C are two unlike axles; 114 °C typed for one rear calls nothing."""
    for rear_right in (154.0, 114.0):
        told = answers(thermlog, log(round_of(190.0, 187.0, 154.0, rear_right), head=LORRY))
        assert "yes" not in {one["answer"] for one in told.values()}


def test_the_hotter_brake_of_an_axle_is_called_and_its_mate_may(thermlog):
    """Rear left is 90 K above its mate, which is as warm as the fronts: hardly more than it should be."""
    drag = answers(thermlog, log(round_of(118.0, 117.0, 210.0, 118.0), round_of(112.0, 111.0, 200.0, 112.0)))[
        "drag"
    ]
    assert drag["answer"] == "yes"
    assert drag["corners"] == ["2L"]
    assert drag["beside"] == ["2R"]
