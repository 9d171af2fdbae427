"""What keeps a log from being cleared, and what words, airs, steps and hubs follow from numbers.

Single functions with numbers made by hand, all invented; marks are read from the policy.
"""

from __future__ import annotations

import pytest
from answercases import CAR, EVEN, NO, PLAIN, POLICY, USUAL, WALK, answers, blind, facts_of, kept, open_drag
from judgecases import VAN_K, Walk, told_text, walked
from msgspec.structs import replace

from thermlog.judging.airs import under_airs, what_holds, without_air
from thermlog.judging.danger import danger_of
from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.facts import CaseFacts
from thermlog.judging.nextsteps import Danger, with_decides
from thermlog.judging.uncleared import ShownTogether, shown_by, uncleared_of
from thermlog.reading.read import read_content
from thermlog.reports.summary import headline
from thermlog.words.findings import Answers
from thermlog.words.reasons import DRIVES, Reason

AIRS = {"low_degc": 0.0, "high_degc": 30.0}


# wheels not read, and readings that hide a wheel


@pytest.mark.parametrize(
    ("words", "unread"),
    [
        (("LF", "RF"), ("2L", "2R")),
        (("front left", "front right"), ("2L", "2R")),
        (("steer left", "steer right"), ("2L", "2R")),
        (("RL", "RR"), ("1L", "1R")),
        # the trailer's wheels come behind the axles that the tractor's words speak of
        (("LF", "RF", "trailer left", "trailer right"), ("2L", "2R")),
        (("steer left", "steer right", "trailer 1 left", "trailer 1 right"), ("2L", "2R")),
        (("LF", "RF", "LR", "RR"), ()),
        (("1L", "1R"), ()),
    ],
)
def test_words_for_one_end_speak_of_the_other(words: tuple[str, ...], unread: tuple[str, ...]) -> None:
    """A "front" has a rear behind it, and nobody read it; axle 1 alone may be all there is."""
    rows = [
        f"{word},{120 * turn + 20 * place},{98 - 6 * turn}"
        for turn in range(3)
        for place, word in enumerate(words)
    ]
    drag = told_text("\n".join(["# ambient: 18 C", "wheel,elapsed_s,temp_c", *rows])).answers.drag
    named = {corner for one in drag.reasons if one.code == "not_read" for corner in one.corners}
    assert named == set(unread)
    assert (drag.answer == "cannot_tell") == bool(unread)


def test_an_even_log_hides_nothing() -> None:
    found = kept()
    assert (found.corners, found.whole, found.blocks_all, found.reasons) == ({}, (), False, ())


def test_a_stated_axle_without_a_reading_stands_in_the_way() -> None:
    found = kept(drop=(2,))
    assert {corner: reason.code for corner, reason in found.corners.items()} == {
        "2L": "not_read",
        "2R": "not_read",
    }
    assert found.reasons == (Reason(code="not_read", corners=("2L", "2R")),)
    assert not found.blocks_all


def test_nothing_read_at_all_blocks_everything() -> None:
    assert kept(drop=(1, 2)).blocks_all
    assert kept(drop=(1, 2)).whole[0].code == "no_brake_read"


def test_over_range_counts_whatever_else_was_read_there() -> None:
    found = kept(blind("no_value", "1L"), blind("over_range", "1L"), blind("no_value", "1R"))
    assert set(found.corners) == {"1L"}  # 1R was read besides
    assert (found.corners["1L"].code, found.corners["1L"].numbers) == ("over_range", {"line": 7.0})


def test_what_was_tried_and_not_read_says_why() -> None:
    found = kept(blind("set_aside", "2L"), drop=(2,))
    assert found.corners["2L"] == Reason(code="set_aside", corners=("2L",), numbers={"line": 7.0}, quoted="x")
    assert found.corners["2R"].code == "not_read"


def _hottest_degc(corner: str) -> float:
    numbers = EVEN.axle_of(corner)
    assert numbers is not None
    hottest = numbers.side(corner).hottest_degc
    assert hottest is not None
    return hottest


@pytest.mark.parametrize(
    ("code", "past_k", "stands"),
    [("set_aside", 0.1, True), ("set_aside", -0.1, False), ("no_value", 0.1, False)],
)
def test_a_reading_set_aside_counts_where_it_is_clearly_hotter(
    code: str, past_k: float, stands: bool
) -> None:
    """The line is the watch difference of the policy above the hottest reading that was used."""
    value_degc = _hottest_degc("2R") + POLICY.watch_difference_k + past_k
    found = kept(blind(code, "2R", value_degc))
    assert {corner: one.code for corner, one in found.corners.items()} == (
        {"2R": "aside_hotter"} if stands else {}
    )
    if stands:
        one = found.corners["2R"]
        assert (one.numbers["line"], one.numbers["value_degc"], one.quoted) == (7.0, value_degc, "x")
        assert one.numbers["above_k"] == pytest.approx(POLICY.watch_difference_k + past_k)


