"""Drives beside each other: what is new, what became of a fault, and words that claim no more than that."""

from __future__ import annotations

import math
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from judgecases import all_told, renamed, walked
from msgspec.structs import replace
from proofcases import (
    COAST,
    DEAD_REAR,
    HEALTHY,
    HOT_REAR,
    HUBS,
    NORMAL,
    POLICY,
    ROLLED,
    axle,
    codes,
    compared,
    drive,
)

from thermlog.followup.outcomes import BY_WEIGHT, Outcome
from thermlog.followup.proof import compare_logs
from thermlog.followup.watchline import watch_line_k, weigh_gap
from thermlog.reports.report_proof import comparison_text
from thermlog.words.estimates import Estimate, change
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason
from thermlog.words.tables import Taken

ONE_ROUND, TWO_ROUNDS = replace(NORMAL, rounds=1), replace(NORMAL, rounds=2)
COLD = {corner: 0.05 * rise for corner, rise in HEALTHY.items()}
GENTLE = {corner: 0.4 * rise for corner, rise in HEALTHY.items()}
HOT_AXLE = HEALTHY | {"2L": 160.0, "2R": 165.0}
HOT_HUB = HEALTHY | HUBS | {"2R hub": 75.0}
FRONT_ONLY = {corner: rise for corner, rise in HEALTHY.items() if corner[0] == "1"}


# What a careful technician would accept, written down before anything was run: outcome at the front axle,
# outcome at the rear axle, and one code that has to be among the reasons of the graver one.
@pytest.mark.parametrize(
    ("before", "after", "front", "rear", "code"),
    [
        # the rear pair is alike again on the same drive, four rounds, everything answered: even again
        (HOT_REAR, HEALTHY, "not_asked", "repaired", "gap_below_watch"),
        # the very same picture: nothing was repaired
        (HOT_REAR, HOT_REAR, "not_asked", "not_repaired", "still_hot"),
        # less than before and still called hot: it still drags
        (HOT_REAR, HEALTHY | {"2R": 110.0}, "not_asked", "not_repaired", "still_hot"),
        # a third of the gap is left, 1.4 to 1 and 22 K: better, nobody would call that even
        (HOT_REAR, HEALTHY | {"2R": 88.0}, "not_asked", "better", "gap_smaller_not_even"),
        # rear repaired, now the front left drags: that is the news
        (HOT_REAR, HEALTHY | {"1L": 200.0}, "new_fault", "repaired", "new_fault"),
        # rear repaired, now the front left does nothing: that is the news
        (HOT_REAR, HEALTHY | {"1L": 3.0}, "new_fault", "repaired", "now_idle"),
        # the brake that dragged is dead now: never repaired
        (HOT_REAR, DEAD_REAR, "not_asked", "new_fault", "now_idle"),
        # the dragging side was cured and its mate drags: new
        (HOT_REAR, HEALTHY | {"2L": 140.0}, "not_asked", "new_fault", "new_fault"),
        # a front that is only to be watched now is news, too, before the rear that is even again
        (HOT_REAR, HEALTHY | {"1L": 145.0}, "new_watch", "repaired", "new_watch"),
        # a dead brake makes its heat again
        (DEAD_REAR, HEALTHY, "not_asked", "repaired", "gap_below_watch"),
        (DEAD_REAR, DEAD_REAR, "not_asked", "not_repaired", "still_cold"),
        # it works a little
        (DEAD_REAR, HEALTHY | {"2R": 40.0}, "not_asked", "better", "gap_smaller_not_even"),
        # the dead brake drags now: whether it dragged before could not be told of a dead one
        (DEAD_REAR, HOT_REAR, "not_asked", "new_fault", "found_hot"),
        # the other one is dead now
        (DEAD_REAR, HEALTHY | {"2L": 3.0}, "not_asked", "new_fault", "now_idle"),
        # hardly driven: nothing can be said of either
        (HOT_REAR, COLD, "not_asked", "cannot_tell", "less_heat"),
        (DEAD_REAR, COLD, "not_asked", "cannot_tell", "less_heat"),
        # a far gentler drive makes smaller gaps by itself: better at most
        (HOT_REAR, GENTLE, "not_asked", "better", "less_heat"),
        # the rear was not read again, or one side of it
        (HOT_REAR, FRONT_ONLY, "not_asked", "cannot_tell", "not_read"),
        (HOT_REAR, {**FRONT_ONLY, "2L": 63.0}, "not_asked", "cannot_tell", "not_read"),
        # both rear brakes dragged and have their usual part of the fronts' heat now: even again
        (HOT_AXLE, HEALTHY, "not_asked", "repaired", "axle_beside_others"),
        (HOT_AXLE, HOT_AXLE, "not_asked", "not_repaired", "still_watched"),
        # nothing before, nothing now; and nothing before, hot now
        (HEALTHY, HEALTHY, "not_asked", "not_asked", "nothing_flagged_before"),
        (HEALTHY, HOT_REAR, "not_asked", "new_fault", "new_fault"),
        (HEALTHY, DEAD_REAR, "not_asked", "new_fault", "now_idle"),
        # a gap that was only watched, and is gone
        (HEALTHY | {"2R": 90.0}, HEALTHY, "not_asked", "repaired", "gap_below_watch"),
        # a hub that came down beside its mate; half way; not at all; one that is new; one not read again
        (HOT_HUB, HEALTHY | HUBS, "not_asked", "repaired", "hub_below_line"),
        (HOT_HUB, HEALTHY | HUBS | {"2R hub": 45.0}, "not_asked", "better", "hub_not_below_line"),
        (HOT_HUB, HOT_HUB, "not_asked", "not_repaired", "still_hub"),
        (HEALTHY | HUBS, HOT_HUB, "not_asked", "new_fault", "new_hub"),
        (HOT_HUB, HEALTHY, "not_asked", "cannot_tell", "hub_not_read"),
        # every brake is glowing hot after a drive like the first
        (HEALTHY, {c: 3.2 * k for c, k in HEALTHY.items()}, "new_fault", "new_fault", "new_all_hot"),
    ],
)
def test_what_a_careful_technician_would_say(
    before: dict[str, float], after: dict[str, float], front: Outcome, rear: Outcome, code: str
) -> None:
    found = compared(drive(before), drive(after))
    assert (axle(found, 1).outcome, axle(found, 2).outcome) == (front, rear)
    graver = 1 if BY_WEIGHT.index(front) < BY_WEIGHT.index(rear) else 2
    assert code in codes(found, graver)
    # a hub that stopped the vehicle holds it until somebody says what was done about its bearing
    holds = before == HOT_HUB
    assert found.open_or_flagged == (holds or {front, rear} - {"not_asked", "repaired"} != set())
    if holds:
        stated = compared(drive(before), replace(drive(after), taken=Taken(repair="new wheel bearing RR")))
        assert stated.open_or_flagged == (rear != "repaired")


