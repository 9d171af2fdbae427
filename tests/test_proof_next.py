"""What is done next after drives were laid beside each other, and what the heading says first."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from proofcases import COAST, DEAD_REAR, HEALTHY, HOT_REAR, HUBS, NORMAL, ROLLED, axle, compared, drive

from thermlog.reports.report_proof import proof_last_lines
from thermlog.words.tables import Taken
from thermlog.words.vehicle import Axle, Vehicle

COLD = dict.fromkeys(HEALTHY, 1.5)  # rises [K] of a vehicle that was hardly driven
TRAILER = Vehicle(axles=(Axle(role="trailer", brake="drum"),), weight_class="light", stated=True)
LATER = HOT_REAR | {"1L": 106.0}
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


def on(day, rises_k, **more):
    return replace(drive(rises_k), taken=Taken(start=day, **more))


@pytest.mark.parametrize("between_k", [140.0, 450.0])  # it drags; it stops the vehicle
def test_no_drive_proves_anything_that_is_older_than_one_between(between_k):
    """A drive of the day before, named last, would make an even vehicle of one that drags today."""
    found = compared(
        on("2026-02-02", HOT_REAR),
        on("2026-02-04", HEALTHY | {"2R": between_k}),
        on("2026-02-03", HEALTHY, repair="new caliper RR"),
    )
    assert found.backwards
    assert found.open_or_flagged
    assert axle(found, 2).outcome == "cannot_tell"
    assert found.last.taken.start == "2026-02-04"
    assert found.next_check == found.last.next_check
    assert bool(found.urgent) is (between_k > 400.0)


@pytest.mark.parametrize(
    ("last", "outcome"), [(HEALTHY, "repaired"), (HEALTHY | {"2R": 85.0}, "better"), (COLD, "cannot_tell")]
)
def test_what_was_called_on_a_drive_between_is_not_forgotten(last, outcome):
    found = compared(on("2026-02-02", HEALTHY), on("2026-02-03", HOT_REAR), on("2026-02-04", last))
    assert (axle(found, 2).outcome, axle(found, 2).pair) == (outcome, (1, 2))
    assert axle(found, 1).outcome == "not_asked"
    # what the first drive called itself is told against the first
    still = compared(on("2026-02-02", HEALTHY), on("2026-02-03", HOT_REAR), on("2026-02-04", LATER))
    assert (axle(still, 2).outcome, axle(still, 2).pair) == ("not_repaired", (1, 2))
    first = compared(on("2026-02-02", HOT_REAR), on("2026-02-03", HOT_REAR), on("2026-02-04", last))
    assert axle(first, 2).pair == (0, 2)


def test_drives_of_the_last_log_are_of_unlike_days_as_they_are():
    """Two drives in one log, the earlier one first: neither stands the wrong way round."""
    last = on("2026-02-04", HEALTHY)
    twice = (replace(last, taken=Taken(start="2026-02-03")), replace(last, drive="coast"))
    assert not compared(on("2026-02-02", LATER), *twice).backwards


def test_a_brake_that_was_dead_between_is_tried_before_a_drive():
    found = compared(on("2026-02-02", HEALTHY), on("2026-02-03", DEAD_REAR), on("2026-02-04", COLD))
    assert found.next_check.id == "try_and_drive"


def test_brakes_that_were_hot_all_over_roll_without_braking_next():
    """The same drive again would say the same again: nothing beside them is left to compare with."""
    hot = {corner: 2.2 * rise_k for corner, rise_k in HEALTHY.items()}
    found = compared(drive(hot), drive(HEALTHY))
    assert {"both_sides_less", "less_heat"} <= {one.code for one in axle(found, 1).reasons}
    assert found.next_check.id == "coast_drive"


@pytest.mark.parametrize(("before", "step"), [(HOT_REAR, "cool_and_turn"), (HEALTHY, "coast_drive")])
def test_a_brake_that_dragged_and_is_still_watched_is_turned_before_it_is_driven(before, step):
    """The last log alone would have it driven; of a brake that was hot a hand tells sooner."""
    later = drive(HEALTHY | {"2R": 95.0})
    assert (later.answers.drag.answer, later.next_check.id) == ("watch", "coast_drive")
    found = compared(drive(before), later)
    assert found.next_check.id == step
    if step == "cool_and_turn":
        assert "turn each wheel by hand" in found.next_check.question
        # bare metal above 50 °C burns, doing.toml
        assert "Do not drive it, and touch nothing yet. Read brake and hub of 2R" in found.next_check.question


def test_of_a_new_gap_that_two_brakes_explain_the_likelier_one_is_named_first():
    """One axle alone: a dead brake is far likelier there than a drag of that size, and was named second."""
    alone = replace(NORMAL, description=TRAILER)
    sound, dead = {"1L": 80.0, "1R": 82.0}, {"1L": 80.0, "1R": 8.0}
    found = compared(drive(sound, alone), drive(dead, alone))
    shares = next(one.numbers for one in axle(found, 1).reasons if one.code == "gap_open")
    assert shares["share_idle"] > shares["share_drag"]
    assert axle(found, 1).reasons[0].code == "maybe_now_idle"
    assert "axle 1 right may do too little now" in finding(found)
