"""Headings, plans of columns, and the user's own column map."""

from __future__ import annotations

from pathlib import Path

import pytest
from readcases import read

from thermlog.reading.columnmap import column_map_template, load_column_map
from thermlog.reading.columns import plan_columns
from thermlog.reading.headings import read_heading
from thermlog.reading.readoptions import ColumnMap
from thermlog.reading.vocabulary import HEADINGS, TIME_UNITS
from thermlog.words.errors import LogRefusedError


def plan(text: str):
    return plan_columns(tuple(text.split(",")))


@pytest.mark.parametrize(
    ("heading", "role", "unit"),
    [
        ("temp_c", "temperature", "C"),
        ("Temp (°F)", "temperature", "F"),
        ("temp_degc", "temperature", "C"),
        ("surface temperature [K]", "temperature", "K"),
        ("°C", "temperature", "C"),
        ("Temperatur in °C", "temperature", "C"),
        ("Température", "temperature", None),
        ("temp", "temperature", None),
        ("FL (°C)", "wheel", "C"),
        ("front_left_temp_f", "wheel", "F"),
        ("ambient_degc", "ambient", "C"),
        ("c", None, None),
        ("max temp", None, None),
        ("column_c", None, "C"),
    ],
)
def test_headings_state_role_and_unit(heading: str, role: str | None, unit: str | None) -> None:
    found = read_heading(heading)
    assert (found.role, found.unit) == (role, unit)


@pytest.mark.parametrize(
    ("heading", "time_unit", "parked"),
    [
        ("time_s", "s", False),
        ("elapsed (min)", "min", False),
        ("t [h]", "h", False),
        ("Uhrzeit", None, False),
        ("temps", None, False),
        ("time since parked (s)", "s", True),
        ("since_parked_s", "s", True),
        ("seconds", "s", False),
    ],
)
def test_headings_of_times(heading: str, time_unit: str | None, parked: bool) -> None:
    found = read_heading(heading)
    assert (found.role, found.time_unit, found.since_parked) == ("time", time_unit, parked)


@pytest.mark.parametrize(
    "word", [word for word in HEADINGS["round"].split("|") if word not in {"no", "nr", "n", "#"}]
)
def test_every_word_for_a_round_heads_a_column_of_one(word: str) -> None:
    """docs/log-format.md lists them; a file with a row a wheel has one such column a round."""
    found = read_heading(f"{word} 2")
    assert (found.role, found.number) == ("moment", 2)


@pytest.mark.parametrize(
    ("word", "unit"), [(word, unit) for word, unit in TIME_UNITS.items() if unit in {"s", "min", "h"}]
)
def test_every_unit_of_a_walk_stands_behind_the_moment_of_a_column(word: str, unit: str) -> None:
    found = read_heading(f"3 {word}")
    assert (found.role, found.moment, found.time_unit) == ("moment", "3", unit)


@pytest.mark.parametrize(
    ("header", "layout"),
    [
        ("time_s,position,temp_c", "long"),
        ("position,temp_c", "long"),
        ("time,axle,side,temp", "long"),
        ("Zeit,Rad,Temperatur", "long"),
        ("time,FL,FR,RL,RR", "wide"),
        ("FL,FR", "wide"),
        ("time,1L,1R,2L,2R", "wide"),
        ("FL time,FL,FR time,FR", "paired"),
        ("time,FL,time,FR", "paired"),
        ("FL,t,FR,t", "paired"),
        ("wheel,0 min,5 min", "rounds"),
        ("wheel,14:03,14:10", "rounds"),
        ("wheel,round 1,round 2", "rounds"),
        ("wheel,time 1,temp 1,time 2,temp 2", "rounds"),
    ],
)
def test_layouts_by_their_headings(header: str, layout: str) -> None:
    assert plan(header).layout == layout


@pytest.mark.parametrize(
    ("header", "code", "why"),
    [
        ("a,b,c", "columns", "no column of temperatures and no column of wheels"),
        ("time_s,temp_c", "no_wheel_column", "which wheel"),
        ("time_s,position,temp_c,temp_c", "two_columns", "both look like temperatures"),
        ("time,clock,position,temp_c", "two_columns", "both look like times"),
        ("position,wheel,temp_c", "two_columns", "both name the position"),
        ("time,position,FL,temp", "wheel_columns", "beside a position or temperature"),
        ("wheel,time 1,temp 1,temp 2", "time_columns", "do not match"),
        ("wheel,0 min,round 2", "wheel_columns", "different kinds"),
        ("wheel,0 min,5 s", "wheel_columns", "different kinds"),
        ("FL time (s),FL,FR time (min),FR", "time_columns", "different units"),
        ("FL time,FL,RL time,FR", "time_columns", "told apart"),
    ],
)
def test_columns_that_could_be_read_two_ways_are_not_read(header: str, code: str, why: str) -> None:
    found = plan(header)
    assert found.layout is None
    assert found.lack is not None
    assert found.lack.code == code
    assert why in found.lack.text


