"""Answers, the words beside corners, the shares of a gap, hubs and limits: single functions, numbers by hand.

All numbers invented; marks are read from the policy.
"""

from __future__ import annotations

import numpy as np
import pytest
from answercases import CAR, EVEN, NO, POLICY, USUAL, WALK, answers, blind, facts_of, kept, open_drag
from judgecases import COMBINATION_K, HEAVY, HUBS, LIGHT, VAN_K, Walk, corner_of, described, told, walked
from msgspec.structs import replace

from thermlog.judging.alternatives import gap_open
from thermlog.judging.answers import answers_of
from thermlog.judging.nextsteps import Danger, with_decides
from thermlog.judging.uncleared import ShownTogether
from thermlog.judging.verdict import axle_verdict, corner_verdict, pattern_of
from thermlog.reading.read import read_content
from thermlog.words.findings import Answer, Answers
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import mate_of

# words beside corners and axles


def test_words_beside_corners_follow_the_answers() -> None:
    hot = Reason(code="stands_out_hot", corners=("1L", "1R"))
    cold = Reason(code="stands_out_cold", corners=("2R", "2L"))
    both = Answers(
        drag=Answer(answer="yes", corners=("1L",), reasons=(hot,)),
        idle=Answer(answer="yes", corners=("2R",), reasons=(cold,)),
        heat=NO,
    )
    words = {corner: corner_verdict(corner, both, EVEN)[0] for corner in VAN_K}
    assert words == {"1L": "hot", "1R": "even", "2L": "even", "2R": "cold"}
    assert axle_verdict(1, {"1L": "hot", "1R": "even"}, both, EVEN) == ("hot", "1L", (hot,))
    assert axle_verdict(2, {"2L": "even", "2R": "cold"}, both, EVEN) == ("cold", "2R", (cold,))
    pattern = pattern_of(both, EVEN, ())
    assert (pattern.kind, pattern.corners) == ("several", ("1L", "2R"))


@pytest.mark.parametrize(("word", "verdict"), [("yes", "hot"), ("watch", "watch")])
def test_a_watch_is_never_hot(word: str, verdict: str) -> None:
    assert corner_verdict("1L", answers(word, "1L"), EVEN)[0] == verdict
    assert axle_verdict(1, {"1L": verdict, "1R": "even"}, answers(word, "1L"), EVEN)[1] == (
        "1L" if word == "yes" else None
    )


def test_what_is_not_seen_is_beside_its_corner_and_nowhere_else() -> None:
    hidden = replace(EVEN, uncleared=kept(blind("over_range", "1L")))
    none = Answers(drag=Answer(answer="cannot_tell", corners=("1L",)), idle=NO, heat=NO)
    assert corner_verdict("1L", none, hidden)[0] == "cannot_tell"
    assert corner_verdict("1R", none, hidden)[0] == "even"
    limit = open_drag(Reason(code="limit_above_line", corners=("2L",)), corners=("2L",))
    assert [corner_verdict(corner, limit, EVEN)[0] for corner in VAN_K] == [
        "even",
        "even",
        "cannot_tell",
        "even",
    ]
    blocked = replace(EVEN, uncleared=kept(shown=ShownTogether(hottest_degc=85.0, all_alike=True)))
    assert {corner_verdict(corner, none, blocked)[0] for corner in ("1R", "2L")} == {"cannot_tell"}


def test_kinds_follow_the_answer_where_the_best_explanation_names_others() -> None:
    for corners, kind in ((("2L",), "corner_hot"), (("2L", "2R"), "axle_hot"), (("1L", "2R"), "several")):
        assert pattern_of(answers("yes", *corners), EVEN, ()).kind == kind
    none = Answers(drag=NO, idle=NO, heat=NO)
    assert pattern_of(none, EVEN, ()).kind == "none"
    assert pattern_of(none, EVEN, ("1R",)).kind == "hub_hot"
    assert pattern_of(answers("watch", "1L"), EVEN, ("1R",)).kind == "hub_hot"
    assert pattern_of(answers("yes", "1L"), EVEN, ("1R",)).kind == "corner_hot"
    assert pattern_of(answers("cannot_tell", "1L"), EVEN, ()).kind == "cannot_tell"
    cold = Answers(drag=NO, idle=Answer(answer="watch", corners=("2L", "2R")), heat=NO)
    assert pattern_of(cold, EVEN, ()).kind == "axle_cold"


