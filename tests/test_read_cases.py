"""Whole logs: air, vehicles, drives, spots, repeats and the order of readings."""

from __future__ import annotations

import math

import pytest
from readcases import PLAIN, check_counts, outcome, read, rows

from thermlog.words.errors import LogRefusedError, ThermlogError
from thermlog.words.vehicle import SPOTS

# ---- air ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("degc", "refused"), [(50.0, False), (50.1, True), (-40.0, False), (-40.1, True)])
def test_air_in_which_nobody_works_is_refused_by_its_line(degc: float, refused: bool) -> None:
    """Header, column and a row of its own alike; the ends are those of the reader."""
    column = f"time_s,position,temp_c,ambient\n0,FL,80,18\n9,FR,81,{degc}\n"
    for text, line in ((f"# ambient: {degc} C\n{PLAIN}", 1), (column, 3), (f"{PLAIN}40,air,{degc}\n", 6)):
        found = outcome(text.encode())
        if not refused:
            assert not isinstance(found, ThermlogError)
            continue
        assert isinstance(found, ThermlogError)
        assert (found.code, found.line) == ("no_air", line)
        assert "is no air temperature (-40 to 50 °C)" in str(found)


def test_an_air_that_is_none_is_the_trouble_and_not_the_unit() -> None:
    found = outcome(("air: 160 C\n" + PLAIN.replace("temp_c", "temp")).encode())
    assert isinstance(found, ThermlogError)
    assert (found.code, found.line) == ("no_air", 1)


def test_an_option_that_overrides_stands_over_an_air_that_is_none() -> None:
    found = read(f"# ambient: 160 C\n{PLAIN}", ambient_degc=18.0, override=("ambient",))
    assert found.readings.cases[0].ambient_degc == 18.0


@pytest.mark.parametrize(("heading", "refused"), [("temp_f", True), ("temp_c", False)])
def test_a_bare_option_is_refused_beside_fahrenheit(heading: str, refused: bool) -> None:
    found = outcome(PLAIN.replace("temp_c", heading).encode(), ambient_degc=40.0, ambient_bare=True)
    assert isinstance(found, ThermlogError) == refused
    if refused:
        assert "write 40F or 40C" in str(found)


@pytest.mark.parametrize(
    ("line", "degc", "sigma_k"),
    [
        ("# ambient: 18 C", 18.0, None),
        ("# ambient: 18,5 °C", 18.5, None),
        ("# ambient: 64.4 F", 18.0, None),
        ("# ambient: 18 ± 2 C", 18.0, 2.0),
        ("# ambient: 64.4 ± 3.6 F", 18.0, 2.0),
        ("# ambient_degc: 18", 18.0, None),
        ("# Umgebungstemperatur: 18 °C", 18.0, None),
        ('"# ambient: 18 C",,', 18.0, None),
        ("# ambient: unknown", None, None),
    ],
)
def test_air_from_a_header_comment(line: str, degc: float | None, sigma_k: float | None) -> None:
    case = read(f"{line}\n{PLAIN}").readings.cases[0]
    assert case.ambient_degc == (None if degc is None else pytest.approx(degc))
    assert case.ambient_sigma_k == (None if sigma_k is None else pytest.approx(sigma_k))
    assert case.ambient_source == (None if degc is None else "log")


def test_air_from_an_option_that_overrides_wins_and_says_so() -> None:
    found = read("# ambient: 18 C\n" + PLAIN, ambient_degc=20.0, ambient_sigma_k=1.0, override=("ambient",))
    case = found.readings.cases[0]
    assert (case.ambient_degc, case.ambient_sigma_k, case.ambient_source) == (20.0, 1.0, "option")
    assert "the log states 18 °C" in found.record.notes[0]


def test_air_from_a_column_or_rows() -> None:
    column = read("time_s,position,temp_c,ambient\n0,FL,80,18\n10,FR,81,19\n20,RL,70,\n30,RR,71,warm\n")
    assert column.readings.cases[0].ambient_degc == 18.5
    assert column.record.notes[0] == "one cell of the ambient column not used: no temperatures"
    comma = read("time_s;position;temp_c;ambient\n0;FL;80;18,5 °C\n10;FR;81;18,5 °C\n")
    assert comma.readings.cases[0].ambient_degc == 18.5
    found = read(PLAIN + "40,Ambient,18\n50,air,19\n60,outside,OL\n")
    assert found.readings.cases[0].ambient_degc == 18.5
    assert (found.record.rows_read, found.record.rows_used) == (7, 4)
    check_counts(found)


