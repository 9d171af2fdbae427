"""Tables of what is found and answered, from the walks of both simulators."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from validation_pool import (
    Pool,
    dead_again,
    dead_named,
    drag_bins,
    found,
    hid,
    idle_bins,
    mixed_share,
    open_shares,
    pooled,
    right_corner,
    share,
    told,
)
from validation_results import ROUNDS, WORLD_WORDS, Results, percent, slashed, table
from validation_rows import BEFORE, Row, drag_rows, idle_rows
from validation_scores import DRAG_BASELINES, IDLE_BASELINES
from validation_walks import NO, OPEN, WATCH, YES, Seen
from validation_worlds import WORLDS, WorldName, kinds_of, skins_of

InWorld: TypeAlias = Callable[[Results, WorldName], str]
_ROUND_WORDS = "1 / 2 / 3 / 6 rounds"


def detection(results: Results) -> str:
    """Found at the stated false alarms, by class and rounds."""
    parts = []
    for world in WORLDS:
        for words, rows, baselines in (
            ("Single drags", drag_rows(results.ranked(world)), DRAG_BASELINES),
            ("Cold brakes", idle_rows(results.seen(world)), IDLE_BASELINES),
        ):
            methods = (BEFORE, *baselines)
            title = f"**{words}, {WORLD_WORDS[world]}**; out of 100: thermlog / " + " / ".join(methods)
            parts += [title, _found_table(world, rows, methods)]
    return "\n\n".join(parts)


def _found_table(world: WorldName, rows: list[Row], methods: tuple[str, ...]) -> str:
    by = {(row.kind, row.rounds): row for row in rows}
    lines = [
        [kind, *(_found_words(by[kind, rounds], methods) for rounds in ROUNDS)] for kind in kinds_of(world)
    ]
    middle = [_mean_words([by[kind, rounds] for kind in kinds_of(world)], methods) for rounds in ROUNDS]
    return table(["class", *(_rounds(rounds) for rounds in ROUNDS)], [*lines, ["**mean**", *middle]])


def _rounds(rounds: int) -> str:
    return "1 round" if rounds == 1 else f"{rounds} rounds"


def _found_words(row: Row, methods: tuple[str, ...]) -> str:
    theirs = [row.rivals[name].theirs if name in row.rivals else np.nan for name in methods]
    fewer = any(row.rivals[name].fewer for name in methods[1:] if name in row.rivals)
    return slashed([row.rivals[BEFORE].ours, *theirs]) + (" †" if fewer else "")


def _mean_words(rows: list[Row], methods: tuple[str, ...]) -> str:
    shares = [float(np.mean([row.rivals[BEFORE].ours for row in rows]))]
    for name in methods:
        known = [row.rivals[name].theirs for row in rows if name in row.rivals]
        shares.append(float(np.mean(known)) if known else np.nan)
    return slashed(shares)


def by_plan(results: Results) -> str:
    """The main figures by skin plan: what depends on how unlike the skins are."""
    head = [
        "simulator, skins", "healthy: drag watched or called", "called", "idle watched or called",
        "single drags found", "of 20 K and more", "right corner, called", "dead named, 2 rounds up",
        "drag / idle / neither open", '"no drag" hides 20 K', "calibration 15 K / 20 K / idle",
    ]  # fmt: skip
    lines = []
    for world in WORLDS:
        plans = skins_of(world)
        for skins in (*plans, None) if len(plans) > 1 else plans:
            seen = results.seen(world, **({} if skins is None else {"skins": skins}))
            lines.append([f"{WORLD_WORDS[world]}, {skins or 'all three'}", *_plan_figures(seen)])
    return table(head, lines)


def _plan_figures(seen: list[Seen]) -> list[str]:
    pool, later = pooled(seen), pooled([one for one in seen if one.rounds > 1])
    errors = [drag_bins(pool, 15.0), drag_bins(pool, 20.0), idle_bins(pool)]
    return [
        percent(share(told(pool.drag), pool.healthy), 1),
        percent(share(pool.drag.word == YES, pool.healthy), 1),
        percent(share(told(pool.idle), pool.healthy), 1),
        percent(found(pool, pool.single)),
        percent(found(pool, pool.strong)),
        percent(right_corner(pool, (YES,)), 1),
        percent(dead_named(later)),
        slashed(open_shares(pool), 1),
        percent(hid(pool)[0], 2),
        " / ".join(f"{one.calibration_error:.3f}" for one in errors),
    ]


def decisions(results: Results, world: WorldName) -> str:
    """Thermlog's own answers by class, rounds side by side."""
    head = [
        f"class; {_ROUND_WORDS}", "healthy: drag watched or called", "drag called", "idle watched or called",
        "idle called", "single drags watched or called", "drags called", "of 20 K and more found",
    ]  # fmt: skip
    return table(head, _by_class(results, world, _decision_fields))