def test_like_drives_are_compared_and_unlike_ones_are_not() -> None:
    hot, rolled = drive(ROLLED | {"2R": 90.0}, COAST), drive(ROLLED, COAST)
    # coast after coast, the wheel rolls free: even again
    assert axle(compared(hot, rolled), 2).outcome == "repaired"
    # a coast drive after a braked one, and the other way round: the old fault may be gone
    for before, after in ((drive(HOT_REAR), rolled), (hot, drive(HEALTHY))):
        assert axle(compared(before, after), 2).outcome == "cannot_tell"
        assert codes(compared(before, after), 2)[0] == "drives_unlike"
        assert compared(before, after).open_or_flagged
    # but a brake that is hot now without braking, and was not before, is news in any drive
    assert axle(compared(drive(HOT_REAR), drive(ROLLED | {"1R": 90.0}, COAST)), 1).outcome == "new_fault"
    # a verification drive, and one that nobody named, count as the same drive again
    for kind in ("verification", None):
        again = replace(drive(HEALTHY), drive=kind)
        assert axle(compared(drive(HOT_REAR), again), 2).outcome == "repaired"


def test_where_the_same_drive_is_missing_it_is_what_to_do_next() -> None:
    # the last log asks for nothing by itself: without this the reader would be told to file it
    after_coast = compared(drive(ROLLED | {"2R": 90.0}, COAST), drive(HEALTHY))
    assert after_coast.last.next_check is not None
    assert after_coast.last.next_check.id == "keep_record"
    assert after_coast.next_check is not None
    assert after_coast.next_check.id == "repeat_drive"
    # nobody is sent on a drive with a brake above the line from which none is asked for: wait instead
    hot = replace(after_coast.last.corners[0], start_degc=260.0)
    last = replace(after_coast.last, corners=(hot, *after_coast.last.corners[1:]))
    waits = compared(after_coast.diagnoses[0], last).next_check
    assert waits is not None
    assert waits.id == "wait_and_read"


