"""What this log would have shown, corner by corner, and what another reading or drive would make of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, partial
from typing import TypeAlias

import numpy as np
from msgspec.structs import replace

from thermlog.advice.severity import brake_class, drag_torque_nm
from thermlog.judging.drag_answer import found_cold
from thermlog.judging.facts import CaseFacts
from thermlog.judging.idle_answer import found_working
from thermlog.judging.judged import Judged
from thermlog.judging.likelihood import Brakes
from thermlog.judging.limits import (
    Limits,
    Regroup,
    as_driven,
    limits_of,
    together,
    unchanged,
    without_braking,
)
from thermlog.judging.scales import Change
from thermlog.words.findings import Answer, Answers, Detectable
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.tables import Bools, Floats
from thermlog.words.vehicle import SIDES, Spot, corner_name

_Numbers: TypeAlias = Callable[[Detectable, CaseFacts], dict[str, float]]
LimitsAfter: TypeAlias = Callable[[ReasonCode | None], Limits]
# Matt black paint or tape known to a few hundredths: surfaces.toml, black_tape.
_MARKED_FRACTION = 0.02


def limits_ahead(judged: Judged, cases: Sequence[int]) -> LimitsAfter:
    """What the logs of some cases would have shown, as they are and after a step.

    Each is worked out when it is first asked for, once and for all cases together: that costs a tenth of one
    by one.

    Parameters
    ----------
    judged : Judged
    cases : sequence of int

    Returns
    -------
    callable
        From another round, marks, or a drive without braking to limits of these cases; from None to those of
        the logs as they are.
    """
    alike: dict[Policy, Bools] = {}
    for k in cases:
        chosen = alike.setdefault(judged.policies[k], np.zeros(len(judged.readings.cases), dtype=bool))
        chosen[k] = True

    @cache
    def after(step: ReasonCode | None) -> Limits:
        if step is None and judged.hidden.limits is not None:
            return judged.hidden.limits
        return together(
            limits_of(judged.evidence, judged.gaps, chosen, *_THOUGHT[step](policy))
            for policy, chosen in alike.items()
        )

    return after


def with_limits(
    judged: Judged, facts: CaseFacts, answers: Answers, known: LimitsAfter | None = None
) -> Answers:
    """The answers with what the log would have shown, and what would lower that.

    Parameters
    ----------
    judged : Judged
    facts : CaseFacts
        Of the same case.
    answers : Answers
    known : callable, optional
        From `limits_ahead` for this case among others; else it is worked out for this one alone.

    Returns
    -------
    Answers
    """
    if facts.sight.blocks_all or facts.drag.p is None:
        return answers
    known = limits_ahead(judged, [facts.k]) if known is None else known
    limits = known(None)
    late, dragging = facts.sight.late, answers.drag.suspected
    cold = {*found_cold(facts), *late}
    drags = {corner: one for corner, one in _drags(judged, facts, limits).items() if corner not in cold}
    losses = {
        corner: one
        for corner, one in _losses(facts, limits).items()
        if corner not in late and not found_working(facts, corner, dragging)
    }
    drag = _with_numbers(answers.drag, drags, facts, _drag_numbers)
    idle = _with_numbers(answers.idle, losses, facts, _loss_numbers)
    if drag.answer == "cannot_tell" and facts.hides_drag:
        drag = replace(drag, decides=_best_first(known, facts, drag))
    return Answers(drag=drag, idle=idle, heat=answers.heat)


def _drags(judged: Judged, facts: CaseFacts, limits: Limits) -> dict[str, Detectable]:
    """Least drag at every corner read."""
    found = {}
    for corner, axle, value in _by_corner(facts, limits.extra_k):
        least_k = min(value, facts.hottest_drag_k(corner))  # a brake holds no more extra heat than heat
        rise_k = least_k if math.isfinite(least_k) else None
        spot = judged.digest.spot[facts.axles[axle].pair]
        torque = None if rise_k is None else _torque_nm(rise_k, axle, spot, facts)
        found[corner] = Detectable(corner=corner, rise_k=rise_k, torque_nm=torque)
    return found


def _losses(facts: CaseFacts, limits: Limits) -> dict[str, Detectable]:
    """Least loss at every corner read."""
    return {
        corner: Detectable(corner=corner, lost_share=value if math.isfinite(value) else None)
        for corner, _, value in _by_corner(facts, limits.loss_share)
    }


def _by_corner(facts: CaseFacts, values: Floats) -> Iterator[tuple[str, int, float]]:
    """Corner, axle and value of every corner that was asked about."""
    for number, numbers in sorted(facts.axles.items()):
        for side, name in enumerate(SIDES):
            value = float(values[side, numbers.pair])
            if not math.isnan(value):
                yield corner_name(number, name), number, value


def _torque_nm(rise_k: float, axle: int, spot: Spot, facts: CaseFacts) -> float:
    vehicle = facts.vehicle
    kind = brake_class(vehicle, axle, spot)
    return drag_torque_nm(rise_k, kind, tyre_radius_m=vehicle.tyre_radius_m, drive=facts.case.drive)


def _with_numbers(
    answer: Answer, seen: dict[str, Detectable], facts: CaseFacts, numbers_of: _Numbers
) -> Answer:
    """Limits beside a "no" and beside what they leave open; the worst corner's numbers in the reason."""
    if answer.answer not in {"no", "cannot_tell"} or not seen:
        return answer
    asked = {corner: one for corner, one in seen.items() if corner in answer.corners} or seen
    worst = max(asked.values(), key=_least)
    numbers = numbers_of(worst, facts)
    reasons = tuple(
        replace(reason, corners=_first(worst.corner, reason.corners), numbers=numbers)
        if reason.code == "limit_above_line"
        else reason
        for reason in answer.reasons
    )
    if answer.answer == "no":
        reasons = (*reasons, Reason(code="limit_below_line", corners=(worst.corner,), numbers=numbers))
    return replace(answer, reasons=reasons, detectable=tuple(seen.values()))


