"""Whole logs: layouts, units, air, cases, repeats, the counts, and many files at once."""

from __future__ import annotations

import gzip
import io
import math
import subprocess
import sys
from pathlib import Path

import pytest
import xlsxwriter
from readcases import PLAIN, check_counts, outcome, read

from thermlog.errors import LogRefusedError
from thermlog.read import expand_paths, read_content, read_log, read_logs
from thermlog.vehicle import SPOTS

DEGC = [80.5, 81.0, 70.0, 71.0]


def rows(found) -> list[tuple[float, str, float]]:
    """Time, corner and temperature of every reading."""
    r = found.readings
    corners = [f"{axle}{'LR'[side]}" for axle, side in zip(r.axle.tolist(), r.side.tolist(), strict=True)]
    return list(zip(r.elapsed_s.tolist(), corners, r.indicated_degc.tolist(), strict=True))


# ---- the plain log --------------------------------------------------------------------------------------


def test_the_simplest_log() -> None:
    found = read(PLAIN)
    assert rows(found) == [(0.0, "1L", 80.5), (10.0, "1R", 81.0), (20.0, "2L", 70.0), (30.0, "2R", 71.0)]
    assert found.readings.line.tolist() == [2, 3, 4, 5]
    assert (found.record.rows_read, found.record.rows_used, found.record.set_aside) == (4, 4, ())
    assert found.record.notes == ()
    assert found.record.file == "log.csv"
    case = found.readings.cases[0]
    assert (case.vehicle, case.drive, case.ambient_degc, case.parked_known) == (None, None, None, False)
    assert case.log is found.record


def test_what_was_understood_is_said_in_words() -> None:
    said = read(PLAIN).understood
    assert (said.encoding, said.delimiter, said.decimal, said.layout) == (
        "UTF-8",
        "comma",
        "point",
        "a row a reading",
    )
    assert said.columns == {"time": "time_s", "position": "position", "temperature": "temp_c"}
    assert (said.unit, said.time) == ("°C", "seconds")


def test_the_hash_is_that_of_the_bytes_given() -> None:
    # sha256 of b"" is published in FIPS 180-4 examples; here it is enough that gzip content has its own
    packed = gzip.compress(PLAIN.encode(), mtime=0)
    assert read(packed).record.sha256 != read(PLAIN).record.sha256
    assert rows(read(packed)) == rows(read(PLAIN))


@pytest.mark.parametrize(
    "text",
    [
        PLAIN.replace("\n", "\n\n"),
        PLAIN.rstrip("\n"),
        PLAIN + "\n\n",
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace(",", ", "),
        PLAIN.replace("\n", ",\n"),
        "\n\n" + PLAIN,
        "sep=,\n" + PLAIN,
        "# a remark\n" + PLAIN.replace("10,FR", "# in between\n10,FR"),
        PLAIN.replace(",", " "),
        PLAIN.replace(",", "    "),
        PLAIN.replace(",", "\t"),
        PLAIN.replace(",", "|"),
    ],
)
def test_dress_changes_nothing(text: str) -> None:
    assert rows(read(text)) == rows(read(PLAIN))


# ---- layouts --------------------------------------------------------------------------------------------


def test_a_column_a_wheel_counts_each_filled_cell() -> None:
    found = read("time_s,FL (°C),FR (°C),RL (°C),RR (°C)\n0,80,81,70,71\n60,79,,69,OL\n")
    assert rows(found)[:4] == [(0.0, "1L", 80.0), (0.0, "1R", 81.0), (0.0, "2L", 70.0), (0.0, "2R", 71.0)]
    assert (found.record.rows_read, found.record.rows_used) == (7, 6)
    assert [(s.line, s.column, s.value) for s in found.record.set_aside] == [(3, "RR (°C)", "OL")]


