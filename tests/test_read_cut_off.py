"""Rows shorter or longer than their table: no time is ever taken for a temperature.

All logs are invented; what each row must come to follows from its cells alone.
"""

from __future__ import annotations

import pytest
from readcases import PLAIN, read

from thermlog.reading.gathered import LogReadings


def aside(found: LogReadings) -> list[tuple[str | None, str | None, float | None]]:
    return [(one.code, one.corner, one.value_degc) for one in found.readings.cases[0].blind]


@pytest.mark.parametrize(
    ("head", "row", "told", "lacks"),
    [
        ("time_s,position,temp_c", "600,RR", None, '"temp_c"'),
        ("time_s,position,temp_c", "12,FL", None, '"temp_c"'),
        ("position,time_s,temp_c", "RR,600", None, ""),  # either of them may be missing
        ("Zeit (s);Rad;Temperatur (°C)", "600;RR", None, '"Temperatur (°C)"'),
        ("time_s,temp_c,position", "600,RR", None, ""),
        ("time_s,position,temp_c,note", "600,RR", None, '"temp_c"'),
        ("time_s,position,temp_c", "RR,441", 441.0, '"time_s"'),
        ("time_s,position,temp_c,note", "RR,441", 441.0, '"time_s"'),
        ("position,temp_c,time_s", "RR,441", None, ""),
        ("position,time_s,temp_c,spot", "RR,600,disc", None, ""),
    ],
)
def test_a_row_cut_off_says_what_is_missing_and_shifts_nothing(
    head: str, row: str, told: float | None, lacks: str
) -> None:
    mark = ";" if ";" in head else ","
    names = [name.lower() for name in head.split(mark)]
    rows = []
    for time, wheel, temp in ((0, "FL", 80), (10, "FR", 81), (20, "RL", 70), (30, "RR", 71)):
        of = {
            "time": time,
            "zeit": time,
            "posi": wheel,
            "rad": wheel,
            "temp": temp,
            "note": "",
            "spot": "disc",
        }
        rows.append(mark.join(str(next(v for k, v in of.items() if name.startswith(k))) for name in names))
    found = read("\n".join([head, *rows, row]) + "\n")
    corner = "1L" if "FL" in row else "2R"
    assert aside(found) == [("set_aside", corner, told)]
    reason = found.record.set_aside[-1].reason
    assert lacks in reason
    assert ("none for" in reason) == bool(lacks)


@pytest.mark.parametrize(
    ("row", "code", "value"),
    [
        ("600,RR,OL,nothing", "over_range", None),
        ("RR,OL", "over_range", None),
        ("600,RR,ERR,nothing", "set_aside", None),
        ("1,72,RR,441", "set_aside", 441.0),
        ("72,,RR,441", "set_aside", 441.0),
        ("72,RR,441,5", "set_aside", 441.0),
    ],
)
def test_a_row_too_long_tells_no_time_as_its_temperature(row: str, code: str, value: float | None) -> None:
    first, *also = aside(read(f"{PLAIN}{row}\n"))
    assert first == (code, "2R", value)
    assert {one[1] for one in also} <= {"2R"}  # the mark counts among words, too


@pytest.mark.parametrize("row", ["RR 441", "600;RR", "441 hinten rechts"])
def test_a_wheel_and_a_figure_in_one_cell_may_be_a_reading(row: str) -> None:
    assert aside(read(f"{PLAIN}{row}\n")) == [("set_aside", None, None)]


@pytest.mark.parametrize("row", ["checked by 2", "page 1", "RR checked"])
def test_a_remark_below_the_table_is_no_reading(row: str) -> None:
    assert aside(read(f"{PLAIN}{row}\n")) == []
