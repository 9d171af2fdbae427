"""What is done at the stand before anybody drives: the hot axle turned, the brake that may not work checked.

The logs are those of a shop's day, readings invented; what a careful technician does next stands beside each.
"""

from __future__ import annotations

import pytest
from threerounds import told

from thermlog.advice.driving import moving
from thermlog.pages.customer import customer_view
from thermlog.words.findings import Diagnosis
from thermlog.words.reasons import DRIVES

LORRY = ("weight: heavy", "axles: steer drive", "brakes: drum drum")
LIFT = ("weight: heavy", "axles: steer drive {role}", "brakes: drum drum drum")


def corners(side_rises: dict[int, tuple[float, float]]) -> dict[str, float]:
    return {
        f"{side}{axle}": rise
        for axle, both in side_rises.items()
        for side, rise in zip("LR", both, strict=True)
    }


@pytest.mark.parametrize(("head", "hot_k"), [((), 170.0), ((), 235.0), (LORRY, 235.0)])
def test_a_rear_axle_that_rather_drags_is_turned_before_the_fronts_are_checked(head, hot_k):
    found = told(head, **corners({1: (60.0, 61.0), 2: (hot_k, 1.03 * hot_k)}))
    assert found.answers.drag.answer == "watch"
    assert (found.answers.drag.p or 0.0) > (found.answers.idle.p or 0.0)
    assert found.next_check is not None
    # A look comes before: whether the parking brake of a light vehicle, which holds the rears, is off.
    # At 200 °C nobody kneels at the wheel: the driver is asked.
    light, hot = found.description.weight_class == "light", 18.0 + 1.03 * hot_k >= 200.0
    assert found.next_check.id == ("pb_state" if light and not hot else "cool_and_turn")
    assert ("2L and 2R" if hot else "rear left and rear right") in found.next_check.question
    assert ("parking brake was on" in found.next_check.question) == (light and hot)
    assert [one.code for one in found.answers.drag.decides][:2] == ["cool_and_turn", "static_check"]


@pytest.mark.parametrize("cold", ["2L", "2R", "1L", "1R"])
@pytest.mark.parametrize("part", [0.3, 0.4, 0.5])
def test_a_brake_that_may_not_work_is_checked_standing_before_any_drive(cold, part):
    rises = {"L1": 64.0, "R1": 64.5, "L2": 41.0, "R2": 41.4}
    rises[cold[1] + cold[0]] *= part
    found = told((), **rises)
    assert found.answers.idle.suspects
    assert found.answers.idle.corners == (cold,)
    assert found.next_check is not None
    assert found.next_check.id not in DRIVES
    # one that is called has its causes ranked, and a check of its own at the vehicle
    assert (found.next_check.id == "static_check") is (found.answers.idle.answer == "watch")
    for answer in found.answers.each:
        codes = [one.code for one in answer.decides]
        driven = [k for k, code in enumerate(codes) if code in DRIVES]
        assert not driven or {"static_check", "cool_and_turn"} & set(codes[: driven[0]])


@pytest.mark.parametrize("role", ["lift", "tag", "pusher"])
def test_a_cold_axle_that_can_be_raised_is_asked_about_before_it_is_called_dead(role):
    head = tuple(line.format(role=role) for line in LIFT)
    rises = {1: (58.0, 57.0), 2: (58.0, 57.0), 3: (3.5, 4.0)}
    found = told(head, **corners(rises))
    assert found.answers.idle.answer == "watch"
    assert found.answers.idle.reasons[0].code == "may_be_raised"
    assert [one.code for one in found.answers.idle.decides] == ["ask_raised", "static_check", "drive_loaded"]
    assert found.next_check is not None
    assert found.next_check.id == "ask_raised"
    assert "axle 3 was raised" in found.next_check.question
    stated = told((*head, "lifted: 3"), **corners(rises))
    assert stated.answers.idle.answer == "no"


def test_one_cold_side_of_an_axle_that_can_be_raised_and_a_driven_axle_are_called():
    head = tuple(line.format(role="lift") for line in LIFT)
    one_side = told(head, **corners({1: (58.0, 57.0), 2: (58.0, 57.0), 3: (3.5, 57.0)}))
    assert one_side.answers.idle.answer == "yes"
    driven = told(head, **corners({1: (58.0, 57.0), 2: (3.5, 4.0), 3: (58.0, 57.0)}))
    assert driven.answers.idle.answer == "yes"
    assert driven.next_check is not None
    assert driven.next_check.id == "static_check"


@pytest.mark.parametrize("motor", ["yes", "no"])
def test_one_log_never_decides_between_two_axles_whether_a_motor_brakes_too_or_not(motor):
    found = told((f"regenerative: {motor}",), **corners({1: (19.0, 19.2), 2: (89.0, 90.0)}))
    assert found.answers.drag.answer == "watch"
    assert found.answers.drag.reasons[0].code == "axles_unlike"
    assert found.answers.drag.corners == ("2L", "2R")


