"""What is watched and not established, and which suspect a search for the cause is about."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.apart import alone_at, suspect_words, suspects_apart, suspects_of
from thermlog.advice.board import turns_free
from thermlog.advice.driving import is_open_gap
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.situations import parking_first, situation_of
from thermlog.advice.twice import latest
from thermlog.words.errors import OptionError
from thermlog.words.findings import Answer, Answers
from thermlog.words.kinds import ALL_HOT, DIAGONAL_COLD, DIAGONAL_HOT, kind_of
from thermlog.words.vehicle import is_diagonal, mate_of

_BY_HAND = {"cool_and_turn": "hot", "static_check": "cold"}
_HELD = {"not_fully_released", "low"}  # by lever and cable, or by springs that air does not hold off
_ACROSS = (DIAGONAL_HOT, DIAGONAL_COLD)


class Searched(Struct, frozen=True, kw_only=True):
    """The suspect a search is about, and the others.

    Attributes
    ----------
    about : LogEvidence
    others : tuple of LogEvidence
    sure : bool
        False where it is only watched: whether it drags, or does not work, is found by hand.
    """

    about: LogEvidence
    others: tuple[LogEvidence, ...] = ()
    sure: bool = True


def searched(evidence: LogEvidence, at: str | None = None) -> Searched:
    """The suspect whose cause is looked for.

    Parameters
    ----------
    evidence : LogEvidence
    at : str, optional
        One of its brakes ("1L"), or its axle ("2"); without it the severest that is called, or where none is
        the one of those watched that `next_check` asks about.

    Raises
    ------
    OptionError
        Nothing is called or watched there; names what is.
    """
    called = suspects_apart(evidence) if evidence.fault.is_fault else ()
    watching = watched_apart(evidence)
    if at is None:
        first, *others = called or watching or (evidence,)
        return Searched(about=first, others=tuple(others), sure=first not in watching)
    wanted = at.strip().upper()
    for one in (*called, *watching, *_mates(evidence, watching)):
        if wanted in one.corners or (one.corners and wanted in {str(axle) for axle in one.axles}):
            others = [other for other in called or watching if other is not one]
            return Searched(about=one, others=tuple(others), sure=one in called)
    known = ", ".join(
        f"{one.corners[0]} ({suspect_words(one, sure=one not in watching)})"
        for one in (*called, *watching)
        if one.corners
    )
    cure = f"it can be {known}" if known else "nothing is called or watched at one place; leave it out"
    msg = f'--at: no suspect at "{at}"; {cure}'
    raise OptionError(msg)


def _mates(evidence: LogEvidence, watching: tuple[LogEvidence, ...]) -> Iterator[LogEvidence]:
    """The other side of every gap of which it is open which is the odd one, as the odd one: brake or axle."""
    for answer in evidence.answers.each:
        unlike = any(reason.code == "axles_unlike" for reason in answer.reasons)
        if answer.answer == "cannot_tell" and unlike:
            cold = answer is evidence.answers.idle
            yield from suspects_of(evidence, answer.corners, "cold" if cold else "hot")
    for one in watching if evidence.open_side else ():
        if len(one.corners) == 1:
            kind = kind_of("corner", "cold" if one.fault.sign == "hot" else "hot")
            yield alone_at(evidence, kind, (mate_of(one.corners[0]),))


def answers_by_weight(answers: Answers) -> tuple[Answer, ...]:
    """Drag before idle before heat; brakes that rather do not work before a less likely, or hidden, drag."""
    drag, idle, heat = answers.each
    hides = drag.answer == "cannot_tell" and {one.code for one in drag.reasons} <= {"limit_above_line"}
    hides = hides or is_open_gap(drag)
    if idle.answer == "watch" and (hides or drag.answer == "watch") and (idle.p or 0.0) > (drag.p or 0.0):
        return idle, drag, heat
    return drag, idle, heat


def watched_apart(evidence: LogEvidence) -> tuple[LogEvidence, ...]:
    """Suspects that are only watched, each as if it were established, as `next_check` asks about them.

    Brakes of an axle, a diagonal or a whole trailer are one, and a vehicle that is hotter than usual. Where
    it is open which of two is the odd one, both are here. What is called is not; nor is a brake below the air
    that was stated, which is read again.
    """
    drag, idle, heat = evidence.answers.each
    if heat.answer == "watch" and not drag.suspects and not evidence.fault.is_fault:
        return (replace(evidence, kind=ALL_HOT.name, corners=(), open_side=False),)
    each = tuple(
        found
        for answer in answers_by_weight(evidence.answers)
        for found in _watched(evidence, answer, cold=answer is idle)
        if answer is not heat
    )
    first = _looked_at(evidence.answers)
    return tuple(sorted(each, key=lambda one: (not _lever_asked(one), first not in {None, one.fault.sign})))


def _looked_at(answers: Answers) -> str | None:
    """Sign of the brakes that what is done by hand is about; None where nothing by hand is asked for."""
    steps = (reason.code for answer in answers_by_weight(answers) for reason in answer.decides)
    return next((_BY_HAND[code] for code in steps if code in _BY_HAND), None)


def _watched(evidence: LogEvidence, answer: Answer, *, cold: bool) -> Iterator[LogEvidence]:
    """Brakes of an axle, of a diagonal, or all of a trailer are one suspect; others are one an axle."""
    corners = {"watch": answer.corners, "yes": answer.beside}.get(answer.answer, ())
    corners = answer.corners if is_open_gap(answer) else corners
    if any(reason.code == "below_air" for reason in answer.reasons):
        return
    if is_diagonal(corners):
        yield alone_at(evidence, _ACROSS[cold], corners)
    else:
        yield from suspects_of(evidence, corners, "cold" if cold else "hot")


def watched(evidence: LogEvidence) -> LogEvidence | None:
    """The first of `watched_apart`, where nothing is called; None where nothing is watched."""
    return None if evidence.fault.is_fault else next(iter(watched_apart(evidence)), None)


def parked_axle(evidence: LogEvidence) -> LogEvidence | None:
    """`watched`, where both brakes of an axle are so that the parking brake can hold."""
    taken = watched(evidence)
    return taken if taken is not None and _lever_asked(taken) else None


def _lever_asked(taken: LogEvidence) -> bool:
    """True for both brakes of one axle, and no others, that the parking brake holds; if heavy, as stated."""
    if taken.corners != taken.answers.drag.corners or taken.fault != kind_of("axle", "hot"):
        return False
    situation = situation_of(taken)
    stated = situation.parking == "yes" or taken.vehicle.weight_class == "light"
    return stated and parking_first(situation)


def drags_by_hand(found: tuple[tuple[str, str], ...]) -> bool | None:
    """Whether the wheel dragged when it was turned by hand, or its parking brake was on; None: not tried."""
    told, free = latest(found), turns_free(found)
    if any(told.get(check) in _HELD for check in evidence_table().role["parking"]):
        return True
    return None if free is None else not free
