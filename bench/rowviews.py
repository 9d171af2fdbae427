"""Axles and sides as views of the digest's rows, in place of the records that the answers read."""

from __future__ import annotations

from collections.abc import Callable
from types import FunctionType
from typing import Any

from msgspec import Struct

from thermlog.fitting.fit import RISING, STANDING
from thermlog.judging.axlenumbers import AxleNumbers, SideNumbers
from thermlog.judging.digest import Digest


def column(name: str, of: Callable[[Any], Any] | None = None) -> Any:
    """A property that reads one side of a column of the digest."""

    def plain(row: SideView) -> Any:
        return getattr(row.told, name)[row.side][row.pair]

    def made(row: SideView) -> Any:
        return of(getattr(row.told, name)[row.side][row.pair]) if of else None

    return property(made if of else plain)


class SideView(Struct, frozen=True):
    """One side of an axle: what `axlenumbers.SideNumbers` copies."""

    told: Digest
    pair: int
    side: int

    corner = column("corner")
    rise_k = column("rise_k")
    least_k = column("least_k")
    most_k = column("most_k")
    p_hot = column("p_hot", lambda p: p or 0.0)
    p_cold = column("p_cold", lambda p: p or 0.0)
    readings = column("readings")
    used = column("used")
    first_s = column("first_s")
    rising = column("state", lambda state: state == RISING)
    standing = column("state", lambda state: state == STANDING)
    unchanged = column("unchanged")
    in_doubt = column("in_doubt")
    tau_s = column("tau_s", lambda tau_s: None if tau_s is None else tau_s.value)
    hottest_degc = column("hottest_degc")
    coldest_degc = column("coldest_degc")
    usual = column("usual")


class AxleView(Struct, frozen=True):
    """An axle: what `axlenumbers.AxleNumbers` copies, with its methods."""

    told: Digest
    pair: int
    left: SideView
    right: SideView

    axle = property(lambda row: row.told.axle[row.pair])
    difference_k = property(lambda row: row.told.difference_k[row.pair])
    ratio = property(lambda row: row.told.ratio[row.pair])
    skin_fraction = property(lambda row: row.told.skin_fraction[row.pair])
    surface_known = property(lambda row: row.told.surface_known[row.pair])
    log_tau_sigmas = property(lambda row: row.told.log_tau_sigmas[row.pair] or 0.0)


for view, record in ((SideView, SideNumbers), (AxleView, AxleNumbers)):
    for name, member in vars(record).items():
        if isinstance(member, (property, FunctionType)) and not name.startswith("_"):
            setattr(view, name, member)


def axle_view(told: Digest, pair: int) -> AxleView:
    """What `axlenumbers.axle_numbers` gives, without a copy."""
    sides = (SideView(told, pair, side) for side in (0, 1))
    return AxleView(told, pair, *sides)
