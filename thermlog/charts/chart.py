"""The picture of a diagnosis: one panel per axle, readings, curves, bands and the finding in words."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from msgspec.structs import replace

from thermlog.charts.drawing import (
    DOTS,
    GREY,
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
from thermlog.charts.lettering import FOOT_PT, INK, SOFT_INK, letters
from thermlog.charts.look import Look
from thermlog.charts.sheet import ChartSheet, Form, Panel, Words, bare, lay_out, name_below, name_left, stamp
from thermlog.reports.chartwords import (
    alt_of,
    alt_text,
    axles_shown,
    degrees_text,
    footer,
    is_urgent,
    line_label,
    lines_below,
    neutral_below,
    neutral_title,
    panel_head,
    panel_reasons,
    place_label,
    readings_in_words,
    title_of,
    told_verdict,
    urgent_at,
    warning_of,
)
from thermlog.reports.wording import Show, clock, degrees
from thermlog.words.findings import Diagnosis
from thermlog.words.fitted import Curve
from thermlog.words.sentences import Page, capital, on_page
from thermlog.words.units import difference_from_k, from_degc
from thermlog.words.vehicle import HUB_SPOT, SIDES, axle_words, split_corner

_FORMS = {
    "wide": Form(widths=(6.4, 4.1, 3.1), height=2.9, strip=0.62, gutter=1.35),
    "narrow": Form(widths=(1.9, 1.9, 1.9), height=2.4, strip=0.0, gutter=0.95, left=0.6, columns=1),
}


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
    show = look.show
    diagnosis = on_page(diagnosis, Page(unit=show, axle_count=diagnosis.axle_count))
    axles = [axle for axle in axles_shown(diagnosis) if not look.axles or axle in look.axles]
    words = _words(diagnosis, axles, show) if look.tells("verdict") else _untold_words(diagnosis, axles, show)
    sheet = lay_out(words if look.framed else bare(words), _FORMS[look.width])
    traces = [_axle_traces(diagnosis, axle, look) for axle in axles]
    _set_limits(sheet.panels[0], [trace for group in traces for trace in group], diagnosis, show)
    for axle, panel, group in zip(axles, sheet.panels, traces, strict=True):
        _draw_background(sheet, panel, diagnosis, look)
        _draw_panel(sheet, panel, group)
        if look.tells("verdict"):
            _draw_gap(panel.main, diagnosis, axle, show)
        _label_lines(sheet, panel, group, diagnosis, show)
    _name(sheet, diagnosis, show)
    return sheet.figure


def _words(diagnosis: Diagnosis, axles: list[int], show: Show) -> Words:
    return Words(
        title=title_of(diagnosis, show),
        warning=warning_of(diagnosis),
        below=lines_below(diagnosis, show),
        foot=footer(diagnosis),
        alt=alt_text(diagnosis, show),
        heads=tuple(panel_head(diagnosis, axle, show) for axle in axles),
        reasons=tuple(panel_reasons(diagnosis, axle, show) for axle in axles),
        strong=tuple(_stands_out(diagnosis, axle) for axle in axles),
    )


def _untold_words(diagnosis: Diagnosis, axles: list[int], show: Show) -> Words:
    """Words that tell nothing of the finding, and name no file: its name may give the answer away."""
    title, below = neutral_title(diagnosis), neutral_below(diagnosis, show)
    heads = tuple(capital(axle_words(axle, diagnosis.axle_count)) for axle in axles)
    return Words(
        title=title,
        below=(below,),
        foot="",
        alt=alt_of(title, [below, *readings_in_words(diagnosis, axles, show)]),
        heads=heads,
        reasons=((),) * len(axles),
        strong=(False,) * len(axles),
    )


def _stands_out(diagnosis: Diagnosis, number: int) -> bool:
    axle = diagnosis.axle(number)
    hubs = any(c.axle == number and c.spot == HUB_SPOT and c.verdict == "hot" for c in diagnosis.corners)
    called = axle is not None and axle.verdict in ("hot", "cold")
    return called or hubs or bool(urgent_at(diagnosis, number))


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
    called = told_verdict(diagnosis, curve.corner, curve.spot) in ("hot", "cold")
    strong = called or is_urgent(diagnosis, curve)
    return Trace(
        name=f"{curve.corner} {curve.spot}",
        label=line_label(diagnosis, curve),
        style=side_style(curve.corner[-1], thin=thin, strong=strong),
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


def _set_limits(panel: Panel, traces: list[Trace], diagnosis: Diagnosis, show: Show) -> None:
    panel.main.set_xlim(_time_limits(traces, diagnosis))
    panel.main.set_ylim(_level_limits(traces, diagnosis, show))
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


def _level_limits(traces: list[Trace], diagnosis: Diagnosis, show: Show) -> tuple[float, float]:
    """Limits for what votes; a crossed-out reading far outside stands at the edge, a band runs out."""
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
        panel.main.axhline(level, color=GREY, linewidth=1.4, linestyle=DOTS, label="ambient")
    if panel.strip is not None:
        panel.strip.axhline(0.0, color=GREY, linewidth=0.9)
    if diagnosis.common_time_s is not None and look.tells("curve"):
        words = f"compared at {clock(diagnosis.common_time_s)}"
        stamp(sheet, panel, diagnosis.common_time_s / 60.0, words)


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


def _draw_panel(sheet: ChartSheet, panel: Panel, traces: list[Trace]) -> None:
    for trace in traces:
        draw_trace(panel.main, trace)
        if panel.strip is not None:
            votes = trace.votes & np.isfinite(trace.residual)
            draw_points(panel.strip, trace, votes, trace.residual, f"{trace.name} residuals")
            draw_crosses(panel.strip, trace, trace.residual)
    if panel.strip is not None:
        _excuse_strip(panel.strip, traces)
    write_reasons(sheet.figure, panel, traces)


def _draw_gap(axes: Axes, diagnosis: Diagnosis, number: int, show: Show) -> None:
    """Bar between left and right at the moment of comparison, where one of them stands out."""
    axle = diagnosis.axle(number)
    pair = [found for side in SIDES if (found := diagnosis.corner(f"{number}{side}")) is not None]
    if axle is None or axle.verdict in ("even", "cannot_tell") or diagnosis.common_time_s is None:
        return
    if len({finding.verdict for finding in pair}) < 2:
        return
    levels = [finding.at_common_degc for finding in pair]
    known = [from_degc(level.value, show) for level in levels if level is not None]
    if len(known) == 2:
        minutes = [diagnosis.common_time_s / 60.0] * 2
        axes.plot(minutes, known, color=INK, linewidth=2.4, marker="_", markersize=11, label="gap", zorder=5)


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


def _name(sheet: ChartSheet, diagnosis: Diagnosis, show: Show) -> None:
    times = np.concatenate([*(curve.elapsed_s for curve in diagnosis.curves), np.zeros(0)]) / 60.0
    clock = "minutes since parked" if diagnosis.parked_known else "minutes on the log's clock"
    window = f", read from {times.min():.1f} to {times.max():.1f}" if times.size else ""
    for k, panel in enumerate(sheet.panels):
        leftmost = k % sheet.plan.columns == 0
        lowest = panel.strip or panel.main
        if sheet.plan.is_lowest(k):
            name_below(lowest, f"{clock}{window}")
        if leftmost:
            name_left(panel, panel.main, f"temperature shown by the gun [{degrees(show)}]")
            name_left(panel, lowest, f"off curve\n[{degrees(show)}]")
