"""Dates beside times: written, compact, before and after the time of day."""

from __future__ import annotations

import pytest
from readcases import read
from timecases import clock, log, same


@pytest.mark.parametrize(
    "day",
    [
        "2031-05-04", "2031/05/04", "4 May 2031", "4. Mai 2031", "May 4, 2031", "04-May-31", "20310504",
        "Sun 4 May 2031", "4 mai 2031", "4 de mayo de 2031", "4 maggio 2031", "Sonntag, 4. Mai 2031",
        "4th May 2031",
    ],
)  # fmt: skip
def test_usual_dates_before_the_time(day: str) -> None:
    found = read(log("time", lambda s: f"{day} {clock(s)}", delimiter=";"))
    same(found)
    assert found.readings.cases[0].taken.start == "2031-05-04T14:00:00"


@pytest.mark.parametrize("form", ["20310504T{}", "20310504 {}", "20310504_{}", "20310504-{}"])
def test_compact_stamps(form: str) -> None:
    same(read(log("time", lambda s: form.format(clock(s).replace(":", "")))))


def test_the_time_before_the_date() -> None:
    same(read(log("time", lambda s: f"{clock(s)} 2031-05-04")))


def test_a_clock_of_twelve_hours_beside_its_date() -> None:
    found = read("date,time,position,temp_c\n2031-05-04,12:58:00,FL,80\n2031-05-04,1:02:00,FR,81\n")
    assert found.readings.elapsed_s.tolist() == [0.0, 240.0]


def test_clock_times_with_dots_beside_decimal_commas() -> None:
    found = read("Uhr;Rad;Temp (C)\n14.03;VL;80,5\n14.03;VR;81\n14.07;VL;79,5\n")
    assert found.readings.elapsed_s.tolist() == [0.0, 0.0, 240.0]


def test_a_column_min_is_no_time_alone() -> None:
    found = read("time_s,position,min,max,temp_c\n0,FL,1,2,80\n9,FR,1,2,81\n")
    assert '2 columns not used: "min", "max"' in found.record.notes
