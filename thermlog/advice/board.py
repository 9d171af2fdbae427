"""All questions of one situation as arrays: what each tells, how long it takes, whether it may be asked."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cache, lru_cache
from typing import TYPE_CHECKING, TypeAlias, TypeVar

import numpy as np
from msgspec import Struct

from thermlog.advice.candidates import Candidate, checks, looks
from thermlog.advice.evidence import Groups, Observation
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation, priors
from thermlog.advice.twice import latest
from thermlog.advice.weighing import Weights, held_below, rows, weights_of
from thermlog.words.tables import Bools

if TYPE_CHECKING:
    from numpy.typing import NDArray  # costs a check more than its questions

_TURNS = frozenset({"free", "at_once"})  # answers of a wheel that turns as it should
BY_HEAT = ("hot", "warm")  # needs of questions that cannot be made up later
Flags: TypeAlias = Bools
Indices: TypeAlias = tuple[int, ...]
Value = TypeVar("Value", np.float64, np.bool_)


def by_cause(values: NDArray[Value]) -> NDArray[Value]:
    """The same array, laid out cause by cause: what runs over the causes then takes whole blocks at once.

    Parameters
    ----------
    values : array, (questions, answers, causes)
    """
    return np.moveaxis(np.ascontiguousarray(np.moveaxis(values, 2, 0)), 0, 2)


class QuestionRows(Struct, frozen=True, kw_only=True, eq=False):
    """Rows of some questions.

    Attributes
    ----------
    p : array, (questions, answers, causes)
        Probability of every answer; 0 behind the last one. Of a board the causes that are `live` there.
    spread_bits : array, (questions, causes)
        Entropy of the answer where the cause is known [bit].
    """

    p: Weights
    spread_bits: Weights

    @classmethod
    def of(cls, p: Weights) -> QuestionRows:
        """Rows, shape (questions, answers, causes)."""
        return cls(p=p, spread_bits=-_p_log2_p(p).sum(axis=1))

    def of_causes(self, live: Indices) -> QuestionRows:
        """The same rows of some causes, in the order of `live`."""
        p = by_cause(self.p.take(live, axis=2))
        return QuestionRows(p=p, spread_bits=self.spread_bits.take(live, axis=1))


class Board(Struct, frozen=True, kw_only=True, eq=False):
    """All questions of one situation.

    Attributes
    ----------
    asked : tuple of Candidate
    at : mapping of str to int
        Where a question stands, by its name.
    live : tuple of int
        Indices of the causes that can be present, in the order of the file: most never can.
    blocks : tuple of QuestionRows
        Together in the order of `asked`.
    applies : array, (questions,)
        Probability that the brake is of a kind the question is about.
    exponent : array, (questions,)
        Power to which the answer will count; its information is taken in proportion.
    needs : mapping of str to array, (questions,)
        True where a question needs it, by the names of `EvidenceTable.needs`.
    by_heat : array, (questions,)
        True where only a warm brake or vehicle tells: it cannot be made up later.
    near : array, (questions,)
        True where someone comes nearer to a wheel than the gun does.
    second_min : array, (questions,)
        Minutes of a second person at one wheel [min]; 0 where one is enough.
    """

    asked: tuple[Candidate, ...]
    at: Mapping[str, int]
    live: Indices
    blocks: tuple[QuestionRows, ...]
    applies: Weights
    exponent: Weights
    needs: Mapping[str, Flags]
    by_heat: Flags
    near: Flags
    second_min: Weights

    def at_some(self, keys: Collection[str]) -> list[int]:
        """Where these questions stand, as far as they do."""
        return [self.at[key] for key in keys if key in self.at]

    def of_live(self, values: NDArray[Value]) -> NDArray[Value]:
        """Of values of every cause of the file those of the causes that can be present, (live causes,)."""
        return values.take(self.live)


def board_of(situation: Situation) -> Board:
    """The questions of a situation; answers found at the wheel do not change them."""
    return _board(situation.unfound)


@lru_cache(maxsize=1024)
def _board(situation: Situation) -> Board:
    extra = looks(situation)
    asked = (*checks(), *extra)
    prior = priors(situation)
    live = tuple(k for k, cause in enumerate(rows().causes) if prior.get(cause, 0.0) > 0.0)
    return Board(
        asked=asked,
        at={one.key: k for k, one in enumerate(asked)},
        live=live,
        blocks=(_checks_of(live), _looks(extra).of_causes(live)),
        applies=np.array([situation.share_of(one.asked.applies_to) for one in asked]),
        exponent=np.array([rows().exponent.get(one.key, 1.0) for one in asked]),
        needs={name: np.array([name in one.asked.needs for one in asked]) for name in evidence_table().needs},
        by_heat=np.array([any(need in one.asked.needs for need in BY_HEAT) for one in asked]),
        near=np.array([one.asked.near for one in asked]),
        second_min=np.array([one.asked.minutes * ("helper" in one.asked.needs) for one in asked]),
    )


@lru_cache(maxsize=256)
def _checks_of(live: Indices) -> QuestionRows:
    return _checks().of_causes(live)


@cache
def _checks() -> QuestionRows:
    return _padded([[rows().met_p[one.key, answer] for answer in one.asked.answers] for one in checks()])


def _looks(extra: Collection[Candidate]) -> QuestionRows:
    """What is fitted is seen: no slips."""
    p = [
        [one.asked.p.get(cause, (0.0,) * len(one.asked.answers)) for cause in rows().causes] for one in extra
    ]
    return _padded([list(np.transpose(each)) for each in p])


def _padded(p: Sequence[Sequence[Weights]]) -> QuestionRows:
    """Columns of every answer to every question as one array."""
    most = max(map(len, p), default=1)
    padded = np.zeros((len(p), most, len(rows().causes)))
    for k, columns in enumerate(p):
        padded[k, : len(columns)] = columns
    return QuestionRows.of(padded)


def _p_log2_p(p: Weights) -> Weights:
    return p * np.log2(p, out=np.zeros_like(p), where=p > 0.0)


def information_bits(block: QuestionRows, shares: Weights) -> Weights:
    """Expected information of questions about the cause [bit]: the mutual information of cause and answer.

    Parameters
    ----------
    block : QuestionRows
    shares : array, (causes,)
        How far each cause is believed, summing to one.

    Returns
    -------
    array, (questions,)

    References
    ----------
    .. [1] Cover and Thomas, *Elements of Information Theory*, 2nd ed., Wiley 2006, eq. 2.28 (from memory, not
       checked).
    """
    spread: Weights = -_p_log2_p(block.p @ shares).sum(axis=1)
    return spread - np.asarray(block.spread_bits @ shares)


@lru_cache(maxsize=1024)
def believed(situation: Situation) -> Weights:
    """Share of every cause of the file, shape (causes,); not to be changed."""
    shares = held_below(weights_of(situation), evidence_table().rule["most_share"])
    shares.setflags(write=False)
    return shares


def expected_bits(board: Board, situation: Situation) -> Weights:
    """Expected information of every question, as far as it applies to what the brake may be [bit]."""
    shares = board.of_live(believed(situation))
    bits = np.concatenate([information_bits(block, shares) for block in board.blocks])
    return np.asarray(bits * board.applies * board.exponent)


def bits_per_minute(board: Board, bits: Weights, minutes: Weights) -> Weights:
    """Rate by which questions are compared [bit/min]: raised where one cannot be made up later.

    A second person is fetched and spends these minutes, too.
    """
    rule = evidence_table().rule
    hurry = np.where(board.by_heat, rule["hot_first"], 1.0)
    return np.asarray(bits * hurry / (minutes + rule["overhead_min"] + board.second_min))


def may_be_asked(board: Board, situation: Situation, *, warm: bool, opened: bool) -> Flags:
    """`may_be_made` of the questions that are not answered yet, shape (questions,)."""
    able = may_be_made(board, situation, warm=warm, opened=opened)
    able[board.at_some([key for key, _ in situation.told])] = False
    return able


def may_be_made(board: Board, situation: Situation, *, warm: bool, opened: bool) -> Flags:
    """Which questions apply here and are safe in the present state, shape (questions,).

    Parameters
    ----------
    board : Board
    situation : Situation
    warm : bool
        False if the brakes are too cool for a question that needs heat, or too hot to work at.
    opened : bool
        True if what stands before opening a fluid line is answered, or will be first.
    """
    colder = situation.sign == "colder"
    possible = {
        "hot": warm and not colder,
        "warm": warm,
        "drags": not colder and not turns_free(situation.found),
        "steer": situation.steered,
        "parking": situation.parking != "no",
        "trailer": bool(situation.trailer),
        "whole_trailer": situation.trailer == "all",
        "rests": situation.rests,
        "opens": opened,
    }
    able = board.applies > 0.0
    for need, met in possible.items():
        if not met:
            able &= ~board.needs[need]
    return able


def turns_free(found: Iterable[tuple[str, str]]) -> bool | None:
    """Whether the wheel was free whenever it was turned by hand; None: it was not.

    One that dragged warm and is free once it is cold is made to drag again: pressure has leaked off. What
    lets go slowly, or not at all, when that was tried drags.
    """
    told, role = latest(found), evidence_table().role
    answers = {told[check] for check in role["turn"] if check in told}
    made = {told[check] for check in role["made_to_drag"] if check in told}
    return answers | made <= _TURNS if answers else None


def before_opening(situation: Situation) -> list[tuple[str, ...]]:
    """What must still be answered before anything hydraulic is opened: of each group one check.

    The wheel is looked at and turned by hand, one that stays cold with its brake on, and the parking brake,
    if any acts here, is checked.
    """
    answered = {key for key, _ in situation.told}
    return [group for group in opening_lines(situation) if answered.isdisjoint(group)]


def opening_lines(situation: Situation) -> Groups:
    """What is answered before anything hydraulic is opened, whether it is by now or not."""
    role = evidence_table().role
    parking = [role["parking"]] if situation.parking != "no" else []
    turned = [role["turn"]] if situation.sign != "colder" else _grips(situation)
    return (*((check,) for check in role["look"]), *turned, *parking)


def _grips(situation: Situation) -> list[tuple[str, ...]]:
    """Whether it grips, where what may be fitted here has a check of that."""
    table = evidence_table()
    fitted = (key for key in table.role["grip"] if situation.share_of(table.observations[key].applies_to))
    grips = tuple(fitted)
    return [grips] if grips else []


def check_minutes(
    asked: Observation,
    weight_class: str,
    *,
    places: tuple[int, int],
    reached: Collection[str],
    wait_min: float,
) -> float:
    """Time for a check, with getting there from the states that were reached [min].

    Parameters
    ----------
    asked : Observation
    weight_class : str
    places : (int, int)
        Wheels that are looked at, wheels that are worked at.
    reached : collection of str
        States that were reached, or were so from the beginning.
    wait_min : float
        Until it is cold [min].
    """
    waits = "cold" in asked.needs and "cold" not in reached
    return _made_min(asked, weight_class, places, reached) + wait_min * waits


def _made_min(
    asked: Observation, weight_class: str, places: tuple[int, int], reached: Collection[str]
) -> float:
    """Minutes of a check without waiting for the cold [min]."""
    setup, (looked_at, worked_at) = evidence_table().setup_min, places
    wanted = [state for state in ("lift", "wheel_off") if state in asked.needs and state not in reached]
    each = (worked_at if asked.touches else looked_at) if asked.once == "wheel" else 1
    wanted += ["together"] * (asked.closed and "apart" in reached)
    return asked.minutes * each + worked_at * sum(setup[f"{state}_{weight_class}"] for state in wanted)


def minutes_of(
    situation: Situation, places: tuple[int, int], reached: frozenset[str], *, wait_min: float = 0.0
) -> Weights:
    """`check_minutes` of every question of a situation, shape (questions,); not to be changed.

    Parameters
    ----------
    situation : Situation
    places : (int, int)
        Wheels that are looked at, wheels that are worked at.
    reached : frozenset of str
        States that were reached.
    wait_min : float
        Until it is cold [min].
    """
    made = _minutes_of(situation.unfound, places, reached)
    if wait_min == 0.0:
        return made
    waits = board_of(situation).needs["cold"] & ("cold" not in reached)
    return np.asarray(made + wait_min * waits)


@lru_cache(maxsize=1024)
def _minutes_of(situation: Situation, places: tuple[int, int], reached: frozenset[str]) -> Weights:
    weight = situation.weight_class
    minutes = np.array([_made_min(one.asked, weight, places, reached) for one in _board(situation).asked])
    minutes.setflags(write=False)
    return minutes
