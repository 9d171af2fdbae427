"""Whole axles that one round and no air seem to tell: a degree or two between two shots decides there."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.judging.facts import CaseFacts
from thermlog.judging.reckoning import single_reading
from thermlog.words.findings import Answer, Answers
from thermlog.words.vehicle import mate_of


def not_by_one_round(answers: Answers, facts: CaseFacts) -> Answers:
    """Answers of which none calls both sides of an axle by one reading each.

    Parameters
    ----------
    answers : Answers
        Of a log without an air temperature, whatever the air.
    facts : CaseFacts
        Under any of these airs: how often a wheel was read is the same.

    Returns
    -------
    Answers
        Such an axle is watched and read again: its own height is all that speaks of it, and 2 K between its
        sides made a call of none.
    """
    drag, idle = (_watched(one, facts) for one in (answers.drag, answers.idle))
    return replace(answers, drag=drag, idle=idle)


def _watched(answer: Answer, facts: CaseFacts) -> Answer:
    single = [corner for corner in answer.corners if _is_single(facts, corner)]
    if answer.answer != "yes" or not any(mate_of(corner) in single for corner in single):
        return answer
    corners = (*answer.corners, *answer.beside)
    reasons = (*answer.reasons, single_reading(facts, single))
    return replace(answer, answer="watch", corners=corners, beside=(), reasons=reasons)


def _is_single(facts: CaseFacts, corner: str) -> bool:
    numbers = facts.axle_of(corner)
    return numbers is not None and numbers.side(corner).single
