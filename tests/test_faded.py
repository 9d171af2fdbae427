"""Gaps read late: small in kelvin, large in ratio; what a technician accepts was written first."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from judgecases import Walk, described, told, told_text, walked

from thermlog.judging.faded import is_faded
from thermlog.words.policy import load_policy

AIR, TAU_S, HEALTHY_K = 18.0, 1800.0, {"FL": 60.0, "FR": 60.0, "RL": 40.0, "RR": 40.0}


def late_log(extra_k: float, late_min: float, *, parked: bool, wheel: str = "FL") -> str:
    """Three rounds of a car, the first so many minutes after the stop; the drag is that at the stop."""
    rows = []
    for minute in range(3):
        for place, (name, rise) in enumerate(HEALTHY_K.items()):
            at_s = 60.0 * (late_min + 4.0 * minute) + 15.0 * place
            shown = (rise + (extra_k if name == wheel else 0.0)) * math.exp(-at_s / TAU_S)
            rows.append(f"{at_s:.0f},{name},{AIR + shown:.1f}")
    head = "# ambient: 18 C\n# axles: steer drive\n# brakes: disc disc\n"
    column = "seconds since stop" if parked else "time_s"
    return f"{head}{column},position,temp_c\n" + "\n".join(rows) + "\n"


@pytest.mark.parametrize("parked", [True, False])
@pytest.mark.parametrize("late_min", [15.0, 30.0, 40.0])
@pytest.mark.parametrize("wheel", ["FL", "RR"])
def test_a_drag_of_60_k_is_not_cleared_however_late_it_is_read(parked, late_min, wheel):
    """At the stop it would be called; later it is watched, or cannot be told: never "no"."""
    found = told_text(late_log(60.0, late_min, parked=parked, wheel=wheel))

    assert found.answers.drag.answer != "no"
    assert found.flagged


@pytest.mark.parametrize("parked", [True, False])
def test_a_faded_gap_says_what_it_was_and_asks_for_a_drive(parked):
    answer = told_text(late_log(60.0, 40.0, parked=parked)).answers.drag
    reason = answer.reasons[0]

    assert (answer.answer, reason.code, reason.corners) == ("cannot_tell", "gap_faded", ("1L", "1R"))
    # 60 K at the stop are 51 K five minutes later, where marks hold: exp(-300 / 1800) of it
    assert reason.numbers["once_k"] == pytest.approx(60.0 * math.exp(-300.0 / TAU_S), rel=0.25)
    assert ("minutes" in reason.numbers) == parked
    assert next(one.code for one in answer.decides) == "drive_with_braking"


@pytest.mark.parametrize("late_min", [2.0, 15.0, 30.0])
@pytest.mark.parametrize("parked", [True, False])
def test_a_sound_car_is_cleared_as_before(late_min, parked):
    answer = told_text(late_log(0.0, late_min, parked=parked)).answers.drag

    assert answer.answer == "no"


def test_a_time_far_beyond_all_others_is_judged_without_a_word_of_numpy():
    """A third of a century by a slip of the hand: infinity was reported as a fault of ours."""
    rows = ["1e9,FL,202.1", "42,FR,99.4", "54,RL,61.9", "69,RR,60.1", "111,RR,57.7", "126,RL,57.6",
            "138,FR,94.9", "1e9,FL,187.2"]  # fmt: skip
    text = "# ambient: 5 C\n# axles: 2\nseconds since parked,position,temp C\n" + "\n".join(rows) + "\n"

    assert told_text(text).answers.drag.answer == "cannot_tell"


def test_a_small_gap_read_in_time_is_no_faded_one():
    """14 K and a ratio of 1.6 five minutes after the stop: below the watch difference, and nothing melted."""
    rises = {"1L": 37.0, "1R": 23.0, "2L": 22.0, "2R": 22.0}
    found = told(walked(rises, Walk(rounds=3, description=described("steer", "drive"))))

    assert "gap_faded" not in {one.code for one in found.answers.drag.reasons}


@given(
    least_k=st.floats(0.0, 60.0), cooler_k=st.floats(0.0, 80.0), grown=st.floats(1.0, 8.0),
    more_k=st.floats(0.0, 30.0), more=st.floats(1.0, 3.0),
)  # fmt: skip
def test_a_larger_gap_or_a_later_reading_is_never_less_faded(least_k, cooler_k, grown, more_k, more):
    marks = load_policy("light")

    def faded(least: float, times: float) -> bool:
        return bool(is_faded(np.array(least), np.array(cooler_k), np.array(times), marks))

    if faded(least_k, grown):
        larger_k = least_k + more_k
        apart = larger_k >= (marks.watch_ratio - 1.0) * cooler_k
        assert faded(larger_k, grown * more) or (larger_k >= marks.watch_difference_k and apart)