CAR = ("axles: steer drive", "brakes: disc disc")
SPRING, CABLE, IN_FRONT = "parking brake: 2", "parking brake: 2", "parking brake: 1"
REARS_HOT, REARS_WARM = {1: (70.0, 68.0), 2: (170.0, 166.0)}, {1: (69.0, 68.0), 2: (150.0, 146.0)}
CAR_REARS_HOT = {1: (103.0, 103.5), 2: (159.0, 153.0)}
FRONTS_WARM = {1: (149.0, 146.0), 2: (60.0, 56.0)}


def wheels(found: Diagnosis) -> dict[str, str]:
    """State of each wheel on the owner's sheet."""
    axles = customer_view(found).plan.axles
    return {one.corner: one.state for axle in axles for one in (axle.left, axle.right)}


@pytest.mark.parametrize(
    ("head", "rises", "first"),
    [
        pytest.param((*LORRY, SPRING), REARS_HOT, "pb_state_air", id="lorry, spring brakes on the hot axle"),
        pytest.param((*LORRY, SPRING), REARS_WARM, "pb_state_air", id="the same, warmer than usual"),
        pytest.param((*LORRY, IN_FRONT), REARS_HOT, "cool_and_turn", id="lorry, springs on the other axle"),
        pytest.param(LORRY, REARS_WARM, "cool_and_turn", id="lorry, no parking brake stated"),
        pytest.param((*CAR, CABLE), CAR_REARS_HOT, "pb_state", id="car, parking brake on the hot axle"),
        pytest.param((*CAR, IN_FRONT), CAR_REARS_HOT, "cool_and_turn", id="car, a strong difference"),
        pytest.param((*CAR, IN_FRONT), FRONTS_WARM, "pb_state", id="car, parking brake in front"),
    ],
)
def test_a_whole_axle_that_may_be_held_is_looked_at_standing_before_the_drive_that_decides(
    head, rises, first
):
    """Either reading forbids the road: both rears are held, or both fronts do nothing."""
    found = told(head, **corners(rises))
    drag, idle, _ = found.answers.each
    assert (drag.answer, idle.answer) == ("watch", "cannot_tell")
    assert found.next_check is not None
    assert found.next_check.id == first
    for answer in (drag, idle):  # the drive still is what decides
        assert [one.code for one in answer.decides][:2] == ["cool_and_turn", "coast_drive"]
    assert moving(found) == "stands"
    assert found.next_check.safety.startswith("Not driven") == (first != "cool_and_turn")
    assert "do not drive it" in customer_view(found).until[0]


def test_springs_of_an_axle_too_hot_to_go_near_are_asked_about_while_it_cools():
    found = told((*LORRY, SPRING), **corners({1: (70.0, 68.0), 2: (190.0, 186.0)}))
    assert found.answers.drag.answer == "watch"
    assert found.next_check is not None
    assert (found.next_check.id, found.next_check.cools_first) == ("cool_and_turn", True)
    assert "whether the parking brake was on" in found.next_check.question


def test_a_light_vehicle_whose_axle_is_a_little_warm_and_has_no_parking_brake_is_driven_to_decide():
    found = told((*CAR, CABLE), **corners(FRONTS_WARM))
    assert (found.answers.drag.answer, found.answers.idle.answer) == ("watch", "cannot_tell")
    assert found.next_check is not None
    assert found.next_check.id == "coast_drive"


@pytest.mark.parametrize(("head", "rises"), [((*LORRY, SPRING), REARS_HOT), (CAR, FRONTS_WARM)])
def test_brakes_of_the_less_likely_reading_are_even_neither_in_the_text_nor_for_the_owner(head, rises):
    found = told(head, **corners(rises))
    verdicts = {one.corner: one.verdict for one in found.corners}
    assert verdicts == wheels(found)
    assert {verdicts[corner] for corner in found.answers.idle.corners} == {"cannot_tell"}
    assert {verdicts[corner] for corner in found.answers.drag.corners} == {"watch"}


def test_a_doubt_of_the_cool_axle_is_no_reason_to_call_the_warm_one():
    """Two wheels with the same figures, three times: one was copied. Both readings of two axles stay."""
    found = told((), **corners({1: (19.0, 19.0), 2: (89.0, 90.0)}))
    assert {one.code for one in found.blind} == {"doubted"}
    assert (found.answers.drag.answer, found.answers.drag.corners) == ("watch", ("2L", "2R"))
    assert [one.code for one in found.answers.drag.reasons][:2] == ["axles_unlike", "doubted"]
