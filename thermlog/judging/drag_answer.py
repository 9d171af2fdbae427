"""The first question: does a brake drag."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from thermlog.judging.alternatives import gap_open
from thermlog.judging.asides import of_stray
from thermlog.judging.axlenumbers import AxleNumbers
from thermlog.judging.facts import CaseFacts, Suspected
from thermlog.judging.reckoning import (
    ITS_PART,
    above,
    by_axle,
    cooler_may_be_sound,
    few_readings,
    hotter_may_drag,
    is_axle_of_two,
    no_difference,
    nothing_warm,
    plain_gaps,
    rather_idle,
    rivals,
    side_is_known,
    single_reading,
    single_sides,
    unlike_cooling,
    unseen,
)
from thermlog.judging.unlike_axles import unlike_axles
from thermlog.words.findings import Answer
from thermlog.words.kinds import fault_kind, kind_of
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import mate_of


def drag_answer(facts: CaseFacts) -> Answer:
    """Answer whether a brake drags, as far as one drive tells."""
    p, uncleared = facts.drag.p, facts.uncleared
    if uncleared.blocks_all or p is None:
        return Answer(answer="cannot_tell", corners=tuple(uncleared.corners), reasons=uncleared.reasons)
    return (
        nothing_warm(facts, p)
        or _unlike(facts, p)
        or _drag_called(facts, p)
        or _plain_gap(facts, p)
        or unlike_cooling(facts, p, cold=False)
        or _nearly_plain(facts, p)
        or _gap_either_way(facts, p)
        or unseen(facts, p)
        or _drag_hidden(facts, p)
        or Answer(
            answer="no", p=p, reasons=(*no_difference(facts), *_stop_unknown(facts), *_told_strays(facts))
        )
    )


def _unlike(facts: CaseFacts, p: float) -> Answer | None:
    """Two axles far from their usual share; a clear gap on one of them is told all the same."""
    found = unlike_axles(facts, hot=True, partly=True)
    gap = None if found is None or found.answer == "watch" else _plain_gap(facts, p)
    return found if found is None or gap is None else replace(gap, reasons=(*gap.reasons, *found.reasons))


def _drag_called(facts: CaseFacts, p: float) -> Answer | None:
    """Probable enough to call, or to watch."""
    policy = facts.policy
    if p < policy.doubt_probability:
        return None
    facts, mate = _hotter_alone(facts)
    found = facts.drag
    single = _rests_on_one(facts, found)
    sure = p >= policy.drag_call_probability and not single and not rivals(facts)
    sure = sure and not rather_idle(facts)
    sure = sure and not any(_alone(facts, corner) for corner in found.corners)
    sure = sure and all(_has_curve(facts, corner) for corner in found.corners)
    sure = sure and _side_is_known(facts, found.corners) and not is_axle_of_two(facts, found.corners)
    gaps = [one for one in plain_gaps(facts) if hotter_may_drag(one, facts) and not _told(one, found)]
    beside = tuple(one.hot_cold[0].corner for one in gaps)
    open_gaps = tuple(gap_open(one, policy) for one in gaps)
    sure = sure and _large_enough(facts, found)
    reasons = _why_hot(facts, sure=sure)
    if sure:
        reasons = (*reasons, *open_gaps, *facts.uncleared.reasons)
        return Answer(answer="yes", p=p, corners=found.corners, beside=(*mate, *beside), reasons=reasons)
    if _gap_within(facts) is not None and (apart := _plain_gap(facts, p)) is not None:
        return apart
    reasons = (*reasons, *single, *open_gaps, *facts.uncleared.reasons)
    return Answer(answer="watch", p=p, corners=(*found.corners, *beside), reasons=reasons)


def _hotter_alone(facts: CaseFacts) -> tuple[CaseFacts, tuple[str, ...]]:
    """The same with but the hotter brake of an axle of two that is said to drag, and its mate beside it.

    Whether the mate drags, too, hangs on the usual share of the axle, which one log of two axles does not
    tell.
    """
    found, gap = facts.drag, _gap_within(facts)
    if gap is None or len(found.corners) > len(gap.sides):
        return facts, ()
    if not is_axle_of_two(facts, found.corners) or not hotter_may_drag(gap, facts):
        return facts, ()
    hot, mate = gap.hot_cold
    alone = replace(found, corners=(hot.corner,), kind=kind_of("corner", "hot").name)
    return replace(facts, drag=alone), (mate.corner,) if mate.p_hot >= facts.policy.gap_probability else ()


def _told(numbers: AxleNumbers, found: Suspected) -> bool:
    """True for a gap whose axle is spoken of already."""
    return any(side.corner in found.corners for side in numbers.sides)


def _gap_within(facts: CaseFacts) -> AxleNumbers | None:
    """The plain gap between two brakes of an axle that are both said to drag: it tells which of them does.

    Of an axle of two the hotter one alone is called then; elsewhere the gap is told in place of a call that
    is not sure.
    """
    named = set(facts.drag.corners)
    return next((one for one in plain_gaps(facts) if {side.corner for side in one.sides} <= named), None)


def _why_hot(facts: CaseFacts, *, sure: bool) -> tuple[Reason, ...]:
    """Numbers of the axles that the best explanation with a dragging brake names.

    Not `sure`: of a gap also what else it may be.
    """
    found = facts.drag
    if code := fault_kind(found.kind).reason:
        return (Reason(code=code, corners=found.corners, numbers=above(facts, found.corners)),)
    whole, single = by_axle(found.corners)
    reasons = [Reason(code="both_sides_hot", corners=pair, numbers=above(facts, pair)) for pair in whole]
    for corner in single:
        numbers = facts.axle_of(corner)
        if facts.coast:
            reasons.append(_hot_without_braking(facts, corner))
        elif (
            numbers is not None and numbers.difference_k is not None and numbers.hot_cold[0].corner == corner
        ):
            known = sure and _side_is_known(facts, (corner,))
            reasons.append(_stands_out(numbers) if known else gap_open(numbers, facts.policy))
        elif numbers is not None and (unsteady := _unsteady_and_hotter(numbers, corner)) is not None:
            reasons.append(unsteady)
        else:
            reasons.append(Reason(code="stands_out_hot", corners=(corner,), numbers=above(facts, (corner,))))
    return tuple(reasons)


def _unsteady_and_hotter(numbers: AxleNumbers, corner: str) -> Reason | None:
    """A brake that is hotter than its mate although one of the two has no curve: told by what they read."""
    here, mate = numbers.side(corner), numbers.side(mate_of(corner))
    if here.heard and mate.heard and not (here.used and mate.used):
        ends = {
            "low_degc": here.coldest_degc, "high_degc": here.hottest_degc,
            "mate_low_degc": mate.coldest_degc, "mate_high_degc": mate.hottest_degc,
        }  # fmt: skip
        told = {name: value for name, value in ends.items() if value is not None}
        return Reason(code="unsteady_and_hotter", corners=(here.corner, mate.corner), numbers=told)
    return None


def _stands_out(numbers: AxleNumbers) -> Reason:
    hot, cold = numbers.hot_cold
    return Reason(code="stands_out_hot", corners=(hot.corner, cold.corner), numbers=numbers.gap_numbers)


def _hot_without_braking(facts: CaseFacts, corner: str) -> Reason:
    numbers = facts.axle_of(corner)
    rise_k = None if numbers is None else numbers.side(corner).rise_k
    return Reason(
        code="hot_without_braking", corners=(corner,), numbers={} if rise_k is None else {"rise_k": rise_k}
    )


def _side_is_known(facts: CaseFacts, corners: Sequence[str]) -> bool:
    """True unless the mate explains a named corner about as well, or nothing else can tell."""
    return (len(facts.axles) > 1 or facts.coast) and side_is_known(facts, corners, hot=True)


def _large_enough(facts: CaseFacts, found: Suspected) -> bool:
    """True where what is called also passes the watch difference: small gaps are watched, not called."""
    for corner in found.corners:
        numbers = facts.axle_of(corner)
        if numbers is None or mate_of(corner) in found.corners or numbers.difference_k is None:
            continue
        if numbers.size_k < facts.policy.watch_difference_k:
            return False
    return True


def _rests_on_one(facts: CaseFacts, found: Suspected) -> tuple[Reason, ...]:
    """Corners whose single reading, or one odd of two, could be the whole of it."""
    weak: list[str] = []
    for corner in found.corners:
        numbers = facts.axle_of(corner)
        if numbers is None:
            continue
        if mate_of(corner) in found.corners:
            weak += [corner] if _pair_rests_on_one(numbers, corner, found, facts) else []
        elif _alone(facts, corner):
            weak += [corner] if numbers.side(corner).is_doubtful else []
        elif not numbers.stays_without_one_reading(facts.policy):
            weak.append(corner)
    few = [facts.axles[int(corner[:-1])].to_repeat(corner) for corner in weak if few_readings(facts, corner)]
    return (single_reading(facts, few),) if few else ()


def _has_curve(facts: CaseFacts, corner: str) -> bool:
    """True for readings that make a cooling curve, and are not those of a gun on hold."""
    numbers = facts.axle_of(corner)
    return numbers is None or (numbers.side(corner).used > 0 and not numbers.side(corner).unchanged)


def _alone(facts: CaseFacts, corner: str) -> bool:
    """True for a brake whose mate was not read, or not at the same spot."""
    numbers = facts.axle_of(corner)
    return numbers is not None and numbers.side(mate_of(corner)).used == 0


def _pair_rests_on_one(numbers: AxleNumbers, corner: str, found: Suspected, facts: CaseFacts) -> bool:
    """Both sides are said to drag, and one reading of the far hotter one, or of each, may be why."""
    if numbers.hot_cold[0].corner == corner and numbers.is_plain(facts.policy):
        return not numbers.stays_without_one_reading(facts.policy)
    both_once = all(side.single for side in numbers.sides)
    return both_once and len(found.corners) == 2 and len(facts.axles) == 1


def _plain_gap(facts: CaseFacts, p: float) -> Answer | None:
    """A gap too clear to be called even, however well the model explains it away."""
    plain = [one for one in plain_gaps(facts) if hotter_may_drag(one, facts)]
    if not plain:
        return None
    first = max(plain, key=lambda numbers: numbers.size_k)
    corners = tuple(numbers.hot_cold[0].corner for numbers in plain)
    reasons = (*(hot_gap(facts, one) for one in plain), *single_sides([first]), *facts.uncleared.reasons)
    return Answer(answer="watch", p=p, corners=corners, reasons=reasons)


def _gap_either_way(facts: CaseFacts, p: float) -> Answer | None:
    """A plain gap whose cooler side is rather the odd one, and need not be: nothing is cleared of dragging.

    How an axle shares the heat with the others is known within a factor only. Where the cooler side has what
    a sound brake of a low share has, the hotter one may be the odd one, however the model weighs it.
    """
    either = [one for one in plain_gaps(facts) if cooler_may_be_sound(one, facts)]
    if not either:
        return None
    sides = [tuple(side.corner for side in numbers.hot_cold) for numbers in either]
    gaps = (
        Reason(code="gap_either_way", corners=both, numbers=one.gap_numbers)
        for one, both in zip(either, sides, strict=True)
    )
    once = [
        one.to_repeat(cold)
        for one, (_, cold) in zip(either, sides, strict=True)
        if few_readings(facts, cold) and not one.stays_without_one_reading(facts.policy)
    ]
    missed = (single_reading(facts, once),) if once else ()  # read again before anything else
    reasons = (*missed, *gaps, *facts.uncleared.reasons)
    return Answer(answer="cannot_tell", p=p, corners=tuple(hot for hot, _ in sides), reasons=reasons)


def _nearly_plain(facts: CaseFacts, p: float) -> Answer | None:
    """A gap past the marks, though not beyond doubt, after a drive without braking.

    After braking sound sides may lie so far apart; without they are nearer to each other.
    """
    near = [one for one in facts.axles.values() if one.is_nearly_plain(facts.policy)] if facts.coast else []
    if not near:
        return None
    near.sort(key=lambda numbers: -numbers.size_k)
    corners = tuple(numbers.hot_cold[0].corner for numbers in near)
    reasons = (
        Reason(code="gap_near", corners=(corner, mate_of(corner)), numbers=numbers.gap_numbers)
        for corner, numbers in zip(corners, near, strict=True)
    )
    return Answer(answer="cannot_tell", p=p, corners=corners, reasons=(*reasons, *facts.uncleared.reasons))


def hot_gap(facts: CaseFacts, numbers: AxleNumbers) -> Reason:
    """What is said of a plain gap; on a lifted axle none is open: the cooler brake is cold by right."""
    hot, cold = numbers.hot_cold
    if not facts.vehicle.is_lifted(numbers.axle):
        return gap_open(numbers, facts.policy)
    return Reason(code="hot_though_lifted", corners=(hot.corner, cold.corner), numbers=numbers.gap_numbers)


def found_cold(facts: CaseFacts) -> tuple[str, ...]:
    """Brakes that are said not to work: they have no heat to drag with, and are not asked for it."""
    return facts.idle.corners if (facts.idle.p or 0.0) >= facts.policy.idle_call_probability else ()


def _drag_hidden(facts: CaseFacts, p: float) -> Answer | None:
    cold = found_cold(facts)
    hides = tuple(corner for corner in facts.hides_drag if corner not in cold)
    hides = tuple(corner for corner in hides if facts.hottest_drag_k(corner) >= facts.hidden_line_k(corner))
    if not hides:
        return None
    low = tuple(corner for corner in hides if _reads_low(facts, corner))
    if low:  # nothing could hide at a brake so cool, but behind a reading that missed
        return Answer(answer="cannot_tell", p=p, corners=low, reasons=(single_reading(facts, low),))
    reason = Reason(code="limit_above_line", corners=hides)
    return Answer(answer="cannot_tell", p=p, corners=hides, reasons=(reason,))


def _stop_unknown(facts: CaseFacts) -> tuple[Reason, ...]:
    """What a "no" rests on where hardly a brake is warm and nobody stated when the wheels stopped."""
    if facts.coast or facts.case.parked_known or facts.warmest_k >= facts.policy.minimum_rise_k:
        return ()
    return (Reason(code="stop_unknown", numbers={"latest": facts.policy.latest_reading_s / 60.0}),)


def _told_strays(facts: CaseFacts) -> Iterator[Reason]:
    """Readings that would have made a hot brake, and that later ones of the same wheel contradict."""
    for numbers in facts.axles.values():
        for side in numbers.sides:
            if (stray := numbers.far_stray(side.corner, facts.policy)) is not None:
                yield of_stray(stray, numbers, side.corner)


def _reads_low(facts: CaseFacts, corner: str) -> bool:
    """True where one reading, or two that contradict each other, say a brake is far too cool."""
    numbers, expected = facts.axle_of(corner), facts.expected_k(corner)
    if numbers is None or expected is None or not numbers.side(corner).is_doubtful:
        return False
    rise_k = numbers.side(corner).rise_k or 0.0
    return rise_k < min(ITS_PART * expected, facts.hidden_line_k(corner))
