"""Tables for spreadsheets: nothing in a log may become a formula, numbers stay numbers."""

from __future__ import annotations

import csv
import io
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from samples import cool_van, hot_rear_right, smoking_van

from thermlog.reports.report_csv import CORNERS, corners_csv, guarded


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_that_begins_like_a_formula_gets_an_apostrophe(start):
    van = replace(hot_rear_right(), vehicle=f"{start}cmd|' /C calc'!A0")

    assert rows_of(corners_csv([van]))[0]["vehicle"].startswith("'")


@given(st.text())
def test_no_text_cell_begins_like_a_formula_or_breaks_the_table(text):
    cell = str(guarded(text))

    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert not set(cell) & {"\n", "\r", "\x1b"}


@given(st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_numbers_stay_numbers(value):
    # six significant digits are kept
    assert guarded(value) == pytest.approx(value, rel=1e-5)


def test_negative_difference_is_a_number_without_apostrophe():
    assert guarded(-58.0) == -58.0


@pytest.mark.parametrize("unknown", [None, math.nan, math.inf])
def test_what_is_not_known_is_empty(unknown):
    assert guarded(unknown) is None


def test_one_row_a_corner_in_the_named_columns():
    rows = rows_of(corners_csv([hot_rear_right()]))

    assert list(rows[0]) == [column.name for column in CORNERS]
    assert [row["corner"] for row in rows] == ["1L", "1R", "2L", "2R"]
    assert rows[3]["verdict"] == "hot"
    assert float(rows[3]["at_common_degc"]) == 133.0
    assert (float(rows[3]["tau_low_s"]), float(rows[3]["tau_high_s"])) == (1380.0, 2400.0)


def test_answers_and_what_is_urgent_stand_in_every_row():
    rows = rows_of(corners_csv([hot_rear_right(), cool_van(), smoking_van()]))
    words = [(row["drag"], row["idle"], row["heat"], row["urgent"]) for row in rows[::4]]

    assert words == [
        ("yes", "no", "no", ""),
        ("no", "cannot_tell", "no", ""),
        ("no", "no", "no", "smoke; tyre_hot"),
    ]
    assert (float(rows[0]["p_drag"]), float(rows[4]["p_idle"])) == (0.97, 0.03)


def test_why_of_a_corner_is_made_of_its_reasons():
    assert rows_of(corners_csv([hot_rear_right()]))[3]["why"].startswith("2R is 58 K above 2L (50 to 66)")
