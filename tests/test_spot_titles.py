"""A log that says above its rows that hubs, tyres or rims were read clears no brake."""

from __future__ import annotations

import json

import pytest
from readcases import read

from thermlog.words.vehicle import SPOTS

HEAD = "time_s,position,temp_c\n"
# As even as a healthy car in air of 16 °C: what is read is told by the line above alone.
ROWS = "20,FL,95\n35,FR,93\n50,RL,86\n65,RR,87\n320,RR,70\n335,RL,69\n350,FR,71\n365,FL,72\n"
LATER = "700,FL,40\n710,FR,41\n720,RL,95\n730,RR,39\n"


def spots_of(text: str) -> list[str]:
    return [SPOTS[spot] for spot in read(text).readings.spot.tolist()]


@pytest.mark.parametrize(
    ("line", "spot"),
    [
        ("# spot: hub", "hub"), ("# aimed at: hubs", "hub"), ("# measured at: hub caps", "hub"),
        ("Messstelle: Radnabe", "hub"), ("Hub readings", "hub"), ("# readings of the hubs", "hub"),
        ("# target: tyre", "tyre_outer"), ("Tyre temperatures", "tyre_outer"),
        ("Reifentemperaturen", "tyre_outer"), ("# surface: rim", "rim"),
        ("# all readings on the rims", "rim"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("form", ["{}\n# ambient: 16 C\n", "# ambient: 16 C\n{}\n"])
def test_no_brake_was_read_where_a_line_says_so(thermlog, tmp_path, line, spot, form) -> None:
    text = form.format(line) + HEAD + ROWS
    assert spots_of(text) == [spot] * 8
    log = tmp_path / "walk.csv"
    log.write_text(text, encoding="utf-8")
    ran = thermlog("check", str(log), "--format", "json")
    assert ran.code == 1
    assert json.loads(ran.out)["answers"]["drag"]["answer"] == "cannot_tell"


@pytest.mark.parametrize("between", ["# tyres\n", "Tyres\n", "\nTyre temperatures\n" + HEAD])
def test_a_line_between_the_rows_counts_from_there_on(thermlog, tmp_path, between) -> None:
    """95 °C at a tyre is past its line of 90 °C (docs/suspects.md)."""
    text = f"Brakes\n# ambient: 16 C\n{HEAD}{ROWS}{between}{LATER}"
    assert spots_of(text) == ["brake"] * 8 + ["tyre_outer"] * 4
    log = tmp_path / "walk.csv"
    log.write_text(text, encoding="utf-8")
    ran = thermlog("check", str(log), "--format", "json")
    urgent = {(one["code"], one["corner"]) for one in json.loads(ran.out)["urgent"]}
    assert (ran.code, urgent) == (1, {("tyre_hot", "2L")})


def test_a_cell_for_the_spot_says_more_than_the_line_above() -> None:
    assert spots_of("# spot: hub\ntime_s,position,temp_c,spot\n0,FL,80,\n9,FR,81,drum\n") == ["hub", "drum"]


@pytest.mark.parametrize(
    "line",
    ["# wheel temperatures", "# tyres: 315/80", "# Brake temperatures", "# brakes", "# new tyres fitted",
     "# remark: hub", "# spot: north bay", "# hub greased"],
)  # fmt: skip
def test_other_words_leave_the_readings_where_they_are(line) -> None:
    assert set(spots_of(f"{line}\n# ambient: 16 C\n{HEAD}{ROWS}")) == {"brake"}
