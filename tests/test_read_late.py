"""A vehicle read long after it stopped is cleared of nothing; what still stands out is still called.

The line is `latest_reading_s` of the policy, its own number: engineering judgement.
All readings are invented.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from judgecases import told_text
from logs import AIR_DEGC, DRAGGING_K, HEALTHY_K, TAU_S

from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy

LATEST_S = load_policy("light").latest_reading_s


def walk(rises_k: dict[str, float], later_s: dict[str, float], *, parked: bool = True) -> str:
    """Three rounds of readings at once after stopping, those of some corners moved to begin later.

    The rises are those at the first reading of all.
    """
    column = "since_parked_s" if parked else "elapsed_s"
    begins_s = {corner: later_s.get(corner, 30.0) for corner in rises_k}
    zero_s = min(begins_s.values())
    rows = sorted(
        (begins_s[corner] + 200.0 * turn, corner, rise_k)
        for turn in range(3)
        for corner, rise_k in rises_k.items()
    )
    lines = [
        f"{corner},{elapsed_s:g},{AIR_DEGC + rise_k * math.exp((zero_s - elapsed_s) / TAU_S):.1f}"
        for elapsed_s, corner, rise_k in rows
    ]
    return (
        "\n".join([f"# ambient: {AIR_DEGC:g} C", "# drive: normal", f"corner,{column},temp_c", *lines]) + "\n"
    )


def hours_after(rises_k: dict[str, float], *, parked: bool = True) -> str:
    return walk(rises_k, dict.fromkeys(rises_k, 4 * LATEST_S), parked=parked)


def late_corners(found: Diagnosis) -> set[str]:
    return {c.corner for c in found.corners if any(r.code == "read_too_late" for r in c.reasons)}


def test_even_brakes_hours_after_stopping_are_cleared_of_nothing() -> None:
    found = told_text(hours_after(HEALTHY_K))
    assert [one.answer for one in found.answers.each] == ["cannot_tell"] * 3
    assert late_corners(found) == set(HEALTHY_K)
    assert found.flagged
    reason = found.answers.drag.reasons[0]
    assert (reason.code, reason.corners) == ("read_too_late", tuple(HEALTHY_K))
    assert reason.numbers == {"minutes": 4 * LATEST_S / 60.0, "latest": LATEST_S / 60.0}
    assert found.next_check is not None
    assert found.next_check.id == "drive_with_braking"
    assert "within 5 min of stopping" in found.next_check.question


@pytest.mark.parametrize(("first_s", "limits"), [(LATEST_S, 4), (LATEST_S + 1.0, 0)])
def test_brakes_read_late_get_no_limit_in_newton_metres(first_s: float, limits: int) -> None:
    """All four first read on the line, and one second after it."""
    answers = told_text(walk(HEALTHY_K, dict.fromkeys(HEALTHY_K, first_s))).answers
    assert [len(one.detectable) for one in (answers.drag, answers.idle)] == [limits, limits]


def test_a_hot_brake_hours_after_stopping_is_still_called() -> None:
    drag = told_text(hours_after(DRAGGING_K)).answers.drag
    assert (drag.answer, drag.corners) == ("yes", ("2R",))


def test_without_a_parked_moment_nothing_is_known_to_be_late() -> None:
    found = told_text(hours_after(HEALTHY_K, parked=False))
    assert late_corners(found) == set()
    assert found.answers.drag.answer == "no"


@pytest.mark.parametrize(("first_s", "late"), [(LATEST_S, set()), (LATEST_S + 1.0, {"1R"})])
def test_the_first_reading_of_each_brake_decides(first_s: float, late: set[str]) -> None:
    """One brake alone first read on the line, and one second after it."""
    found = told_text(walk(HEALTHY_K, {"1R": first_s}))
    assert late_corners(found) == late


def test_a_gap_that_is_gone_hours_later_is_no_repair(thermlog) -> None:
    Path("before.csv").write_text(walk(DRAGGING_K, {}))
    Path("after.csv").write_text(hours_after(HEALTHY_K))
    said = json.loads(thermlog("compare", "before.csv", "after.csv", "--format", "json").out)
    assert [axle["outcome"] for axle in said["axles"] if axle["axle"] == 2] == ["cannot_tell"]


def test_fleet_lists_it_as_undecided(thermlog) -> None:
    Path("late.csv").write_text(hours_after(HEALTHY_K))
    Path("soon.csv").write_text(walk(HEALTHY_K, {}))
    ran = thermlog("fleet", ".")
    assert ran.code == 1
    assert "2 drives of 2 units judged: 1 to drive or read again, 1 with nothing found" in ran.out
    assert "a dragging brake may have cooled" in " ".join(ran.out.split())


def test_a_drive_without_braking_read_late_is_made_again() -> None:
    found = told_text(hours_after(dict.fromkeys(HEALTHY_K, 5.0)).replace("drive: normal", "drive: coast"))
    assert found.answers.drag.answer == "cannot_tell"
    assert found.answers.drag.decides[0].code == "repeat_drive"
