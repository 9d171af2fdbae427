"""The rule that a plain gap is at least watched: what is answered with it and without it."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from validation_scores import with_policies
from validation_sets import Array
from validation_walks import WATCH, YES, answered
from validation_worlds import MIXED_FROM_NM, Cell, WorldName, batch

from thermlog.inference.hidden import weighed_and_hidden
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings

_NEVER_K = 1e6
MARKED = ("with the rule", "without it")


class PlainGap(Struct, frozen=True, kw_only=True):
    """One class answered with the rule and without it; arrays (vehicles,) of the two, in this order.

    Attributes
    ----------
    healthy : bool array (2, vehicles)
        A healthy vehicle's drag question at watch or more.
    found, right : bool array (2, vehicles)
        Single drags: watch or more; the odd corner among those named.
    mate : bool array (2, vehicles)
        A dead brake: the drag question at watch or more.
    """

    world: WorldName
    kind: str
    skins: str
    described: bool
    healthy: Array
    found: Array
    right: Array
    mate: Array


def plain_gap(cell: Cell, count: int, seed: int) -> PlainGap:
    """Three rounds; the rule is switched off by a mark that no gap passes."""
    hits: dict[str, Array] = {}
    for number, (fault, some) in enumerate(
        (("none", count), ("corner_hot", count // 2), ("corner_cold", count // 2))
    ):
        made = batch(cell, fault, some, seed + number)
        judged = judge(made.readings, Settings())
        told = [answered(one, made)["drag_said"] for one in (judged, without_rule(judged))]
        strong = made.size >= MIXED_FROM_NM if fault == "corner_hot" else np.ones(some, dtype=bool)
        hits[fault] = np.array([((one.word == WATCH) | (one.word == YES))[strong] for one in told])
        hits[f"{fault} named"] = np.array([one.among[strong] for one in told]) & hits[fault]
    return PlainGap(
        world=cell.world,
        kind=cell.kind,
        skins=cell.skins,
        described=cell.described,
        healthy=hits["none"],
        found=hits["corner_hot"],
        right=hits["corner_hot named"],
        mate=hits["corner_cold"],
    )


def without_rule(judged: Judged) -> Judged:
    """The same with a watch difference that no gap passes."""
    evidence = with_policies(judged.evidence, lambda policy: replace(policy, watch_difference_k=_NEVER_K))
    judged = replace(judged, policies=evidence.context.policies, evidence=evidence)
    return replace(judged, hidden=weighed_and_hidden(evidence, judged.gaps)[1])