def test_what_to_do_and_causes_are_those_of_the_last_log() -> None:
    last = drive(HEALTHY | {"1L": 200.0})
    found = compared(drive(HOT_REAR), last)
    assert found.next_check == last.next_check
    assert last.suspects
    text = comparison_text(found)
    assert all(suspect.name in text for suspect in last.suspects)


def test_an_old_gap_read_the_other_way_is_not_new() -> None:
    # the rear right dragged; what is left of the gap may now be the left one's fault: still the same gap
    last = drive(HEALTHY | {"2R": 88.0})
    gap = Reason(code="gap_open", corners=("2R", "2L"), numbers={"difference_k": 22.0})
    idle = Answer(answer="watch", p=0.2, corners=("2L",), reasons=(gap,))
    answers = replace(last.answers, drag=Answer(answer="no", p=0.05), idle=idle)
    found = compared(drive(HOT_REAR), replace(last, answers=answers))
    assert axle(found, 2).outcome == "better"
    assert "still_watched" in codes(found, 2)
    # said without an open side, it is a brake that does too little now
    sure = replace(idle, reasons=(replace(gap, code="stands_out_cold", corners=("2L", "2R")),))
    found = compared(drive(HOT_REAR), replace(last, answers=replace(answers, idle=sure)))
    assert axle(found, 2).outcome == "new_watch"
    assert codes(found, 2)[0] == "maybe_now_idle"


@pytest.mark.parametrize(("asked", "code"), [("idle", "idle_not_told"), ("drag", "limit_above_line")])
def test_an_even_pair_of_which_a_question_is_open_is_not_called_even_again(asked: str, code: str) -> None:
    last = drive(HEALTHY)
    hidden = Reason(code="limit_above_line", corners=("2R",))
    answer = Answer(answer="cannot_tell", p=0.05, corners=("2R",), reasons=(hidden,))
    found = compared(drive(HOT_REAR), replace(last, answers=replace(last.answers, **{asked: answer})))
    assert axle(found, 2).outcome == "better"
    assert code in codes(found, 2)
    assert found.open_or_flagged


def test_one_reading_each_is_no_proof() -> None:
    # a shot that missed the hot brake looks just like a repair
    found = compared(drive(HOT_REAR), drive(HEALTHY, ONE_ROUND))
    assert axle(found, 2).outcome == "cannot_tell"
    assert "single_reading" in codes(found, 2)
    assert axle(compared(drive(HOT_REAR), drive(HEALTHY, TWO_ROUNDS)), 2).outcome == "repaired"


def test_first_and_last_count_and_what_lies_between_is_shown() -> None:
    found = compared(drive(HOT_REAR), drive(HEALTHY), drive(HOT_REAR))
    assert axle(found, 2).outcome == "not_repaired"
    changes = [one.value if one else None for one in axle(found, 2).changes_k]
    assert changes[0] is None
    assert changes[1] is not None
    assert changes[1] > 50.0  # left minus right rose from about -72 K to about -1 K
    assert changes[2] == pytest.approx(0.0)


# --- a larger gap is never better ---------------------------------------------------------------------------

SIZES_K = tuple(range(-60, 201, 10))


@cache
def swept(corner: str, kind: str) -> list[str]:
    """Outcomes at the axle of a corner for every extra heat after work that cured a drag there."""
    usual = ROLLED if kind == "coast" else HEALTHY
    walk = {"normal": NORMAL, "coast": COAST, "two rounds": TWO_ROUNDS, "one round": ONE_ROUND}[kind]
    before = drive(usual | {corner: usual[corner] + 80.0}, walk)
    tables = [walked(usual | {corner: usual[corner] + k}, walk) for k in SIZES_K if usual[corner] + k > 0.0]
    found = [replace(one, vehicle=before.vehicle) for one in all_told(renamed(tables))]
    return [axle(compared(before, one), int(corner[0])).outcome for one in found]


