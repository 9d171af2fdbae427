"""What would be normal, drawn: the healthy band, and the gaps from which left against right is watched."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from thermlog.charts.drawing import in_inches
from thermlog.charts.lettering import INK, LINE, NOTE_PT, line_height_in, text_width_in, write_over_lines
from thermlog.charts.sheet import Panel
from thermlog.words.tables import Floats

HATCH, BAND_EDGE = "////", (0.0, (3.0, 2.0))
HATCH_GREY = "#868e95"  # 3.3 to one on white
_TICK_IN = 0.13


def draw_healthy(
    axes: Axes, corner: str, minutes: Floats, ends: tuple[Floats, Floats], *, beside_dashes: bool = False
) -> None:
    """Hatched between its edges: where 95 % of healthy brakes in place of one would read.

    Parameters
    ----------
    axes : Axes
    corner : str
    minutes : float array (points,)
    ends : tuple of float array (points,)
        Low and high, as drawn.
    beside_dashes : bool
        True where thin grey dashes are a curve: the edges are hairlines then, which nobody takes for one.
    """
    low, high = ends
    colour, width, style = (HATCH_GREY, 0.5, "solid") if beside_dashes else (LINE, 0.9, BAND_EDGE)
    fill = axes.fill_between(
        minutes, low, high, facecolor="none", edgecolor=HATCH_GREY, hatch=HATCH, linewidth=0.0, zorder=1.2
    )
    fill.set_label(f"{corner} healthy")
    fill.set_gid(f"say-healthy-{corner}")
    for which, edge in (("low", low), ("high", high)):
        axes.plot(
            minutes, edge, color=colour, linewidth=width, linestyle=style, zorder=1.3,
            label=f"{corner} healthy {which}",
        )  # fmt: skip


def draw_gap_bar(axes: Axes, minute: float, levels: Floats, *, light: bool = False) -> None:
    """Bar between left and right at the moment of comparison; `light` in an earlier log."""
    axes.plot(
        [minute, minute], levels, color=LINE if light else INK, linewidth=1.4 if light else 2.4, marker="_",
        markersize=11, label="gap", zorder=5,
    )  # fmt: skip


def draw_marks(figure: Figure, panel: Panel, minute: float, levels: dict[str, float]) -> list[Floats]:
    """Short ticks at the common time where the hotter side would have to stand.

    Parameters
    ----------
    figure : Figure
    panel : Panel
    minute : float
        The common time [min].
    levels : dict of str to float
        Word and temperature in the unit shown; those beyond the axes, or whose word would be, are left out.

    Returns
    -------
    list of float array (4,)
        Left, bottom, right and top of each word [in].
    """
    at = {word: in_inches(figure, panel.main, minute, y) for word, y in levels.items()}
    half = 0.5 * line_height_in(NOTE_PT)  # a word across the edge would stand on those above it
    low, high = panel.bottom + half, panel.top - half
    places = {word: place for word, place in at.items() if low < place[1] < high}
    joined: list[tuple[list[str], float]] = []
    for word, (_, height) in places.items():
        if joined and height - joined[-1][1] < line_height_in(NOTE_PT):
            joined[-1][0].append(word)
        else:
            joined.append(([word], height))
    for word, level in levels.items():
        if word in places:
            right, up = places[word]
            panel.main.plot(
                [minute, _minute_at(panel, right + _TICK_IN)], [level, level],
                color=INK, linewidth=1.4, label=f"{word} mark", zorder=4.5,
            )  # fmt: skip
            del up
    return [
        _write_mark(figure, panel, words, next(iter(places.values()))[0], height) for words, height in joined
    ]


def _minute_at(panel: Panel, right_in: float) -> float:
    low, high = panel.main.get_xlim()
    return float(low + (right_in - panel.left) / panel.width * (high - low))


def _write_mark(figure: Figure, panel: Panel, words: list[str], right: float, height: float) -> Floats:
    left, half = right + _TICK_IN + 0.04, 0.5 * line_height_in(NOTE_PT)
    text = ", ".join(words)
    if left + text_width_in(text, NOTE_PT) > panel.right:
        text = words[0]  # the lower of two ticks
    width = text_width_in(text, NOTE_PT)
    if left + width > panel.right:
        left = right - 0.06 - width
    height = max(height, panel.bottom + half)
    write_over_lines(figure, (left, height), text, NOTE_PT)
    return np.array([left, height - half, left + width, height + half])