@pytest.mark.parametrize(("no_drive", "drive"), [(False, "drive_with_braking"), (True, "static_check")])
def test_what_hides_a_brake_that_does_nothing_is_sharpened_by_braking(no_drive: bool, drive: str) -> None:
    """A drive without braking tells nothing of it; where nobody may drive it is tried standing."""
    hidden = Reason(code="limit_above_line", corners=("1L",), numbers={"share_line": 0.8})
    open_idle = Answer(answer="cannot_tell", corners=("1L",), reasons=(hidden,))
    asked = with_decides(
        Answers(drag=NO, idle=open_idle, heat=NO), EVEN, Danger(urgent=False, no_drive=no_drive)
    )
    codes = [step.code for step in asked.idle.decides]
    assert drive in codes
    assert "coast_drive" not in codes


# alternatives of a gap


def test_shares_of_a_gap_add_up_and_follow_its_size() -> None:
    small, large = (facts_of(VAN_K | {"1L": rise_k}, replace(WALK, rounds=1)) for rise_k in (140.0, 220.0))
    shares = [gap_open(facts.axles[1], POLICY).numbers for facts in (small, large)]
    for numbers in shares:
        parts = [numbers[f"share_{name}"] for name in ("drag", "idle", "skins", "reading")]
        assert sum(parts) == pytest.approx(1.0)
        assert min(parts) >= 0.0
    assert shares[1]["share_drag"] > shares[0]["share_drag"]
    assert shares[1]["share_drag"] > shares[1]["share_idle"]
    more = facts_of(VAN_K | {"1L": 220.0}).axles[1]
    rest = [
        n["share_reading"] / (n["share_reading"] + n["share_skins"])
        for n in (shares[1], gap_open(more, POLICY).numbers)
    ]
    assert rest[0] > rest[1]  # several shots rarely all miss


# answers


def test_heat_of_the_whole_vehicle_opens_the_first_question() -> None:
    """Were every brake hot, "no brake drags" would be no answer."""
    policy = EVEN.policy
    for p, word in (
        (policy.heat_watch_probability - 0.01, "no"),
        (policy.heat_watch_probability, "watch"),
        (policy.heat_call_probability, "yes"),
    ):
        found = answers_of(replace(EVEN, p_heat=p))
        assert found.heat.answer == word
        assert found.drag.answer == {"yes": "watch", "watch": "cannot_tell"}.get(word, "no")
    assert answers_of(replace(EVEN, p_heat=None)).heat.answer == "cannot_tell"


def test_probabilities_call_from_the_marks_of_the_policy_on() -> None:
    hot = facts_of(VAN_K | {"1L": 230.0})
    for p, word in (
        (hot.policy.drag_call_probability, "yes"),
        (hot.policy.drag_call_probability - 0.01, "watch"),
        (hot.policy.doubt_probability, "watch"),
    ):
        assert answers_of(replace(hot, drag=replace(hot.drag, p=p))).drag.answer == word
    cold = facts_of(VAN_K | {"1L": 4.0})
    for p, word in (
        (cold.policy.idle_call_probability, "yes"),
        (cold.policy.idle_call_probability - 0.01, "watch"),
    ):
        assert answers_of(replace(cold, idle=replace(cold.idle, p=p))).idle.answer == word


def test_a_gap_below_the_watch_difference_is_watched_and_never_called() -> None:
    small = facts_of(VAN_K | {"1L": 117.0})
    probable = replace(small, drag=replace(small.drag, p=0.9, kind="corner_hot", corners=("1L",)))
    assert answers_of(probable).drag.answer == "watch"


def test_what_could_hide_is_never_no() -> None:
    assert answers_of(replace(EVEN, hides_drag=("1L",))).drag.answer == "cannot_tell"
    assert answers_of(replace(EVEN, hides_idle=("2L",))).idle.answer == "cannot_tell"
    assert answers_of(EVEN).drag.answer == answers_of(EVEN).idle.answer == "no"


def test_one_axle_alone_cannot_say_which_side_is_the_odd_one() -> None:
    one = facts_of({"1L": 100.0, "1R": 40.0}, replace(WALK, description=described("trailer")))
    found = answers_of(one)
    assert found.drag.answer == "watch"
    assert "yes" not in {found.drag.answer, found.idle.answer}


def test_unlike_cooling_is_watched() -> None:
    """Three times the time constant on one side, eight rounds."""
    unlike = VAN_K | {"1L": (105.0, 1300.0), "1R": (95.0, 3900.0)}
    found = answers_of(facts_of(unlike, Walk(rounds=8, noise_k=0.2, description=CAR)))
    assert found.drag.answer in {"watch", "yes"}
    assert {"cools_unlike", "gap_open", "stands_out_hot"} & {reason.code for reason in found.drag.reasons}


