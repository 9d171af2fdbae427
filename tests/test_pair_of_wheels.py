"""Inner and outer beside a wheel are taken as wheels of a pair with one brake, and a note says so."""

from __future__ import annotations

import pytest
from readcases import read

ROWS = "time_s,position,temp_c\n15,1L,86\n29,2L {0},100\n78,2R {0},99\n92,1R,84\n"


def notes(dual: str) -> list[str]:
    log = f"# ambient: 16 C\n{ROWS.format(dual)}"
    return [one for one in read(log).record.notes if "one wheel of a pair" in one]


@pytest.mark.parametrize("dual", ["outer", "inner"])
def test_a_note_says_how_a_wheel_of_a_pair_was_taken(dual: str) -> None:
    told = notes(dual)

    assert len(told) == 1
    assert f'"{dual} tyre"' in told[0]


@pytest.mark.parametrize("spot", ["", "outer face", "outer tyre", "inner tyre", "drum"])
def test_a_spot_that_is_named_needs_none(spot: str) -> None:
    assert notes(spot) == []


def test_the_cure_of_the_note_is_understood() -> None:
    readings = read(f"# ambient: 16 C\n{ROWS.format('outer tyre')}").readings

    assert sorted(set(readings.spot.tolist())) != [0]