# Each is how a technician heads a table by hand; what leaves one meaning was written first.
@pytest.mark.parametrize(
    ("header", "time", "time_unit", "temp", "unit"),
    [
        ("s,wheel,temp_c", 0, "s", 2, "C"),
        ("wheel,s,temp_c", 1, "s", 2, "C"),
        ("min,wheel,temp", 0, "min", 2, None),
        ("h,wheel,temp", 0, "h", 2, None),
        ("sek,Rad,Temperatur", 0, "s", 2, None),
        ("time,wheel,deg C", 0, None, 2, "C"),
        ("time,wheel,degrees F", 0, None, 2, "F"),
        ("clock,where,K", 0, None, 2, "K"),
        ("sec,axle,side,C", 0, "s", 3, "C"),
        ("time,wheel,T", 0, None, 2, None),
        ("min,brake,T,note", 0, "min", 2, None),
        ("min:sec,wheel,T", 0, "min", 2, None),
        ("t,wheel,T", 0, None, 2, None),
        ("T,t,wheel", 1, None, 0, None),
        ("T,wheel,deg C", 0, None, 2, "C"),
    ],
)
def test_a_bare_unit_or_letter_is_what_the_others_leave_it(
    header: str, time: int, time_unit: str | None, temp: int, unit: str | None
) -> None:
    found = plan(header)
    assert (found.layout, found.index["time"], found.time_unit) == ("long", time, time_unit)
    assert [(one.index, one.unit) for one in found.temps] == [(temp, unit)]


@pytest.mark.parametrize(
    "header",
    [
        "wheel,temp,min",
        "min,wheel,temp,max",
        "wheel,min,temp,mean",
        "min,wheel,temp,promedio",
        "s,h,wheel,temp",
    ],
)
def test_a_bare_unit_that_may_be_something_else_is_no_time(header: str) -> None:
    """The least reading of a shot; or one of two units."""
    assert "time" not in plan(header).index


@pytest.mark.parametrize("header", ["wheel,T", "C,F,wheel", "T,t,T,wheel"])
def test_a_bare_letter_that_may_be_something_else_is_no_temperature(header: str) -> None:
    assert plan(header).layout is None


def test_the_seconds_beside_wheels_are_their_time() -> None:
    found = plan("s,FL,FR,RL,RR")
    assert (found.layout, found.index["time"], found.time_unit) == ("wide", 0, "s")


def test_a_row_of_readings_is_no_header() -> None:
    assert plan("0,FL,85 C").layout is None
    assert plan("14:03,FL,OL").layout is None


def test_counting_headings_are_rounds_and_not_times() -> None:
    assert [temp.moment for temp in plan("wheel,1,2,3").temps] == [None, None, None]
    assert [temp.moment for temp in plan("wheel,0,60,120").temps] == ["0", "60", "120"]


def test_one_elapsed_column_beside_a_clock_is_taken_and_said() -> None:
    found = plan("clock,elapsed_s,position,temp_c")
    assert found.index["time"] == 1
    assert "not from" in found.notes[0]


ODD = "Sensor;Wert A;Wert B\n17;80,5;10\n18;81,0;20\n"
MAP = """
layout = "long"
[columns]
position = "Sensor"
temperature = 2
time = "Wert B"
[units]
temperature = "C"
time = "min"
[positions]
17 = "1L"
18 = "1R"
"""


def written(folder: Path, text: str) -> str:
    file = folder / "map.toml"
    file.write_text(text, encoding="utf-8")
    return str(file)


def test_a_column_map_reads_what_no_rule_understands(tmp_path: Path) -> None:
    found = read(ODD, column_map=load_column_map(written(tmp_path, MAP)))
    readings = found.readings
    assert readings.indicated_degc.tolist() == [80.5, 81.0]
    assert readings.elapsed_s.tolist() == [600.0, 1200.0]
    assert (readings.axle.tolist(), readings.side.tolist()) == ([1, 1], [0, 1])


