"""What a vehicle that cannot be told lacks, and what supplies it: a drive, the gun, the log, or hands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from thermlog.advice.doing import doing
from thermlog.words.bounds import CornerName, NotNegative

if TYPE_CHECKING:
    from thermlog.fleet.workrow import FleetRow

By: TypeAlias = Literal["drive", "gun", "log", "hands"]
When: TypeAlias = Literal["any_time", "tonight", "once_cold"]
Load: TypeAlias = Literal["loaded", "as_it_is"]
_BY_TOOL: dict[str, By] = {"driver": "drive", "gun": "gun", "log": "log"}  # the first that a step takes tells


class Again(Struct, frozen=True, kw_only=True):
    """What is missing before a vehicle can be told, and what supplies it.

    Attributes
    ----------
    by : {"drive", "gun", "log", "hands"}
        What supplies it: another drive, readings alone, a line in the log, or work at the wheel.
    corners : tuple of str
        Where it is missing; empty for the whole vehicle.
    have_k, needed_k, missing_k : float or None
        Heat above the air that there was, that is needed, and that is missing [K]; null where heat is not
        what is missing.
    stops : float or None
        Stops of the drive to make.
    from_kmh : float or None
        From what speed [km/h].
    load : {"loaded", "as_it_is"} or None
        How the vehicle is driven; null where it is not.
    when : {"any_time", "tonight", "once_cold"}
        A log is mended at any time; what drives or reads is for tonight; hands and paint wait until it has
        cooled.
    """

    by: By
    corners: tuple[CornerName, ...]
    have_k: float | None
    needed_k: NotNegative | None
    missing_k: NotNegative | None
    stops: NotNegative | None
    from_kmh: NotNegative | None
    load: Load | None
    when: When


def again_of(row: FleetRow) -> Again | None:
    """What a line of the group "again" lacks; None for every other line.

    Parameters
    ----------
    row : FleetRow
    """
    if row.group != "again":
        return None
    step = row.decides
    by = supplied_by(step.code if step is not None else row.errand.id if row.errand is not None else "")
    heat = next((one for one in row.cannot_tell if one.code == "not_enough_heat"), None)
    have_k = None if heat is None else heat.numbers.get("warmest_k")
    needed_k = None if heat is None else heat.numbers.get("needed_k")
    numbers = {} if step is None else step.numbers
    driven = by == "drive"
    loaded = step is not None and step.code == "drive_loaded"
    return Again(
        by=by,
        corners=_corners(row),
        have_k=have_k,
        needed_k=needed_k,
        missing_k=None if have_k is None or needed_k is None else max(needed_k - have_k, 0.0),
        stops=numbers.get("stops") if driven else None,
        from_kmh=numbers.get("from_kmh") if driven else None,
        load=("loaded" if loaded else "as_it_is") if driven else None,
        when=_when(by, step is not None and step.code == "mark_and_read"),
    )


def supplied_by(code: str) -> By:
    """What supplies what a step asks for: a drive, a line in the log, hands, or the gun alone."""
    step = doing().step(code)
    tools = ("gun",) if step is None else step.tools
    return next((by for tool, by in _BY_TOOL.items() if tool in tools), "hands")


def _when(by: By, painted: bool) -> When:  # noqa: FBT001 - one flag of one private step
    if by == "log":
        return "any_time"
    return "once_cold" if by == "hands" or painted else "tonight"


def _corners(row: FleetRow) -> tuple[str, ...]:
    """Where something is missing: what stands in the way of the first question that is open."""
    named = (one.corners for one in row.cannot_tell if one.corners)
    return next(named, ())
