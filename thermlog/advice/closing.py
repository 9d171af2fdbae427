"""How near a search is to its end: whether a cause is confirmed, and how likely one more answer ends it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np

from thermlog.advice.board import Board, believed
from thermlog.advice.evidence import Cause
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation
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
    climbed = [told.get(one.check) == one.answer for one in cause.confirms if one.check in _rungs()]
    others = (one for one in cause.confirms if one.check not in _rungs())
    return (bool(climbed) and all(climbed)) or any(told.get(one.check) == one.answer for one in others)


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
    shares, enough = believed(situation), _enough(board, situation)
    ends = [_ends_p(block.p * shares, line) for block, line in zip(board.blocks, enough, strict=True)]
    return np.asarray(np.concatenate(ends) * board.applies)


def _ends_p(joint: Weights, enough: Weights) -> Weights:
    """Of every question, from the probability of answer and cause and the share that calls a cause."""
    answer_p = joint.sum(axis=2)
    settled = (joint >= enough * answer_p[:, :, np.newaxis]).any(axis=2)
    return np.asarray((answer_p * settled).sum(axis=1))


def _enough(board: Board, situation: Situation) -> tuple[Weights, ...]:
    """Share from which a cause is called after an answer, of each block (questions, answers, causes)."""
    rule, causes, told = evidence_table().rule, evidence_table().causes.values(), dict(situation.told)
    names = ("confirmed_share" if is_confirmed_by(told, one) else "settled_share" for one in causes)
    already = np.array([rule[name] for name in names])
    enough = tuple(np.broadcast_to(already, block.p.shape).copy() for block in board.blocks)
    for k, cause in enumerate(causes):
        for check, answer in _confirming(told, cause, board):
            nth = tuple(board.asked[board.at[check]].asked.answers).index(answer)
            enough[0][board.at[check], nth, k] = rule["confirmed_share"]  # checks of the file stand first
    return enough


def _confirming(told: Mapping[str, str], cause: Cause, board: Board) -> list[tuple[str, str]]:
    """Answers to a question that would confirm a cause; what only a log answers is no question."""
    able = [(one.check, one.answer) for one in cause.confirms if one.check in board.at]
    return [pair for pair in able if is_confirmed_by({**told, pair[0]: pair[1]}, cause)]
