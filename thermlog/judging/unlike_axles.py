"""Two axles far from their usual share of heat: both readings of it, for one log decides between them never."""

from __future__ import annotations

from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer, AnswerWord
from thermlog.words.reasons import Reason

_LEAST_SHARE = 0.25  # of the two readings; less likely ones are not watched, and not excluded either


def unlike_axles(facts: CaseFacts, *, hot: bool) -> Answer | None:
    """Two axles far from their usual share: one drags, or the other does nothing; one log cannot say which."""
    if len(facts.axles) != 2 or len(facts.vehicle.axles) != 2 or facts.coast:
        return None
    p_hot, p_cold = facts.p_kind["axle_hot"], facts.p_kind["axle_cold"]
    best = max(facts.p_kind, key=lambda kind: facts.p_kind[kind])
    if p_hot + p_cold < facts.policy.doubt_probability or best not in {"none", "axle_hot", "axle_cold"}:
        return None
    warm = _warm_axle(facts)
    if warm is None or facts.sight.corners:
        return None
    corners = {number: tuple(side.corner for side in axle.sides) for number, axle in facts.axles.items()}
    cool = next(number for number in corners if number != warm)
    reason = Reason(code="axles_unlike", corners=corners[warm] + corners[cool], numbers=_times(facts, warm))
    p, share = (facts.drag.p, p_hot) if hot else (facts.idle.p, p_cold)
    named = corners[warm] if hot else corners[cool]
    word: AnswerWord = "watch" if share >= _LEAST_SHARE * (p_hot + p_cold) else "cannot_tell"
    return Answer(answer=word, p=p, corners=named, reasons=(reason, *facts.sight.reasons))


def _warm_axle(facts: CaseFacts) -> int | None:
    """The axle that the explanations "one axle hot" and "the other cold" agree on."""
    for found in (facts.drag, facts.idle):
        if found.kind == "axle_hot":
            return int(found.corners[0][:-1])
        if found.kind == "axle_cold":
            cold = int(found.corners[0][:-1])
            return next(number for number in facts.axles if number != cold)
    return None


def _times(facts: CaseFacts, warm: int) -> dict[str, float]:
    """How many times as warm as usual beside the other axle."""
    means = {}
    for number, axle in facts.axles.items():
        rises = [side.rise_k for side in axle.sides if side.rise_k is not None]
        if not rises:
            return {}
        means[number] = max(sum(rises) / len(rises), 1.0)
    cool = next(number for number in means if number != warm)
    usual = facts.policy.front_share if facts.vehicle.axles[0].role == "steer" else 1.0
    share = usual if warm == 1 else 1.0 / usual
    return {"times": means[warm] / means[cool] / share}
