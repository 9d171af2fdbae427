"""Two axles far apart, and not all of the cooler one read: no more is said than where all of it was.

From one log nobody can tell whether one axle drags or the other does nothing. A careful technician who has
even less (a wheel over range, passed over or contradicted) does not call the warm axle for it; a gap between
left and right of one axle he calls as before. Answers were written before any log was run; numbers invented.
"""

from __future__ import annotations

import math

import pytest
from answeredtext import HEAD, answered

TAU_S = 1800.0


def walk(hot_degc: float, cold_degc: float, hot: str = "R", *, leave_out: str = "") -> str:
    """Two rounds; the axle `hot` (F or R) is so hot, the other one so warm, in air of 18 °C."""
    lines = ["time_s,position,temp_c"]
    for turn in range(2):
        for place, wheel in enumerate(("FL", "FR", "RL", "RR")):
            at_s = 240.0 * turn + 12.0 * place
            start_degc = (hot_degc if wheel[0] == hot else cold_degc) - (2.0 if wheel[1] == "R" else 0.0)
            degc = 18.0 + (start_degc - 18.0) * math.exp(-at_s / TAU_S)
            lines += [f"{at_s:g},{wheel},{degc:.1f}"] if wheel != leave_out else []
    return "\n".join([*lines, ""])


BELOW = ["480,{w},OL", "480,{w},>500", "480,{w},280?", "480,{w},150", "480,{w},---"]
ABOVE = ["{w} binds", "{w} too hot to touch", "{w} first 300 C then lower", "{w} estimated", "parked: -5000"]


@pytest.mark.parametrize("hot", ["R", "F"])
@pytest.mark.parametrize(
    ("hot_degc", "cold_degc"), [(150.0, 45.0), (190.0, 60.0), (230.0, 45.0), (290.0, 60.0)]
)
@pytest.mark.parametrize("said", [*BELOW, *ABOVE])
def test_a_warm_axle_is_not_called_for_what_is_not_known_of_the_other(said, hot_degc, cold_degc, hot) -> None:
    """A watch, or open; and never that every brake does its part, for the cool axle may do nothing."""
    line = said.format(w="FL" if hot == "R" else "RL")
    text = walk(hot_degc, cold_degc, hot)
    found = answered(f"{HEAD}{text}{line}\n" if said in BELOW else f"{HEAD}# {line}\n{text}")
    assert found.flagged
    assert (found.drag in {"watch", "cannot_tell"}, found.idle != "no") == (True, True)


@pytest.mark.parametrize("hot", ["R", "F"])
@pytest.mark.parametrize("hot_degc", [150.0, 230.0, 290.0])
def test_a_wheel_that_was_left_out_is_no_reason_to_call_the_other_axle(hot_degc, hot) -> None:
    found = answered(HEAD + walk(hot_degc, 45.0, hot, leave_out="FL" if hot == "R" else "RL"))
    assert found.drag == "watch"
    assert answered(HEAD + walk(hot_degc, 45.0, hot)).drag == "watch"  # as where all was read


def test_left_against_right_is_called_though_the_other_axle_was_read_in_part() -> None:
    """190 °C beside 120 °C on one axle: the pair can be compared whatever stands behind it."""
    text = walk(120.0, 70.0, "F", leave_out="RR").replace("0,FL,120", "0,FL,190")
    text = text.replace("240,FL,107.3", "240,FL,168.5")  # 18 + 172 exp(-240 / 1800)
    assert answered(HEAD + text).drag == "yes"


def test_after_a_drive_without_braking_heat_is_heat() -> None:
    """Nothing braked: 190 °C at both rears is called without the fronts."""
    rears = "\n".join(row for row in walk(190.0, 30.0).splitlines() if ",F" not in row) + "\n"
    assert answered(f"{HEAD}# drive: coast\n{rears}").drag == "yes"
    assert answered(HEAD + rears).drag == "watch"
