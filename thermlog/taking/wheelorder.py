"""Which wheel to read next: round the vehicle twice, then where the answers hang on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.taking.walking import WalkInProgress
from thermlog.words.findings import Answer, Answers
from thermlog.words.reasons import DoCode
from thermlog.words.vehicle import split_corner

WhyNext: TypeAlias = Literal["round", "decides"]

LAPS = 2  # before anything but the order proposes: one shot never calls a brake
# Of the same wheel: sooner, two shots tell of the aim and hardly of the cooling (common practice, no source).
PAUSE_S = 60.0
_WITH_THE_GUN: frozenset[DoCode] = frozenset(
    {"read_unread", "read_again", "read_pair", "another_round", "wait_and_read", "look_at_log"}
)


class NextWheel(Struct, frozen=True, kw_only=True):
    """What to read next.

    Attributes
    ----------
    corner : str
        Axle number from the front and the vehicle's own side.
    why : {"round", "decides"}
        The round goes on, or an answer hangs on this wheel.
    from_s : float
        Not before this time since the stop [s]; 0: at once.
    """

    corner: str
    why: WhyNext
    from_s: float = 0.0


def round_order(axle_count: int, lap: int) -> tuple[str, ...]:
    """Wheels of one round: across at every axle, the other way round on every other lap.

    Parameters
    ----------
    axle_count : int
    lap : int
        First lap 0.

    Examples
    --------
    >>> round_order(3, 0), round_order(2, 1)
    (('1L', '1R', '2R', '2L', '3L', '3R'), ('2L', '2R', '1R', '1L'))
    """
    there = [f"{axle}{side}" for axle in range(1, axle_count + 1) for side in ("LR" if axle % 2 else "RL")]
    return tuple(reversed(there)) if lap % 2 else tuple(there)


def next_wheel(walk: WalkInProgress, answers: Answers | None) -> NextWheel | None:
    """The wheel to read next.

    Parameters
    ----------
    walk : WalkInProgress
    answers : Answers or None
        What the log says so far; None where it says nothing yet.

    Returns
    -------
    NextWheel or None
        None where both questions are answered, or another reading would not answer them.
    """
    counts = walk.counts()
    lap = min(counts.values())
    order = round_order(walk.head.axle_count, lap)
    if lap < LAPS or answers is None:
        behind = [corner for corner in _after_last(walk, order) if counts[corner] == lap]
        return NextWheel(corner=behind[0], why="round")
    wanted = deciding(answers, walk.head.corners)
    if not wanted:
        return None
    fewest = min(counts[corner] for corner in wanted)
    chosen = next(
        corner for corner in _after_last(walk, order) if corner in wanted and counts[corner] == fewest
    )
    return NextWheel(corner=chosen, why="decides", from_s=_not_before(walk, chosen, answers))


def both_settled(answers: Answers) -> bool:
    """True where both questions, "drags?" and "works?", have a plain yes or no."""
    return all(one.answer in {"yes", "no"} for one in (answers.drag, answers.idle))


def deciding(answers: Answers, corners: Sequence[str]) -> tuple[str, ...]:
    """Wheels of which another reading may turn an open answer into a yes or a no, in order of the vehicle.

    They are those that the steps of open answers name; a step for every wheel stands for those whose limit,
    the least fault that would have shown there, is not known or above its line.
    """
    found: set[str] = set()
    for one in (answers.drag, answers.idle):
        for step in one.decides if one.answer in {"watch", "cannot_tell"} else ():
            if step.code in _WITH_THE_GUN:
                found |= _with_mates(step.corners) if step.corners else set(_open(one, corners))
    return tuple(corner for corner in corners if corner in found)


def _open(answer: Answer, corners: Sequence[str]) -> Sequence[str]:
    """Wheels that an answer is open about; all of them where it names none."""
    return sorted(_with_mates(answer.corners)) if answer.corners else corners


def _with_mates(corners: Sequence[str]) -> set[str]:
    return {f"{split_corner(corner)[0]}{side}" for corner in corners for side in "LR"}


def _after_last(walk: WalkInProgress, order: Sequence[str]) -> list[str]:
    """The round from the wheel that was read last onward."""
    readings = walk.readings()
    if not readings:
        return list(order)
    at = order.index(readings[-1].corner)
    turned = [*order[at + 1 :], *order[: at + 1]]
    lap_ends = len({walk.counts()[corner] for corner in order}) == 1
    return list(order) if lap_ends else turned


def _not_before(walk: WalkInProgress, corner: str, answers: Answers) -> float:
    last = walk.last_at(corner)
    waits = [
        60.0 * step.numbers.get("minutes", 0.0)
        for one in (answers.drag, answers.idle)
        for step in one.decides
        if step.code == "wait_and_read"
    ]
    return 0.0 if last is None else last.elapsed_s + max(waits, default=PAUSE_S)