def test_a_time_column_beside_each_wheel() -> None:
    found = read("FL time,FL,FR time,FR\n0,80 C,10,81 C\n60,78 C,70,77 C\n")
    assert rows(found) == [(0.0, "1L", 80.0), (10.0, "1R", 81.0), (60.0, "1L", 78.0), (70.0, "1R", 77.0)]
    assert found.understood.layout == "a time column beside each wheel column"


def test_a_row_a_wheel_with_times_in_the_headings() -> None:
    found = read("wheel,14:03,14:08\nFL,80 C,79 C\nFR,81 C,78 C\n")
    assert rows(found) == [(0.0, "1L", 80.0), (0.0, "1R", 81.0), (300.0, "1L", 79.0), (300.0, "1R", 78.0)]
    assert ["read as hours first" in note for note in found.record.notes] == [True]


def test_a_row_a_wheel_with_a_time_column_for_each_round() -> None:
    found = read("wheel,time 1 (s),temp 1,time 2 (s),temp 2\nFL,0,80 C,300,79 C\nFR,9,81 C,309,78 C\n")
    assert sorted(rows(found)) == [
        (0.0, "1L", 80.0),
        (9.0, "1R", 81.0),
        (300.0, "1L", 79.0),
        (309.0, "1R", 78.0),
    ]


def test_rounds_without_times_are_kept_without_times() -> None:
    found = read("wheel,round 1,round 2\nFL,80 C,79 C\nFR,81 C,78 C\n")
    assert found.record.rows_used == 4
    assert all(math.isnan(t) for t in found.readings.elapsed_s.tolist())
    assert "cannot be compared in time" in found.record.notes[-1]


def test_axle_and_side_in_columns_of_their_own_with_the_unit_of_the_combination() -> None:
    found = read("t_s,part,axle,side,temp_c\n0,tractor,1,L,80\n9,tractor,2,R,81\n20,trailer,1,left,70\n")
    assert [corner for _, corner, _ in rows(found)] == ["1L", "2R", "3L"]


def test_no_header_is_told_by_the_cells_or_refused() -> None:
    clock = "14:03:10,FL,80 C\n14:03:20,FR,81 C\n14:03:30,RL,70 C\n14:03:40,RR,71 C\n"
    assert rows(read(clock))[1] == (10.0, "1R", 81.0)
    falling = "0,FL,85\n14,FR,84\n20,RL,70\n33,RR,71\n"
    assert rows(read(falling, unit="C"))[1] == (14.0, "1R", 84.0)
    for unsure in ("0,FL,85\n1,FR,84\n2,RL,70\n3,RR,69\n", "0,FL,65\n14,FR,74\n20,RL,80\n33,RR,91\n"):
        with pytest.raises(LogRefusedError, match="--columns"):
            read(unsure, unit="C")


def test_header_spread_over_two_lines_with_merged_cells() -> None:
    found = read("Time (s),Front,,Rear,\n,Left,Right,Left,Right\n0,80,81,70,71\n", unit="C")
    assert [corner for _, corner, _ in rows(found)] == ["1L", "1R", "2L", "2R"]


def test_rows_of_readings_never_become_header() -> None:
    """Two rows of wheels would join to headings that look like a table with a column a wheel."""
    with pytest.raises(LogRefusedError):
        read("x,2031-13-45T1,y\nLV,220.0 C,220.0 C\nRV,220.0 C,220.0 C\n")


def test_rows_of_another_table_never_join_to_a_header() -> None:
    """Words like drive, van and temperature stand in lists of files too."""
    listing = "file,what\nvan.csv,front left temp\ntruck.csv,rear drive time\nbus.csv,position 1L\n"
    with pytest.raises(LogRefusedError, match="--columns"):
        read(listing)


def test_lines_before_the_table_may_state_keys_too() -> None:
    found = read(
        "Report;;\nVehicle;van 7;\nAmbient;18,5 C;\n;;\ntime_s;position;temp_c\n0;FL;80,5\n10;FR;81,0\n"
    )
    case = found.readings.cases[0]
    assert (case.vehicle, case.ambient_degc) == ("van 7", 18.5)


# ---- decimal marks and units ----------------------------------------------------------------------------


