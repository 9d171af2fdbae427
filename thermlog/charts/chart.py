"""The picture of a diagnosis: one panel per axle, readings, curves, bands and the finding in words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from msgspec.structs import replace

from thermlog.charts.drawing import (
    DOTS,
    STATE_COLOURS,
    EndLabel,
    Trace,
    draw_crosses,
    draw_points,
    draw_trace,
    main_spot,
    nice_limits,
    on_scale,
    side_style,
    write_end_labels,
    write_reasons,
)
from thermlog.charts.lettering import FOOT_PT, INK, LINE, SOFT_INK, letters
from thermlog.charts.look import AxisLimits, Look
from thermlog.charts.normal import draw_gap_bar, draw_healthy, draw_marks
from thermlog.charts.panelwords import words_of
from thermlog.charts.saving import usual_settings
from thermlog.charts.sheet import ChartSheet, Form, Panel, lay_out, name_below, name_left, name_moment
from thermlog.charts.vehiclebars import draw_vehicle, rows_height_in
from thermlog.reports.chartwords import (
    axles_shown,
    curve_of,
    degrees_text,
    is_urgent,
    line_label,
    place_label,
    told_verdict,
)
from thermlog.reports.normalwords import banded, gap_ends, marked_levels
from thermlog.reports.summary import page_of
from thermlog.reports.wording import Show, clock, degrees
from thermlog.words.findings import Diagnosis
from thermlog.words.fitted import Curve
from thermlog.words.sentences import on_page
from thermlog.words.tables import Floats
from thermlog.words.units import difference_from_k, from_degc
from thermlog.words.vehicle import split_corner

_FORMS = {
    "wide": Form(widths=(6.4, 4.1, 3.1), height=2.9, strip=0.62, gutter=1.35),
    "narrow": Form(widths=(1.9, 1.9, 1.9), height=1.75, strip=0.0, gutter=0.95, left=0.6, columns=1),
}


@usual_settings()
def figure_of(diagnosis: Diagnosis, look: Look = Look()) -> Figure:  # noqa: B008 (frozen)
    """Chart of one drive.

    Parameters
    ----------
    diagnosis : Diagnosis
        With its curves.
    look : Look

    Returns
    -------
    matplotlib.figure.Figure
        One panel per axle on shared axes, with a strip of residuals below each. Its label is a description
        of the chart in sentences.
    """
    diagnosis = on_page(diagnosis, page_of(diagnosis, look.show))
    axles = _axles_of(diagnosis, look)
    sheet = lay_out(words_of(diagnosis, axles, look), _form(diagnosis, look))
    traces = [_axle_traces(diagnosis, axle, look) for axle in axles]
    _set_limits(sheet.panels[0], [trace for group in traces for trace in group], diagnosis, look)
    for axle, panel, group in zip(axles, sheet.panels, traces, strict=False):  # the whole vehicle comes after
        _draw_background(sheet, panel, diagnosis, look)
        _draw_panel(sheet, panel, group, _draw_normal(sheet, panel, diagnosis, axle, look))
        _label_lines(sheet, panel, group, diagnosis, look.show)
    if look.framed and look.tells("curve"):
        draw_vehicle(sheet.figure, sheet.panels[-1], diagnosis, look)
    _name(sheet, len(axles), diagnosis, look)
    return sheet.figure


def limits_beside(diagnoses: Sequence[Diagnosis], look: Look) -> AxisLimits | None:
    """Axes on which the drives can be compared by eye: as far as any of them reaches; None with no reading.

    Parameters
    ----------
    diagnoses : sequence of Diagnosis
        With their curves.
    look : Look
        Its axles are those that count.
    """
    traced = [
        (one, [t for axle in _axles_of(one, look) for t in _axle_traces(one, axle, look)])
        for one in diagnoses
    ]
    read = [(one, traces) for one, traces in traced if traces]
    if not read:
        return None
    times = [_time_limits(traces, one) for one, traces in read]
    levels = [_level_limits(traces, one, look) for one, traces in read]
    parked = all(one.parked_known for one, _ in read)
    return AxisLimits(minutes=_round_all(times) if parked else None, level=_round_all(levels))


def _round_all(ends: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return min(low for low, _ in ends), max(high for _, high in ends)


def _axles_of(diagnosis: Diagnosis, look: Look) -> list[int]:
    return [axle for axle in axles_shown(diagnosis) if not look.axles or axle in look.axles]


def _form(diagnosis: Diagnosis, look: Look) -> Form:
    form = _FORMS[look.width]
    if not look.tells("curve"):
        return replace(form, strip=0.0)
    if not look.framed:
        return form
    return replace(form, apart=1, apart_height=rows_height_in(diagnosis))


def _draw_normal(
    sheet: ChartSheet, panel: Panel, diagnosis: Diagnosis, axle: int, look: Look
) -> list[Floats]:
    """The healthy band of an axle; with the finding also its gap and the marks: the room their words take."""
    one = banded(diagnosis, axle) if look.tells("band") else None
    curve = None if one is None else curve_of(diagnosis, one)
    if curve is not None and curve.healthy is not None:
        healthy = curve.healthy
        ends = on_scale(healthy.low_degc, look.show), on_scale(healthy.high_degc, look.show)
        draw_healthy(panel.main, curve.corner, healthy.grid_s / 60.0, ends)
    if not look.tells("verdict") or diagnosis.common_time_s is None:
        return []
    minute, gap = diagnosis.common_time_s / 60.0, gap_ends(diagnosis, axle)
    if gap is not None:
        draw_gap_bar(panel.main, minute, on_scale(np.array(gap), look.show))
    levels = marked_levels(diagnosis, axle, look.show)
    return draw_marks(sheet.figure, panel, minute, levels)


# --- from curves to traces ----------------------------------------------------------------------------------


def _axle_traces(diagnosis: Diagnosis, axle: int, look: Look) -> list[Trace]:
    curves = [curve for curve in diagnosis.curves if split_corner(curve.corner)[0] == axle]
    main = {side: main_spot([c.spot for c in curves if c.corner[-1] == side]) for side in "LR"}
    traces = [
        _trace(diagnosis, curve, look.show, thin=curve.spot != main[curve.corner[-1]]) for curve in curves
    ]
    return (
        traces
        if look.tells("verdict")
        else [_untold(trace, curve, diagnosis, look) for trace, curve in zip(traces, curves, strict=True)]
    )


def _untold(trace: Trace, curve: Curve, diagnosis: Diagnosis, look: Look) -> Trace:
    """The same without its finding; of readings alone not even which of them do not vote."""
    style = side_style(curve.corner[-1], thin=trace.style.size < 5)
    trace = replace(trace, label=place_label(diagnosis, curve), style=style, strong=False)
    if look.tells("curve"):
        return trace
    empty = np.zeros(0)
    return replace(
        trace, left_out=("",) * trace.minutes.size, residual=np.full(trace.minutes.size, np.nan),
        grid_min=empty, mean=empty, low=empty, high=empty,
    )  # fmt: skip


def _trace(diagnosis: Diagnosis, curve: Curve, show: Show, *, thin: bool) -> Trace:
    verdict = told_verdict(diagnosis, curve.corner, curve.spot)
    strong = verdict in ("hot", "cold") or is_urgent(diagnosis, curve)
    return Trace(
        name=f"{curve.corner} {curve.spot}",
        label=line_label(diagnosis, curve),
        style=side_style(curve.corner[-1], thin=thin, strong=strong, colour=STATE_COLOURS.get(verdict, INK)),
        strong=strong,
        minutes=curve.elapsed_s / 60.0,
        level=on_scale(curve.indicated_degc, show),
        left_out=curve.left_out,
        residual=curve.residual_k * difference_from_k(1.0, show),
        grid_min=curve.grid_s / 60.0,
        mean=on_scale(curve.mean_degc, show),
        low=on_scale(curve.low_degc, show),
        high=on_scale(curve.high_degc, show),
        key=f"{curve.corner}-{curve.spot}",
    )


# --- limits -------------------------------------------------------------------------------------------------


def _set_limits(panel: Panel, traces: list[Trace], diagnosis: Diagnosis, look: Look) -> None:
    show, shared = look.show, look.limits
    panel.main.set_xlim((shared and shared.minutes) or _time_limits(traces, diagnosis))
    panel.main.set_ylim(shared.level if shared else _level_limits(traces, diagnosis, look))
    if panel.strip is not None:
        votes = [trace.residual[trace.votes] for trace in traces]
        size = np.abs(np.concatenate([*votes, np.zeros(1)]))
        half = max(1.25 * float(np.nanmax(size)), difference_from_k(3.0, show))
        panel.strip.set_ylim(-half, half)


def _window_min(traces: list[Trace]) -> tuple[float, float]:
    """First and last reading [min]."""
    times = np.concatenate([*(trace.minutes for trace in traces), np.zeros(0 if traces else 1)])
    return float(times.min()), float(times.max())


def _time_limits(traces: list[Trace], diagnosis: Diagnosis) -> tuple[float, float]:
    first, last = _window_min(traces)
    if diagnosis.common_time_s is not None:
        common = diagnosis.common_time_s / 60.0
        first, last = min(first, common), max(last, common)
    span = max(last - first, 0.5)
    start = min(0.0, first) if diagnosis.parked_known else first - 0.03 * span
    return start, last + 0.03 * span


def _level_limits(traces: list[Trace], diagnosis: Diagnosis, look: Look) -> tuple[float, float]:
    """Limits for what votes; a crossed-out reading far outside stands at the edge, a band runs out."""
    show = look.show
    bands = [curve.healthy for curve in diagnosis.curves if curve.healthy is not None and look.tells("band")]
    voting = [trace.level[~trace.crossed] for trace in traces]
    ambient = [] if diagnosis.ambient_degc is None else [from_degc(diagnosis.ambient_degc, show)]
    core = np.concatenate([*voting, *(trace.mean for trace in traces), np.array(ambient)])
    if not core.size:
        core = np.concatenate([*(trace.level for trace in traces), np.zeros(0)])
    low, high = nice_limits(core)
    loose = np.concatenate(
        [
            *(trace.level[trace.crossed] for trace in traces),
            *(np.concatenate([trace.low, trace.high]) for trace in traces),
            *(on_scale(np.concatenate([band.low_degc, band.high_degc]), show) for band in bands),
            np.zeros(0),
        ]
    )
    room = 0.35 * (high - low)
    near = loose[(loose > low - room) & (loose < high + room)]
    return nice_limits(np.concatenate([core, near]))


# --- one panel ----------------------------------------------------------------------------------------------


def _draw_background(sheet: ChartSheet, panel: Panel, diagnosis: Diagnosis, look: Look) -> None:
    """Ambient, and the moment of comparison once there are curves."""
    if diagnosis.ambient_degc is not None:
        level = from_degc(diagnosis.ambient_degc, look.show)
        panel.main.axhline(level, color=LINE, linewidth=1.4, linestyle=DOTS, label="ambient")
    if panel.strip is not None:
        panel.strip.axhline(0.0, color=LINE, linewidth=0.9)
    if diagnosis.common_time_s is not None and look.tells("curve"):
        words = f"compared at {clock(diagnosis.common_time_s)}"
        name_moment(sheet, panel, diagnosis.common_time_s / 60.0, words)


def _excuse_strip(strip: Axes, traces: list[Trace]) -> None:
    if not any(np.isfinite(trace.residual).any() for trace in traces):
        font = letters(FOOT_PT)
        strip.text(
            0.5,
            0.5,
            "no curve on this axle",
            transform=strip.transAxes,
            ha="center",
            va="center",
            fontproperties=font,
            color=SOFT_INK,
            backgroundcolor="white",
        )


def _draw_panel(sheet: ChartSheet, panel: Panel, traces: list[Trace], taken: list[Floats]) -> None:
    for trace in traces:
        draw_trace(panel.main, trace)
        if panel.strip is not None:
            votes = trace.votes & np.isfinite(trace.residual)
            draw_points(panel.strip, trace, votes, trace.residual, f"{trace.name} residuals")
            draw_crosses(panel.strip, trace, trace.residual)
    if panel.strip is not None:
        _excuse_strip(panel.strip, traces)
    write_reasons(sheet.figure, panel, traces, taken)


def _label_lines(
    sheet: ChartSheet, panel: Panel, traces: list[Trace], diagnosis: Diagnosis, show: Show
) -> None:
    labels = []
    for trace in traces:
        x, y = trace.end
        weight = "bold" if trace.strong else "normal"
        labels.append(EndLabel(x=x, y=y, text=trace.label, colour=trace.style.colour, weight=weight))
    if diagnosis.ambient_degc is not None:
        text = f"ambient {degrees_text(diagnosis.ambient_degc, show)}"
        level = from_degc(diagnosis.ambient_degc, show)
        labels.append(EndLabel(x=panel.main.get_xlim()[1], y=level, text=text, colour=SOFT_INK))
    write_end_labels(sheet.figure, panel, labels, sheet.plan.gutter)


def _name(sheet: ChartSheet, count: int, diagnosis: Diagnosis, look: Look) -> None:
    times = np.concatenate([*(curve.elapsed_s for curve in diagnosis.curves), np.zeros(0)]) / 60.0
    clock = "minutes since parked" if diagnosis.parked_known else "minutes on the log's clock"
    window = f", read from {times.min():.1f} to {times.max():.1f}" if times.size and not look.narrow else ""
    unit = degrees(look.show)
    for k, panel in enumerate(sheet.panels[:count]):
        leftmost = k % sheet.plan.columns == 0
        lowest = panel.strip or panel.main
        if sheet.plan.is_lowest(k):
            name_below(lowest, f"{clock}{window}")
        if leftmost:
            name_left(panel, panel.main, f"as shown by the gun [{unit}]")
            if panel.strip is not None:
                name_left(panel, panel.strip, f"off curve\n[{unit}]")
