"""Several faults at once: none is cleared or hidden by another; what a technician accepts came first."""

from __future__ import annotations

import pytest
from judgecases import COMBINATION_K, HEAVY, LORRY_K, VAN_K, Walk, described, told, walked

from thermlog.words.reasontexts import reason_sentence

CAR = Walk(rounds=3, description=described("steer", "axle"))
LORRY = Walk(rounds=3, description=described("steer", "drive", "axle", weight_class="heavy"))
COMBINATION = Walk(rounds=3, description=described("steer", *["axle"] * 4, weight_class="heavy"))


@pytest.mark.parametrize("extra_k", [40.0, 60.0, 80.0, 120.0, 160.0])
@pytest.mark.parametrize("corner", ["2L", "2R"])
def test_a_dead_axle_is_never_cleared_beside_a_hot_brake(corner: str, extra_k: float) -> None:
    """Fronts without heat, one rear hot: the rear is watched, the fronts are at best open."""
    rises = VAN_K | {"1L": 8.0, "1R": 8.5, corner: VAN_K[corner] + extra_k}
    answers = told(walked(rises, CAR)).answers
    assert corner in answers.drag.suspected
    assert answers.idle.answer != "no"
    assert {"1L", "1R"} <= set(answers.idle.corners)


@pytest.mark.parametrize("extra_k", [70.0, 100.0, 150.0])
def test_a_dead_brake_never_clears_a_hot_axle(extra_k: float) -> None:
    """Both fronts far too hot, one rear dead: nobody says that no brake drags."""
    rises = VAN_K | {"1L": 105.0 + extra_k, "1R": 104.0 + extra_k, "2R": 4.0}
    answers = told(walked(rises, CAR)).answers
    assert answers.drag.answer != "no"
    assert "2R" in answers.idle.corners


@pytest.mark.parametrize("dead", [("2L", "3R", "4L"), ("3L", "4L", "5L"), ("1L", "1R", "4R")])
def test_all_dead_brakes_are_named(dead: tuple[str, ...]) -> None:
    answers = told(walked(COMBINATION_K | dict.fromkeys(dead, 5.0), COMBINATION), HEAVY).answers
    assert answers.idle.answer == "yes"
    assert answers.idle.corners == dead


@pytest.mark.parametrize("extra_k", [100.0, 130.0, 160.0])
def test_every_plain_gap_stands_somewhere(extra_k: float) -> None:
    """Two drags and a dead brake on three axles: each is called, or watched beside the call."""
    rises = COMBINATION_K | {
        "2L": COMBINATION_K["2L"] + extra_k,
        "4R": 5.0,
        "5L": COMBINATION_K["5L"] + extra_k,
    }
    answers = told(walked(rises, COMBINATION), HEAVY).answers
    assert {"2L", "5L"} <= set(answers.drag.suspected)
    assert "4R" in answers.idle.suspected


@pytest.mark.parametrize("extra_k", [60.0, 90.0, 130.0, 180.0])
def test_a_dead_brake_stays_named_however_hot_its_mate(extra_k: float) -> None:
    answers = told(walked(LORRY_K | {"1L": 6.0, "1R": LORRY_K["1R"] + extra_k}, LORRY), HEAVY).answers
    assert "1L" in answers.idle.suspected


def test_drags_alike_on_three_axles_are_called_alike() -> None:
    """Each is twice as warm as its mate: what is said of one is said of all."""
    hot = dict.fromkeys(("3L", "4L", "5L"), 149.0)
    answers = told(walked(dict.fromkeys(COMBINATION_K, 72.0) | hot, COMBINATION), HEAVY).answers
    assert answers.drag.answer in {"yes", "watch"}
    assert set(answers.drag.corners) == set(hot)


@pytest.mark.parametrize(("first", "second"), [("1L", "2R"), ("1L", "3R"), ("2L", "5R")])
def test_a_drag_as_large_as_the_one_called_is_called_with_it(first: str, second: str) -> None:
    """Two brakes 60 K above their mates, of axles apart: none is only watched beside the other."""
    hot = {corner: COMBINATION_K[corner] + 60.0 for corner in (first, second)}
    answers = told(walked(COMBINATION_K | hot, COMBINATION), HEAVY).answers
    assert (answers.drag.answer, answers.drag.corners, answers.drag.beside) == ("yes", (first, second), ())


def test_of_a_line_that_stays_cold_a_brake_as_warm_as_the_others_is_no_part() -> None:
    """Three single brakes dead on three axles in a row: their mates do their part."""
    dead = dict.fromkeys(("3L", "4L", "5L"), 7.0)
    answers = told(walked(dict.fromkeys(COMBINATION_K, 72.0) | dead, COMBINATION), HEAVY).answers
    assert (answers.idle.answer, set(answers.idle.corners)) == ("yes", set(dead))


def test_axles_are_unlike_although_one_side_of_the_warm_one_is_far_hotter() -> None:
    """Fronts at the air, rears 145 and 76 K: rears drag, or fronts do nothing; one log never decides."""
    lorry = Walk(rounds=3, description=described("steer", "drive", weight_class="heavy"))
    answers = told(walked({"1L": 7.0, "1R": 8.0, "2L": 145.0, "2R": 76.0}, lorry), HEAVY).answers
    for answer in (answers.drag, answers.idle):
        assert answer.answer != "yes"
        assert "axles_unlike" in {reason.code for reason in answer.reasons}


def test_one_hot_brake_does_not_make_its_axle_unlike_the_other() -> None:
    lorry = Walk(rounds=3, description=described("steer", "drive", weight_class="heavy"))
    answers = told(walked({"1L": 60.0, "1R": 62.0, "2L": 300.0, "2R": 60.0}, lorry), HEAVY).answers
    assert answers.drag.corners == ("2L",)
    assert "axles_unlike" not in {reason.code for reason in answers.drag.reasons}


def test_the_heat_of_a_vehicle_is_that_of_the_brakes_that_work() -> None:
    """A trailer without brakes behind a warm tractor: its six cold brakes do not make the vehicle cool."""
    dead = {corner: 1.0 for corner in COMBINATION_K if corner[0] in "345"}
    heat = told(walked(COMBINATION_K | dead, COMBINATION), HEAVY).answers.heat
    (reason,) = heat.reasons
    assert (heat.answer, reason.code) == ("no", "heat_usual")
    working = [rise for corner, rise in COMBINATION_K.items() if corner not in dead]
    # what the curves make of it: within a kelvin or two of the mean of the four
    assert abs(reason.numbers["rise_k"] - sum(working) / len(working)) < 15.0


def test_of_one_brake_read_alone_no_others_are_spoken_of() -> None:
    alone = told(walked({"1L": 160.0}, Walk(rounds=1))).answers.drag
    assert "other brakes" not in str(reason_sentence(alone.reasons[0]))
