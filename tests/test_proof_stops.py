"""What stopped a vehicle before is never forgotten because a later walk reads even."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from proofcases import HEALTHY, HOT_REAR, HUBS, axle, compared, drive

from thermlog.followup.proof import Comparison
from thermlog.pages.compare import compare_page
from thermlog.reports.contract.beside import CompareObject
from thermlog.reports.report_proof import comparison_text, proof_last_lines
from thermlog.words.findings import Urgent
from thermlog.words.tables import Taken

HOT_HUB = HEALTHY | HUBS | {"2R hub": 75.0}


def after(urgent: Urgent, before: dict[str, float] = HEALTHY, now: dict[str, float] = HEALTHY) -> Comparison:
    """A drive that something stopped, then one with nothing to say."""
    return compared(replace(drive(before), urgent=(urgent,)), drive(now))


@pytest.mark.parametrize(
    ("urgent", "said"),
    [
        (Urgent(code="smoke", corner="2R"), "Smoke seen at rear right before, of now nothing is said"),
        (Urgent(code="smoke"), "Smoke seen before, of now nothing is said"),
        (Urgent(code="smell"), "Smell noticed before"),
        (Urgent(code="grease", corner="1L"), "Grease thrown out seen at front left before"),
        (Urgent(code="over_range", corner="1L", spot="brake"), "The gun was above its range at front left"),
        (
            Urgent(code="tyre_hot", corner="2R", spot="tyre", value_degc=96.0),
            "Tyre of rear right 96 °C before",
        ),
        # a brake so hot that nothing stood out beside: its mate was as hot
        (Urgent(code="brake_hot", corner="1L", spot="brake", value_degc=310.0), "Brake of front left 310 °C"),
    ],
)
def test_what_stopped_it_before_leads_and_stays_open(urgent, said):
    found = after(urgent)
    assert found.open_or_flagged
    assert found.next_check.id == "find_cause"
    lines = proof_last_lines(found)
    assert lines[0].startswith(f"FINDING   {said}")
    assert "has not been shown" in lines[0]
    assert any(line.startswith("BEFORE    ") for line in lines)
    assert "has not been shown" in compare_page(found)
    told = CompareObject.of(found)
    assert told.unexplained
    assert len(told.stopped_before) == 1


def test_smoke_is_not_explained_by_a_gap_that_closed():
    found = after(Urgent(code="smoke", corner="2R"), before=HOT_REAR)
    assert axle(found, 2).outcome == "repaired"
    assert found.open_or_flagged


def test_a_brake_too_hot_by_a_drag_that_is_gone_is_explained_and_inspected():
    hot = Urgent(code="brake_hot", corner="2R", spot="brake", value_degc=310.0)
    found = after(hot, before=HOT_REAR)
    assert found.next_check.id == "inspect_hot"
    assert "inspected before it is used again" in comparison_text(found)
    # of another place than the one that was called it explains nothing
    assert after(replace(hot, corner="1R"), before=HOT_REAR).next_check.id == "find_cause"


def test_a_repair_that_is_stated_leaves_the_question_what_else_was_too_hot():
    """The heading says that it is inspected: to keep the log and nothing else would speak against it."""
    hot = Urgent(code="brake_hot", corner="2R", spot="brake", value_degc=310.0)
    first = replace(drive(HOT_REAR), urgent=(hot,))
    found = compared(first, replace(drive(HEALTHY), taken=Taken(repair="new caliper RR")))
    assert not found.open_or_flagged
    assert found.next_check.id == "keep_record"
    assert found.next_check.question.startswith("Make sure that the repair took in all that was so hot at 2R")
    cool = compared(drive(HOT_REAR), replace(drive(HEALTHY), taken=Taken(repair="new caliper RR")))
    assert cool.next_check.question.startswith("Keep this log as the record of today")


def test_a_hub_half_way_down_still_asks_for_its_bearing_first():
    found = compared(drive(HOT_HUB), drive(HEALTHY | HUBS | {"2R hub": 45.0}))
    assert found.next_check.id == "check_bearing"
    assert "checked before the vehicle moves again, however cool" in comparison_text(found)


def test_a_hub_that_was_not_read_again_is_not_told_as_a_brake():
    found = compared(drive(HOT_HUB), drive(HEALTHY))
    assert [reason.code for reason in axle(found, 2).reasons] == ["hub_not_read"]
    assert "read the hubs of both sides" in found.next_check.question


def test_what_is_still_urgent_is_told_by_the_last_drive_alone():
    smoke = replace(drive(HEALTHY), urgent=(Urgent(code="smoke", corner="2R"),))
    assert compared(smoke, smoke).stops == ()
    elsewhere = replace(drive(HEALTHY), urgent=(Urgent(code="smoke", corner="1L"),))
    assert len(compared(smoke, elsewhere).stops) == 1


def test_every_earlier_drive_counts_and_no_other_vehicle():
    smoke = replace(drive(HEALTHY), urgent=(Urgent(code="smoke", corner="2R"),))
    assert len(compared(smoke, drive(HEALTHY), drive(HEALTHY)).stops) == 1
    assert len(compared(drive(HEALTHY), smoke, drive(HEALTHY)).stops) == 1
    named = (replace(smoke, vehicle="bus 1"), replace(drive(HEALTHY), vehicle="bus 2"))
    assert compared(*named).stops == ()
