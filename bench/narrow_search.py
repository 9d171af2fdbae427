"""One simulated search for a cause: its answers, and three ways to choose the next check."""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import cached_property, lru_cache

import numpy as np
from msgspec import Struct
from narrow_cases import TABLE, Case

from thermlog.advice.board import Board, Flags, Indices
from thermlog.advice.candidates import BRAKE_KIND, ON_STANDS, PARKING_HERE, Candidate, stands_before
from thermlog.advice.choosing import Askable, Choice, askable, chosen
from thermlog.advice.narrowing import Found
from thermlog.advice.search import Search, advanced
from thermlog.advice.twice import first_time, is_again
from thermlog.advice.weighing import Weights, cause_weights, nothing_fits, weights_of

MOST_CHECKS = 80
FIRST = (
    "visual", "couplings", "plug_look", "spin_hot", "pb_state", "pb_state_air", "pins_slide",
    "pins_slide_air", "pads_slide",
    "wear_pads", "piston_back_shut", "piston_draws_back", "each_piston", "piston_out", "tappets_back",
    "hold_grips", "hold_grips_air", "lets_go", "lets_go_air", "stroke", "rod_home", "shoe_springs",
    "adjuster_backed_off", "adjuster_backed_off_air", "bearing_spin", "bearing_rock",
)  # fmt: skip
LADDER = (*TABLE.role["ladder_fluid"], *TABLE.role["ladder_air"])
_MIDDLE = (key for key in TABLE.observations if key not in {*FIRST, *LADDER})
TEXTBOOK = {key: n for n, key in enumerate((BRAKE_KIND, PARKING_HERE, *FIRST, *_MIDDLE, *LADDER))}
ALIKE = [set(pair.causes) for pair in TABLE.alike]


class Ended(Struct, frozen=True, kw_only=True):
    """The end of one session."""

    right: bool
    minutes: float
    checks: int
    ending: str | None
    first: str


class Luck(Struct, frozen=True, kw_only=True):
    """How answers err.

    Attributes
    ----------
    wrong : float
        Share of answers that are not the usual one.
    seed : str
        Sessions of another seed are others.
    comes_again : float
        Share of wrong answers that are the same when the check is made again.
    """

    wrong: float
    comes_again: float = 0.5
    seed: str


class Node:
    """A search of the search, met by every session with these answers; what follows from it is kept."""

    def __init__(self, search: Search) -> None:
        self.search = search
        self.after: dict[Found, Node] = {}

    def then(self, found: Found) -> Node:
        """The search after one more answer."""
        if found not in self.after:
            self.after[found] = Node(advanced(self.search, found.check, found.answer))
        return self.after[found]

    @cached_property
    def choice(self) -> Choice:
        """What thermlog asks."""
        return chosen(self.search, self.now, ())

    @property
    def asked(self) -> Candidate:
        """The same, where it asks."""
        if self.choice.asked is None:
            raise AssertionError(self.search.told)
        return self.choice.asked

    @property
    def makes_again(self) -> bool:
        """True where it would end but for a check that is made once more: the same for every order."""
        return is_again((self.choice.wanted or self.asked).key)

    @cached_property
    def now(self) -> Askable:
        """What may be asked at all."""
        return askable(self.search, ())

    @cached_property
    def able(self) -> Flags:
        """The same without what comes only after something else, (questions,)."""
        shut = np.array([one.key in self.now.before for one in self.now.board.asked])
        return self.now.able & ~np.asarray(shut)

    @cached_property
    def first(self) -> tuple[str, ...]:
        """The causes that stand first."""
        situation = self.search.situation
        if nothing_fits(situation, weights_of(situation)):
            return ("no_single_cause",)
        return tuple(cause_weights(self.search.situation))[:2]


Order = Callable[[Node], Candidate]


def session(root: Node, case: Case, number: int, order: Order, luck: Luck) -> Ended:
    """One search from the log to its end."""
    node = root
    for _ in range(MOST_CHECKS):
        if node.choice.asked is None:
            break
        asked = order(node)
        node = node.then(answer(case, number, (stands_before(asked, node.search.told) or asked).key, luck))
    asked_for = node.search.told.keys() - {ON_STANDS, *(one.check for one in case.known)}
    return Ended(
        right=is_right(case.cause, node.first),
        minutes=node.search.minutes,
        checks=len(asked_for),
        ending=node.choice.ending,
        first=node.first[0],
    )