@pytest.mark.parametrize("kind", ["normal", "coast", "two rounds"])
@pytest.mark.parametrize("corner", ["1L", "2R"])
def test_a_larger_gap_after_the_repair_never_gives_a_better_outcome(corner: str, kind: str) -> None:
    outcomes = swept(corner, kind)
    assert "repaired" in outcomes
    least = outcomes.index("repaired")
    # from even upwards; BY_WEIGHT has the worst first
    weights = [BY_WEIGHT.index(outcome) for outcome in outcomes[least:]]
    assert weights == sorted(weights, reverse=True)
    assert outcomes[-1] == "not_repaired"
    # and downwards, where the brake that dragged does less and less
    below = [BY_WEIGHT.index(outcome) for outcome in outcomes[: least + 1]]
    assert below == sorted(below)


def test_one_round_is_never_called_even_again_whatever_its_gap() -> None:
    assert set(swept("2R", "one round")) <= {"cannot_tell", "not_repaired", "new_watch", "new_fault"}


_FROM_WORST = ("not_repaired", "cannot_tell", "better", "repaired")


@given(
    gap=st.floats(0.0, 200.0),
    more=st.floats(0.0, 200.0),
    half=st.floats(0.1, 60.0),
    was=st.floats(0.0, 200.0),
    line=st.floats(5.0, 60.0),
    share=st.floats(0.0, 1.0),
    sign=st.sampled_from([-1.0, 1.0]),
)
def test_a_larger_gap_by_itself_never_weighs_better(**drawn: float) -> None:
    gap, more, half, was, line, share, sign = (
        drawn[name] for name in ("gap", "more", "half", "was", "line", "share", "sign")
    )
    weights = []
    for size in (gap, gap + more):
        now = Estimate(sign * size, sign * size - half, sign * size + half)
        earlier = Estimate(was, was - half, was + half)
        weights.append(_FROM_WORST.index(weigh_gap(now, earlier, line, share).outcome))
    assert weights[1] <= weights[0]


@given(st.floats(-200.0, 200.0), st.floats(0.0, 60.0), st.floats(0.0, 200.0), st.floats(5.0, 60.0))
def test_even_again_has_its_whole_interval_inside_the_line(gap, half, was, line) -> None:
    earlier = Estimate(was, was - 2.0, was + 2.0)
    found = weigh_gap(Estimate(gap, gap - half, gap + half), earlier, line)
    if found.outcome == "repaired":
        assert -line < gap - half <= gap + half < line
        assert abs(gap) < was


@pytest.mark.parametrize(
    ("now", "outcome", "code"),
    [
        # line 20, 68 ± 4 before: what is left lies inside, whatever its sign
        ((2.0, -2.0, 6.0), "repaired", "gap_below_watch"),
        ((-12.0, -16.0, -8.0), "repaired", "gap_below_watch"),
        # the interval reaches the line: clearly less, and not shown to be even
        ((12.0, 3.0, 21.0), "better", "gap_smaller_not_even"),
        ((40.0, 36.0, 44.0), "better", "gap_smaller_not_even"),
        # 68 -> 64 with ± 4 each: no clear change, past the line
        ((64.0, 60.0, 68.0), "not_repaired", "gap_still_past_watch"),
        # so wide that everything is possible
        ((50.0, -10.0, 110.0), "cannot_tell", "gap_may_pass_watch"),
        # the other side is hotter now, past the line
        ((-40.0, -44.0, -36.0), "cannot_tell", "gap_reversed"),
    ],
)
def test_the_watch_line_decides(now: tuple[float, float, float], outcome: str, code: str) -> None:
    found = weigh_gap(Estimate(*now), Estimate(68.0, 64.0, 72.0), 20.0)
    assert (found.outcome, found.code) == (outcome, code)
    # what is left is stated
    assert found.numbers["difference_k"] == now[0]
    assert found.numbers["high_k"] == now[2]


