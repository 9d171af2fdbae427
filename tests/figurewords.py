"""Texts and lines of a drawn figure, for the tests of charts."""

from __future__ import annotations

from matplotlib.figure import Figure
from matplotlib.lines import Line2D


def words_of(figure: Figure) -> list[str]:
    return [text.get_text() for text in figure.texts]


def lines_of(figure: Figure, panel: int, label: str) -> list[Line2D]:
    """Lines of a main panel (two axes a panel: the panel and its strip) by the end of their label."""
    return [line for line in figure.axes[2 * panel].get_lines() if str(line.get_label()).endswith(label)]


def line_of(figure: Figure, panel: int, label: str) -> Line2D:
    (line,) = lines_of(figure, panel, label)
    return line
