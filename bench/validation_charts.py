"""Charts of docs/validation.md: line styles and markers carry the meaning, grey prints can be read."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from validation_aims import PLANTED
from validation_pool import drag_bins, idle_bins, pooled
from validation_results import ROUNDS, WORLD_WORDS, Results
from validation_rows import BEFORE, OURS, by_octave
from validation_sections import planted_found
from validation_worlds import OCTAVES_NM, WORLDS, WorldName, skins_of

# Dark to light, so that they differ in grey as well (of the colour-blind safe set).
STYLES = (
    {"color": "#000000", "linestyle": "-", "marker": "o"},
    {"color": "#0072b2", "linestyle": "--", "marker": "s"},
    {"color": "#d55e00", "linestyle": "-.", "marker": "^"},
    {"color": "#009e73", "linestyle": ":", "marker": "D"},
    {"color": "#999999", "linestyle": "-", "marker": "v"},
)
METHODS = (OURS, BEFORE, "curve_fit", "difference of means", "last difference")


def draw(results: Results, folder: Path) -> None:
    """Write all charts."""
    folder.mkdir(parents=True, exist_ok=True)
    charts = {
        "detection": detection_chart(results),
        "reliability": reliability_chart(results),
        "limits": limits_chart(results),
    }
    for name, figure in charts.items():
        figure.savefig(folder / f"validation-{name}.png", dpi=110, metadata={"Software": None})


def _panels(titles: tuple[str, ...], *, height: float = 3.8) -> tuple[Figure, list[Any]]:
    figure = Figure(figsize=(4.6 * len(titles), height), layout="constrained")
    axes = list(np.atleast_1d(figure.subplots(1, len(titles))))
    for ax, title in zip(axes, titles, strict=True):
        ax.set_title(title, fontsize=10)
        ax.grid(visible=True, color="#dddddd", linewidth=0.6)
        ax.set_axisbelow(True)
    return figure, axes


def detection_chart(results: Results) -> Figure:
    """Found over drag, mean of classes and skin plans, three rounds."""
    figure, axes = _panels(tuple(f"{WORLD_WORDS[world]}, three rounds" for world in WORLDS))
    middle = np.sqrt(np.array(OCTAVES_NM[:-1]) * np.array(OCTAVES_NM[1:]))
    for ax, world in zip(axes, WORLDS, strict=True):
        seen = results.seen(world, rounds=3)
        for method, style in zip(METHODS, STYLES, strict=True):
            ax.plot(middle, 100.0 * by_octave(seen, method), label=method, markersize=5, **style)
        ax.set_xscale("log")
        ax.set_xticks(middle, [f"{a:g} to {b:g}" for a, b in pairwise(OCTAVES_NM)])
        ax.minorticks_off()
        ax.set_xlabel("drag of one brake, N·m (heavy vehicles: three times that)")
        ax.set_ylabel("found, % (5 % false alarms)")
        ax.set_ylim(0, 103)
    axes[0].legend(fontsize=8, loc="lower right")
    return figure


def reliability_chart(results: Results) -> Figure:
    """Said against true, mixed walks, skin plans apart."""
    figure, axes = _panels(("a drag that adds 20 K or more", "a brake that does not work"), height=4.4)
    sets: list[tuple[WorldName, str]] = [(world, skins) for world in WORLDS for skins in skins_of(world)]
    pools = [pooled(results.seen(world, skins=skins)) for world, skins in sets]
    for ax, of in zip(axes, (lambda pool: drag_bins(pool, 20.0), idle_bins), strict=True):
        ax.plot([0, 1], [0, 1], color="#888888", linewidth=0.8)
        for (world, skins), pool, style in zip(sets, pools, STYLES[:4], strict=True):
            bins = of(pool)
            ax.plot(bins.said, bins.true, label=f"{WORLD_WORDS[world]}, {skins}", markersize=5, **style)
        ax.set_xlabel("probability said")
        ax.set_ylabel("share true")
        ax.set_aspect("equal")
    axes[1].legend(fontsize=8, loc="lower right")
    return figure


def limits_chart(results: Results) -> Figure:
    """Stated limits, and what is found at them, by rounds."""
    figure, axes = _panels(
        ("stated limit where the answer was no", "planted at the limit: found (bars: two standard errors)")
    )
    axes[1].axhspan(*(100.0 * share for share in PLANTED), color="#e8e8e8", zorder=0)
    axes[1].axhline(80.0, color="#666666", linewidth=0.8)
    for world, style in zip(WORLDS, STYLES, strict=False):
        some = [
            [one for one in results.planted if (one.world, one.rounds) == (world, rounds)]
            for rounds in ROUNDS
        ]
        limit_k = [np.median(np.concatenate([one.limit_k[one.cleared] for one in group])) for group in some]
        found = np.array([planted_found(group) for group in some])
        axes[0].plot(ROUNDS, limit_k, label=WORLD_WORDS[world], **style)
        axes[1].errorbar(
            ROUNDS,
            100.0 * found[:, 0],
            yerr=200.0 * found[:, 1],
            capsize=3,
            label=WORLD_WORDS[world],
            **style,
        )
    axes[0].set_ylabel("median of corners, K")
    axes[0].set_ylim(0, 40)
    axes[1].set_ylabel("watched or called, %")
    axes[1].set_ylim(50, 100)
    for ax in axes:
        ax.set_xlabel("rounds")
        ax.set_xticks(ROUNDS)
        ax.legend(fontsize=8, loc="lower right")
    return figure