# hubs


@pytest.mark.parametrize("corner", ["1L", "1R"])
def test_hub_far_above_its_mate_points_to_the_bearing(corner: str) -> None:
    one = told(walked(VAN_K | HUBS | {f"{corner} hub": 90.0}), USUAL)
    hub, mate = corner_of(one, corner, "hub"), corner_of(one, mate_of(corner), "hub")
    assert (hub.verdict, mate.verdict) == ("hot", "even")
    assert [reason.code for reason in hub.reasons] == ["hub_over_mate"]
    assert hub.reasons[0].numbers["mark_k"] == POLICY.hub_over_mate_k
    assert (one.pattern.kind, one.pattern.corners) == ("hub_hot", (corner,))
    assert corner_of(one, corner).verdict == "even"
    assert (hub.p_hot or 0.0) > 0.9
    assert (mate.p_hot or 1.0) < 0.1


@pytest.mark.parametrize(("over_k", "kind"), [(-0.2, "none"), (0.2, "hub_hot")])
def test_mark_of_hubs_is_that_of_the_policy(over_k: float, kind: str) -> None:
    """Six rounds without noise, both hubs cooling alike; at the common time of 140 s."""
    at_common = np.exp(-140.0 / 1800.0)
    hubs = {"1L hub": 20.0 + (POLICY.hub_over_mate_k + over_k) / at_common, "1R hub": 20.0}
    assert told(walked(VAN_K | hubs, Walk(rounds=6, noise_k=0.0)), USUAL).pattern.kind == kind


def test_healthy_hubs_are_improbable_and_grow_with_the_gap() -> None:
    p = [
        corner_of(
            told(walked(VAN_K | {"1L hub": 20.0 + gap, "1R hub": 20.0}, WALK), USUAL), "1L", "hub"
        ).p_hot
        or 0.0
        for gap in (0.0, 10.0, 20.0, 40.0)
    ]
    assert p == sorted(p)
    assert p[0] < 0.05
    assert p[-1] > 0.9


def test_hub_far_above_its_own_brake_needs_no_mate() -> None:
    over = told(walked(VAN_K | {"2L hub": 64.0 + POLICY.hub_stop_k + 10.0}), USUAL)
    assert corner_of(over, "2L", "hub").verdict == "hot"
    assert corner_of(over, "2L", "hub").reasons[0].code == "hub_over_brake"
    below = told(walked(VAN_K | {"2L hub": 64.0 + POLICY.hub_stop_k - 12.0}), USUAL)
    # within that mark; it is past the line of any hub, and hot for that alone
    assert [reason.code for reason in corner_of(below, "2L", "hub").reasons] == ["past_line"]


def test_hub_above_an_idle_brake_or_a_single_shot_at_it_is_no_bearing() -> None:
    warm = VAN_K | {"1L": 5.0, "1L hub": 80.0, "1R hub": 80.0}
    assert corner_of(told(walked(warm), USUAL), "1L", "hub").verdict == "even"
    assert corner_of(told(walked(warm, Walk(rounds=1)), USUAL), "1L", "hub").verdict == "even"


def test_lone_hub_without_brake_cannot_be_told() -> None:
    one = told(walked({"1L hub": 60.0}), USUAL)
    hub = corner_of(one, "1L", "hub")
    assert (hub.verdict, hub.reasons[0].code, hub.p_hot) == ("cannot_tell", "hub_alone", None)
    assert (one.pattern.kind, one.axles) == ("cannot_tell", ())


def test_called_brake_comes_before_a_hot_hub() -> None:
    one = told(walked(VAN_K | HUBS | {"2R": 190.0, "1L hub": 90.0}), USUAL)
    assert (one.pattern.kind, one.pattern.corners) == ("corner_hot", ("2R",))
    assert corner_of(one, "1L", "hub").verdict == "hot"


# limits


def test_limits_fall_with_readings_and_what_one_more_round_makes_is_said() -> None:
    """More readings never raise the least drag that would have shown; 5 % for the search's steps."""
    least = []
    for rounds in (1, 2, 4):
        one = told(walked(VAN_K, replace(WALK, rounds=rounds, noise_k=0.3)), USUAL)
        least.append(max(limit.rise_k or 1e3 for limit in one.answers.drag.detectable))
    assert least[1] < 1.05 * least[0]
    assert least[2] < 1.05 * least[1]


