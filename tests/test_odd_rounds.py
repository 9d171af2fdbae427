"""A reading that may be mistyped, in walks of one round and more: named, never the ground of a call."""

from __future__ import annotations

import math

import pytest
from readcases import check_counts, read

from thermlog.judging.diagnose import Settings, diagnoses, judge

WHEELS = ("FL", "FR", "RL", "RR")
# An even vehicle: invented temperatures at the stop above air at 18 °C, and time constants of 40 and 30 min.
PARKED_DEGC, TAU_S, AIR_DEGC = (120, 118, 90, 92), (2400, 2400, 1800, 1800), 18
SLIPS = {
    "other_unit": lambda degc: round(degc * 1.8 + 32),
    "digit_missing": lambda degc: int(str(degc)[1:]),
    "digit_added": lambda degc: int(f"{str(degc)[0]}{degc}"),
}
ODD_CASES = [
    (rounds, wheel, lap, slip)
    for rounds in (1, 2, 3, 4, 5)
    for wheel in range(4)
    for lap in sorted({0, rounds // 2})
    for slip in SLIPS
    if not (slip == "digit_added" and wheel < 2)  # over 1000 °C: set aside as impossible
]


def walk(rounds: int, wheel: int, lap: int, slip: str, *, only: bool = False, dragging_k: int = 0) -> str:
    """A log in which one reading is mistyped.

    `only`: that wheel is read in no other round; `dragging_k`: front left is so much hotter.
    """
    rows, parked_degc = [], (PARKED_DEGC[0] + dragging_k, *PARKED_DEGC[1:])
    for turn in range(rounds):
        for k, name in enumerate(WHEELS):
            time_s = 60 + 240 * turn + 12 * k
            degc = round(AIR_DEGC + (parked_degc[k] - AIR_DEGC) * math.exp(-time_s / TAU_S[k]))
            if (k, turn) == (wheel, lap):
                degc = SLIPS[slip](degc)
            elif only and k == wheel:
                continue
            rows.append(f"{time_s},{name},{degc}")
    return f"# ambient: {AIR_DEGC} C\ntime_s,position,temp_c\n" + "\n".join(rows) + "\n"


@pytest.mark.parametrize("only", [False, True], ids=["read each round", "read once"])
@pytest.mark.parametrize(("rounds", "wheel", "lap", "slip"), ODD_CASES)
def test_a_mistyped_reading_is_named_kept_and_calls_nothing(rounds, wheel, lap, slip, only):
    found = read(walk(rounds, wheel, lap, slip, only=only))
    check_counts(found)
    assert found.record.set_aside == ()  # the fit alone may leave it out
    odd = found.readings.cases[0].odd
    assert [one.corner for one in odd] == [("1L", "1R", "2L", "2R")[wheel]]
    assert any("stands apart and would be" in note for note in found.record.notes)
    (told,) = diagnoses(judge(found.readings, Settings()))
    assert told.answers.drag.answer != "yes"
    assert told.answers.idle.answer != "yes"


@pytest.mark.parametrize("rounds", [3, 4, 5])
@pytest.mark.parametrize("slip", ["other_unit", "digit_missing"])
def test_among_three_rounds_the_fit_leaves_it_out(rounds, slip):
    """Of the first round: the vehicle is called even as without it."""
    (told,) = diagnoses(judge(read(walk(rounds, 0, 0, slip)).readings, Settings()))
    assert (told.answers.drag.answer, told.answers.idle.answer) == ("no", "no")


@pytest.mark.parametrize("rounds", [3, 4, 5])
def test_a_brake_that_is_hot_in_every_round_is_called_beside_a_slip(rounds):
    found = read(walk(rounds, 3, rounds - 1, "digit_missing", dragging_k=100))
    (told,) = diagnoses(judge(found.readings, Settings()))
    assert told.answers.drag.answer in {"yes", "watch"}
    assert told.answers.drag.corners == ("1L",)
