"""Each change of the model switched back alone: what the two questions lose or gain by it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
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
    found_again,
    hot_part,
    undoubted,
    with_policies,
)
from validation_sets import Array
from validation_worlds import MIXED_FROM_NM, Cell, WorldName, batch, mix_of

from thermlog.fleet.skinlearning import learned_share
from thermlog.inference.pattern import Evidence, find_patterns
from thermlog.inference.support import Patterns
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.words.policy import Policy

Switch: TypeAlias = Callable[[Evidence], Patterns]
NOW, LEARNED = "as it is", "skins learned from the batch"
ONE_QUESTION, ALL_BEFORE = "one question: p_fault less its cold part", "all of these: as before"
_LEARNT_FROM = 120  # vehicles of a batch, 0.7 of them healthy


class Changed(Struct, frozen=True, kw_only=True):
    """What every variant finds in one class: the first method is the program as it is.

    Attributes
    ----------
    beyond : dict of str to (float, float)
        Healthy vehicles and single drags beyond the line of a watch, as it is and with learned skins.
    """

    world: WorldName
    kind: str
    skins: str
    rounds: int
    described: bool
    drag: Found
    axle: Found
    idle: Found
    beyond: dict[str, tuple[float, float]]


def _back(*names: str) -> Callable[[Policy], Policy]:
    """Some numbers of a policy as they were."""

    def of(policy: Policy) -> Policy:
        before = earlier(policy)
        return replace(policy, **{name: getattr(before, name) for name in names})

    return of


def _with(of: Callable[[Policy], Policy]) -> Switch:
    return lambda evidence: found_again(with_policies(evidence, of))


_WEIGHTS = (
    "fault_share",
    "corner_hot_weight",
    "corner_cold_weight",
    "axle_hot_weight",
    "all_hot_weight",
    "several_weight",
)
SWITCHES: dict[str, Switch] = {
    "drags of about one size": _with(_back("drag_least_k", "drag_least_part", "drag_most_k")),
    "heavy vehicles drag less often": _with(_back(*_WEIGHTS)),
    "skins one wide Gaussian": _with(_back("skins_even_share", "skins_even_part")),
    "axle spread flat, .12": _with(_back("like_axle_spread", "unlike_axle_spread", "unsaid_axle_spread")),
    "readings that do not fit thrown out": lambda evidence: find_patterns(undoubted(evidence)),
    "heat prior narrow": _with(_back("heat_median_k", "heat_spread")),
}


def changes(cell: Cell, count: int, seed: int) -> Changed:
    """Judge healthy vehicles, single drags, whole axles and cold brakes with every variant."""
    calm, hot, axle, cold = (
        batch(cell, fault, some, seed + number) for number, (fault, some) in enumerate(_sets(cell, count))
    )
    judged = [judge(one.readings, Settings()) for one in (calm, hot, axle, cold)]
    share = learned_from(judged)
    scored = [_scores(one, share) for one in judged]
    some = hot.size >= MIXED_FROM_NM
    single = {name: score[some] for name, score in scored[1][0].items()}
    line = judged[0].policies[0].doubt_probability
    return Changed(
        world=cell.world,
        kind=cell.kind,
        skins=cell.skins,
        rounds=cell.rounds,
        described=cell.described,
        drag=found(scored[0][0], single, seed),
        axle=found(scored[0][0], scored[2][0], seed),
        idle=found(scored[0][1], scored[3][1], seed),
        beyond={
            name: (float((scored[0][0][name] >= line).mean()), float((single[name] >= line).mean()))
            for name in (NOW, LEARNED)
        },
    )


def _sets(cell: Cell, count: int) -> list[tuple[str, int]]:
    whole = "axle_hot" if "axle_hot" in mix_of(cell.world, cell.kind) else "corner_hot"
    return [("none", count), ("corner_hot", count), (whole, count // 4), ("corner_cold", count // 2)]


def learned_from(judged: Sequence[Judged]) -> float | None:
    """Share of vehicles with skins alike, learned from a batch of healthy vehicles, drags and cold brakes."""
    calm, hot, _, cold = judged
    parts = ((calm, 0.7), (hot, 0.2), (cold, 0.1))
    odds = np.concatenate([one.patterns.skin_odds[: round(part * _LEARNT_FROM)] for one, part in parts])
    return learned_share(odds, calm.policies[0].skins_even_share)


def _scores(judged: Judged, share: float | None) -> tuple[dict[str, Array], dict[str, Array]]:
    """Drag and idle scores by variant."""
    now = judged.patterns
    drag, idle = {NOW: now.p_drag}, {NOW: now.p_idle}
    drag[ONE_QUESTION], idle[ONE_QUESTION] = hot_part(now), cold_part(now)
    for name, switch in SWITCHES.items():
        other = switch(judged.evidence)
        drag[name], idle[name] = other.p_drag, other.p_idle
    learned = find_patterns(_with_skins(judged.evidence, share))
    drag[LEARNED], idle[LEARNED] = learned.p_drag, learned.p_idle
    before = as_before(judged.evidence)
    drag[ALL_BEFORE], idle[ALL_BEFORE] = hot_part(before), cold_part(before)
    return (
        {name: np.nan_to_num(score) for name, score in drag.items()},
        {name: np.nan_to_num(score) for name, score in idle.items()},
    )


def _with_skins(evidence: Evidence, share: float | None) -> Evidence:
    return replace(evidence, context=replace(evidence.context, skins_even_share=share))
