"""A vehicle and its trailer: all brakes of the trailer cold, hot, or as they ought to be; rises made up."""

from __future__ import annotations

import pytest
from judgecases import COMBINATION_K, HEAVY, LIGHT, Walk, described, told, walked

from thermlog.words.vehicle import SIDES

CAR_K = {"1L": 86.0, "1R": 86.0, "2L": 56.0, "2R": 54.0}
TRACTOR_K = {corner: rise_k for corner, rise_k in COMBINATION_K.items() if corner[0] in "12"}


def combination(towing_k, trailer_k, trailing, weight_class):
    """A towing vehicle of two axles, and a trailer of so many all of whose brakes are so warm."""
    behind = tuple(f"{axle}{side}" for axle in range(3, 3 + trailing) for side in SIDES)
    roles = described("steer", "drive", *["trailer"] * trailing, weight_class=weight_class)
    how = LIGHT if weight_class == "light" else HEAVY
    found = told(walked(towing_k | dict.fromkeys(behind, trailer_k), Walk(description=roles)), how)
    return found.answers, found.pattern, behind


TOWING = [(CAR_K, "light"), (TRACTOR_K, "heavy")]


@pytest.mark.parametrize("rise_k", [1.0, 4.0])
@pytest.mark.parametrize("trailing", [1, 2, 3])
@pytest.mark.parametrize(("towing_k", "weight"), TOWING, ids=["light", "heavy"])
def test_a_trailer_at_the_air_behind_a_vehicle_that_braked_does_not_brake(towing_k, weight, trailing, rise_k):
    """Plug out, drawtube stuck, line shut: it is found, and nobody takes a sound towing vehicle apart."""
    answers, pattern, behind = combination(towing_k, rise_k, trailing, weight)
    assert (answers.idle.answer, answers.idle.corners) == ("yes", behind)
    assert not answers.drag.suspects
    assert pattern.kind == ("axle_cold" if trailing == 1 else "trailer_cold")


@pytest.mark.parametrize("trailing", [1, 2, 3])
@pytest.mark.parametrize(("towing_k", "weight"), TOWING, ids=["light", "heavy"])
def test_a_trailer_that_does_not_brake_neither_hides_nor_makes_a_drag_before_it(towing_k, weight, trailing):
    """Both are found, at least as a watch; where nothing drags the log says so as without a trailer."""
    answers, _, behind = combination(towing_k, 2.0, trailing, weight)
    assert answers.drag.answer == "no"
    drags = towing_k | {"2L": 2.4 * towing_k["2L"]}
    answers, _, behind = combination(drags, 2.0, trailing, weight)
    assert answers.drag.suspected == ("2L",)
    assert answers.idle.suspected == behind


@pytest.mark.parametrize("trailing", [1, 2, 3])
@pytest.mark.parametrize(("towing_k", "weight"), TOWING, ids=["light", "heavy"])
def test_a_trailer_hot_at_every_brake_drags_as_a_whole(towing_k, weight, trailing):
    """Three times as hot as what tows it: breakaway, current, emergency valve.

    Behind a tractor with fewer axles the other reading, that it does not brake, keeps it a watch.
    """
    answers, pattern, behind = combination(towing_k, 230.0, trailing, weight)
    outweighed = (trailing, weight) == (3, "heavy")
    assert (answers.drag.answer, answers.drag.corners) == ("watch" if outweighed else "yes", behind)
    assert answers.idle.suspected == (("1L", "1R", "2L", "2R") if outweighed else ())
    assert pattern.kind == ("axle_hot" if trailing == 1 else "trailer_hot")


@pytest.mark.parametrize("trailing", [1, 2, 3])
@pytest.mark.parametrize(("towing_k", "weight"), TOWING, ids=["light", "heavy"])
def test_a_trailer_as_warm_as_what_tows_it_is_no_fault(towing_k, weight, trailing):
    answers, pattern, _ = combination(towing_k, 60.0, trailing, weight)
    assert not answers.drag.suspects
    assert not answers.idle.suspects
    assert pattern.kind == "none"
