"""Logs whose answers were right, or nearly, and whose words were not: the odd side, the word, the number."""

from __future__ import annotations

import pytest
from judgecases import told_text

from thermlog.reports.summary import headline
from thermlog.words.findings import Answer, Diagnosis
from thermlog.words.reasons import Reason
from thermlog.words.reasontexts import reason_sentence

FRONT = ("81.6 67.6 58.8", "82.2 67.4 60.1")
REAR = ("58.7 50 43.4", "57 50 42.2")


def seen(front: tuple[str, str] = FRONT, rear: tuple[str, str] = REAR, about: str = "") -> Diagnosis:
    """Three rounds, four minutes apart; what stands for a wheel are its readings."""
    rows = []
    for place, (name, values) in enumerate(zip(("FL", "FR", "RL", "RR"), (*front, *rear), strict=True)):
        for turn, value in enumerate(values.split()):
            rows.append((20 + 234 * turn + 16 * place, name, value))
    lines = [f"{seconds},{name},{value}" for seconds, name, value in sorted(rows)]
    return told_text(f"# ambient: 18 C\n{about}time_s,position,temp_c\n" + "\n".join(lines) + "\n")


def codes(answer: Answer) -> list[str]:
    return [reason.code for reason in answer.reasons]


def test_of_sides_that_cool_unlike_the_cold_one_is_named_where_it_is_the_likely_odd_one() -> None:
    """The rear right at 41 °C and falling fast is below its healthy band, the rear left inside its own."""
    one = seen(rear=(REAR[0], "41.8 33.4 23.4"))
    assert (one.answers.idle.answer, one.answers.idle.corners) == ("watch", ("2R",))
    assert codes(one.answers.idle) == ["cools_unlike"]
    assert not one.answers.drag.suspects
    assert "rear left may drag" not in headline(one)


def test_of_an_axle_that_may_drag_the_side_far_above_the_other_is_named() -> None:
    """31 K and 2.2 to 1 between the fronts of a vehicle whose motor brakes too: the gap is said."""
    about = "# regenerative: yes\n# weight: light\n# axles: steer drive\n# brakes: disc drum\n"
    one = seen((FRONT[0], "46.5 39.5 37.5"), ("21.7 20 19.9", "20.7 19.6 19.1"), about)
    assert (one.answers.drag.answer, one.answers.drag.corners) == ("watch", ("1L",))
    assert codes(one.answers.drag)[0] == "gap_open"


def test_readings_that_stand_are_not_called_the_same_number() -> None:
    one = seen(("82.9 84.5 83.9", "84.5 83.9 86.3"), ("60.9 59.7 60.1", "59.8 59.1 58.9"))
    told = {code for answer in one.answers.each for code in codes(answer)}
    assert "standing" in told
    assert not told & {"held", "no_brake_read"}


def test_a_wheel_that_jumps_contradicts_itself_and_is_read_again() -> None:
    """From 42 to 190 °C no heat soaks out of a parked brake; 60 K is the line."""
    one = seen(rear=(REAR[0], "57 50 42.2 190 189"))
    hotter, *_, reason = one.answers.drag.reasons
    assert (one.answers.drag.answer, hotter.code) == (
        "watch",
        "unsteady_and_hotter",
    )  # it reads above its mate
    assert (reason.code, reason.corners) == ("contradicting_readings", ("2R",))
    assert reason.numbers == {"low_degc": 42.2, "high_degc": 190.0}
    assert one.answers.drag.decides[0].code == "read_again"


@pytest.mark.parametrize(
    ("times", "words"), [(2.3, "2.3 times"), (10.0, "10.0 times"), (34.8, "more than 10")]
)
def test_a_ratio_to_next_to_nothing_is_no_exact_number(times: float, words: str) -> None:
    reason = Reason(code="axles_unlike", corners=("1L", "1R", "2L", "2R"), numbers={"times": times})
    assert f"are {words}" in str(reason_sentence(reason))


def test_a_value_as_warm_as_its_mate_is_not_read_again_for_a_slip() -> None:
    """180.0 °C stand beside 178.9 °C at the other side, whatever other figure they would make."""
    one = seen(("178.9 153.7 137.8", "180.0 153.3 140.2"), ("137.7 122 110.1", "134.6 122 108"))
    assert all(step.code != "read_again" for answer in one.answers.each for step in answer.decides)
