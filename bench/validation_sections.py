"""Tables of the single changes, limits, drives without braking, intervals, skins and looks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from validation_changes import ALL_BEFORE, LEARNED, NOW, Changed
from validation_plain import MARKED
from validation_planted import Planted
from validation_results import ROUNDS, WORLD_WORDS, Results, percent, slashed, table, with_error
from validation_scores import Found
from validation_sets import Array
from validation_truths import Look
from validation_worlds import WORLDS, WorldName, skins_of

SETTING = (3, True)  # rounds, described: what the aims and the first table of changes look at
_QUESTIONS = ("drag", "axle", "idle")
_QUESTION_WORDS = {"drag": "single drags", "axle": "whole axles", "idle": "cold brakes"}


# changes


def effect(found: Sequence[Found], method: str) -> tuple[float, float]:
    """What the program as it is finds more than a variant, mean of classes, and its standard error."""
    place = found[0].methods.index(method)
    difference = float(np.mean([one.share[0] - one.share[place] for one in found]))
    error = float(np.sqrt(sum(one.against[place] for one in found)) / len(found))
    return difference, error


def effects(results: Results, world: WorldName) -> list[tuple[str, str, float, float]]:
    """Every change and question of one world: (change, question, gain, standard error)."""
    some = _chosen(results, SETTING, world)
    methods = [name for name in some[0].drag.methods if name != NOW]
    return [(name, question, *_gain(some, question, name)) for name in methods for question in _QUESTIONS]


def _gain(some: Sequence[Changed], question: str, name: str) -> tuple[float, float]:
    difference, error = effect([getattr(one, question) for one in some], name)
    sign = -1.0 if name == LEARNED else 1.0  # learned: the variant is the change
    return sign * difference, error


def _chosen(
    results: Results, setting: tuple[int, bool], world: WorldName, skins: str | None = None
) -> list[Changed]:
    return [
        one
        for one in results.changes
        if (one.rounds, one.described) == setting and one.world == world and skins in (None, one.skins)
    ]


def changed(results: Results) -> str:
    """One table a setting."""
    settings = list(dict.fromkeys((one.rounds, one.described) for one in results.changes))
    parts = []
    for rounds, described in sorted(settings, key=lambda one: (not one[1], -one[0])):
        words = "vehicle described" if described else "nothing describes the vehicle"
        parts += [
            f"**{rounds} round{'s' * (rounds > 1)}, {words}**",
            _changed_table(results, (rounds, described)),
        ]
    return "\n\n".join(parts)


def _changed_table(results: Results, setting: tuple[int, bool]) -> str:
    columns = [("own", "drag", skins) for skins in skins_of("own")]
    columns += [("own", question, None) for question in _QUESTIONS[1:]]
    columns += [("other", question, None) for question in _QUESTIONS]
    head = ["switched back"] + [
        f"{'own' if world == 'own' else 'second'}: {_QUESTION_WORDS[question]}{f', {skins}' if skins else ''}"
        for world, question, skins in columns
    ]
    chosen = [_chosen(results, setting, world, skins) for world, _, skins in columns]
    methods = chosen[0][0].drag.methods
    level = [
        percent(float(np.mean([getattr(one, question).share[0] for one in some])), 1)
        for some, (_, question, _) in zip(chosen, columns, strict=True)
    ]
    lines = [["*found as it is, out of 100*", *level]]
    for name in methods[1:]:
        gains = [
            with_error(*_gain(some, question, name))
            for some, (_, question, _) in zip(chosen, columns, strict=True)
        ]
        lines.append([f"**{name}**" if name == ALL_BEFORE else name, *gains])
    return table(head, lines)


def learned(results: Results) -> str:
    """Beyond the fixed line of a watch, with the policy's share of even skins and with the learned one."""
    head = ["simulator, skins", "healthy: assumed", "learned", "single drags: assumed", "learned"]
    lines = []
    for world in WORLDS:
        for skins in skins_of(world):
            some = _chosen(results, SETTING, world, skins)
            shares = [
                float(np.mean([one.beyond[name][place] for one in some]))
                for place in (0, 1)
                for name in (NOW, LEARNED)
            ]
            lines.append([f"{WORLD_WORDS[world]}, {skins}", *(percent(share, 1) for share in shares)])
    return table(head, lines)


