"""A trailer read alone, all its brakes near the air: whether they come on is looked at before a drive."""

from __future__ import annotations

import math

import pytest
from judgecases import HEAVY, LIGHT, VAN_K, Walk, described, told, walked

from thermlog.words.policy import load_policy
from thermlog.words.reasons import DRIVES
from thermlog.words.vehicle import SIDES

HOW = {"light": LIGHT, "heavy": HEAVY}


def asked(rise_k, roles, *, weight="light", drive="normal", read=None):
    """What would decide whether every brake works, in its order; `read`: the axles that were."""
    axles = read or range(1, len(roles) + 1)
    vehicle = described(*roles, weight_class=weight)
    walk = Walk(drive=drive, description=vehicle, noise_k=0.0, first_s=0.0)
    corners = {f"{axle}{side}": (rise_k, math.inf) for axle in axles for side in SIDES}
    return told(walked(corners, walk), HOW[weight]).answers


def steps(answers):
    return [step.code for step in answers.idle.decides]


@pytest.mark.parametrize("weight", ["light", "heavy"])
@pytest.mark.parametrize("trailing", [1, 2, 3])
@pytest.mark.parametrize("rise_k", [1.0, 3.0, 5.0])
def test_a_cold_trailer_is_looked_at_standing_and_driven_only_then(rise_k, trailing, weight):
    """Plug, drawtube or line: no 11 stops from 60 km/h with a trailer that may not brake at all."""
    answers = asked(rise_k, ("trailer",) * trailing, weight=weight)
    found = steps(answers)
    assert answers.idle.answer == "cannot_tell"
    assert "drive_with_braking" in found
    assert found.index("static_check") < min(found.index(code) for code in found if code in DRIVES)
    standing = next(step for step in answers.idle.decides if step.code == "static_check")
    assert standing.corners == tuple(f"{axle}{side}" for axle in range(1, trailing + 1) for side in SIDES)


def test_of_a_combination_whose_trailer_was_read_alone_the_others_are_read_first():
    assert steps(asked(4.0, ("steer", "drive", "trailer", "trailer"), read=(3, 4))) == ["read_unread"]


@pytest.mark.parametrize("weight", ["light", "heavy"])
def test_the_line_is_a_third_of_the_heat_that_is_needed(weight):
    """`minimum_rise_k` of the policy; brakes that stay as warm as they are, read without an error."""
    line_k = load_policy(weight).minimum_rise_k / 3.0
    assert "static_check" in steps(asked(line_k - 0.5, ("trailer", "trailer"), weight=weight))
    assert "static_check" not in steps(asked(line_k + 0.5, ("trailer", "trailer"), weight=weight))


@pytest.mark.parametrize("rise_k", [1.0, 3.0, 5.0])
@pytest.mark.parametrize("roles", [("steer", "drive"), ("steer", "drive", "trailer", "trailer")])
def test_a_car_or_a_whole_combination_near_the_air_was_driven_too_gently(roles, rise_k):
    """The commonest reason by far: the drive with braking stays the first thing to do."""
    found = steps(asked(rise_k, roles))
    assert found[0] == "drive_with_braking"
    assert "static_check" not in found


def test_cold_after_a_drive_without_braking_is_as_it_should_be():
    assert "static_check" not in steps(asked(5.0, ("trailer", "trailer"), drive="coast"))


def test_a_warm_trailer_is_driven_as_before():
    answers = told(walked(VAN_K, Walk(description=described("trailer", "trailer"))), LIGHT).answers
    assert "static_check" not in steps(answers)