def test_maps_of_wide_and_round_tables(tmp_path: Path) -> None:
    wide = 'layout = "wide"\nheader_line = 0\n[columns]\ntime = 1\n[wheels]\n2 = "FL"\n3 = "FR"\n'
    wide += '[units]\ntemperature = "C"\n'
    found = read("0,80,81\n60,79,80\n", column_map=load_column_map(written(tmp_path, wide)))
    assert found.readings.indicated_degc.tolist() == [80.0, 81.0, 79.0, 80.0]
    assert found.readings.elapsed_s.tolist() == [0.0, 0.0, 60.0, 60.0]
    rounds = 'layout = "rounds"\n[columns]\nposition = "w"\n[rounds]\nA = "0"\nB = "120"\n'
    rounds += '[units]\ntemperature = "F"\ntime = "s"\n'
    found = read("w,A,B\nFL,212,122\n", column_map=load_column_map(written(tmp_path, rounds)))
    assert found.readings.indicated_degc.tolist() == pytest.approx([100.0, 50.0])
    assert found.readings.elapsed_s.tolist() == [0.0, 120.0]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("layout = ", "not a TOML file"),
        ('layout = "tall"', "write one of: long, wide, rounds"),
        ("colour = 1", "not known"),
        ('layout = "long"\n[columns]\ntemperature = "a"', "must name temperature, and position"),
        ('layout = "wide"', "must name the column of each wheel"),
        ('layout = "rounds"\n[columns]\nposition = 1', "the column of each round"),
        ('[columns]\nheat = "a"', "write one of: time"),
        ("columns = 3", "headed [columns]"),
        ("[columns]\ntime = [1]", "text in quotes"),
        ('[units]\ntemperature = "R"', "write C, F or K"),
        ('[units]\ntime = "ages"', "write one of: ns"),
        ("header_line = -1", "line number"),
    ],
)
def test_a_map_that_cannot_be_meant_is_refused(tmp_path: Path, text: str, why: str) -> None:
    with pytest.raises(LogRefusedError) as refusal:
        load_column_map(written(tmp_path, text))
    assert why in str(refusal.value)
    assert "map.toml" in str(refusal.value)


def test_a_map_that_names_an_absent_column_or_line_says_which() -> None:
    columns = {"position": "wheel", "temperature": "T9"}
    with pytest.raises(LogRefusedError, match="T9"):
        read("wheel,T1\nFL,80\n", column_map=ColumnMap(layout="long", columns=columns, unit="C"))
    with pytest.raises(LogRefusedError, match="header_line = 900"):
        read("wheel,T9\nFL,80\n", column_map=ColumnMap(layout="long", columns=columns, header_line=900))


def test_the_refusal_of_an_odd_layout_carries_a_map_that_loads_once_filled_in(tmp_path: Path) -> None:
    with pytest.raises(LogRefusedError) as refusal:
        read(ODD.replace("Sensor", "17a"))
    hint = refusal.value.hint
    assert hint is not None
    assert "Wert A" in hint
    filled = hint.replace('time = "?"', "time = 3").replace('position = "?"', "position = 1")
    filled = filled.replace('temperature = "?"', "temperature = 2", 1).replace("# [positions]", "[positions]")
    filled = filled.replace('temperature = "?"', 'temperature = "C"')
    filled = filled.replace('# "11" = "1L"', '17 = "1L"\n18 = "1R"')
    found = read(ODD.replace("Sensor", "17a"), column_map=load_column_map(written(tmp_path, filled)))
    assert found.readings.indicated_degc.tolist() == [80.5, 81.0]


def test_unknown_wheels_come_with_a_map_of_them(tmp_path: Path) -> None:
    log = "time_s,position,temp_c\n0,11,80\n9,12,81\n"
    with pytest.raises(LogRefusedError) as refusal:
        read(log)
    hint = refusal.value.hint
    assert hint is not None
    filled = hint.replace('"11" = "?"', '"11" = "1L"').replace('"12" = "?"', '"12" = "1R"')
    found = read(log, column_map=load_column_map(written(tmp_path, filled)))
    assert (found.readings.axle.tolist(), found.readings.side.tolist()) == ([1, 1], [0, 1])


def test_a_template_is_valid_toml_whatever_the_headings(tmp_path: Path) -> None:
    header = ('a"b', "c\\d", "e\nf", "\x00", "position", "é")
    text = column_map_template(header, plan_columns(header), header_line=3)
    with pytest.raises(LogRefusedError) as refusal:
        load_column_map(written(tmp_path, text))
    assert "write C, F or K" in str(refusal.value)
