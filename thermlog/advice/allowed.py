"""Which answers a search takes: to checks that there are, and that this vehicle and its brake can have."""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from thermlog.advice.board import board_of
from thermlog.advice.candidates import BRAKE_KIND, PARKING_HERE, WAIT, gates, known_answers
from thermlog.advice.choosing import choose
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.search import Search
from thermlog.advice.situations import Situation, situation_of
from thermlog.advice.twice import first_time
from thermlog.words.errors import OptionError
from thermlog.words.reasons import DoCode

_TOLD = "thermlog narrow --checks lists all with their answers"


def refuse_unknown_check(search: Search, check: str) -> tuple[str, ...]:
    """Raise for a check that does not exist; the answers of one that does."""
    answers = known_answers(check)
    if answers is None:
        from difflib import get_close_matches  # only a mistake needs it

        if check in get_args(DoCode):
            msg = f"{check} is driven, read or looked into, and has no answer: log it, then compare the logs"
            raise OptionError(msg)
        near = get_close_matches(check, (*evidence_table().observations, *gates()), n=2)
        cure = f"nearest: {', '.join(near)}; " if near else _asked_next(search)
        msg = f'no check "{check}"; {cure}{_TOLD}'
        raise OptionError(msg)
    return answers


def refuse_answer(search: Search, check: str, answer: str) -> None:
    """Raise for an answer that does not exist, or that this vehicle or its brake cannot have.

    Parameters
    ----------
    search : Search
        With all answers before this one.
    check, answer : str

    Raises
    ------
    OptionError
        Names what can be asked instead.
    """
    answers = refuse_unknown_check(search, check)
    if answer not in answers:
        msg = f'{check}: no answer "{answer}"; it can be {", ".join(answers)}'
        raise OptionError(msg)
    if check == BRAKE_KIND:
        _refuse_kind(search, answer)
        return
    here = list(checks_here(search.situation))
    if first_time(check) not in {*here, PARKING_HERE}:
        msg = f"{check}: no check of what is here ({_fitted(search.situation)}); {_asked_next(search)}{_TOLD}"
        raise OptionError(msg)


def checks_here(situation: Situation) -> Iterator[str]:
    """Names of all that can be answered of what stands out, whatever was answered or skipped already."""
    board = board_of(situation)
    for k, one in enumerate(board.asked):
        coupled = bool(situation.trailer) or not board.needs["trailer"][k]
        if board.applies[k] > 0.0 and coupled:
            yield one.key
    yield from gates()


def _refuse_kind(search: Search, kind: str) -> None:
    """Raise for a kind of brake that no vehicle of this group has, whatever its description says of it."""
    situation, kinds_of = situation_of(search.evidence), evidence_table().kinds
    groups = {kinds_of[one].group for one, share in situation.shares if share > 0}
    kinds = [one for one, known in kinds_of.items() if known.group in groups]
    if kind not in kinds:
        msg = f"{BRAKE_KIND}={kind}: not here ({_fitted(situation)}); it can be {', '.join(kinds)}"
        raise OptionError(msg)


def _fitted(situation: Situation) -> str:
    words = evidence_table().brake_words
    return " or ".join(words[kind] for kind, share in situation.shares if share > 0)


def _asked_next(search: Search) -> str:
    """What would be asked now, as the beginning of a sentence that goes on."""
    asked = _next(search)
    return f"asked next is {asked}; " if asked else ""


def _next(search: Search) -> str | None:
    """The check that would be asked now."""
    if not search.cooled:
        return WAIT
    asked = choose(search).asked if search.evidence.fault.is_fault else None
    return None if asked is None else asked.key