def _first(corner: str, corners: tuple[str, ...]) -> tuple[str, ...]:
    return (corner, *(other for other in corners if other != corner))


def _least(one: Detectable) -> float:
    value = one.lost_share if one.rise_k is None else one.rise_k
    return math.inf if value is None else value


def _drag_numbers(one: Detectable, facts: CaseFacts) -> dict[str, float]:
    found = {"line_k": facts.hidden_line_k(one.corner)}
    known = {"limit_k": one.rise_k, "torque_nm": one.torque_nm}
    return found | {name: value for name, value in known.items() if value is not None}


def _loss_numbers(one: Detectable, facts: CaseFacts) -> dict[str, float]:
    line = {"share_line": facts.policy.hidden_loss_share}
    return line if one.lost_share is None else line | {"share_limit": one.lost_share}


def _best_first(known: LimitsAfter, facts: CaseFacts, drag: Answer) -> tuple[Reason, ...]:
    """What would decide, with the limit it leads to; what brings that below the line comes first."""
    hidden = next((reason for reason in drag.reasons if reason.code == "limit_above_line"), None)
    if hidden is None:
        return drag.decides
    line_k, limit_k = (hidden.numbers.get(name, math.inf) for name in ("line_k", "limit_k"))
    tried = ((one, _what_if(known, facts, hidden.corners[0], one)) for one in drag.decides)
    steps = [after if after.numbers.get("after_k", 0.0) < limit_k else before for before, after in tried]
    return tuple(sorted(steps, key=lambda one: one.numbers.get("after_k", line_k) > line_k))


def _what_if(known: LimitsAfter, facts: CaseFacts, corner: str, step: Reason) -> Reason:
    """The limit at a corner after one more round, with marks, or after a drive without braking."""
    if step.code not in _THOUGHT:
        return step
    limits = known(step.code).extra_k
    after = next((value for name, _, value in _by_corner(facts, limits) if name == corner), math.nan)
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


def _sunk(brakes: Brakes, median_k: float) -> Brakes:
    """Healthy brakes as a drive without braking usually leaves them."""
    return replace(brakes, rise_k=np.where(np.isfinite(brakes.rise_k), median_k, np.nan))


# Brakes and drive as they are thought to be after a step; None: as they were read.
_THOUGHT: Mapping[ReasonCode | None, Callable[[Policy], tuple[Change, Regroup]]] = {
    None: lambda _: (unchanged, as_driven),
    "another_round": lambda _: (_one_more_round, as_driven),
    "mark_and_read": lambda _: (_marked, as_driven),
    "coast_drive": lambda policy: (partial(_sunk, median_k=policy.coast_heat_median_k), without_braking),
}
