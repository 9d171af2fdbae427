"""What is done next after drives were laid beside each other, and what the heading says first."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from proofcases import COAST, DEAD_REAR, HEALTHY, HOT_REAR, HUBS, ROLLED, axle, compared, drive

from thermlog.reports.report_proof import proof_last_lines
from thermlog.words.tables import Taken

COLD = dict.fromkeys(HEALTHY, 1.5)  # rises [K] of a vehicle that was hardly driven
MENDED = Taken(repair="new caliper RR")


def finding(found):
    return next(line for line in proof_last_lines(found) if line.startswith("FINDING"))


@pytest.mark.parametrize("taken", [None, MENDED])
@pytest.mark.parametrize("later", [drive(COLD), drive(ROLLED, COAST)])
def test_a_brake_that_did_no_work_is_tried_standing_before_anybody_drives(later, taken):
    """The log alone asks for a drive with braking: with a dead brake nobody is sent on one to find out."""
    assert later.next_check.id == "drive_with_braking"
    found = compared(drive(DEAD_REAR), replace(later, taken=taken))
    assert found.next_check.id == "try_and_drive"
    assert found.next_check.question.startswith("Do not drive it on the road yet. ")
    assert "check 2R standing" in found.next_check.question


def test_a_brake_that_is_shown_to_work_is_not_tried_again():
    # by the same drive again it works: nothing is left but the record
    assert compared(drive(DEAD_REAR), drive(HEALTHY)).next_check.id == "state_repair"


def test_what_became_of_a_drag_shows_after_a_drive_like_the_first():
    """The log alone asks for a few stops more: too few to tell a smaller gap from a gentler drive."""
    for later in (drive(COLD), drive(ROLLED, COAST)):
        found = compared(drive(HOT_REAR), later)
        assert later.next_check.id == "drive_with_braking"
        assert found.next_check.id == "repeat_drive"
        assert found.next_check.question.startswith("Make a drive like the first (normal drive) again, same")
    without = replace(drive(HOT_REAR), drive=None)
    question = compared(without, drive(COLD)).next_check.question
    assert question.startswith("Make a drive like the first again, same braking")


@pytest.mark.parametrize("rise_k", [200.0, 450.0])  # at 450 K above the air it is urgent as well
def test_a_fault_that_stands_now_is_said_before_what_was_not_read(rise_k):
    last = {corner: k for corner, k in (HEALTHY | {"1L": rise_k}).items() if corner != "2R"}
    said = finding(compared(drive(HOT_REAR), drive(last)))
    assert "Front NEW FAULT" in said
    assert said.index("Front NEW FAULT") < said.index("Rear right: not read")
    assert ("STOP DRIVING" in said) is (rise_k > 400.0)
    # where nothing stands out now the wheel that was not read comes first
    even = {corner: k for corner, k in HEALTHY.items() if corner != "1R"}
    said = finding(compared(drive(HOT_REAR), drive(even)))
    assert said.index("Front right: not read") < said.index("Rear even again")


def test_a_hub_that_was_not_read_before_is_not_said_to_be_new():
    hot = HEALTHY | HUBS | {"2R hub": 75.0}
    found = compared(drive(HEALTHY), drive(hot))
    assert axle(found, 2).reasons[0].code == "found_hub"
    assert "it was not read before" in finding(found)
    assert axle(compared(drive(HEALTHY | HUBS), drive(hot)), 2).reasons[0].code == "new_hub"