def plain_rule(results: Results) -> str:
    """The rule of the plain gap, with and without."""
    head = [
        "simulator, skins", "described", "rule", "healthy watched or called", "single drags found",
        "odd corner among those named", "dead brake: drag watched or called",
    ]  # fmt: skip
    lines = []
    for world in WORLDS:
        for skins in skins_of(world):
            for described in (True, False):
                some = [
                    one
                    for one in results.plain
                    if (one.world, one.skins, one.described) == (world, skins, described)
                ]
                for k, words in enumerate(MARKED):
                    shares = [
                        percent(float(np.concatenate([getattr(one, part)[k] for one in some]).mean()), 1)
                        for part in ("healthy", "found", "right", "mate")
                    ]
                    place = f"{WORLD_WORDS[world]}, {skins}"
                    lines.append([place, "yes" if described else "no", words, *shares])
    return table(head, lines)


# limits


def planted_found(some: Sequence[Planted]) -> tuple[float, float]:
    """Share found of drags planted at the limit where the first answer was no; its standard error."""
    hits = np.concatenate([one.found[one.cleared] for one in some])
    return _mean_error(hits)


def _mean_error(hits: Array) -> tuple[float, float]:
    if not hits.size:
        return float("nan"), float("nan")
    share = float(hits.mean())
    return share, float(np.sqrt(share * (1.0 - share) / hits.size))


def limits(results: Results) -> str:
    """Limits, and what is found at them, by rounds."""
    head = [
        "simulator", "rounds", "corners", "limit, median K", "where the answer was no", "planted: found",
        "this corner named", "found where it was not no", "nothing planted: alarms",
        "limit of lost work, median", "planted: found", "or asked to be read again",
    ]  # fmt: skip
    lines = []
    for world in WORLDS:
        for rounds in (*ROUNDS, None):
            some = [one for one in results.planted if one.world == world and rounds in (None, one.rounds)]
            lines.append([WORLD_WORDS[world], rounds or "all", *_limit_fields(some)])
    return table(head, lines)


def _limit_fields(some: list[Planted]) -> list[str]:
    def all_of(part: str) -> Array:
        return np.concatenate([getattr(one, part) for one in some])

    limit_k, share = all_of("limit_k"), all_of("share")
    cleared, idle_cleared = all_of("cleared"), all_of("idle_cleared")
    found, error = planted_found(some)
    idle, idle_error = _mean_error(all_of("idle_found")[idle_cleared])
    return [
        str(limit_k.size),
        f"{np.median(limit_k):.0f}",
        f"{_median(limit_k[cleared]):.0f}",
        f"{percent(found)} ± {percent(error)}",
        percent(_mean_error(all_of("right")[cleared])[0]),
        percent(_mean_error(all_of("found")[~cleared])[0]),
        percent(_mean_error(all_of("plain")[cleared])[0], 1),
        f"{_median(share[idle_cleared]):.2f}",
        f"{percent(idle)} ± {percent(idle_error)}",
        percent(_mean_error((all_of("idle_found") | all_of("idle_again"))[idle_cleared])[0]),
    ]


def _median(values: Array) -> float:
    return float(np.median(values)) if values.size else float("nan")


# drives without braking


def coasts(results: Results) -> str:
    """Single drags after a drive without braking, means of classes."""
    methods = results.coasts[0].found.methods
    head = ["simulator, skins", *methods, "healthy watched or called", "called", "open on healthy"]
    lines = []
    for world in WORLDS:
        for skins in skins_of(world):
            some = [one for one in results.coasts if (one.world, one.skins) == (world, skins)]
            shares = np.mean([one.found.share for one in some], axis=0)
            alarms = [np.mean([one.alarms[key] for one in some]) for key in ("watch", "yes")]
            left_open = np.mean([one.open_share for one in some])
            lines.append(
                [
                    f"{WORLD_WORDS[world]}, {skins}",
                    *(percent(share) for share in shares),
                    *(percent(float(share), 1) for share in (*alarms, left_open)),
                ]
            )
    return table(head, lines)


