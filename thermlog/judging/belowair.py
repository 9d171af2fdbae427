"""Readings below the stated air: a brake without any heat, or a wrong air, and never left unsaid."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from thermlog.judging.axlenumbers import SideNumbers
from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer, Answers
from thermlog.words.reasons import Reason, unique_reasons

_NEAR_AIR = 0.75  # of the air's standard uncertainty: scatter of the readings alone reaches this
_SAME_K = 0.05  # one reading, however it was rounded on its way
_CLEARLY_BELOW = 2.0  # of the same, for a single reading: no brake cools below the air it stands in


def air_reasons(facts: CaseFacts) -> tuple[Reason, ...]:
    """Brakes that read below the stated air: without any heat, or the air is wrong."""
    below = ((side.corner, _below_air_k(facts, side)) for side in _sides(facts))
    return tuple(
        Reason(code="below_air", corners=(corner,), numbers={"below_k": below_k})
        for corner, below_k in below
        if below_k > 0.0
    )


def told_of_air(facts: CaseFacts, coast: CaseFacts | None, answers: Answers) -> Answers:
    """Answers that tell of every brake which reads below the stated air, whatever else they rest on.

    Parameters
    ----------
    facts : CaseFacts
    coast : CaseFacts or None
        The drive without braking of the same vehicle, whose air is another.
    answers : Answers

    Returns
    -------
    Answers
        Where all is below it the air rather is wrong: no question is answered by how warm a brake is. After a
        drive without braking it comes first: a brake may well be cold, and what is left is the air.
    """
    found = air_reasons(facts)
    if found and _all_below(facts) and not facts.uncleared.blocks_all:
        drag, idle, heat = (_doubted(one, found) for one in answers.each)
        answers = Answers(drag=drag, idle=idle, heat=heat)
    elif found:
        answers = _with_untold(answers, found, first=facts.coast)
    there = air_reasons(coast) if coast is not None else ()
    return _with_rolled(answers, there) if there else answers


def _doubted(answer: Answer, found: tuple[Reason, ...]) -> Answer:
    """The same in doubt of the air; what stands out beside its mate does so in any air."""
    if answer.suspects:
        return replace(answer, reasons=unique_reasons((*answer.reasons, *found)))
    return replace(
        answer, answer="cannot_tell", corners=(), reasons=unique_reasons((*found, *answer.reasons))
    )


def _with_untold(answers: Answers, found: tuple[Reason, ...], *, first: bool) -> Answers:
    """With what neither question tells beside whether every brake works."""
    told = {
        corner
        for answer in (answers.drag, answers.idle)
        for reason in answer.reasons
        if reason.code == "below_air"
        for corner in reason.corners
    }
    untold = tuple(reason for reason in found if not told.issuperset(reason.corners))
    if not untold:
        return answers
    idle = answers.idle
    reasons = (*untold, *idle.reasons) if first else (*idle.reasons, *untold)
    if idle.answer == "no":
        corners = tuple(corner for reason in untold for corner in reason.corners)
        idle = replace(idle, answer="cannot_tell", corners=corners)
    return replace(answers, idle=replace(idle, reasons=reasons))


def _with_rolled(answers: Answers, there: tuple[Reason, ...]) -> Answers:
    """With what the drive without braking left below its own air, beside whether a brake drags."""
    corners = tuple(corner for reason in there for corner in reason.corners)
    most_k = max(reason.numbers["below_k"] for reason in there)
    told = Reason(code="below_air_rolled", corners=corners, numbers={"below_k": most_k})
    return replace(answers, drag=replace(answers.drag, reasons=(*answers.drag.reasons, told)))


def _sides(facts: CaseFacts) -> Iterator[SideNumbers]:
    return (side for numbers in facts.axles.values() for side in numbers.sides)


def _all_below(facts: CaseFacts) -> bool:
    """True where no brake was read at or above the stated air."""
    air_degc = facts.case.ambient_degc
    hottest = [side.hottest_degc for side in _sides(facts) if side.hottest_degc is not None]
    return air_degc is not None and all(degc < air_degc for degc in hottest)


def _below_air_k(facts: CaseFacts, side: SideNumbers) -> float:
    """How far a brake reads below the stated air [K], as fitted or at its coldest; 0 if not clearly."""
    sigma_k = facts.air_sigma_k
    fitted_k = 0.0 if side.rise_k is None else -side.rise_k
    if fitted_k > _NEAR_AIR * sigma_k:
        return fitted_k
    air_degc, coldest_degc = facts.case.ambient_degc, side.coldest_degc
    if air_degc is None or coldest_degc is None or _is_slip(facts, side.corner, coldest_degc):
        return 0.0
    single_k = air_degc - coldest_degc
    return single_k if single_k > _CLEARLY_BELOW * sigma_k else 0.0


def _is_slip(facts: CaseFacts, corner: str, degc: float) -> bool:
    """True for a reading that the log's others show to be a slip of the pen: it says nothing of the air."""
    return any(one.corner == corner and abs(one.degc - degc) < _SAME_K for one in facts.case.odd)
