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
    """
    if drives.stays.answer == "cannot_tell":
        return (drives.hot if drives.hot.suspects else drives.stays), idle
    sank = []
    for numbers in plain_gaps(drives.braked):
        _, cold = numbers.hot_cold
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
    reasons = (held, *drives.coast.sight.reasons)
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
    called = [corner for corner, p in chances.items() if p >= line]
    corners = tuple(called or chances)
    reasons: list[Reason] = []
    for numbers in odd:
        hot, cold = numbers.hot_cold
        if cold.corner in corners:
            both = (cold.corner, hot.corner)
            reasons.append(Reason(code="stands_out_cold", corners=both, numbers=numbers.gap_numbers))
            there = _rise_there(drives, hot.corner)
            reasons.append(Reason(code="sunk_without_braking", corners=(hot.corner,), numbers=there))
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
    rest = (*single, *drives.coast.sight.reasons)
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
    hides = unseen(drives.braked, p) or idle_hidden(drives.braked, p, drives.stays.corners)
    if hides is not None:
        return replace(hides, reasons=(reason, *hides.reasons))
    return Answer(answer="no", p=idle.p, reasons=(reason,))


def _rise_there(drives: TwoDrives, corner: str) -> dict[str, float]:
    numbers = drives.coast.axle_of(corner)
    rise_k = None if numbers is None else numbers.side(corner).rise_k
    return {} if rise_k is None else {"rise_k": rise_k}