def test_semicolons_with_decimal_commas_are_never_read_ten_times_too_high() -> None:
    text = "time_s;position;temp_c\n0;FL;80,5\n12,5;FR;81,0\n"
    assert rows(read(text)) == [(0.0, "1L", 80.5), (12.5, "1R", 81.0)]
    assert read(text).understood.decimal == "comma"


def test_the_same_readings_in_three_units() -> None:
    f = "time_s,position,temp_f\n0,FL,212\n10,FR,32\n"
    k = "time_s,position,temp (K)\n0,FL,373.15\n10,FR,273.15\n"
    for text in (f, k):
        # water's points: exact by the definitions of the scales, to float64 rounding
        assert read(text).readings.indicated_degc.tolist() == pytest.approx([100.0, 0.0], abs=1e-10)


def test_units_beside_each_reading_may_differ() -> None:
    cells = read("time_s,position,temp\n0,FL,100 °C\n10,FR,212 °F\n20,RL,373.15 K\n")
    column = read("time_s,position,temp,unit\n0,FL,100,C\n10,FR,212,F\n20,RL,373.15,kelvin\n")
    for found in (cells, column):
        assert found.readings.indicated_degc.tolist() == pytest.approx([100.0] * 3, abs=1e-10)


def test_a_log_without_unit_is_refused_unless_something_settles_it() -> None:
    bare = PLAIN.replace("temp_c", "temp")
    with pytest.raises(LogRefusedError, match="--unit C"):
        read(bare)
    assert read(bare, unit="C").readings.indicated_degc.tolist() == DEGC
    assert read("# ambient: 18 C\n" + bare).readings.indicated_degc.tolist() == DEGC
    assert read("# unit: C\n" + bare).readings.indicated_degc.tolist() == DEGC
    # 22 °F is -5.6 °C, far below air at 20 °C; 22 K likewise
    assert read(bare.replace("70", "22"), ambient_degc=20.0).readings.indicated_degc.tolist()[2] == 22.0


def test_an_ambient_in_a_unit_the_readings_contradict_does_not_settle_theirs() -> None:
    """20 to 31 °F would be far below air at 64 °F, which is 17.8 °C: only °C is left, and that is said."""
    found = read("# ambient: 64 F\n" + PLAIN.replace("temp_c", "temp").replace("7", "2").replace("8", "3"))
    assert found.readings.indicated_degc.tolist() == [30.5, 31.0, 20.0, 21.0]
    assert "impossible in °F and K beside air at 17.78 °C" in found.record.notes[0]


def test_decimal_commas_in_headings_do_not_pass_for_delimiters() -> None:
    """The commas alone would cut this into a position column and two rounds."""
    found = read("wiel;0,0 min;0,4 min\nFL;80 C;79 C\nFR;81 C;78 C\n")
    assert rows(found) == [(0.0, "1L", 80.0), (0.0, "1R", 81.0), (24.0, "1L", 79.0), (24.0, "1R", 78.0)]


# ---- air ------------------------------------------------------------------------------------------------


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


def test_air_from_the_option_wins_and_says_so() -> None:
    found = read("# ambient: 18 C\n" + PLAIN, ambient_degc=20.0, ambient_sigma_k=1.0)
    case = found.readings.cases[0]
    assert (case.ambient_degc, case.ambient_sigma_k, case.ambient_source) == (20.0, 1.0, "option")
    assert "the log states 18 °C" in found.record.notes[0]


def test_air_from_a_column_or_rows() -> None:
    column = read("time_s,position,temp_c,ambient\n0,FL,80,18\n10,FR,81,19\n20,RL,70,\n")
    assert column.readings.cases[0].ambient_degc == 18.5
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
        ("# axles: steer", "axle 2 was read"),
        ("# brakes: disc disc disc", "3 kinds for 2 axles"),
        ("# parking brake: 7", "from 1 to 2"),
        ("# split: sideways", "write one of"),
        ("# emissivity: 1.4", "up to 1"),
        ("# distance: far", "write metres"),
        ("# unit: R", "write C, F or K"),
        ("# traffic: middle", "write one of"),
    ],
)
def test_a_description_that_cannot_be_meant_is_refused_with_its_line(line: str, why: str) -> None:
    with pytest.raises(LogRefusedError) as refusal:
        read(f"\n{line}\n{PLAIN}")
    assert why in str(refusal.value)
    assert refusal.value.line == 2


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


