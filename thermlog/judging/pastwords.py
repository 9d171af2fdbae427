"""What earlier visits of a vehicle did to its answers, told with them."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.words.findings import Answer, Answers, AnswerWord
from thermlog.words.moments import day_of
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.seenwords import OF_SUPPLY
from thermlog.words.tables import Case
from thermlog.words.urgentwords import stop_words
from thermlog.words.visits import Past

# How pressing a word is: what earlier visits make of a milder one is said otherwise than of a graver one.
_PRESSING: tuple[AnswerWord, ...] = ("no", "cannot_tell", "watch", "yes")


def called_today_only(today: Answers, remembered: Answers) -> bool:
    """True where today's log alone calls a brake which earlier visits would let pass.

    Parameters
    ----------
    today, remembered : Answers
        By today's log alone; with earlier visits.
    """
    pairs = ((today.drag, remembered.drag), (today.idle, remembered.idle))
    return any(
        alone.answer == "yes" and (both.answer != "yes" or not {*alone.corners} <= {*both.corners})
        for alone, both in pairs
    )


def with_past(chosen: Answers, other: Answers, visits: int, *, stands: bool) -> Answers:
    """Answers with one more reason for each question about brakes: what earlier visits did to it.

    Parameters
    ----------
    chosen : Answers
        Those that are given.
    other : Answers
        Those that are not: of today's log alone, or with earlier visits where today's stand.
    visits : int
        How many count.
    stands : bool
        True where today's log alone was chosen.
    """
    return replace(
        chosen,
        drag=_told(chosen.drag, other.drag, visits, stands=stands),
        idle=_told(chosen.idle, other.idle, visits, stands=stands),
    )


def _told(chosen: Answer, other: Answer, visits: int, *, stands: bool) -> Answer:
    alone, together = (chosen, other) if stands else (other, chosen)
    shares = {"share_alone": alone.p, "share_with": together.p}
    numbers = {"visits": float(visits)} | {name: p for name, p in shares.items() if p is not None}
    step = _PRESSING.index(together.answer) - _PRESSING.index(alone.answer)
    code: ReasonCode = "visits_calm" if step < 0 else "visits_raise" if step > 0 else "visits_agree"
    if stands and step:
        code = "today_stands"
    return replace(chosen, reasons=(*chosen.reasons, Reason(code=code, numbers=numbers)))


def stop_before(case: Case, past: Past) -> Reason | None:
    """That an earlier visit stopped the vehicle, where no job and not this log says of a repair since."""
    stop = past.stop_before(case)
    if stop is None or (case.taken is not None and case.taken.repair):
        return None
    what = ", ".join(map(stop_words, stop.urgent))
    lost = float(not OF_SUPPLY.isdisjoint(stop.urgent))
    hot = float(not OF_SUPPLY.issuperset(stop.urgent))
    return Reason(
        code="stopped_before", quoted=f"{day_of(stop.when[0])} ({what})", numbers={"hot": hot, "lost": lost}
    )


def beside_stop(answers: Answers, stopped: Reason) -> Answers:
    """Answers beside an earlier stop of which no repair is known: one cool walk does not explain it.

    Parameters
    ----------
    answers : Answers
    stopped : Reason
        From `stop_before`.
    """
    told = Reason(code=stopped.code, quoted=stopped.quoted)
    drag, idle = (
        _open_beside(answer, told) if stopped.numbers[name] else answer
        for answer, name in ((answers.drag, "hot"), (answers.idle, "lost"))
    )
    return replace(answers, drag=drag, idle=idle)


def idle_before(case: Case, past: Past) -> Reason | None:
    """That a brake did no work when this was last told, where no job and not this log says of a repair."""
    if case.taken is not None and case.taken.repair:
        return None
    told = (visit for visit in reversed(past.before(case)) if visit.idle.answer in {"yes", "no"})
    last = next(told, None)
    if last is None or last.idle.answer == "no":
        return None
    return Reason(code="idle_before", corners=last.idle.corners, quoted=day_of(last.when[0]))


def beside_dead(answers: Answers, dead: Reason) -> Answers:
    """Answers beside a brake that did no work before: what leaves it open is nothing to drive with.

    Parameters
    ----------
    answers : Answers
    dead : Reason
        From `idle_before`.
    """
    idle = answers.idle
    if idle.answer != "cannot_tell":
        return answers
    return replace(answers, idle=replace(idle, reasons=(dead, *idle.reasons)))


def _open_beside(answer: Answer, stopped: Reason) -> Answer:
    """No plain "no" beside it; what is open or called stands."""
    if answer.answer == "no":
        return replace(answer, answer="cannot_tell", reasons=(stopped, *answer.reasons))
    return replace(answer, reasons=(*answer.reasons, stopped))
