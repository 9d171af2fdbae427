"""Logs written from readings say what the readings say."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from thermlog.simulation.logtext import LogStyle, log_text
from thermlog.words.tables import Case, LogRecord, Readings
from thermlog.words.vehicle import SPOTS, Axle, Vehicle

LOG = LogRecord(file="x", sha256="", rows_read=0, rows_used=0)
CASE = Case(
    log=LOG, vehicle="test van", drive="normal", ambient_degc=18.0, ambient_source="log", parked_known=True
)

TWO_AXLE_WORDS = {"1L": "FL", "1R": "FR", "2L": "RL", "2R": "RR"}


def readings(cases=(CASE,), case=(0, 0, 0, 0)):
    rows = len(case)
    return Readings(
        cases=cases,
        case=np.array(case),
        line=np.arange(rows) + 2,
        axle=np.array([1, 1, 2, 1][:rows]),
        side=np.array([0, 1, 0, 0][:rows]),
        spot=np.full(rows, SPOTS.index("drum")),
        elapsed_s=np.array([30.0, 50.0, 70.0, 230.0][:rows]),
        indicated_degc=np.array([100.0, 80.25, 60.0, 90.0][:rows]),
        emissivity=np.full(rows, np.nan),
        distance_m=np.full(rows, np.nan),
    )


def test_long_log_line_by_line():
    assert log_text(readings(), remarks=("simulated: nothing",)).splitlines() == [
        "# simulated: nothing",
        "# vehicle: test van",
        "# drive: normal",
        "# ambient: 18.0 C",
        "since_parked_s,position,temp_c",
        "30,1L,100.0",
        "50,1R,80.2",
        "70,2L,60.0",
        "230,1L,90.0",
    ]


def test_fahrenheit_decimal_comma_words_and_spots():
    style = LogStyle(unit="F", delimiter=";", decimal=",", words=TWO_AXLE_WORDS, spots=True)
    lines = log_text(readings(), style=style).splitlines()
    assert lines[2:5] == ["# ambient: 64,4 F", "since_parked_s;position;spot;temp_f", "30;FL;drum;212,0"]


def test_clock_runs_on_past_midnight():
    lines = log_text(readings(), style=LogStyle(stopped="23:58:50")).splitlines()
    assert "# parked: 23:58:50" in lines
    assert [line.split(",")[0] for line in lines[-4:]] == ["23:59:20", "23:59:40", "00:00:00", "00:02:40"]


def test_wide_log_has_a_row_a_round():
    style = LogStyle(layout="wide", words=TWO_AXLE_WORDS)
    assert log_text(readings(), style=style).splitlines()[-3:] == [
        "since_parked_s,FL (C),FR (C),RL (C)",
        "50,100.0,80.2,60.0",
        "230,90.0,,",
    ]


def test_unknown_parked_moment_is_not_claimed():
    loose = readings(cases=(replace(CASE, parked_known=False, ambient_degc=None),))
    lines = log_text(loose).splitlines()
    assert "elapsed_s,position,temp_c" in lines
    assert not any(line.startswith("# ambient") for line in lines)


def test_two_drives_and_two_ambients_become_columns():
    both = readings(cases=(CASE, replace(CASE, drive="coast", ambient_degc=19.5)), case=(0, 0, 0, 1))
    lines = log_text(both, (0, 1)).splitlines()
    assert lines == [
        "# vehicle: test van",
        "drive,since_parked_s,position,temp_c,ambient_c",
        "normal,30,1L,100.0,18.0",
        "normal,50,1R,80.2,18.0",
        "normal,70,2L,60.0,18.0",
        "coast,230,1L,90.0,19.5",
    ]


@pytest.mark.parametrize("style", [LogStyle(layout="wide"), LogStyle(stopped="10:00:00")])
def test_two_drives_need_a_long_log_in_seconds(style):
    both = readings(cases=(CASE, replace(CASE, drive="coast")), case=(0, 0, 1, 1))
    with pytest.raises(ValueError, match="long layout"):
        log_text(both, (0, 1), style=style)


def test_description_is_stated_in_header_lines():
    vehicle = Vehicle(
        axles=(Axle(role="steer", brake="disc"), Axle(role="drive", brake="drum", parking_brake=True)),
        weight_class="heavy",
        split="front_rear",
        regenerative=True,
        tyre_radius_m=0.5,
        stated=True,
    )
    lines = log_text(readings(cases=(replace(CASE, description=vehicle),))).splitlines()
    assert lines[1:8] == [
        "# weight: heavy",
        "# axles: steer drive",
        "# brakes: disc drum",
        "# split: front rear",
        "# parking brake: 2",
        "# regenerative: yes",
        "# tyre radius: 0.50 m",
    ]
