"""Rows of one class read in so many rounds: what each method finds at the stated false alarms."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from validation_scores import DRAG_BASELINES, Found, found, threshold
from validation_sets import Array
from validation_walks import Scored
from validation_worlds import MIXED_FROM_NM, OCTAVES_NM, WorldName

OURS, BEFORE = "thermlog", "as before"


class Rival(Struct, frozen=True, kw_only=True):
    """One method beside thermlog on the same vehicles: shares found, standard error of their difference."""

    ours: float
    theirs: float
    error: float

    @property
    def fewer(self) -> bool:
        return self.ours < self.theirs - 1e-9

    @property
    def beyond_chance(self) -> bool:
        return abs(self.ours - self.theirs) > 2.0 * self.error


class Row(Struct, frozen=True, kw_only=True):
    """One class and number of rounds, mean of all skin plans.

    Attributes
    ----------
    rivals : dict of str to Rival
        By method.
    """

    world: WorldName
    kind: str
    rounds: int
    rivals: dict[str, Rival]


def drag_rows(seen: Sequence[Scored]) -> list[Row]:
    """Single drags of 10 N·m or more on light vehicles, three times that on heavy ones."""
    return _rows(seen, "corner_hot", "drag")


def idle_rows(seen: Sequence[Scored]) -> list[Row]:
    """Brakes that lost some or all of their work."""
    return _rows(seen, "corner_cold", "idle")


def _rows(seen: Sequence[Scored], fault: str, question: str) -> list[Row]:
    cells: dict[tuple[WorldName, str, int], dict[str, dict[str, Scored]]] = {}
    for one in seen:
        if one.fault in {"none", fault}:
            cells.setdefault((one.world, one.kind, one.rounds), {}).setdefault(one.skins, {})[one.fault] = one
    return [
        Row(world=world, kind=kind, rounds=rounds, rivals=_rivals(list(plans.values()), fault, question))
        for (world, kind, rounds), plans in cells.items()
    ]


def _rivals(plans: list[dict[str, Scored]], fault: str, question: str) -> dict[str, Rival]:
    methods = [name for name in getattr(plans[0]["none"], question) if name != OURS]
    rivals = {}
    for method in methods:
        against = [
            _against(getattr(plan["none"], question), _sought(plan[fault], question), method)
            for plan in plans
        ]
        shares = np.mean([one.share for one in against], axis=0)
        error = float(np.sqrt(sum(one.against[1] for one in against)) / len(against))
        if np.isfinite(shares).all():
            rivals[method] = Rival(ours=float(shares[0]), theirs=float(shares[1]), error=error)
    return rivals


def _sought(seen: Scored, question: str) -> dict[str, Array]:
    some = seen.size >= MIXED_FROM_NM if question == "drag" else np.ones(seen.size.size, dtype=bool)
    return {name: score[some] for name, score in getattr(seen, question).items()}


def _against(calm: dict[str, Array], faulty: dict[str, Array], method: str) -> Found:
    """Both on the vehicles that the method has a score for."""
    known, sought = np.isfinite(calm[method]), np.isfinite(faulty[method])
    if not known.any() or not sought.any():
        return Found(
            methods=(OURS, method), share=np.full(2, np.nan), against=np.zeros(2), variance=np.zeros(2)
        )
    return found(
        {name: calm[name][known] for name in (OURS, method)},
        {name: faulty[name][sought] for name in (OURS, method)},
        0,
    )


class Beside(Struct, frozen=True, kw_only=True):
    """One row beside one method."""

    row: Row
    method: str
    rival: Rival


def compared(rows: Sequence[Row], methods: Sequence[str] = DRAG_BASELINES) -> list[Beside]:
    """Every row beside every method."""
    return [
        Beside(row=row, method=method, rival=row.rivals[method])
        for row in rows
        for method in methods
        if method in row.rivals
    ]


def undecided(rows: Sequence[Row]) -> set[tuple[str, int]]:
    """Class and rounds of rows in which some baseline is within two standard errors of thermlog."""
    return {
        (one.row.kind, one.row.rounds)
        for one in compared(rows)
        if one.rival.error > 0.0 and not one.rival.beyond_chance
    }


def by_octave(seen: Sequence[Scored], method: str) -> Array:
    """Share found of drags in each octave, mean of cells, NaN where there are none."""
    calm = {(one.kind, one.rounds, one.skins): one.drag[method] for one in seen if one.fault == "none"}
    table = []
    for one in seen:
        if one.fault != "corner_hot":
            continue
        healthy, score = calm[one.kind, one.rounds, one.skins], one.drag[method]
        line = threshold(healthy[np.isfinite(healthy)]) if np.isfinite(healthy).any() else np.nan
        known = np.isfinite(score)
        octave = np.digitize(one.size, OCTAVES_NM) - 1
        table.append(
            [
                float((score[some] > line).mean()) if (some := known & (octave == k)).any() else np.nan
                for k in range(len(OCTAVES_NM) - 1)
            ]
        )
    return np.nanmean(np.array(table), axis=0)