def is_right(cause: str, first: tuple[str, ...]) -> bool:
    """True if it stands first, or second in a pair that is named as alike."""
    return first[:1] == (cause,) or (cause in first and set(first) in ALIKE)


def answer(case: Case, number: int, check: str, luck: Luck) -> Found:
    """What this session finds; the same whoever asks, and whenever."""
    if check == ON_STANDS:
        return Found(check=check, answer="yes")
    if check == PARKING_HERE:
        acts = TABLE.causes[case.cause].requires.endswith("_brake_here")
        return Found(check=check, answer="yes" if acts else "no")
    asked = TABLE.observations.get(first_time(check))
    if asked is None or case.kind not in asked.applies_to:
        # The mechanic sees what is fitted; a check of another kind of brake shows it, too.
        return Found(check=BRAKE_KIND, answer=case.kind)
    return Found(check=check, answer=tuple(asked.answers)[_shown(case, number, check, luck)])


def _shown(case: Case, number: int, check: str, luck: Luck) -> int:
    """Place of the answer on its card; the second time errs as often, and part of the errors come again."""
    first = first_time(check)
    row = TABLE.observations[first].p[case.cause]
    usual = max(range(len(row)), key=lambda k: row[k])
    draw = random.Random(f"{luck.seed} {case.cause} {case.kind} {case.verdict} {number} {check}")  # noqa: S311
    wrong = luck.wrong
    if is_again(check):
        told = _shown(case, number, first, luck)
        if told != usual and draw.random() < luck.comes_again:
            return told
        wrong = luck.wrong * (1.0 - luck.comes_again) / (1.0 - luck.wrong * luck.comes_again)
    if draw.random() >= wrong or first in TABLE.role["equipment"]:
        return usual
    others = [k for k in range(len(row)) if k != usual]
    return draw.choices(others, [row[k] for k in others])[0]


# how the next check is chosen


def by_thermlog(node: Node) -> Candidate:
    """The check that tells most per minute."""
    return node.asked


def by_textbook(node: Node) -> Candidate:
    """The first of the fixed order that may be made."""
    if node.makes_again:
        return node.asked
    able, board = node.able, node.now.board
    return (
        board.asked[int(np.where(able, textbook_places(board), np.inf).argmin())]
        if able.any()
        else node.asked
    )


def by_greed(node: Node) -> Candidate:
    """The check whose answers under the likeliest cause would speak most for it against all others [bit]."""
    if node.makes_again:
        return node.asked
    able, board = node.able, node.now.board
    if not able.any():
        return node.asked
    weights = weights_of(node.search.situation)
    first = int(weights.argmax())
    rest = np.delete(weights, first) / np.delete(weights, first).sum()
    every = [of_all(block.p, board.live, len(weights)) for block in board.blocks]
    told = [confirmed(p[:, :, first], np.delete(p, first, axis=2) @ rest) for p in every]
    return board.asked[int(np.where(able, np.concatenate(told) * board.applies, -np.inf).argmax())]


def of_all(p: Weights, live: Indices, causes: int) -> Weights:
    """Rows of every cause of the file, 0 where it cannot be present.

    Checks that tell the same differ by rounding alone: which is the first hangs on the length of the sums.
    """
    found = np.zeros((*p.shape[:2], causes))
    found[:, :, live] = p
    return found


def confirmed(usual: Weights, beside: Weights) -> Weights:
    """Mean of the logarithm of how much likelier an answer is than under the rivals [bit], (questions,)."""
    ratio = np.divide(usual, beside, out=np.ones_like(usual), where=(usual > 0.0) & (beside > 0.0))
    return (usual * np.log2(ratio)).sum(axis=1)


@lru_cache(maxsize=64)
def textbook_places(board: Board) -> Weights:
    """Place of every question in the fixed order."""
    return np.array([TEXTBOOK[one.key] for one in board.asked], dtype=float)


ORDERS: dict[str, Order] = {"thermlog": by_thermlog, "textbook": by_textbook, "greedy": by_greed}
