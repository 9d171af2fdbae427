"""A trailer with one axle: who reads it writes left and right, for there is no other axle to name."""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.words.errors import LogRefusedError

ROWS = "time_s,position,temp_c\n0,{0},61.0\n12,{1},62.9\n180,{0},57.0\n192,{1},58.5\n"


@pytest.mark.parametrize("line", ["# axles: trailer", "# axles: 1", "# axles: axle"])
@pytest.mark.parametrize(
    "sides", [("L", "R"), ("left", "right"), ("links", "rechts"), ("left wheel", "right wheel"), ("LH", "RH")]
)
def test_sides_are_wheels_of_the_only_axle_that_is_stated(line, sides):
    found = read(f"{line}\n# ambient: 18 C\n" + ROWS.format(*sides))

    wheels = zip(found.readings.axle.tolist(), found.readings.side.tolist(), strict=True)
    assert list(wheels) == [(1, 0), (1, 1), (1, 0), (1, 1)]


def test_a_hub_beside_its_side_stays_a_hub():
    found = read("# axles: trailer\n# ambient: 18 C\n" + ROWS.format("left hub", "right hub"))

    assert set(found.readings.frame()["spot"]) == {"hub"}


@pytest.mark.parametrize(
    "line", ["# axles: trailer trailer", "# axles: 2", "# vehicle: trailer 7", "# axles: ?"]
)
def test_of_two_axles_or_none_stated_a_side_alone_is_refused(line):
    with pytest.raises(LogRefusedError) as refusal:
        read(f"{line}\n# ambient: 18 C\n" + ROWS.format("L", "R"))
    assert refusal.value.code == "unclear_wheel"


def test_a_side_beside_words_for_axles_is_none_of_the_only_axle():
    """Who writes 1L for one reading means an axle by it, and R may be anything."""
    found = read("# axles: trailer\n# ambient: 18 C\n" + ROWS.format("1L", "R"))

    assert {one.code for one in found.readings.cases[0].blind} == {"unknown_wheel"}
