"""Axle numbers of positions: words before and behind, trailers, roles, duals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from positioncases import corners

from thermlog.reading.positions.axles import number_axles
from thermlog.reading.positions.resolve import (
    PositionRules,
    resolve_positions,
)
from thermlog.reading.positions.words import Meaning

SIDE_TEXTS = {
    "L": ("L", "LH", "LEFT", "links", "li", "left"),
    "R": ("R", "RH", "RIGHT", "rechts", "re", "right"),
}


@given(
    axle=st.integers(1, 9),
    side=st.sampled_from("LR"),
    prefix=st.sampled_from(["", "A", "AX", "axle ", "Axle-", "E", "Achse ", "essieu ", "eje "]),
    data=st.data(),
)
def test_axle_and_side(axle, side, prefix, data):
    """A number from 1 to 9, before or behind it an axle word, then the side in any of its words."""
    word = data.draw(st.sampled_from(SIDE_TEXTS[side]))
    assert corners([f"{prefix}{axle} {word}"]) == f"{axle}{side}"
    assert corners([f"{prefix}{axle}{word}"]) == f"{axle}{side}"


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        ("L1 R1 L2 R2", "1L 1R 2L 2R"),
        ("R1 R2", "? ?"),
        ("1L R1", "1L ?"),
        ("1G 1D 2D", "1L 1R 2R"),
        ("1D 2D", "? ?"),
        ("D1", "?"),
        ("TL T-R", "? ?"),
        (["2nd axle, left", "right axle 3", "3RD AXLE R"], "2L 3R 3R"),
        (["front axle left", "Vorderachse rechts", "Hinterachse links"], "1L 1R 2L"),
        (["Levé přední", "zadní levé"], "1L 2L"),
        ("12L 20R 21L 0L", "12L 20R ? ?"),
        (["FL", "FR", "RL", "3L"], "1L 1R ? 3L"),
        ("FL FR 2L 2R", "1L 1R 2L 2R"),
        (["rear axle 2 left"], "?"),
        ("1 2 18", "? ? ?"),
        ("N S NE", "? ? ?"),
        ("L R F LH AR xyz FLRR", "? ? ? ? ? ? ?"),
        (["", "FL/FR", "front", "left", "axle 3"], "? ? ? ? ?"),
        (["driver 1", "3.5"], "? ?"),
        ("L/F L/R", "1L 2L"),
    ],
)
def test_axle_numbers_and_refusals(texts, expected):
    """Own cases, worked by hand."""
    assert corners(texts) == expected


@pytest.mark.parametrize(
    ("texts", "rules", "expected"),
    [
        ("1L 2L 3L T1L T2R", {}, "1L 2L 3L 4L 5R"),
        ("1L 2L 3L T4L T5R", {}, "1L 2L 3L 4L 5R"),
        ("1L 2L 3L T5L T6R", {}, "1L 2L 3L ? ?"),
        ("1L 2L 3L T5L T6R", {"axle_count": "combined"}, "1L 2L 3L 5L 6R"),
        ("1L 2L 3L T5L T6R", {"axle_count": "per_unit"}, "1L 2L 3L 8L 9R"),
        ("1L 2L 3L T1L", {"axle_count": "combined"}, "1L 2L 3L ?"),
        ("1L T2L", {}, "1L 3L"),
        ("FL FR RL RR T1L", {}, "1L 1R 2L 2R 3L"),
        ("T1L T1R T2L", {}, "1L 1R 2L"),
        ("TR1L TRL1L", {}, "1L 2L"),
        ("TR1L TR1R", {}, "? ?"),
        (["tractor 1 left", "dolly 1 left", "trailer 1 left"], {}, "1L 2L 3L"),
        (["steer left", "drive left", "trailer left"], {}, "1L 2L 3L"),
        (["steer left", "drive front left", "drive rear left", "T1L"], {}, "1L 2L 3L 4L"),
        (["drive 1 left", "drive 2 right", "tag left"], {}, "2L 3R 4L"),
        (["FL", "drive left"], {}, "1L 2L"),
        (["1L", "drive left", "steer right"], {}, "1L ? 1R"),
        (["drive left", "drive 2 left"], {}, "? ?"),
        (["lift left", "lift axle 3 left"], {}, "? 3L"),
        (["trailer left", "T1R"], {}, "? 1R"),
        (["truck left"], {}, "?"),
    ],
)
def test_combinations(texts, rules, expected):
    """Trailer axles counted through or per unit, roles in their order; own cases, worked by hand."""
    assert corners(texts, **rules) == expected


def test_a_stated_language_supports_its_letters():
    """Droite, derecha, destra and direita are all right."""
    assert corners("1D 2D", language="french") == "1R 2R"


def test_how_axles_were_counted_is_said():
    """In the notes, with the reason."""
    read = resolve_positions(["1L", "2L", "T1L"], PositionRules())
    assert "trailer axles are counted from 1 in their own unit: they cannot be that far" in read.notes[0]
    assert "drive = 2" in resolve_positions(["FL", "drive left"], PositionRules()).notes[0]


@given(
    st.lists(st.tuples(st.integers(1, 5), st.sampled_from(["", "trailer"])), min_size=1),
    st.sampled_from(["combined", "per_unit"]),
)
def test_every_axle_is_numbered_or_named(items, how):
    """Trailer axles never come out before the tractor's."""
    meanings = {str(i): Meaning(axle=axle, unit=unit, side="left") for i, (axle, unit) in enumerate(items)}
    numbers = number_axles(meanings, axle_count=how)
    assert numbers.axles.keys() | numbers.problems.keys() == meanings.keys()
    assert not numbers.axles.keys() & numbers.problems.keys()
    ahead = max((axle for axle, unit in items if not unit), default=0)
    assert all(numbers.axles[t] > ahead for t, m in meanings.items() if m.unit and t in numbers.axles)


def test_duals_share_one_brake():
    """Inner and outer are one wheel end; the note says so, the spot stays open without a tyre word."""
    texts = ["3LO", "3LI", "axle 3 left outer", "3RI", "3R outer tyre"]
    read = resolve_positions(texts, PositionRules())
    assert corners(texts) == "3L 3L 3L 3R 3R"
    assert [read.known[t].spot for t in texts] == [None, None, None, None, "tyre_outer"]
    assert all("share one brake" in (read.known[t].note or "") for t in texts[:4])
    assert corners("1LI 1RE") == "1L 1R"
    assert resolve_positions(["1LI", "1RE"], PositionRules()).known["1LI"].note is None
