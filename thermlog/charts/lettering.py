"""Letters on a chart: measured before they are drawn, broken to fit, stacked without overlap.

All places are inches from the lower left corner of the sheet, so every output format looks the same.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.text import Text

from thermlog.words.tables import Floats

# Contrast on white 17.1, 7.8 and 4.6 to one, computed by WCAG 2.2 (letters need 4.5, graphics 3).
INK, SOFT_INK, LINE = "#1a1c1e", "#4d5358", "#6f767d"
FONT = "DejaVu Sans"  # ships with matplotlib: the same letters, widths and bytes everywhere
TITLE_PT, SMALL_PT, HEAD_PT, LABEL_PT, NOTE_PT, FOOT_PT = 15.0, 9.5, 10.0, 9.0, 8.0, 7.5
LINE_SPACING = 1.3
ALL_LINES = 60  # what is said is wrapped, not cut: only a text that is an attack is longer
DPI = 110  # letters are measured as they are drawn: their widths are rounded to dots


@cache
def letters(size_pt: float, weight: str = "normal") -> FontProperties:
    """Font of a size and weight."""
    return FontProperties(family=FONT, size=size_pt, weight=weight)


def text_width_in(text: str, size_pt: float, weight: str = "normal") -> float:
    """Width of one line of text [in]: as set, or as drawn in pixels where that comes out wider."""
    font = get_font(findfont(letters(size_pt, weight)))
    font.set_size(size_pt, DPI)
    font.set_text(text, 0.0)
    as_set = font.get_width_height()[0] / 64.0
    drawn, _, _ = _pixels().get_text_width_height_descent(text, letters(size_pt, weight), ismath=False)
    return max(as_set, float(drawn)) / DPI


@cache
def _pixels() -> Any:
    canvas: Any = FigureCanvasAgg(Figure(figsize=(1.0, 1.0), dpi=DPI))  # matplotlib types no renderer
    return canvas.get_renderer()


def line_height_in(size_pt: float) -> float:
    """Height of one line of text with its spacing [in]."""
    return size_pt * LINE_SPACING / 72.0


@cache
def _known_letters() -> frozenset[int]:
    return frozenset(get_font(findfont(letters(10.0, "normal"))).get_charmap())


def plain(text: str) -> str:
    """Text the font can show: unknown letters become a question mark, control characters a space."""
    known = _known_letters()
    return "".join(c if ord(c) in known and c.isprintable() else " " if c.isspace() else "?" for c in text)


def wrapped(text: str, width_in: float, size_pt: float, *, weight: str = "normal", most: int = 2) -> str:
    """Text broken into lines that fit.

    Parameters
    ----------
    text : str
        Words; a word wider than a line is broken.
    width_in : float
        Room [in].
    size_pt : float
        Size of the letters [pt].
    most : int
        Lines allowed; the last one ends with an ellipsis if something had to go.
    """
    lines = [""]
    for word in _unparted(plain(text).split()):
        for part in _fitting_parts(word, width_in, size_pt, weight):
            longer = f"{lines[-1]} {part}".strip()
            if text_width_in(longer, size_pt, weight) <= width_in:
                lines[-1] = longer
            else:
                lines.append(part)
    if len(lines) > most:
        last = lines[most - 1]
        while last and text_width_in(last + " …", size_pt, weight) > width_in:
            last = last[:-1]
        lines = [*lines[: most - 1], last.rstrip() + " …"]
    return "\n".join(lines)


def _unparted(words: list[str]) -> list[str]:
    """Words with their signs: "= even" and "8 °C" stay on one line, a point between parts ends its line."""
    kept: list[str] = []
    for word in words:
        bare = bool(kept) and not any(map(str.isalnum, kept[-1].split()[-1]))
        if kept and (word.startswith(("°", "%")) or word == "·" or (bare and not kept[-1].endswith("·"))):
            kept[-1] += f" {word}"
        else:
            kept.append(word)
    return kept


def _fitting_parts(word: str, width_in: float, size_pt: float, weight: str) -> list[str]:
    parts = [word]
    while text_width_in(parts[-1], size_pt, weight) > width_in and len(parts[-1]) > 1:
        whole, cut = parts[-1], len(parts[-1]) - 1
        while cut > 1 and text_width_in(whole[:cut], size_pt, weight) > width_in:
            cut -= 1
        parts[-1:] = [whole[:cut], whole[cut:]]
    return parts


def write(
    figure: Figure,
    place_in: tuple[float, float],
    text: str,
    size_pt: float,
    *,
    colour: str = INK,
    weight: str = "normal",
    ha: str = "left",
    va: str = "top",
) -> Text:
    """Put text on the sheet; it is never read as a formula."""
    return figure.text(
        *place_in,
        text,
        fontproperties=letters(size_pt, weight),
        color=colour,
        ha=ha,
        va=va,
        linespacing=LINE_SPACING,
        transform=figure.dpi_scale_trans,
        parse_math=False,
    )


def write_over_lines(
    figure: Figure, place_in: tuple[float, float], text: str, size_pt: float, *, weight: str = "normal"
) -> None:
    """Put text on the sheet on a piece of white, its left end and middle at a place."""
    written = write(figure, place_in, text, size_pt, weight=weight, va="center")
    written.set_bbox({"facecolor": "white", "edgecolor": "none", "pad": 0.8, "alpha": 0.85})


def spread(wanted: Floats, heights: Floats, low: float, high: float) -> Floats:
    """Centres for stacked labels, as near to the wanted ones as can be without overlap.

    Parameters
    ----------
    wanted, heights : float array (labels,)
        Wanted centres and heights.
    low, high : float
        Room; where it is too small for all, the stack grows beyond `high`.

    Returns
    -------
    float array (labels,)
        In the order given.

    Notes
    -----
    Least squares under "each at least so far above the last": isotonic regression by pooling neighbours.

    Examples
    --------
    >>> spread(np.array([1.0, 1.0]), np.array([0.5, 0.5]), 0.0, 9.0).tolist()
    [0.75, 1.25]
    """
    order = np.argsort(wanted, kind="stable")
    sizes = heights[order]
    steps = np.concatenate([[0.0], np.cumsum((sizes[1:] + sizes[:-1]) / 2.0)])
    level = _pooled(wanted[order] - steps)
    ends = sizes[0] / 2.0, sizes[-1] / 2.0 + steps[-1]
    level = np.maximum(np.minimum(level, high - ends[1]), low + ends[0])
    centres = np.empty_like(wanted)
    centres[order] = level + steps
    return centres


def _pooled(values: Floats) -> Floats:
    """Nearest non-decreasing sequence in least squares."""
    pools: list[tuple[float, int]] = []
    for value in values:
        mean, count = float(value), 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        pools.append((mean, count))
    return np.concatenate([np.full(count, mean) for mean, count in pools])
