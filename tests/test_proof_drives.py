"""Both brakes of an axle beside the other axles, and logs that hold a drive with and one without braking."""

from __future__ import annotations

import pytest
from msgspec import structs
from msgspec.structs import replace
from proofcases import COAST, HEALTHY, HOT_REAR, ROLLED, axle, codes, compared, drive

from thermlog.followup.besideothers import BesideOthers
from thermlog.followup.proof import Comparison
from thermlog.reports.report_proof import comparison_text, proof_last_lines
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Answer, Answers, Diagnosis

HOT_AXLE = HEALTHY | {"2L": 160.0, "2R": 165.0}
DEAD_FRONTS = HEALTHY | {"1L": 4.0, "1R": 5.0}
ROLLED_HOT = ROLLED | {"2L": 70.0, "2R": 72.0}


def test_an_axle_that_came_back_beside_the_others_is_even_again():
    found = compared(drive(HOT_AXLE), drive(HEALTHY))
    assert axle(found, 2).outcome == "repaired"
    (reason,) = axle(found, 2).reasons
    # 162.5 over 104.5 of the fronts before, 63.5 over 104.5 now; the walk is without noise
    assert reason.numbers["share_before"] == pytest.approx(162.5 / 104.5, rel=0.06)
    assert reason.numbers["share_now"] == pytest.approx(63.5 / 104.5, rel=0.06)
    assert reason.numbers["share_low"] < reason.numbers["share_now"] < reason.numbers["share_high"]
    assert not found.open_or_flagged


def test_a_dead_axle_that_works_again_is_even_again():
    found = compared(drive(DEAD_FRONTS), drive(HEALTHY))
    assert axle(found, 1).outcome == "repaired"


def test_without_braking_the_axle_lies_among_the_others_in_degrees():
    found = compared(drive(ROLLED_HOT, COAST), drive(ROLLED, COAST))
    assert axle(found, 2).outcome == "repaired"
    assert codes(found, 2) == ["axle_above_others"]
    assert axle(compared(drive(ROLLED_HOT, COAST), drive(ROLLED_HOT, COAST)), 2).outcome == "not_repaired"


@pytest.mark.parametrize(
    "after",
    [
        HEALTHY | {"2L": 63.0, "2R": 95.0},  # its sides are apart now
        {corner: 0.55 * rise for corner, rise in HEALTHY.items()},  # a far gentler drive
        {"2L": 63.0, "2R": 64.0},  # no other axle to set it against
    ],
)
def test_less_than_that_is_not_even_again(after):
    found = compared(drive(HOT_AXLE), drive(after))
    assert axle(found, 2).outcome != "repaired"
    assert found.open_or_flagged


def test_nobody_is_sent_round_again_where_another_round_would_say_the_same():
    only = {"2L": 160.0, "2R": 165.0}
    found = compared(drive(HOT_AXLE), drive(HEALTHY | {"1L": 20.0, "1R": 21.0}))
    assert found.next_check.id != "another_round"
    assert compared(drive(only), drive({"2L": 63.0, "2R": 64.0})).next_check.id != "another_round"


def both(normal: dict[str, float], rolled: dict[str, float], name: str) -> list[Diagnosis]:
    """One log with a drive with braking and one without."""
    braked, coasted = drive(normal), drive(rolled, COAST)
    shared = replace(coasted.answers, idle=braked.answers.idle)  # as one log tells them
    found = [braked, replace(coasted, answers=shared)]
    log = replace(found[0].log, file=f"{name}.csv", sha256=64 * name[-1])
    return [replace(one, log=log, vehicle="van 7") for one in found]


def test_logs_of_two_drives_each_are_compared_like_with_like():
    before = both(HOT_REAR, ROLLED | {"2R": 80.0}, "log a")
    found = compared(*before, *both(HEALTHY, ROLLED, "log b"))
    assert axle(found, 2).outcome == "repaired"
    assert not found.open_or_flagged
    assert found.drives.pairs == ((0, 2), (1, 3))
    text = comparison_text(found)
    assert "unlike drives" not in text
    assert sum(line.startswith("NOW ") for line in proof_last_lines(found)) == 2
    # the change of each drive is that against its like
    assert axle(found, 2).changes_k[1] is None or axle(found, 2).pair in found.drives.pairs
    rolled = next(one for one in found.corners if one.corner == "2R")
    assert rolled.changes_k[3].value == rolled.rises_k[3].value - rolled.rises_k[1].value


def test_a_fault_on_either_drive_is_told_and_counts():
    healthy = both(HEALTHY, ROLLED, "log a")
    found = compared(*healthy, *both(HEALTHY, ROLLED | {"2R": 80.0}, "log b"))
    assert axle(found, 2).outcome in {"new_fault", "new_watch"}
    again = both(HOT_REAR, ROLLED | {"2R": 80.0}, "log a")
    still = compared(*again, *both(HOT_REAR, ROLLED | {"2R": 80.0}, "log b"))
    assert axle(still, 2).outcome == "not_repaired"
    assert still.open_or_flagged


def test_what_is_urgent_on_the_first_of_two_last_drives_stops_the_vehicle():
    before, after = both(HEALTHY, ROLLED, "log a"), both(HEALTHY | {"2R": 420.0}, ROLLED, "log b")
    assert after[0].urgent
    found: Comparison = compared(*before, *after)
    assert found.urgent
    assert proof_last_lines(found)[0].startswith("STOP")
    assert found.next_check.id == "clear_and_wait"


def test_a_drive_without_its_like_keeps_what_unlike_drives_say():
    found = compared(drive(HOT_REAR), drive(ROLLED, COAST))
    assert codes(found, 2) == ["drives_unlike"]
    one_log = both(HOT_REAR, ROLLED, "log a")
    assert compared(*one_log).drives.pairs == ((0, 1),)


def test_an_axle_whose_sides_are_apart_is_not_even_however_it_lies_beside_the_others():
    shown = BesideOthers(
        was=Estimate(1.57, 1.5, 1.64),
        now=Estimate(0.61, 0.57, 0.65),
        gap=Estimate(-3.0, -8.0, 2.0),
        line_k=15.0,
        rolled=False,
    )
    assert shown.lies_even(hot=True)
    assert not shown.lies_even(hot=False)
    assert not replace(shown, gap=Estimate(-12.0, -17.0, -7.0)).lies_even(hot=True)
    assert not replace(shown, was=Estimate(0.66, 0.6, 0.72)).lies_even(hot=True)
    above = replace(shown, was=Estimate(49.0, 45.0, 53.0), now=Estimate(12.0, 8.0, 16.0), rolled=True)
    assert not above.lies_even(hot=True)
    assert replace(above, now=Estimate(-3.0, -7.0, 1.0)).lies_even(hot=True)


@pytest.mark.parametrize(
    ("before", "after", "code", "number"),
    [
        ({"2L": 160.0, "2R": 165.0}, {"2L": 63.0, "2R": 64.0}, "coast_drive", "10 to 15 min"),
        ({"2L": 8.0, "2R": 8.0}, {"2L": 63.0, "2R": 64.0}, "static_check", "below 50 °C by the gun"),
    ],
)
def test_what_settles_an_axle_alone_has_the_usual_numbers(before, after, code, number):
    """The numbers of doing.toml, as a check of one log says them; the last log by itself asks for nothing."""
    no = Answer(answer="no")
    calm = structs.replace(drive(after), answers=Answers(drag=no, idle=no, heat=no), urgent=())
    asked = compared(drive(before), calm).next_check
    assert asked is not None
    assert asked.id == code
    assert number in asked.question
