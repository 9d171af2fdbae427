"""Parts beside the brakes, or other spots of them, that stand far above what they are compared with."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.words.bounds import CornerName
from thermlog.words.vehicle import Spot

Above: TypeAlias = Literal["mate", "others", "brake"]
SPOT_NAMES: dict[Spot, str] = {
    "brake": "brake", "rotor_outer": "outer face", "rotor_inner": "inner face", "hat": "hat", "drum": "drum",
    "caliper": "caliper", "hub": "hub", "rim": "rim", "tyre_inner": "inner tyre", "tyre_outer": "tyre",
}  # fmt: skip


class PartAbove(Struct, frozen=True, kw_only=True):
    """One spot that the brake beside it does not explain; it is under the line that stops the vehicle.

    Attributes
    ----------
    corner : str
        Axle number from the front and the vehicle's own side.
    spot : Spot
        What was aimed at.
    over : {"mate", "others", "brake"}
        What it is above: the same spot of the other side, or of the other axles, or its own wheel's brake.
    difference_k : float
        By how much [K].
    mark_k : float
        The mark of the policy from which it is watched [K].
    """

    corner: CornerName
    spot: Spot
    over: Above
    difference_k: float
    mark_k: float
