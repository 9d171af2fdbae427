"""Answers of many vehicles in one table, and what is counted of it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from validation_scores import Bins, reliability
from validation_sets import Array
from validation_walks import NO, OPEN, WATCH, YES, Said, Seen
from validation_worlds import DEAD, MIXED_FROM_NM

HIDDEN_K = 20.0
TENTHS = np.linspace(0.0, 1.0, 11)


class Pool(Struct, frozen=True, kw_only=True, eq=False):
    """One row a vehicle.

    Attributes
    ----------
    fault : str array
    weight : float array
        As brought to a check, every cell alike; drags too weak for the mixture weigh nothing.
    size, extra_k : float array
        As of `Batch`.
    drag, idle, heat : Said
    p_drag, p_idle : float array
        What the model says before words are chosen.
    """

    fault: Array
    weight: Array
    size: Array
    extra_k: Array
    drag: Said
    idle: Said
    heat: Said
    p_drag: Array
    p_idle: Array

    @property
    def healthy(self) -> Array:
        return np.asarray(self.fault == "none")

    @property
    def single(self) -> Array:
        """One corner drags, as much as the mixture holds."""
        return np.asarray((self.fault == "corner_hot") & (self.size >= MIXED_FROM_NM))

    @property
    def strong(self) -> Array:
        """Single drags that add so much that a "no" should not hide them."""
        return np.asarray(self.single & (self.extra_k >= HIDDEN_K))

    @property
    def dead(self) -> Array:
        return np.asarray((self.fault == "corner_cold") & (self.size == DEAD))


def pooled(seen: Sequence[Seen]) -> Pool:
    """All vehicles of some cells."""
    return Pool(
        fault=np.concatenate([np.full(one.size.size, one.fault) for one in seen]),
        weight=np.concatenate([_weights(one) for one in seen]),
        size=np.concatenate([one.size for one in seen]),
        extra_k=np.concatenate([one.extra_k for one in seen]),
        drag=_joined([one.drag_said for one in seen]),
        idle=_joined([one.idle_said for one in seen]),
        heat=_joined([one.heat_said for one in seen]),
        p_drag=np.concatenate([one.drag["thermlog"] for one in seen]),
        p_idle=np.concatenate([one.idle["thermlog"] for one in seen]),
    )


def _weights(seen: Seen) -> Array:
    if seen.fault != "corner_hot":
        return np.full(seen.size.size, seen.weight)
    kept = seen.size >= MIXED_FROM_NM
    return np.asarray(np.where(kept, seen.weight / max(float(kept.mean()), 1e-9), 0.0))


def _joined(said: Sequence[Said]) -> Said:
    parts = {name: np.concatenate([getattr(one, name) for one in said]) for name in Said.__struct_fields__}
    return Said(**parts)


def told(said: Said) -> Array:
    """A watch or a yes."""
    return np.asarray((said.word == WATCH) | (said.word == YES))


def share(what: Array, among: Array) -> float:
    """Share of some vehicles, each counted once; NaN of none."""
    return float(what[among].mean()) if among.any() else float("nan")


def mixed_share(pool: Pool, what: Array) -> float:
    """Share of the vehicles brought to a check."""
    return float(pool.weight[what].sum() / pool.weight.sum())


def found(pool: Pool, among: Array) -> float:
    """A drag watched or called."""
    return share(told(pool.drag), among)


def right_corner(pool: Pool, words: tuple[int, ...]) -> float:
    """Of single drags answered so, those whose odd corner alone is named."""
    return share(pool.drag.own, pool.single & np.isin(pool.drag.word, words))


def dead_named(pool: Pool) -> float:
    """Of dead brakes, those among the corners of a watch or a yes."""
    return share(told(pool.idle) & pool.idle.among, pool.dead)


def dead_again(pool: Pool) -> float:
    """Of dead brakes, those named by "cannot tell" that asks for another reading of just this corner."""
    return share((pool.idle.word == OPEN) & pool.idle.again & pool.idle.among, pool.dead)


def open_shares(pool: Pool) -> tuple[float, float, float]:
    """Mixed walks whose drag question, idle question, and both stay open."""
    drag, idle = pool.drag.word == OPEN, pool.idle.word == OPEN
    return mixed_share(pool, drag), mixed_share(pool, idle), mixed_share(pool, drag & idle)


def hid(pool: Pool) -> tuple[float, float]:
    """Of mixed walks answered "no": a single drag of 20 K or more; a dead brake."""
    drag, idle = pool.drag.word == NO, pool.idle.word == NO
    return (
        mixed_share(pool, drag & pool.strong) / max(mixed_share(pool, drag), 1e-9),
        mixed_share(pool, idle & pool.dead) / max(mixed_share(pool, idle), 1e-9),
    )


def drag_bins(pool: Pool, least_k: float) -> Bins:
    """Probability of a drag beside drags that add so much; vehicles with all brakes hot are left out."""
    some = pool.fault != "all_hot"
    true = (pool.extra_k >= least_k).astype(np.float64)
    return reliability(pool.p_drag[some], true[some], TENTHS, weight=pool.weight[some])


def idle_bins(pool: Pool) -> Bins:
    """Probability that a brake does not work beside the truth."""
    true = np.char.endswith(pool.fault, "cold").astype(np.float64)
    return reliability(pool.p_idle, true, TENTHS, weight=pool.weight)
