"""Does a brake drag, does a brake not work, is the whole vehicle hot: the one place where this is answered.

An answer is "yes" or "watch" by probability and by what the readings themselves show; "no" only where every
wheel was read and a fault worth finding would have shown; everything else is "cannot tell", with the reason.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from thermlog.judging.belowair import air_reasons, told_of_air
from thermlog.judging.complaints import beside_complaints
from thermlog.judging.drag_answer import drag_answer, found_cold
from thermlog.judging.facts import CaseFacts
from thermlog.judging.idle_answer import idle_answer
from thermlog.judging.reckoning import heat_usual
from thermlog.judging.two_drives import TwoDrives, counts, settled
from thermlog.words.estimates import median
from thermlog.words.findings import Answer, Answers, AnswerWord
from thermlog.words.reasons import Reason, unique_reasons


def answers_of(facts: CaseFacts, coast: CaseFacts | None = None) -> Answers:
    """Answer the three questions about one drive of one vehicle.

    Parameters
    ----------
    facts : CaseFacts
    coast : CaseFacts or None
        The drive without braking of the same vehicle: it answers whether a brake drags, and settles what the
        other drive leaves open.

    Returns
    -------
    Answers
        Without what would decide, and without limits.
    """
    heat = _heat(facts)
    drag = _with_whole_heat(drag_answer(facts), heat)
    idle = idle_answer(facts, drag.suspected)
    if facts.coast and drag.answer == "no" and not counts(facts):
        drag = replace(drag, answer="cannot_tell", reasons=(*air_reasons(facts), _barely_rolled(facts)))
    if coast is not None and not counts(coast):
        drag = replace(drag, reasons=(*drag.reasons, _barely_rolled(coast)))
    elif coast is not None:
        stays = _with_whole_heat(drag_answer(coast), _heat(coast))
        drag, idle = settled(TwoDrives(braked=facts, coast=coast, hot=drag, stays=stays), idle)
    drag, idle, heat = (_not_beside_unread(facts, one) for one in (drag, idle, heat))
    noticed = (facts, *([] if coast is None else [coast]))
    drag, idle = beside_complaints(noticed, drag, idle)
    answers = Answers(drag=drag, idle=_not_beside_cold_unknown(facts, idle), heat=heat)
    return told_of_air(facts, coast, answers)


def _barely_rolled(coast: CaseFacts) -> Reason:
    """Why a drive without braking clears nothing: a released brake that turned is never as cool as that."""
    return Reason(code="barely_rolled", numbers={"warmest_k": max(coast.warmest_k, 0.0)})


def _not_beside_cold_unknown(facts: CaseFacts, idle: Answer) -> Answer:
    """A cold reading of a wheel nobody knows may be any brake's: none is cleared of doing nothing.

    What was said to do nothing comes before whatever else keeps the question open, too little heat above all.
    """
    cold = facts.uncleared.cold
    if idle.answer == "no" and cold:
        return replace(idle, answer="cannot_tell", corners=_corners(cold), reasons=cold)
    said = tuple(reason for reason in cold if reason.code == "said_idle")
    if idle.answer != "cannot_tell" or not said:
        return idle
    corners = tuple(dict.fromkeys((*_corners(said), *idle.corners)))
    return replace(idle, corners=corners, reasons=unique_reasons((*said, *idle.reasons)))


def _corners(reasons: Sequence[Reason]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(corner for reason in reasons for corner in reason.corners))


def _not_beside_unread(facts: CaseFacts, answer: Answer) -> Answer:
    """No "no" stands beside something seen that nobody understands, whatever was read, on either drive."""
    unread = tuple(reason for reason in facts.uncleared.whole if reason.code in {"unread_sight", "doubted"})
    if answer.answer != "no" or not unread:
        return answer
    return replace(answer, answer="cannot_tell", reasons=unread)


def _heat(facts: CaseFacts) -> Answer:
    p, policy = facts.p_heat, facts.policy
    if p is None or facts.uncleared.blocks_all:
        reasons = facts.uncleared.reasons or (Reason(code="no_brake_read"),)
        return Answer(answer="cannot_tell", reasons=reasons)
    corners = tuple(side.corner for axle in facts.axles.values() for side in axle.sides if side.used)
    rises = [rise_k for rise_k, _ in _rises(facts)]
    numbers = {"rise_k": median(rises)} if rises else {}  # one hot brake is no warm vehicle
    if p < policy.heat_watch_probability and facts.uncleared.late.issuperset(corners):
        return Answer(answer="cannot_tell", p=p, reasons=facts.uncleared.reasons)
    if p < policy.heat_watch_probability:
        working = [rise_k for rise_k, corner in _rises(facts) if corner not in found_cold(facts)]
        return Answer(answer="no", p=p, reasons=(heat_usual(working or rises, policy, coast=facts.coast),))
    word: AnswerWord = "yes" if p >= policy.heat_call_probability else "watch"
    usual = policy.coast_heat_median_k if facts.coast else policy.usual_heat_median_k
    reason = Reason(code="all_hot", corners=corners, numbers=numbers | {"usual_k": usual})
    return Answer(answer=word, p=p, corners=corners, reasons=(reason,))


def _rises(facts: CaseFacts) -> list[tuple[float, str]]:
    """Rise of every brake with a curve, and its corner."""
    sides = (side for axle in facts.axles.values() for side in axle.sides)
    return [(side.rise_k, side.corner) for side in sides if side.rise_k is not None]


def _with_whole_heat(drag: Answer, heat: Answer) -> Answer:
    """Where every brake is hot, "no brake drags" would be no answer: they may all drag alike."""
    if drag.answer not in {"no", "cannot_tell"} or not heat.suspects:
        return drag
    if heat.answer == "watch":
        reasons = (*heat.reasons, *drag.reasons)
        return replace(drag, answer="cannot_tell", corners=heat.corners, reasons=reasons)
    return replace(drag, answer="watch", corners=heat.corners, reasons=(*heat.reasons, *drag.reasons))