def _decision_fields(pool: Pool) -> list[tuple[float, int]]:
    healthy, single = pool.healthy, pool.single
    return [
        (share(told(pool.drag), healthy), 1),
        (share(pool.drag.word == YES, healthy), 1),
        (share(told(pool.idle), healthy), 1),
        (share(pool.idle.word == YES, healthy), 1),
        (found(pool, single), 0),
        (share(pool.drag.word == YES, single), 0),
        (found(pool, pool.strong), 0),
    ]


def corners_and_dead(results: Results, world: WorldName) -> str:
    """Right corner, dead brakes, and what is left open, by class, rounds side by side."""
    head = [
        f"class; {_ROUND_WORDS}", "right corner, called", "watched or called", "dead brakes named",
        "asked to be read again", "drag open", "idle open", "neither answered", '"no drag" hides 20 K',
        '"all work" hides a dead one',
    ]  # fmt: skip
    return table(head, _by_class(results, world, _corner_fields))


def _corner_fields(pool: Pool) -> list[tuple[float, int]]:
    return [
        (right_corner(pool, (YES,)), 0),
        (right_corner(pool, (WATCH, YES)), 0),
        (dead_named(pool), 0),
        (dead_again(pool), 0),
        *((one, 0) for one in open_shares(pool)),
        *((one, 1) for one in hid(pool)),
    ]


def _by_class(
    results: Results, world: WorldName, fields: Callable[[Pool], list[tuple[float, int]]]
) -> list[list[str]]:
    lines = []
    for kind in (*kinds_of(world), None):
        only = {} if kind is None else {"kind": kind}
        by_rounds = [fields(pooled(results.seen(world, rounds=rounds, **only))) for rounds in ROUNDS]
        columns = zip(*by_rounds, strict=True)
        cells = [slashed([value for value, _ in column], column[0][1]) for column in columns]
        lines.append([kind or "**all**", *cells])
    return lines


def calibration(results: Results) -> str:
    """Said beside true by tenths."""
    parts = []
    for words, of in (
        ("A drag that adds 20 K or more", lambda pool: drag_bins(pool, 20.0)),
        ("A brake that does not work", idle_bins),
    ):
        bins = [of(pooled(results.seen(world))) for world in WORLDS]
        longest = max(one.said.size for one in bins)
        lines = [
            [f"{part[k]:.2f}" if k < part.size else "" for one in bins for part in (one.said, one.true)]
            for k in range(longest)
        ]
        head = [f"{WORLD_WORDS[world]}: {what}" for world in WORLDS for what in ("said", "true")]
        parts += [f"{words}:", table(head, lines)]
    return "\n\n".join(parts)


def whole(results: Results) -> str:
    """Whole axles, diagonals, everything hot: what is answered, all rounds."""
    head = [
        "simulator", "planted", "question", "no", "watch", "yes", "cannot tell", "told: all right",
        "heat watched or called",
    ]  # fmt: skip
    lines = []
    for world in WORLDS:
        for fault in ("axle_hot", "axle_cold", "diagonal_hot", "all_hot"):
            seen = results.seen(world, fault=fault)
            if not seen:
                continue
            pool, question = pooled(seen), "idle" if fault.endswith("cold") else "drag"
            said = getattr(pool, question)
            words = [percent(float((said.word == word).mean())) for word in (NO, WATCH, YES, OPEN)]
            heat = percent(float(told(pool.heat).mean()))
            right = percent(share(said.own, told(said)))
            lines.append([WORLD_WORDS[world], fault, question, *words, right, heat])
    return table(head, lines)


def mixed_words(results: Results) -> str:
    """What mixed walks are answered, in per cent."""
    lines = []
    for world in WORLDS:
        pool = pooled(results.seen(world))
        for question in ("drag", "idle"):
            word = getattr(pool, question).word
            shares = [percent(mixed_share(pool, word == one), 1) for one in (NO, WATCH, YES, OPEN)]
            lines.append([WORLD_WORDS[world], question, *shares])
    return table(["simulator", "question", "no", "watch", "yes", "cannot tell"], lines)