SHORT_WALK = """air: 16 C
parked: 14:03:00
time,wheel,temp_c
14:03:30,LF,98
14:03:45,RF,101
14:04:05,RR,60
14:04:20,LR,64
14:07:30,LR,58
{}
14:08:05,RF,90
14:08:20,LF,88
"""


@pytest.mark.parametrize(
    ("row", "quoted"),
    [
        ("14:70:45,RR,255", "14:70:45"),
        (",RR,255", ""),
        ("RR,255", "RR | 255"),
        ("14:07:45,RR,255,one,two", "14:07:45 | RR | 255 | one | two"),
        ("14:07:45,RR,2555", "2555"),
    ],
)
def test_a_hot_wheel_is_not_cleared_because_its_reading_was_set_aside(row: str, quoted: str) -> None:
    found = told_text(SHORT_WALK.format(row))
    for answer in (found.answers.drag, found.answers.idle):
        (reason,) = answer.reasons
        assert (answer.answer, reason.code, reason.corners) == ("cannot_tell", "aside_hotter", ("2R",))
        assert (reason.numbers["line"], reason.quoted) == (9.0, quoted)


def test_nothing_is_cleared_beside_something_seen_that_nobody_understands() -> None:
    text = "# seen: rattle at RF\n" + SHORT_WALK.format("14:07:45,RR,55")
    found = told_text(text)
    assert [one.answer for one in found.answers.each] == ["cannot_tell"] * 3
    for answer in found.answers.each:
        (reason,) = answer.reasons
        assert (reason.code, reason.quoted, reason.numbers["line"]) == ("unread_sight", "rattle at rf", 1.0)
        assert answer.decides[0].code == "name_sight"
        assert not {one.code for one in answer.decides} & DRIVES
    assert '"rattle at rf" was noted' in headline(found)


def test_what_is_not_understood_on_the_braked_drive_is_not_cleared_by_the_other() -> None:
    coast = "".join(f"coast,{120 * k},{w},{30 - k}\n" for k in range(3) for w in ("FL", "FR", "RL", "RR"))
    brakes = "".join(
        f"normal,{120 * k},{w},{98 - 6 * k}\n" for k in range(3) for w in ("FL", "FR", "RL", "RR")
    )
    head = "# ambient: 18 C\ndrive,elapsed_s,wheel,temp_c,seen\n"
    rows = (brakes + coast).replace("\n", ",\n").replace("98,\n", "98,rattle\n", 1)
    braked, _ = diagnoses(judge(read_content((head + rows).encode(), file="both.csv").readings, USUAL))
    assert [one.answer for one in braked.answers.each] == ["cannot_tell"] * 3


def test_a_usual_reading_set_aside_leaves_the_answer() -> None:
    assert told_text(SHORT_WALK.format("14:70:45,RR,55")).answers.drag.answer == "no"


@pytest.mark.parametrize(("value", "urgent"), [("655", {"brake_hot"}), ("2555", set())])
def test_an_urgent_reading_set_aside_is_urgent_where_a_wheel_can_be_so_hot(
    value: str, urgent: set[str]
) -> None:
    found = told_text(SHORT_WALK.format(f"14:70:45,RR,{value}")).urgent
    assert {one.code for one in found} == urgent
    assert {one.corner for one in found} <= {"2R"}


def test_a_wheel_only_the_log_names_is_implied() -> None:
    assert set(kept(blind("no_value", "3R")).corners) == {"3L", "3R"}


@pytest.mark.parametrize(
    ("value_degc", "hides"), [(119.0, False), (120.0, False), (121.0, True), (None, True)]
)
def test_a_row_set_aside_without_wheel_hides_one_unless_its_value_is_among_the_others(
    value_degc: float | None, hides: bool
) -> None:
    assert bool(kept(blind("set_aside", None, value_degc)).whole) == hides


@pytest.mark.parametrize("value_degc", [20.0, 85.0, 120.0, 121.0, None])
def test_an_unknown_word_hides_a_wheel_whatever_its_value(value_degc: float | None) -> None:
    """A trailer's brake that drags may be cooler than a van's front brakes: 120 °C is the hottest here."""
    found = kept(blind("unknown_wheel", None, value_degc))
    assert ([one.code for one in found.whole], found.cold) == (["unknown_wheel"], ())


def test_a_row_without_wheel_counts_where_a_wheel_is_missing() -> None:
    found = kept(blind("set_aside", None, 50.0), drop=(2,))
    assert [reason.code for reason in found.whole] == ["unknown_wheel"]


