"""What stands between a log and an all-clear: wheels that were not read, or not so that they can be judged."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from thermlog.judging.axlenumbers import AxleNumbers, SideNumbers
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.tables import Blind, Case
from thermlog.words.vehicle import SIDES, Vehicle, corner_name


class Sight(Struct, frozen=True, kw_only=True):
    """Reasons why something cannot be cleared.

    Attributes
    ----------
    corners : dict of str to Reason
        Corners that the log, the description or the other axles imply, and that cannot be judged.
    whole : tuple of Reason
        What keeps the whole vehicle from being judged, or from being cleared.
    blocks_all : bool
        True if nothing can be judged at all.
    """

    corners: dict[str, Reason]
    whole: tuple[Reason, ...]
    blocks_all: bool

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """All of them: first what concerns everything, then corners with the same reason together."""
        return (*self.whole, *_joined(self.corners))


def sight_of(case: Case, vehicle: Vehicle, axles: Mapping[int, AxleNumbers]) -> Sight:
    """What cannot be cleared, and why.

    Parameters
    ----------
    case : Case
    vehicle : Vehicle
        As judged with: stated, or from the positions alone.
    axles : mapping of int to AxleNumbers
        Axles with a brake that was read.

    Returns
    -------
    Sight
    """
    blind = _by_corner(case.blind)
    highest = max([len(vehicle.axles), *axles, *(int(corner[:-1]) for corner in blind)], default=0)
    corners: dict[str, Reason] = {}
    for number in range(1, highest + 1):
        if vehicle.stated and vehicle.axle(number).lifted:
            continue
        for side in SIDES:
            corner = corner_name(number, side)
            if reason := _unjudged(corner, axles.get(number), blind.get(corner, [])):
                corners[corner] = reason
    strange = tuple(
        Reason(code="unknown_wheel", numbers={"line": float(one.line)}, quoted=one.quoted)
        for one in case.blind
        if one.corner is None
    )
    no_air = () if case.ambient_degc is not None else (Reason(code="no_ambient"),)
    none = () if axles else (Reason(code="no_brake_read"),)
    return Sight(corners=corners, whole=(*no_air, *none, *strange), blocks_all=bool(no_air or none))


def _by_corner(blind: tuple[Blind, ...]) -> dict[str, list[Blind]]:
    found: dict[str, list[Blind]] = {}
    for one in blind:
        if one.corner is not None:
            found.setdefault(one.corner, []).append(one)
    return found


def _unjudged(corner: str, numbers: AxleNumbers | None, blind: list[Blind]) -> Reason | None:
    """Why a corner cannot be judged; a reading above the gun's range counts whatever else was read there."""
    over = next((one for one in blind if one.code == "over_range"), None)
    if over is not None:
        return _of_blind(over, corner)
    side = None if numbers is None else numbers.side(corner)
    if side is not None and side.readings and (code := _unfitted(side)):
        return Reason(code=code, corners=(corner,))
    if side is None or side.used == 0:
        return _of_blind(blind[0], corner) if blind else Reason(code="not_read", corners=(corner,))
    return None


def _of_blind(one: Blind, corner: str) -> Reason:
    code: ReasonCode = one.code
    return Reason(code=code, corners=(corner,), numbers={"line": float(one.line)}, quoted=one.quoted)


def _unfitted(side: SideNumbers) -> ReasonCode | None:
    """Why a corner with readings has no curve to be judged by."""
    if side.rising:
        return "rising"
    if side.standing or side.unchanged:
        return "held"
    return "no_times" if side.used == 0 else None


_TOGETHER = frozenset({"not_read", "rising", "held", "no_times"})


def _joined(corners: dict[str, Reason]) -> list[Reason]:
    """Corners with one and the same reason in one."""
    found: list[Reason] = []
    for reason in corners.values():
        same = next((k for k, one in enumerate(found) if one.code == reason.code), None)
        if same is None or reason.code not in _TOGETHER:
            found.append(reason)
        else:
            found[same] = Reason(code=reason.code, corners=(*found[same].corners, *reason.corners))
    return found
