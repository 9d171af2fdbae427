"""Drives beside each other: changes, their intervals, and when a repair is proven."""

from __future__ import annotations

import csv
import io
import json
import math
from pathlib import Path

import pytest
from chart_samples import HUBS, MISSES, ONE_ROUND, TRUCK, VAN_EVEN, VAN_HOT, Story, diagnosis_of, without
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from msgspec.structs import replace

import thermlog
from thermlog.judging.proof import ComparedAxle, Comparison, Estimate, change, compare_logs
from thermlog.reports.proofwords import comparison_headline, log_names
from thermlog.reports.report_proof import (
    CSV_COLUMNS,
    comparison_csv,
    comparison_json,
    comparison_text,
    last_lines,
)
from thermlog.words.findings import AxleFinding, Diagnosis, Verdict
from thermlog.words.policy import Policy, load_policy

# The marks of these tests, whatever the bundled policies say.
POLICY = replace(
    load_policy("light"),
    suspect_difference_k=20.0,
    suspect_ratio=1.5,
    hub_over_mate_k=30.0,
    minimum_rise_k=30.0,
)

SCHEMA = Draft202012Validator(
    json.loads(
        (Path(thermlog.__file__).parent / "reports" / "schema" / "compare.json").read_text(encoding="utf-8")
    )
)


def compared(*stories: Story | Diagnosis, policy: Policy = POLICY) -> Comparison:
    return compare_logs([s if isinstance(s, Diagnosis) else diagnosis_of(s) for s in stories], policy)


def axle_of(comparison: Comparison, number: int) -> ComparedAxle:
    return next(axle for axle in comparison.axles if axle.axle == number)


def test_changes_are_differences_of_differences_with_variances_added() -> None:
    front = axle_of(compared(VAN_HOT, VAN_EVEN), 1)
    assert [one.value for one in front.differences_k if one] == [68.0, 2.0]
    changed = front.changes_k[1]
    assert changed is not None
    assert changed.value == -66.0
    # both half-widths are 3 * sqrt 2, so the change has 3 * sqrt 2 * sqrt 2 = 6
    assert changed.interval == pytest.approx((-72.0, -60.0))
    assert front.changes_k[0] is None


def test_rises_carry_the_interval_of_the_temperature() -> None:
    corner = next(c for c in compared(VAN_HOT, VAN_EVEN).corners if c.corner == "1L")
    assert corner.rises_k[0] == Estimate(value=150.0, interval=(147.0, 153.0))
    assert corner.changes_k[1] is not None
    assert corner.changes_k[1].value == -66.0
    # 3 * sqrt 2
    assert corner.changes_k[1].interval == pytest.approx((-66.0 - math.sqrt(18.0), -66.0 + math.sqrt(18.0)))


def _spread_out(value: float, down: float, up: float) -> Estimate:
    return Estimate(value=value, interval=(value - down, value + up))


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
    known = Estimate(value=5.0, interval=(4.0, 6.0))
    assert change(None, known) is None
    assert change(Estimate(value=2.0, interval=None), known) == Estimate(value=3.0, interval=None)


def test_repaired_when_even_and_clear_of_the_mark() -> None:
    front = axle_of(compared(VAN_HOT, VAN_EVEN), 1)
    assert front.outcome == "repaired"
    # 2 + 3 sqrt 2 = 6.2; mark: half of the cooler rise of 82 K
    assert front.why == "after, the gap is at most 6 K, below the mark of 41 K"


def test_even_but_wide_is_not_proof() -> None:
    wide = replace(VAN_EVEN, half_k=29.0)  # 2 + 29 sqrt 2 = 43 reaches the mark of 41
    front = axle_of(compared(VAN_HOT, wide), 1)
    assert front.outcome == "cannot_tell"
    assert "may still be 43 K, past the mark of 41 K" in front.why


def test_the_difference_mark_counts_where_rises_are_small() -> None:
    cool = replace(VAN_EVEN, rises_k={"1L": 30.0, "1R": 30.0, "2R": 25.0, "2L": 25.0}, half_k=14.0)
    # 14 sqrt 2 = 19.8 stays below 20, and the ratio mark of 15 K is the smaller one
    assert axle_of(compared(VAN_HOT, cool), 1).outcome == "repaired"
    wider = replace(cool, half_k=14.3)  # 20.2
    assert axle_of(compared(VAN_HOT, wider), 1).outcome == "cannot_tell"


def test_only_the_side_that_was_hot_must_stay_clear() -> None:
    # now the other side is the warmer one: -30 - 4 < mark, although +34 turned round would not matter
    turned = replace(VAN_EVEN, rises_k={"1L": 84.0, "1R": 120.0, "2R": 55.0, "2L": 57.0})
    front = axle_of(compared(VAN_HOT, turned), 1)
    assert front.outcome == "repaired"
    assert front.why == "after, that side no longer stands out"


