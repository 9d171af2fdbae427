"""The whole vehicle at the common time: a bar per corner beside where a healthy brake would lie."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from thermlog.charts.drawing import DOTS, GREY, Dash, nice_limits
from thermlog.charts.lettering import INK, LABEL_PT, SOFT_INK, text_width_in, wrapped, write
from thermlog.charts.look import Look
from thermlog.charts.sheet import ChartSheet, Form, Words, bare, lay_out, name_below
from thermlog.reports.chartwords import (
    alt_of,
    footer,
    lines_below,
    neutral_below,
    neutral_title,
    title_of,
    warning_of,
)
from thermlog.reports.vehiclewords import CornerRow, rows_of, vehicle_head
from thermlog.reports.wording import degrees
from thermlog.words.findings import Diagnosis, Verdict
from thermlog.words.sentences import Page, on_page
from thermlog.words.units import from_degc

_ROW_IN = 0.34
_FILL, _BAND_FILL = "#d3d7da", "#eef1f3"
_WIDTHS = {"wide": 5.2, "narrow": 1.55}
# Border of a bar, the state's own: width and dash. A cold one is drawn twice, one line inside the other.
_BORDERS: dict[Verdict, tuple[float, Dash]] = {
    "hot": (2.4, "-"), "cold": (1.1, "-"), "watch": (1.6, (0.0, (4.0, 2.0))), "even": (0.8, "-"),
    "cannot_tell": (1.2, DOTS),
}  # fmt: skip


def vehicle_figure(diagnosis: Diagnosis, look: Look = Look()) -> Figure:  # noqa: B008 (frozen)
    """Chart of all corners of one drive at the moment of comparison.

    Parameters
    ----------
    diagnosis : Diagnosis
    look : Look

    Returns
    -------
    matplotlib.figure.Figure
        One row a corner of the vehicle, from the front, left before right, also for one that was not read:
        bar from the air to the temperature, its 95 % interval, and the box where a healthy brake would lie
        given the others. Its label is a description of the chart in sentences.
    """
    diagnosis = on_page(diagnosis, Page(unit=look.show, axle_count=diagnosis.axle_count))
    rows = rows_of(diagnosis, look.show, told=look.tells("verdict"))
    sheet = lay_out(_words(diagnosis, rows, look), _form(rows, look))
    _draw_rows(sheet, rows, diagnosis, look)
    return sheet.figure


def _form(rows: tuple[CornerRow, ...], look: Look) -> Form:
    names = max(text_width_in(row.name, LABEL_PT) for row in rows)
    width = _WIDTHS[look.width]
    return Form(
        widths=(width, width, width),
        height=_ROW_IN * len(rows) + 0.1,
        strip=0.0,
        gutter=1.45 if look.narrow else 1.9,
        left=names + 0.25,
        columns=1,
    )


def _words(diagnosis: Diagnosis, rows: tuple[CornerRow, ...], look: Look) -> Words:
    head = vehicle_head(diagnosis)
    told = look.tells("verdict")
    title = title_of(diagnosis, look.show) if told else neutral_title(diagnosis)
    below = lines_below(diagnosis, look.show) if told else (neutral_below(diagnosis, look.show),)
    words = Words(
        title=title,
        warning=warning_of(diagnosis) if told else "",
        below=below,
        foot=footer(diagnosis) if told else "",
        alt=alt_of(title, [head, *(row.said(with_band=look.tells("band")) for row in rows)]),
        heads=(head,),
        reasons=((),),
        strong=(False,),
    )
    return words if look.framed else bare(words)


def _draw_rows(sheet: ChartSheet, rows: tuple[CornerRow, ...], diagnosis: Diagnosis, look: Look) -> None:
    panel = sheet.panels[0]
    axes, unit = panel.main, degrees(look.show)
    axes.set_ylim(len(rows) - 0.5 + 0.15, -0.5 - 0.15)
    axes.set_xlim(_limits(rows, diagnosis, look))
    axes.set_yticks([])
    axes.grid(visible=False, axis="y")
    _draw_air(axes, diagnosis, look)
    for place, row in enumerate(rows):
        _draw_row(axes, place, row, look)
        top, bottom = axes.get_ylim()[1], axes.get_ylim()[0]
        height = panel.top - (place - top) / (bottom - top) * panel.height
        write(sheet.figure, (panel.left - 0.1, height), row.name, LABEL_PT, ha="right", va="center")
        text = wrapped(row.text, sheet.plan.gutter - 0.2, LABEL_PT, most=2)
        weight = "bold" if row.strong else "normal"
        write(sheet.figure, (panel.right + 0.12, height), text, LABEL_PT, va="center", weight=weight)
    name_below(axes, f"temperature shown by the gun [{unit}]")


def _limits(rows: tuple[CornerRow, ...], diagnosis: Diagnosis, look: Look) -> tuple[float, float]:
    values = [end for row in rows for end in (row.value, row.low, row.high)]
    if look.tells("band"):
        values += [end for row in rows for end in (row.band_low, row.band_high)]
    if diagnosis.ambient_degc is not None:
        values.append(from_degc(diagnosis.ambient_degc, look.show))
    return nice_limits(np.array([np.nan if value is None else value for value in values]))


def _draw_air(axes: Axes, diagnosis: Diagnosis, look: Look) -> None:
    if diagnosis.ambient_degc is not None:
        level = from_degc(diagnosis.ambient_degc, look.show)
        axes.axvline(level, color=GREY, linewidth=1.4, linestyle=DOTS, label="ambient")


def _draw_row(axes: Axes, place: int, row: CornerRow, look: Look) -> None:
    if look.tells("band") and row.band_low is not None and row.band_high is not None:
        box = Rectangle(
            (row.band_low, place - 0.4), row.band_high - row.band_low, 0.8, facecolor=_BAND_FILL,
            edgecolor=SOFT_INK, linewidth=0.9, linestyle=(0.0, (3.0, 2.0)), hatch="////", zorder=1.5,
        )  # fmt: skip
        box.set_gid(f"say-band-{row.corner}")
        axes.add_patch(box)
    if row.value is None:
        return
    start = axes.get_xlim()[0] if row.air is None else row.air
    _draw_bar(axes, place, row, start, told=look.tells("verdict"))
    if row.low is not None and row.high is not None:
        axes.plot([row.low, row.high], [place, place], color=INK, linewidth=1.6, marker="|", markersize=9)
    marker, fill = ("o", INK) if row.corner.endswith("L") else ("^", "white")
    axes.plot([row.value], [place], color=INK, marker=marker, markersize=6, markerfacecolor=fill, zorder=4)


def _draw_bar(axes: Axes, place: int, row: CornerRow, start: float, *, told: bool) -> None:
    verdict: Verdict = row.verdict if told else "even"
    width, dash = _BORDERS[verdict]
    for inset in (0.0, 0.07) if verdict == "cold" else (0.0,):
        bar = Rectangle(
            (start, place - 0.2 + inset), (row.value or start) - start, 0.4 - 2.0 * inset,
            facecolor="white" if verdict in ("cold", "cannot_tell") else _FILL, edgecolor=INK,
            linewidth=width, linestyle=dash, zorder=2,
        )  # fmt: skip
        bar.set_label(f"{row.corner} bar")
        axes.add_patch(bar)
