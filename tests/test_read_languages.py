"""One log a language: every corner in words and in codes, four spots, air, time and its unit, all alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from readcases import read, rows

from thermlog.reading.positions.words import word_table
from thermlog.words.vehicle import SPOTS

FILES = sorted((Path(__file__).parent / "data" / "languages").glob("*.csv"))
DEGC = (85.5, 84.0, 61.5, 92.0, 80.0, 79.0, 58.0, 86.0)
CORNERS = ("1L", "1R", "2L", "2R") * 2
TIMES_S = (0, 12, 24, 36, 240, 252, 264, 276)
ROWS = list(zip(TIMES_S, CORNERS, DEGC, strict=True))


def test_every_language_has_its_file() -> None:
    assert {file.stem for file in FILES} == {*word_table().languages, "english"}


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_log_of_each_language_says_the_same(file: Path) -> None:
    found = read(file.read_bytes())
    assert rows(found) == [(pytest.approx(t), corner, degc) for t, corner, degc in ROWS]
    assert [SPOTS[k] for k in found.readings.spot.tolist()] == ["rotor_outer", "drum", "hub", "rim"] * 2
    case = found.readings.cases[0]
    assert (case.ambient_degc, case.vehicle, case.impossible_pace) == (18.0, "A", ())
    assert found.record.set_aside == ()
