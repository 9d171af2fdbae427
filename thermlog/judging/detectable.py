"""What this log would have shown, corner by corner, and what another reading or drive would make of it."""

from __future__ import annotations

import math

import numpy as np
from msgspec.structs import replace

from thermlog.advice.severity import brake_class, drag_torque_nm
from thermlog.judging.facts import CaseFacts
from thermlog.judging.judged import Judged
from thermlog.judging.likelihood import Brakes
from thermlog.judging.limits import Change, Limits, drag_line_k, limits_of
from thermlog.words.findings import Answer, Answers, Detectable
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.vehicle import SIDES, Spot, corner_name

# Matt black paint or tape known to a few hundredths: surfaces.toml, black_tape.
_MARKED_FRACTION = 0.02


def with_limits(judged: Judged, facts: CaseFacts, answers: Answers) -> Answers:
    """The answers with what the log would have shown, and what would lower that.

    Parameters
    ----------
    judged : Judged
    facts : CaseFacts
        Of the same case.
    answers : Answers

    Returns
    -------
    Answers
    """
    if facts.sight.blocks_all or facts.drag.p is None:
        return answers
    limits = _limits(judged, facts)
    seen = _detectable(judged, facts, limits)
    drag = _with_numbers(answers.drag, seen, facts, hidden_of_drag=True)
    idle = _with_numbers(answers.idle, seen, facts, hidden_of_drag=False)
    if drag.answer == "cannot_tell" and facts.hides_drag:
        drag = replace(drag, decides=tuple(_what_if(judged, facts, one) for one in drag.decides))
    return Answers(drag=drag, idle=idle, heat=answers.heat)


def _limits(judged: Judged, facts: CaseFacts, change: Change | None = None) -> Limits:
    chosen = np.zeros(len(judged.readings.cases), dtype=bool)
    chosen[facts.k] = True
    if change is None:
        return limits_of(judged.evidence, judged.gaps, chosen)
    return limits_of(judged.evidence, judged.gaps, chosen, change)


def _detectable(judged: Judged, facts: CaseFacts, limits: Limits) -> dict[str, Detectable]:
    found = {}
    for number, numbers in sorted(facts.axles.items()):
        for side, name in enumerate(SIDES):
            rise_k = _finite(limits.extra_k[side, numbers.pair])
            if np.isnan(limits.extra_k[side, numbers.pair]):
                continue
            corner = corner_name(number, name)
            torque = (
                None
                if rise_k is None
                else _torque_nm(rise_k, number, judged.digest.spot[numbers.pair], facts)
            )
            share = _finite(limits.loss_share[side, numbers.pair])
            found[corner] = Detectable(corner=corner, rise_k=rise_k, torque_nm=torque, lost_share=share)
    return found


def _torque_nm(rise_k: float, axle: int, spot: Spot, facts: CaseFacts) -> float:
    vehicle = facts.vehicle
    kind = brake_class(vehicle, axle, spot)
    return drag_torque_nm(rise_k, kind, tyre_radius_m=vehicle.tyre_radius_m, drive=facts.case.drive)


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _with_numbers(
    answer: Answer, seen: dict[str, Detectable], facts: CaseFacts, *, hidden_of_drag: bool
) -> Answer:
    """Limits beside a "no" and beside what they leave open; the worst corner's numbers in the reason."""
    if answer.answer not in {"no", "cannot_tell"}:
        return answer
    worst = _worst(seen, answer.corners or tuple(seen), hidden_of_drag=hidden_of_drag)
    reasons = tuple(
        replace(reason, corners=(worst.corner,), numbers=_numbers(worst, facts, drag=hidden_of_drag))
        if reason.code == "limit_above_line" and worst is not None
        else reason
        for reason in answer.reasons
    )
    if answer.answer == "no" and worst is not None:
        numbers = _numbers(worst, facts, drag=hidden_of_drag)
        reasons = (*reasons, Reason(code="limit_below_line", corners=(worst.corner,), numbers=numbers))
    return replace(answer, reasons=reasons, detectable=tuple(seen.values()))


def _worst(
    seen: dict[str, Detectable], corners: tuple[str, ...], *, hidden_of_drag: bool
) -> Detectable | None:
    def least(one: Detectable) -> float:
        value = one.rise_k if hidden_of_drag else one.lost_share
        return math.inf if value is None else value

    return max((seen[corner] for corner in corners if corner in seen), key=least, default=None)


def _numbers(one: Detectable, facts: CaseFacts, *, drag: bool) -> dict[str, float]:
    if not drag:
        line = {"share_line": facts.policy.hidden_loss_share}
        return line if one.lost_share is None else line | {"share_limit": one.lost_share}
    numbers = facts.axle_of(one.corner)
    rise_k = 0.0 if numbers is None else numbers.side(one.corner).rise_k or 0.0
    line_k = float(drag_line_k(facts.policy, np.array(rise_k)))
    if one.rise_k is None:
        return {"line_k": line_k}
    torque = {} if one.torque_nm is None else {"torque_nm": one.torque_nm}
    return {"limit_k": one.rise_k, "line_k": line_k} | torque


def _what_if(judged: Judged, facts: CaseFacts, step: Reason) -> Reason:
    """The limit at the worst corner after one more round, or with marks."""
    changes: dict[ReasonCode, Change] = {"another_round": _one_more_round, "mark_and_read": _marked}
    change = changes.get(step.code)
    if change is None:
        return step
    limits = _limits(judged, facts, change).extra_k
    pairs = [numbers.pair for numbers in facts.axles.values()]
    after = float(np.nanmax(limits[:, pairs]))
    return replace(step, numbers=step.numbers | {"after_k": after}) if math.isfinite(after) else step


def _one_more_round(brakes: Brakes) -> Brakes:
    part = brakes.used / (brakes.used + 1.0)
    return replace(brakes, variance=brakes.variance * part, used=brakes.used + 1)


def _marked(brakes: Brakes) -> Brakes:
    return replace(
        brakes,
        skin_fraction=np.full_like(brakes.skin_fraction, _MARKED_FRACTION),
        known=np.ones_like(brakes.known),
    )
