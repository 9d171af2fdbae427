"""Lines between the rows, whose readings they are, the air in words, and how a log was taken."""

from __future__ import annotations

import pytest
from readcases import PLAIN, read, rows, workbook

from thermlog.words.errors import LogRefusedError
from thermlog.words.tables import Taken
from thermlog.words.vehicle import SPOTS

ROWS = PLAIN.split("\n", 1)[1]


def cases(found) -> list[tuple[str | None, str | None, float | None]]:
    return [(case.vehicle, case.drive, case.ambient_degc) for case in found.readings.cases]


# ---- blocks ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mark", ["", "# ", "// "])
@pytest.mark.parametrize(
    ("delimiter", "key", "codes"),
    [
        (",", "Wheel: {}", ("RF", "LF")), (";", "Rad: {}", ("VR", "VL")), ("\t", "roue = {}", ("AVD", "AVG")),
        (";", "Wheel:;{};", ("front right", "front left")), (",", '"Position: {}",,', ("1R", "1L")),
    ],
)  # fmt: skip
def test_a_log_in_blocks_per_wheel(mark: str, delimiter: str, key: str, codes: tuple[str, str]) -> None:
    def block(code: str, start: int) -> str:
        line = mark + key.format(code)
        return line + "".join(f"\n{start + 60 * k}{delimiter}{80 - k}" for k in range(3)) + "\n"

    found = read(f"time_s{delimiter}temp_c\n" + block(codes[0], 0) + block(codes[1], 10))
    assert sorted(rows(found)) == [
        (0.0, "1R", 80.0), (10.0, "1L", 80.0), (60.0, "1R", 79.0), (70.0, "1L", 79.0), (120.0, "1R", 78.0),
        (130.0, "1L", 78.0),
    ]  # fmt: skip


@pytest.mark.parametrize("mark", ["", "# ", "% "])
@pytest.mark.parametrize("key", ["Vehicle: {}", "Fahrzeug: {}", "truck = {}", "vehicle:,{},"])
def test_a_vehicle_line_between_blocks_begins_another_vehicle(mark: str, key: str) -> None:
    text = mark + key.format("A") + "\n" + PLAIN + mark + key.format("B") + "\n" + ROWS
    found = read(text)
    assert cases(found) == [("A", None, None), ("B", None, None)]
    assert found.readings.elapsed_s.tolist() == [0.0, 10.0, 20.0, 30.0] * 2


def test_each_block_has_its_own_air_and_parked_moment() -> None:
    clock = "time,position,temp_c\n14:05:10,FL,80\n14:05:20,FR,81\n"
    found = read(
        "Vehicle: A\nAmbient: 18 C\nParked: 14:03:10\n"
        + clock
        + "Vehicle: B\nAmbient: 20 C\nParked: 14:04:10\n"
        + clock
    )
    assert cases(found) == [("A", None, 18.0), ("B", None, 20.0)]
    assert found.readings.elapsed_s.tolist() == [120.0, 130.0, 60.0, 70.0]


def test_a_drive_line_between_blocks_begins_another_drive() -> None:
    found = read("# drive: normal\n" + PLAIN + "# drive: coast\n" + ROWS)
    assert [case.drive for case in found.readings.cases] == ["normal", "coast"]


def test_another_vehicle_has_no_drive_until_one_is_stated() -> None:
    found = read("# vehicle: A\n# drive: coast\n" + PLAIN + "# vehicle: B\n" + ROWS)
    assert cases(found) == [("A", "coast", None), ("B", None, None)]


def test_rows_above_the_first_name_are_no_vehicle_s_known() -> None:
    assert cases(read(PLAIN + "Vehicle: B\n" + ROWS)) == [(None, None, None), ("B", None, None)]


def test_blocks_in_a_workbook() -> None:
    table = [["time_s", "position", "temp_c"], [0, "FL", 80], [10, "FR", 81]]
    found = read(workbook([["Vehicle:", "A"], *table, ["Vehicle: B"], *table]))
    assert cases(found) == [("A", None, None), ("B", None, None)]


def test_a_value_that_changes_while_nothing_begins_is_refused() -> None:
    with pytest.raises(LogRefusedError, match="already"):
        read("# ambient: 18 C\n" + PLAIN + "# ambient: 25 C\n40,FL,80\n")


def test_remarks_between_the_rows_are_no_readings() -> None:
    found = read(PLAIN + "Note: waited for the ramp\n40,FL,79\n")
    assert (found.record.rows_read, found.record.set_aside) == (5, ())


@pytest.mark.parametrize("line", ["air: hot,FL,80", "note: 5,FL,79"])
def test_a_row_that_begins_like_a_key_stays_a_row(line: str) -> None:
    assert read("note,position,temp_c\nx,FL,80\ny,FR,81\n" + line + "\n").record.rows_read == 3


# ---- several temperature columns ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "header",
    [
        "time_s,position,road temp (C),tyre temp (C),brake temp (C)",
        "time_s,position,Fahrbahn Temp (C),Reifen Temperatur (C),Bremse Temperatur (C)",
        "time_s,position,ground temp (C),hub temp (C),disc temp (C)",
        "time_s,position,set temp (C),tyre temp (C),temp (C)",
    ],
)
def test_temperature_columns_are_told_by_their_words(header: str) -> None:
    found = read(header + "\n0,FL,30,40,80\n10,FR,30,41,81\n")
    of_brakes = found.readings.spot == SPOTS.index("brake")
    assert found.readings.indicated_degc[of_brakes].tolist() == [80.0, 81.0]
    assert found.readings.indicated_degc[~of_brakes].tolist() == [40.0, 41.0]  # tyre and hub, not the road