def test_without_air_or_with_a_held_gun_nothing_is_told() -> None:
    held = kept(shown=ShownTogether(hottest_degc=85.0, all_alike=True))
    assert held.blocks_all
    assert held.whole == (Reason(code="held", numbers={"value_degc": 85.0}),)
    airless = replace(EVEN.case, ambient_degc=None)
    assert uncleared_of(airless, CAR, EVEN.axles, POLICY, PLAIN).blocks_all


@pytest.mark.parametrize(
    ("brakes", "ambient_degc", "alike"),
    [
        ([[85.0]] * 4, 18.0, True),
        ([[85.0]] * 3, 18.0, False),
        ([[85.0, 85.0], [85.0], [85.0], []], 18.0, False),
        ([[85.0], [85.0], [85.0], [85.1]], 18.0, False),
        ([[85.0], [85.0], [85.0], [85.0, 84.9]], 18.0, False),
        ([[27.9]] * 4, 18.0, False),
        ([[28.1]] * 4, 18.0, True),
        ([[85.0]] * 4, None, False),
    ],
)
def test_a_gun_on_hold_shows_one_number_at_several_warm_brakes(
    brakes: list[list[float]], ambient_degc: float | None, alike: bool
) -> None:
    """The same at four brakes, more than 10 K above the air: engineering judgement of the module."""
    sides = [
        replace(
            EVEN.axles[1].left,
            readings=len(values),
            hottest_degc=max(values, default=None),
            coldest_degc=min(values, default=None),
        )
        for values in brakes
    ]
    every = [value for values in brakes for value in values]
    shown = ShownTogether(hottest_degc=max(every), all_alike=alike, coldest_degc=min(every))
    assert shown_by(sides, ambient_degc) == shown


@pytest.mark.parametrize(
    ("below_k", "sigma_k", "hidden"), [(5.9, 2.0, False), (6.2, 2.0, True), (6.2, 4.0, False)]
)
def test_a_reading_far_below_the_air_is_no_brake(below_k: float, sigma_k: float, hidden: bool) -> None:
    """Three standard uncertainties of the air, at the common time; read once, it may be a miss."""
    cold = replace(WALK, rounds=1, ambient_sigma_k=sigma_k)
    found = facts_of(VAN_K | {"2L": (-below_k, 1e9)}, cold)
    numbers = replace(found.axles[2], left=replace(found.axles[2].left, rise_k=-below_k))
    reasons = uncleared_of(found.case, CAR, {**found.axles, 2: numbers}, POLICY, PLAIN).corners
    assert (reasons.get("2L", Reason(code="even")).code == "below_air") == hidden


def test_series_that_do_not_cool_say_why() -> None:
    left = EVEN.axles[1].left
    for change, code in (
        ({"rising": True}, "rising"),
        ({"standing": True}, "standing"),
        ({"unchanged": True}, "held"),
        ({"used": 0}, "no_times"),
    ):
        axle = replace(EVEN.axles[1], left=replace(left, **change))
        assert uncleared_of(EVEN.case, CAR, {**EVEN.axles, 1: axle}, POLICY, PLAIN).corners["1L"].code == code


# what decides


def steps(
    answers: Answers, *, urgent: bool = False, no_drive: bool = False, facts: CaseFacts = EVEN
) -> list[str]:
    return [
        step.code
        for step in with_decides(answers, facts, Danger(urgent=urgent, no_drive=no_drive)).drag.decides
    ]


@pytest.mark.parametrize(
    ("why", "do"),
    [
        ("not_read", "read_unread"), ("one_side_read", "read_unread"), ("no_value", "read_unread"),
        ("under_range", "read_unread"), ("over_range", "clear_and_wait"), ("set_aside", "look_at_log"),
        ("aside_hotter", "look_at_log"), ("stray_hotter", "read_again"),
        ("unknown_wheel", "name_wheel"), ("no_times", "write_times"), ("held", "release_hold"),
        ("rising", "wait_and_read"), ("no_ambient", "state_ambient"), ("no_brake_read", "read_unread"),
        ("single_reading", "read_again"),
        ("not_enough_heat", "drive_with_braking"),
        ("axles_unlike", "coast_drive"), ("cools_unlike", "another_round"), ("all_hot", "coast_drive"),
        ("nothing_braked", "drive_with_braking"),
    ],
)  # fmt: skip
def test_every_open_reason_has_its_step(why: str, do: str) -> None:
    """Issue of trust: chosen by reason code, an action in every case."""
    reason = Reason(code=why, corners=("1L",))  # type: ignore[arg-type]
    assert steps(open_drag(reason)) == [do]
    assert steps(open_drag(reason), urgent=True) == ["clear_and_wait"]
    driven = steps(open_drag(reason), no_drive=True)
    assert driven == ["cool_and_turn" if do in DRIVES else do]


