"""Notes of a phone: lines of time, wheel and temperature without a header; all invented."""

from __future__ import annotations

import pytest
from readcases import outcome, read

from thermlog.words.errors import LogRefusedError

PHONE = "14:04:05 LF 98\n14:04:25 RF 101\n14:05:05 RR 60\n14:05:20 LR 64\n"


@pytest.mark.parametrize("before", ["", "Van 7\nair 16 C\nstopped 14:03:00\n", "air 16 C\n\n"])
def test_lines_of_time_wheel_and_temperature_need_no_header(before: str) -> None:
    found = read(before + PHONE, unit="C")
    assert found.readings.indicated_degc.tolist() == [98.0, 101.0, 60.0, 64.0]
    assert found.readings.elapsed_s.tolist()[1] - found.readings.elapsed_s.tolist()[0] == 20.0
    assert found.record.set_aside == ()


@pytest.mark.parametrize(
    ("text", "line"),
    [("LF 298\n" + PHONE, 2), ("Van 7\n" + PHONE + "14:06 LF\n", 2)],
)
def test_where_a_line_is_no_such_reading_the_missing_header_is_told(text: str, line: int) -> None:
    """A wheel may be named in the line that does not fit: nothing is passed over."""
    found = outcome(text.encode(), unit="C")
    assert isinstance(found, LogRefusedError)
    assert (found.code, found.line) == ("no_header", line)
    assert found.problem.endswith("add one line above: time wheel temp_c")


def test_a_line_of_words_among_such_readings_is_heard() -> None:
    found = read(PHONE + "smoke RF\n", unit="C")
    assert found.readings.indicated_degc.tolist() == [98.0, 101.0, 60.0, 64.0]
    assert [(one.code, one.corner) for one in found.readings.cases[0].seen] == [("smoke", "1R")]


def test_the_missing_header_follows_the_order_of_the_cells() -> None:
    found = outcome(b"LF;98;14:04\nRF;101;14:05\nRR;60;14:06\nLR;14:07\n", unit="C")
    assert isinstance(found, LogRefusedError)
    assert found.problem.endswith("add one line above: wheel;temp_c;time")


def test_rows_may_end_before_the_column_of_remarks() -> None:
    """Cells left out at the end of a row are empty, however many."""
    found = read("time_s,position,temp_c,,note\n0,FL,80\n10,FR,81,,tyre worn\n20,RL,70,\n30,RR,71\n")
    assert found.readings.indicated_degc.tolist() == [80.0, 81.0, 70.0, 71.0]
    assert found.record.set_aside == ()
