"""Minutes of every check: what it takes from here, and what of that would be spent in any case.

A cause is called once a check of its card confirms it. The likelier a cause is, the surer its cheapest such
check is made sooner or later, and lifting and taking the wheel off for it: to do that now costs nothing more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache

import numpy as np

from thermlog.advice.board import Board, Flags, Indices, believed, board_of, minutes_of
from thermlog.advice.candidates import Candidate
from thermlog.advice.closing import confirmed_causes, takes_all
from thermlog.advice.evidence import Cause
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import wheels_looked_at
from thermlog.advice.search import Search, each_min, left_to_cool_min
from thermlog.advice.situations import Situation
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
    first, own = np.zeros(len(minutes)), minutes.tolist()
    for key, some in before.items():
        first[board.at[key]] = sum(own[board.at[one.key]] for one in some)
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
    may, took_min, needed = able.tolist(), minutes.tolist(), [0.0] * len(minutes)
    shares = board.of_live(believed(search.situation)).tolist()
    confirmed = board.of_live(confirmed_causes(search.situation)).tolist()
    every = _ways(search.situation.unfound)
    for share, known, ways in zip(shares, confirmed, every, strict=True):
        for k in () if known else _shortest(ways, may, took_min):
            needed[k] += share
    return np.array(needed)


def _shortest(ways: Iterable[Indices], may: Sequence[bool], took_min: Sequence[float]) -> Sequence[int]:
    """The way that takes least by questions that may be asked; empty where none may."""
    left = [way for way in ([k for k in way if may[k]] for way in ways) if way]
    return min(left, key=lambda way: sum([took_min[k] for k in way])) if left else ()


@lru_cache(maxsize=1024)
def _ways(situation: Situation) -> tuple[tuple[Indices, ...], ...]:
    """Of every cause that can be present each way to confirm it, as places of questions."""
    board, causes = board_of(situation), tuple(evidence_table().causes.values())
    return tuple(tuple(_ways_of(causes[k], board)) for k in board.live)


def _ways_of(cause: Cause, board: Board) -> Iterator[Indices]:
    keys = sorted({one.check for one in cause.confirms})
    yield tuple(board.at_some([key for key in keys if takes_all(cause, key)]))
    for k in board.at_some([key for key in keys if not takes_all(cause, key)]):
        yield (k,)