# ---- vehicles, drives, descriptions ---------------------------------------------------------------------


def test_vehicles_and_drives_of_one_file_are_cases_of_their_own() -> None:
    found = read(
        "vehicle,drive,clock,position,temp_c\nA,normal,14:00,FL,80\nA,normal,14:01,FR,81\n"
        "B,coast,15:30,FL,40\nB,coast,15:31,FR,41\nB,normal,14:30,FL,90\n"
    )
    assert [(c.vehicle, c.drive) for c in found.readings.cases] == [
        ("A", "normal"),
        ("B", "coast"),
        ("B", "normal"),
    ]
    assert found.readings.case.tolist() == [0, 0, 1, 1, 2]
    assert found.readings.elapsed_s.tolist() == [0.0, 60.0, 0.0, 60.0, 0.0]
    assert all(case.log is found.record for case in found.readings.cases)


def test_a_unit_column_may_name_vehicles_and_runs_may_be_only_counted() -> None:
    units = read("unit,time_s,position,temp_c\n17,0,FL,80\n18,0,FL,90\n")
    assert [case.vehicle for case in units.readings.cases] == ["17", "18"]
    counted = read("run,time_s,position,temp_c\n1,0,FL,80\n2,60,FL,79\n")
    assert len(counted.readings.cases) == 1
    drives = read("run,time_s,position,temp_c\nnormal,0,FL,80\ncoast,60,FL,79\n")
    assert [case.drive for case in drives.readings.cases] == ["normal", "coast"]


def test_stated_vehicle_and_drive_come_before_the_options() -> None:
    stated = read("# vehicle: van 7\n# drive: B\n" + PLAIN, vehicle="other", drive="normal").readings.cases[0]
    assert (stated.vehicle, stated.drive) == ("van 7", "coast")
    asked = read(PLAIN, vehicle="other", drive="normal").readings.cases[0]
    assert (asked.vehicle, asked.drive) == ("other", "normal")


def test_parked_moment_sets_the_zero() -> None:
    found = read("# parked: 14:03:10\ntime,position,temp_c\n14:05:10,FL,80\n14:05:20,FR,81\n")
    assert found.readings.elapsed_s.tolist() == [120.0, 130.0]
    assert found.readings.cases[0].parked_known
    assert read(PLAIN.replace("time_s", "since_parked_s")).readings.cases[0].parked_known


def test_comments_describe_the_vehicle() -> None:
    found = read(
        "# axles: steer drive drive trailer\n# brakes: disc drum drum drum\n# split: diagonal\n"
        "# parking brake: 2 3\n"
        "# regenerative: yes\n# lifted: 3\n# tyre radius: 0.5 m\n" + PLAIN
    )
    vehicle = found.readings.cases[0].description
    assert vehicle is not None
    assert [axle.role for axle in vehicle.axles] == ["steer", "drive", "drive", "trailer"]
    assert [axle.brake for axle in vehicle.axles] == ["disc", "drum", "drum", "drum"]
    assert [axle.parking_brake for axle in vehicle.axles] == [False, True, True, False]
    assert [axle.lifted for axle in vehicle.axles] == [False, False, True, False]
    assert (vehicle.split, vehicle.regenerative, vehicle.tyre_radius_m, vehicle.stated) == (
        "diagonal",
        True,
        0.5,
        True,
    )
    assert read("# vehicle: van 7\n" + PLAIN).readings.cases[0].description is None


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("# axles: steer caboose", "caboose"),
        ("# brakes: disc disc disc", "3 kinds for 2 axles"),
        ("# parking brake: 7", "from 1 to 2"),
        ("# split: sideways", "write one of"),
        ("# emissivity: 1.4", "up to 1"),
        ("# distance: far", "write metres"),
        ("# unit: R", "write C, F or K"),
        ("# traffic: middle", "write one of"),
        ("# ambient: warm", "not a temperature"),
        ("# drive: Tuesday", "write one of"),
        ("weight: much", "write one of"),
    ],
)
def test_a_header_line_that_cannot_be_read_is_quoted_and_sinks_nothing(line: str, why: str) -> None:
    found = read(f"\n{line}\n{PLAIN}")
    note = next(note for note in found.record.notes if note.startswith("line 2: "))
    assert line.removeprefix("# ") in note
    assert why in note
    assert rows(found) == rows(read(PLAIN))


