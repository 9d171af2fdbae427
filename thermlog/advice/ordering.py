"""What is asked before what: gates, the usual order, and questions an earlier answer made meaningless.

Which checks they are stands in the evidence file; nothing here knows any of them by name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

import numpy as np
from msgspec import Struct

from thermlog.advice.board import Board, Flags, before_opening
from thermlog.advice.candidates import BRAKE_KIND, Candidate
from thermlog.advice.evidence import Groups
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation
from thermlog.advice.twice import first_time, latest

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
    useless = _meaningless(board, situation)
    steps = _Steps(
        board=board,
        situation=situation,
        able=able,
        useful=able & ~useless,
        some=_of_some_kinds(board),
        lines=tuple(before_opening(situation)),
        answered=frozenset(key for key, _ in situation.told),
    )
    before: dict[str, tuple[Candidate, ...]] = {}
    shut = np.zeros(len(board.asked), dtype=bool)
    for k in np.flatnonzero(able):
        key = board.asked[k].key
        found = steps.before(key)
        shut[k] = found is None
        if found:
            before[key] = tuple(board.asked[board.at[first]] for first in found)
    return Standing(before=before, shut=shut | useless)


class _Steps(Struct, frozen=True, kw_only=True, eq=False):
    """What is asked first, question by question; each is worked out once."""

    board: Board
    situation: Situation
    able: Flags
    useful: Flags  # and tells something: only a gate asks what tells nothing any more
    some: Flags
    lines: Groups
    answered: frozenset[str]
    known: dict[str, tuple[str, ...] | None] = {}

    def before(self, key: str) -> tuple[str, ...] | None:
        """Questions before this one, in their order; None where a gate cannot be passed now."""
        if key not in self.known:
            self.known[key] = ()  # none comes before itself
            self.known[key] = self._before(key)
        return self.known[key]

    def _before(self, key: str) -> tuple[str, ...] | None:
        gates, found = self._gates(key), dict[str, None]()
        for group in dict.fromkeys((*gates, *self._at_the_wheel(key), *evidence_table().after.get(key, ()))):
            if not self.answered.isdisjoint(group):
                continue
            may = self.able if group in gates else self.useful
            first = next(
                (one for one in group if may[self.board.at[one]] and self.before(one) is not None), None
            )
            if first is not None:
                found |= dict.fromkeys((*(self.before(first) or ()), first))
            elif group in gates:
                return None
        return tuple(found)

    def _at_the_wheel(self, key: str) -> Groups:
        """What comes before a wheel is raised, or comes off, for this check."""
        needs = self.board.asked[self.board.at[key]].asked.needs
        stated = (orders for state, orders in evidence_table().before.items() if state in needs)
        return tuple(group for orders in stated for group in orders.get(self.situation.sign, ()))

    def _gates(self, key: str) -> Groups:
        k = self.board.at[key]
        return (
            *(((BRAKE_KIND,),) if self.some[k] else ()),
            *_fitted(evidence_table().gate.get(key, ()), self.board, self.situation),
            *(self.lines if self.board.asked[k].asked.opens else ()),
        )


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
    table, told = evidence_table(), dict(situation.answers) | latest(situation.found)
    found = {*told, *(f"{check}={answer}" for check, answer in told.items())}
    moot: Collection[str] = [key for key, answers in table.moot.items() if not found.isdisjoint(answers)]
    flags = np.zeros(len(board.asked), dtype=bool)
    waits = [*_freed(board, situation), *_loaded(board, situation), *table.role["qualified"]]
    flags[board.at_some([*moot, *waits])] = True
    return flags


def _freed(board: Board, situation: Situation) -> Iterable[str]:
    """What asks whether the wheel frees or drags, once something freed it or its drum came off."""
    freed, told = evidence_table().freed, latest(situation.found)
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
    return situation.parking != "no" and not _is_caged(situation) and not told.isdisjoint(load["shows"])


def _shown(situation: Situation) -> set[str]:
    return {f"{first_time(check)}={answer}" for check, answer in situation.found}


def _is_caged(situation: Situation) -> bool:
    return any(check in evidence_table().role["qualified"] for check, _ in situation.found)


def _loaded(board: Board, situation: Situation) -> Iterable[str]:
    """What unhooks a rod, or reaches into the brake, while spring or air may press on it."""
    load, told = evidence_table().load, _shown(situation)
    if _is_caged(situation):
        return
    if presses(situation) or not told.isdisjoint(load["air"]):
        yield from load["waits"]
    if not told.isdisjoint(load["inside"]):
        yield from (board.asked[k].key for k in np.flatnonzero(board.needs["wheel_off"]))