# ---- refusals of whole files ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "",
        "time_s,position,temp_c\n",
        PLAIN.replace("L", "x").replace("R", "y"),
        "time_s,position,temp_c\n0,FL,hot\n",
    ],
)
def test_nothing_usable_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(LogRefusedError) as refusal:
        read(text)
    assert str(refusal.value).startswith("log.csv")
    assert "\n" not in str(refusal.value)


def test_one_reading_is_read() -> None:
    assert rows(read("time_s,position,temp_c\n0,FL,80\n")) == [(0.0, "1L", 80.0)]


def test_text_in_one_cell_costs_that_row_only() -> None:
    found = read(PLAIN.replace("81", "hot"))
    assert (found.record.rows_read, found.record.rows_used) == (4, 3)
    aside = found.record.set_aside[0]
    assert (aside.line, aside.column, aside.value) == (3, "temp_c", "hot")


def test_a_cell_longer_than_the_csv_module_takes_is_refused() -> None:
    with pytest.raises(LogRefusedError, match="cannot be told apart"):
        read(PLAIN + "40," + "F" * 200_000 + ",80\n")


def test_a_stray_pair_of_quotes_swallows_no_rows_between() -> None:
    found = read('time_s,position,temp_c\n0,FL,"80\n10,FR,81\n20,RL,70"\n30,RR,71\n')
    assert rows(found) == [(10.0, "1R", 81.0), (30.0, "2R", 71.0)]
    assert [aside.line for aside in found.record.set_aside] == [2, 4]


# ---- workbooks ------------------------------------------------------------------------------------------


def workbook(rows_of_cells: list[list[object]]) -> bytes:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        book.add_worksheet("empty")
        sheet = book.add_worksheet("log")
        for k, row in enumerate(rows_of_cells):
            sheet.write_row(k, 0, row)
    return buffer.getvalue()


def test_a_workbook_reads_like_the_csv() -> None:
    cells: list[list[object]] = [["# ambient: 18 C"], ["time_s", "position", "temp_c"]]
    cells += [[0, "FL", 80.5], [10, "FR", 81], [20, "RL", 70], [30, "RR", 71]]
    found = read(workbook(cells))
    assert rows(found) == rows(read(PLAIN))
    assert found.readings.line.tolist() == [3, 4, 5, 6]
    assert found.readings.cases[0].ambient_degc == 18.0
    assert (found.understood.encoding, found.understood.delimiter) == ("workbook", "cells")


def test_a_decimal_mark_does_not_touch_the_numbers_of_a_workbook() -> None:
    cells: list[list[object]] = [["time_s", "position", "temp_c"], [0, "FL", 80.5]]
    assert rows(read(workbook(cells), decimal=",")) == [(0.0, "1L", 80.5)]


def test_a_wheel_that_cannot_be_told_is_named_by_its_heading() -> None:
    with pytest.raises(LogRefusedError) as refusal:
        read("time_s,NSF (C),OSF (C)\n0,80,81\n")
    assert refusal.value.column == "NSF (C)"
    with pytest.raises(LogRefusedError) as refusal:
        read("time_s,axle,side,temp_c\n0,1,X,80\n")
    assert refusal.value.column == "axle"


def test_workbooks_that_hold_nothing_or_are_none_are_refused() -> None:
    with pytest.raises(LogRefusedError, match="workbook is empty"):
        read(workbook([]))
    with pytest.raises(LogRefusedError, match="save the sheet as CSV"):
        read(b"PK\x03\x04 not really")
    with pytest.raises(LogRefusedError, match="--columns"):
        read(workbook([["a", "b"], [1, 2]]))


