"""Options speak for logs that say nothing; one that says otherwise is refused, or overridden by name."""

from __future__ import annotations

from pathlib import Path

import pytest
from readcases import PLAIN, read, workbook

from thermlog.reading.read import read_logs
from thermlog.reading.readoptions import ReadOptions
from thermlog.words.errors import LogRefusedError

BARE = PLAIN.replace("temp_c", "temp")
DEGC = [80.5, 81.0, 70.0, 71.0]
# every place in which a log can state °C, and the line that says so
STATED = {
    "heading": (PLAIN, 1),
    "heading under a title": ("Report\n\n" + PLAIN, 3),
    "header comment": ("# unit: C\n" + BARE, 1),
    "header comment, German": ("# Einheit: °C\n" + BARE, 1),
    "cell": (BARE.replace("81", "81 °C"), 3),
    "unit column": ("time_s,position,temp,unit\n0,FL,80.5,\n10,FR,81,C\n", 3),
    "wide heading": ("time_s,FL (°C),FR (°C)\n0,80.5,81\n60,79,80\n", 1),
    "one of two wide headings": ("time_s,FL,FR (C)\n0,80.5,81\n60,79,80\n", 1),
    "semicolons": ("Zeit (s);Rad;Temperatur (°C)\n0;VL;80,5\n10;VR;81,0\n", 1),
    "no header": ("0,FL,85 C\n10,FR,84 C\n20,RL,70 C\n30,RR,71 C\n", 1),
}
AIR = {
    "header comment": ("# ambient: 18 C\n" + PLAIN, 1),
    "header comment in the other unit": ("# ambient: 64.4 F\n" + PLAIN, 1),
    "bare line": ("Ambient: 18 C\n" + PLAIN, 1),
    "unit of the readings": ("# ambient: 18\n" + PLAIN, 1),
    "column": ("time_s,position,temp_c,ambient\n0,FL,80,\n10,FR,81,18\n", 3),
    "row": (PLAIN + "40,ambient,18\n", 6),
    "one of several values": ("time_s,position,temp_c,ambient\n0,FL,80,20\n10,FR,81,18\n", 3),
}


@pytest.mark.parametrize("place", STATED)
def test_a_log_that_states_another_unit_is_refused_by_line(place: str) -> None:
    log, line = STATED[place]
    with pytest.raises(LogRefusedError, match="the log states °C, and --unit says F") as refusal:
        read(log, unit="F")
    assert refusal.value.line == line
    assert "--override unit" in str(refusal.value)


@pytest.mark.parametrize("place", STATED)
def test_the_option_that_overrides_holds_everywhere_and_is_noted(place: str) -> None:
    log, _ = STATED[place]
    taken = read(log, unit="F", override=("unit",))
    plain = read(log, unit="C")
    # by the definition of the scale: the same figures, read as °F
    assert taken.readings.indicated_degc.tolist() == pytest.approx(
        [(value - 32) / 1.8 for value in plain.readings.indicated_degc.tolist()]
    )
    assert any(note.startswith("--unit F taken instead of °C") for note in taken.record.notes)


@pytest.mark.parametrize("place", STATED)
def test_an_option_that_says_the_same_changes_nothing(place: str) -> None:
    log, _ = STATED[place]
    found = read(log, unit="C")
    assert found.readings.indicated_degc.max() > 79
    assert not any("--unit" in note for note in found.record.notes)


def test_the_option_speaks_for_a_log_that_says_nothing() -> None:
    assert read(BARE, unit="C").readings.indicated_degc.tolist() == DEGC
    assert read(BARE, unit="F").readings.indicated_degc[1] == pytest.approx((81 - 32) / 1.8)
    assert not read(BARE, unit="F").record.notes


def test_a_workbook_is_held_against_the_option_too() -> None:
    cells: list[list[object]] = [["time_s", "position", "temp_c"], [0, "FL", 80.5], [10, "FR", 81]]
    with pytest.raises(LogRefusedError, match="--override unit"):
        read(workbook(cells), unit="F")


@pytest.mark.parametrize("place", AIR)
def test_a_log_that_states_another_air_temperature_is_refused_by_line(place: str) -> None:
    log, line = AIR[place]
    with pytest.raises(LogRefusedError, match="--ambient says 20 °C, and the log states 18 °C") as refusal:
        read(log, ambient_degc=20.0)
    assert refusal.value.line == line


@pytest.mark.parametrize("place", AIR)
def test_the_air_of_an_option_that_overrides_holds_and_is_noted(place: str) -> None:
    log, _ = AIR[place]
    found = read(log, ambient_degc=20.0, override=("ambient",))
    assert {(case.ambient_degc, case.ambient_source) for case in found.readings.cases} == {(20.0, "option")}
    assert "ambient 20 °C taken from the option; the log states 18 °C" in found.record.notes


@pytest.mark.parametrize("degc", [18.0, 17.8])  # 64 °F is 17.8 °C: the same air, rounded in another unit
def test_the_same_air_in_option_and_log_is_no_contradiction(degc: float) -> None:
    found = read("# ambient: 18 C\n" + PLAIN, ambient_degc=degc)
    assert found.readings.cases[0].ambient_degc == degc
    assert found.record.notes == ()


def test_air_that_was_not_measured_leaves_the_word_to_the_option() -> None:
    assert read("# ambient: unknown\n" + PLAIN, ambient_degc=20.0).readings.cases[0].ambient_degc == 20.0


def test_overriding_one_option_does_not_override_the_other() -> None:
    with pytest.raises(LogRefusedError, match="--override unit"):
        read(PLAIN, unit="F", ambient_degc=20.0, override=("ambient",))


def test_an_option_over_a_folder_is_never_taken_in_silence(thermlog) -> None:
    """Logs that say nothing are read, a log that says otherwise is a line with its place."""
    for name, text in {"a.csv": BARE, "b.csv": PLAIN, "c.csv": "# unit: C\n" + BARE}.items():
        Path(name).write_text(text, encoding="utf-8")
    found = read_logs(["a.csv", "b.csv", "c.csv"], ReadOptions(unit="F"))
    assert [log.record.file for log in found.logs] == ["a.csv"]
    assert [one.reason.split(":")[0] for one in found.unreadable()] == [
        'b.csv, line 1, column "temp_c"',
        'c.csv, line 1, column "# unit", found "C"',
    ]
    assert thermlog("inspect", "b.csv", "--unit", "F").code == 3
    assert thermlog("inspect", "b.csv", "--unit", "F", "--override", "unit").code == 0
