"""A gap between left and right set against the watch line and against the gap of an earlier drive."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.words.estimates import Estimate, change
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import Policy
from thermlog.words.reasons import ChangeCode
from thermlog.words.vehicle import BRAKE_SPOTS

Weight: TypeAlias = Literal["repaired", "better", "cannot_tell", "not_repaired"]
# Shares of the earlier heat below which a drive was too gentle to show that a brake is even again, and too
# gentle to show anything of one that was not (judgement, no source).
GENTLE, COLD = 0.7, 0.3


class Weighed(Struct, frozen=True, kw_only=True):
    """What a gap says by itself.

    Attributes
    ----------
    outcome : {"repaired", "better", "cannot_tell", "not_repaired"}
    code : ChangeCode
    numbers : dict of str to float
    """

    outcome: Weight
    code: ChangeCode
    numbers: dict[str, float]


def weigh_gap(now: Estimate | None, was: Estimate | None, line_k: float, share_heat: float = 1.0) -> Weighed:
    """Weigh the gap of the later drive.

    Parameters
    ----------
    now, was : Estimate or None
        Gap of the later and of the earlier drive, positive the way it was unlike before [K].
    line_k : float
        The watch line [K].
    share_heat : float
        Heat of the other brakes beside that of the earlier drive, at most 1: a gentler drive makes smaller
        gaps by itself, so the earlier gap counts by this share only.

    Returns
    -------
    Weighed
        "repaired" where the whole 95 % interval lies inside the line, on both sides, and the gap is clearly
        smaller than before; "better" where it is clearly smaller only; "not_repaired" where it lies past the
        line as before. A larger gap never gives a better outcome.
    """
    numbers = {"line_k": line_k}
    if now is None or was is None or now.interval is None or was.interval is None:
        return Weighed(outcome="cannot_tell", code="gap_not_comparable", numbers={})
    low, high = now.interval
    numbers |= {"difference_k": now.value, "low_k": low, "high_k": high, "before_k": was.value}
    size = now.size
    code, outcome = _said(size, _clearly_less(size, was.times(share_heat)), line_k)
    if high <= -line_k:
        code, outcome = "gap_reversed", "cannot_tell"
    return Weighed(outcome=outcome, code=code, numbers=numbers)


def _clearly_less(size: Estimate, was: Estimate) -> bool:
    changed = change(was, size)
    return changed is not None and changed.interval is not None and changed.interval[1] < 0.0


def _said(size: Estimate, less: bool, line_k: float) -> tuple[ChangeCode, Weight]:  # noqa: FBT001
    low, high = size.interval or (size.value, size.value)
    inside = high < line_k and low > -line_k
    if less:
        return ("gap_below_watch", "repaired") if inside else ("gap_smaller_not_even", "better")
    if low >= line_k:
        return "gap_still_past_watch", "not_repaired"
    return ("gap_change_unclear" if inside else "gap_may_pass_watch"), "cannot_tell"


def watch_line_k(after: Diagnosis, number: int, policy: Policy) -> float:
    """Gap from which an axle is watched [K]: difference and ratio must both be passed, so the larger counts.

    Parameters
    ----------
    after : Diagnosis
        Its cooler brake makes a difference of the ratio.
    number : int
        Axle.
    policy : Policy
    """
    rises = [
        c.rise_k.value
        for c in after.corners
        if c.axle == number and c.spot in BRAKE_SPOTS and c.rise_k is not None
    ]
    by_ratio = (policy.watch_ratio - 1.0) * min(rises, default=0.0)
    return max(policy.watch_difference_k, by_ratio)


def heat_share(
    before: Diagnosis, after: Diagnosis, number: int, odd: frozenset[str], *, mate: str | None = None
) -> float:
    """Heat of the other axles' brakes, later beside earlier, at most 1.

    Parameters
    ----------
    before, after : Diagnosis
    number : int
        Axle that is asked about; its own heat is the question and no measure of the drive.
    odd : frozenset of str
        Corners that something is held against; they count only where there are no others.
    mate : str, optional
        A brake of this axle that did its part on both drives: it speaks where no other axle was read.

    Returns
    -------
    float
        1 without braking, where heat is not what drives share, and where no other brake was read.
    """
    if "coast" in {before.drive, after.drive}:
        return 1.0
    earlier, later = (_rises_k(one, number) for one in (before, after))
    if not earlier.keys() & later.keys() and mate is not None:
        earlier, later = (
            {place: k for place, k in _rises_k(one).items() if place[0] == mate} for one in (before, after)
        )
    both = earlier.keys() & later.keys()
    both = {place for place in both if place[0] not in odd} or both
    whole_k = sum(earlier[place] for place in both)
    if whole_k <= 0.0:
        return 1.0
    return min(1.0, max(0.0, sum(later[place] for place in both) / whole_k))


def _rises_k(one: Diagnosis, number: int | None = None) -> dict[tuple[str, str], float]:
    """Rises of all brakes but those of axle `number` [K]."""
    return {
        (c.corner, c.spot): c.rise_k.value
        for c in one.corners
        if c.spot in BRAKE_SPOTS and c.rise_k is not None and c.axle != number
    }
