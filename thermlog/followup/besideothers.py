"""Both brakes of an axle against the other axles, before and after: left against right is blind there."""

from __future__ import annotations

import math
from collections.abc import Iterable

from msgspec import Struct

from thermlog.words.estimates import Estimate, change
from thermlog.words.findings import Diagnosis
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import BRAKE_SPOTS


class BesideOthers(Struct, frozen=True, kw_only=True):
    """One axle beside the others on two like drives.

    Attributes
    ----------
    was, now : Estimate
        After braking the heat of the axle as a part of that of the others, which the same drive shares out
        alike; without braking how far it is above them [K].
    gap : Estimate
        Left minus right of the axle now [K].
    line_k : float
        The watch line between left and right, and without braking above the others [K].
    rolled : bool
        True for drives without braking.
    """

    was: Estimate
    now: Estimate
    gap: Estimate
    line_k: float
    rolled: bool

    @property
    def reason(self) -> Reason:
        """The same as a reason."""
        low, high = self.now.interval or (self.now.value, self.now.value)
        if self.rolled:
            numbers = {
                "before_k": self.was.value,
                "difference_k": self.now.value,
                "low_k": low,
                "high_k": high,
            }
            return Reason(code="axle_above_others", numbers=numbers)
        shares = {
            "share_before": self.was.value, "share_now": self.now.value, "share_low": low, "share_high": high,
        }  # fmt: skip
        return Reason(code="axle_beside_others", numbers=shares)

    def lies_even(self, *, hot: bool) -> bool:
        """True if it came back beside the others with the whole interval, and its sides are alike.

        Parameters
        ----------
        hot : bool
            True for an axle that was too hot; False for one that was too cold.
        """
        changed = change(self.was, self.now)
        if changed is None or changed.interval is None or self.gap.size.high is None:
            return False
        low, high = changed.interval
        back = high < 0.0 if hot else low > 0.0
        alike = self.gap.size.high < self.line_k
        ends = self.now.interval
        inside = not self.rolled or (ends is not None and -self.line_k < ends[0] and ends[1] < self.line_k)
        return back and alike and inside


def beside_others(
    drives: tuple[Diagnosis, Diagnosis], number: int, odd: frozenset[str], line_k: float
) -> BesideOthers | None:
    """Set an axle against the other axles on an earlier and a later drive.

    Parameters
    ----------
    drives : tuple of Diagnosis
    number : int
        Axle.
    odd : frozenset of str
        Corners that something is held against: they measure nothing.
    line_k : float
        The watch line [K].

    Returns
    -------
    BesideOthers or None
        None where no sound brake of another axle was read on both, or without intervals.
    """
    places = [_places(one) for one in drives]
    both = places[0].keys() & places[1].keys()
    own = [place for place in both if place[2] == number]
    others = [place for place in both if place[2] != number and place[0] not in odd]
    axle = drives[1].axle(number)
    if not own or not others or axle is None or axle.difference_k is None:
        return None
    rolled = drives[1].drive == "coast"
    was, now = (
        _against(_mean(here[one] for one in own), _mean(here[one] for one in others), rolled=rolled)
        for here in places
    )
    if was is None or now is None:
        return None
    return BesideOthers(was=was, now=now, gap=axle.difference_k, line_k=line_k, rolled=rolled)


def _places(found: Diagnosis) -> dict[tuple[str, str, int], Estimate]:
    return {
        (c.corner, c.spot, c.axle): c.rise_k
        for c in found.corners
        if c.spot in BRAKE_SPOTS and c.rise_k is not None and c.rise_k.interval is not None
    }


def _mean(rises: Iterable[Estimate]) -> Estimate:
    """Mean of some rises with intervals; their errors are taken as shared, which is the wider view."""
    each = list(rises)
    parts = zip(*((one.value, one.low or 0.0, one.high or 0.0) for one in each), strict=True)
    return Estimate(*(sum(part) / len(each) for part in parts))


def _against(axle: Estimate, others: Estimate, *, rolled: bool) -> Estimate | None:
    if rolled:
        return change(others, axle)
    if others.value <= 0.0 or not others.half_width or axle.half_width is None:
        return None
    share = axle.value / others.value
    wide = math.hypot(axle.half_width / others.value, share * others.half_width / others.value)
    return Estimate(share, share - wide, share + wide)
