"""Each change of the model switched back alone: what the two questions lose or gain by it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from validation_scores import (
    Found,
    as_before,
    cold_part,
    earlier,
    found,
    hot_part,
    undoubted,
    with_policies,
)
from validation_sets import Array
from validation_worlds import MIXED_FROM_NM, Batch, WorldName, batch, mix_of

from thermlog.judging.diagnose import Settings, judge
from thermlog.judging.pattern import Evidence, Patterns, find_patterns
from thermlog.words.policy import Policy

Switch: TypeAlias = Callable[[Evidence], Patterns]
NOW, LEARNED = "as it is", "skins learned from the batch"
_LEARNING_STEPS = 30


class Changed(Struct, frozen=True, kw_only=True):
    """What every variant finds in one class: the first method is the program as it is."""

    world: WorldName
    kind: str
    skins: str
    rounds: int
    described: bool
    drag: Found
    axle: Found
    idle: Found


def _back(*names: str) -> Callable[[Policy], Policy]:
    """Some numbers of a policy as they were."""

    def of(policy: Policy) -> Policy:
        before = earlier(policy)
        return replace(policy, **{name: getattr(before, name) for name in names})

    return of


def _with(of: Callable[[Policy], Policy]) -> Switch:
    return lambda evidence: find_patterns(with_policies(evidence, of))


_WEIGHTS = ("fault_share", "corner_hot_weight", "corner_cold_weight", "all_hot_weight", "several_weight")
SWITCHES: dict[str, Switch] = {
    "drags of about one size": _with(_back("drag_least_k", "drag_least_part", "drag_most_k")),
    "heavy vehicles drag less often": _with(_back(*_WEIGHTS)),
    "skins one wide Gaussian": _with(_back("skins_even_share", "skins_even_part")),
    "axle spread flat, .12": _with(_back("like_axle_spread", "unlike_axle_spread", "unsaid_axle_spread")),
    "readings that do not fit thrown out": lambda evidence: find_patterns(undoubted(evidence)),
    "heat prior narrow": _with(_back("heat_median_k", "heat_spread")),
}


def changes(
    world: WorldName,
    kind: str,
    rounds: int,
    skins: str,
    described: bool,
    count: int,
    seed: int,
) -> Changed:
    """Judge healthy vehicles, single drags, whole axles and cold brakes with every variant."""
    calm, hot, axle, cold = (
        batch(world, kind, fault, some, seed + number, rounds=rounds, skins=skins, described=described)
        for number, (fault, some) in enumerate(_sets(world, kind, count))
    )
    scored = [_scores(one, seed) for one in (calm, hot, axle, cold)]
    some = hot.size >= MIXED_FROM_NM
    single = {name: score[some] for name, score in scored[1][0].items()}
    return Changed(
        world=world,
        kind=kind,
        skins=skins,
        rounds=rounds,
        described=described,
        drag=found(scored[0][0], single, seed),
        axle=found(scored[0][0], scored[2][0], seed),
        idle=found(scored[0][1], scored[3][1], seed),
    )


def _sets(world: WorldName, kind: str, count: int) -> list[tuple[str, int]]:
    whole = "axle_hot" if "axle_hot" in mix_of(world, kind) else "corner_hot"
    return [("none", count), ("corner_hot", count), (whole, count // 4), ("corner_cold", count // 2)]


def _scores(made: Batch, seed: int) -> tuple[dict[str, Array], dict[str, Array]]:
    """Drag and idle scores by variant."""
    judged = judge(made.readings, Settings())
    now = judged.patterns
    drag, idle = {NOW: now.p_drag}, {NOW: now.p_idle}
    drag["one question: p_fault less its cold part"] = hot_part(now)
    idle["one question: p_fault less its cold part"] = cold_part(now)
    for name, switch in SWITCHES.items():
        other = switch(judged.evidence)
        drag[name], idle[name] = other.p_drag, other.p_idle
    before = as_before(judged.evidence)
    drag["all of these: as before"], idle["all of these: as before"] = hot_part(before), cold_part(before)
    return (
        {name: np.nan_to_num(score) for name, score in drag.items()},
        {name: np.nan_to_num(score) for name, score in idle.items()},
    )
