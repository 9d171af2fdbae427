"""What the answers to both questions share: gaps in words of reasons, and what was not seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from thermlog.judging.axlenumbers import AxleNumbers
from thermlog.judging.facts import CaseFacts
from thermlog.words.estimates import median
from thermlog.words.findings import Answer
from thermlog.words.kinds import fault_kind
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.vehicle import mate_of

_FEW = 2  # readings
ITS_PART = 0.6  # of what the other axles lead to expect: a brake that did as much of the work; judgement
_HOT_ONLY: frozenset[ReasonCode] = frozenset({"stray_hotter", "other_unit"})
_LIVE_SHARE = 0.2  # of the probability of the other reading of a strong gap; engineering judgement
_EVEN_CHANCE = 0.5
# Of what the other axles lead to expect: a sound brake hardly ever has less. Drums of a small car have a
# quarter of the heat of its discs, where usual is two thirds (0.37); engineering judgement, no source
_LEAST_SHARE = 0.25
_NOTICEABLE_K = 4.0  # rise of the warmest brake: twice what an air is usually known to; engineering judgement


def above(facts: CaseFacts, corners: Sequence[str]) -> dict[str, float]:
    """Mean rise of some corners over the mean of the others [K]."""
    here: list[float] = []
    there: list[float] = []
    for axle in facts.axles.values():
        for side in axle.sides:
            if side.rise_k is not None:
                (here if side.corner in corners else there).append(side.rise_k)
    if not here or not there:
        return {}
    return {"above_k": sum(here) / len(here) - sum(there) / len(there)}


def by_axle(corners: Sequence[str]) -> tuple[list[tuple[str, ...]], list[str]]:
    """Corners that are both sides of an axle, two by two, and the others."""
    named = set(corners)
    whole: list[tuple[str, ...]] = [
        (corner, mate_of(corner)) for corner in corners if corner.endswith("L") and mate_of(corner) in named
    ]
    return whole, [corner for corner in corners if mate_of(corner) not in named]


def is_axle_of_two(facts: CaseFacts, corners: Sequence[str]) -> bool:
    """True where a whole axle of two is named after braking: one log never decides which of them is odd."""
    return len(facts.axles) == 2 and not facts.coast and bool(by_axle(corners)[0])


def unseen(facts: CaseFacts, p: float, *, hot: bool = True) -> Answer | None:
    """Nothing is cleared where a wheel was not read; `hot`: of dragging, as only a hot stray asks for."""
    uncleared = facts.uncleared
    left_out = frozenset[ReasonCode]() if hot else _HOT_ONLY
    warm = frozenset[str]() if hot else frozenset(warm_either_way(facts))
    reasons = tuple(
        one
        for one in uncleared.reasons
        if one.code not in left_out and not (one.corners and warm.issuperset(one.corners))
    )
    if not reasons:
        return None
    corners = tuple(
        one for one, why in uncleared.corners.items() if why.code not in left_out and one not in warm
    )
    return Answer(answer="cannot_tell", p=p, corners=corners, reasons=reasons)


def warm_either_way(facts: CaseFacts) -> tuple[str, ...]:
    """Wheels with two readings that contradict each other, both as warm as a sound brake: such a brake works.

    Which of them is right only tells whether it drags. More that climb or jump may be of another spot
    altogether, and tell neither.
    """
    return tuple(corner for corner in facts.uncleared.corners if _is_warm_either_way(facts, corner))


def _is_warm_either_way(facts: CaseFacts, corner: str) -> bool:
    numbers, air_degc = facts.axle_of(corner), facts.case.ambient_degc
    if (
        facts.uncleared.corners[corner].code != "contradicting_readings"
        or numbers is None
        or air_degc is None
    ):
        return False
    side, mate = numbers.side(corner), numbers.side(mate_of(corner))
    if side.readings > _FEW or side.coldest_degc is None or mate.rise_k is None or mate.is_doubtful:
        return False
    expected_k = facts.expected_k(mate.corner)
    least_k = facts.policy.minimum_rise_k if expected_k is None else ITS_PART * expected_k
    return mate.rise_k >= least_k and side.coldest_degc - air_degc >= ITS_PART * mate.rise_k


def nothing_warm(facts: CaseFacts, p: float) -> Answer | None:
    """Nothing is told of brakes none of which holds noticeable heat: nobody braked, or nobody drove.

    After a drive without braking cold is the good answer.
    """
    if facts.coast or facts.warmest_k >= _NOTICEABLE_K or facts.uncleared.reasons:
        return None
    reason = Reason(code="nothing_warm", numbers={"warmest_k": facts.warmest_k})
    return Answer(answer="cannot_tell", p=p, reasons=(reason,))


def no_difference(facts: CaseFacts) -> tuple[Reason, ...]:
    """The widest gap of all that sound brakes show; none where every axle has a gap of another kind."""
    policy, found = facts.policy, facts.idle
    idle = {int(corner[:-1]) for corner in found.corners if (found.p or 0.0) >= policy.doubt_probability}
    compared = [numbers for numbers in facts.axles.values() if numbers.difference_k is not None]
    if not compared:
        return (Reason(code="even"),)
    sound = [
        numbers
        for numbers in compared
        if numbers.axle not in idle and not numbers.is_plain(policy) and numbers.cools_unlike(policy) is None
    ]
    if not sound:
        return ()
    widest = max(sound, key=lambda numbers: numbers.size_k)
    corners = tuple(side.corner for side in widest.hot_cold)
    return (Reason(code="even", corners=corners, numbers=widest.gap_numbers),)


def few_readings(facts: CaseFacts, corner: str) -> bool:
    """True where one or two readings stand behind a corner or its mate."""
    numbers = facts.axle_of(corner)
    return numbers is not None and min(side.used for side in numbers.sides) <= _FEW


def single_reading(facts: CaseFacts, corners: Sequence[str]) -> Reason:
    """That one reading may be why corners stand out; says how many there are where three or more disagree."""
    counts = []
    for corner in corners:
        numbers = facts.axle_of(corner)
        counts.append(0 if numbers is None else numbers.side(corner).readings)
    told = {"readings": float(max(counts))} if counts and min(counts) > _FEW else {}
    return Reason(code="single_reading", corners=tuple(corners), numbers=told)


def unlike_cooling(facts: CaseFacts, p: float, *, cold: bool) -> Answer | None:
    """Sides that cool at clearly different rates.

    First a sign of a bad log, then of a hub feeding heat: the slower side is watched. `cold`: the cooler side
    is, where it is the likely odd one, for another spot there, or too little heat.
    """
    for numbers in facts.axles.values():
        if (times := numbers.cools_unlike(facts.policy)) is None:
            continue
        left, right = numbers.sides
        slow, fast = (left, right) if (left.tau_s or 0.0) > (right.tau_s or 0.0) else (right, left)
        hot, cool = numbers.hot_cold
        if cold == (cool.corner == fast.corner and cool.p_cold > hot.p_hot and not facts.coast):
            odd = fast if cold else slow
            both = (slow.corner, fast.corner)
            reason = Reason(code="cools_unlike", corners=both, numbers={"times": times})
            reasons = (reason, *facts.uncleared.reasons)
            return Answer(answer="watch", p=p, corners=(odd.corner,), reasons=reasons)
    return None


def single_sides(axles: Iterable[AxleNumbers]) -> tuple[Reason, ...]:
    """Sides that one reading, or one odd one of two, stands for."""
    sides = (side for numbers in axles for side in numbers.hot_cold)
    return tuple(Reason(code="single_reading", corners=(side.corner,)) for side in sides if side.single)


def plain_gaps(facts: CaseFacts) -> list[AxleNumbers]:
    """Axles whose gap is too clear to be called even, the widest first."""
    plain = [numbers for numbers in facts.axles.values() if numbers.is_plain(facts.policy)]
    return sorted(plain, key=lambda numbers: -numbers.size_k)


def rivals(facts: CaseFacts) -> bool:
    """True where whole axles that drag, and others that do nothing, both explain what was read."""
    doubt = facts.policy.doubt_probability
    if (facts.drag.p or 0.0) < doubt or (facts.idle.p or 0.0) < doubt:
        return False
    both = (facts.drag, facts.idle)
    whole = any(fault_kind(found.kind).shown_by == "height" or by_axle(found.corners)[0] for found in both)
    return whole and not set(facts.drag.corners) & set(facts.idle.corners)


def rather_idle(facts: CaseFacts) -> bool:
    """True where a drag is less likely than not, and less likely than a brake that does too little.

    What was read is then told by the one or by the other, and nobody is sent to the less likely of them. A
    brake that is plainly above its own mate, which is none of those, is told by no dead brake elsewhere.
    """
    p = facts.drag.p or 0.0
    hot = {numbers.hot_cold[0].corner for numbers in plain_gaps(facts)}
    own = all(one in hot and mate_of(one) not in facts.idle.corners for one in facts.drag.corners)
    alone = own and bool(facts.drag.corners)
    return p < _EVEN_CHANCE and (facts.idle.p or 0.0) > p and not alone


def below_others(facts: CaseFacts, corners: Sequence[str]) -> dict[str, float]:
    """Mean rise of the others over the mean of some corners [K], as a reason carries it."""
    found = above(facts, corners)
    return {"below_k": -found["above_k"]} if found else {}


def side_is_known(facts: CaseFacts, corners: Sequence[str], *, hot: bool) -> bool:
    """True unless the other reading of a gap explains a named corner about as well.

    Parameters
    ----------
    facts : CaseFacts
    corners : sequence of str
        Those named.
    hot : bool
        They are said to drag, and their mates may do too little; else the other way round.
    """
    for corner in corners:
        numbers, mate = facts.axle_of(corner), mate_of(corner)
        if numbers is None or mate in corners:
            continue
        here, there = numbers.side(corner), numbers.side(mate)
        own, other = (here.p_hot, there.p_cold) if hot else (here.p_cold, there.p_hot)
        if own < facts.policy.side_probability * (own + other):
            return False
    return True


def hotter_may_drag(numbers: AxleNumbers, facts: CaseFacts) -> bool:
    """True unless the rest of the vehicle says that the cooler side of a plain gap is the odd one.

    With one axle there is no rest: both readings of the gap stand. So they do where a motor or a retarder
    does the work of the axle, and past the strong marks, where no
    single reading makes the gap, the cooler side is not called either, and a drag is not far less probable
    than a brake that does too little.
    """
    policy, (hot, cold) = facts.policy, numbers.hot_cold
    likely = hot.p_hot >= policy.gap_probability or hot.p_hot >= cold.p_cold
    likely = likely or numbers.axle in facts.vehicle.spared  # cold by right: the warm one is the suspect
    neither = cold.p_cold < policy.idle_call_probability and numbers.stays_without_one_reading(policy)
    live = neither and numbers.is_strong(policy) and hot.p_hot >= _LIVE_SHARE * cold.p_cold
    return likely or len(facts.axles) < 2 or live


def cooler_may_be_sound(numbers: AxleNumbers, facts: CaseFacts) -> bool:
    """True where the cooler side of a gap is not surely dead, and has as much heat as a sound brake may have.

    What the other axles lead to expect of it is known within a factor only: drums behind discs, load, and who
    brakes how hard move the share of an axle. A call alone is not sure: what is left of its probability is
    the hotter side's as well.
    """
    _, cold = numbers.hot_cold
    return cold.p_cold < 1.0 - facts.policy.doubt_probability and has_least_share(facts, cold.corner)


def has_least_share(facts: CaseFacts, corner: str) -> bool:
    """True for a brake with as much heat as a sound one may have for what the other axles show."""
    expected_k, numbers = facts.expected_k(corner), facts.axle_of(corner)
    if expected_k is None or numbers is None:
        return False
    return (numbers.side(corner).rise_k or 0.0) >= _LEAST_SHARE * expected_k


def heat_usual(rises_k: Sequence[float], policy: Policy, *, coast: bool) -> Reason:
    """That the brakes are no warmer than such a drive leaves them; where next to nothing is left, so much."""
    if not rises_k:
        return Reason(code="heat_usual")  # one hot brake is no warm vehicle
    rise_k = median(list(rises_k))
    low = not coast and rise_k < policy.minimum_rise_k
    return Reason(code="heat_usual", numbers={"low_rise_k" if low else "rise_k": rise_k})
