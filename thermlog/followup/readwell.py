"""Whether brakes were read so that what became of them can be told: twice, one way, where they were."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.followup.troubles import seen_well
from thermlog.words.findings import Diagnosis
from thermlog.words.fitted import Curve
from thermlog.words.parts import SPOT_NAMES
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import BRAKE_SPOTS, UNSAID_SPOT, Spot

_FEWEST = 2  # readings
# Within it no brake cools so far that a gap past the watch line could be its own (judgement, no source).
_AT_ONCE_S = 30.0


def too_thin(before: Diagnosis, after: Diagnosis, pair: Sequence[str], line_k: float) -> tuple[Reason, ...]:
    """Why the later log is too thin for some corners; nothing where it is not.

    Parameters
    ----------
    before, after : Diagnosis
        With curves, else readings that contradict each other are not looked for.
    pair : sequence of str
        Corners. They may be not read, not well, or once only, for a shot that missed looks like a repair; or
        read at another spot than before, which shows another heat: a caliper is cool beside a hot disc; or
        read two ways at one moment, so that nobody knows which is right.
    line_k : float
        Watch line of their axle: two readings at one moment further apart than that [K].
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
    apart = tuple(one for corner in pair if (one := _apart(after, corner, line_k)) is not None)
    if apart:
        return apart
    moved = tuple(corner for corner in pair if _elsewhere(before, after, corner))
    if not moved:
        return ()
    then, now = (_names(_spots(log, moved[0])) for log in (before, after))
    return (Reason(code="spots_changed", corners=moved, quoted=f"{then}, then {now}"),)


def _most_used(found: Diagnosis, corner: str) -> int:
    used = [c.readings_used for c in found.corners if c.corner == corner and c.spot in BRAKE_SPOTS]
    return max(used, default=0)


def _apart(found: Diagnosis, corner: str, line_k: float) -> Reason | None:
    """The widest gap between two readings of one spot at once, if it is past the line."""
    pairs = [
        (max(first, second), min(first, second))
        for curve in found.curves
        if curve.corner == corner and curve.spot in BRAKE_SPOTS
        for first, second in _at_once(curve)
    ]
    high, low = max(pairs, key=lambda pair: pair[0] - pair[1], default=(0.0, 0.0))
    if high - low <= line_k:
        return None
    return Reason(code="read_two_ways", corners=(corner,), numbers={"high_degc": high, "low_degc": low})


def _at_once(curve: Curve) -> list[tuple[float, float]]:
    rows = sorted(zip(curve.elapsed_s.tolist(), curve.indicated_degc.tolist(), strict=True))
    return [
        (degc, other)
        for k, (at_s, degc) in enumerate(rows)
        for beside_s, other in rows[k + 1 :]
        if beside_s - at_s <= _AT_ONCE_S
    ]


def _elsewhere(before: Diagnosis, after: Diagnosis, corner: str) -> bool:
    """True if both logs say where on this brake they were aimed at, and never at one spot."""
    then, now = _spots(before, corner), _spots(after, corner)
    return bool(then and now) and UNSAID_SPOT not in then + now and not set(then) & set(now)


def _spots(found: Diagnosis, corner: str) -> list[Spot]:
    here = [c.spot for c in found.corners if c.corner == corner and c.readings_used]
    return [spot for spot in BRAKE_SPOTS if spot in here]


def _names(spots: Sequence[Spot]) -> str:
    return " and ".join(SPOT_NAMES[spot] for spot in spots)
