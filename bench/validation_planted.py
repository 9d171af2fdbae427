"""Are stated detection limits true? Faults planted at them on new walks round the same vehicles."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from validation_sets import Array
from validation_worlds import Batch, Cell, WorldName, batch

from thermlog.inference.limits import limits_of
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.words.findings import Answer
from thermlog.words.tables import Readings

SAID = frozenset({"watch", "yes"})


class Planted(Struct, frozen=True, kw_only=True):
    """Healthy vehicles of one class read twice, then with a fault as large as the first walk's limit.

    Attributes
    ----------
    limit_k, share : float array
        Limits of the corners that were planted: extra heat [K], lost share of work.
    cleared : bool array
        The first walk's answer to the drag question was "no".
    found, right : bool array
        The second walk's answer is a watch or a yes; it names the corner.
    plain : bool array
        The same vehicles walked round again with nothing planted: a watch or a yes.
    idle_cleared, idle_found, idle_again : bool array
        The same of the idle question; "cannot tell, read again" counts apart.
    """

    world: WorldName
    kind: str
    rounds: int
    skins: str
    limit_k: Array
    share: Array
    cleared: Array
    found: Array
    right: Array
    plain: Array
    idle_cleared: Array
    idle_found: Array
    idle_again: Array


def at_the_limit(cell: Cell, count: int, seed: int) -> Planted:
    """Plant at one corner of each vehicle, drawn evenly among those with a limit."""
    rng = np.random.default_rng([seed, 41])
    made = batch(cell, "none", count, seed)
    judged = judge(made.readings, Settings())
    limits = limits_of(judged.evidence, judged.gaps, np.ones(count, dtype=bool))
    extra, rise = (by_corner(judged, table) for table in (limits.extra_k, judged.comparison.state.rise_k))
    share = by_corner(judged, limits.loss_share)
    column, idle_column = _drawn(extra, rng), _drawn(share, rng)
    each = np.arange(count)
    first = [tell_findings(judged, k).answers for k in range(count)]
    grown = _grown(judged, made)
    heat = np.where(column >= 0, extra[each, column], 0.0)
    lost = np.where(idle_column >= 0, -(share * rise)[each, idle_column], 0.0)
    second, again, cold = (
        _told(made.again(np.maximum(place, 0), top, rng))
        for place, top in (
            (column, heat * grown[each, column]),
            (column, np.zeros(count)),
            (idle_column, lost * grown[each, idle_column]),
        )
    )
    some, idle_some = column >= 0, idle_column >= 0
    hits = np.array([answer.answer in SAID for answer, _ in second])
    return Planted(
        world=cell.world,
        kind=cell.kind,
        rounds=cell.rounds,
        skins=cell.skins,
        limit_k=heat[some],
        share=share[each, idle_column][idle_some],
        cleared=np.array([one.drag.answer == "no" for one in first])[some],
        found=hits[some],
        right=(hits & _names([drag for drag, _ in second], column))[some],
        plain=np.array([answer.answer in SAID for answer, _ in again])[some],
        idle_cleared=np.array([one.idle.answer == "no" for one in first])[idle_some],
        idle_found=np.array([answer.answer in SAID for _, answer in cold])[idle_some],
        idle_again=np.array([_asks_again(answer) for _, answer in cold])[idle_some],
    )


def _grown(judged: Judged, made: Batch) -> Array:
    """What heat at the log's own common time was when `Batch.again` plants it, (vehicles, corners)."""
    tau_s = by_corner(judged, np.exp(judged.fits.log_tau))
    late_s = judged.comparison.common_time_s[:, None] - made.at_s
    return np.nan_to_num(np.exp(late_s / tau_s), nan=1.0)


def by_corner(judged: Judged, table: Array) -> Array:
    """From (2, pairs) to (vehicles, corners); NaN where there is nothing."""
    pairs = judged.pairs
    chosen = np.flatnonzero(judged.comparison.chosen)
    corners = np.full((len(judged.readings.cases), 2 * int(pairs.axle.max())), np.nan)
    for side in (0, 1):
        corners[pairs.case[chosen], 2 * (pairs.axle[chosen] - 1) + side] = table[side, chosen]
    return corners


def _drawn(table: Array, rng: np.random.Generator) -> Array:
    """A column with a finite value for every row, -1 where there is none."""
    chance = np.where(np.isfinite(table), rng.random(table.shape), -1.0)
    return np.where(np.isfinite(table).any(axis=1), chance.argmax(axis=1), -1)


def _told(readings: Readings) -> list[tuple[Answer, Answer]]:
    judged = judge(readings, Settings())
    told = [tell_findings(judged, k).answers for k in range(len(readings.cases))]
    return [(one.drag, one.idle) for one in told]


def _names(answers: list[Answer], column: Array) -> Array:
    codes = [f"{place // 2 + 1}{'LR'[place % 2]}" for place in column.tolist()]
    return np.array([code in answer.corners for code, answer in zip(codes, answers, strict=True)])


def _asks_again(answer: Answer) -> bool:
    return answer.answer == "cannot_tell" and any(
        reason.code == "single_reading" for reason in answer.reasons
    )
