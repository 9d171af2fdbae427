"""Columns of hub, rim or tyre beside that of the brake: what they hold is read, never passed over."""

from __future__ import annotations

import json

import pytest
from readcases import outcome, read

from thermlog.words.errors import LogRefusedError
from thermlog.words.vehicle import SPOTS

# A healthy car, twice round, in air of 16 °C (own simple cooling, 1000 s); the last column is of other parts.
BRAKES = (
    (20, "FL", 121), (35, "FR", 117), (50, "RL", 73), (65, "RR", 74),
    (320, "RR", 61), (335, "RL", 59), (350, "FR", 90), (365, "FL", 91),
)  # fmt: skip


def walk(heading: str, hot: dict[str, float], usual: float = 40.0, brake: str = "temp_c") -> str:
    """A log with one column more; wheels that `hot` does not name show `usual` there."""
    rows = "".join(f"{at},{wheel},{degc},{hot.get(wheel, usual):g}\n" for at, wheel, degc in BRAKES)
    return f"# ambient: 16 C\ntime_s,position,{brake},{heading}\n{rows}"


def spots_of(text: str) -> list[str]:
    return [SPOTS[spot] for spot in read(text).readings.spot.tolist()]


# Lines that stop a vehicle: hub 120 °C, tyre 90 °C, rim 120 °C (the table in docs/suspects.md).
@pytest.mark.parametrize(
    ("heading", "degc", "code"),
    [
        ("hub_c", 130, "hub_hot"),
        ("hub temp (C)", 130, "hub_hot"),
        ("Nabentemperatur (°C)", 130, "hub_hot"),
        ("tyre temp (C)", 118, "tyre_hot"),
        ("tyre_c", 118, "tyre_hot"),
        ("Reifentemperatur [°C]", 118, "tyre_hot"),
        ("tyre temp (F)", 244, "tyre_hot"),
        ("rim (C)", 130, "rim_hot"),
        ("wheel temp (C)", 130, "rim_hot"),
        ("caliper_c", 260, "caliper_hot"),
        ("Bremssatteltemperatur (°C)", 260, "caliper_hot"),
    ],
)
def test_a_hot_part_in_a_column_of_its_own_stops_the_vehicle(thermlog, tmp_path, heading, degc, code) -> None:
    log = tmp_path / "walk.csv"
    log.write_text(walk(heading, {"RL": degc}), encoding="utf-8")
    ran = thermlog("check", str(log), "--format", "json")
    urgent = json.loads(ran.out)["urgent"]
    assert ran.code == 1
    assert (code, "2L") in {(one["code"], one["corner"]) for one in urgent}


def test_a_healthy_walk_with_such_a_column_is_cleared(thermlog, tmp_path) -> None:
    """Parts as cool as they usually are take nothing from the brakes: a careful reader clears it."""
    log = tmp_path / "walk.csv"
    log.write_text(walk("hub_c", {}), encoding="utf-8")
    assert thermlog("check", str(log)).code == 0


def test_each_part_is_read_with_its_spot_and_empty_cells_of_it_are_no_reading() -> None:
    text = "time_s,position,disc F,hub F,tyre F\n0,FL,180,100,\n10,FR,181,,90\n20,RL,150\n"
    found = read(text)
    assert spots_of(text) == ["brake", "hub", "brake", "tyre_outer", "brake"]
    assert found.record.set_aside == ()
    assert found.readings.indicated_degc.round().tolist() == [82.0, 38.0, 83.0, 32.0, 66.0]
    assert any('hub from column "hub F"' in note for note in found.record.notes)


def test_a_brake_column_beside_a_column_of_wheels_is_one_of_temperatures() -> None:
    text = "time_s,position,brake_c,hub_c\n0,FL,80,40\n10,FR,81,41\n"
    assert spots_of(text) == ["brake", "hub", "brake", "hub"]


def test_a_caliper_is_a_part_beside_the_disc_and_the_brake_where_it_stands_alone() -> None:
    rows = "0,FL,80,40\n10,FR,81,41\n"
    assert spots_of(f"time_s,position,temp_c,caliper_c\n{rows}") == ["brake", "caliper"] * 2
    alone = spots_of("time_s,position,caliper_c\n0,FL,80\n10,FR,81\n")
    assert set(spots_of(f"time_s,position,caliper_c,hub_c\n{rows}")) == {*alone, "hub"}


def test_a_row_without_any_figure_is_a_wheel_that_was_not_read() -> None:
    """A part alone may stand in a row; a row with nothing tells of its wheel that it has no temperature."""
    found = read("time_s,position,temp_c,hub_c\n0,FL,80,40\n10,FR,,41\n20,RL,,\n")
    assert [(one.line, one.code, one.corner) for one in found.record.set_aside] == [(4, "no_value", "2L")]
    assert found.readings.line.tolist() == [2, 2, 3]


def test_where_the_only_column_is_of_a_part_no_brake_was_read(thermlog, tmp_path) -> None:
    log = tmp_path / "walk.csv"
    rows = "".join(f"{at},{wheel},{degc - 16}\n" for at, wheel, degc in BRAKES)
    log.write_text("# ambient: 16 C\ntime_s,position,hub temp (C)\n" + rows, encoding="utf-8")
    ran = thermlog("check", str(log), "--format", "json")
    assert json.loads(ran.out)["answers"]["drag"]["answer"] == "cannot_tell"


def test_a_lone_wheel_temperature_is_what_people_call_that_of_the_brake() -> None:
    assert spots_of("time_s,position,wheel temp (C)\n0,FL,80\n10,FR,81\n") == ["brake", "brake"]


@pytest.mark.parametrize("head", ["wheel hub temp (C)", "wheel_hub_c", "rim hub (C)"])
def test_a_wheel_hub_is_a_hub_in_a_column_alone_and_beside_that_of_the_brakes(head) -> None:
    assert spots_of(f"time_s,position,{head}\n0,FL,80\n10,FR,81\n") == ["hub", "hub"]
    assert spots_of(f"time_s,position,temp_c,{head}\n0,FL,80,40\n10,FR,81,41\n") == ["brake", "hub"] * 2


@pytest.mark.parametrize("columns", ["hub rim (C)", "temp_c,hub rim (C)"])
def test_a_column_of_unlike_parts_is_asked_about(columns) -> None:
    found = outcome(f"time_s,position,{columns}\n0,FL,80,40\n10,FR,81,40\n".encode())
    assert isinstance(found, LogRefusedError)
    assert (found.code, "unlike parts" in found.problem) == ("two_columns", True)


def test_two_columns_of_one_part_are_asked_about() -> None:
    found = outcome(b"time_s,position,temp_c,hub_c,hub temp (C)\n0,FL,80,40,41\n10,FR,81,40,41\n")
    assert isinstance(found, LogRefusedError)
    assert found.code == "two_columns"
    assert "hub_c" in found.problem
    assert "hub temp (C)" in found.problem


def test_a_part_in_two_units_is_taken_once() -> None:
    assert spots_of("time_s,position,temp_c,hub_c,hub_f\n0,FL,80,40,104\n10,FR,81,41,106\n").count("hub") == 2
