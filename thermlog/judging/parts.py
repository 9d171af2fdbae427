"""Rims, tyres, calipers, hubs and further spots of a brake beside their mates and the same of other axles.

What speaks for an axle is judged by the three answers; a hub past its own marks stops the vehicle. All else
that was read is compared here, so that no spot far above its mate goes by without a word.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import TypeAlias

from msgspec import Struct

from thermlog.judging.digest import Digest
from thermlog.judging.hubs import HubNumbers
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Urgent
from thermlog.words.parts import SPOT_NAMES, Above, PartAbove
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.vehicle import HUB_SPOT, TYRE_SPOTS, Spot, Vehicle, mate_of

# Sound parts beside each other, in parts of their rise and in kelvin: engineering judgement, no source.
_SPREAD_PART, _SPREAD_K, _SPREADS = 0.15, 3.0, 2.0
# Above the air: what a hub or rim, and a tyre, may have from rolling alone; engineering judgement, no source
# (of tyres 38 to 66 degC is usual). Less than that is no heat of its own, however cold its brake is.
_ROLLS_K, _TYRE_ROLLS_K = 25.0, 45.0
_UNLIKE_MARKS = 2.0  # so many marks apart are parts of axles of unlike kinds; engineering judgement
_Place: TypeAlias = tuple[int, int]  # pair and side
_OVER: dict[Above, ReasonCode] = {
    "mate": "part_over_mate", "others": "part_over_others", "brake": "part_over_brake",
}  # fmt: skip


class PartsCase(Struct, frozen=True, kw_only=True, eq=False):
    """One case: its columns, its pairs, what they are judged by; the air is None where nobody stated it.

    The hub beside a brake of `idle`, which does nothing, is the warmer one without any fault.
    """

    told: Digest
    span: range
    policy: Policy
    vehicle: Vehicle
    air_degc: float | None
    idle: tuple[str, ...] = ()


def parts_above(case: PartsCase) -> dict[tuple[str, str], PartAbove]:
    """Spots far above their mates, above the same spot of other axles, or above their own wheel's brake.

    Parameters
    ----------
    case : PartsCase

    Returns
    -------
    dict of (str, str) to PartAbove
        By corner and spot. A gap that the brakes beside the spots show, too, is theirs and counts as far
        as it goes beyond it. Axles of another kind are asked where the mate was not read.
    """
    found = (_above(case, place) for place in _places(case))
    return {(one.corner, one.spot): one for one in found if one is not None}


def without_told(
    parts: Mapping[tuple[str, str], PartAbove], hubs: Mapping[str, HubNumbers], urgent: tuple[Urgent, ...]
) -> dict[tuple[str, str], PartAbove]:
    """Those of which nothing graver is said already."""
    hot = {(corner, HUB_SPOT) for corner, hub in hubs.items() if hub.hot is not None}
    hot |= {(one.corner, one.spot) for one in urgent if one.corner is not None and one.spot is not None}
    return {place: one for place, one in parts.items() if place not in hot}


def reason_of(part: PartAbove) -> Reason:
    """Why it is watched."""
    numbers = {"difference_k": part.difference_k, "mark_k": part.mark_k}
    corners = (part.corner, mate_of(part.corner))
    return Reason(code=_OVER[part.over], corners=corners, numbers=numbers, quoted=SPOT_NAMES[part.spot])


def _places(case: PartsCase) -> Iterator[_Place]:
    """Pair and side of every spot read that does not speak for its axle."""
    return (
        (pair, side)
        for pair in case.span
        if not case.told.chosen[pair]
        for side in (0, 1)
        if case.told.at_common_degc[side][pair] is not None
    )


def _above(case: PartsCase, own: _Place) -> PartAbove | None:
    (pair, side), mark_k = own, _mark_k(case, own[0])
    mate = _excess(case, own, (pair, 1 - side))
    if mate is not None and mate[0] >= max(mark_k, mate[1]):
        return _part(case, own, ("mate", mate[0], mark_k))
    if (over_k := _over_all_k(case, own, _alike(case, own), mark_k)) is not None:
        return _part(case, own, ("others", over_k, mark_k))
    if mate is None:
        wide_k = _UNLIKE_MARKS * mark_k
        if (over_k := _over_all_k(case, own, _elsewhere(case, own), wide_k)) is not None:
            return _part(case, own, ("others", over_k, wide_k))
    # alike hubs of which one alone is above its brake tell of that brake, or of a shot that missed it
    elif _over_brake_k(case, (pair, 1 - side), mark_k) is None:
        return None
    over_k = _over_brake_k(case, own, mark_k)
    return None if over_k is None else _part(case, own, ("brake", over_k, mark_k))


def _over_all_k(case: PartsCase, own: _Place, others: Iterable[_Place], mark_k: float) -> float | None:
    """How far a spot is above the nearest of others [K]; None unless past its mark above all of them."""
    beside = [one for other in others if (one := _excess(case, own, other)) is not None]
    if beside and all(over_k >= max(mark_k, least_k) for over_k, least_k in beside):
        return min(over_k for over_k, _ in beside)
    return None


def _over_brake_k(case: PartsCase, own: _Place, mark_k: float) -> float | None:
    """How far a hub, rim or tyre is above its own brake, which should be the warmer one [K]; None if not."""
    (pair, side), told = own, case.told
    mine, brake = told.at_common_degc[side][pair], _brake_beside(case, own)
    rolls_k = _rolls_k(told.spot[pair])
    if mine is None or brake is None or rolls_k is None or told.corner[side][pair] in case.idle:
        return None
    air_degc = case.air_degc
    if air_degc is None:
        air_degc = min(case.policy.unstated_air_high_degc, brake.value)
    spread_k = math.hypot(_SPREAD_PART * max(brake.value - air_degc, 0.0), _SPREAD_K)
    beyond_k = mine.value - max(brake.value, air_degc + rolls_k)
    return mine.value - brake.value if beyond_k >= max(mark_k, _SPREADS * spread_k) else None


def _rolls_k(spot: Spot) -> float | None:
    """What rolling alone may give a part that its brake heats, too [K]; None of what belongs to the brake."""
    if spot in TYRE_SPOTS:
        return _TYRE_ROLLS_K
    return _ROLLS_K if spot in {HUB_SPOT, "rim"} else None


def _part(case: PartsCase, own: _Place, above: tuple[Above, float, float]) -> PartAbove:
    (pair, side), (over, over_k, mark_k) = own, above
    corner, spot = case.told.corner[side][pair], case.told.spot[pair]
    return PartAbove(corner=corner, spot=spot, over=over, difference_k=over_k, mark_k=mark_k)


def _mark_k(case: PartsCase, pair: int) -> float:
    spot, policy = case.told.spot[pair], case.policy
    if spot == HUB_SPOT:
        return policy.watch_hub_k
    if spot in TYRE_SPOTS:
        return policy.watch_tyre_k
    if spot == "rim":
        return policy.watch_rim_k
    return policy.watch_caliper_k if spot == "caliper" else policy.suspect_difference_k


def _excess(case: PartsCase, own: _Place, other: _Place) -> tuple[float, float] | None:
    """How far one spot is above another beyond what their brakes show, and what sound ones may differ by."""
    told, (pair, side), (beside, its) = case.told, own, other
    mine, theirs = told.at_common_degc[side][pair], told.at_common_degc[its][beside]
    if mine is None or theirs is None:
        return None
    rise_k = 0.0 if case.air_degc is None else max(theirs.value - case.air_degc, 0.0)
    # between axles how unsure the gap is was not worked out; it is small beside what sound ones differ by
    sigma_k = (told.difference_sigma_k[pair] or 0.0) if pair == beside else 0.0
    spread_k = math.hypot(sigma_k, _SPREAD_PART * rise_k, _SPREAD_K)
    by_brake_k = max(_brake_gap_k(case, own, other), 0.0)
    return mine.value - theirs.value - by_brake_k, _SPREADS * spread_k


def _brake_gap_k(case: PartsCase, own: _Place, other: _Place) -> float:
    """How far the brake beside one spot is above that beside the other [K]; 0 where one was not read."""
    mine, theirs = _brake_beside(case, own), _brake_beside(case, other)
    return 0.0 if mine is None or theirs is None else mine.value - theirs.value


def _brake_beside(case: PartsCase, own: _Place) -> Estimate | None:
    """The brake of the same wheel, at the common time; None where it was not read."""
    told, (pair, side) = case.told, own
    brake = next((k for k in case.span if told.chosen[k] and told.axle[k] == told.axle[pair]), None)
    return None if brake is None else told.at_common_degc[side][brake]


def _alike(case: PartsCase, own: _Place) -> Iterator[_Place]:
    """The same spot on other axles that are described as of the same kind."""
    told, vehicle = case.told, case.vehicle
    if not vehicle.stated:
        return
    mine = vehicle.axle(told.axle[own[0]])
    for pair in case.span:
        its = vehicle.axle(told.axle[pair])
        same = told.spot[pair] == told.spot[own[0]] and pair != own[0] and not told.chosen[pair]
        if same and (its.role, its.brake) == (mine.role, mine.brake):
            yield from ((pair, side) for side in (0, 1))


def _elsewhere(case: PartsCase, own: _Place) -> Iterator[_Place]:
    """The same spot on every other axle, whatever it is."""
    told = case.told
    for pair in case.span:
        if told.spot[pair] == told.spot[own[0]] and pair != own[0] and not told.chosen[pair]:
            yield from ((pair, side) for side in (0, 1))
