"""Charts of docs/validation.md: line styles and markers carry the meaning, grey prints can be read."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure
from validation_checks import TENTHS, merged

from thermlog.words.policy import load_policy

if TYPE_CHECKING:
    from validation_cells import Cell
    from validation_page import Results

# Dark to light, so that they differ in grey as well (blue, vermilion, green of the colour-blind safe set).
STYLES = (
    {"color": "#000000", "linestyle": "-", "marker": "o"},
    {"color": "#0072b2", "linestyle": "--", "marker": "s"},
    {"color": "#d55e00", "linestyle": "-.", "marker": "^"},
    {"color": "#009e73", "linestyle": ":", "marker": "D"},
)
METHODS = ("thermlog", "curve_fit", "difference of means", "last difference")
WEIGHTS = ("light", "heavy")


def draw(results: Results, folder: Path) -> None:
    """Write all charts."""
    folder.mkdir(parents=True, exist_ok=True)
    charts = {
        "detection": detection_chart(results.cells),
        "rounds": rounds_chart(results.cells),
        "false-alarms": false_alarm_chart(results),
        "reliability": reliability_chart(results),
        "trade-off": trade_off_chart(results),
    }
    for name, figure in charts.items():
        figure.savefig(folder / f"validation-{name}.png", dpi=110, metadata={"Software": None})


def _panels(titles: tuple[str, ...], *, height: float = 3.6) -> tuple[Figure, list[Any]]:
    figure = Figure(figsize=(4.6 * len(titles), height), layout="constrained")
    axes = list(np.atleast_1d(figure.subplots(1, len(titles))))
    for ax, title in zip(axes, titles, strict=True):
        ax.set_title(title, fontsize=10)
        ax.grid(visible=True, color="#dddddd", linewidth=0.6)
        ax.set_axisbelow(True)
    return figure, axes


def detection_chart(cells: list[Cell]) -> Figure:
    """Detection over drag, classes of one weight averaged, three rounds."""
    figure, axes = _panels(("light vehicles, three rounds", "heavy vehicles, three rounds"))
    for ax, weight in zip(axes, WEIGHTS, strict=True):
        some = [cell for cell in cells if cell.weight_class == weight and cell.rounds == 3]
        for method, style in zip(METHODS, STYLES, strict=True):
            drag, share = _mean_detection(some, method)
            ax.plot(drag, share, label=method, **style)
        ax.set_xscale("log")
        ax.set_xticks(drag, [f"{value:g}" for value in drag])
        ax.minorticks_off()
        ax.set_xlabel("drag of one brake, N·m")
        ax.set_ylabel("found, % (5 % false alarms)")
        ax.set_ylim(0, 103)
    axes[0].legend(fontsize=8, loc="lower right")
    return figure


def _mean_detection(cells: list[Cell], method: str) -> tuple[list[float], list[float]]:
    rows = [[row for row in cell.rows if row.kind == "corner_hot"] for cell in cells]
    drag = [row.severity for row in rows[0]]
    share = np.array([[row.found.alarmed[method] for row in one] for one in rows])
    return drag, (100.0 * share.mean(axis=0)).tolist()


def rounds_chart(cells: list[Cell]) -> Figure:
    """What is called by rounds."""
    figure, axes = _panels(("dragging corner called, by drag", "dead brake called cold, by part lost"))
    for style, (weight, place) in zip(
        STYLES, (("light", 1), ("light", 2), ("heavy", 2), ("heavy", 3)), strict=True
    ):
        _by_rounds(
            axes[0], [c for c in cells if c.weight_class == weight], ("corner_hot", place, "called"), style
        )
    for style, (weight, place) in zip(
        STYLES, (("light", 1), ("light", 2), ("heavy", 1), ("heavy", 2)), strict=True
    ):
        _by_rounds(
            axes[1],
            [c for c in cells if c.weight_class == weight],
            ("corner_cold", place, "own_corner"),
            style,
        )
    for ax in axes:
        ax.set_xlabel("rounds")
        ax.set_ylabel("out of 100")
        ax.set_ylim(-2, 103)
        ax.set_xticks([1, 2, 3, 6])
        ax.legend(fontsize=8, loc="center right")
    return figure


def _by_rounds(ax: Any, cells: list[Cell], what: tuple[str, int, str], style: dict[str, str]) -> None:
    kind, place, part = what
    rounds = sorted({cell.rounds for cell in cells})
    rows = {r: [[w for w in c.rows if w.kind == kind][place] for c in cells if c.rounds == r] for r in rounds}
    share = [100.0 * float(np.mean([getattr(row.calls, part) for row in rows[r]])) for r in rounds]
    unit = "N·m" if kind == "corner_hot" else "lost"
    severity = rows[rounds[0]][0].severity
    ax.plot(rounds, share, label=f"{cells[0].weight_class}, {severity:g} {unit}", **style)


def false_alarm_chart(results: Results) -> Figure:
    """Watch and call on healthy vehicles by class."""
    figure, axes = _panels(("watch or more", "called hot or cold"), height=4.2)
    names = list(dict.fromkeys(row.name for row in results.healthy))
    skins = list(dict.fromkeys(row.skins for row in results.healthy))
    for ax, part, stated in zip(axes, ("watch", "called"), (5.0, 1.0), strict=True):
        for number, (skin, style) in enumerate(zip(skins, STYLES, strict=False)):
            share = [100.0 * getattr(row.calls, part) for row in results.healthy if row.skins == skin]
            place = np.arange(len(names)) + 0.2 * (number - 1)
            ax.plot(share, place, label=f"skins {skin}", **(style | {"linestyle": "none"}))
        ax.axvline(stated, color="#555555", linewidth=1.0)
        ax.text(stated, -0.75, f" stated: {stated:g} %", fontsize=8, color="#333333", va="center")
        ax.set_yticks(np.arange(len(names)), names if part == "watch" else [""] * len(names), fontsize=8)
        ax.set_ylim(len(names) - 0.4, -1.1)
        ax.set_xlim(left=0)
        ax.set_xlabel("of healthy vehicles, %")
    handles, labels = axes[0].get_legend_handles_labels()
    figure.legend(handles, labels, fontsize=8, loc="outside lower center", ncols=3)
    return figure


def reliability_chart(results: Results) -> Figure:
    """Said against true, all classes of a weight together."""
    figure, axes = _panels(("p_fault: anything wrong", "p_hot: this corner drags"), height=4.2)
    skins = list(dict.fromkeys(row.skins for row in results.calibrations))
    for ax, part in zip(axes, ("fault", "hot"), strict=True):
        ax.plot([0, 1], [0, 1], color="#888888", linewidth=0.8)
        for skin, style in zip(skins, STYLES, strict=False):
            bins = merged([getattr(row, part) for row in results.calibrations if row.skins == skin], TENTHS)
            ax.plot(bins.said, bins.true, label=f"skins {skin}", markersize=5, **style)
        ax.set_xlabel("probability said")
        ax.set_ylabel("share true")
        ax.set_aspect("equal")
    axes[0].legend(fontsize=8, loc="lower right")
    return figure


def trade_off_chart(results: Results) -> Figure:
    """Healthy vehicles beyond each line against weak drags beyond it."""
    figure, axes = _panels(("watch line", "flag line"))
    for ax, key, policy_key in zip(
        axes, ("watch", "flag"), ("watch_probability", "flag_probability"), strict=True
    ):
        for number, weight in enumerate(WEIGHTS):
            rows = [getattr(row, key) for row in results.trades if row.weight_class == weight]
            value = [line.value for line in rows[0]]
            for part, style in zip(("weak", "healthy"), STYLES[2 * number : 2 * number + 2], strict=True):
                share = np.array([[getattr(line, part) for line in row] for row in rows])
                ax.plot(value, 100.0 * share.mean(axis=0), label=f"{weight}: {part}", markersize=5, **style)
            line = getattr(load_policy(weight), policy_key)
            ax.axvline(line, color="#555555", linestyle=("-", ":")[number], linewidth=1.2)
        lines = ", ".join(f"{weight} {getattr(load_policy(weight), policy_key):g}" for weight in WEIGHTS)
        ax.set_title(f"{key} line (in the policies: {lines})", fontsize=10)
        ax.set_xlabel("line on the probability")
        ax.set_ylabel("beyond it, %")
    axes[0].set_xscale("log")
    axes[1].legend(fontsize=8, loc="upper right", title="beyond the line", title_fontsize=8)
    return figure
