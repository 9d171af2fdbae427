"""What this log would have shown, corner by corner, and what another reading or drive would make of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import inf, isfinite
from typing import TypeAlias

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.advice.severity import brake_class, drag_torque_nm
from thermlog.inference.limits import Limits, limits_of, most_drag_k
from thermlog.inference.scales import BrakeQuestion
from thermlog.inference.sharper import SAME_DRIVE, heat_after, limits_after
from thermlog.judging.drag_answer import found_cold
from thermlog.judging.facts import CaseFacts
from thermlog.judging.idle_answer import found_working
from thermlog.judging.judged import Judged
from thermlog.judging.nextsteps import Danger
from thermlog.words.findings import Answer, Answers, Detectable
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.sharpening import Sharper, SharperBy, SharperNot
from thermlog.words.tables import Bools, Drive, Floats, Ints
from thermlog.words.vehicle import SIDES, split_corner

NumbersOf: TypeAlias = Callable[[Detectable], dict[str, float]]
_Seen: TypeAlias = list[list[Detectable | None]]
_HARDLY_LESS = 0.95  # times the limit, or more: judgement, docs/method.md
_STEPS: Mapping[ReasonCode, SharperBy] = {
    "another_round": "round",
    "mark_and_read": "paint",
    "coast_drive": "coast",
}


class LeastShown(Struct, frozen=True, kw_only=True, eq=False):
    """The least drag and the least loss at every corner of a batch.

    Attributes
    ----------
    drag, loss : list of two lists of Detectable or None
        Left and right, one entry a pair; None for corners that were not asked about.
    least : float array (2, 2, pairs)
        The same as numbers, first the drag [K], then the loss; NaN for None, inf where all would be missed.
    """

    drag: _Seen
    loss: _Seen
    least: Floats


class OneCase(Struct, frozen=True, kw_only=True):
    """One case of a batch.

    Attributes
    ----------
    k : int
    pairs : sequence of int
        Those that speak for its axles.
    parked : bool
        True where nobody drives the vehicle to find out more.
    """

    k: int
    pairs: Sequence[int]
    parked: bool = False


class LimitsAhead(Struct, kw_only=True, eq=False):
    """What the logs of some cases would have shown, as they are and after a step.

    Each is worked out when it is first asked for, once and for all cases together: that costs a tenth of one
    by one.

    Attributes
    ----------
    judged : Judged
    cases : bool array (all cases,)
    sharper : bool
        True where every step will be asked for, at the worst corners.
    """

    judged: Judged
    cases: Bools
    sharper: bool = False
    _now: LeastShown | None = None
    _corners: Bools | None = None
    _after: dict[SharperBy, LeastShown] = field(default_factory=dict)

    def now(self) -> LeastShown:
        """What they would have shown as they are."""
        if self._now is None:
            judged, limits = self.judged, self.judged.hidden.limits
            known = limits_of(judged.evidence, judged.gaps, self.cases) if limits is None else limits
            self._now = _shown(judged, known)
        return self._now

    def after(self, by: SharperBy, place: tuple[int, int]) -> tuple[Detectable | None, Detectable | None]:
        """The least drag and the least loss at one corner, by side and pair, after a step."""
        if self._corners is None:
            self._corners = self._asked()
        if by not in self._after:
            steps = SAME_DRIVE if self.sharper and by in SAME_DRIVE else (by,)
            self._after |= self._worked_out(self._corners, steps)
        side, pair = place
        shown = self._after[by]
        if not self._corners[place]:  # of a drive that another one answers for
            alone = np.zeros_like(self._corners)
            alone[place] = True
            shown = self._worked_out(alone, (by,))[by]
        return shown.drag[side][pair], shown.loss[side][pair]

    def _worked_out(self, corners: Bools, steps: Sequence[SharperBy]) -> dict[SharperBy, LeastShown]:
        found = limits_after(self.judged.evidence, self.judged.gaps, corners, steps)
        return {by: _shown(self.judged, limits, by) for by, limits in found.items()}

    def _asked(self) -> Bools:
        """Corners that may be asked about: those that could hide a fault, and the worst ones, (2, pairs)."""
        judged, told = self.judged, self.judged.digest
        corners = np.zeros((2, judged.pairs.count), dtype=bool)
        for hides in (judged.hidden.drag, judged.hidden.idle):
            for k in hides.keys() & set(np.flatnonzero(self.cases).tolist()):
                own = slice(told.first[k], told.first[k + 1])
                corners[:, own] |= np.isin([side[own] for side in told.corner], hides[k])
        if self.sharper:
            corners |= (
                _worst(self.now().least, judged.pairs.case, len(self.cases)) & self.cases[judged.pairs.case]
            )
        return corners


def _worst(least: Floats, case: Ints, cases: int) -> Bools:
    """Corners with the largest drag, or loss, of their case: (2, pairs)."""
    found = np.zeros(least.shape[1:], dtype=bool)
    for some in least:
        most = np.full(cases, -np.inf)
        np.fmax.at(most, case, np.fmax(*some))
        found |= some == most[case]
    return found


def limits_ahead(judged: Judged, cases: Sequence[int], *, sharper: bool = False) -> LimitsAhead:
    """What the logs of some cases would have shown.

    Parameters
    ----------
    judged : Judged
    cases : sequence of int
    sharper : bool
        True where beside every "no" it will be told what would sharpen it.
    """
    chosen = np.zeros(len(judged.readings.cases), dtype=bool)
    chosen[[*cases]] = True
    return LimitsAhead(judged=judged, cases=chosen, sharper=sharper)


def _shown(judged: Judged, limits: Limits, by: SharperBy | None = None) -> LeastShown:
    told = judged.digest
    # of marks in kelvin of bare faces: the same heat is the same figure, before and after
    bare_k = limits.extra_k / heat_after(judged.evidence, by) if by == "paint" else limits.extra_k
    least_k = np.minimum(bare_k, _room_k(judged, by))
    torque_nm = least_k * _nm_per_k(judged, coast=by == "coast")
    nothing: list[float | None] = [None] * judged.pairs.count
    columns = zip(told.corner, limits.loss_share, least_k, torque_nm, strict=True)
    drag, loss = [], []
    for corner, share, extra_k, nm in columns:
        drag.append(_detectable(extra_k, corner, _plain(extra_k), _plain(nm), nothing))
        loss.append(_detectable(share, corner, nothing, nothing, _plain(share)))
    return LeastShown(drag=drag, loss=loss, least=np.stack([least_k, limits.loss_share]))


def _room_k(judged: Judged, by: SharperBy | None) -> Floats:
    """Most extra heat that every brake has room for, as it is or after a step [K]: no more than it holds."""
    told, case = judged.digest, judged.pairs.case
    each = zip(judged.readings.cases, judged.policies, strict=True)
    known = [(one.ambient_sigma_k or policy.ambient_sigma_k, policy) for one, policy in each]
    air_k = np.array([sigma_k for sigma_k, _ in known])[case]
    rise_k, most_k = (np.array(values, dtype=np.float64) for values in (told.rise_k, told.most_k))
    if by == "coast":
        sunk_k = np.array([policy.coast_heat_median_k for _, policy in known])[case]
        rise_k = most_k = np.where(np.isnan(rise_k), np.nan, sunk_k)
    doubtful = np.isnan(rise_k)
    if by is None or by == "round":
        doubtful |= np.array(told.in_doubt, dtype=bool)
        doubtful |= np.array(told.used) + (by == "round") == 1
    heat = heat_after(judged.evidence, by) if by == "hotter" else 1.0
    return np.where(doubtful, np.inf, most_drag_k(heat * rise_k, heat * most_k, air_k))


def _detectable(limit: Floats, *columns: Sequence[object]) -> list[Detectable | None]:
    """One a pair; None where it was not asked about."""
    return [
        None if unasked else one
        for one, unasked in zip(map(Detectable, *columns), np.isnan(limit).tolist(), strict=True)
    ]


def _plain(limit: Floats) -> list[float | None]:
    """None where even the largest would be missed."""
    return [value if isfinite(value) else None for value in limit.tolist()]


def _nm_per_k(judged: Judged, *, coast: bool) -> Floats:
    """Drag behind each kelvin of extra heat at the brakes of every pair; `coast`: whatever the drive was."""
    known: dict[tuple[object, ...], float] = {}
    told, cases, code = judged.digest, judged.readings.cases, judged.vehicles.code.tolist()
    found = []
    for k, axle, spot in zip(judged.pairs.case.tolist(), told.axle, told.spot, strict=True):
        drive: Drive | None = "coast" if coast else cases[k].drive
        key = (code[k], axle, spot, drive)
        if key not in known:
            vehicle = judged.vehicles[k]
            kind, radius_m = brake_class(vehicle, axle, spot), vehicle.tyre_radius_m
            known[key] = drag_torque_nm(1.0, kind, tyre_radius_m=radius_m, drive=drive)
        found.append(known[key])
    return np.array(found)


def with_limits(facts: CaseFacts, answers: Answers, known: LimitsAhead, danger: Danger) -> Answers:
    """The answers with what the log would have shown, and what would lower that.

    Parameters
    ----------
    facts : CaseFacts
    answers : Answers
    known : LimitsAhead
        From `limits_ahead` for the batch of this case.
    danger : Danger

    Returns
    -------
    Answers
    """
    if facts.uncleared.blocks_all or facts.drag.p is None:
        return answers
    shown = known.now()
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
    if known.sharper and not danger.urgent:
        parked = danger.no_drive or any(one.suspects for one in answers.each)
        one = OneCase(k=facts.k, pairs=[numbers.pair for numbers in facts.axles.values()], parked=parked)
        drag, idle = sharpened(drag, "drag", known, one), sharpened(idle, "idle", known, one)
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


def sharpened(answer: Answer, question: BrakeQuestion, known: LimitsAhead, case: OneCase) -> Answer:
    """A "no" with what each step would make of its limit; any other answer, and one without limits, as it is.

    Parameters
    ----------
    answer : Answer
        With its limits.
    question : {"drag", "idle"}
    known : LimitsAhead
    case : OneCase
    """
    if answer.answer != "no" or not answer.detectable:
        return answer
    steps = (*SAME_DRIVE, "coast") if question == "drag" else SAME_DRIVE
    worst, found = max(answer.detectable, key=_least), []
    for by in steps:
        why_not = _why_not(known.judged, case, by)
        if why_not is None:
            drag, loss = known.after(by, _place_of(worst.corner, known.judged, case.pairs))
            found.append(_least_after(by, worst, drag if question == "drag" else loss))
        else:
            found.append(Sharper(by=by, why_not=why_not))
    return replace(answer, sharper=tuple(found))


def _place_of(corner: str, judged: Judged, pairs: Sequence[int]) -> tuple[int, int]:
    """Side and pair of a corner of one case."""
    side = SIDES.index(split_corner(corner)[1])
    return side, next(pair for pair in pairs if judged.digest.corner[side][pair] == corner)


def _why_not(judged: Judged, case: OneCase, by: SharperBy) -> SharperNot | None:
    """Why nobody asks what a step would make of the limits of a case; None where it is worked out."""
    told, coast = judged.digest, judged.readings.cases[case.k].drive == "coast"
    if by != "round" and case.parked:
        return "not_driven"
    if by == "hotter" and coast:
        return "without_braking"
    if by == "coast" and (coast or told.coast_case[case.k] is not None):
        return "driven_already"
    known = judged.gap.known[case.pairs]
    return "surfaces_known" if by == "paint" and known.all() else None


def _least_after(by: SharperBy, before: Detectable, after: Detectable | None) -> Sharper:
    """What a step makes of the limit at a corner."""
    if after is None:
        return Sharper(by=by, why_not="not_told")
    # by torque: without braking a drag leaves other heat
    now, then = (
        inf if value is None else value
        for value in (
            (one.torque_nm if one.lost_share is None else one.lost_share) for one in (before, after)
        )
    )
    if then == inf or then > _HARDLY_LESS * now:
        return Sharper(by=by, why_not="hardly_less")
    return Sharper(
        by=by,
        corner=after.corner,
        rise_k=after.rise_k,
        torque_nm=after.torque_nm,
        lost_share=after.lost_share,
    )


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
    by, numbers = _STEPS.get(step.code), facts.axle_of(corner)
    if by is None or numbers is None:
        return step
    after, _ = known.after(by, (SIDES.index(split_corner(corner)[1]), numbers.pair))
    if after is None or after.rise_k is None:
        return step
    return replace(step, numbers=step.numbers | {"after_k": after.rise_k})
