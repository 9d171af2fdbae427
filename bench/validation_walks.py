"""One class read in so many rounds: scores, answers and truths of healthy vehicles and of every fault."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from msgspec import Struct
from validation_scores import drag_scores, idle_scores
from validation_sets import Array
from validation_worlds import Batch, Cell, WorldName, batch, mix_of, weight_of

from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.words.findings import Answer

WORDS = ("no", "watch", "yes", "cannot_tell")
NO, WATCH, YES, OPEN = range(4)
FEWEST = 8  # vehicles with one fault
RANKED = ("none", "corner_hot")  # what single drags are found among
# Of a cell's vehicles; what a workshop meets is made of them by weights, see `Seen.weight`.
PARTS = {
    "none": 1.0,
    "corner_hot": 0.5,
    "corner_cold": 0.3,
    "axle_hot": 0.1,
    "axle_cold": 0.08,
    "diagonal_hot": 0.05,
    "all_hot": 0.08,
}


class Said(Struct, frozen=True, kw_only=True, eq=False):
    """What was answered to one question, arrays (vehicles,).

    Attributes
    ----------
    word : int array
        Index into `WORDS`.
    own : bool array
        The corners named are exactly the odd ones.
    among : bool array
        The odd ones are among the corners named.
    again : bool array
        The answer rests on one reading: it asks for another.
    p : float array
    """

    word: Array
    own: Array
    among: Array
    again: Array
    p: Array


class Scored(Struct, frozen=True, kw_only=True, eq=False):
    """Vehicles of one class, rounds and skins with one fault, ranked by every method.

    Attributes
    ----------
    size : float array (vehicles,)
        As of `Batch`.
    drag, idle : dict of str to float array (vehicles,)
        Scores by method.
    """

    world: WorldName
    kind: str
    rounds: int
    skins: str
    fault: str
    size: Array
    drag: dict[str, Array]
    idle: dict[str, Array]


class Seen(Scored, frozen=True, kw_only=True, eq=False):
    """The same after answering.

    Attributes
    ----------
    weight : float
        How many vehicles as brought to a check each of these stands for, all faults of the cell summing to 1.
    extra_k : float array (vehicles,)
        As of `Batch`.
    """

    weight_class: str
    weight: float
    extra_k: Array
    drag_said: Said
    idle_said: Said
    heat_said: Said


def walks(cell: Cell, count: int, fitted: int, seed: int) -> list[Seen]:
    """Simulate healthy vehicles and every fault of a class, judge and answer them."""
    mix = mix_of(cell.world, cell.kind)
    shares = {"none": 1.0 - sum(mix.values())} | mix
    return [
        _seen(cell, _batch(cell, fault, count, seed), share, fitted)
        for fault in PARTS
        if (share := shares.get(fault)) is not None
    ]


def scored(cell: Cell, count: int, fitted: int, seed: int) -> list[Scored]:
    """Simulate healthy vehicles and single drags of a class and rank them."""
    found = []
    for fault in RANKED:
        made = _batch(cell, fault, count, seed)
        found.append(Scored(**_ranked(cell, made, judge(made.readings, Settings()), fitted)))
    return found


def _batch(cell: Cell, fault: str, count: int, seed: int) -> Batch:
    return batch(cell, fault, max(FEWEST, round(count * PARTS[fault])), seed + list(PARTS).index(fault))


def _seen(cell: Cell, made: Batch, share: float, fitted: int) -> Seen:
    judged = judge(made.readings, Settings())
    return Seen(
        weight_class=weight_of(cell.world, cell.kind),
        weight=share / made.size.size,
        extra_k=made.extra_k,
        **_ranked(cell, made, judged, fitted),
        **answered(judged, made),
    )


def _ranked(cell: Cell, made: Batch, judged: Judged, fitted: int) -> dict[str, Any]:
    """What `Scored` holds."""
    fits = made.fault in RANKED and cell.rounds > 1
    return {
        "world": cell.world,
        "kind": cell.kind,
        "rounds": cell.rounds,
        "skins": cell.skins,
        "fault": made.fault,
        "size": made.size,
        "drag": drag_scores(judged, fitted if fits else 0),
        "idle": idle_scores(judged),
    }


def answered(judged: Judged, made: Batch) -> dict[str, Said]:
    """What is answered to each question."""
    told = [tell_findings(judged, k).answers for k in range(len(made.odd))]
    asked = {"drag_said": "drag", "idle_said": "idle", "heat_said": "heat"}
    return {
        name: said([getattr(one, question) for one in told], made.odd) for name, question in asked.items()
    }


def said(answers: Sequence[Answer], planted: Sequence[tuple[str, ...]]) -> Said:
    """Answers to one question beside the truth."""
    odd = [set(corners) for corners in planted]
    named = [set(answer.corners) for answer in answers]
    return Said(
        word=np.array([WORDS.index(answer.answer) for answer in answers]),
        own=np.array([bool(o) and o == n for o, n in zip(odd, named, strict=True)]),
        among=np.array([bool(o) and o <= n for o, n in zip(odd, named, strict=True)]),
        again=np.array([any(r.code == "single_reading" for r in answer.reasons) for answer in answers]),
        p=np.array([np.nan if answer.p is None else answer.p for answer in answers]),
    )