def test_without_the_extra_a_workbook_names_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "python_calamine", None)
    with pytest.raises(LogRefusedError, match=r"thermlog\[xlsx\]"):
        read(workbook([["a"]]))


# ---- what would take long ------------------------------------------------------------------------------


@pytest.mark.parametrize("fill", [" ", "\t", ",", '"', "'", "(", "1", "1:", "é", ";"])
@pytest.mark.parametrize("place", ["cell", "heading", "before", "comment"])
def test_long_runs_of_one_character_cost_no_more_than_their_length(fill: str, place: str) -> None:
    """A hundred thousand of it: a search that went over it again from each of its places would take hours."""
    run = fill * (100_000 // len(fill))
    text = {
        "cell": PLAIN + f"40,FL,8{run}1\n",
        "heading": PLAIN.replace("position", f"position,{run}x"),
        "before": f"{run}x\n\n{PLAIN}",
        "comment": f"# ambient{run}: 18 C\n{PLAIN}",
    }[place]
    outcome(text.encode())


def test_many_remarks_make_few_notes() -> None:
    found = read("# hm\n" * 500 + PLAIN)
    assert len(found.record.notes) == 9
    assert found.record.notes[-1].startswith("492 more comments")


# ---- files ----------------------------------------------------------------------------------------------


def test_many_files_one_bad_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "b.csv").write_text("nothing here", encoding="utf-8")
    (tmp_path / "sub").mkdir()
    for name in ("a.csv", "sub/c.txt"):
        (tmp_path / name).write_text(PLAIN, encoding="utf-8")
    (tmp_path / "d.csv.gz").write_bytes(gzip.compress(PLAIN.encode()))
    (tmp_path / "notes.md").write_text("no log", encoding="utf-8")
    paths = expand_paths([str(tmp_path)])
    assert [Path(p).name for p in paths] == ["a.csv", "b.csv", "d.csv.gz", "c.txt"]

    readings, logs, unreadable = read_logs([*paths, str(tmp_path / "gone.csv")])
    assert [Path(log.record.file).name for log in logs] == ["a.csv", "d.csv.gz", "c.txt"]
    assert [Path(bad.file).name for bad in unreadable] == ["b.csv", "gone.csv"]
    assert all(bad.reason.startswith(bad.file) for bad in unreadable)
    assert readings.rows == 12
    assert readings.case.tolist() == [0] * 4 + [1] * 4 + [2] * 4
    assert rows(read_log(paths[0])) == rows(read(PLAIN))


def test_paths_are_expanded_once_each_and_in_order(tmp_path: Path) -> None:
    for name in ("2.csv", "1.csv"):
        (tmp_path / name).write_text(PLAIN, encoding="utf-8")
    one = str(tmp_path / "1.csv")
    assert expand_paths([one, str(tmp_path / "*.csv"), "-"]) == [one, str(tmp_path / "2.csv"), "-"]
    for nothing in (str(tmp_path / "*.xyz"), str(tmp_path / "empty")):
        (tmp_path / "empty").mkdir(exist_ok=True)
        with pytest.raises(LogRefusedError):
            expand_paths([nothing])


def test_reading_loads_no_heavy_module() -> None:
    heavy = "{'pandas', 'scipy', 'matplotlib', 'tomllib'}"
    code = f"import sys, thermlog.read; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_long_file_reads_the_same_in_blocks() -> None:
    body = "".join(f"{k},{('FL', 'FR', 'RL', 'RR')[k % 4]},{80 + k % 7}.5\n" for k in range(45_000))
    found = read_content(("time_s,position,temp_c\n" + body + "x,FL,80\n").encode(), file="long.csv")
    assert found.record.rows_used == 45_000
    assert found.readings.elapsed_s.tolist()[-1] == 44_999.0
    assert found.readings.line.tolist()[-1] == 45_001
    assert [s.line for s in found.record.set_aside] == [45_002]
