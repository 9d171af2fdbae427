"""Whether brakes were read so that what became of them can be told: twice, and where they were before."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.followup.troubles import seen_well
from thermlog.words.findings import Diagnosis
from thermlog.words.parts import SPOT_NAMES
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import BRAKE_SPOTS, Spot

_UNSAID: Spot = "brake"  # where on the brake nobody said: it may be the same spot
_FEWEST = 2  # readings


def too_thin(before: Diagnosis, after: Diagnosis, pair: Sequence[str]) -> tuple[Reason, ...]:
    """Why the later log is too thin for some corners; nothing where it is not.

    Parameters
    ----------
    before, after : Diagnosis
    pair : sequence of str
        Corners. They may be not read, not well, or once only, for a shot that missed looks like a repair; or
        read at another spot than before, which shows another heat: a caliper is cool beside a hot disc.
    """
    lost = tuple(corner for corner in pair if not seen_well(after, corner, "drag"))
    if lost:
        said = (
            reason
            for c in after.corners
            if c.corner in lost and c.spot in BRAKE_SPOTS
            for reason in c.reasons
        )
        return tuple(said) or (Reason(code="not_read", corners=lost),)
    once = tuple(corner for corner in pair if _most_used(after, corner) < _FEWEST)
    if once:
        return (Reason(code="single_reading", corners=once),)
    moved = tuple(corner for corner in pair if _elsewhere(before, after, corner))
    if not moved:
        return ()
    then, now = (_names(_spots(log, moved[0])) for log in (before, after))
    return (Reason(code="spots_changed", corners=moved, quoted=f"{then}, then {now}"),)


def _most_used(found: Diagnosis, corner: str) -> int:
    used = [c.readings_used for c in found.corners if c.corner == corner and c.spot in BRAKE_SPOTS]
    return max(used, default=0)


def _elsewhere(before: Diagnosis, after: Diagnosis, corner: str) -> bool:
    """True if both logs say where on this brake they were aimed at, and never at one spot."""
    then, now = _spots(before, corner), _spots(after, corner)
    return bool(then and now) and _UNSAID not in then + now and not set(then) & set(now)


def _spots(found: Diagnosis, corner: str) -> list[Spot]:
    here = [c.spot for c in found.corners if c.corner == corner and c.readings_used]
    return [spot for spot in BRAKE_SPOTS if spot in here]


def _names(spots: Sequence[Spot]) -> str:
    return " and ".join(SPOT_NAMES[spot] for spot in spots)
