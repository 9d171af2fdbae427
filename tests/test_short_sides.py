"""Short and everyday words for a side are a side, or are refused; none becomes a trailer or another wheel.

Own compilation of everyday spelling: common practice, no source.
"""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.reading.positions.resolve import PositionRules, resolve_positions

LEFT = ("lt", "LT", "lft", "lef", "lh", "lhs", "left-hand", "Lt.")
RIGHT = ("rt", "RT", "rgt", "rht", "rght", "rite", "rit", "rh", "rhs", "right-hand", "Rt.")


def axle_and_side(*texts: str) -> list[tuple[int, str]]:
    found = resolve_positions(texts, PositionRules())
    assert not found.problems
    return [(found.known[text].axle, found.known[text].side) for text in texts]


@pytest.mark.parametrize(("word", "side"), [*((w, "L") for w in LEFT), *((w, "R") for w in RIGHT)])
@pytest.mark.parametrize(
    ("pattern", "axle"), [("2 {}", 2), ("{} 2", 2), ("axle 2 {}", 2), ("rear {}", 2), ("{} front", 1)]
)
def test_a_short_word_is_a_side_of_the_axle_beside_it(pattern: str, axle: int, word: str, side: str) -> None:
    other = pattern.format("left" if side == "R" else "right")
    assert axle_and_side(other, pattern.format(word))[1] == (axle, side)


@pytest.mark.parametrize("text", ["2RT", "2LT", "RT2", "LT2"])
def test_written_as_one_word_it_may_be_a_trailer_and_is_refused(text: str) -> None:
    beside = ("L1", "R1") if text[0].isalpha() else ("1L", "1R")
    assert text in resolve_positions([*beside, text], PositionRules()).problems


@pytest.mark.parametrize("word", [*LEFT, *RIGHT, "ri", "gt", "dt", "rte", "lte", "lta", "drt", "gch", "dcha"])
@pytest.mark.parametrize("pattern", ["2 {}", "2{}", "{} 2", "{}2", "rear {}", "{}"])
def test_no_short_word_makes_a_trailer(pattern: str, word: str) -> None:
    known = resolve_positions(["1L", "1R", "2L", "2R", "L1", pattern.format(word)], PositionRules()).known
    assert max(position.axle for position in known.values()) <= 2


@pytest.mark.parametrize(
    ("text", "axle"),
    [
        ("T1L", 3),
        ("trailer 1 lt", 3),
        ("rt trailer 2", 4),
        ("TRL 2 rt", 4),
        ("1L trailer", 3),
        ("T 2 rite", 4),
    ],
)
def test_a_trailer_stays_one(text: str, axle: int) -> None:
    assert axle_and_side("1L", "1R", "2L", "2R", text)[-1][0] == axle


@pytest.mark.parametrize(
    "table",
    [
        "time_s,position,temp_c\n0,1 left,82\n9,1 right,82\n19,2 left,59\n29,2 rt,107\n",
        "time_s,axle,side,temp_c\n0,1,left,82\n9,1,right,82\n19,2,left,59\n29,2,rite,107\n",
        "time_s,axle,side,temp_c\n0,front,lt,82\n9,front,rt,82\n19,rear,lft,59\n29,rear,rgt,107\n",
        "time_s,1 lt C,1 rt C,2 lt C,2 rt C\n0,82,82,59,107\n",
        "position,0 s,60 s\n1 lt,82 C,70 C\n1 rt,82 C,70 C\n2 lt,59 C,50 C\n2 rt,107 C,90 C\n",
    ],
)
def test_in_every_layout(table: str) -> None:
    found = read(table).readings
    hottest = int(found.indicated_degc.argmax())
    assert (found.axle[hottest], found.side[hottest]) == (2, 1)
    assert found.axle.max() == 2