def test_two_header_lines_that_cannot_be_read_sink_nothing_together() -> None:
    """The count of axles that the second is held against is not stated by the first."""
    notes = read("# axles: steer caboose boxcar\n# parking brake: 3\n" + PLAIN).record.notes
    assert [note[:7] for note in notes] == ["line 1:", "line 2:"]
    assert "from 1 to 2" in notes[1]


def test_fewer_axles_than_were_read_are_refused() -> None:
    with pytest.raises(LogRefusedError, match="axle 2 was read"):
        read("# axles: steer\n" + PLAIN)


@pytest.mark.parametrize(
    ("land", "first"), [("GB", "1L"), ("uk", "1L"), ("Japan", "1L"), ("DE", "1R"), ("France", "1R")]
)
def test_a_country_says_what_the_near_side_is(land: str, first: str) -> None:
    found = read(f"# Country: {land}\ntime_s,position,temp_c\n0,NSF,80\n10,OSF,81\n")
    assert rows(found)[0][1] == first


@pytest.mark.parametrize("land", ["hk", "TH", "Wales", "ke", "UG"])
def test_the_words_of_a_log_and_of_the_option_for_a_country_are_one_list(land: str) -> None:
    """Traffic keeps left in all of them (from memory, not checked)."""
    found = read(f"# Country: {land}\ntime_s,position,temp_c\n0,NSF,80\n10,OSF,81\n")
    assert rows(found)[0][1] == "1L"


@pytest.mark.parametrize("said", ["rhd", "LHD", "right hand drive", "left-hand drive"])
def test_where_the_driver_sits_says_nothing_of_traffic(said: str) -> None:
    with pytest.raises(LogRefusedError):
        read(f"# traffic: {said}\ntime_s,position,temp_c\n0,NSF,80\n10,OSF,81\n")


def test_no_country_keeps_to_both_sides() -> None:
    from thermlog.reading import vocabulary

    left, right = vocabulary.LEFT_COUNTRIES.split(), vocabulary.RIGHT_COUNTRIES.split()
    assert len({*left, *right}) == len(left) + len(right)
    # ISO 3166-1 has 249 codes; seven are of places without settled traffic; "uk" and "usa" are none of it
    assert len(left) + len(right) == 249 - 7 + 2


def test_sides_that_depend_on_the_country_follow_comment_or_option() -> None:
    log = "time_s,position,temp_c\n0,NSF,80\n10,OSF,81\n"
    assert [corner for _, corner, _ in rows(read("# traffic: left\n" + log))] == ["1L", "1R"]
    assert [corner for _, corner, _ in rows(read(log, traffic_side="right"))] == ["1R", "1L"]
    driver = log.replace("NSF", "DF").replace("OSF", "PF")
    assert [corner for _, corner, _ in rows(read("# drive side: left\n" + driver))] == ["1L", "1R"]


# ---- beside the readings --------------------------------------------------------------------------------


def test_emissivity_and_distance_from_columns_or_comments() -> None:
    found = read("time_s,position,temp_c,emissivity,distance (cm)\n0,FL,80,0.95,40\n10,FR,81,,\n")
    assert found.readings.emissivity.tolist()[0] == 0.95
    assert found.readings.distance_m.tolist()[0] == pytest.approx(0.4)
    assert math.isnan(found.readings.emissivity.tolist()[1])
    assert math.isnan(found.readings.distance_m.tolist()[1])
    stated = read("# emissivity: 0.8\n# distance: 0.5 m\n" + PLAIN).readings
    assert set(stated.emissivity.tolist()) == {0.8}
    assert set(stated.distance_m.tolist()) == {0.5}


def test_an_emissivity_that_cannot_be_is_not_used_and_said() -> None:
    found = read("time_s,position,temp_c,emissivity\n0,FL,80,95\n10,FR,81,0.9\n")
    assert math.isnan(found.readings.emissivity.tolist()[0])
    assert found.readings.emissivity.tolist()[1] == 0.9
    assert found.record.notes == ('one cell in column "emissivity" not used: not above 0 and up to 1',)


