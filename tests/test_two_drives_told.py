"""Two drives of a vehicle that contradict each other, lack wheels or heat, or are of two days; one order."""

from __future__ import annotations

import pytest
from judgecases import VAN_K, Walk, all_told, described, walked
from msgspec.structs import replace

from thermlog.advice.driving import moving
from thermlog.advice.evidenceload import evidence_table
from thermlog.judging.settings import Settings
from thermlog.reports.report_text import last_lines
from thermlog.reports.summary import headline
from thermlog.words.findings import Diagnosis
from thermlog.words.reasons import Reason
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.tables import Readings, Taken

WALK = Walk(rounds=3, description=described("steer", "drive"), vehicle="van 7", seed=5)
COOL_K = dict.fromkeys(VAN_K, 10.0)
Rises = dict[str, float]


def tables(
    normal: Rises, coast: Rises, dates: tuple[str | None, str | None] = (None, None)
) -> list[Readings]:
    """Both drives as tables, each of its date."""
    made = [walked(normal, WALK), walked(coast, replace(WALK, drive="coast"))]
    return [
        table if date is None else replace(table, cases=(replace(table.cases[0], taken=Taken(start=date)),))
        for table, date in zip(made, dates, strict=True)
    ]


def both(normal: Rises, coast: Rises, dates: tuple[str | None, str | None] = (None, None)) -> list[Diagnosis]:
    """Findings of both drives."""
    return all_told(tables(normal, coast, dates), Settings())


def codes(one: Diagnosis) -> set[str]:
    return {reason.code for answer in one.answers.each for reason in answer.reasons}


@pytest.mark.parametrize(
    ("normal", "coast", "hot", "cold"),
    [
        # hot after braking is the left one, without the right one
        (VAN_K | {"1L": 180.0}, COOL_K | {"1R": 75.0}, "1L", "1R"),
        # cold after braking, and the very same one hot without
        (VAN_K | {"1L": 10.0}, COOL_K | {"1L": 80.0}, "1R", "1L"),
    ],
)
def test_drives_that_contradict_say_so_and_call_nobody(normal, coast, hot, cold):
    for one in both(normal, coast):
        drag, idle, _ = one.answers.each
        assert drag.answer == "watch"
        assert {hot, cold} <= set(drag.corners)
        assert drag.reasons[0].corners == (hot, cold)
        assert idle.answer in {"watch", "cannot_tell"}
        assert "the drives contradict each other" in headline(one)
        assert "every brake read does its part" not in headline(one)
        assert one.next_check.id == "tell_sides"
        assert one.next_check.question.startswith("Do not drive it")
        assert moving(one) == "stands"


def test_a_brake_that_is_hot_on_both_is_no_contradiction():
    braked, _ = both(VAN_K | {"1L": 190.0}, COOL_K | {"1L": 90.0})
    assert "drives_contradict" not in codes(braked)
    assert (braked.answers.drag.answer, braked.answers.drag.corners) == ("yes", ("1L",))
    # nor are both sides that stay hot, one of them the hotter one after braking
    braked, _ = both(VAN_K | {"1L": 190.0}, COOL_K | {"1L": 75.0, "1R": 75.0})
    assert "drives_contradict" not in codes(braked)
    assert {"1L", "1R"} <= set(braked.answers.drag.corners)


def test_a_wheel_the_second_walk_left_out_is_answered_for_by_the_first():
    lacking = {corner: rise for corner, rise in COOL_K.items() if corner != "1L"}
    for one in both(VAN_K, lacking):
        assert one.answers.drag.answer == "no"
        assert "not_read" not in codes(one)
        assert "not_read_rolled" in codes(one)
    # not where the first speaks against it
    braked, _ = both(VAN_K | {"1L": 260.0}, lacking)
    assert (braked.answers.drag.answer, braked.answers.drag.corners) == ("yes", ("1L",))
    # and a gap on an axle that was read without braking is settled by that
    rears = {corner: rise for corner, rise in COOL_K.items() if corner[0] == "1"}
    braked, _ = both(VAN_K | {"1L": 1.45 * VAN_K["1L"]}, rears)
    assert "hot_after_braking" in codes(braked)
    assert braked.answers.drag.answer == "watch"


