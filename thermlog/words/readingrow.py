"""Readings one by one as plain values, as records and results hold them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct

from thermlog.words.bounds import CornerName
from thermlog.words.vehicle import SPOTS, Spot

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.words.tables import Readings

_Row = TypeVar("_Row", bound="ReadingRow")


class ReadingRow(Struct, frozen=True, kw_only=True):
    """One reading.

    Attributes
    ----------
    line : int
        In the file.
    corner : str
        Axle number from the front and side.
    spot : Spot
        What was aimed at.
    elapsed_s : float or None
        Since the wheels stopped, or on the log's own clock [s]; null in a log without times.
    indicated_degc : float
        What the gun showed [°C].
    """

    line: int
    corner: CornerName
    spot: Spot
    elapsed_s: float | None
    indicated_degc: float


def readings_as(kind: type[_Row], table: Readings) -> Iterator[_Row]:
    """Every reading of a table, as records of one kind."""
    for row, elapsed_s in enumerate(table.elapsed_s.tolist()):
        yield kind(
            line=int(table.line[row]),
            corner=table.corner(row),
            spot=SPOTS[table.spot[row]],
            elapsed_s=None if math.isnan(elapsed_s) else elapsed_s,
            indicated_degc=float(table.indicated_degc[row]),
        )
