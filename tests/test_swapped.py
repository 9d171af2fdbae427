"""Headings in each other's place are named, and what only looks like it is read."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from readcases import outcome

from thermlog.reading.gathered import LogReadings
from thermlog.words.errors import LogRefusedError

ROWS = [("FL", 0, 177), ("FR", 20, 126), ("RR", 40, 67), ("RL", 60, 73), ("RL", 80, 71), ("RR", 100, 66)]
ROWS += [("FR", 120, 118), ("FL", 140, 160)]
ROLES = ("position", "time", "temp_c")


def log(heads: tuple[str, ...], rows: list[tuple[object, ...]]) -> bytes:
    lines = [",".join(map(str, row)) for row in rows]
    return "\n".join([",".join(heads), *lines, ""]).encode()


def clocked(seconds: int) -> str:
    return f"14:{3 + seconds // 60:02d}:{seconds % 60:02d}"


@pytest.mark.parametrize("clock", [True, False])
@pytest.mark.parametrize("heads", list(permutations(ROLES)))
def test_any_two_headings_in_each_others_place_are_named(heads: tuple[str, ...], clock: bool) -> None:
    """Two changed: refused by that name. All three moved: refused, too. None: read."""
    rows = [(wheel, clocked(s) if clock else s, degc) for wheel, s, degc in ROWS]
    found = outcome(log(heads, rows), unit="C")
    moved = sum(one != other for one, other in zip(heads, ROLES, strict=True))
    if moved == 0:
        assert isinstance(found, LogReadings)
        assert found.readings.rows == len(ROWS)
    else:
        assert isinstance(found, LogRefusedError)
        if moved == 2:
            assert found.code == "swapped"


@given(st.permutations(ROWS))
def test_rows_in_any_order_are_not_taken_for_swapped_headings(rows: list[tuple[str, int, int]]) -> None:
    """Temperatures that rise row by row through whole rounds are too rare to be a walk's own."""
    found = outcome(log(ROLES, [tuple(row) for row in rows]), unit="C")
    assert not isinstance(found, LogRefusedError) or found.code != "swapped"


def test_rows_sorted_by_temperature_are_read() -> None:
    rows = sorted(ROWS, key=lambda row: row[2])
    found = outcome(log(ROLES, [tuple(row) for row in rows]), unit="C")
    assert isinstance(found, LogReadings)
    assert found.readings.rows == len(ROWS)
