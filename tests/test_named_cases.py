"""Cases in which an earlier version gave an all-clear, a wrong name or dangerous advice; one test each.

Walks and logs are made up; what each must say is engineering judgement, common practice, no source, and is
written in the test's name.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import pytest
from answercases import decides
from figurewords import alt_text
from judgecases import LORRY_K, VAN_K, Walk, axle_of, corner_of, described, table, told, walked
from msgspec.structs import replace

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_content
from thermlog.reports.report_text import last_lines, report
from thermlog.reports.summary import headline
from thermlog.words.findings import Answer, Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.reasons import DRIVES
from thermlog.words.tables import Readings, Seen

USUAL = Settings()
CAR = described("steer", "drive")
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


def is_open(one: Diagnosis, *corners: str) -> None:
    """Neither question is cleared, the exit code asks for a look, and the corners are named."""
    assert one.answers.drag.answer not in {"no", "yes"}
    assert one.answers.idle.answer not in {"no", "yes"}
    assert one.flagged
    assert set(corners) <= set(one.answers.drag.corners)


EVEN = {"front_right": ("92", "82", "73"), "rear_left": ("58", "53", "48"), "rear_right": ("57", "52", "47")}


# no all-clear for what was not read


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


@pytest.mark.parametrize(
    "code", ["smoke", "glow", "flame", "smell", "sparks", "steam", "burst", "melted", "grease"]
)
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
    for text in (report(one, load_policy("light")), alt_text(one)):
        assert "HOT" not in text
        assert "! watch" in text
