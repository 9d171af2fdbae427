"""Words beside a figure in its cell that leave no doubt of it: "119 (hat)", "119 ok", "ca. 119"."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.aimed import noted_spot
from thermlog.reading.cells import DecimalMark, count_words, measured, shown, tidy
from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.vocabulary import ROUGHLY
from thermlog.words.regular import regular
from thermlog.words.vehicle import FACE_SPOTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.observations import Observations

_FIGURE = r"(?P<figure>[+-]?\d[\d.,]*(?:\s*(?:°|deg|º)?\s?[CFK]\b|\s*°)?)"
_ROUGH = regular(
    rf"{ROUGHLY}\s*{_FIGURE}|{_FIGURE.replace('figure', 'before')}\s*\(?{ROUGHLY}\)?", re.IGNORECASE
)
_BESIDE = regular(rf"{_FIGURE}\s*[,;(\[]?\s*(?P<words>[^\W\d][^?]*)", re.IGNORECASE)
_LONGEST = 60  # characters of a figure and its words


def without_words(seen: Observations, decimal: DecimalMark) -> Observations:
    """The figure alone in each cell of temperatures whose other words do not touch it, with a note.

    They say that it was read roughly, that it is fine, or which face of the brake was read. A question mark,
    two figures, another part of the wheel end and any other word stay, and the reading is set aside.

    Parameters
    ----------
    seen : Observations
    decimal : {".", ","}
    """
    if seen.numbers is not None:
        return seen
    rough: dict[int, str] = {}
    beside: dict[int, str] = {}
    for row, cell in enumerate(seen.temp):
        if cell.isdigit() or len(cell) > _LONGEST or not measured(cell, decimal).problem:
            continue
        if figure := _read_roughly(tidy(cell)):
            rough[row] = figure
        elif figure := _beside_words(tidy(cell)):
            beside[row] = figure
    seen = _shortened(seen, rough, "said to be read roughly, taken as written")
    return _shortened(seen, beside, "taken without the words, which do not touch the figure")


def _shortened(seen: Observations, figures: dict[int, str], what: str) -> Observations:
    if not figures:
        return seen
    first = min(figures)
    many = count_words(len(figures), "reading")
    note = f'{many}, first in line {seen.line[first]} ("{shown(seen.temp[first], 40)}"), {what}'
    temp = [figures.get(row, cell) for row, cell in enumerate(seen.temp)]
    return replace(seen, temp=temp).noting(note)


def _read_roughly(cell: str) -> str:
    """The figure of a cell that says no more than that it is a rough one; else empty."""
    found = _ROUGH.fullmatch(cell)
    return (found["figure"] or found["before"]).strip() if found else ""


def _beside_words(cell: str) -> str:
    """The figure of a cell whose words call it fine, or name a face of the brake; else empty."""
    found = _BESIDE.fullmatch(cell)
    if found is None:
        return ""
    return found["figure"].strip() if _leaves_it(tokens_of(found["words"])) else ""


def _leaves_it(words: Sequence[str]) -> bool:
    if not words:
        return False
    table = cell_words()
    fine = table.fine - table.all_of_them - table.not_asked - table.no_obstacle
    return noted_spot(" ".join(words)) in FACE_SPOTS or fine.issuperset(words)