def both_drives(results: Results) -> str:
    """Right and wrong calls after the normal drive alone and with both, means of classes."""
    head = [
        "simulator", "planted", "right call, normal drive alone", "with both drives",
        "wrong sense called, alone", "with both",
    ]  # fmt: skip
    lines = []
    for world in WORLDS:
        for fault in ("corner_hot", "corner_cold"):
            some = [one for one in results.both if (one.world, one.fault) == (world, fault)]
            shares = [
                float(np.mean([getattr(one, part) for one in some]))
                for part in ("right_alone", "right_both", "wrong_alone", "wrong_both")
            ]
            lines.append([WORLD_WORDS[world], fault, *(percent(share, 1) for share in shares)])
    return table(head, lines)


# truths


def coverages(results: Results) -> str:
    """Share of 95 % intervals that hold the truth."""
    head = ["simulator, skins", "rounds", "axles", "difference", "temperature", "time constant"]
    keys = dict.fromkeys((one.world, one.skins, one.rounds) for one in results.coverages)
    lines = []
    for world, skins, rounds in keys:
        some = [
            one for one in results.coverages if (one.world, one.skins, one.rounds) == (world, skins, rounds)
        ]
        hits = [
            np.concatenate([getattr(one, part) for one in some])
            for part in ("difference", "temperature", "tau")
        ]
        shares = [percent(float(one.mean()), 1) for one in hits]
        lines.append([f"{WORLD_WORDS[world]}, {skins}", rounds, hits[0].size, *shares])
    return table(head, lines)


def looks(results: Results) -> str:
    """Heat, spreads and strength of drags by class, and heat of all classes of a weight together."""
    head = [
        "simulator, skins", "class", "healthy rise, K", "scatter, ln", "of a side, ln", "of an axle, ln",
        "first over others", "a drag adds, K (quartiles)",
    ]  # fmt: skip
    lines = []
    for world in WORLDS:
        some = [one for one in results.looks if one.world == world]
        lines += [[f"{WORLD_WORDS[world]}, {one.skins}", one.kind, *_look_fields(one)] for one in some]
        for weight in dict.fromkeys(one.weight_class for one in some):
            heat = np.concatenate([one.heat_ln for one in some if one.weight_class == weight])
            lines.append([WORLD_WORDS[world], f"**all {weight}**", *_heat_fields(heat), "", "", "", ""])
    return table(head, lines)


def _look_fields(one: Look) -> list[str]:
    return [
        *_heat_fields(one.heat_ln),
        f"{one.side_spread:.3f}",
        "-" if np.isnan(one.front_share) else f"{one.axle_spread:.3f}",
        "-" if np.isnan(one.front_share) else f"{one.front_share:.2f}",
        " / ".join(f"{value:.0f}" for value in one.extra_k),
    ]


def _heat_fields(heat_ln: Array) -> list[str]:
    return [f"{np.exp(np.median(heat_ln)):.0f}", f"{heat_ln.std():.2f}"]


def skin_pairs(results: Results) -> str:
    """Equal heat under unequal skins."""
    head = [
        "class", "emissivity left / right", "false gap, K", "drag: no / watch / yes / open",
        "idle: no / watch / yes / open", "brighter side called idle", "duller side called dragging",
        "emissivities given: gap, K", "drag", "idle",
    ]  # fmt: skip
    lines = [
        [
            one.kind,
            f"{one.left:g} / {one.right:g}",
            f"{one.gap_k:+.1f}",
            slashed(one.drag),
            slashed(one.idle),
            percent(one.bright_idle, 1),
            percent(one.dull_drags, 1),
            f"{one.given_gap_k:+.1f}",
            slashed(one.given_drag),
            slashed(one.given_idle),
        ]
        for one in results.skins
    ]
    return table(head, lines)
