"""What this log would have shown, corner by corner, and what another reading or drive would make of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from math import inf, isfinite, nan
from typing import TypeAlias

import numpy as np
from msgspec import Struct, field
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
    most_drag_k,
    together,
    unchanged,
    without_braking,
)
from thermlog.judging.scales import Change
from thermlog.words.findings import Answer, Answers, Detectable
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.tables import Bools, Floats
from thermlog.words.vehicle import SIDES, split_corner

NumbersOf: TypeAlias = Callable[[Detectable], dict[str, float]]
_Seen: TypeAlias = list[list[Detectable | None]]
# Matt black paint or tape known to a few hundredths: surfaces.toml, black_tape.
_MARKED_FRACTION = 0.02


class LeastShown(Struct, frozen=True, kw_only=True, eq=False):
    """The least drag and the least loss at every corner of a batch.

    Attributes
    ----------
    drag, loss : list of two lists of Detectable or None
        Left and right, one entry a pair; None for corners that were not read.
    """

    drag: _Seen
    loss: _Seen


class LimitsAhead(Struct, kw_only=True, eq=False):
    """What the logs of some cases would have shown, as they are and after a step.

    Each is worked out when it is first asked for, once and for all cases together: that costs a tenth of one
    by one.

    Attributes
    ----------
    judged : Judged
    alike : mapping of Policy to bool array (cases,)
        The cases.
    """

    judged: Judged
    alike: Mapping[Policy, Bools]
    _after: dict[ReasonCode | None, Limits] = field(default_factory=dict)
    _shown: LeastShown | None = None

    def after(self, step: ReasonCode | None) -> Limits:
        """Limits after another round, marks, or a drive without braking; None: of the logs as they are."""
        if step not in self._after:
            at_once = self.judged.hidden.limits if step is None else None
            self._after[step] = self._worked_out(step) if at_once is None else at_once
        return self._after[step]

    def _worked_out(self, step: ReasonCode | None) -> Limits:
        evidence, gaps = self.judged.evidence, self.judged.gaps
        each = self.alike.items()
        found = [limits_of(evidence, gaps, chosen, *_THOUGHT[step](policy)) for policy, chosen in each]
        return together(found) if found else Limits.placed(self.judged.pairs.count, ())

    def shown(self) -> LeastShown:
        """Those of the logs as they are, as they are told."""
        if self._shown is None:
            self._shown = _shown(self.judged, self.after(None))
        return self._shown


def limits_ahead(judged: Judged, cases: Sequence[int]) -> LimitsAhead:
    """What the logs of some cases would have shown.

    Parameters
    ----------
    judged : Judged
    cases : sequence of int
    """
    alike: dict[Policy, Bools] = {}
    for k in cases:
        chosen = alike.setdefault(judged.policies[k], np.zeros(len(judged.readings.cases), dtype=bool))
        chosen[k] = True
    return LimitsAhead(judged=judged, alike=alike)


def _shown(judged: Judged, limits: Limits) -> LeastShown:
    told, case = judged.digest, judged.pairs.case
    each = zip(judged.readings.cases, judged.policies, strict=True)
    air_k = np.array([one.ambient_sigma_k or policy.ambient_sigma_k for one, policy in each])
    rise_k, most_k = (np.array(values, dtype=np.float64) for values in (told.rise_k, told.most_k))
    doubtful = (np.array(told.used) == 1) | np.array(told.in_doubt, dtype=bool) | np.isnan(rise_k)
    # a brake holds no more extra heat than heat
    room_k = np.where(doubtful, np.inf, most_drag_k(rise_k, most_k, air_k[case]))
    least_k = np.minimum(limits.extra_k, room_k)
    torque_nm = least_k * _nm_per_k(judged)
    nothing: list[float | None] = [None] * judged.pairs.count
    columns = zip(told.corner, limits.loss_share, least_k, torque_nm, strict=True)
    drag, loss = [], []
    for corner, share, extra_k, nm in columns:
        drag.append(_detectable(extra_k, corner, _plain(extra_k), _plain(nm), nothing))
        loss.append(_detectable(share, corner, nothing, nothing, _plain(share)))
    return LeastShown(drag=drag, loss=loss)


def _detectable(limit: Floats, *columns: Sequence[object]) -> list[Detectable | None]:
    """One a pair; None where it was not asked about."""
    return [
        None if unasked else one
        for one, unasked in zip(map(Detectable, *columns), np.isnan(limit).tolist(), strict=True)
    ]


def _plain(limit: Floats) -> list[float | None]:
    """None where even the largest would be missed."""
    return [value if isfinite(value) else None for value in limit.tolist()]


def _nm_per_k(judged: Judged) -> Floats:
    """Drag behind each kelvin of extra heat at the brakes of every pair."""
    known: dict[tuple[object, ...], float] = {}
    told, cases, code = judged.digest, judged.readings.cases, judged.vehicles.code.tolist()
    found = []
    for k, axle, spot in zip(judged.pairs.case.tolist(), told.axle, told.spot, strict=True):
        key = (code[k], axle, spot, cases[k].drive)
        if key not in known:
            vehicle = judged.vehicles[k]
            kind, radius_m = brake_class(vehicle, axle, spot), vehicle.tyre_radius_m
            known[key] = drag_torque_nm(1.0, kind, tyre_radius_m=radius_m, drive=cases[k].drive)
        found.append(known[key])
    return np.array(found)


def with_limits(judged: Judged, facts: CaseFacts, answers: Answers, known: LimitsAhead | None) -> Answers:
    """The answers with what the log would have shown, and what would lower that.

    Parameters
    ----------
    judged : Judged
    facts : CaseFacts
        Of the same case.
    answers : Answers
    known : LimitsAhead or None
        From `limits_ahead` for this case among others; else it is worked out for this one alone.

    Returns
    -------
    Answers
    """
    if facts.uncleared.blocks_all or facts.drag.p is None:
        return answers
    known = limits_ahead(judged, [facts.k]) if known is None else known
    shown = known.shown()
    late, dragging = facts.uncleared.late, answers.drag.suspected
    cold = {*found_cold(facts), *late}
    drags = [one for one in _of_case(facts, shown.drag) if one.corner not in cold]
    losses = [
        one
        for one in _of_case(facts, shown.loss)
        if one.corner not in late and not found_working(facts, one.corner, dragging)
    ]
    drag = beside_limits(answers.drag, drags, lambda one: drag_numbers(one, facts.hidden_line_k(one.corner)))
    idle = beside_limits(answers.idle, losses, lambda one: loss_numbers(one, facts.policy))
    if drag.answer == "cannot_tell" and facts.hides_drag:
        drag = replace(drag, decides=_best_first(known, facts, drag))
    return Answers(drag=drag, idle=idle, heat=answers.heat)


def _of_case(facts: CaseFacts, seen: _Seen) -> Iterator[Detectable]:
    """Of every corner that was asked about."""
    for _, numbers in sorted(facts.axles.items()):
        for side in seen:
            one = side[numbers.pair]
            if one is not None:
                yield one


def beside_limits(answer: Answer, seen: Sequence[Detectable], numbers_of: NumbersOf) -> Answer:
    """Limits beside a "no" and beside what they leave open; the worst corner's numbers in the reason."""
    if answer.answer not in {"no", "cannot_tell"} or not seen:
        return answer
    worst = max([one for one in seen if one.corner in answer.corners] or seen, key=_least)
    numbers = numbers_of(worst)
    reasons = tuple(
        replace(reason, corners=_first(worst.corner, reason.corners), numbers=numbers)
        if reason.code == "limit_above_line"
        else reason
        for reason in answer.reasons
    )
    if answer.answer == "no":
        reasons = (*reasons, Reason(code="limit_below_line", corners=(worst.corner,), numbers=numbers))
    return replace(answer, reasons=reasons, detectable=tuple(seen))


