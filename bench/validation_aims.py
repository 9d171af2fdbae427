"""Which aims of the validation are met, from the same results as the tables."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from msgspec import Struct
from validation_changes import ALL_BEFORE
from validation_pool import Pool, dead_named, drag_bins, hid, idle_bins, open_shares, pooled, right_corner
from validation_results import WORLD_WORDS, Results, percent, slashed, table, with_error
from validation_rows import Beside, compared, drag_rows
from validation_sections import SETTING, effect, effects, planted_found
from validation_walks import WATCH, YES
from validation_worlds import WORLDS, WorldName

# What was found in one world, in words, and whether the aim is met there.
Found: TypeAlias = tuple[str, bool]
DRAG_OPEN, IDLE_OPEN, NEITHER = 0.12, 0.22, 0.04
RIGHT_CORNER, DEAD_NAMED, HIDES = 0.96, 0.80, 0.015
PLANTED = (0.75, 0.90)
DRAG_ERROR, IDLE_ERROR = 0.07, 0.03


class _World(Struct, frozen=True, kw_only=True, eq=False):
    """One world: its name, all its walks, its comparisons with the baselines."""

    name: WorldName
    pool: Pool
    beside: list[Beside]


def aims(results: Results) -> str:
    """The table of aims, and every row in which a baseline finds more."""
    worlds = [
        _World(name=name, pool=pooled(results.seen(name)), beside=compared(drag_rows(results.ranked(name))))
        for name in WORLDS
    ]
    rows = []
    for words, of in _AIMS.items():
        found = [of(results, world) for world in worlds]
        rows.append([words, *(text for text, _ in found), " / ".join(_met(met) for _, met in found)])
    head = ["aim", *(WORLD_WORDS[name] for name in WORLDS), "met: own / second"]
    return table(head, rows) + "\n\n" + _exceptions([one for world in worlds for one in world.beside])


def _met(met: bool) -> str:  # noqa: FBT001 - one bit
    return "yes" if met else "**no**"


def _more_drags(_: Results, world: _World) -> Found:
    fewer = [one for one in world.beside if one.rival.fewer]
    words = f"more or as many in {len(world.beside) - len(fewer)} of {len(world.beside)}"
    if fewer:
        clear = sum(one.rival.beyond_chance for one in fewer)
        words += f"; fewer in {len(fewer)}, {clear} of them beyond two standard errors"
    return words, not fewer


def _exceptions(beside: list[Beside]) -> str:
    fewer = [one for one in beside if one.rival.fewer]
    if not fewer:
        return "No row in which a baseline finds more single drags."
    rows = (
        [
            WORLD_WORDS[one.row.world],
            one.row.kind,
            one.row.rounds,
            one.method,
            percent(one.rival.ours, 1),
            percent(one.rival.theirs, 1),
            with_error(one.rival.ours - one.rival.theirs, one.rival.error),
        ]
        for one in fewer
    )
    head = ["simulator", "class", "rounds", "baseline", "thermlog finds", "it finds", "difference, points"]
    return "Rows in which a baseline finds more single drags, out of 100:\n\n" + table(head, rows)


def _at_most(part: int, most: float) -> Callable[[Results, _World], Found]:
    def of(_: Results, world: _World) -> Found:
        share = open_shares(world.pool)[part]
        return f"{percent(share, 1)} %", share <= most

    return of


def _right(_: Results, world: _World) -> Found:
    called = right_corner(world.pool, (YES,))
    either = right_corner(world.pool, (WATCH, YES))
    return (
        f"{percent(called, 1)} % of those called ({percent(either, 1)} % with watches)",
        called >= RIGHT_CORNER,
    )


def _dead(results: Results, world: _World) -> Found:
    shares = [dead_named(pooled(results.seen(world.name, rounds=rounds))) for rounds in (2, 3, 6)]
    return f"{slashed(shares)} % with 2 / 3 / 6 rounds", min(shares) >= DEAD_NAMED


def _hides(_: Results, world: _World) -> Found:
    share = hid(world.pool)[0]
    return f"{percent(share, 2)} %", share <= HIDES


def _planted(results: Results, world: _World) -> Found:
    share, error = planted_found([one for one in results.planted if one.world == world.name])
    return f"{percent(share, 1)} ± {percent(error, 1)} %", PLANTED[0] <= share <= PLANTED[1]


def _drag_error(_: Results, world: _World) -> Found:
    error = drag_bins(world.pool, 20.0).calibration_error
    return f"{error:.3f}", error <= DRAG_ERROR


def _idle_error(_: Results, world: _World) -> Found:
    error = idle_bins(world.pool).calibration_error
    return f"{error:.3f}", error <= IDLE_ERROR


def _axles(results: Results, world: _World) -> Found:
    changed = [
        one for one in results.changes if one.world == world.name and (one.rounds, one.described) == SETTING
    ]
    difference, error = effect([one.axle for one in changed], ALL_BEFORE)
    return f"{with_error(difference, error)} points against before", difference > -2.0 * error


def _no_loss(results: Results, world: _World) -> Found:
    lost = [
        f"{name} ({question} {with_error(difference, error)})"
        for name, question, difference, error in effects(results, world.name)
        if difference < -2.0 * error and error > 0.0
    ]
    return ("; ".join(lost) or "none"), not lost


_AIMS: dict[str, Callable[[Results, _World], Found]] = {
    "more single drags than each baseline in every row of class and rounds": _more_drags,
    "drag question open in at most 12 % of mixed walks": _at_most(0, DRAG_OPEN),
    "idle question open in at most 22 %": _at_most(1, IDLE_OPEN),
    "neither answered in at most 4 %": _at_most(2, NEITHER),
    "right corner, alone, in at least 96 % of single drags called": _right,
    "dead brakes named (watch or yes) in at least 80 %, from two rounds up": _dead,
    'at most 1.5 % of "no drag" hide a single drag of 20 K or more': _hides,
    "planted at the stated limit found in 75 to 90 % where the answer was no": _planted,
    "calibration error at most 0.07 (drags of 20 K or more)": _drag_error,
    "calibration error at most 0.03 (idle)": _idle_error,
    "whole-axle drags no worse than before, at 5 % false alarms": _axles,
    "no change loses by more than two standard errors (three rounds, described): those that do": _no_loss,
}