def test_a_drag_that_could_hide_carries_its_limit_and_what_would_lower_it() -> None:
    one = told(walked(dict.fromkeys(VAN_K, 100.0), replace(WALK, rounds=1)), USUAL)
    drag = one.answers.drag
    assert drag.answer == "cannot_tell"
    limit = next(reason for reason in drag.reasons if reason.code == "limit_above_line")
    assert limit.numbers["limit_k"] > limit.numbers["line_k"]
    asked = {one.corner: one.rise_k for one in drag.detectable if one.corner in drag.corners}
    assert limit.corners[0] == max(asked, key=lambda corner: asked[corner] or np.inf)
    step = next(step for step in drag.decides if step.code == "another_round")
    assert 0.0 <= step.numbers.get("after_k", 0.0) < limit.numbers["limit_k"]  # said where it helps


def test_a_log_without_sight_has_no_limits() -> None:
    held = read_content(
        b"# ambient: 18 C\ntime_s,position,temp_c\n10,1L,85\n20,1R,85\n30,2L,85\n40,2R,85\n",
        file="x.csv",
    )
    one = told(held.readings, USUAL)
    assert (one.answers.drag.answer, one.answers.drag.detectable) == ("cannot_tell", ())


def test_a_brake_below_the_air_is_never_said_to_work() -> None:
    """However sure the model is: 1.9 K below an air stated to 2 K."""
    left = replace(EVEN.axles[2].left, rise_k=-1.9)
    axles = {**EVEN.axles, 2: replace(EVEN.axles[2], left=left, difference_k=None)}
    # without a usual share of heat between its axles
    facts = replace(EVEN, axles=axles, vehicle=replace(CAR, regenerative=True))
    idle = answers_of(facts).idle
    assert (idle.answer, idle.corners) == ("cannot_tell", ("2L",))
    assert idle.reasons[0].code == "below_air"


def test_a_brake_that_may_drag_is_not_asked_whether_it_could_hide_a_loss() -> None:
    """It makes its own heat: what it would do without is another drive."""
    watched = facts_of(VAN_K | {"1L": 143.0})
    assert answers_of(watched).drag.answer == "watch"
    assert answers_of(replace(watched, hides_idle=("1L",))).idle.answer == "no"


def test_an_axle_hot_on_both_sides_has_no_single_odd_corner() -> None:
    both = answers("yes", "2L", "2R")
    assert axle_verdict(2, {"2L": "hot", "2R": "hot"}, both, EVEN)[:2] == ("hot", None)


def test_a_no_states_the_corner_at_which_most_could_have_hidden() -> None:
    one = told(walked(VAN_K, replace(WALK, noise_k=0.3)), USUAL)
    for answer, name in ((one.answers.drag, "rise_k"), (one.answers.idle, "lost_share")):
        least = {limit.corner: getattr(limit, name) for limit in answer.detectable}
        stated = next(reason for reason in answer.reasons if reason.code == "limit_below_line")
        assert least[stated.corners[0]] == max(least.values())


# two faults


@pytest.mark.parametrize(
    ("change", "dragging", "idle"),
    [
        ({"1L": 8.0, "2L": 5.0}, None, ("1L", "2L")),
        ({"1L": 230.0, "2R": 5.0}, ("1L",), ("2R",)),
        ({"1R": 20.0, "2L": 160.0}, ("2L",), ("1R",)),
    ],
)
def test_two_faults_on_two_axles_are_both_named(
    change: dict[str, float], dragging: tuple[str, ...] | None, idle: tuple[str, ...]
) -> None:
    """Two dead brakes: the healthy mates may be named as an alternative, never called."""
    one = told(walked(VAN_K | change), LIGHT)
    assert (one.answers.idle.answer, one.answers.idle.corners) == ("yes", idle)
    if dragging is None:
        assert one.answers.drag.answer != "yes"
    else:
        assert one.answers.drag.answer in {"yes", "watch"}
        assert one.answers.drag.corners == dragging


def test_a_dead_brake_has_no_least_drag_and_a_dragging_one_no_least_loss() -> None:
    """The one has no heat to drag with; what the other does without its drag is another drive."""
    dead = told(walked(COMBINATION_K | {"4L": 4.0}), HEAVY).answers
    assert dead.idle.corners == ("4L",)
    assert {one.corner for one in dead.drag.detectable} == set(COMBINATION_K) - {"4L"}
    hot = told(walked(VAN_K | {"1L": 230.0}), LIGHT).answers
    assert hot.drag.corners == ("1L",)
    assert "1L" not in {one.corner for one in hot.idle.detectable}