def _first(corner: str, corners: tuple[str, ...]) -> tuple[str, ...]:
    return (corner, *(other for other in corners if other != corner))


def _least(one: Detectable) -> float:
    value = one.lost_share if one.rise_k is None else one.rise_k
    return inf if value is None else value


def drag_numbers(one: Detectable, line_k: float) -> dict[str, float]:
    """Numbers of the reason that tells the least drag, and the largest that may stay hidden."""
    known = {"limit_k": one.rise_k, "torque_nm": one.torque_nm}
    return {"line_k": line_k} | {name: value for name, value in known.items() if value is not None}


def loss_numbers(one: Detectable, policy: Policy) -> dict[str, float]:
    """The same of the least loss."""
    line = {"share_line": policy.hidden_loss_share}
    return line if one.lost_share is None else line | {"share_limit": one.lost_share}


def _best_first(known: LimitsAhead, facts: CaseFacts, drag: Answer) -> tuple[Reason, ...]:
    """What would decide, with the limit it leads to; what brings that below the line comes first."""
    hidden = next((reason for reason in drag.reasons if reason.code == "limit_above_line"), None)
    if hidden is None:
        return drag.decides
    line_k, limit_k = (hidden.numbers.get(name, inf) for name in ("line_k", "limit_k"))
    tried = ((one, _what_if(known, facts, hidden.corners[0], one)) for one in drag.decides)
    steps = [after if after.numbers.get("after_k", 0.0) < limit_k else before for before, after in tried]
    return tuple(sorted(steps, key=lambda one: one.numbers.get("after_k", line_k) > line_k))


def _what_if(known: LimitsAhead, facts: CaseFacts, corner: str, step: Reason) -> Reason:
    """The limit at a corner after one more round, with marks, or after a drive without braking."""
    if step.code not in _THOUGHT:
        return step
    numbers, side = facts.axle_of(corner), SIDES.index(split_corner(corner)[1])
    after = nan if numbers is None else float(known.after(step.code).extra_k[side, numbers.pair])
    return replace(step, numbers=step.numbers | {"after_k": after}) if isfinite(after) else step


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