def test_a_gentler_drive_lets_the_old_gap_count_for_less() -> None:
    was, now = (Estimate(gap, gap - 4.0, gap + 4.0) for gap in (68.0, 25.0))
    assert weigh_gap(now, was, 20.0).outcome == "better"
    # 0.4 of 68 is 27, and 25 is not clearly less than that
    assert weigh_gap(now, was, 20.0, 0.4).outcome == "not_repaired"


def test_without_an_interval_nothing_is_said() -> None:
    known = Estimate(5.0, 4.0, 6.0)
    for one, other in ((None, known), (known, None), (replace(known), known)):
        assert weigh_gap(one, other, 20.0).outcome == "cannot_tell"


def test_the_larger_of_both_watch_marks_is_the_line() -> None:
    healthy = drive(HEALTHY)
    cooler = min(c.rise_k.value for c in healthy.corners if c.axle == 1)
    # ratio 1.33: a third of about 97 K is more than the 15 K of the policy
    assert watch_line_k(healthy, 1, POLICY) == pytest.approx(0.33 * cooler)
    assert watch_line_k(drive(ROLLED), 1, POLICY) == POLICY.watch_difference_k


# --- numbers ------------------------------------------------------------------------------------------------


def _spread_out(value: float, down: float, up: float) -> Estimate:
    return Estimate(value, value - down, value + up)


estimates = st.builds(_spread_out, st.floats(-500.0, 500.0), st.floats(0.0, 100.0), st.floats(0.0, 100.0))


@given(estimates, estimates)
def test_change_turned_round_is_the_mirror(first: Estimate, second: Estimate) -> None:
    there, back = change(first, second), change(second, first)
    assert there is not None
    assert back is not None
    assert there.interval is not None
    assert back.interval is not None
    assert first.interval is not None
    assert second.interval is not None
    assert there.value == -back.value
    assert there.interval[0] == pytest.approx(-back.interval[1], abs=1e-9)
    # never narrower than the wider of the two on the same side
    widest = max(second.interval[1] - second.value, first.value - first.interval[0])
    assert there.interval[1] - there.value >= widest - 1e-9


def test_change_without_range_or_value() -> None:
    known = Estimate(5.0, 4.0, 6.0)
    assert change(None, known) is None
    assert change(Estimate(2.0), known) == Estimate(3.0)


def test_changes_are_differences_of_differences_with_variances_added() -> None:
    rear = axle(compared(drive(HOT_REAR), drive(HEALTHY)), 2)
    first, last = rear.differences_k
    changed = rear.changes_k[1]
    assert first is not None
    assert last is not None
    assert changed is not None
    assert first.interval is not None
    assert last.interval is not None
    assert changed.interval is not None
    assert changed.value == pytest.approx(last.value - first.value)
    halves = [0.5 * (one.interval[1] - one.interval[0]) for one in (first, last) if one.interval]
    assert 0.5 * (changed.interval[1] - changed.interval[0]) == pytest.approx(math.hypot(*halves), rel=1e-6)
    assert rear.changes_k[0] is None


def test_rises_carry_the_interval_of_the_temperature() -> None:
    found = compared(drive(HOT_REAR), drive(HEALTHY))
    corner = next(c for c in found.corners if c.corner == "2R")
    told = next(c for c in found.diagnoses[0].corners if c.corner == "2R")
    assert corner.rises_k[0] is not None
    assert told.rise_k is not None
    assert corner.rises_k[0] == told.rise_k
    # the air of these walks is 18 °C
    assert corner.rises_k[0].interval == pytest.approx(
        (told.at_common_degc.low - 18, told.at_common_degc.high - 18)
    )


def test_corners_can_be_chosen_and_what_is_new_stays() -> None:
    logs = [drive(HOT_REAR), drive(HEALTHY | {"1L": 200.0})]
    chosen = compare_logs(logs, POLICY, corners=("2L",))
    assert [corner.corner for corner in chosen.corners] == ["2L"]
    assert [one.axle for one in chosen.axles] == [1, 2]
    quiet = compare_logs([logs[0], drive(HEALTHY)], POLICY, corners=("2L",))
    assert [one.axle for one in quiet.axles] == [2]


def test_one_log_is_no_comparison() -> None:
    with pytest.raises(ValueError, match="two logs"):
        compare_logs([drive(HOT_REAR)], POLICY)
