"""Cases in which an earlier version gave an all-clear, a wrong name or dangerous advice; one test each.

Walks and logs are made up; what each must say is engineering judgement, common practice, no source, and is
written in the test's name.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
import pytest
from judgecases import LORRY_K, VAN_K, Walk, all_told, axle_of, corner_of, described, table, told, walked
from msgspec.structs import replace

from thermlog.judging.diagnose import Settings, diagnoses, judge
from thermlog.reading.read import read_content
from thermlog.reports.chartwords import alt_text
from thermlog.reports.report_text import last_lines, report
from thermlog.reports.summary import headline
from thermlog.words.findings import Answer, Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.reasons import DRIVES
from thermlog.words.tables import Readings, Seen

USUAL = Settings()
CAR = described("steer", "drive")
LORRY = described("steer", "drive", "drive", weight_class="heavy")
ODD = {"yes", "watch"}
WARM_K = {corner: 0.6 * rise_k for corner, rise_k in VAN_K.items()}
Corners: TypeAlias = tuple[str, ...]


def log_of(**degc: tuple[str, ...]) -> str:
    """A log of rounds every four minutes; what stands for a corner stands in the log as given."""
    lines = ["# ambient: 18 C", "# drive: normal", "time,position,temp_c"]
    for turn in range(len(next(iter(degc.values())))):
        for place, (name, values) in enumerate(degc.items()):
            minutes, seconds = divmod(30 + 240 * turn + 15 * place, 60)
            lines.append(f"{minutes:02d}:{seconds:02d},{name.replace('_', ' ')},{values[turn]}")
    return "\n".join(lines) + "\n"


def said(text: str) -> Diagnosis:
    return next(iter(diagnoses(judge(read_content(text.encode(), file="walk.csv").readings, USUAL))))


def codes(answer: Answer) -> list[str]:
    return [reason.code for reason in answer.reasons]


def decides(one: Diagnosis) -> set[str]:
    return {step.code for a in (one.answers.drag, one.answers.idle, one.answers.heat) for step in a.decides}


def is_open(one: Diagnosis, *corners: str) -> None:
    """Neither question is cleared, the exit code asks for a look, and the corners are named."""
    assert one.answers.drag.answer not in {"no", "yes"}
    assert one.answers.idle.answer not in {"no", "yes"}
    assert one.flagged
    assert set(corners) <= set(one.answers.drag.corners)


EVEN = {"front_right": ("92", "82", "73"), "rear_left": ("58", "53", "48"), "rear_right": ("57", "52", "47")}


# no all-clear without sight


def test_hot_wheel_typed_with_an_unknown_word_is_no_all_clear() -> None:
    one = said(log_of(fromt_leeft=("188", "165", "146"), **EVEN))
    is_open(one, "1L")
    assert "unknown_wheel" in codes(one.answers.drag)
    assert "name_wheel" in decides(one)
    assert "1L" not in {corner.corner for corner in one.corners}


def test_rear_wheels_over_range_are_no_all_clear() -> None:
    one = said(
        log_of(
            **{**EVEN, "front_left": ("93", "83", "74"), "rear_left": ("OL",) * 3, "rear_right": ("OL",) * 3}
        )
    )
    is_open(one, "2L", "2R")
    assert "over_range" in codes(one.answers.drag)
    assert "above the gun's range" in headline(one)


@pytest.mark.parametrize("word", ["", "---", "n/a"])
def test_a_wheel_without_a_value_is_no_all_clear(word: str) -> None:
    one = said(log_of(**{**EVEN, "front_left": ("93", "83", "74"), "rear_left": (word,) * 3}))
    is_open(one, "2L")
    assert "read_unread" in decides(one)


def test_a_side_that_was_not_read_is_no_all_clear() -> None:
    one = told(walked({corner: rise_k for corner, rise_k in VAN_K.items() if corner != "2R"}), USUAL)
    is_open(one, "2R")
    assert axle_of(one, 2).verdict == "cannot_tell"
    assert axle_of(one, 1).verdict == "even"


def test_an_axle_that_the_description_states_and_nobody_read_is_no_all_clear() -> None:
    walk = Walk(description=described("steer", "drive", "drive", weight_class="heavy"))
    one = told(walked({corner: LORRY_K[corner] for corner in ("1L", "1R", "2L", "2R")}, walk), USUAL)
    is_open(one, "3L", "3R")
    assert codes(one.answers.drag)[0] == "not_read"


def test_an_axle_that_other_axles_imply_is_no_all_clear() -> None:
    one = told(walked({corner: LORRY_K[corner] for corner in ("1L", "1R", "3L", "3R")}), USUAL)
    is_open(one, "2L", "2R")


def test_a_stated_lifted_axle_need_not_be_read() -> None:
    walk = Walk(description=described("steer", "drive", "lift", weight_class="heavy"))
    one = told(walked({corner: LORRY_K[corner] for corner in ("1L", "1R", "2L", "2R")}, walk), USUAL)
    assert (one.answers.drag.answer, one.answers.idle.answer, one.flagged) == ("no", "no", False)


# air, climbing, standing


@pytest.mark.parametrize("below_k", [1.0, 2.5, 4.0])
@pytest.mark.parametrize("corner", list(VAN_K))
def test_dead_brake_a_few_kelvin_below_the_stated_air_is_found(corner: str, below_k: float) -> None:
    dead = (-below_k, 1e9)  # it stays where it is
    one = told(walked(VAN_K | {corner: dead}, Walk(rounds=4, noise_k=0.3, description=CAR)), USUAL)
    assert one.answers.idle.answer == "yes" or (one.answers.idle.answer == "watch" and below_k > 3.0)
    assert one.answers.idle.corners == (corner,)
    assert one.answers.drag.answer not in ODD
    assert ("below_air" in codes(one.answers.idle)) == (below_k > 2.0)  # less is the scatter of readings
    assert corner_of(one, corner).verdict in {"cold", "watch"}


def climbing(corners: Corners, *, by_k: float = 6.0, noise_k: float = 0.0) -> Readings:
    """A car of which some corners climb steadily, a little each round; the others cool."""
    rng, rows = np.random.default_rng(3), []
    for turn in range(5):
        for place, (name, rise_k) in enumerate(WARM_K.items()):
            time_s = 20.0 + 180.0 * turn + 15.0 * place
            way = by_k * turn / 4 if name in corners else rise_k * (np.exp(-time_s / 1800.0) - 1.0)
            degc = 18.0 + rise_k + way + noise_k * rng.normal()
            rows.append((int(name[0]), "LR".index(name[1]), 0, time_s, float(degc)))
    return table(rows, Walk(description=CAR))


@pytest.mark.parametrize("by_k", [4.0, 8.0, 20.0])
def test_four_corners_that_climb_are_never_cleared(by_k: float) -> None:
    one = told(climbing(tuple(VAN_K), by_k=by_k, noise_k=0.2), USUAL)
    is_open(one, *VAN_K)
    assert codes(one.answers.drag) == ["rising"]
    assert decides(one) >= {"wait_and_read"}
    assert all(corner.tau_s is None for corner in one.corners)


def test_one_corner_that_climbs_is_not_cleared_and_the_others_are_told() -> None:
    one = told(climbing(("2R",)), USUAL)
    is_open(one, "2R")
    assert (axle_of(one, 1).verdict, axle_of(one, 2).verdict) == ("even", "cannot_tell")


def test_held_gun_is_no_measurement() -> None:
    made = walked(VAN_K)
    one = told(replace(made, indicated_degc=np.full(made.rows, 85.0)), USUAL)
    assert (one.answers.drag.answer, one.answers.idle.answer) == ("cannot_tell", "cannot_tell")
    assert {axle.verdict for axle in one.axles} == {"cannot_tell"}
    assert "held" in codes(one.answers.drag)
    assert "release_hold" in decides(one)


# urgent first


def test_tyre_at_118_degrees_is_the_headline() -> None:
    tyres = {"1L tyre_outer": 30.0, "1R tyre_outer": 100.5}
    one = told(walked(VAN_K | tyres, Walk(noise_k=0.0, first_s=0.0, step_s=0.0)), USUAL)
    assert [(urgent.code, urgent.corner) for urgent in one.urgent] == [("tyre_hot", "1R")]
    assert one.flagged
    assert "STOP DRIVING: tyre front right 118 °C" in headline(one)
    assert decides(one) <= {"clear_and_wait"}


@pytest.mark.parametrize("code", ["smoke", "glow", "flame", "smell"])
def test_what_was_seen_stops_everything_whatever_the_gun_says(code: str) -> None:
    readings = walked(dict.fromkeys(VAN_K, 5.0))
    seen = replace(readings.cases[0], seen=(Seen(code=code, corner=None),))  # type: ignore[arg-type]
    one = told(replace(readings, cases=(seen,)), USUAL)
    assert [urgent.code for urgent in one.urgent] == [code]
    assert decides(one) == {"clear_and_wait"}
    assert one.next_check is not None
    assert "STOP DRIVING" in headline(one)


@pytest.mark.parametrize(
    ("place", "rise_k"), [("brake", 300.0), ("hub", 125.0), ("caliper", 140.0), ("drum", 423.0)]
)
def test_above_an_urgent_line_nobody_works_and_nobody_drives(place: str, rise_k: float) -> None:
    spot = {
        "1L": 95.0,
        "1R": 94.0,
        "2L": 60.0,
        "2R": 61.0,
        f"2R {place}" if place != "brake" else "2R": rise_k,
    }
    one = told(walked(spot, Walk(noise_k=0.0, first_s=0.0, description=CAR)), USUAL)
    assert one.urgent
    assert decides(one) <= {"clear_and_wait"}
    assert one.next_check is not None
    do_next = last_lines(one)[2].lower()
    assert "keep clear" in do_next or "no work" in do_next
    for word in ("lift", "raise", "rock the wheel", "gauge", "drive again", "drive at"):
        assert word not in do_next


@pytest.mark.parametrize("corner", list(VAN_K))
def test_no_drive_is_proposed_from_200_degrees_on(corner: str) -> None:
    """Hot, yet below the urgent line of 300 °C: cool, then turn by hand."""
    hot = dict.fromkeys(VAN_K, 190.0) | {corner: 225.0}
    one = told(walked(hot, Walk(rounds=2, noise_k=0.0, first_s=0.0, description=CAR)), USUAL)
    assert not one.urgent
    assert one.flagged
    assert not decides(one) & DRIVES
    assert "Drive" not in last_lines(one)[2]


def test_a_dead_rear_axle_is_checked_standing_and_never_driven_loaded() -> None:
    two = described("steer", "drive", weight_class="heavy")
    dead = {"1L": 80.0, "1R": 81.0, "2L": 3.0, "2R": 4.0}
    one = told(walked(dead, Walk(rounds=4, description=two)), USUAL)
    assert one.answers.idle.answer in ODD
    assert one.answers.idle.corners == ("2L", "2R")
    assert "drive_loaded" not in decides(one)
    assert one.next_check is not None
    assert "loaded" not in last_lines(one)[2]
    assert not {reason.code for axle in one.axles for reason in axle.reasons} & {"cold_by_design"}


# clear gaps


def test_left_front_39_kelvin_above_right_is_at_least_a_watch_with_rears_as_warm() -> None:
    """1.7 to 1: whichever way it is read, the gap is said with its shares and with what separates them."""
    warm = {"1L": 95.0, "1R": 56.0, "2L": 60.0, "2R": 61.0}
    one = told(walked(warm, Walk(rounds=4, noise_k=0.3)), USUAL)
    assert one.answers.drag.answer in ODD
    assert one.answers.drag.corners == ("1L",)
    assert axle_of(one, 1).verdict in {"watch", "hot"}
    gap = next(reason for reason in one.answers.drag.reasons if reason.code in {"gap_open", "stands_out_hot"})
    assert gap.corners == ("1L", "1R")
    assert gap.numbers["difference_k"] == pytest.approx(39.0 * np.exp(-140.0 / 1800.0), abs=1.5)
    if gap.code == "gap_open":
        shares = [gap.numbers[f"share_{name}"] for name in ("drag", "idle", "skins", "reading")]
        assert sum(shares) == pytest.approx(1.0)
    assert one.answers.drag.answer == "yes" or decides(one) & {
        "mark_and_read",
        "coast_drive",
        "cool_and_turn",
    }


def test_the_class_is_asked_for_where_nothing_describes_two_axles() -> None:
    gap = {"1L": 84.0, "1R": 60.0, "2L": 40.0, "2R": 40.0}
    assert "state_class" in decides(told(walked(gap), USUAL))
    assert "state_class" not in decides(told(walked(gap, Walk(description=CAR)), USUAL))


def test_hot_stands_in_text_and_chart_only_where_an_answer_says_yes() -> None:
    """Once the chart said HOT where the text said watch."""
    one = told(
        walked({"1L": 149.0, "1R": 104.0, "2L": 63.0, "2R": 64.0}, Walk(description=CAR)), USUAL, curves=True
    )
    assert one.answers.drag.answer == "watch"
    for text in (report(one, load_policy("light")), alt_text(one, "C")):
        assert "HOT" not in text
        assert "! watch" in text


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


# whole axles


def test_idle_fronts_and_dragging_rears_on_two_axles_are_axles_unlike_and_never_decided() -> None:
    unlike = {"1L": 12.0, "1R": 13.0, "2L": 70.0, "2R": 71.0}
    one = told(walked(unlike, Walk(rounds=4, description=CAR)), USUAL)
    drag, idle = one.answers.drag, one.answers.idle
    assert "yes" not in {drag.answer, idle.answer}
    assert "watch" in {drag.answer, idle.answer}
    for answer in (drag, idle):
        assert "axles_unlike" in codes(answer)
        assert answer.decides[0].code in {"coast_drive", "cool_and_turn"}
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


def test_an_open_gap_that_sinks_without_braking_was_an_idle_mate() -> None:
    normal, _ = both_drives(VAN_K | {"2R": 105.0}, COOL_K)
    assert normal.answers.drag.answer == "no"
    assert (normal.answers.idle.answer, normal.answers.idle.corners) == ("yes", ("2L",))
    assert codes(normal.answers.idle) == ["stands_out_cold", "sunk_without_braking"]


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
