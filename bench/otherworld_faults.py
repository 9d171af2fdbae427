"""Faults of the second simulator: what is planted where, at a place of one's choice or at random."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from otherworld_kinds import Kind

from thermlog.words.vehicle import SIDES, corner_name, split_corner

Array = np.ndarray[Any, np.dtype[Any]]

HOT = ("corner_hot", "axle_hot", "diagonal_hot", "all_hot")
COLD = ("corner_cold", "axle_cold")
FAULTS = ("none", *HOT, *COLD, "hub_hot")
DRAG_NM = (5.0, 80.0)  # light brakes, log-uniform; heavy ones three times that
LOST = (0.5, 1.0)
HUB_W = (80.0, 500.0)


class Fault(Struct, frozen=True, kw_only=True, eq=False):
    """What is wrong; arrays (vehicles, corners) unless said otherwise.

    `odd` marks the corners, `drag_nm` is what they hold back besides the healthy drag, `lost` the part of
    their braking that is missing, `hub_w` the heat of a bearing at 50 km/h. `late` (vehicles,) is the part of
    the drive that is over before a drag begins, `made_up` (vehicles,) how much of lost braking others do.
    """

    odd: Array
    drag_nm: Array
    lost: Array
    hub_w: Array
    late: Array
    made_up: Array

    def without(self) -> Fault:
        """The same vehicles in health."""
        nothing = np.zeros_like(self.drag_nm)
        return Fault(
            odd=np.zeros_like(self.odd),
            drag_nm=nothing,
            lost=nothing,
            hub_w=nothing,
            late=self.late,
            made_up=self.made_up,
        )


def plant(
    kind: Kind, fault: str, severity: float | Array | None, count: int, rng: np.random.Generator
) -> Fault:
    """One fault for each vehicle.

    Parameters
    ----------
    fault : str
        One of `FAULTS`; a place may follow: ``"corner_hot@2L"``, ``"axle_cold@1"``, ``"diagonal_hot@1R"``.
    severity : float, array (vehicles,) or None
        Drag of each hot brake [N·m], part of its braking that a cold one lost, heat of a bearing [W];
        None: random.
    """
    name, _, place = fault.partition("@")
    if name not in FAULTS:
        msg = f"no such fault: {name!r}; write one of {', '.join(FAULTS)}"
        raise ValueError(msg)
    odd = _places(kind, name, place, count, rng)
    size = _severity(kind, name, count, rng) if severity is None else np.broadcast_to(severity, count)
    each = odd * size[:, None]
    if name in {"axle_hot", "diagonal_hot", "all_hot"}:  # one cause, yet no two brakes answer alike
        each = each * np.exp(rng.normal(0.0, 0.12, each.shape))
    nothing = np.zeros(each.shape)
    late = np.where(rng.random(count) < 0.25, rng.uniform(0.0, 0.6, count), 0.0)
    return Fault(
        odd=odd,
        drag_nm=each if name in HOT else nothing,
        lost=np.clip(each, 0.0, 1.0) if name in COLD else nothing,
        hub_w=each if name == "hub_hot" else nothing,
        late=late,
        made_up=rng.uniform(0.4, 1.0, count),
    )


def odd_corners(odd: Array) -> list[tuple[str, ...]]:
    """Codes of the marked corners of each vehicle."""
    codes = [corner_name(axle + 1, side) for axle in range(odd.shape[1] // 2) for side in SIDES]
    return [tuple(code for code, marked in zip(codes, row, strict=True) if marked) for row in odd]


def column_of(corner: str) -> int:
    """Column of a corner: 1L is 0, 1R is 1, 2L is 2."""
    axle, side = split_corner(corner)
    return 2 * (axle - 1) + (side == "R")


def _severity(kind: Kind, name: str, count: int, rng: np.random.Generator) -> Array:
    if name in COLD:
        return rng.uniform(*LOST, count)
    low, high = HUB_W if name == "hub_hot" else DRAG_NM
    return np.exp(rng.uniform(np.log(low), np.log(high), count)) * kind.heavy_factor


def _places(kind: Kind, name: str, place: str, count: int, rng: np.random.Generator) -> Array:
    """Which corners are odd, (vehicles, corners)."""
    corners = np.arange(kind.corners)
    if name == "none":
        return np.zeros((count, kind.corners), dtype=bool)
    if name == "all_hot":
        return np.ones((count, kind.corners), dtype=bool)
    if name.startswith("axle"):
        axle = int(place) - 1 if place else rng.integers(0, len(kind.axles), count)
        return np.broadcast_to(corners // 2 == np.reshape(axle, (-1, 1)), (count, kind.corners)).copy()
    if name == "diagonal_hot":
        if len(kind.axles) != 2:
            msg = "diagonal_hot: only vehicles with two axles have a diagonal"
            raise ValueError(msg)
        left = (place in {"1L", "2R"}) if place else rng.random(count) < 0.5
        first = np.where(np.reshape(left, (-1, 1)), 0, 1)
        return np.broadcast_to((corners == first) | (corners == 3 - first), (count, 4)).copy()
    chosen = column_of(place) if place else rng.integers(0, kind.corners, count)
    return np.broadcast_to(corners == np.reshape(chosen, (-1, 1)), (count, kind.corners)).copy()
