"""Two axles far from their usual share of heat: both readings of it, for one log never decides."""

from __future__ import annotations

from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer, AnswerWord
from thermlog.words.kinds import FAULT_KINDS, kind_of
from thermlog.words.reasons import Reason

# Kinds of which an axle as a whole is one reading; not what takes a single brake, a circuit or the vehicle.
_WHOLE = frozenset(kind.name for kind in FAULT_KINDS if kind.scope in {"nothing", "axle", "several"})
_READ_ALL_THE_SAME = frozenset({"doubted"})
_LEAST_SHARE = 0.1  # of the two readings; less likely ones are not watched, nor excluded; judgement


def unlike_axles(facts: CaseFacts, *, hot: bool, partly: bool = False) -> Answer | None:
    """Answer for two axles far from their usual share: one drags, or the other does nothing.

    Parameters
    ----------
    facts : CaseFacts
    hot : bool
        It is asked whether a brake drags, not whether one does too little.
    partly : bool
        Also where a wheel was not read, or not so that it is cleared: less is known of the axles than where
        all were, and no more is said.
    """
    if len(facts.axles) != 2 or len(facts.vehicle.axles) != 2 or facts.coast:
        return None
    p_hot, p_cold = (facts.p_kind[kind_of("axle", sign).name] for sign in ("hot", "cold"))
    warm = _warm_axle(facts)
    cool = next((number for number in facts.axles if number != warm), None)
    motor = cool in facts.vehicle.spared  # or a retarder: no brake is said to do too little
    unread = any(reason.code not in _READ_ALL_THE_SAME for reason in facts.uncleared.corners.values())
    if warm is None or cool is None or (unread and not partly) or (motor and not hot):
        return None
    far = _times(facts, warm).get("times", 0.0) >= facts.policy.unlike_axles_ratio
    far = far and _warm_enough(facts) and not (motor and _no_warmer_than_usual(facts))
    unlike = p_hot + p_cold >= facts.policy.doubt_probability or far
    if not unlike or not _of_whole_axles(facts, warm):
        return None
    corners = {
        number: tuple(side.corner for side in axle.sides if side.used) for number, axle in facts.axles.items()
    }
    reason = Reason(code="axles_unlike", corners=corners[warm] + corners[cool], numbers=_times(facts, warm))
    p, share = (facts.drag.p, p_hot) if hot else (facts.idle.p, p_cold)
    named = corners[warm] if hot else corners[cool]
    likely = share >= _LEAST_SHARE * (p_hot + p_cold)
    if hot and unread and not likely:  # by readings that may be wrong nothing is excluded
        return None
    word: AnswerWord = "watch" if likely else "cannot_tell"
    uncleared = facts.uncleared.reasons  # what was not read is read before a drive tells axles apart
    reasons = (*uncleared, reason) if unread else (reason, *uncleared)
    return Answer(answer=word, p=p, corners=named, reasons=reasons)


def _of_whole_axles(facts: CaseFacts, warm: int) -> bool:
    """True where axles as a whole are unlike, and not one brake of them, or what was read of them."""
    if max(facts.p_kind, key=lambda kind: facts.p_kind[kind]) not in _WHOLE:
        return False
    if len({axle.surface_known for axle in facts.axles.values()}) > 1:
        # metal beside bare readings: the one is always the hotter
        return False
    apart = _times(facts, warm, apart=True).get("times", 0.0) >= facts.policy.unlike_axles_ratio
    # one brake can make its whole axle unlike the other
    return apart or not any(axle.is_plain(facts.policy) for axle in facts.axles.values())


def _warm_enough(facts: CaseFacts) -> bool:
    """Enough heat for an axle that does nothing to show."""
    return facts.warmest_k >= facts.policy.minimum_rise_k


def _no_warmer_than_usual(facts: CaseFacts) -> bool:
    """A motor that brakes too leaves one axle cold; it makes none warmer than usual braking does."""
    return facts.warmest_k <= facts.policy.usual_heat_median_k


def _warm_axle(facts: CaseFacts) -> int | None:
    """The axle that is warmer than its usual share beside the other."""
    first = min(facts.axles)
    times = _times(facts, first).get("times")
    if times is None:
        return None
    return first if times >= 1.0 else next(number for number in facts.axles if number != first)


def _times(facts: CaseFacts, warm: int, *, apart: bool = False) -> dict[str, float]:
    """How many times as warm as usual beside the other axle: by the means, or `apart`, brake by brake."""
    levels = {}
    for number, axle in facts.axles.items():
        rises = axle.rises_k
        if not rises:
            return {}
        ends = min(rises) if number == warm else max(rises)
        levels[number] = max(ends if apart else sum(rises) / len(rises), 1.0)
    cool = next(number for number in levels if number != warm)
    share = facts.usual_share(warm) / facts.usual_share(cool)
    return {"times": levels[warm] / levels[cool] / share}
