"""One of two readings thrown out, and brakes that cool as no brake does: said, and never cleared."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

AIR_DEGC = 18.0
HEAD = "# weight: light\n# axles: steer axle\n# brakes: disc disc\n# drive: normal\n# ambient: 18 C\n"
BRAKES_K = {"1L": 100.0, "1R": 98.0, "2L": 60.0, "2R": 59.0}


def log_text(rounds: int, tau_s: float, odd: dict[tuple[str, int], float] | None = None) -> str:
    """Rounds of four brakes with one time constant; `odd`: what the gun showed, by corner and round."""
    rows = ["since_parked_s,position,temp_c"]
    for turn in range(rounds):
        for k, (corner, rise_k) in enumerate(BRAKES_K.items()):
            at_s = 30.0 + 15.0 * k + 240.0 * turn
            shown = (odd or {}).get((corner, turn), AIR_DEGC + rise_k * math.exp(-at_s / tau_s))
            rows.append(f"{at_s:g},{corner},{shown:.1f}")
    return HEAD + "\n".join(rows) + "\n"


@pytest.fixture
def answers(thermlog):
    def of(text: str) -> tuple[int, dict, str]:
        Path("log.csv").write_text(text)
        ran = thermlog("check", "log.csv", "--format", "json")
        found = json.loads(ran.out)
        return ran.code, found["answers"], found["next_check"]["id"]

    return of


@pytest.mark.parametrize("turn", [0, 1])
@pytest.mark.parametrize("corner", BRAKES_K)
def test_brake_of_which_one_reading_is_left_is_read_again(answers, corner: str, turn: int) -> None:
    """Either of the two may be the odd one, so the brake is not cleared by the other."""
    code, told, step = answers(log_text(2, 1800.0, {(corner, turn): 30.0}))
    assert code == 1
    assert told["drag"]["answer"] != "no" or told["idle"]["answer"] != "no"
    codes = [one["code"] for one in told["idle"]["reasons"] + told["drag"]["reasons"]]
    assert {"contradicting_readings", "single_reading"} & set(codes)
    assert step == "read_again"


def test_one_odd_reading_of_three_is_outvoted(answers) -> None:
    code, told, _ = answers(log_text(3, 1800.0, {("2R", 1): 30.0}))
    assert (code, told["drag"]["answer"], told["idle"]["answer"]) == (0, "no", "no")


@pytest.mark.parametrize("tau_s", [150.0, 190.0, 250.0, 350.0])
def test_brakes_that_cool_as_none_does_are_not_cleared(answers, tau_s: float) -> None:
    """Nine tenths of the heat gone in eight minutes: a disc keeps three quarters of it."""
    code, told, step = answers(log_text(3, tau_s))
    assert (code, step) == (1, "read_dry")
    assert {one["answer"] for one in told.values()} == {"cannot_tell"}
    assert {one["reasons"][0]["code"] for one in told.values()} == {"cools_too_fast"}


@pytest.mark.parametrize("tau_s", [750.0, 1200.0, 1800.0, 3000.0])
def test_brakes_that_cool_as_brakes_do_are_judged(answers, tau_s: float) -> None:
    code, told, _ = answers(log_text(3, tau_s))
    assert (code, {one["answer"] for one in told.values()}) == (0, {"no"})
