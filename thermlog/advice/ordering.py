"""What is asked before what: gates, the usual order, and questions an earlier answer made meaningless.

Which checks they are stands in the evidence file; nothing here knows any of them by name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.advice.board import Board, Flags, Indices, board_of, opening_lines
from thermlog.advice.candidates import BRAKE_KIND, Candidate
from thermlog.advice.evidence import Groups
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation
from thermlog.advice.twice import answer_names, first_time, latest

_Order: TypeAlias = tuple[tuple[int, bool], ...]
_NEAR = "near"  # beside the needs of a check: nearer to a wheel than the gun is
_ALL = 1.0 - 1e-9  # share of the kinds it may be; shares are sums


class Standing(Struct, frozen=True, kw_only=True, eq=False):
    """What stands before the questions of a board.

    Attributes
    ----------
    before : mapping of str to tuple of Candidate
        Question that may be made -> what is asked first, in this order. Questions with nothing before them
        are left out.
    shut : array, (questions,)
        Of those that may be made, True where a gate cannot be passed now, or where it tells nothing any more.
    """

    before: Mapping[str, tuple[Candidate, ...]]
    shut: Flags


def standing_before(board: Board, situation: Situation, able: Flags) -> Standing:
    """What must, or had better, be answered before each question, as far as it is not.

    What comes before another question comes after all that stands before itself.

    Parameters
    ----------
    board : Board
    situation : Situation
    able : array, (questions,)
        What may be made now, at least as one of those that come first.
    """
    useless, orders = _meaningless(board, situation), _orders(situation.unfound)
    answered = frozenset(key for key, _ in situation.told)
    steps = _Steps(
        orders=orders,
        open=[answered.isdisjoint(group) for group in orders.groups],
        able=able.tolist(),
        useful=(able & ~useless).tolist(),
    )
    before: dict[str, tuple[Candidate, ...]] = {}
    shut = useless.copy()
    for k in np.flatnonzero(able).tolist():
        found = steps.before(k)
        if found is None:
            shut[k] = True
        elif found:
            before[board.asked[k].key] = tuple(board.asked[first] for first in found)
    return Standing(before=before, shut=shut)


class _Orders(Struct, frozen=True, kw_only=True, eq=False):
    """What comes before the questions of a board, whatever was found at the wheel.

    Attributes
    ----------
    groups : tuple of tuple of str
        Questions of which one is asked first, every group once.
    members : tuple of tuple of int
        The same as places of questions.
    orders : tuple of tuple of (int, bool)
        Places of the groups that come before some questions, in turn, and True where a group is a gate; every
        order once.
    of : tuple of int
        Place of the order of every question.
    """

    groups: Groups
    members: tuple[Indices, ...]
    orders: tuple[_Order, ...]
    of: Indices


@lru_cache(maxsize=1024)
def _orders(situation: Situation) -> _Orders:
    board, after = board_of(situation), evidence_table().after
    some, lines = _of_some_kinds(board), opening_lines(situation)
    at, known = dict[tuple[str, ...], int](), dict[_Order, int]()
    of = []
    for k, one in enumerate(board.asked):
        gates = (
            *(((BRAKE_KIND,),) if some[k] else ()),
            *_fitted(evidence_table().gate.get(one.key, ()), board, situation),
            *(lines if one.asked.opens else ()),
        )
        groups = dict.fromkeys((*gates, *_at_the_wheel(one, situation.sign), *after.get(one.key, ())))
        order = tuple((at.setdefault(group, len(at)), group in gates) for group in groups)
        of.append(known.setdefault(order, len(known)))
    members = tuple(tuple(board.at_some(group)) for group in at)
    return _Orders(groups=tuple(at), members=members, orders=tuple(known), of=tuple(of))


def _at_the_wheel(one: Candidate, sign: str) -> Groups:
    """What comes before someone goes near a wheel, fits a gauge, raises the wheel or takes it off."""
    states = {*one.asked.needs, *([_NEAR] if one.asked.near else [])}
    stated = (orders for state, orders in evidence_table().before.items() if state in states)
    return tuple(group for orders in stated for group in orders.get(sign, ()))


class _Steps(Struct, kw_only=True, eq=False):
    """Finds what is asked first, question by question, by their places; keeps each order that it found."""

    orders: _Orders
    open: list[bool]  # groups of which nothing is answered
    able: list[bool]
    useful: list[bool]  # and tells something: only a gate asks what tells nothing any more
    known: dict[int, Indices | None] = {}

    def before(self, k: int) -> Indices | None:
        """Questions before this one, in their order; None where a gate cannot be passed now."""
        order = self.orders.of[k]
        if order not in self.known:
            self.known[order] = ()  # none comes before itself
            self.known[order] = self._before(order)
        return self.known[order]

    def _before(self, order: int) -> Indices | None:
        found = dict[int, None]()
        for group, is_gate in self.orders.orders[order]:
            if not self.open[group]:
                continue
            first = self._first(group, self.able if is_gate else self.useful)
            if first is not None:
                found |= dict.fromkeys((*(self.before(first) or ()), first))
            elif is_gate:
                return None
        return tuple(found)

    def _first(self, group: int, may: Sequence[bool]) -> int | None:
        """The first of a group that may be asked, and can be after what stands before it."""
        for one in self.orders.members[group]:
            if may[one] and self.before(one) is not None:
                return one
        return None


def _of_some_kinds(board: Board) -> Flags:
    """Questions that only some of the kinds have which this brake may be: first it is asked which it is."""
    open_ = BRAKE_KIND in board.at
    return np.asarray((board.applies > 0.0) & (board.applies < _ALL) & open_)


def _fitted(groups: Groups, board: Board, situation: Situation) -> Groups:
    """Groups of which something can be fitted here: where no parking brake acts none is looked at."""

    def fitted(key: str) -> bool:
        k = board.at[key]
        return bool(board.applies[k] > 0.0) and not (board.needs["parking"][k] and situation.parking == "no")

    return tuple(group for group in groups if any(map(fitted, group)))


def _meaningless(board: Board, situation: Situation) -> Flags:
    """Questions that tell nothing any more, or are not for this mechanic or this state, (questions,)."""
    table, last = evidence_table(), latest(situation.found)
    told = dict(situation.answers) | last
    found = {*told, *answer_names(told.items())}
    moot: Collection[str] = [key for key, answers in table.moot.items() if not found.isdisjoint(answers)]
    early = [key for key, answers in table.only.items() if found.isdisjoint(answers)]
    flags = np.zeros(len(board.asked), dtype=bool)
    waits = [*_freed(board, situation, last), *_loaded(board, situation, last), *table.role["qualified"]]
    flags[board.at_some([*moot, *early, *waits])] = True
    return flags


def _freed(board: Board, situation: Situation, told: Mapping[str, str]) -> Iterable[str]:
    """What asks whether the wheel frees or drags, once something freed it or its drum came off.

    All of it where the brake does no work.
    """
    freed = evidence_table().freed
    if situation.sign == "colder":
        yield from freed["asks"]
        yield from (one.partition("=")[0] for one in freed["by"])
    by = {check for check, answer in told.items() if f"{check}={answer}" in freed["by"]}
    off = situation.share_of(evidence_table().drums) >= _ALL and any(
        board.needs["wheel_off"][k] for k in board.at_some(list(told))
    )
    if off:
        yield from freed["drum_off"]
    # What freed it can be made once more itself.
    yield from (check for check in freed["asks"] if off or by - {check})


def presses(situation: Situation) -> bool:
    """True while a spring may press on the rod: what one of two looks showed counts."""
    load = evidence_table().load
    told = _shown(situation)
    may_be = situation.parking != "no" or situation.sprung
    return may_be and not _is_caged(situation) and not told.isdisjoint(load["shows"])


def _shown(situation: Situation) -> set[str]:
    return answer_names((first_time(check), answer) for check, answer in situation.found)


def _is_caged(situation: Situation) -> bool:
    return any(check in evidence_table().role["qualified"] for check, _ in situation.found)


def _loaded(board: Board, situation: Situation, last: Mapping[str, str]) -> Iterable[str]:
    """What unhooks a rod, or reaches into the brake, while spring or air may press on it."""
    load, told = evidence_table().load, _shown(situation)
    if not answer_names(last.items()).isdisjoint(load["low"]):
        yield from (*load["waits"], *load["hands"])
    if presses(situation) or not told.isdisjoint(load["air"]):
        yield from load["waits"]
    if not _is_caged(situation) and not told.isdisjoint(load["inside"]):
        yield from (board.asked[k].key for k in np.flatnonzero(board.needs["wheel_off"]))
