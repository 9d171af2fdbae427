"""Lines of a fleet from hand-made diagnoses: answers, rank, words."""

from __future__ import annotations

import random

import pytest
from msgspec.structs import replace
from samples import cool_van, corner, even_van, hot_rear_right, smoking_van, untold_van, watched_van

from thermlog.fleet.fleetlist import FleetList, FleetRow
from thermlog.fleet.fleetrows import rows_of
from thermlog.reports.report_fleet import fleet_text
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Diagnosis, PatternFinding, Urgent
from thermlog.words.reasons import Reason


def place(row: FleetRow) -> tuple[str, str, str | None]:
    return row.unit, row.finding.verdict, row.finding.suspect


def test_odd_axles_are_lines_of_their_own_with_numbers_of_the_axle():
    (row,) = rows_of(hot_rear_right())

    assert place(row) == ("van 12", "hot", "2R")
    assert row.finding == hot_rear_right().axles[1]
    assert [one.code for one in row.finding.reasons] == ["stands_out_hot"]
    assert (row.drag, row.idle, row.heat, row.p_drag, row.p_idle) == ("yes", "no", "no", 0.97, 0.01)
    assert row.standing == "yes"


def test_even_vehicle_is_one_line_with_its_widest_difference():
    (row,) = rows_of(even_van())

    assert (row.finding.verdict, row.finding.axle) == ("even", 1)
    assert row.finding.difference_k == Estimate(3.0, -1.0, 7.0)


def test_vehicle_that_cannot_be_told_keeps_the_reason_and_the_name_of_the_file():
    (row,) = rows_of(untold_van())

    assert place(row) == ("logs/cold.csv", "cannot_tell", None)
    assert [one.code for one in row.cannot_tell] == ["no_ambient", "not_read"]
    assert row.decides == Reason(code="state_ambient")


def test_vehicle_that_does_not_drag_keeps_what_would_tell_whether_all_work():
    (row,) = rows_of(cool_van())

    assert (row.drag, row.idle, row.finding.verdict, row.standing) == (
        "no",
        "cannot_tell",
        "cannot_tell",
        "cannot_tell",
    )
    assert row.decides is not None
    assert row.decides.code == "drive_with_braking"


@pytest.mark.parametrize("found", ["yes", "watch", "hot"])
def test_no_drive_is_asked_for_beside_a_finding_or_with_a_hot_brake(found):
    van = cool_van()
    if found == "hot":  # own line: nobody is sent out with a brake of 250 °C
        van = replace(van, corners=(corner("1L", at_degc=250.0), *van.corners[1:]))
    else:
        drag = replace(van.answers.drag, answer=found, corners=("2L",))
        van = replace(van, answers=replace(van.answers, drag=drag))
    assert rows_of(van)[0].decides is None


def test_vehicle_that_stops_is_cleared_before_anything_else_is_asked():
    (row,) = rows_of(replace(cool_van(), urgent=smoking_van().urgent))

    assert (row.standing, row.urgent) == ("urgent", ("smoke", "tyre_hot"))
    assert row.decides == Reason(code="clear_and_wait")


@pytest.mark.parametrize(
    ("question", "answer", "verdict"),
    [
        ("drag", "yes", "hot"),
        ("heat", "yes", "hot"),
        ("idle", "yes", "cold"),
        ("drag", "watch", "watch"),
        ("heat", "watch", "watch"),
        ("idle", "cannot_tell", "cannot_tell"),
        ("drag", "no", "even"),
    ],
)
def test_answer_over_even_axles_still_asks_for_a_look(question, answer, verdict):
    van = even_van()
    asked = replace(getattr(van.answers, question), answer=answer, corners=("1L", "1R"))
    van = replace(van, answers=replace(van.answers, **{question: asked}))
    (row,) = rows_of(van)

    assert row.finding.verdict == verdict
    assert van.flagged == (row.standing != "no")


def test_hot_hub_is_a_line_of_its_own_with_the_difference_of_the_hubs():
    van = even_van()
    hubs = (corner("1L", at_degc=140.0, spot="hub", verdict="hot"), corner("1R", at_degc=40.0, spot="hub"))
    pattern = PatternFinding(kind="hub_hot", corners=("1L",))
    over = Urgent(code="hub_over_mate", corner="1L", spot="hub")
    (row,) = rows_of(replace(van, corners=(*van.corners, *hubs), pattern=pattern, urgent=(over,)))

    assert place(row) == ("van 3", "hot", "1L")
    assert row.finding.difference_k == Estimate(100.0)
    assert "front left hub" in fleet_text(FleetList(rows=[row]))


