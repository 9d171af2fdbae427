"""What a drive without braking settles of the one with braking, and what the two leave against each other."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.axlenumbers import AxleNumbers
from thermlog.judging.facts import CaseFacts
from thermlog.judging.idle_answer import idle_hidden, may_be_idle
from thermlog.judging.reckoning import plain_gaps, single_sides, unseen
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import mate_of

_ROLLED_K = 2.0  # rise of the warmest brake: within what an air is usually known to; engineering judgement


class TwoDrives(Struct, frozen=True, kw_only=True):
    """Both drives of one vehicle, with what each says of dragging by itself.

    Attributes
    ----------
    braked, coast : CaseFacts
    hot, stays : Answer
        Does a brake drag: by the drive with braking, and by the one without.
    """

    braked: CaseFacts
    coast: CaseFacts
    hot: Answer
    stays: Answer


def counts(coast: CaseFacts) -> bool:
    """True unless a drive without braking left no heat at all: nothing that drags could have shown on it.

    Released brakes that turn are 6 K and more above the air afterwards (simulated; docs/method.md). A warm
    tyre or hub tells nothing: the sun warms it, too.
    """
    return bool(coast.uncleared.reasons) or coast.warmest_k >= _ROLLED_K


def settled(drives: TwoDrives, idle: Answer) -> tuple[Answer, Answer]:
    """Answers to "does a brake drag" and "does a brake not work" of both drives together.

    Parameters
    ----------
    drives : TwoDrives
    idle : Answer
        Of the drive with braking.

    Returns
    -------
    drag, idle : Answer
        The drive without braking answers whether a brake drags. A hot brake that sank on it is cleared only
        where its mate may well be the odd one: else the two drives speak against each other, and it is
        watched. The mate is called only from the line of a call on, with the drag taken out of its odds.
        Where the cool side of a gap is the one that stays hot, the drives contradict each other and both are
        watched. A brake that was not read without braking is answered for by the drive with braking.
    """
    if (contradicted := _contradicted(drives, idle)) is not None:
        return contradicted
    if drives.stays.answer == "cannot_tell":
        if not _lacks_wheels_only(drives):
            return (drives.hot if drives.hot.suspects else drives.stays), idle
        if drives.hot.answer == "yes":
            return replace(drives.hot, reasons=(*drives.hot.reasons, _told_lacking(drives))), idle
        rest = replace(drives.stays, answer="no", corners=(), reasons=())
        drag, idle = _together(replace(drives, stays=rest), idle)
        return _with_lacking(drives, drag), idle
    return _together(drives, idle)


def _together(drives: TwoDrives, idle: Answer) -> tuple[Answer, Answer]:
    """Answers of both drives, of which the one without braking told of every wheel that it read."""
    sank = []
    for numbers in plain_gaps(drives.braked):
        hot, cold = numbers.hot_cold
        if hot.corner in drives.coast.uncleared.corners:
            continue
        if _stayed(drives, numbers):
            idle = _cleared_by_drag(drives, numbers, idle) if _is_open(idle, cold.corner) else idle
        elif _stands_against(drives, numbers, idle):
            sank.append(numbers)
    if drives.stays.answer == "no" and (unlike := _axles_unlike(idle)) is not None:
        return _of_axles(drives, unlike, idle)
    odd = [one for one in sank if _mate_may_be_odd(one, drives.braked)]
    if drives.stays.answer == "no" and odd and idle.answer != "yes":
        idle = _mates(drives, odd)
    return _against_each_other(drives, [one for one in sank if one not in odd], idle), idle


def _contradicted(drives: TwoDrives, idle: Answer) -> tuple[Answer, Answer] | None:
    """Both sides of a gap of which the cool one stays hot without braking: no one brake does that."""
    reasons = []
    for numbers in plain_gaps(drives.braked):
        hot, cold = numbers.hot_cold
        there = drives.coast.axle_of(cold.corner)
        stays = cold.corner in drives.stays.suspected and hot.corner not in drives.stays.suspected
        if not stays or there is None or there.difference_k is None:
            continue
        told = numbers.gap_numbers | {"other_k": there.size_k}
        reasons.append(Reason(code="drives_contradict", corners=(hot.corner, cold.corner), numbers=told))
    if not reasons:
        return None
    sides = tuple(dict.fromkeys(corner for reason in reasons for corner in reason.corners))
    others = tuple(corner for corner in drives.stays.corners if corner not in sides)
    rest = tuple(reason for reason in drives.stays.reasons if not set(reason.corners) & set(sides))
    drag = Answer(answer="watch", p=drives.stays.p, corners=(*sides, *others), reasons=(*reasons, *rest))
    if idle.suspects:
        return drag, replace(idle, answer="watch", reasons=(*reasons, *idle.reasons))
    return drag, Answer(answer="cannot_tell", p=idle.p, corners=sides, reasons=tuple(reasons))


def _lacks_wheels_only(drives: TwoDrives) -> bool:
    """True where the drive without braking is silent for unread wheels alone, and nothing hides there."""
    uncleared = drives.coast.uncleared
    only = not uncleared.whole and {reason.code for reason in uncleared.corners.values()} == {"not_read"}
    return only and drives.stays.reasons == uncleared.reasons and not drives.coast.hides_drag


def _told_lacking(drives: TwoDrives) -> Reason:
    return Reason(code="not_read_rolled", corners=tuple(drives.coast.uncleared.corners))


def _with_lacking(drives: TwoDrives, drag: Answer) -> Answer:
    """The same for the wheels that were not read without braking: the other drive alone speaks for them."""
    braked, lacking = drives.braked, tuple(drives.coast.uncleared.corners)
    told = _told_lacking(drives)
    suspected = tuple(corner for corner in drives.hot.suspected if corner in lacking)
    if suspected:
        corners = dict.fromkeys((*drag.suspected, *suspected))
        return replace(drives.hot, corners=tuple(corners), reasons=(*drives.hot.reasons, *drag.reasons, told))
    if drag.answer != "no":
        return replace(drag, reasons=(*drag.reasons, told))
    hides = tuple(
        corner
        for corner in braked.hides_drag
        if corner in lacking and braked.hottest_drag_k(corner) >= braked.hidden_line_k(corner)
    )
    if braked.uncleared.reasons:
        return replace(drag, answer="cannot_tell", reasons=(*braked.uncleared.reasons, told))
    if hides:
        limit = Reason(code="limit_above_line", corners=hides)
        return replace(drag, answer="cannot_tell", corners=hides, reasons=(limit, told))
    return replace(drag, reasons=(*drag.reasons, told))


def _stands_against(drives: TwoDrives, numbers: AxleNumbers, idle: Answer) -> bool:
    """True for a gap whose hot side sank and whose cool side nobody called, or only watched."""
    cold = numbers.hot_cold[1].corner
    if cold not in idle.corners:
        return drives.stays.answer != "yes"
    sound = numbers.stays_without_one_reading(drives.braked.policy)
    return drives.stays.answer == "no" and _is_open(idle, cold) and sound


def _is_open(idle: Answer, corner: str) -> bool:
    return idle.answer != "yes" and corner in idle.corners


def _mate_may_be_odd(numbers: AxleNumbers, braked: CaseFacts) -> bool:
    """True where the cool side is a live reading of the gap, and no single shot is the whole of it."""
    return may_be_idle(numbers, braked) and numbers.stays_without_one_reading(braked.policy)


def _axles_unlike(idle: Answer) -> Reason | None:
    return next((reason for reason in idle.reasons if reason.code == "axles_unlike"), None)


def _of_axles(drives: TwoDrives, unlike: Reason, idle: Answer) -> tuple[Answer, Answer]:
    """Two axles unlike after braking, none warm without: the cool one is open, or the warm one watched."""
    warm = tuple(corner for corner in unlike.corners if corner[:-1] == unlike.corners[0][:-1])
    sunk = Reason(code="sunk_without_braking", corners=warm)
    idle = replace(idle, reasons=(unlike, sunk, *(one for one in idle.reasons if one != unlike)))
    if idle.answer == "watch":
        return drives.stays, idle
    held = Reason(code="hot_after_braking", corners=warm)
    reasons = (held, *drives.coast.uncleared.reasons)
    return Answer(answer="watch", p=drives.hot.p, corners=warm, reasons=reasons), idle


def _stayed(drives: TwoDrives, numbers: AxleNumbers) -> bool:
    """True where the hot side of a gap may drag by the drive without braking as well."""
    corner = numbers.hot_cold[0].corner
    there = drives.coast.axle_of(corner)
    return there is not None and there.side(corner).p_hot >= drives.braked.policy.doubt_probability


def _mates(drives: TwoDrives, odd: list[AxleNumbers]) -> Answer:
    """The cool sides of gaps whose hot sides sank: called where what is left of the odds is enough."""
    chances = {one.hot_cold[1].corner: _without_drag(one) for one in odd}
    line = drives.braked.policy.idle_call_probability
    uncleared = drives.braked.uncleared.corners  # no brake cools below the air it stands in
    below = {corner: why for corner, why in uncleared.items() if why.code == "below_air"}
    called = [corner for corner, p in chances.items() if p >= line and corner not in below]
    corners = tuple(called or chances)
    reasons: list[Reason] = []
    for numbers in odd:
        hot, cold = numbers.hot_cold
        if cold.corner in corners:
            both = (cold.corner, hot.corner)
            reasons.append(Reason(code="stands_out_cold", corners=both, numbers=numbers.gap_numbers))
            there = _rise_there(drives, hot.corner)
            reasons.append(Reason(code="sunk_without_braking", corners=(hot.corner,), numbers=there))
    reasons += [below[corner] for corner in corners if corner in below]
    p = min(chances[corner] for corner in corners)
    return Answer(answer="yes" if called else "watch", p=p, corners=corners, reasons=tuple(reasons))


def _without_drag(numbers: AxleNumbers) -> float:
    """Probability that the cool side idles, once the hot one is known not to drag."""
    hot, cold = numbers.hot_cold
    return min(cold.p_cold / max(1.0 - hot.p_hot, cold.p_cold, 1e-9), 1.0)


def _against_each_other(drives: TwoDrives, sank: list[AxleNumbers], idle: Answer) -> Answer:
    """Brakes that were hot after braking, are not without, and whose mates are as warm as they should be."""
    reasons = (*_hot_after_braking(drives, sank), *_called_and_sunk(drives, sank, idle))
    if drives.stays.answer == "yes" or not reasons:
        return drives.stays
    corners = tuple(dict.fromkeys(corner for reason in reasons for corner in _odd_of(reason)))
    single = single_sides(sank)
    rest = (*single, *drives.coast.uncleared.reasons)
    if drives.stays.answer == "watch":
        both = dict.fromkeys((*drives.stays.corners, *corners))
        return replace(drives.stays, corners=tuple(both), reasons=(*drives.stays.reasons, *reasons, *single))
    return Answer(answer="watch", p=drives.hot.p, corners=corners, reasons=(*reasons, *rest))


def _odd_of(reason: Reason) -> tuple[str, ...]:
    """The hot ones of a reason: the first alone where its mate stands beside it as the cool one."""
    return reason.corners[:1] if "difference_k" in reason.numbers else reason.corners


def _hot_after_braking(drives: TwoDrives, sank: list[AxleNumbers]) -> Iterator[Reason]:
    for numbers in sank:
        hot, cold = numbers.hot_cold
        told = numbers.gap_numbers | _rise_there(drives, hot.corner)
        yield Reason(code="hot_after_braking", corners=(hot.corner, cold.corner), numbers=told)


def _called_and_sunk(drives: TwoDrives, sank: list[AxleNumbers], idle: Answer) -> Iterator[Reason]:
    """What the drive with braking calls by itself without a plain gap: both sides of an axle, say."""
    told = {side.corner for numbers in sank for side in numbers.sides}
    spoken = told | {mate_of(corner) for corner in idle.corners} | set(drives.stays.suspected)
    left = tuple(corner for corner in drives.hot.corners if corner not in spoken)
    if drives.hot.answer == "yes" and left:
        yield Reason(code="hot_after_braking", corners=left)


def _cleared_by_drag(drives: TwoDrives, numbers: AxleNumbers, idle: Answer) -> Answer:
    """The cool side of an open gap, once the hot one is known to drag."""
    hot, cold = numbers.hot_cold
    there = drives.coast.axle_of(hot.corner)
    told: dict[str, float] = {}
    if there is not None:
        pair = (("rise_k", there.side(hot.corner)), ("mate_rise_k", there.side(cold.corner)))
        told = {name: side.rise_k for name, side in pair if side.rise_k is not None}
    reason = Reason(code="settled_by_coast", corners=(hot.corner, cold.corner), numbers=told)
    p = idle.p or 0.0
    hides = unseen(drives.braked, p, hot=False) or idle_hidden(drives.braked, p, drives.stays.corners)
    if hides is not None:
        return replace(hides, reasons=(reason, *hides.reasons))
    return Answer(answer="no", p=idle.p, reasons=(reason,))


def _rise_there(drives: TwoDrives, corner: str) -> dict[str, float]:
    numbers = drives.coast.axle_of(corner)
    rise_k = None if numbers is None else numbers.side(corner).rise_k
    return {} if rise_k is None else {"rise_k": rise_k}
