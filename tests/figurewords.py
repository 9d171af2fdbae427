"""Texts and lines of a drawn figure, for the tests of charts."""

from __future__ import annotations

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from thermlog.charts.look import Look
from thermlog.charts.panelwords import words_of as chart_words
from thermlog.reports.chartwords import axles_shown
from thermlog.words.findings import Diagnosis
from thermlog.words.sentences import Page, on_page


def alt_text(found: Diagnosis) -> str:
    """What the chart of a drive says to those who cannot see it."""
    page = on_page(found, Page(unit="C", axle_count=found.axle_count))
    return chart_words(page, axles_shown(found), Look()).alt


def words_of(figure: Figure) -> list[str]:
    return [text.get_text() for text in figure.texts]


def lines_of(figure: Figure, panel: int, label: str) -> list[Line2D]:
    """Lines of a main panel (two axes a panel: the panel and its strip) by the end of their label."""
    return [line for line in figure.axes[2 * panel].get_lines() if str(line.get_label()).endswith(label)]


def line_of(figure: Figure, panel: int, label: str) -> Line2D:
    (line,) = lines_of(figure, panel, label)
    return line


def assert_texts_keep_clear(figure: Figure) -> None:
    """Texts of a figure stand within its edges and off each other."""
    renderer = figure.canvas.get_renderer()
    boxes = [(t.get_text(), t.get_window_extent(renderer)) for t in figure.texts if t.get_text()]
    wide, high = figure.bbox.size
    for k, (text, box) in enumerate(boxes):
        assert box.x0 >= 0, text
        assert box.x1 <= wide, text
        assert box.y0 >= 0, text
        assert box.y1 <= high, text
        for other, its in boxes[k + 1 :]:
            # touching line boxes are fine, letters are not: half a point of overlap allowed
            across = min(box.x1, its.x1) - max(box.x0, its.x0)
            upright = min(box.y1, its.y1) - max(box.y0, its.y0)
            assert across <= 0.5 or upright <= 0.5, (text, other)
