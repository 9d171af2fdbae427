"""Columns of readings: equal length, stacking, the pandas view."""

import numpy as np
import pytest
from judgecases import EXACT, VAN_K, rows, walked
from msgspec.structs import replace

from thermlog.words.tables import Readings, stack_readings

COLUMNS = [name for name in Readings.__struct_fields__ if name != "cases"]


def test_columns_of_unequal_length_are_a_fault():
    readings = walked(VAN_K, EXACT)
    for column in COLUMNS:
        with pytest.raises(ValueError, match="columns of unequal length"):
            replace(readings, **{column: getattr(readings, column)[:-1]})


def test_stacking_renumbers_the_cases_and_keeps_every_column():
    tables = [
        walked(VAN_K, EXACT),
        walked({"1L": 50.0}, EXACT),
        walked({}, EXACT),
        walked({"2R": 40.0}, EXACT),
    ]
    stacked = stack_readings(tables)
    assert stacked.rows == sum(table.rows for table in tables)
    assert stacked.cases == tuple(table.cases[0] for table in tables)
    for k, table in enumerate(tables):
        own = stacked.case == k
        assert own.sum() == table.rows
        for column in set(COLUMNS) - {"case"}:
            np.testing.assert_array_equal(getattr(stacked, column)[own], getattr(table, column))


def test_stacking_tables_of_several_cases():
    two = stack_readings([walked({"1L": 50.0}, EXACT), walked({"1R": 60.0}, EXACT)])
    four = stack_readings([two, two])
    assert len(four.cases) == 4
    assert sorted(set(four.case.tolist())) == [0, 1, 2, 3]


def test_stack_of_nothing_has_no_rows_and_the_right_kinds_of_columns():
    nothing = stack_readings([])
    assert (nothing.rows, nothing.cases) == (0, ())
    filled = walked(VAN_K, EXACT)
    assert all(getattr(nothing, column).dtype == getattr(filled, column).dtype for column in COLUMNS)


def test_frame_is_the_same_table_in_words():
    readings = walked({"1L": 105.0, "2R hub": 30.0}, EXACT)
    frame = readings.frame()
    assert list(frame.columns) == [
        "file", "vehicle", "drive", "line", "axle", "side", "corner", "spot", "elapsed_s", "indicated_degc",
    ]  # fmt: skip
    assert frame["corner"].tolist() == ["1L", "2R"] * 3
    assert frame["side"].tolist() == ["L", "R"] * 3
    assert frame["spot"].tolist() == ["brake", "hub"] * 3
    assert set(frame["file"]) == {"made-up.csv"}
    assert set(frame["vehicle"]) == {"unit 1"}
    assert set(frame["drive"]) == {"normal"}
    np.testing.assert_array_equal(frame["indicated_degc"], readings.indicated_degc)
    np.testing.assert_array_equal(frame["line"], readings.line)


def test_frame_names_the_case_of_every_row():
    first, second = walked({"1L": 50.0}, EXACT), walked({"1L": 50.0}, EXACT)
    second = replace(second, cases=(replace(second.cases[0], vehicle="unit 2", drive="coast"),))
    frame = rows(stack_readings([first, second]), [3, 0]).frame()
    assert frame["vehicle"].tolist() == ["unit 2", "unit 1"]
    assert frame["drive"].tolist() == ["coast", "normal"]