def test_a_plain_answer_needs_no_step_and_a_call_is_no_open_one() -> None:
    gap = Reason(code="gap_open", corners=("1L", "1R"))
    assert steps(open_drag(gap, word="no")) == []
    assert steps(open_drag(gap, word="yes")) == []


def test_a_watch_asks_for_readings_first_where_they_are_few() -> None:
    gap = Reason(code="gap_open", corners=("1L", "1R"))
    assert steps(open_drag(gap, word="watch")) == ["coast_drive", "mark_and_read", "repeat_drive"]
    twice = facts_of(VAN_K, replace(WALK, rounds=2))
    assert steps(open_drag(gap, word="watch"), facts=twice)[0] == "another_round"
    coast = facts_of(VAN_K, replace(WALK, drive="coast"))
    assert "coast_drive" not in steps(open_drag(gap, word="watch"), facts=coast)
    assert steps(open_drag(gap, word="watch"), no_drive=True) == ["cool_and_turn"]


def test_a_limit_above_the_line_asks_for_sharper_readings() -> None:
    limit = Reason(code="limit_above_line", corners=("1L",))
    assert steps(open_drag(limit)) == ["coast_drive", "mark_and_read"]
    assert steps(open_drag(limit), facts=facts_of(VAN_K, replace(WALK, rounds=2)))[0] == "another_round"


def test_steps_carry_what_their_sentences_speak_of() -> None:
    reasons = (
        Reason(code="single_reading", corners=("2R",)),
        Reason(code="below_air", corners=("1L",)),
        Reason(code="unknown_wheel", numbers={"line": 9.0}, quoted="fromt"),
        Reason(code="not_enough_heat"),
    )
    cool = facts_of(dict.fromkeys(VAN_K, 10.0))
    found = with_decides(open_drag(*reasons), cool, Danger(urgent=False, no_drive=False)).drag.decides
    again, air, name, drive = found
    assert again.corners == ("2R", "2L")
    assert air.numbers == {"ambient_degc": 18.0}
    assert (name.numbers, name.quoted) == ({"line": 9.0}, "fromt")
    assert drive.numbers["missing_k"] == pytest.approx(POLICY.minimum_rise_k - cool.warmest_k)


# danger


def test_danger_is_urgent_hot_or_a_strong_gap() -> None:
    """No drive from 200 °C on: doing.toml."""
    none = Answers(drag=NO, idle=NO, heat=NO)
    for rise_k, hot in ((181.0, False), (183.0, True)):
        judged = judge(walked(dict.fromkeys(VAN_K, rise_k), replace(WALK, first_s=0.0)), USUAL)
        assert danger_of(judged, 0, none, ()) == Danger(urgent=False, no_drive=hot)
    gap = Reason(code="gap_open", corners=("1L", "1R"), numbers={"difference_k": 90.0, "ratio": 3.0})
    judged = judge(walked(VAN_K, WALK), USUAL)
    assert danger_of(judged, 0, open_drag(gap, word="watch"), ()).no_drive


# airs


@pytest.mark.parametrize(
    ("words", "told_word", "asks"),
    [
        (("no", "no", "no"), "no", False),
        (("yes", "yes", "yes"), "yes", True),
        (("watch", "yes", "yes"), "watch", True),
        (("yes", "yes", "watch"), "watch", True),
        (("no", "watch", "watch"), "cannot_tell", True),
        (("no", "no", "cannot_tell"), "cannot_tell", True),
    ],
)
def test_said_is_what_holds_under_every_air(words: tuple[str, ...], told_word: str, asks: bool) -> None:
    held = what_holds([answers(word, *(() if word == "no" else ("1L",))) for word in words], AIRS).drag
    assert held.answer == told_word
    assert ("no_ambient" in [reason.code for reason in held.reasons]) == asks


def test_other_corners_under_another_air_cannot_be_told() -> None:
    assert (
        what_holds([answers("yes", "1L"), answers("yes", "1L"), answers("yes", "1R")], AIRS).drag.answer
        == "cannot_tell"
    )


def test_airs_reach_from_the_lowest_of_the_policy_to_the_coldest_brake() -> None:
    readings = walked(
        dict.fromkeys(VAN_K, 5.0), Walk(rounds=1, noise_k=0.0, ambient_degc=10.0, ambient_stated=False)
    )
    assert without_air(readings) == (0,)
    airs = [one.cases[0].ambient_degc for one in under_airs(readings, (0,), (POLICY,))]
    low, high = POLICY.unstated_air_low_degc, POLICY.unstated_air_high_degc
    top = min(high, float(readings.indicated_degc.min()) + 2.0)
    assert airs == pytest.approx([low, 0.5 * (low + top), top])
    assert without_air(walked(VAN_K)) == ()
