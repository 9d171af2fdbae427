"""Minutes of every check: what it takes from here, and what of that would be spent in any case.

A cause is called once a check of its card confirms it. The likelier a cause is, the surer its cheapest such
check is made sooner or later, and lifting and taking the wheel off for it: to do that now costs nothing more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from thermlog.advice.board import Board, Flags, believed, minutes_of
from thermlog.advice.candidates import Candidate
from thermlog.advice.closing import confirmed_causes, takes_all
from thermlog.advice.evidence import Cause
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.search import Search, each_min, left_to_cool_min
from thermlog.advice.telling import wheels_looked_at
from thermlog.advice.weighing import Weights


def minutes_with(search: Search, board: Board, before: Mapping[str, Sequence[Candidate]]) -> Weights:
    """Minutes of every question, with what must come before, shape (questions,) [min].

    Parameters
    ----------
    search : Search
    board : Board
    before : mapping of str to sequence of Candidate
        What stands before a question, by its name.
    """
    minutes = each_min(search)
    first = np.zeros(len(minutes))
    for key, some in before.items():
        first[board.at[key]] = sum(minutes[board.at[one.key]] for one in some)
    return np.asarray(minutes + first)


def waiting_min(search: Search, board: Board) -> Weights:
    """Minutes that a brake too hot to go near cools before each question; waited for once for all [min]."""
    waited = board.near & ~board.needs["cold"]
    return np.asarray(left_to_cool_min(search) * waited)


def extra_min(search: Search, board: Board, able: Flags, minutes: Weights) -> Weights:
    """Minutes of every question beyond what is expected to be spent in any case, shape (questions,) [min].

    Parameters
    ----------
    search : Search
    board : Board
    able : array, (questions,)
        True where a question may be asked.
    minutes : array, (questions,)
        All that each takes [min].
    """
    needed = confirming_p(search, board, able, minutes)
    places, reached = wheels_looked_at(search.evidence), search.reached
    base = minutes_of(search.situation, places, reached)
    own, shared = minutes, np.zeros(len(minutes))
    for state in ("lift", "wheel_off"):
        getting_there = base - minutes_of(search.situation, places, reached | {state})
        own = own - getting_there
        shared += getting_there * (1.0 - min(float(needed[board.needs[state]].sum()), 1.0))
    return np.asarray(own * (1.0 - needed) + shared)


def confirming_p(search: Search, board: Board, able: Flags, minutes: Weights) -> Weights:
    """Probability that each question is what confirms the cause in the end, shape (questions,).

    Of several that would confirm a cause the one that takes least; of a ladder both rungs.

    Parameters
    ----------
    search, board, able, minutes
        As for `extra_min`.
    """
    open_shares = np.where(confirmed_causes(search.situation), 0.0, believed(search.situation))
    needed = np.zeros(len(minutes))
    for share, cause in zip(open_shares, evidence_table().causes.values(), strict=True):
        ways = [way for way in _ways(board, able, cause) if way] if share > 0.0 else []
        if ways:
            needed[min(ways, key=lambda way: minutes[way].sum())] += share
    return needed


def _ways(board: Board, able: Flags, cause: Cause) -> Iterator[list[int]]:
    """Each way to confirm a cause, as places of questions that may be asked."""
    keys = sorted({one.check for one in cause.confirms})
    yield [k for k in board.at_some([key for key in keys if takes_all(cause, key)]) if able[k]]
    for k in board.at_some([key for key in keys if not takes_all(cause, key)]):
        yield [k] if able[k] else []
