"""A whole vehicle that is hot is told as that by `compare`, as `check` tells it of the same log.

Accepted by a careful technician: where nothing but the heat of all brakes speaks of a brake, no one brake is
new and none is named by itself; a brake that stands out beside it is.
"""

from __future__ import annotations

import pytest
from proofcases import HEALTHY, HOT_REAR, axle, compared, drive

from thermlog.reports.report_proof import proof_last_lines
from thermlog.reports.summary import headline

WARM, HOT = ({corner: times * k for corner, k in HEALTHY.items()} for times in (2.0, 2.6))
DEAD = HEALTHY | {"1L": 8.0}


def said(before: dict[str, float], after: dict[str, float]) -> tuple[str, str]:
    """The heads of `compare`, and of `check` of the last log."""
    found = compared(drive(before), drive(after))
    (line,) = [line for line in proof_last_lines(found) if line.startswith("FINDING")]
    return line.removeprefix("FINDING   "), headline(found.last)


@pytest.mark.parametrize("before", [HEALTHY, HOT_REAR])
def test_a_whole_vehicle_that_is_hot_now_is_no_new_fault_of_one_brake(before: dict[str, float]) -> None:
    told, checked = said(before, HOT)
    assert "the whole vehicle is hot" in checked
    assert told == "NEW FAULT: the whole vehicle is hot now and was not before"


def test_the_same_of_one_that_is_warmer_than_usual() -> None:
    told, checked = said(HEALTHY, WARM)
    assert checked.startswith("! the whole vehicle is warmer than usual")
    assert told == "New, to be watched: the whole vehicle is warmer than usual now and was not before"


def test_where_it_was_hot_before_it_is_so_still() -> None:
    told, checked = said(HOT, HOT)
    assert "the whole vehicle is hot" in checked
    assert told.startswith("NOT REPAIRED: the whole vehicle still hot")
    assert said(WARM, WARM)[0].count("the whole vehicle still warmer than usual") == 1


def test_a_brake_that_stands_out_beside_the_heat_leads() -> None:
    """245 K beside a mate of 132: it is called by itself, and what is warm all over stands behind it."""
    told, checked = said(HEALTHY, {corner: 2.1 * k for corner, k in HEALTHY.items()} | {"2R": 245.0})
    assert checked.startswith("+ rear right drags; ! the whole vehicle is warmer")
    assert told.endswith("; the whole vehicle new, to be watched")
    assert "Rear NEW FAULT: rear right is hot now and was not before" in told


def test_each_axle_is_told_by_the_heat_too() -> None:
    found = compared(drive(HEALTHY), drive(HOT))
    for number in (1, 2):
        assert (axle(found, number).outcome, axle(found, number).reasons[0].code) == (
            "new_fault",
            "new_all_hot",
        )
    dead = compared(drive(DEAD), drive(HOT))
    assert axle(dead, 2).reasons[0].code in {"new_all_hot", "found_all_hot"}
