"""Lines of a fleet from hand-made diagnoses: answers, rank, words."""

from __future__ import annotations

import random
import re
from textwrap import wrap

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from samples import cool_van, corner, even_van, hot_rear_right, smoking_van, untold_van, watched_van

from thermlog.fleet.again import again_of
from thermlog.fleet.fleetlist import FleetList
from thermlog.fleet.fleetrows import rows_of
from thermlog.fleet.quietrows import packed
from thermlog.fleet.worklist import WorkList, work_list
from thermlog.fleet.workrow import GROUPS, FleetRow, Hottest
from thermlog.reports.contract.work import WorkDriveObject, WorkObject
from thermlog.reports.fleetcolumns import fleet_csv
from thermlog.reports.report_fleet import _Lines, fleet_text
from thermlog.reports.wording import printable
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
    assert row.group == "called"


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

    assert (row.drag, row.idle, row.finding.verdict, row.group) == (
        "no",
        "cannot_tell",
        "cannot_tell",
        "again",
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

    assert (row.group, row.stops, row.urgent) == ("urgent", True, smoking_van().urgent)
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
    assert van.flagged == (row.group != "nothing")


def test_hot_hub_is_a_line_of_its_own_with_the_difference_of_the_hubs():
    van = even_van()
    hubs = (corner("1L", at_degc=140.0, spot="hub", verdict="hot"), corner("1R", at_degc=40.0, spot="hub"))
    pattern = PatternFinding(kind="hub_hot", corners=("1L",))
    over = Urgent(code="hub_over_mate", corner="1L", spot="hub")
    (row,) = rows_of(replace(van, corners=(*van.corners, *hubs), pattern=pattern, urgent=(over,)))

    assert place(row) == ("van 3", "hot", "1L")
    assert row.finding.difference_k == Estimate(100.0)
    assert row.stops
    assert "hub far above its mate front left" in fleet_text(work_list(FleetList(rows=[row])))


def test_axle_whose_odd_side_is_open_says_so_beside_a_corner_that_is_called():
    van = hot_rear_right()
    front = replace(van.axles[0], verdict="watch")
    text = fleet_text(listed(replace(van, axles=(front, van.axles[1]))))

    assert "front, left or right" in text
    assert "rear right" in text


def of_drag(vehicle: str, p: float, difference_k: float) -> Diagnosis:
    """The van whose rear right brake is hot, under another name."""
    van = hot_rear_right()
    drag = replace(van.answers.drag, p=p)
    rear = replace(van.axles[1], difference_k=Estimate(difference_k))
    return replace(van, vehicle=vehicle, axles=(rear,), answers=replace(van.answers, drag=drag))


def listed(*vans: Diagnosis, **how) -> WorkList:
    return work_list(FleetList(rows=[row for van in vans for row in rows_of(van, **how)]))


def units(work: WorkList) -> list[str]:
    return [drive.first.unit for drive in work.drives]


def test_rank_is_danger_then_group_then_least_effect_then_doubt_and_not_the_order_of_files():
    wide = Estimate(-80.0, -140.0, -20.0)
    vans = [
        replace(even_van("s.csv", "smells"), urgent=(Urgent(code="smell"),)),
        of_drag("b surer", 0.99, -30.0),
        of_drag("a less sure", 0.9, -31.0),  # the same step of 5 K
        of_drag("large", 0.6, -80.0),
        of_drag("large too", 0.97, -58.0),
        watched_van(),
        untold_van(),
        even_van(),
        smoking_van(),
    ]
    doubtful = of_drag("large, in doubt", 0.99, -80.0)
    vans.append(replace(doubtful, axles=(replace(doubtful.axles[0], difference_k=wide),)))
    random.Random(4).shuffle(vans)

    assert units(listed(*vans)) == [
        "van 7", "smells", "large", "large too", "b surer", "a less sure", "large, in doubt", "van 5",
        "logs/cold.csv", "van 3",
    ]  # fmt: skip
    ranks = [drive.rank for drive in listed(*vans).drives]
    assert ranks == list(range(1, 11))


@pytest.mark.parametrize(("one", "other"), [(0.9501, 0.9502), (0.96, 0.99), (0.51, 0.94)])
def test_decimals_of_a_probability_never_rank(one, other):
    """Of like effect, and of one grade of doubt, names decide, whichever is the likelier by a little."""
    for first, second in ((one, other), (other, one)):
        assert units(listed(of_drag("b", first, -60.0), of_drag("a", second, -61.0))) == ["a", "b"]


def test_both_sides_of_an_axle_rank_by_their_heat_not_by_the_gap_between_them():
    van = hot_rear_right()
    both = Reason(code="both_sides_hot", corners=("2L", "2R"), numbers={"above_k": 70.0, "low_k": 61.0})
    rear = replace(van.axles[1], difference_k=Estimate(1.0, -3.0, 5.0), suspect=None, reasons=(both,))
    axle_hot = replace(van, vehicle="both", axles=(rear,))
    assert units(listed(of_drag("one", 0.99, -57.0), axle_hot, of_drag("more", 0.99, -66.0))) == [
        "more", "both", "one",
    ]  # fmt: skip


def test_packed_lines_stand_where_they_stood_as_records_and_say_the_same():
    loud, bare = (
        [hot_rear_right(), watched_van(), untold_van()],
        replace(even_van("z.csv", "a"), p_fault=None),
    )
    calm = [even_van(f"{k}.csv", f"van {k % 3}") for k in (5, 3, 4, 1, 2)] + [bare]
    rows, quiet = ([row for van in vans for row in rows_of(van)] for vans in (loud, calm))
    plain = work_list(FleetList(rows=[*quiet[::2], *rows, *quiet[1::2]]))
    mixed = work_list(FleetList(rows=[*rows, quiet[0]], quiet=[packed(quiet[3:]), packed(quiet[1:3])]))

    assert [*mixed.drives] == [*plain.drives]
    assert [*mixed.drives[2:5]] == [*plain.drives][2:5]
    assert mixed.drives[-1] == [*plain.drives][-1]
    for group in GROUPS:
        assert mixed.of(group) == plain.of(group)
    assert (mixed.tally, mixed.actions, mixed.policies) == (plain.tally, plain.actions, plain.policies)
    assert fleet_text(mixed) == fleet_text(plain)
    assert fleet_csv(mixed) == fleet_csv(plain)


def test_packed_lines_are_objects_as_every_other_line_is():
    gaps_k = [Estimate(3.1234567, -1.0, 7.0), Estimate(-2.0, -9.87654321, 0.5), Estimate(4.0), None]
    heats = [Hottest(degc=degc, corner="2L", spot="brake", line=None) for degc in (140.123456, 99.0)]
    hottest: list[Hottest | None] = [*heats, None, heats[0]]
    calm = [row for k in range(4) for row in rows_of(even_van(f"{k}.csv", f"van {3 - k}"))]
    unlike = [
        replace(row, finding=replace(row.finding, difference_k=gap_k), hottest=heat)
        for row, gap_k, heat in zip(calm, gaps_k, hottest, strict=True)
    ]
    loud = rows_of(hot_rear_right())
    work = work_list(FleetList(rows=loud, quiet=[packed(unlike[:3]), packed(unlike[3:])]))

    assert WorkObject.of(work).drives == tuple(map(WorkDriveObject.of, work.drives))
    assert [one.rank for one in WorkObject.of(work).drives] == [1, 2, 3, 4, 5]


def test_packed_lines_of_copies_are_left_out():
    quiet = packed([row for k in range(4) for row in rows_of(even_van(f"{k}.csv", f"van {k}"))])
    rest = quiet.without({"1.csv", "2.csv"})
    assert [*rest] == [quiet.row(0), quiet.row(3)]


def test_lines_of_a_drive_stand_together_however_different_they_are():
    van = hot_rear_right()
    front = replace(van.axles[0], verdict="watch")
    work = listed(of_drag("other", 0.97, -40.0), replace(van, axles=(front, van.axles[1])))
    assert [[row.finding.axle for row in drive.lines] for drive in work.drives] == [[2, 1], [2]]


def test_differences_and_degrees_are_shown_in_the_unit_of_the_page_without_the_32():
    hottest = (Hottest(degc=133.0, corner="2R", spot="brake", line=14),)
    text = fleet_text(listed(hot_rear_right(), hottest=hottest), show="F")

    assert "hottest 271 °F" in text  # 133 times 9/5 plus 32
    assert "left - right -104 ± 14 °F" in text  # 58 ± 8 K times 9/5
    assert "see  logs/van12.csv, line 14" in text


def test_what_is_missing_is_said_in_the_unit_of_the_page_with_the_drive_to_make():
    van = cool_van()
    (row,) = rows_of(van)
    text = " ".join(fleet_text(work_list(FleetList(rows=[row])), show="F").split())

    # 8, 30 and 22 K times 9/5
    assert "lack 14 of 54 °F above the air missing, there were 40" in text
    assert "drive tonight: 20 stops from 60 km/h, loaded or not" in text
    again = again_of(row)
    assert again is not None
    assert (again.by, again.have_k, again.needed_k, again.missing_k) == ("drive", 22.0, 30.0, 8.0)
    assert (again.stops, again.from_kmh, again.load, again.when) == (20.0, 60.0, "as_it_is", "tonight")


def test_nobody_is_asked_for_nothing_and_every_vehicle_has_its_own_drive():
    """Of alike errands each vehicle's stops stand beside its name; 0.2 K too little is not "0 missing"."""

    def lacking(name: str, have_k: float, stops: float) -> FleetRow:
        (row,) = rows_of(replace(cool_van(), vehicle=name))
        heat = Reason(code="not_enough_heat", numbers={"warmest_k": have_k, "needed_k": 30.0})
        step = Reason(code="drive_with_braking", numbers={"stops": stops, "from_kmh": 60.0})
        return replace(row, file=f"{name}.csv", cannot_tell=(heat,), decides=step)

    rows = [lacking("van a", 29.8, 9.0), lacking("van b", 22.0, 7.0)]
    text = " ".join(fleet_text(work_list(FleetList(rows=rows)), width=400).split())
    assert "van a: just under 30 °C above the air, where 30 are needed; drive tonight: 9 stops" in text
    assert "van b: 8 of 30 °C above the air missing, there were 22; drive tonight: 7 stops" in text
    assert text.count("stops from") == 2
    assert not re.search(r"\b0 of \d+ °C", text)


@pytest.mark.parametrize(
    ("code", "by", "load", "when"),
    [
        ("drive_loaded", "drive", "loaded", "tonight"),
        ("coast_drive", "drive", "as_it_is", "tonight"),
        ("mark_and_read", "drive", "as_it_is", "once_cold"),
        ("state_ambient", "log", None, "any_time"),
        ("name_wheel", "log", None, "any_time"),
        ("read_unread", "gun", None, "tonight"),
        ("write_times", "gun", None, "tonight"),
        ("cool_and_turn", "hands", None, "once_cold"),
        ("static_check", "hands", None, "once_cold"),
        ("compare_forces", "hands", None, "once_cold"),
        ("read_memory", "hands", None, "once_cold"),
        ("spin_hot", "gun", None, "tonight"),  # a check of a search waits for readings
    ],
)
def test_what_is_lacking_is_supplied_by_a_drive_the_gun_the_log_or_hands(code, by, load, when):
    (row,) = rows_of(cool_van())
    again = again_of(replace(row, decides=Reason(code=code)))
    assert again is not None
    assert (again.by, again.load, again.when) == (by, load, when)


@pytest.mark.parametrize("van", [hot_rear_right(), even_van(), watched_van(), smoking_van()])
def test_only_what_could_not_be_told_lacks_anything(van):
    assert [again_of(row) for row in rows_of(van)] == [None] * len(rows_of(van))


def test_a_line_that_says_stop_names_place_and_degrees():
    text = fleet_text(listed(smoking_van()))
    assert "!! STOP DRIVING: smoke seen at front left, tyre front left 118 °C" in " ".join(text.split())


def test_what_stops_a_vehicle_is_one_line_and_its_other_axles_stay():
    van = replace(hot_rear_right(), urgent=smoking_van().urgent)  # smoke at the front left
    stop, other = rows_of(van)
    assert (stop.stops, other.stops) == (True, False)
    assert (stop.finding.axle, other.finding.suspect) == (1, "2R")
    at_the_same = replace(van, urgent=(Urgent(code="brake_hot", corner="2R", value_degc=450.0),))
    (stop,) = rows_of(at_the_same)
    assert (stop.stops, stop.finding.suspect) == (True, "2R")


def test_the_hottest_reading_of_a_line_is_that_of_its_place():
    read = [
        Hottest(degc=240.0, corner="1L", spot="brake", line=3),
        Hottest(degc=133.0, corner="2R", spot="brake", line=5),
        Hottest(degc=120.0, corner="2R", spot="tyre_inner", line=6),
        Hottest(degc=None, corner="1R", spot="brake", line=9),
    ]
    assert [row.hottest for row in rows_of(hot_rear_right(), hottest=read)] == [read[1]]
    (even,) = rows_of(even_van(), hottest=read[:3])
    assert even.hottest == replace(read[0], line=None)  # of nothing found no line is evidence
    tyre = Urgent(code="tyre_hot", corner="2R", spot="tyre_inner", value_degc=120.0)
    (stop,) = rows_of(replace(even_van(), urgent=(tyre,)), hottest=read)
    assert stop.hottest == read[2]
    # smoke at the one brake that is cold: who walks up is told of the hottest of the vehicle
    for code in ("smoke", "hub_over_mate"):
        seen = replace(even_van(), urgent=(Urgent(code=code, corner="2R"),))
        assert rows_of(seen, hottest=read[:3])[0].hottest == read[0]
    (beyond,) = rows_of(replace(even_van(), urgent=(Urgent(code="over_range", corner="1R"),)), hottest=read)
    assert beyond.hottest == read[3]


def test_counts_are_of_drives_and_files_and_add_up():
    vans = (hot_rear_right(), watched_van(), smoking_van(), even_van(), cool_van())
    rows = [row for van in vans for row in rows_of(van)]
    front = replace(rows[0], finding=replace(rows[0].finding, axle=1))  # a second line of the same drive
    work = work_list(FleetList(rows=[*rows, front], read=5))
    tally = work.tally

    assert tally.drives == sum(tally.groups.values()) == 5
    assert tally.read == tally.logs + tally.copies
    assert tally.files == tally.read + tally.unreadable
    assert fleet_text(work).startswith(
        "5 drives of 5 units judged: 1 to stop, 1 to check, 1 to watch, 1 to drive or read again, 1 with\n"
    )
    assert all(len(work.of(group)) == count for group, count in tally.groups.items())


def test_where_all_wheels_lack_something_every_brake_is_said():
    van = cool_van()
    idle = van.answers.idle
    every = replace(idle.reasons[0], corners=("1L", "1R", "2L", "2R"))
    rear = replace(idle.reasons[0], corners=("2L", "2R"))
    for reason, place in (
        (every, "(every brake); drive tonight"),
        (rear, "(rear left and rear right); drive"),
    ):
        answers = replace(van.answers, idle=replace(idle, reasons=(reason,)))
        assert place in " ".join(fleet_text(listed(replace(van, answers=answers))).split())


@pytest.mark.parametrize(
    ("reason", "place"),
    [
        (Reason(code="rising", corners=("2R",), numbers={"rise_k": 6.0}), "(rear right)"),
        (Reason(code="nothing_braked", corners=("1L", "1R", "2L", "2R")), "(every brake)"),
    ],
    ids=lambda one: getattr(one, "code", ""),
)
def test_a_place_that_the_reason_names_is_not_named_again(reason, place):
    van = cool_van()
    answers = replace(van.answers, idle=replace(van.answers.idle, reasons=(reason,)))
    text = " ".join(fleet_text(listed(replace(van, answers=answers))).split())
    assert (text.count(place.strip("()")) > 0, text.count(place)) == (True, 0)


@given(line=st.text("ab -\t\u2003", max_size=16) | st.text(max_size=16), first=st.sampled_from(["", "  1  "]))
def test_lines_that_fit_are_those_of_the_library_too(line, first):
    usual = wrap(
        printable(line),
        10,
        initial_indent=first,
        subsequent_indent="  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
    assert _Lines(width=10, show="C").wrapped([line], first=first, then="  ") == usual
