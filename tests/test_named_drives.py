"""Few readings, whole axles, drives without braking, unsure airs and hubs: what once was called or cleared.

Walks are made up; what each must say is engineering judgement, common practice, no source, and is written in
the test's name.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import pytest
from answercases import decides
from judgecases import LORRY_K, VAN_K, Walk, all_told, corner_of, described, told, walked
from msgspec.structs import replace

from thermlog.judging.settings import Settings
from thermlog.reports.report_text import report
from thermlog.reports.summary import headline
from thermlog.words.findings import Answer, Diagnosis
from thermlog.words.policy import load_policy

USUAL = Settings()
CAR = described("steer", "drive")
LORRY = described("steer", "drive", "drive", weight_class="heavy")
ODD = {"yes", "watch"}
WARM_K = {corner: 0.6 * rise_k for corner, rise_k in VAN_K.items()}
Corners: TypeAlias = tuple[str, ...]


def codes(answer: Answer) -> list[str]:
    return [reason.code for reason in answer.reasons]


# few readings


SLIPS: dict[str, Callable[[float], float]] = {
    "fahrenheit among celsius": lambda degc: degc * 1.8 + 32.0,
    "a digit more": lambda degc: degc + 100.0,
    "a digit less": lambda degc: degc / 10.0,
    "digits swapped": lambda degc: float(str(int(degc))[::-1]),
    "missed, at the air": lambda _: 18.0,
    "missed, at a hot part": lambda _: 250.0,
}


@pytest.mark.parametrize("slip", list(SLIPS))
@pytest.mark.parametrize("rounds", [1, 2])
@pytest.mark.parametrize("kind", ["car", "lorry", "rears as warm", "coast", "undescribed"])
def test_one_odd_value_among_few_readings_never_calls(kind: str, rounds: int, slip: str) -> None:
    base, walk = {
        "car": (VAN_K, Walk(description=CAR)),
        "undescribed": (VAN_K, Walk()),
        "lorry": (LORRY_K, Walk(description=LORRY)),
        "rears as warm": (dict.fromkeys(VAN_K, 60.0), Walk(description=CAR)),
        "coast": (dict.fromkeys(VAN_K, 12.0), Walk(description=CAR, drive="coast")),
    }[kind]
    made = walked(base, replace(walk, rounds=rounds))
    odd = []
    for row in range(made.rows):
        degc = made.indicated_degc.copy()
        degc[row] = SLIPS[slip](degc[row])
        case = replace(made.cases[0], vehicle=f"row {row}")
        odd.append(replace(made, indicated_degc=degc, cases=(case,)))
    for one in all_told(odd, USUAL):
        assert "yes" not in {one.answers.drag.answer, one.answers.idle.answer, one.answers.heat.answer}, (
            one.vehicle
        )
        assert "HOT" not in report(one, load_policy(one.policy.name))


def test_the_reading_to_repeat_is_named() -> None:
    one = told(walked(VAN_K | {"1R": 190.0}, Walk(rounds=1, description=CAR)), USUAL)
    assert (one.answers.drag.answer, one.answers.drag.corners) == ("watch", ("1R",))
    again = next(step for step in one.answers.drag.decides if step.code == "read_again")
    assert again.corners == ("1R", "1L")
    assert "single_reading" in codes(one.answers.drag)


def test_a_cold_single_reading_is_read_again_and_its_mate_is_not_called() -> None:
    one = told(walked(VAN_K | {"2L": 1.0}, Walk(rounds=1, description=CAR)), USUAL)
    assert one.answers.idle.answer in {"watch", "cannot_tell"}
    assert one.answers.idle.corners == ("2L",)
    assert one.answers.drag.answer not in ODD
    assert "read_again" in decides(one)


def with_reading(corner: str, place: int, rise_k: float, base: dict[str, float], walk: Walk) -> Diagnosis:
    """What is told where one reading of a corner shows another rise."""
    made = walked(base, walk)
    its = (made.axle == int(corner[0])) & (made.side == "LR".index(corner[1]))
    row = its.nonzero()[0][place]
    shown = made.indicated_degc.copy()
    shown[row] = walk.ambient_degc + rise_k
    return told(replace(made, indicated_degc=shown), USUAL)


def test_two_readings_that_agree_are_not_taken_for_one() -> None:
    cool = {"1L": 31.0, "1R": 30.0, "2L": 7.0, "2R": 19.0}
    one = told(walked(cool, Walk(rounds=2, description=CAR)), USUAL)
    assert (one.answers.idle.answer, one.answers.idle.corners) == ("watch", ("2L",))
    assert "single_reading" not in codes(one.answers.idle)


@pytest.mark.parametrize("place", [0, 1])
def test_a_mate_that_is_warm_by_either_of_its_readings_names_the_dead_brake(place: int) -> None:
    dead = LORRY_K | {"2L": 1.0}
    one = with_reading("2R", place, 0.6 * dead["2R"], dead, Walk(rounds=2, description=LORRY))
    assert one.answers.idle.answer in ODD
    assert one.answers.idle.corners == ("2L",)
    assert "single_reading" not in codes(one.answers.idle)
    assert one.answers.drag.answer not in ODD


@pytest.mark.parametrize("place", [0, 1])
def test_a_gap_that_one_reading_of_the_mate_makes_asks_for_that_mate(place: int) -> None:
    """Two readings of the left brake agree, of the right one either may be odd: the right one is repeated."""
    even = {"1L": 30.0, "1R": 30.0}
    one = with_reading("1R", place, 130.0, even, Walk(rounds=2, description=described("trailer")))
    assert "yes" not in {one.answers.drag.answer, one.answers.idle.answer}
    again = [step.corners for a in one.answers.each for step in a.decides if step.code == "read_again"]
    assert again
    assert set(again) == {("1R", "1L")}


def test_what_is_odd_leads_the_headline() -> None:
    one = told(walked(VAN_K | {"2L": 3.0}, Walk(description=CAR)), USUAL)
    assert (one.answers.drag.answer, one.answers.idle.answer) == ("no", "yes")
    assert headline(one).startswith("- rear left does not work; = no brake drags")


# whole axles


def test_idle_fronts_and_dragging_rears_on_two_axles_are_axles_unlike_and_never_decided() -> None:
    unlike = {"1L": 12.0, "1R": 13.0, "2L": 70.0, "2R": 71.0}
    one = told(walked(unlike, Walk(rounds=4, description=CAR)), USUAL)
    drag, idle = one.answers.drag, one.answers.idle
    assert "yes" not in {drag.answer, idle.answer}
    assert "watch" in {drag.answer, idle.answer}
    for answer in (drag, idle):
        assert "axles_unlike" in codes(answer)
        # fronts with a sixth of their usual share may have no pressure: checked standing, not on the road
        assert answer.decides[0].code in {"static_check", "cool_and_turn"}
        assert "static_check" in {step.code for step in answer.decides}
        assert not {step.code for step in answer.decides} & {"drive_with_braking", "drive_loaded"}
    assert set(drag.reasons[0].corners) == set(VAN_K)
    text = headline(one)
    assert "rear left and rear right drag" in text
    assert "front left and front right do too little" in text


def test_on_three_axles_the_others_tell_which_axle_is_dead() -> None:
    one = told(walked(LORRY_K | {"2L": 2.0, "2R": 3.0}, Walk(rounds=4, description=LORRY)), USUAL)
    assert (one.answers.idle.answer, one.answers.idle.corners) == ("yes", ("2L", "2R"))
    assert one.answers.drag.answer not in ODD


def test_the_warm_mate_of_a_dead_brake_is_not_named() -> None:
    for corner in LORRY_K:
        one = told(walked(LORRY_K | {corner: 1.0}, Walk(rounds=4, description=LORRY)), USUAL)
        assert (one.answers.idle.answer, one.answers.idle.corners) == ("yes", (corner,))
        assert one.answers.drag.answer not in ODD
        assert "even" not in {
            c for a in one.axles if a.axle == int(corner[0]) for c in [r.code for r in a.reasons]
        }


def test_whole_vehicle_heat_has_a_line_of_its_own() -> None:
    one = told(
        walked({corner: 2.6 * rise_k for corner, rise_k in VAN_K.items()}, Walk(description=CAR)), USUAL
    )
    assert one.answers.heat.answer in ODD
    assert codes(one.answers.heat) == ["all_hot"]
    assert "whole vehicle" in headline(one)
    assert one.flagged


# coast drives


COOL_K = dict.fromkeys(VAN_K, 10.0)


def both_drives(normal: dict[str, float], coast: dict[str, float], rounds: int = 4) -> list[Diagnosis]:
    walk = Walk(rounds=rounds, description=CAR)
    return all_told([walked(normal, walk), walked(coast, replace(walk, drive="coast"))], USUAL)


def test_a_coast_log_answers_drags_and_the_normal_log_works() -> None:
    normal, coast = both_drives(VAN_K, COOL_K)
    for one in (normal, coast):
        assert (one.answers.drag.answer, one.answers.idle.answer) == ("no", "no")
        assert not one.flagged
    alone = told(walked(COOL_K, Walk(rounds=4, drive="coast", description=CAR)), USUAL)
    assert (alone.answers.drag.answer, alone.answers.idle.answer) == ("no", "cannot_tell")
    assert codes(alone.answers.idle) == ["nothing_braked"]


def test_a_brake_that_stays_hot_without_braking_drags_in_both_logs() -> None:
    normal, coast = both_drives(VAN_K | {"2R": 90.0}, COOL_K | {"2R": 60.0})
    for one in (normal, coast):
        assert (one.answers.drag.answer, one.answers.drag.corners) == ("yes", ("2R",))
        assert "hot_without_braking" in codes(one.answers.drag)


def test_a_gap_that_sinks_without_braking_was_an_idle_mate_only_where_the_mate_is_cold() -> None:
    """The mate at 63 K is as warm as the fronts lead to expect: it does its part, and the gap is watched."""
    normal, _ = both_drives(VAN_K | {"2R": 105.0}, COOL_K)
    assert (normal.answers.drag.answer, normal.answers.drag.corners) == ("watch", ("2R",))
    assert codes(normal.answers.drag) == ["hot_after_braking"]
    assert normal.answers.idle.answer == "no"


# no air, air unsure


def test_without_an_air_the_log_is_judged_under_several() -> None:
    hot = told(walked(VAN_K | {"1L": 230.0}, Walk(rounds=4, ambient_stated=False, description=CAR)), USUAL)
    assert (hot.answers.drag.answer, hot.answers.drag.corners) == ("yes", ("1L",))
    assert "no_ambient" in codes(hot.answers.drag)
    even = told(walked(VAN_K, Walk(rounds=4, ambient_stated=False, description=CAR)), USUAL)
    assert even.answers.drag.answer == "no"
    assert (hot.ambient_degc, even.ambient_degc, hot.p_fault) == (None, None, None)
    cool = told(
        walked(dict.fromkeys(VAN_K, 8.0), Walk(rounds=4, ambient_stated=False, description=CAR)), USUAL
    )
    assert cool.answers.idle.answer == "cannot_tell"


def test_an_unsure_air_acts_on_both_questions() -> None:
    """Where brakes are 35 K warm, an air known to 1 K shows that they work; one known to 12 K does not."""
    lukewarm = {corner: 0.45 * rise_k for corner, rise_k in VAN_K.items()}
    sure, unsure = (
        told(walked(lukewarm, Walk(rounds=4, ambient_sigma_k=sigma, description=CAR)), USUAL)
        for sigma in (0.5, 15.0)
    )
    assert sure.answers.idle.answer == "no"
    limits = [max(d.lost_share or 2.0 for d in one.answers.idle.detectable) for one in (sure, unsure)]
    assert limits[1] > limits[0]


# hubs


def test_a_hub_has_a_probability_of_its_own_and_is_urgent_far_above_its_mate() -> None:
    hubs = {"1L hub": 20.0, "1R hub": 75.0}
    one = told(walked(VAN_K | hubs, Walk(rounds=3, description=CAR)), USUAL)
    assert [(urgent.code, urgent.corner) for urgent in one.urgent] == [("hub_over_mate", "1R")]
    hub, mate = corner_of(one, "1R", "hub"), corner_of(one, "1L", "hub")
    assert hub.p_hot is not None
    assert hub.p_hot > 0.9
    assert mate.p_hot is not None
    assert mate.p_hot < 0.05
    assert (hub.verdict, mate.verdict) == ("hot", "even")
    assert (one.answers.drag.answer, corner_of(one, "1R").verdict) == ("no", "even")


# an even lukewarm vehicle


def test_a_cool_even_vehicle_says_no_drag_and_asks_for_a_warmer_drive() -> None:
    one = told(
        walked({corner: 0.2 * rise_k for corner, rise_k in VAN_K.items()}, Walk(rounds=4, description=CAR)),
        USUAL,
    )
    assert (one.answers.drag.answer, one.answers.idle.answer) == ("no", "cannot_tell")
    assert codes(one.answers.idle)[0] == "not_enough_heat"
    assert [step.code for step in one.answers.idle.decides] == ["drive_with_braking"]
    assert "no brake drags" in headline(one)
    assert one.flagged


def test_every_no_states_what_would_have_shown() -> None:
    one = told(walked(VAN_K, Walk(rounds=4, description=CAR)), USUAL)
    for answer, name in ((one.answers.drag, "rise_k"), (one.answers.idle, "lost_share")):
        assert answer.answer == "no"
        assert {limit.corner for limit in answer.detectable} == set(VAN_K)
        assert all((getattr(limit, name) or 0.0) > 0.0 for limit in answer.detectable)
        assert "limit_below_line" in codes(answer)
    assert all((limit.torque_nm or 0.0) > 0.0 for limit in one.answers.drag.detectable)


def test_two_axles_far_from_their_usual_share_are_unlike_however_improbable_a_fault() -> None:
    """Three times the usual share; where both axles are too cool for an idle one to show, nothing is said."""
    far = {"1L": 90.0, "1R": 91.0, "2L": 18.0, "2R": 18.5}
    one = told(walked(far, Walk(rounds=4, description=CAR)), USUAL)
    assert codes(one.answers.drag)[0] == codes(one.answers.idle)[0] == "axles_unlike"
    cool = {corner: 0.15 * rise_k for corner, rise_k in far.items()}
    assert "axles_unlike" not in codes(
        told(walked(cool, Walk(rounds=4, description=CAR)), USUAL).answers.drag
    )


def test_a_vehicle_that_brakes_by_its_motor_has_no_usual_share() -> None:
    far = {"1L": 55.0, "1R": 56.0, "2L": 18.0, "2R": 18.5}
    car = replace(CAR, regenerative=True)
    one = told(walked(far, Walk(rounds=4, description=car)), USUAL)
    assert "axles_unlike" not in codes(one.answers.drag)
