"""Columns of temperatures under a heading nobody knows, or under none, are never lost.

All logs are invented.
"""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.reading.gathered import LogReadings

HEAD = "time_s,FL C,FR C,RL C,RR C"
ROWS = ("20,82,82,59,57", "290,68,67,50,50", "500,59,60,43,42")


def wide(heading: str, cells: tuple[object, ...]) -> LogReadings:
    rows = [f"{row},{cell}" for row, cell in zip(ROWS, cells, strict=True)]
    return read("\n".join([f"{HEAD},{heading}", *rows]) + "\n")


def hottest_unknown(found: LogReadings) -> float | None:
    values = [one.value_degc for one in found.readings.cases[0].blind if one.code == "unknown_wheel"]
    return max((value for value in values if value is not None), default=None)


@pytest.mark.parametrize(
    "heading",
    [
        "RR C.1",
        "spare C",
        "sensor E (°C)",
        "RR2 C",
        "Ch5",
        "probe 5",
        "XX (°C)",
        "TC5",
        "Fühler 5",
        "voie 5",
        "",
        " ",
    ],
)
@pytest.mark.parametrize("cells", [(150, 130, 110), (150, 130, 111), (150, 150, 150), ("OL", 130, 110)])
def test_a_falling_column_is_a_wheel_nobody_knows(heading: str, cells: tuple[object, ...]) -> None:
    assert hottest_unknown(wide(heading, cells)) == pytest.approx(max(c for c in cells if isinstance(c, int)))


@pytest.mark.parametrize("heading", ["RR C.1", "spare C", "sensor E (°C)", "Ch5", "XX [°C]"])
def test_a_unit_or_a_sensor_is_no_counter(heading: str) -> None:
    assert hottest_unknown(wide(heading, (110, 130, 150))) == pytest.approx(150)


def test_numbers_without_heading_and_unit_are_a_wheel_nobody_knows() -> None:
    assert hottest_unknown(wide("", (250, 210, 180))) == pytest.approx(250)


@pytest.mark.parametrize("first", [0, 1, 17])
def test_row_numbers_without_heading_are_no_wheel_and_no_word(first: int) -> None:
    rows = [f"{first + k},{row}" for k, row in enumerate(ROWS)]
    found = read("\n".join([f",{HEAD}", *rows]) + "\n")
    assert hottest_unknown(found) is None
    assert found.record.notes == read("\n".join([HEAD, *ROWS]) + "\n").record.notes


def test_an_empty_column_is_not_worth_a_word() -> None:
    assert not any("not used" in note for note in wide("", ("", "", "")).record.notes)


def test_a_column_without_heading_beside_rows_of_readings_is_named() -> None:
    found = read("time_s,position,temp_c,\n0,FL,80,441\n9,FR,81,440\n20,RL,70,12\n30,RR,71,9\n")
    assert any('not used: "column 4"' in note for note in found.record.notes)


@pytest.mark.parametrize("heading", ["engine C", "average C", "tyre pressure"])
def test_other_quantities_stay_no_wheels(heading: str) -> None:
    assert hottest_unknown(wide(heading, (95, 90, 85))) is None


@pytest.mark.parametrize("heading", ["trailer zork", "zork L", "axle zork", "N/S zork", "engine L"])
@pytest.mark.parametrize("cells", [(20, 19, 18), (40, 50, 60), (58, 50, 42)])
def test_a_heading_with_a_word_of_a_wheel_is_one_at_any_temperature(
    heading: str, cells: tuple[int, ...]
) -> None:
    """A trailer's brake that does nothing reads 20 °C where the coldest known one reads 42 °C."""
    found = wide(heading, cells)
    assert hottest_unknown(found) == pytest.approx(max(cells))


@pytest.mark.parametrize("heading", ["trailer no", "trailer pressure", "axle load", "driver name", "zork"])
def test_a_number_of_a_trailer_is_none_of_its_wheels(heading: str) -> None:
    assert hottest_unknown(wide(heading, (12, 12, 12))) is None
