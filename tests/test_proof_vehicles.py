"""Drives that are not of one vehicle have no before and after; a drive without braking settles a drag."""

from __future__ import annotations

import csv
import io

import pytest
from msgspec.structs import replace
from proofcases import DEAD_REAR, HEALTHY, HOT_REAR, HUBS, axle, codes, compared, drive

from thermlog.pages.compare import compare_page, compare_view
from thermlog.reports.contract.beside import ComparedAxleObject, ComparedCornerObject
from thermlog.reports.proofwords import axle_lines, log_names, outcome_state
from thermlog.reports.report_proof import comparison_csv, comparison_text, proof_last_lines


@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize("flagged", [True, False])
def test_different_vehicles_are_judged_each_by_itself_in_any_order(order: int, flagged: bool) -> None:
    hot, other = drive(HOT_REAR if flagged else HEALTHY), replace(drive(HEALTHY), vehicle="unit 7")
    found = compared(*(hot, other)[::order])
    assert {one.outcome for one in found.axles} == {"not_asked"}
    assert codes(found, 2) == ["vehicles_differ"]
    assert any("unit 7" in note and "not one vehicle" in note for note in found.notes)
    assert found.open_or_flagged is flagged
    assert found.asking == ((hot,) if flagged else ())
    assert found.next_check == (hot if flagged else found.last).next_check
    said = "\n".join(proof_last_lines(found))
    assert "not one vehicle: no before and after" in said
    assert said.count("NOW ") == 2
    assert ("Keep this log" in said) is not flagged
    assert ("rear right drags" in said) is flagged
    assert ("Do not keep driving a dragging brake" in said) is flagged


def test_the_page_names_the_vehicle_that_its_next_step_is_for() -> None:
    """Both ask for a look: what is named and what is asked are of one of them, whichever stands first."""
    hot = drive(HOT_REAR)
    other = replace(drive(HEALTHY | {"1L": 180.0}), vehicle="unit 7")
    for logs in ((hot, other), (other, hot)):
        found = compared(*logs)
        assert found.next_check is not None
        assert found.next_check == logs[-1].next_check
        names = log_names(found.diagnoses)
        steps = [step.c for step in compare_view(found).steps]
        assert [step.split(": ")[0] for step in steps] == list(names)


def test_what_is_urgent_on_either_of_two_vehicles_stops_it_by_name() -> None:
    burning = drive(HEALTHY | {"1L": 310.0})
    other = replace(drive(HEALTHY), vehicle="unit 7")
    for logs in ((burning, other), (other, burning)):
        found = compared(*logs)
        assert [one.code for one in found.urgent] == ["brake_hot"]
        assert found.next_check is not None
        assert found.next_check.id == "clear_and_wait"
        assert [line for line in proof_last_lines(found) if line.startswith("STOP")]


def test_another_number_of_axles_or_another_class_is_another_vehicle() -> None:
    before, after = drive(HOT_REAR), drive(HEALTHY)
    three = after.description.axles[:1] * 3
    longer = replace(after, description=replace(after.description, axles=three))
    heavy, light = (
        replace(one, description=replace(one.description, stated=True, weight_class=weight))
        for one, weight in ((after, "heavy"), (before, "light"))
    )
    for logs, code in (((before, longer), "axles_differ"), ((light, heavy), "classes_differ")):
        found = compared(*logs)
        assert codes(found, 2) == [code]
        assert axle(found, 2).outcome == "not_asked"
        assert found.open_or_flagged
        assert "do not match" in found.notes[-1] + " ".join(proof_last_lines(found))
    unsaid = replace(before, description=replace(before.description, stated=False))
    assert axle(compared(unsaid, heavy), 2).outcome == "repaired"  # the first log does not say what it is


def test_a_brake_that_still_drags_without_braking_is_not_repaired() -> None:
    coast = replace(drive(HOT_REAR), drive="coast")
    found = compared(replace(drive(HOT_REAR), drive="normal"), coast)
    assert axle(found, 2).outcome == "not_repaired"
    assert codes(found, 2) == ["still_hot"]
    gone = compared(replace(drive(HOT_REAR), drive="normal"), replace(drive(HEALTHY), drive="coast"))
    assert axle(gone, 2).outcome == "cannot_tell"


def test_two_vehicles_have_no_before_no_change_and_nothing_became_of_them() -> None:
    page = compare_page(compared(drive(HEALTHY), replace(drive(DEAD_REAR), vehicle="unit 7")))
    assert "each judged by itself</title>" in page
    assert "unit 7: each judged by itself" in page
    of_one = (": before and after", "what became of it", "nothing stood out", "the change is", ">change<")
    assert not any(words in page for words in of_one)
    same = compare_page(compared(drive(HEALTHY), drive(DEAD_REAR)))
    assert all(words in same for words in of_one)


def test_text_table_and_json_of_two_vehicles_tell_no_change() -> None:
    """No column of changes, no arrow from one to the other, no repair; the numbers of each stay."""
    for vehicle, changed in (("unit 7", False), (None, True)):
        found = compared(drive(HEALTHY), replace(drive(DEAD_REAR), vehicle=vehicle))
        tables = comparison_text(found).split("\n\n")[1:3]
        for table in tables:
            assert ("change to" in table) is changed
        assert ("->" in tables[1]) is changed
        assert ("repair" in tables[1]) is changed
        told = [*map(ComparedAxleObject.of, found.axles), *map(ComparedCornerObject.of, found.corners)]
        changes = [one for place in told for one in place.changes]
        assert any(one is not None for one in changes) is changed
        rows = list(csv.DictReader(io.StringIO(comparison_csv(found))))
        assert any(row["change_k"] for row in rows) is changed
        assert all(row["value_k"] for row in rows)


def test_a_chart_of_two_vehicles_tells_no_change() -> None:
    for vehicle, changed in (("unit 7", False), (None, True)):
        found = compared(drive(HEALTHY), replace(drive(DEAD_REAR), vehicle=vehicle))
        lines = axle_lines(axle(found, 2), found, ("a", "b"), "C")
        assert any(line.startswith("change ") for line in lines) is changed
        assert sum(line.startswith("left minus right ") for line in lines) == 2


@pytest.mark.parametrize(
    ("before", "now", "state"),
    [
        (HEALTHY, HOT_REAR, "hot"),
        (HEALTHY, DEAD_REAR, "cold"),
        (DEAD_REAR, DEAD_REAR, "cold"),
        (HOT_REAR, HOT_REAR, "hot"),
        (HOT_REAR, DEAD_REAR, "cold"),
        (DEAD_REAR, HEALTHY, "even"),
        (HEALTHY | HUBS, DEAD_REAR | HUBS | {"2L hub": 75.0}, "hot"),  # the other side has a hot hub
    ],
)
def test_a_fault_that_is_cold_has_the_sign_of_cold(
    before: dict[str, float], now: dict[str, float], state: str
) -> None:
    """The signs are those of docs/report.md: an answer "does not work" is cold wherever it stands."""
    found = compared(drive(before), drive(now))
    assert outcome_state(axle(found, 2)) == state
    assert compare_view(found).rows[1].state == state
    if not found.urgent:
        assert compare_view(found).state == state
    alone = compare_view(compared(drive(before), replace(drive(now), vehicle="unit 7")))
    if not found.urgent and before == HEALTHY:
        assert alone.state == state
