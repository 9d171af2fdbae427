"""The second question: does a brake not work."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from thermlog.judging.alternatives import gap_open
from thermlog.judging.axlenumbers import AxleNumbers
from thermlog.judging.belowair import air_reasons
from thermlog.judging.facts import CaseFacts
from thermlog.judging.reckoning import (
    ITS_PART,
    below_others,
    by_axle,
    few_readings,
    has_least_share,
    hotter_may_drag,
    is_axle_of_two,
    nothing_warm,
    plain_gaps,
    rivals,
    side_is_known,
    single_reading,
    unlike_cooling,
    unseen,
    warm_either_way,
)
from thermlog.judging.unlike_axles import unlike_axles
from thermlog.words.findings import Answer, AnswerWord
from thermlog.words.kinds import fault_kind
from thermlog.words.reasons import Reason, unique_reasons
from thermlog.words.vehicle import mate_of, may_be_raised

_ALIKE_AXLES = 2  # one log of them never decides which axle is the odd one


def idle_answer(facts: CaseFacts, dragging: Collection[str]) -> Answer:
    """Answer whether a brake does not work, as far as one drive tells.

    Parameters
    ----------
    facts : CaseFacts
    dragging : collection of str
        Corners that drag, or may.

    Returns
    -------
    Answer
    """
    p, uncleared = facts.idle.p, facts.uncleared
    if facts.coast:
        return Answer(answer="cannot_tell", reasons=(Reason(code="nothing_braked"),))
    if uncleared.blocks_all or p is None:
        return Answer(answer="cannot_tell", corners=tuple(uncleared.corners), reasons=uncleared.reasons)
    return (
        nothing_warm(facts, p)
        or unlike_axles(facts, hot=False)
        or (None if _shows_already(facts, p) else _too_cool(facts, p))
        or _cold_by_its_unit(facts, p)
        or _idle_called(facts, p, dragging)
        or _plain_gap(facts, p)
        or _too_cool(facts, p)
        or unlike_cooling(facts, p, cold=True)
        or unseen(facts, p, hot=False)
        or _below_air(facts, p)
        or _slowed_otherwise(facts, p)
        or idle_hidden(facts, p, dragging)
        or unlike_axles(facts, hot=False, partly=True)
        or Answer(answer="no", p=p, reasons=_works_either_way(facts))
    )


def _works_either_way(facts: CaseFacts) -> tuple[Reason, ...]:
    corners = warm_either_way(facts)
    return (Reason(code="warm_either_way", corners=corners),) if corners else ()


def _idle_called(facts: CaseFacts, p: float, dragging: Collection[str]) -> Answer | None:
    """Probable enough to call, to watch, or to ask for another reading: a shot that missed looks the same."""
    policy, found = facts.policy, facts.idle
    if not found.corners or p < policy.doubt_probability or _told_by_the_hot(facts, dragging):
        return None
    unjudged = set(found.corners) & set(facts.uncleared.corners)
    if not all(cold_or_wrong(facts, corner) for corner in unjudged):
        return unseen(facts, p, hot=False)
    gaps = [one for one in plain_gaps(facts) if _stays_open(one, facts, dragging)]
    beside = tuple(one.hot_cold[1].corner for one in gaps)
    reasons = (*_why_cold(facts), *(gap_open(one, policy) for one in gaps), *air_reasons(facts))
    repeat = [again for corner in found.corners if (again := _to_repeat(facts, corner))]
    if repeat:
        first = single_reading(facts, repeat)
        return Answer(answer="cannot_tell", p=p, corners=found.corners, reasons=(first, *reasons))
    sure = p >= policy.idle_call_probability and facts.warmest_k >= policy.minimum_rise_k
    sure = sure and _cold_side_is_known(facts, found.corners) and not _has_rival(facts, p) and not unjudged
    sure = sure and not is_axle_of_two(facts, found.corners)
    word: AnswerWord = "yes" if sure else "watch"
    if may_be_raised(facts.vehicle, found.corners):
        word, reasons = "watch", (Reason(code="may_be_raised", corners=found.corners), *reasons)
    if word == "watch":
        corners, beside = (*found.corners, *beside), ()
    else:
        corners = found.corners
    reasons = unique_reasons((*reasons, *facts.uncleared.reasons))
    return Answer(answer=word, p=p, corners=corners, beside=beside, reasons=reasons)


def cold_or_wrong(facts: CaseFacts, corner: str) -> bool:
    """True for a wheel read twice, far below the stated air and beside warm brakes.

    It has no heat, or air or readings are wrong: either way it is watched, and neither way called.
    """
    reason, numbers = facts.uncleared.corners.get(corner), facts.axle_of(corner)
    below = reason is not None and reason.code == "below_air"
    twice = numbers is not None and not numbers.side(corner).single
    return below and twice and facts.warmest_k >= facts.policy.minimum_rise_k


def _cold_by_its_unit(facts: CaseFacts, p: float) -> Answer | None:
    """Nothing is called cold for a wheel in a unit of its own, unless another wheel is cold, too."""
    reasons = tuple(one for one in facts.uncleared.cold if one.code == "other_unit")
    corners = tuple(corner for one in reasons for corner in one.corners)
    also = p >= facts.policy.doubt_probability and not set(facts.idle.corners) <= set(corners)
    return (
        None if also or not reasons else Answer(answer="cannot_tell", p=p, corners=corners, reasons=reasons)
    )


def _stays_open(numbers: AxleNumbers, facts: CaseFacts, dragging: Collection[str]) -> bool:
    """True for a plain gap on an axle that nothing else speaks of, whose cool side is rather the odd one."""
    if hotter_may_drag(numbers, facts) and not may_be_idle(numbers, facts):
        return False
    return not any(side.corner in facts.idle.corners or side.corner in dragging for side in numbers.sides)


def _told_by_the_hot(facts: CaseFacts, dragging: Collection[str]) -> bool:
    """True where every cool brake has a share of heat, and its mate drags for certain: that tells the gap."""
    if not all(has_least_share(facts, corner) for corner in facts.idle.corners):
        return False
    mates = [mate_of(corner) for corner in facts.idle.corners]
    sure = (facts.idle.p or 0.0) < facts.policy.idle_call_probability and len(facts.axles) > 1
    return sure and bool(mates) and set(mates) <= set(dragging) and side_is_known(facts, mates, hot=True)


def _does_its_part(facts: CaseFacts, corner: str, dragging: Collection[str]) -> bool:
    """True for the mate of a hot brake that is as warm as the other axles lead to expect."""
    if mate_of(corner) not in dragging:
        return False
    expected, numbers = facts.expected_k(corner), facts.axle_of(corner)
    if expected is None or numbers is None:
        return False
    rise_k = numbers.side(corner).rise_k or 0.0
    return rise_k >= ITS_PART * expected and rise_k >= ITS_PART * facts.policy.minimum_rise_k


def _plain_gap(facts: CaseFacts, p: float) -> Answer | None:
    """A clear gap has two readings: the hotter side drags, or the cooler one does too little."""
    for numbers in plain_gaps(facts):
        _, cold = numbers.hot_cold
        if hotter_may_drag(numbers, facts) and not may_be_idle(numbers, facts):
            continue
        reasons = (gap_open(numbers, facts.policy), *air_reasons(facts))
        if again := _to_repeat(facts, cold.corner):
            reasons = (single_reading(facts, (again,)), *reasons)
            return Answer(answer="cannot_tell", p=p, corners=(cold.corner,), reasons=reasons)
        reasons = (*reasons, *facts.uncleared.reasons)
        return Answer(answer="watch", p=p, corners=(cold.corner,), reasons=reasons)
    return None


def may_be_idle(numbers: AxleNumbers, facts: CaseFacts) -> bool:
    """True where the cooler side is open, and idle is more than a remote reading of the gap."""
    hot, cold = numbers.hot_cold
    policy = facts.policy
    open_side = hot.p_hot < policy.side_probability * (hot.p_hot + cold.p_cold) or len(facts.axles) < 2
    return open_side and cold.p_cold >= policy.gap_probability


def _to_repeat(facts: CaseFacts, corner: str) -> str | None:
    """The corner to read again, where one reading that missed may be why another seems cold; else None."""
    numbers = facts.axle_of(corner)
    if numbers is None or mate_of(corner) in facts.idle.corners:
        return None
    if numbers.stays_without_one_reading(facts.policy) or not few_readings(facts, corner):
        return None
    return numbers.to_repeat(corner)


def _why_cold(facts: CaseFacts) -> tuple[Reason, ...]:
    found = facts.idle
    if code := fault_kind(found.kind).reason:
        below = below_others(facts, found.corners)
        return (Reason(code=code, corners=found.corners, numbers=below),)
    whole, single = by_axle(found.corners)
    reasons = [
        Reason(code="both_sides_cold", corners=pair, numbers=below_others(facts, pair)) for pair in whole
    ]
    for corner in single:
        numbers = facts.axle_of(corner)
        compared = numbers is not None and numbers.hot_cold[1].corner == corner
        if numbers is None or not compared or numbers.difference_k is None:
            below = below_others(facts, (corner,))
            reasons.append(Reason(code="stands_out_cold", corners=(corner,), numbers=below))
        elif _cold_side_is_known(facts, (corner,)):
            both = (corner, mate_of(corner))
            reasons.append(Reason(code="stands_out_cold", corners=both, numbers=numbers.gap_numbers))
        else:
            reasons.append(gap_open(numbers, facts.policy))
    return tuple(reasons)


def _has_rival(facts: CaseFacts, p: float) -> bool:
    """True where a drag elsewhere may be what was read instead.

    Of three axles and more others stand beside both: what is all but certain then has no rival.
    """
    certain = len(facts.axles) > _ALIKE_AXLES and p >= 1.0 - facts.policy.doubt_probability
    return rivals(facts) and not certain


def _cold_side_is_known(facts: CaseFacts, corners: Sequence[str]) -> bool:
    """True unless the mate explains a named corner about as well, or nothing else can tell."""
    return len(facts.axles) > 1 and side_is_known(facts, corners, hot=False)


def _below_air(facts: CaseFacts, p: float) -> Answer | None:
    reasons = air_reasons(facts)
    if not reasons:
        return None
    corners = tuple(corner for reason in reasons for corner in reason.corners)
    return Answer(answer="cannot_tell", p=p, corners=corners, reasons=reasons)


def _too_cool(facts: CaseFacts, p: float) -> Answer | None:
    """Nothing can be said of a brake that does nothing where hardly any brake was warmed."""
    needed_k = facts.policy.minimum_rise_k
    if facts.warmest_k >= needed_k or facts.uncleared.reasons:
        return None
    reason = Reason(code="not_enough_heat", numbers={"warmest_k": facts.warmest_k, "needed_k": needed_k})
    return Answer(answer="cannot_tell", p=p, reasons=(reason, *air_reasons(facts)))


def _shows_already(facts: CaseFacts, p: float) -> bool:
    """True where a brake without heat shows though the others are hardly warm: it is watched, not called."""
    return p >= facts.policy.idle_call_probability or bool(plain_gaps(facts))


def _slowed_otherwise(facts: CaseFacts, p: float) -> Answer | None:
    """Axles whose work a motor or a retarder did: cold is no fault of theirs, and no proof of health."""
    levels = {number: _level_k(facts, number) for number in facts.axles}
    far_k = max(levels.values(), default=0.0) / facts.policy.unlike_axles_ratio
    spared = (number for number in sorted(levels) if number in facts.vehicle.spared)
    cold = tuple(
        side.corner for number in spared if levels[number] < far_k for side in facts.axles[number].sides
    )
    if not cold:
        return None
    reason = Reason(code="slowed_otherwise", corners=cold)
    return Answer(answer="cannot_tell", p=p, corners=cold, reasons=(reason,))


def _level_k(facts: CaseFacts, number: int) -> float:
    """Rise of an axle as it would be with the usual share of the vehicle's heat [K]."""
    rises = facts.axles[number].rises_k
    return max(sum(rises) / len(rises), 1.0) / facts.usual_share(number) if rises else 0.0


def found_working(facts: CaseFacts, corner: str, dragging: Collection[str]) -> bool:
    """True for a brake that makes its own heat, or whose mate does: what it does without is another drive."""
    return corner in dragging or _does_its_part(facts, corner, dragging)


def idle_hidden(facts: CaseFacts, p: float, dragging: Collection[str]) -> Answer | None:
    """Too few readings, or too unlike a vehicle, for a brake that does nothing to show."""
    hides = tuple(corner for corner in facts.hides_idle if not found_working(facts, corner, dragging))
    if not hides:
        return None
    line = {"share_line": facts.policy.hidden_loss_share}
    reason = Reason(code="limit_above_line", corners=hides, numbers=line)
    return Answer(answer="cannot_tell", p=p, corners=hides, reasons=(reason,))