def test_a_wheel_that_neither_walk_read_is_not_cleared():
    front = {corner: rise for corner, rise in VAN_K.items() if corner != "2R"}
    lacking = {corner: rise for corner, rise in COOL_K.items() if corner != "2R"}
    braked, _ = both(front, lacking)
    assert braked.answers.drag.answer == "cannot_tell"


def test_a_drive_that_left_no_heat_clears_nobody_and_is_named():
    braked, coast = both(VAN_K | {"1L": 1.8 * VAN_K["1L"]}, dict.fromkeys(VAN_K, 0.5))
    assert "barely_rolled" in codes(braked)
    assert "hot_after_braking" not in codes(braked)
    assert braked.answers.drag.answer == coast.answers.drag.answer == "yes"
    assert "barely_rolled" not in codes(both(VAN_K, COOL_K)[0])


@pytest.mark.parametrize(
    ("dates", "joined"),
    [
        (("2026-05-04", "2026-07-20"), False),
        (("2026-05-04T09:00:00", "2026-05-04T15:00:00"), True),
        (("2026-05-04", None), True),
    ],
)
def test_drives_of_other_days_are_not_joined_and_it_is_said(dates, joined):
    braked, coast = both(VAN_K | {"1L": 1.8 * VAN_K["1L"]}, COOL_K, dates)
    assert ("hot_after_braking" in codes(braked)) is joined
    # also of a vehicle on which nothing is found
    for one in (braked, coast, *both(VAN_K, COOL_K, dates)):
        assert any("day" in note and "apart" in note for note in one.notes) is not joined


@pytest.mark.parametrize(
    ("normal", "coast"),
    [
        (VAN_K | {"2L": 4.0}, COOL_K),  # dead, and only the first walk shows it
        (VAN_K | {"1L": 1.7 * VAN_K["1L"]}, COOL_K),  # hot after braking alone
        (VAN_K, COOL_K | {"1L": 75.0}),  # hot without braking alone
        (VAN_K | {"1L": 240.0}, COOL_K | {"1L": 195.0}),  # too hot for a hand on either
    ],
)
def test_a_vehicle_has_one_thing_to_do_and_each_walk_says_where_the_finding_comes_from(normal, coast):
    braked, coasted = both(normal, coast)
    assert braked.next_check == coasted.next_check
    assert braked.next_check.id != "coast_drive"
    steps = {step.code for one in (braked, coasted) for answer in one.answers.each for step in answer.decides}
    assert "coast_drive" not in steps


def test_a_brake_too_hot_for_a_hand_on_one_drive_is_touched_for_neither():
    """The drive that read it cooler would have its wheel lifted while still hot."""
    checks = evidence_table().observations
    for one in both(VAN_K, COOL_K | {"1L": 205.0}):
        assert one.answers.drag.answer == "yes"
        known = checks.get(one.next_check.id)
        assert known is None or not known.touches


def test_what_was_measured_on_this_drive_does_not_contradict_the_finding():
    braked, coasted = both(VAN_K, COOL_K | {"1L": 75.0})
    assert "the finding rests on the drive without braking" in last_lines(braked)[1]
    assert "rests on" not in last_lines(coasted)[1]
    braked, coasted = both(VAN_K | {"2L": 4.0}, COOL_K)
    assert "rests on" not in last_lines(braked)[1]
    assert "the finding rests on the drive with braking" in last_lines(coasted)[1]


def test_the_drive_without_braking_is_asked_to_be_read_at_every_wheel():
    """Two wheels alone left the others of that walk unread, and the answer about them open."""
    step = Reason(code="coast_drive", corners=("1L", "1R"))
    for numbers in ({}, {"minutes_low": 10.0, "minutes_high": 15.0}, {"after_k": 18.0}):
        assert "read every brake at once, 1L and 1R first" in str(
            reason_sentence(replace(step, numbers=numbers))
        )


@pytest.mark.parametrize("below_k", [15.0, 30.0])
def test_below_the_air_it_stands_in_no_side_is_called_though_nothing_drags(below_k):
    """The cool side of a gap is the odd one, once nothing stays hot; so far below the air none is."""
    braked, _ = both(VAN_K | {"2R": (-below_k, 1e9)}, COOL_K)
    assert (braked.answers.idle.answer, braked.answers.idle.corners) == ("watch", ("2R",))
    assert "below_air" in codes(braked)
    assert braked.next_check.id == "read_again"
    dead, _ = both(VAN_K | {"2R": 0.0}, COOL_K)
    assert dead.answers.idle.answer == "yes"
