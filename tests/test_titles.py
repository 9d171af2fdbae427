"""Titles over two tables of one file: each is judged by itself, or one would hide what the other shows."""

from __future__ import annotations

import json

import pytest
from readcases import read

HEAD = "time_s,position,temp_c\n"
# A healthy car, twice round, in air of 16 °C; and another, driven less, a quarter of an hour later, of which
# the rear right brake does nothing. One below the other they look like one car and a shot that missed.
FIRST = "20,FL,121\n35,FR,117\n50,RL,73\n65,RR,74\n320,RR,61\n335,RL,59\n350,FR,90\n365,FL,91\n"
SECOND = "900,FL,64\n920,FR,64\n940,RL,39\n960,RR,17\n1200,RR,17\n1220,RL,33\n1240,FR,52\n1260,FL,52\n"


def two(first: str, second: str, *, head: str = HEAD, mark: str = "") -> str:
    return f"{mark}{first}\n# ambient: 16 C\n{HEAD}{FIRST}\n{mark}{second}\n{head}{SECOND}"


def vehicles(text: str) -> list[str | None]:
    return [case.vehicle for case in read(text).readings.cases]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("Van 1", "Van 2"), ("Unit 4711", "Unit 4712"), ("LKW Nr. 11", "LKW Nr. 12"),
        ("truck A7", "truck A8"),        ("AB-123-CD", "XY-987-ZZ"), ("Old white van", "Blue estate"),
    ],
)  # fmt: skip
def test_the_fault_of_the_second_vehicle_is_found(thermlog, tmp_path, first, second) -> None:
    log = tmp_path / "day.csv"
    log.write_text(two(first, second), encoding="utf-8")
    ran = thermlog("check", str(log), "--format", "json")
    cases = json.loads(ran.out)
    assert ran.code == 1
    assert [one["answers"]["idle"]["answer"] for one in cases] == ["no", "yes"]
    assert cases[1]["answers"]["idle"]["corners"] == ["2R"]
    assert cases[1]["vehicle"] == second


@pytest.mark.parametrize("mark", ["", "# "])
def test_a_vehicle_word_and_a_number_need_neither_colon_nor_header(mark: str) -> None:
    assert vehicles(two("Truck 11", "Truck 12", head="", mark=mark)) == ["Truck 11", "Truck 12"]


def test_a_title_is_no_row_set_aside_and_is_named() -> None:
    record = read(two("AB-123-CD", "XY-987-ZZ")).record
    assert (record.rows_read, record.rows_used, record.set_aside) == (16, 16, ())
    assert any('"XY-987-ZZ" taken as the name of the vehicle' in note for note in record.notes)


# Titles of rounds, pages and hours, and a heading of the page that is printed again, name no other vehicle.
@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("Round 1", "Round 2"), ("first walk", "second walk"), ("Page 1", "Page 2"),
        ("Brake report", "Brake report"),
        ("Runde 1", "Runde 2"), ("Brake report", "10 min later"), ("Seite 1", "Seite 2"), ("", "again"),
    ],
)  # fmt: skip
def test_rounds_and_pages_stay_one_vehicle(first, second) -> None:
    assert vehicles(two(first, second)) == [None]


def test_a_vehicle_stated_above_keeps_its_name() -> None:
    """A comment that says it again in other words is no contradiction."""
    assert vehicles(f"# vehicle: van 7\n# Van 7\n# ambient: 16 C\n{HEAD}{FIRST}") == ["van 7"]


def test_a_line_of_the_letterhead_is_no_vehicle() -> None:
    assert vehicles(f"Garage North\nMain street 4\n# ambient: 16 C\n{HEAD}{FIRST}") == [None]
