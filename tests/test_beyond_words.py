"""Cells that say a wheel was too hot, or beyond the gun's range: it may be the hottest wheel.

Words of languages other than English: from memory, not checked.
"""

from __future__ import annotations

import pytest
from readcases import PLAIN, read

from thermlog.reading.cells import beyond_figure, measured


def told(cell: str) -> list[tuple[str, str | None, float | None]]:
    found = read(f"{PLAIN}60,RR,{cell}\n")
    return [(one.code, one.corner, one.value_degc) for one in found.readings.cases[0].blind]


@pytest.mark.parametrize(
    "cell",
    [
        "too hot",
        "Too hot!",
        "too hot to touch",
        "way too hot",
        "very hot",
        "burning hot",
        "could not hold hand",
        "couldn't hold hand on it",
        "can't touch",
        "zu heiß",
        "viel zu heiß",
        "sehr heiss",
        "trop chaud",
        "brûlant",
        "très chaud",
        "demasiado caliente",
        "muito quente",
        "troppo caldo",
        "te heet",
        "for varm",
        "för het",
        "za gorący",
        "příliš horké",
        "OL",
        "o/r",
        "O.R.",
        "OL °C",
        "OVER",
    ],
)
def test_too_hot_in_words_is_above_the_range(cell: str) -> None:
    assert told(cell) == [("over_range", "2R", None)]
    assert not read(f"{PLAIN}60,RR,{cell}\n").readings.cases[0].seen


@pytest.mark.parametrize(
    ("cell", "degc"),
    [
        ("450+", 450),
        ("500+", 500),
        ("450 +", 450),
        ("500+ C", 500),
        ("842 F+", 450),
        (">450", 450),
        (">=450", 450),
        ("over 450", 450),
        ("über 450", 450),
        ("ueber 450 °C", 450),
        ("plus de 450", 450),
        ("más de 450", 450),
        ("oltre 450", 450),
        ("meer dan 450", 450),
        ("450 or more", 450),
        ("450 plus", 450),
        ("450 oder mehr", 450),
        ("ponad 450", 450),
        ("přes 450", 450),
        ("more than 842 F", 450),
    ],
)
def test_more_than_a_figure_is_above_the_range(cell: str, degc: float) -> None:
    assert told(cell) == [("over_range", "2R", pytest.approx(degc))]


@pytest.mark.parametrize(
    "cell", ["-OL", "- OL", "−OL", "-O.L", "-OVER", "LO", "<20", "under 20", "unter 20 °C"]
)
def test_below_the_range_is_never_above_it(cell: str) -> None:
    assert [code for code, _, _ in told(cell)] == ["under_range"]


@pytest.mark.parametrize("cell", ["##", "####", "#######"])
def test_a_cell_too_narrow_is_a_reading_lost(cell: str) -> None:
    assert told(cell) == [("unread_cell", "2R", None)]
    assert "too narrow" in str(measured(cell).problem)


@pytest.mark.parametrize("cell", ["57", "57.5", "57 C", "57 ± 2 C", "+57", "-5", "6.1e1"])
def test_a_figure_stays_one(cell: str) -> None:
    assert measured(cell).problem is None
    assert beyond_figure(cell) == ""


@pytest.mark.parametrize("cell", ["not too hot", "hot", "warm", "cold"])
def test_other_words_are_no_mark(cell: str) -> None:
    """A word for heat in place of a figure is what a hand felt; none is a gun beyond its range."""
    assert [code for code, _, _ in told(cell)] in (["unread_cell"], ["no_value"], ["felt_hot"])
