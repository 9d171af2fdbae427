"""Two axles far from their usual share of heat: both readings of it, for one log never decides."""

from __future__ import annotations

from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer, AnswerWord
from thermlog.words.kinds import FAULT_KINDS, kind_of
from thermlog.words.reasons import Reason

# Kinds of which an axle as a whole is one reading; not what takes a single brake, a circuit or the vehicle.
_WHOLE = frozenset(kind.name for kind in FAULT_KINDS if kind.scope in {"nothing", "axle", "several"})
_READ_ALL_THE_SAME = frozenset({"doubted"})  # a doubt of an axle is no reason to call the other one
_LEAST_SHARE = 0.1  # of the two readings; less likely ones are not watched, nor excluded; judgement


def unlike_axles(facts: CaseFacts, *, hot: bool) -> Answer | None:
    """Answer for two axles far from their usual share: one drags, or the other does nothing."""
    if len(facts.axles) != 2 or len(facts.vehicle.axles) != 2 or facts.coast:
        return None
    p_hot, p_cold = (facts.p_kind[kind_of("axle", sign).name] for sign in ("hot", "cold"))
    best = max(facts.p_kind, key=lambda kind: facts.p_kind[kind])
    warm = _warm_axle(facts)
    cool = next((number for number in facts.axles if number != warm), None)
    motor = cool in facts.vehicle.spared  # or a retarder: no brake is said to do too little
    unread = any(reason.code not in _READ_ALL_THE_SAME for reason in facts.uncleared.corners.values())
    if warm is None or cool is None or unread or best not in _WHOLE or (motor and not hot):
        return None
    if len({axle.surface_known for axle in facts.axles.values()}) > 1:
        # metal beside bare readings: the one is always the hotter
        return None
    apart = _times(facts, warm, apart=True).get("times", 0.0) >= facts.policy.unlike_axles_ratio
    if any(axle.is_plain(facts.policy) for axle in facts.axles.values()) and not apart:
        # one brake can make its whole axle unlike the other
        return None
    far = _times(facts, warm).get("times", 0.0) >= facts.policy.unlike_axles_ratio
    far = far and _warm_enough(facts) and not (motor and _no_warmer_than_usual(facts))
    if p_hot + p_cold < facts.policy.doubt_probability and not far:
        return None
    corners = {number: tuple(side.corner for side in axle.sides) for number, axle in facts.axles.items()}
    reason = Reason(code="axles_unlike", corners=corners[warm] + corners[cool], numbers=_times(facts, warm))
    p, share = (facts.drag.p, p_hot) if hot else (facts.idle.p, p_cold)
    named = corners[warm] if hot else corners[cool]
    word: AnswerWord = "watch" if share >= _LEAST_SHARE * (p_hot + p_cold) else "cannot_tell"
    return Answer(answer=word, p=p, corners=named, reasons=(reason, *facts.uncleared.reasons))


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
