"""The whole vehicle at the common time: a bar per corner beside where a healthy brake would lie."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from thermlog.charts.drawing import DOTS, STATE_COLOURS, Dash, nice_limits, side_style
from thermlog.charts.lettering import INK, LABEL_PT, LINE, text_width_in, wrapped, write_over_lines
from thermlog.charts.look import Look
from thermlog.charts.normal import BAND_EDGE, HATCH, HATCH_GREY
from thermlog.charts.panelwords import vehicle_words
from thermlog.charts.saving import usual_settings
from thermlog.charts.sheet import Form, Panel, lay_out, name_below
from thermlog.reports.summary import page_of
from thermlog.reports.vehiclewords import CornerRow, corner_rows
from thermlog.reports.wording import degrees
from thermlog.words.findings import Diagnosis, Verdict
from thermlog.words.sentences import on_page

_SIZES_PT = (LABEL_PT, 8.0, 7.0, 6.0)
_ROW_IN, _MOST_ROW_IN = 0.36, 0.62
_FILL, _HOLLOW = "#d3d7da", ("cold", "cannot_tell")
_WIDTHS = {"wide": 5.2, "narrow": 3.1}
# Border of a bar, the state's own: width and dash. A cold one is drawn twice, one line inside the other.
_BORDERS: dict[Verdict, tuple[float, Dash]] = {
    "hot": (2.4, "-"), "cold": (1.1, "-"), "watch": (1.6, (0.0, (4.0, 2.0))), "even": (0.8, "-"),
    "cannot_tell": (1.2, DOTS),
}  # fmt: skip


@usual_settings()
def vehicle_figure(diagnosis: Diagnosis, look: Look = Look()) -> Figure:  # noqa: B008 (frozen)
    """Chart of all corners of one drive at the moment of comparison.

    Parameters
    ----------
    diagnosis : Diagnosis
    look : Look

    Returns
    -------
    matplotlib.figure.Figure
        As `draw_vehicle` draws it. Its label is a description of the chart in sentences.
    """
    diagnosis = on_page(diagnosis, page_of(diagnosis, look.show))
    width = _WIDTHS[look.width]
    form = Form(
        widths=(width, width, width), height=rows_height_in(diagnosis), strip=0.0, gutter=0.1, left=0.2,
        columns=1, apart=1,
    )  # fmt: skip
    sheet = lay_out(vehicle_words(diagnosis, look), form)
    draw_vehicle(sheet.figure, sheet.panels[0], diagnosis, look)
    return sheet.figure


def rows_height_in(diagnosis: Diagnosis) -> float:
    """Height that the rows of a vehicle need [in]."""
    return _ROW_IN * 2 * max(diagnosis.axle_count, 1) + 0.1


def draw_vehicle(figure: Figure, panel: Panel, diagnosis: Diagnosis, look: Look) -> None:
    """One row a corner of the vehicle, from the front, left before right, also for one that was not read.

    Parameters
    ----------
    figure : Figure
    panel : Panel
        With axes of its own.
    diagnosis : Diagnosis
    look : Look

    Notes
    -----
    Above the bar stand name, temperature and finding; the bar reaches from the air to the temperature, with
    its 95 % interval, beside the box where a healthy brake would lie given the others. Where no air is known
    there is no bar, for its length would tell nothing: the temperature is a point with its interval.
    """
    rows, axes = corner_rows(diagnosis, look.show, told=look.tells("verdict")), panel.main
    each = min(panel.height / len(rows), _MOST_ROW_IN)
    axes.set_ylim(panel.height / each, 0.0)
    axes.set_xlim(_limits(rows, look))
    axes.set_yticks([])
    axes.grid(visible=False, axis="y")
    if rows[0].air is not None:
        axes.axvline(rows[0].air, color=LINE, linewidth=1.4, linestyle=DOTS, label="ambient")
    size = _size_that_fits(rows, panel.width - 0.1)
    for place, row in enumerate(rows):
        _draw_row(axes, place + 0.7, row, look)
        weight = "bold" if row.strong else "normal"
        text = wrapped(f"{row.name}: {row.text}", panel.width - 0.1, size, weight=weight)
        height = panel.top - (place + 0.26) * each
        write_over_lines(figure, (panel.left + 0.06, height), text, size, weight=weight)
    name_below(axes, f"as shown by the gun [{degrees(look.show)}]")


def _size_that_fits(rows: tuple[CornerRow, ...], width_in: float) -> float:
    """Letters in which every row is one line, if any does."""
    said = [f"{row.name}: {row.text}" for row in rows]
    fit = (size for size in _SIZES_PT if max(text_width_in(one, size, "bold") for one in said) <= width_in)
    return next(fit, _SIZES_PT[-1])


def _limits(rows: tuple[CornerRow, ...], look: Look) -> tuple[float, float]:
    values = [end for row in rows for end in (row.value, row.low, row.high, row.air)]
    if look.tells("band"):
        values += [end for row in rows for end in (row.band_low, row.band_high)]
    return nice_limits(np.array([np.nan if value is None else value for value in values]))


def _draw_row(axes: Axes, place: float, row: CornerRow, look: Look) -> None:
    if look.tells("band") and row.band_low is not None and row.band_high is not None:
        _draw_box(axes, place, row, (row.band_low, row.band_high))
    if row.value is None:
        return
    told = look.tells("verdict")
    if row.air is not None:
        _draw_bar(axes, place, row, (row.air, row.value), told=told)
    colour = STATE_COLOURS.get(row.verdict, INK) if told and row.air is None else INK
    if row.low is not None and row.high is not None:
        axes.plot(
            [row.low, row.high], [place, place], color=colour, linewidth=1.6, marker="|", markersize=9,
            label=f"{row.corner} interval",
        )  # fmt: skip
    style = side_style(row.corner[-1])
    axes.plot(
        [row.value], [place], marker=style.marker, markersize=style.size + 0.5, zorder=4,
        markerfacecolor=colour if style.filled else "white",
        markeredgecolor="white" if style.filled else colour,
        label=f"{row.corner} temperature",
    )  # fmt: skip


def _draw_box(axes: Axes, place: float, row: CornerRow, ends: tuple[float, float]) -> None:
    low, high = ends
    for hatch, edge, zorder in ((HATCH, HATCH_GREY, 1.2), (None, LINE, 2.5)):
        box = Rectangle(
            (low, place - 0.24), high - low, 0.48, facecolor="none", edgecolor=edge, hatch=hatch,
            linewidth=0.0 if hatch else 0.9, linestyle="solid" if hatch else BAND_EDGE, zorder=zorder,
        )  # fmt: skip
        box.set_label(f"{row.corner} healthy")
        axes.add_patch(box)


def _draw_bar(axes: Axes, place: float, row: CornerRow, ends: tuple[float, float], *, told: bool) -> None:
    """Filled by the finding; framed by it, too, or as what is hot where something there stops the vehicle."""
    start, end = ends
    verdict: Verdict = row.verdict if told else "even"
    framed: Verdict = "hot" if row.stops else verdict
    width, dash = _BORDERS[framed]
    fill, colour = STATE_COLOURS.get(verdict, INK), STATE_COLOURS.get(framed, INK)
    for inset in (0.0, 0.045) if framed == "cold" else (0.0,):
        bar = Rectangle(
            (start, place - 0.13 + inset), end - start, 0.26 - 2.0 * inset,
            facecolor=fill if verdict == "hot" else "white" if verdict in _HOLLOW else _FILL,
            edgecolor=colour, linewidth=width, linestyle=dash, zorder=2,
        )  # fmt: skip
        bar.set_label(f"{row.corner} bar")
        axes.add_patch(bar)