def test_axle_whose_odd_side_is_open_says_so_beside_a_corner_that_is_called():
    van = hot_rear_right()
    front = replace(van.axles[0], verdict="watch")
    text = fleet_text(FleetList(rows=rows_of(replace(van, axles=(front, van.axles[1])))))

    assert "front, side open" in text
    assert "rear right" in text


def of_drag(vehicle: str, p: float, difference_k: float) -> Diagnosis:
    """The van whose rear right brake is hot, under another name."""
    van = hot_rear_right()
    drag = replace(van.answers.drag, p=p)
    rear = replace(van.axles[1], difference_k=Estimate(difference_k))
    return replace(van, vehicle=vehicle, axles=(rear,), answers=replace(van.answers, drag=drag))


def test_rank_is_danger_then_finding_then_chance_then_size_and_not_the_order_of_files():
    vans = [
        replace(even_van("s.csv", "smells"), urgent=(Urgent(code="smell"),)),
        of_drag("likelier", 0.99, -30.0),
        of_drag("large", 0.9704, -80.0),
        of_drag("less large", 0.9749, -58.0),  # the same in whole per cent
        watched_van(),
        untold_van(),
        even_van(),
        smoking_van(),
    ]
    random.Random(4).shuffle(vans)
    kept = FleetList(rows=[row for van in vans for row in rows_of(van)])

    ranked = ["van 7", "smells", "likelier", "large", "less large", "van 5", "logs/cold.csv", "van 3"]
    assert [row.unit for row in kept.ranked()] == ranked


def test_dead_brake_is_ranked_by_its_own_probability():
    van = even_van()
    sure, less = (replace(van.answers.idle, answer="yes", p=p, corners=("2L",)) for p in (0.95, 0.88))
    dead = [replace(van, vehicle=f"{one.p}", answers=replace(van.answers, idle=one)) for one in (less, sure)]
    kept = FleetList(rows=[row for one in dead for row in rows_of(one)])

    assert [row.unit for row in kept.ranked()] == ["0.95", "0.88"]


def test_reasons_are_gathered_and_differences_shown_without_the_32():
    kept = FleetList(rows=[row for van in (hot_rear_right(), untold_van()) for row in rows_of(van)])
    text = fleet_text(kept, show="F")

    assert "-104 ± 14" in text  # 58 ± 8 K times 9/5
    assert "Cannot tell whether a brake drags and whether every brake works (1)" in text
    assert "logs/cold.csv: no air temperature is stated" in text
    assert "rear left and rear right: not read" in text


def test_what_is_missing_is_said_in_the_unit_of_the_page_with_what_to_do():
    text = fleet_text(FleetList(rows=rows_of(cool_van())), show="F")

    assert (
        "van 8: the warmest brake is 40 °F above the air, 54 °F are needed" in text
    )  # 22 and 30 K times 9/5
    assert "60 km/h, then read every brake at once: 14 °F more are needed" in text


def test_units_that_miss_the_same_stand_together():
    rows = [replace(rows_of(cool_van())[0], unit=unit) for unit in ("A", "B")]
    text = fleet_text(FleetList(rows=rows))

    assert "Cannot tell whether every brake works (2)\n" in text
    assert "too little heat to tell one that does nothing, 2 units: A; B\n    Drive again with usual" in text


def test_both_answers_and_what_stops_the_vehicle_stand_in_the_list():
    vans = (hot_rear_right(), watched_van(), smoking_van())
    lines = fleet_text(FleetList(rows=[row for van in vans for row in rows_of(van)])).splitlines()
    of = {unit: next(line for line in lines if unit in line).split() for unit in ("van 7", "van 12", "van 5")}

    assert of["van 12"][-6:-2] == ["DRAGS", "no", "97", "%"]
    assert of["van 5"][-6:-2] == ["watch", "no", "42", "%"]
    assert "STOP: smoke, tyre" in " ".join(of["van 7"])
    assert of["van 7"][0] == "1"


def test_counts_are_of_drives_and_add_up():
    rows = [
        row for van in (hot_rear_right(), watched_van(), smoking_van(), even_van()) for row in rows_of(van)
    ]
    front = replace(rows[0], finding=replace(rows[0].finding, axle=1))  # a second line of the same drive
    text = fleet_text(FleetList(rows=[*rows, front], judged=4, flagged=3))

    assert text.startswith(
        "4 drives judged: 3 ask for a look "
        "(1 urgent, 1 with a brake that drags or does not work, 1 to watch), 1 clear | files: "
    )
