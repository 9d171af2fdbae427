"""One check after another: what was found at the wheel joins what the log says, until one cause is left.

The next check is the one with the highest expected information about the cause per minute, under gates that
no arithmetic overrides: above an urgent line nothing before it cooled, nothing on a raised wheel before it
stands on stands, no hydraulics opened before looking, turning and the parking brake were answered.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.candidates import (
    ON_STANDS,
    Candidate,
    candidates,
    known_answers,
    stands_before,
    with_answer,
)
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.nextcheck import next_check
from thermlog.advice.suspects import (
    Situation,
    cause_weights,
    nothing_fits,
    ranked,
    situation_of,
)
from thermlog.advice.telling import (
    before_opening,
    believed,
    bits_per_minute,
    check_minutes,
    check_of,
    expected_bits,
)
from thermlog.words.errors import OptionError
from thermlog.words.findings import NextCheck, Suspect

Ending: TypeAlias = Literal["settled", "inseparable", "contradiction", "no_check", "wait", "no_cause"]


class Found(Struct, frozen=True, kw_only=True):
    """The answer to one check.

    Attributes
    ----------
    check, answer : str
        Names as `Narrowed` gives them.
    """

    check: str
    answer: str


class AnswerMeaning(Struct, frozen=True, kw_only=True):
    """One answer that the next check can have.

    Attributes
    ----------
    id : str
        What `Found.answer` is.
    words : str
        The answer as a mechanic would say it.
    means : str
        What it would point to.
    """

    id: str
    words: str
    means: str


class Narrowed(Struct, frozen=True, kw_only=True):
    """Where the search for the cause stands.

    Attributes
    ----------
    suspects : tuple of Suspect
        Causes, the likeliest first, with the answers that speak for and against each.
    check : NextCheck or None
        The next one; None where the search has ended.
    how : str
        How the check is done.
    answers : tuple of AnswerMeaning
        What it can show. Empty for a reading or a drive that the log asks for.
    ending : Ending or None
        Why the search has ended; "contradiction" may stand beside a check.
    minutes : float
        Spent on the checks so far, as the cards say.
    found : tuple of Found
    skipped : tuple of str
        Checks that could not be done now.
    """

    suspects: tuple[Suspect, ...]
    check: NextCheck | None
    how: str = ""
    answers: tuple[AnswerMeaning, ...] = ()
    ending: Ending | None = None
    minutes: float = 0.0
    found: tuple[Found, ...] = ()
    skipped: tuple[str, ...] = ()


class _Position(Struct, frozen=True, kw_only=True):
    """All that is known after some answers."""

    evidence: LogEvidence
    situation: Situation
    reached: frozenset[str]
    minutes: float
    cleared: bool
    told: Mapping[str, str]


def narrow(evidence: LogEvidence, found: Sequence[Found] = (), skipped: Sequence[str] = ()) -> Narrowed:
    """Where the search stands after some answers.

    Parameters
    ----------
    evidence : LogEvidence
    found : sequence of Found
        In the order they were found; a later answer to the same check replaces the earlier.
    skipped : sequence of str
        Checks not to be asked now.

    Returns
    -------
    Narrowed

    Raises
    ------
    OptionError
        No such check, or no such answer to it; names those there are.
    """
    position = _position(evidence, found)
    state = Narrowed(
        suspects=(),
        check=None,
        minutes=position.minutes,
        found=tuple(Found(check=check, answer=answer) for check, answer in position.told.items()),
        skipped=tuple(dict.fromkeys(skipped)),
    )
    if evidence.urgent and not position.cleared:
        return _before_it_cooled(position, state)
    if not evidence.fault.is_fault:
        return replace(state, check=next_check(evidence, ()), ending="no_cause")
    state = replace(state, suspects=ranked(evidence, position.situation))
    return _next(position, state)


def _position(evidence: LogEvidence, found: Sequence[Found]) -> _Position:
    told = {one.check: one.answer for one in found}
    situation = situation_of(evidence)
    position = _Position(
        evidence=evidence,
        situation=situation,
        reached=frozenset(),
        minutes=0.0,
        cleared=told.get("clear_and_wait") == "cooled",
        told=told,
    )
    for check, answer in told.items():
        _refuse_unknown(check, answer)
        asked = next((one.asked for one in candidates(position.situation) if one.key == check), None)
        if asked is not None:
            position = replace(
                position,
                reached=position.reached | ({"lift", "wheel_off", "cold"} & set(asked.needs)),
                minutes=position.minutes + check_minutes(evidence, asked, position.reached),
            )
        position = replace(position, situation=with_answer(position.situation, check, answer))
    return position


def _refuse_unknown(check: str, answer: str) -> None:
    """Raise for a check or an answer that does not exist."""
    answers = known_answers(check)
    if answers is None:
        near = get_close_matches(check, (*evidence_table().observations, "clear_and_wait"), n=2)
        msg = f'no check "{check}"; nearest: {", ".join(near) or "none"}'
        raise OptionError(msg)
    if answer not in answers:
        msg = f'{check}: no answer "{answer}"; it can be {", ".join(answers)}'
        raise OptionError(msg)


def _before_it_cooled(position: _Position, state: Narrowed) -> Narrowed:
    """Nobody works at a wheel: the only question is whether it has cooled."""
    check = next_check(position.evidence, ())
    waits = position.told.get("clear_and_wait") == "not_yet"
    meanings = (
        AnswerMeaning(id="cooled", words="cooled down, nothing smokes, read again", means="the checks begin"),
        AnswerMeaning(id="not_yet", words="not yet", means="nobody works at the wheel and nobody drives"),
    )
    return replace(state, check=check, answers=meanings, ending="wait" if waits else None)


def _next(position: _Position, state: Narrowed) -> Narrowed:
    """The next check of those that may be made, or why there is none."""
    rule = evidence_table().rule
    shares = believed(position.situation)
    contradicted = nothing_fits(position.situation, cause_weights(position.situation))
    every = {one.key: one for one in candidates(position.situation)}
    possible = [one for one in every.values() if _may_be_asked(one, every, position, state)]
    ending = None if contradicted else _ended(shares, rule["settled_share"])
    if ending is not None:
        confirming = _confirming(shares, possible, position) if ending == "settled" else None
        if confirming is None:
            return replace(state, ending=ending)
        return _through_gates(confirming, every, position, state)
    best = max(possible, key=lambda one: _rate(one, every, position), default=None)
    if best is None or not _worth_asking(best, every, position):
        return replace(state, ending=_without_check(state, contradicted=contradicted, left=best))
    return _through_gates(
        best, every, position, replace(state, ending="contradiction" if contradicted else None)
    )


def _confirming(
    shares: Mapping[str, float], possible: Sequence[Candidate], position: _Position
) -> Candidate | None:
    """What would confirm the cause that is left; None if it is confirmed, or nothing can confirm it."""
    cause = evidence_table().causes[max(shares, key=lambda one: shares[one])]
    if any(position.told.get(one.check) == one.answer for one in cause.confirms):
        return None
    keys = [one.check for one in cause.confirms]
    return next((one for key in keys for one in possible if one.key == key), None)


def _through_gates(
    wanted: Candidate, every: Mapping[str, Candidate], position: _Position, state: Narrowed
) -> Narrowed:
    """The check itself, or what must be answered before it."""
    asked = wanted
    missing = _missing(wanted, every, position, state)
    if missing:
        asked = missing[0]
    stands = stands_before(asked, position.told)
    return _asking(
        stands or asked, position, state, before=None if asked is wanted else wanted, stands=stands
    )


def _missing(
    one: Candidate, every: Mapping[str, Candidate], position: _Position, state: Narrowed
) -> list[Candidate]:
    """Checks that come before one that opens a fluid line, as far as each can be made."""
    if "opens" not in one.asked.needs:
        return []
    groups = before_opening(position.situation, position.told)
    found = []
    for group in groups:
        able = [
            every[key]
            for key in group
            if key not in state.skipped
            and every[key].allowed(position.evidence, position.situation, position.minutes)
        ]
        found += able[:1]
    return found


def _ended(shares: Mapping[str, float], enough: float) -> Ending | None:
    """One cause is left, or two that no question keeps apart."""
    first, second = sorted(shares, key=lambda cause: -shares[cause])[:2]
    if shares[first] >= enough:
        return "settled"
    alike = any({first, second} == set(pair.causes) for pair in evidence_table().alike)
    return "inseparable" if alike and shares[first] + shares[second] >= enough else None


def _without_check(state: Narrowed, *, contradicted: bool, left: Candidate | None) -> Ending:
    """Why nothing more is asked."""
    if contradicted:
        return "contradiction"
    return "no_check" if left is None or state.skipped else "inseparable"


def _may_be_asked(
    one: Candidate, every: Mapping[str, Candidate], position: _Position, state: Narrowed
) -> bool:
    if one.key in position.told or one.key in state.skipped:
        return False
    if not one.allowed(position.evidence, position.situation, position.minutes):
        return False
    before = _missing(one, every, position, state)
    if "opens" in one.asked.needs and len(before) < len(before_opening(position.situation, position.told)):
        return False  # a gate that cannot be passed now
    closed = ON_STANDS in state.skipped or position.told.get(ON_STANDS) == "no"
    return not (closed and any(stands_before(each, {}) for each in (one, *before)))


def _rate(one: Candidate, every: Mapping[str, Candidate], position: _Position) -> float:
    """Expected information per minute [bit/min], with what must come before."""
    before = _missing(one, every, position, Narrowed(suspects=(), check=None))
    minutes = sum(check_minutes(position.evidence, each.asked, position.reached) for each in (one, *before))
    return bits_per_minute(expected_bits(one.asked, position.situation), one.asked, minutes)


def _worth_asking(one: Candidate, every: Mapping[str, Candidate], position: _Position) -> bool:
    """False where it tells next to nothing, or too little for its minutes."""
    rule = evidence_table().rule
    bits = expected_bits(one.asked, position.situation)
    return bits >= rule["least_bits"] and _rate(one, every, position) >= rule["least_rate"]


def _asking(
    one: Candidate,
    position: _Position,
    state: Narrowed,
    *,
    before: Candidate | None,
    stands: Candidate | None,
) -> Narrowed:
    """A check with what each of its answers would mean."""
    meanings = tuple(
        AnswerMeaning(id=answer, words=words, means=_points(one, answer, position))
        for answer, words in one.asked.answers.items()
    )
    why = _why(one, before, stands)
    check = check_of(position.evidence, one.key, one.asked, why, position.reached)
    return replace(state, check=check, how=one.asked.how, answers=meanings)


def _why(one: Candidate, before: Candidate | None, stands: Candidate | None) -> str:
    if stands is not None:
        return "The next check is made at a raised wheel."
    if before is not None:
        return "Before a fluid line is opened this is answered."
    if "hot" in one.asked.needs:
        return "It tells most per minute now, and only while the brake is hot."
    return "It tells most per minute now."


def _points(one: Candidate, answer: str, position: _Position) -> str:
    """What an answer tells by its card, and which cause would then stand first."""
    if one.key == ON_STANDS:
        return "the checks at the raised wheel follow" if answer == "yes" else "only checks on the ground"
    after = cause_weights(with_answer(position.situation, one.key, answer))
    named = evidence_table().causes[next(iter(after))].short
    told = one.asked.means.get(answer, "").rstrip(".")
    return f"{told} (then first: {named})" if told else f"then first: {named}"
