"""What was seen counts wherever it was written down, in any language; what denies it stops no vehicle.

All logs are invented; what a careful reader makes of each text follows from its words.
"""

from __future__ import annotations

import pytest
from readcases import PLAIN, read, workbook

from thermlog.reading.gathered import LogReadings
from thermlog.reading.read import read_content
from thermlog.reading.remarks.sights import told_sights

HEAD = "time_s,position,temp_c\n"
WIDE = "time_s,FL C,FR C,RL C,RR C\n0,80,81,70,71\n60,76,77,67,{}\n120,72,73,64,66\n"


def seen(found: LogReadings) -> list[tuple[str, str | None]]:
    return [(one.code, one.corner) for one in found.readings.cases[0].seen]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("# RR started smoking at the end", ("smoke", "2R")),
        ("# smoke at RR", ("smoke", "2R")),
        ("# RR rauchte", ("smoke", "2R")),
        ("# note: smell of burning at RR", ("smell", "2R")),
        ("# remark: smoke at RR", ("smoke", "2R")),
        ("# weather: dry; smoke from RR", ("smoke", "2R")),
        ("# condition: RR glowing", ("glow", "2R")),
        ("# smoke: RR", ("smoke", "2R")),
        ("# drive: normal, RR smoking", ("smoke", "2R")),
        ("RR smoking!", ("smoke", "2R")),
        ("smoke at RR", ("smoke", "2R")),
        ("// fumée à la roue arrière droite", ("smoke", "2R")),
        ("# smoke? yes", ("smoke", None)),
        ("# smoke at RR, not at FL", ("smoke", "2R")),
        ("# could not drive on because RR was smoking", ("smoke", "2R")),
    ],
)
def test_a_line_beside_the_readings_tells(line: str, told: tuple[str, str | None]) -> None:
    for text in (f"{PLAIN}{line}\n", f"{line}\n{PLAIN}"):
        found = read(text)
        assert seen(found) == [told]
        assert not any("says nothing" in note for note in found.record.notes)


@pytest.mark.parametrize("cell", ["smoking", "glowing red", "glühend", "57.0 smoking", "fumée", "dym"])
@pytest.mark.parametrize("layout", ["long", "wide", "rounds"])
def test_a_cell_of_a_temperature_tells(cell: str, layout: str) -> None:
    rounds = "wheel,0 s,60 s\nFL,80 C,76 C\nFR,81 C,77 C\nRL,70 C,67 C\nRR,71 C,{}\n"
    text = {"long": PLAIN + "60,RR,{}\n", "wide": WIDE, "rounds": rounds}[layout].format(cell)
    code = "glow" if cell.startswith("gl") else "smoke"
    assert seen(read(text)) == [(code, "2R")]


@pytest.mark.parametrize("heading", ["condition", "état", "", "x", "spot"])
def test_a_column_for_anything_tells(heading: str) -> None:
    rows = ("0,FL,80,", "10,FR,81,", "20,RL,70,", "30,RR,71,smoking")
    assert seen(read("\n".join([f"time_s,position,temp_c,{heading}", *rows]) + "\n")) == [("smoke", "2R")]


def test_a_wide_row_tells_of_no_wheel() -> None:
    text = "time_s,FL C,FR C,mood\n0,80,81,\n60,76,77,smoking\n"
    assert seen(read(text)) == [("smoke", None)]


@pytest.mark.parametrize("word", ["RR smoking", "RR smoking!", "RR raucht"])
def test_the_word_for_a_wheel_tells(word: str) -> None:
    assert seen(read(f"{PLAIN}60,{word},57\n")) == [("smoke", "2R")]


def test_a_cell_of_a_workbook_tells() -> None:
    rows = [("time_s", "position", "temp_c"), (0, "FL", 80), (9, "FR", 81), (20, "RL", 70), (30, "RR", 71)]
    for last in (("RR smoking!",), (60, "RR smoking!", 57), (60, "RR", "smoking")):
        assert seen(read_content(workbook([*rows, last]), file="log.xlsx")) == [("smoke", "2R")]


@pytest.mark.parametrize(
    "text",
    [
        "no smoke",
        "smoke: none",
        "kein Rauch",
        "non-smoking yard",
        "smoke? no",
        "smoke: -",
        "smoke: 0",
        "smoke: n",
        "smoke: ok",
        "no sign of smoke",
        "smoke was not seen",
        "no smoke or smell",
        "smoke-free",
        "niet roken",
        "pas de fumée",
        "did not smoke",
        "didn't smoke",
        "non si vede fumo",
        "żadnego dymu, nie dymi",
        "ingen rök",
        "ikke røg",
        "sin humo",
        "sem fumo",
        "fire extinguisher checked",
        "smoking area",
        "vehicle: fire engine 3",
        "by: J. Burns",
        "rok 2031",
        "glow plugs new",
        "smoke at RR: none",
        "smoke none seen",
    ],
)
def test_what_denies_it_stops_no_vehicle(text: str) -> None:
    assert seen(read(f"# {text}\n{PLAIN}")) == []
    if ":" not in text:
        assert seen(read(HEAD.replace("\n", ",note\n") + f'0,FL,80,"{text}"\n9,FR,81,\n')) == []


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("no smoke from FL but smoke at RR", ["smoke"]),
        ("smoke at RR not FL", ["smoke"]),
        ("no smoke seen RR glowing", ["glow"]),
        ("kein Rauch, aber Geruch", ["smell"]),
        ("pas de fumée mais odeur", ["smell"]),
        ("ça fume", ["smoke"]),
        ("het rookte", ["smoke"]),
        ("echa humo", ["smoke"]),
        ("fumava", ["smoke"]),
        ("röken kom, rök vid HB", ["smoke"]),
        ("dým", ["smoke"]),
        ("koło dymiło", ["smoke"]),
    ],
)
def test_denying_one_thing_denies_no_other(text: str, codes: list[str]) -> None:
    assert [one.code for one in told_sights(text)] == codes


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("burning rubber smell", {"smell"}),
        ("smells like burning", {"smell"}),
        ("burning brake smell at RR", {"smell"}),
        ("burning at RR and a smell", {"flame", "smell"}),
        ("burning, smell", {"flame", "smell"}),
        ("RR burning", {"flame"}),
        ("wheel RR locked solid", {"locked"}),
    ],
)
def test_what_smells_of_burning_is_no_flame(text, codes):
    assert {one.code for one in told_sights(text)} == codes
