"""The cell in the corner of a table is blank, as on any whiteboard: its column is told by what stands below.

All logs are invented. The same log with the word in the corner is the origin of every expected number.
"""

from __future__ import annotations

import pytest
from readcases import read

WHEELS = {"FL": (119, 98, 80), "FR": (117, 97, 79), "RL": (76, 63, 53), "RR": (75, 62, 52)}
CLOCK = ("10:03", "10:07", "10:11")
MINUTES = ("1 min", "5 min", "9 min")
ABOVE = "# ambient: 16 C\n# parked: 10:02\n"


def rows_of_wheels(corner: str, times: tuple[str, ...], mark: str = ",") -> str:
    rows = [(corner, *times), *((wheel, *map(str, degc[: len(times)])) for wheel, degc in WHEELS.items())]
    return ABOVE + "\n".join(mark.join(row) for row in rows) + "\n"


def rows_of_times(corner: str, times: tuple[str, ...], mark: str = ",") -> str:
    rows = [
        (corner, *WHEELS),
        *((time, *(str(WHEELS[w][k]) for w in WHEELS)) for k, time in enumerate(times)),
    ]
    return ABOVE + "\n".join(mark.join(row) for row in rows) + "\n"


def told(text: str) -> list[tuple[float, int, str, float]]:
    """Time [s], axle, side and temperature of each reading."""
    one = read(text).readings
    columns = (one.elapsed_s, one.axle, one.side, one.indicated_degc)
    return list(zip(*(column.tolist() for column in columns), strict=True))


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
@pytest.mark.parametrize("times", [CLOCK, MINUTES, CLOCK[:2]])
@pytest.mark.parametrize(("rows", "word"), [(rows_of_wheels, "wheel"), (rows_of_times, "time")])
def test_a_blank_corner_is_the_word_that_nobody_wrote(rows, word, times, mark) -> None:
    assert told(rows("", times, mark)) == told(rows(word, times, mark))


@pytest.mark.parametrize("corner", ["Lorry 5", "AB-12", "°C", "temp", "time", "who knows"])
def test_strange_words_over_the_wheels_of_a_table_of_times_change_nothing(corner: str) -> None:
    assert told(rows_of_wheels(corner, CLOCK)) == told(rows_of_wheels("wheel", CLOCK))


def test_units_in_the_corner_are_those_of_the_table() -> None:
    """176 °F are 80 °C exactly."""
    fahrenheit = read("deg F,0 min,4 min\nFL,176,167\nFR,176,167\n").readings
    minutes = read("min,1,5\nFL,80 C,75 C\nFR,80 C,75 C\n").readings

    assert fahrenheit.indicated_degc.tolist() == pytest.approx([80, 80, 75, 75])
    assert sorted(set(minutes.elapsed_s.tolist())) == [60, 300]


@pytest.mark.parametrize("mark", [" ", "    "])
@pytest.mark.parametrize(("rows", "word"), [(rows_of_wheels, "wheel"), (rows_of_times, "time")])
def test_spaces_between_cells_swallow_the_corner(rows, word, mark) -> None:
    text = rows("", CLOCK, mark)

    assert told(text) == told(rows(word, CLOCK))
    assert told(text.replace(f"\n{mark}", "\n")) == told(text)


@pytest.mark.parametrize("place", [0, 1])
def test_a_row_a_reading_may_lack_a_heading_too(place: int) -> None:
    cells = [(time, wheel, degc[k]) for k, time in enumerate(CLOCK) for wheel, degc in WHEELS.items()]
    body = "".join(f"{time},{wheel},{degc}\n" for time, wheel, degc in cells)
    heads = ["time", "wheel", "temp_c"]
    blank = ["" if k == place else head for k, head in enumerate(heads)]

    assert told(ABOVE + ",".join(blank) + "\n" + body) == told(ABOVE + ",".join(heads) + "\n" + body)


def test_a_note_says_what_a_column_without_heading_was_taken_for() -> None:
    for text, word in ((rows_of_wheels("", CLOCK), "wheel"), (rows_of_times("", CLOCK), "time")):
        assert any(f"is taken as the {word}" in note for note in read(text).record.notes)


def test_bare_numbers_without_a_heading_are_no_times() -> None:
    one = read(rows_of_times("", ("0", "240", "480")))

    assert any('not used: "column 1"' in note for note in one.record.notes)


def test_two_columns_of_times_without_a_heading_are_not_chosen_between() -> None:
    text = ABOVE + ",,FL,FR\n10:03,1 min,119,117\n10:07,5 min,98,97\n"

    assert any('not used: "column 1", "column 2"' in note for note in read(text).record.notes)
