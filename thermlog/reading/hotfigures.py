"""Figures of a log that nobody could read: those that stop a vehicle wherever the times and wheels are."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reading.cells import measured, tidy
from thermlog.reading.headings import part_named, read_heading
from thermlog.reading.positions.resolve import looks_like_position, spot_of
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.remarks.heatsaid import heat_said
from thermlog.words.units import to_degc
from thermlog.words.unread import UnreadDanger
from thermlog.words.vehicle import HUB_SPOT, TYRE_SPOTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from thermlog.words.policy import ReadingLimits
    from thermlog.words.units import Unit
    from thermlog.words.vehicle import Spot

_RIM: Spot = "rim"
_TABLE = frozenset({"time", "temperature", "position", "axle", "wheel"})
_TEMPERATURES = frozenset({"temperature", "wheel"})
_FEWEST_HEADS = 2
_LONGEST_HEADING = 2  # words of one that stands alone for a wheel, as "wheel position"


class UnreadLine(Struct, frozen=True, kw_only=True):
    """One line of a refused log, with its number and its cells."""

    number: int
    text: str
    cells: tuple[str, ...]

    @property
    def heads(self) -> bool:
        """True for a line of headings: a column may be called smoke, and says nothing by it.

        One wheel alone heads nothing, nor does a sentence with a word for one: something is said of it.
        """
        filled = [cell for cell in map(tidy, self.cells) if cell]
        told = [(role, cell) for cell in filled if (role := read_heading(cell).role) in _TABLE]
        figures = any(cell[0].isdigit() for cell in filled)
        alone = len(told) == 1 and (told[0][0] == "wheel" or len(told[0][1].split()) > _LONGEST_HEADING)
        return len(filled) >= _FEWEST_HEADS and bool(told) and not alone and not figures


class _Column(Struct, frozen=True, kw_only=True):
    name: str
    index: int
    unit: Unit | None
    wheel: bool


def hot_figures(
    lines: Sequence[UnreadLine], comments: Iterable[tuple[int, str]], unit: Unit | None, limits: ReadingLimits
) -> Iterator[UnreadDanger]:
    """Temperatures beyond the line of their part: each that a remark states, the hottest of all columns.

    Parameters
    ----------
    lines : sequence of UnreadLine
        Without comments.
    comments : iterable of (int, str)
        Lines of remarks with their numbers.
    unit : {"C", "F", "K"}, optional
        Stated for all; where nobody states one they are °C, in which they are hottest.
    limits : ReadingLimits
    """
    said = [*comments, *((one.number, cell) for one in lines for cell in one.cells)]
    for number, text in said:
        figures = ((figure, own or unit or "C") for figure, own in heat_said(text))
        if any(_excess_k(text, figure, own, limits) >= 0 for figure, own in figures):
            yield UnreadDanger(line=number, said=text)
    hottest = max(_cells(lines, unit, limits), key=lambda one: one[0], default=None)
    if hottest is not None and hottest[0] >= 0:
        yield hottest[1]


def _cells(
    lines: Iterable[UnreadLine], unit: Unit | None, limits: ReadingLimits
) -> Iterator[tuple[float, UnreadDanger]]:
    """Cells in columns of temperatures, each with how far it is beyond its line [K]."""
    columns: list[_Column] = []
    for one in lines:
        if one.heads:
            columns = list(_temperatures(one.cells))
            continue
        for column in columns:
            cell = one.cells[column.index] if column.index < len(one.cells) else ""
            found = measured(cell, "," if "," in cell else ".")
            if found.problem or not math.isfinite(found.value):
                continue
            beside = [text for k, text in enumerate(one.cells) if k != column.index]
            where = " ".join((column.name, *beside))
            excess_k = _excess_k(where, found.value, found.unit or column.unit or unit or "C", limits)
            wheel = column.name if column.wheel else next(filter(looks_like_position, beside), "")
            yield excess_k, UnreadDanger(line=one.number, said=f"{wheel.strip()} {cell.strip()}".strip())


def _temperatures(heads: Sequence[str]) -> Iterator[_Column]:
    for index, name in enumerate(heads):
        head = read_heading(name)
        if head.role in _TEMPERATURES or part_named(name) is not None:
            yield _Column(name=name, index=index, unit=head.unit, wheel=head.role == "wheel")


def _excess_k(where: str, figure: float, unit: Unit, limits: ReadingLimits) -> float:
    """How far a figure lies beyond the line of the part that words beside it name [K]."""
    degc = float(to_degc(figure, unit))
    if not math.isfinite(degc) or degc > limits.highest_reading_degc:
        return -math.inf
    words = tokens_of(where)
    spots = {*map(spot_of, words), *(spot_of(" ".join(two)) for two in pairwise(words))}
    if not spots.isdisjoint(TYRE_SPOTS):
        return degc - limits.urgent_tyre_degc
    if HUB_SPOT in spots:
        return degc - limits.urgent_hub_degc
    return degc - (limits.urgent_rim_degc if _RIM in spots else limits.urgent_brake_degc)