def test_still_flagged_is_not_repaired() -> None:
    less = replace(VAN_HOT, rises_k=VAN_HOT.rises_k | {"1L": 130.0}, drive="verification")
    comparison = compared(VAN_HOT, less)
    assert axle_of(comparison, 1).outcome == "not_repaired"
    assert axle_of(comparison, 1).why == "still 1L hot"
    assert comparison.open_or_flagged


def test_a_cold_brake_that_works_again_is_repaired() -> None:
    after = replace(TRUCK, rises_k=TRUCK.rises_k | {"3R": 102.0}, kind="none", odd=(), drive="verification")
    comparison = compared(TRUCK, after)
    assert axle_of(comparison, 3).outcome == "repaired"
    assert {axle.outcome for axle in comparison.axles if axle.axle != 3} == {"not_asked"}
    assert not comparison.open_or_flagged


def test_another_corner_flagged_afterwards_is_told() -> None:
    other = replace(VAN_HOT, rises_k=VAN_EVEN.rises_k | {"1R": 160.0}, odd=("1R",))
    front = axle_of(compared(VAN_HOT, other), 1)
    assert front.outcome == "cannot_tell"
    assert "not even but hot" in front.why


def test_after_cannot_tell_hands_on_the_reason() -> None:
    lost = replace(MISSES, rises_k={"2L": 57.0, "2R": 120.0}, kind="none")
    before = replace(VAN_HOT, rises_k={"2L": 57.0, "2R": 130.0}, odd=("2R",))
    rear = axle_of(compared(before, lost), 2)
    assert rear.outcome == "cannot_tell"
    assert "2 of 3 readings do not vote" in rear.why


def test_axle_not_read_afterwards_cannot_be_told() -> None:
    after = replace(VAN_EVEN, rises_k={"2L": 57.0, "2R": 55.0})
    front = axle_of(compared(VAN_HOT, after), 1)
    assert front.outcome == "cannot_tell"
    assert front.why == "after: 1L was not read"


def test_one_side_not_read_afterwards_cannot_be_told() -> None:
    front = axle_of(compared(VAN_HOT, without(diagnosis_of(VAN_EVEN), "1R")), 1)
    assert front.outcome == "cannot_tell"


def test_coast_beside_normal_proves_nothing_verification_does() -> None:
    assert axle_of(compared(VAN_HOT, replace(VAN_EVEN, drive="coast")), 1).outcome == "cannot_tell"
    assert axle_of(compared(VAN_HOT, replace(VAN_EVEN, drive=None)), 1).outcome == "repaired"


def test_a_fault_seen_in_a_coast_drive_too_is_no_question_of_repair() -> None:
    comparison = compared(VAN_HOT, replace(VAN_HOT, drive="coast"))
    assert axle_of(comparison, 1).outcome == "not_asked"
    assert axle_of(comparison, 1).why.startswith("flagged in both, a normal drive beside a coast drive")
    assert comparison.open_or_flagged


def test_different_vehicles_are_compared_without_proof() -> None:
    comparison = compared(VAN_HOT, replace(VAN_EVEN, vehicle="unit 7"))
    assert axle_of(comparison, 1).outcome == "not_asked"
    assert any("different vehicles" in note for note in comparison.notes)
    assert not comparison.open_or_flagged


def test_both_sides_hot_before_cannot_be_proven_by_sides() -> None:
    both = replace(VAN_HOT, rises_k=VAN_HOT.rises_k | {"1R": 150.0}, kind="axle_hot", odd=("1L", "1R"))
    assert axle_of(compared(both, VAN_EVEN), 1).outcome == "cannot_tell"
    assert axle_of(compared(both, both), 1).outcome == "not_repaired"


def test_an_axle_flagged_with_its_odd_side_open_is_asked_about() -> None:
    before = diagnosis_of(replace(VAN_HOT, kind="none", odd=(), verdicts={1: "hot"}))
    assert axle_of(compared(before, VAN_EVEN), 1).outcome == "repaired"
    assert axle_of(compared(before, before), 1).outcome == "not_repaired"


def test_a_hub_is_set_against_the_other_hub() -> None:
    cool = replace(HUBS, rises_k=HUBS.rises_k | {"2R hub": 31.0}, kind="none", odd=(), drive="verification")
    rear = axle_of(compared(HUBS, cool), 2)
    assert rear.outcome == "repaired"
    # 2 K above the other hub, half-width 3 sqrt 2: 6; mark of these tests: 30
    assert rear.why == "after, the gap is at most 6 K, below the mark of 30 K"
    assert axle_of(compared(HUBS, HUBS), 2).outcome == "not_repaired"


def test_watch_afterwards_is_no_proof() -> None:
    soft = diagnosis_of(replace(VAN_EVEN, verdicts={1: "watch"}))
    assert axle_of(compared(VAN_HOT, soft), 1).outcome == "cannot_tell"