def test_the_air_has_a_column_of_its_own() -> None:
    found = read("time_s,position,air temp (C),brake temp (C)\n0,FL,18,80\n10,FR,18,81\n")
    assert found.readings.cases[0].ambient_degc == 18.0


# ---- vehicles -------------------------------------------------------------------------------------------


def test_names_that_differ_by_case_or_blanks_are_one_vehicle() -> None:
    found = read("vehicle,time_s,position,temp_c\nVan 7,0,FL,80\nvan  7,10,FR,81\nVAN7,20,RL,70\n")
    assert cases(found) == [("Van 7", None, None)]
    assert any("the same as another" in note for note in found.record.notes)


def test_merged_vehicle_cells_hold_for_the_rows_below() -> None:
    names, times, wheels = (
        ["A", "", "", "", "B", "", "", ""],
        (0, 9, 20, 30) * 2,
        ("FL", "FR", "RL", "RR") * 2,
    )
    table = "".join(f"{name},{t},{w},80\n" for name, t, w in zip(names, times, wheels, strict=True))
    found = read("vehicle,time_s,position,temp_c\n" + table)
    assert found.readings.case.tolist() == [0] * 4 + [1] * 4


def test_one_forgotten_vehicle_is_not_pooled() -> None:
    found = read("vehicle,time_s,position,temp_c\nA,0,FL,80\nA,9,FR,80\n,20,RL,70\nA,30,RR,70\n")
    assert [case.vehicle for case in found.readings.cases] == ["A", None]


# ---- air ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mark", ["", "# "])
@pytest.mark.parametrize(
    "line",
    [
        "ambient 16", "air 16°", "outside temp 16", "air 16 deg", "ambient was 16 C", "Air temp: 16 °C",
        "ambient: 16°", "Aussentemperatur: 16 °C", "Luft 16 °C", "température extérieure : 16 °C",
        "aire: 16 C", "temperatura ambiente 16 C", "aria 16 °C", "lucht: 16 C",
        "lufttemperatur 16 °C",
        "teplota vzduchu: 16 °C", "temperatura powietrza: 16 C", "temperatura do ar: 16 °C",
        "outdoor temperature = 16",
    ],
)  # fmt: skip
def test_air_in_words_with_or_without_a_colon(mark: str, line: str) -> None:
    found = read(f"{mark}{line}\n{PLAIN}")
    assert found.readings.cases[0].ambient_degc == 16.0
    assert rows(found) == rows(read(PLAIN))


@pytest.mark.parametrize(
    "word", ["Luft", "air ambiant", "aire", "aria", "lucht", "powietrze", "vzduch", "outside temp"]
)
def test_one_list_of_air_words_for_rows_columns_and_lines(word: str) -> None:
    assert read(PLAIN + f"40,{word},18\n").readings.cases[0].ambient_degc == 18.0
    column = read(f"time_s,position,temp_c,{word} (C)\n0,FL,80,18\n10,FR,81,18\n")
    assert column.readings.cases[0].ambient_degc == 18.0
    assert read(f"# {word}: 18 C\n" + PLAIN).readings.cases[0].ambient_degc == 18.0


def test_lines_that_say_nothing_known_are_quoted_by_line() -> None:
    found = read("it was a warm day\n# nobody knows\n" + PLAIN)
    assert any("warm day" in note and "line 1" in note for note in found.record.notes)
    assert any("nobody knows" in note and "line 2" in note for note in found.record.notes)


def test_air_not_taken_is_no_air() -> None:
    assert cases(read("Ambient: not taken\n" + PLAIN)) == [(None, None, None)]


# ---- taken ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "taken"),
    [
        (
            "# date: 4 May 2031\n# technician: Jo\n# gun: G-2\n# odometer: 123,456 km\n"
            "time,position,temp_c\n14:03:10,FL,80\n14:03:20,FR,81\n",
            Taken(start="2031-05-04T14:03:10", by="Jo", gun="G-2", odometer_km=123456.0),
        ),
        (
            "Date: 2031-05-04\nStart: 14:03\nMileage: 1000 mi\n" + PLAIN,
            Taken(start="2031-05-04T14:03:00", odometer_km=1609.3),  # 1000 x 1.609344, NIST SP 811
        ),
        ("Datum: 4.5.2031\n" + PLAIN, Taken(start="2031-05-04")),
        ("# date: 03/04/2031\n# date order: mdy\n" + PLAIN, Taken(start="2031-03-04")),
        ("time,position,temp_c\n14:03:20,FR,81\n14:03:10,FL,80\n", Taken(start="T14:03:10")),
        (
            "time_s,position,temp_c,technician,gun\n0,FL,80,Jo,G2\n10,FR,81,Jo,G2\n",
            Taken(by="Jo", gun="G2"),
        ),
        ("time,position,temp_c\n2031-05-04T14:03:10+02:00,3L,95\n", Taken(start="2031-05-04T14:03:10+02:00")),
        (PLAIN, None),
    ],
)
def test_how_a_log_was_taken(text: str, taken: Taken | None) -> None:
    assert read(text).readings.cases[0].taken == taken