def test_a_decimal_comma_shown_by_the_emissivity_alone_counts_for_the_file() -> None:
    found = read("time_s;position;temp_c;emissivity\n0;FL;80;0,95\n10;FR;81;0,9\n")
    assert found.readings.emissivity.tolist() == [0.95, 0.9]
    assert found.understood.decimal == "comma"


def test_spots_from_a_column_else_from_the_position() -> None:
    found = read(
        "time_s,position,temp_c,spot\n0,FL,80,disc\n9,FR,81,hub\n20,RL drum,70,\n30,RR,71,\n40,FL,9,door\n"
    )
    assert [SPOTS[k] for k in found.readings.spot.tolist()] == ["rotor_outer", "hub", "drum", "brake"]
    assert found.record.set_aside[0].value == "door"


# ---- repeats and order ----------------------------------------------------------------------------------


def test_exact_repeats_count_once_whatever_their_spelling() -> None:
    found = read(PLAIN + "10.0,RF,81.0\n")
    assert found.record.rows_used == 4
    assert found.record.set_aside[0].line == 6
    assert "line 3" in found.record.set_aside[0].reason


def test_other_value_at_the_same_moment_is_kept_and_noted() -> None:
    found = read(PLAIN + "10,FR,85\n")
    assert found.record.rows_used == 5
    assert any("all are kept" in note for note in found.record.notes)


def test_hub_and_drum_at_one_moment_are_no_repeats() -> None:
    found = read("time_s,position,temp_c,spot\n0,FL,80,drum\n0,FL,80,hub\n")
    assert found.record.rows_used == 2
    assert found.record.notes == ()


def test_unsorted_rows_come_out_in_order_of_time() -> None:
    lines = PLAIN.splitlines()
    found = read("\n".join([lines[0], *reversed(lines[1:])]))
    assert rows(found) == rows(read(PLAIN))
    assert found.readings.line.tolist() == [5, 4, 3, 2]


def test_neighbours_out_of_order_are_put_in_order() -> None:
    found = read("time_s,position,temp_c\n0,FL,80\n90,FR,81\n50,RL,70\n130,RR,71\n")
    assert found.readings.elapsed_s.tolist() == [0, 50, 90, 130]
    assert found.readings.line.tolist() == [2, 4, 3, 5]


def test_repeats_side_by_side_count_once() -> None:
    found = read("time_s,position,temp_c\n0,FL,80\n0,FL,80\n9,FR,81\n9,FR,81\n")
    assert found.readings.line.tolist() == [2, 4]
    assert [one.line for one in found.record.set_aside] == [3, 5]


def test_vehicles_read_in_turns_come_out_one_after_the_other() -> None:
    found = read("time_s,vehicle,position,temp_c\n0,A,FL,80\n5,B,FL,60\n9,A,FR,81\n14,B,FR,61\n")
    assert [case.vehicle for case in found.readings.cases] == ["A", "B"]
    assert found.readings.case.tolist() == [0, 0, 1, 1]
    assert found.readings.indicated_degc.tolist() == [80, 81, 60, 61]


@pytest.mark.parametrize("line", ["# axles: 3", "# axles: 3 axles"])
def test_a_count_of_axles_describes_no_vehicle_but_names_wheels_to_be_read(line: str) -> None:
    """A count tells no class: marks and spreads stay those of an undescribed vehicle."""
    (case,) = read(f"{line}\n{PLAIN}").readings.cases
    assert case.axles_least == 3
    assert case.description is None


def test_a_count_of_axles_goes_with_a_description_of_their_brakes() -> None:
    (case,) = read("# axles: 3\n# brakes: disc drum drum\n" + PLAIN).readings.cases
    assert case.description is not None
    assert [axle.brake for axle in case.description.axles] == ["disc", "drum", "drum"]


def test_fewer_axles_counted_than_read_is_refused() -> None:
    with pytest.raises(LogRefusedError) as refused:
        read("# axles: 1\n" + PLAIN)
    assert (refused.value.code, refused.value.line) == ("too_few_axles", 1)