@pytest.mark.parametrize("verdict", ["hot", "watch", "cannot_tell"])
def test_a_last_log_that_needs_a_look_keeps_the_comparison_open(verdict: Verdict) -> None:
    last = diagnosis_of(VAN_EVEN)
    axles = (AxleFinding(axle=1, difference_k=1.0, verdict=verdict), *last.axles[1:])
    assert compared(VAN_EVEN, replace(last, axles=axles)).open_or_flagged
    assert not compared(VAN_EVEN, last).open_or_flagged


def test_three_logs_change_against_the_first() -> None:
    front = axle_of(compared(VAN_HOT, VAN_EVEN, ONE_ROUND), 1)
    assert [one.value if one else None for one in front.changes_k] == [None, -66.0, 0.0]
    assert front.outcome == "not_repaired"


def test_corners_can_be_chosen() -> None:
    comparison = compare_logs([diagnosis_of(VAN_HOT), diagnosis_of(VAN_EVEN)], POLICY, corners=("2L",))
    assert [corner.corner for corner in comparison.corners] == ["2L"]
    assert [axle.axle for axle in comparison.axles] == [2]


def test_one_log_is_no_comparison() -> None:
    with pytest.raises(ValueError, match="two logs"):
        compare_logs([diagnosis_of(VAN_HOT)], POLICY)


def test_notes_tell_what_a_reader_must_know() -> None:
    late = replace(diagnosis_of(VAN_EVEN), common_time_s=600.0)
    other = replace(late, policy=replace(late.policy, sha256="f" * 64))
    notes = compared(VAN_HOT, other).notes
    assert "the logs are compared at different moments, 2.0 to 10.0 min" in notes
    assert "the logs were judged by different policies" in notes
    assert "the same log is given twice" in compared(VAN_HOT, VAN_HOT).notes


def test_names_tell_logs_apart() -> None:
    hot, even = diagnosis_of(VAN_HOT), diagnosis_of(VAN_EVEN)
    assert log_names((hot, even)) == ("van_front_left_hot", "van_after_repair")
    same = replace(even, log=hot.log)
    assert log_names((hot, same)) == ("normal drive", "verification drive")
    assert log_names((hot, hot)) == ("log 1", "log 2")
    assert log_names((hot, replace(hot, vehicle="unit 7"))) == ("van 12", "unit 7")


def test_headline_tells_the_outcome_with_numbers() -> None:
    comparison = compared(VAN_HOT, VAN_EVEN)
    names = log_names(comparison.diagnoses)
    told = comparison_headline(comparison, names, "C")
    assert told == "Front REPAIRED: left minus right was +68 ± 4 °C, is now +2 ± 4 °C"
    # 66 and 2 times 9/5
    assert "was +122 ± 8 °F, is now +4 ± 8 °F" in comparison_headline(comparison, names, "F")


def test_text_ends_with_finding_reason_and_caution() -> None:
    comparison = compared(VAN_HOT, VAN_EVEN)
    lines = comparison_text(comparison).splitlines()
    assert lines[-4:] == last_lines(comparison)
    assert lines[-4].startswith("FINDING   Front REPAIRED")
    assert lines[-3] == "WHY       front: after, the gap is at most 6 °C, below the mark of 41 °C"
    assert any("front left   brake  150 ± 3" in line and "-66 ± 4" in line for line in lines)


def test_json_has_finite_numbers_or_null() -> None:
    comparison = compared(VAN_HOT, replace(VAN_EVEN, rises_k={"2L": 57.0, "2R": 55.0}))
    content = json.loads(comparison_json(comparison), parse_constant=pytest.fail)
    SCHEMA.validate(content)
    assert content["schema_version"] == 1
    front = content["axles"][0]
    assert front["differences"][0] == {"value_k": 68.0, "interval_k": [63.7574, 72.2426]}
    assert front["differences"][1] is None
    assert front["outcome"] == "cannot_tell"
    assert [log["parked_known"] for log in content["logs"]] == [True, True]


@pytest.mark.parametrize("other", [VAN_EVEN, HUBS, ONE_ROUND, MISSES])
def test_json_of_every_kind_follows_the_schema(other: Story) -> None:
    SCHEMA.validate(json.loads(comparison_json(compared(VAN_HOT, other))))


def test_schema_refuses_what_is_no_comparison() -> None:
    content = json.loads(comparison_json(compared(VAN_HOT, VAN_EVEN)))
    content["axles"][0]["outcome"] = "fine"
    assert not SCHEMA.is_valid(content)


def test_csv_has_a_row_a_place_and_log() -> None:
    evil = replace(VAN_EVEN, vehicle="=1+1")
    rows = list(csv.DictReader(io.StringIO(comparison_csv(compared(replace(VAN_HOT, vehicle=None), evil)))))
    assert tuple(rows[0]) == CSV_COLUMNS
    # four corners and two axles, in two logs
    assert len(rows) == 12
    assert {row["vehicle"] for row in rows} == {"", "'=1+1"}
    front = [row for row in rows if row["place"] == "axle 1 left minus right"]
    assert [row["value_k"] for row in front] == ["68.0", "2.0"]
    assert front[1]["outcome"] == "repaired"
