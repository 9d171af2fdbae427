"""Where the gun pointed, in a remark beside a reading; all logs are invented."""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.reading.gathered import LogReadings
from thermlog.words.vehicle import SPOTS

NOTED = "time_s,position,temp_c,note\n0,FL,80,{}\n20,FR,81,\n40,RL,70,\n60,RR,71,\n"


def spots(found: LogReadings) -> list[str]:
    return [SPOTS[code] for code in found.readings.spot.tolist()]


@pytest.mark.parametrize(
    ("note", "spot"),
    [
        ("on tyre", "tyre_outer"), ("rim only", "rim"), ("hub", "hub"), ("at the hub", "hub"),
        ("nur Felge", "rim"),
        ("new pads", "brake"), ("greased the hub", "brake"), ("disc", "brake"), ("tyre looks low", "brake"),
    ],
)  # fmt: skip
def test_a_whole_note_of_a_spot_is_the_spot_of_its_row(note: str, spot: str) -> None:
    found = read(NOTED.format(note))
    assert spots(found) == [spot, "brake", "brake", "brake"]
    said = [one for one in found.record.notes if "as the remark says" in one]
    assert bool(said) == (spot != "brake")
    assert all("line 2" in one and note in one for one in said)


def test_a_face_of_the_brake_counts_where_every_row_has_one() -> None:
    assert spots(read("time_s,position,temp_c,note\n0,FL,80,disc\n9,FR,81,disc\n")) == ["rotor_outer"] * 2


def test_a_stated_spot_stands_over_the_note() -> None:
    assert spots(read("time_s,position,temp_c,note\n0,FL hub,80,rim\n9,FR,81,\n")) == ["hub", "brake"]
    table = "time_s,position,temp_c,spot,note\n0,FL,80,hub,rim\n9,FR,81,,rim\n"
    assert spots(read(table)) == ["hub", "rim"]


@pytest.mark.parametrize("note", ["missed", '"missed, rim"', "missed, rim", "missed the disc"])
def test_a_reading_that_missed_is_set_aside_as_by_hand(note: str) -> None:
    found = read(NOTED.format(note))
    (aside,) = found.record.set_aside
    assert (aside.code, aside.line, aside.column, aside.corner) == ("by_hand", 2, "note", "1L")


def test_missed_work_is_no_missed_reading() -> None:
    assert read(NOTED.format("missed its service")).record.set_aside == ()


def test_a_figure_too_many_is_no_long_note() -> None:
    """It may be the rest of a decimal comma."""
    found = read("time_s,position,temp_c,note\n0,FL,64,5,warm\n20,FR,81,\n40,RL,70,\n60,RR,71,x\n")
    assert [one.code for one in found.record.set_aside] == ["row_shape"]
