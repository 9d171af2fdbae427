"""How near a search is to its end: whether a cause is confirmed, and how likely one more answer ends it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache, lru_cache

import numpy as np

from thermlog.advice.board import Board, Flags, Indices, believed, by_cause
from thermlog.advice.candidates import checks
from thermlog.advice.evidence import Cause, Observation
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation
from thermlog.advice.twice import first_time, latest
from thermlog.advice.weighing import Weights


def is_confirmed_by(told: Mapping[str, str], cause: Cause) -> bool:
    """True if a check of the card of a cause was made, and had the answer that confirms it.

    What two rungs of a ladder enclose is confirmed by both: no hose is condemned by its lower end alone.

    Parameters
    ----------
    told : mapping of str to str
        Answers by check.
    cause : Cause
    """
    all_of = [told.get(one.check) == one.answer for one in cause.confirms if takes_all(cause, one.check)]
    others = (one for one in cause.confirms if not takes_all(cause, one.check))
    return (bool(all_of) and all(all_of)) or any(told.get(one.check) == one.answer for one in others)


def can_be_tried_again(told: Mapping[str, str], cause: Cause) -> bool:
    """True if a check that can be made a second time has confirmed a cause."""
    met = [one.check for one in cause.confirms if told.get(one.check) == one.answer]
    return any(evidence_table().observations[check].repeats for check in met)


def is_shown_by(told: Mapping[str, str], cause: str, weights: Weights) -> bool:
    """True if the part itself was seen in the open brake, or felt: a broken spring, a bearing with play.

    An answer with the wheel off, or of the bearing, that confirms the cause, and that nothing else which is
    still listed gives nearly as often.

    Parameters
    ----------
    told : mapping of str to str
        Answers by check.
    cause : str
    weights : array, (causes,)
        Of `weighing.weights_of`.
    """
    table = evidence_table()
    listed = weights >= weights.max() * table.rule["least_ratio"]
    rivals = [one for one, counts in zip(table.causes, listed, strict=True) if counts and one != cause]
    return any(
        _hardly_else(table.observations[one.check], one.answer, cause, rivals) and _shows_part(one.check)
        for one in table.causes[cause].confirms
        if told.get(one.check) == one.answer and not takes_all(table.causes[cause], one.check)
    )


def _hardly_else(asked: Observation, answer: str, cause: str, rivals: Iterable[str]) -> bool:
    """True for what is hardly ever found where another cause is at work."""
    most = evidence_table().rule["shown_ratio"] * asked.likelihood(answer, cause)
    return all(asked.likelihood(answer, one) <= most for one in rivals)


def _shows_part(check: str) -> bool:
    """True where the part itself is in view, or in hand: the brake is open, or its bearing is felt."""
    table = evidence_table()
    return table.observations[check].source == "wheel_off" or check in table.role["bearing"]


def takes_all(cause: Cause, check: str) -> bool:
    """True for a check that confirms a cause only with the others of its kind: rungs, or all of its card."""
    return cause.together or is_rung(check)


def answered_against(told: Mapping[str, str], cause: str) -> tuple[str, ...]:
    """Checks of the card of a cause whose last answer is one that this cause hardly ever gives.

    Parameters
    ----------
    told : mapping of str to str
        Answers by check, those of the second time with their own names.
    cause : str
    """
    table, last = evidence_table(), latest(told.items())
    own = dict.fromkeys(one.check for one in table.causes[cause].confirms if one.check in last)
    hardly = table.rule["misfit"]
    return tuple(key for key in own if table.observations[key].likelihood(last[key], cause) < hardly)


def is_enclosed(cause: Cause) -> bool:
    """True for what only several answers together tell from its neighbours up and down the line."""
    return all(takes_all(cause, one.check) for one in cause.confirms)


@lru_cache(maxsize=1024)
def confirmed_causes(situation: Situation) -> Flags:
    """True for every cause that a check of its card has confirmed, shape (causes,); not to be changed."""
    told, causes = dict(situation.told), tuple(evidence_table().causes.values())
    flags = np.zeros(len(causes), dtype=bool)
    for k in {k for check in told for k in _on_cards().get(first_time(check), ())}:
        flags[k] = is_confirmed_by(told, causes[k])
    return flags


@cache
def _on_cards() -> Mapping[str, Indices]:
    """Indices of the causes that a check can confirm, by its name."""
    found: dict[str, Indices] = {}
    for k, cause in enumerate(evidence_table().causes.values()):
        for check in {one.check for one in cause.confirms}:
            found[check] = (*found.get(check, ()), k)
    return found


def is_rung(check: str) -> bool:
    """True for a check of a pressure ladder."""
    return check in _rungs()


@cache
def _rungs() -> frozenset[str]:
    """Checks of the pressure ladders."""
    role = evidence_table().role
    return frozenset({*role["ladder_fluid"], *role["ladder_air"]})


def ends_p(board: Board, situation: Situation) -> Weights:
    """Probability that the answer to a question ends the search, shape (questions,).

    It does where one cause is then believed to `settled_share`, or to `confirmed_share` and confirmed.

    Parameters
    ----------
    board : Board
    situation : Situation
    """
    shares = board.of_live(believed(situation))
    ends = [
        _ends_p(block.p * shares, line)
        for block, line in zip(board.blocks, _enough(board, situation), strict=True)
    ]
    return np.asarray(np.concatenate(ends) * board.applies)


def _ends_p(joint: Weights, enough: Weights) -> Weights:
    """Of every question, from the probability of answer and cause and the share that calls a cause."""
    answer_p = joint.sum(axis=2)
    settled = (joint >= enough * answer_p[:, :, np.newaxis]).any(axis=2)
    return np.asarray((answer_p * settled).sum(axis=1))


def _enough(board: Board, situation: Situation) -> tuple[Weights, ...]:
    """Share from which a cause is called after an answer, of each block."""
    rule, confirmed = evidence_table().rule, board.of_live(confirmed_causes(situation))
    climbed = frozenset(pair for pair in situation.told if pair[0] in _of_several())
    calls = (rule["confirmed_share"], rule["settled_share"])
    of_checks = _enough_of_checks(climbed, board.live, tuple(confirmed.tolist()), calls)
    return (of_checks, *(np.where(confirmed, *calls) for _ in board.blocks[1:]))  # checks stand first


@lru_cache(maxsize=64)
def _enough_of_checks(
    climbed: frozenset[tuple[str, str]],
    live: Indices,
    confirmed: tuple[bool, ...],
    calls: tuple[float, float],
) -> Weights:
    """Share from which a cause is called: the first of `calls` once it is confirmed, or by this answer."""
    return by_cause(np.where(np.array(confirmed) | _confirming(climbed, live), *calls))


@cache
def _of_several() -> frozenset[str]:
    """Checks that confirm a cause only together with others."""
    causes = evidence_table().causes.values()
    return frozenset(one.check for each in causes for one in each.confirms if takes_all(each, one.check))


@lru_cache(maxsize=256)
def _confirming(climbed: frozenset[tuple[str, str]], live: Indices) -> Flags:
    """Answers to the checks of the file that would confirm each cause, after these rungs of a ladder.

    Returns
    -------
    array, (questions, answers, live causes)
        Not to be changed.
    """
    asked = [(one.key, tuple(one.asked.answers)) for one in checks()]
    flags = np.zeros((len(asked), max(len(answers) for _, answers in asked), len(live)), dtype=bool)
    at = {key: (row, answers) for row, (key, answers) in enumerate(asked)}
    causes = tuple(evidence_table().causes.values())
    for column, cause in enumerate(causes[k] for k in live):
        for one in cause.confirms:  # what only a log answers is no question
            if one.check in at and is_confirmed_by({**dict(climbed), one.check: one.answer}, cause):
                row, answers = at[one.check]
                flags[row, answers.index(one.answer), column] = True
    return flags
