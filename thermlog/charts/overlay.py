"""Two or more drives in one picture: one panel per axle, aligned at the parked moment."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from msgspec import Struct
from msgspec.structs import replace

from thermlog.charts.drawing import (
    DOTS,
    Dash,
    EndLabel,
    Trace,
    draw_trace,
    main_spot,
    nice_limits,
    on_scale,
    side_style,
    write_end_labels,
    write_reasons,
)
from thermlog.charts.lettering import LINE, SOFT_INK
from thermlog.charts.sheet import ChartSheet, Form, Panel, Words, lay_out, name_below, name_left, stamp
from thermlog.followup.proof import Comparison
from thermlog.reports.chartwords import alt_of, line_label, warning_of
from thermlog.reports.proofwords import (
    axle_head,
    axle_lines,
    below_headline,
    comparison_footer,
    comparison_headline,
    log_names,
)
from thermlog.reports.wording import Show, clock, degrees
from thermlog.words.findings import Diagnosis
from thermlog.words.fitted import Curve
from thermlog.words.sentences import Page, on_page
from thermlog.words.tables import Floats
from thermlog.words.units import difference_from_k
from thermlog.words.vehicle import Spot, split_corner

_FORM = Form(widths=(6.4, 4.2, 3.2), height=3.4, strip=0.0, gutter=1.85)
# From the last log backwards; the last one is solid and heaviest, dots are kept for the ambient.
_DASHES: tuple[Dash, ...] = (
    "-",
    (0.0, (5.0, 2.0)),
    (0.0, (7.0, 1.5, 1.5, 1.5)),
    (0.0, (2.0, 1.2)),
    (0.0, (9.0, 1.5, 1.5, 1.5, 1.5, 1.5)),
)
_ONE_MOMENT_MIN = 0.25
_MOST_BANDS = 2  # logs; with more, bands hide the lines


def figure_of_overlay(comparison: Comparison, *, show: Show = "C") -> Figure:
    """Chart of a comparison.

    Parameters
    ----------
    comparison : Comparison
        Of diagnoses with curves; only its corners are drawn.
    show : {"C", "F"}
        Unit shown.

    Returns
    -------
    matplotlib.figure.Figure
        One panel per axle on shared axes; time from the parked moment, or from the first reading where
        nobody stated it; temperature above the own ambient of each log, or as read where one has none.
        Side is told by colour and marker, the log by dash, width and label.
    """
    comparison = on_page(comparison, Page(unit=show, axle_count=comparison.axle_count))
    names = log_names(comparison.diagnoses)
    axles = [axle.axle for axle in comparison.axles] or [1]
    sheet = lay_out(_words(comparison, names, show), _FORM)
    logs = _logs(comparison, names, show)
    places = {(corner.corner, corner.spot) for corner in comparison.corners}
    groups = [_axle_traces(logs, axle, places) for axle in axles]
    _set_limits(sheet.panels[0], [trace for group in groups for trace in group], logs)
    for panel, group in zip(sheet.panels, groups, strict=True):
        _draw_panel(sheet, panel, group, logs)
    _name(sheet, logs)
    return sheet.figure


def _words(comparison: Comparison, names: tuple[str, ...], show: Show) -> Words:
    count = comparison.axle_count
    title, below = comparison_headline(comparison, names, show), below_headline(comparison, names)
    warning = warning_of(comparison.diagnoses[-1])
    heads = tuple(axle_head(axle, count) for axle in comparison.axles) or ("no corner in both",)
    reasons = tuple(axle_lines(axle, names, show) for axle in comparison.axles) or ((),)
    said = [f"{head}: {', '.join(lines)}" for head, lines in zip(heads, reasons, strict=True)]
    return Words(
        title=title,
        below=(below,),
        foot=comparison_footer(comparison),
        alt=alt_of(title, filter(None, [warning, *said, below])),
        heads=heads,
        reasons=reasons,
        borders=tuple(
            "thin" if axle.outcome in ("repaired", "not_asked") else "thick" for axle in comparison.axles
        )
        or ("thin",),
        warning=warning,
    )


def above_ambient(comparison: Comparison) -> bool:
    """True if every log states its ambient, so that rises can be drawn."""
    return all(one.ambient_degc is not None for one in comparison.diagnoses)


def start_s(diagnosis: Diagnosis) -> float:
    """Moment the picture counts from, on the log's own clock [s]."""
    if diagnosis.parked_known:
        return 0.0
    return min(
        (float(curve.elapsed_s.min()) for curve in diagnosis.curves if curve.elapsed_s.size), default=0.0
    )


class _Log(Struct, frozen=True, kw_only=True, eq=False):
    """One log of the comparison and how it is drawn; age 0 is the last one."""

    diagnosis: Diagnosis
    name: str
    age: int
    rises: bool
    show: Show

    def level(self, values_degc: Floats) -> Floats:
        """Temperatures as drawn: above the log's own ambient, or as read."""
        if self.rises and self.diagnosis.ambient_degc is not None:
            return (values_degc - self.diagnosis.ambient_degc) * difference_from_k(1.0, self.show)
        return on_scale(values_degc, self.show)

    def minutes(self, elapsed_s: Floats) -> Floats:
        """Time since parked, or since the first reading."""
        return (elapsed_s - start_s(self.diagnosis)) / 60.0


def _logs(comparison: Comparison, names: tuple[str, ...], show: Show) -> list[_Log]:
    rises, last = above_ambient(comparison), len(names) - 1
    return [
        _Log(diagnosis=one, name=name, age=last - k, rises=rises, show=show)
        for k, (one, name) in enumerate(zip(comparison.diagnoses, names, strict=True))
    ]


def _axle_traces(logs: list[_Log], axle: int, places: set[tuple[str, Spot]]) -> list[Trace]:
    return [
        _trace(log, curve)
        for log in logs
        for curve in log.diagnosis.curves
        if split_corner(curve.corner)[0] == axle and (curve.corner, curve.spot) in places
    ]


def _trace(log: _Log, curve: Curve) -> Trace:
    spots = [other.spot for other in log.diagnosis.curves if other.corner == curve.corner]
    style = side_style(curve.corner[-1], thin=curve.spot != main_spot(spots))
    width, size = (style.width + 0.9, style.size) if log.age == 0 else (style.width, style.size - 1.5)
    return Trace(
        name=f"{log.name} {curve.corner} {curve.spot}",
        label=f"{line_label(log.diagnosis, curve)}, {log.name}",
        style=replace(style, dash=_DASHES[log.age % len(_DASHES)], width=width, size=size),
        strong=log.age == 0,
        minutes=log.minutes(curve.elapsed_s),
        level=log.level(curve.indicated_degc),
        left_out=curve.left_out,
        residual=curve.residual_k,
        grid_min=log.minutes(curve.grid_s),
        mean=log.level(curve.mean_degc),
        low=log.level(curve.low_degc),
        high=log.level(curve.high_degc),
    )


# --- drawing ------------------------------------------------------------------------------------------------


def _set_limits(panel: Panel, traces: list[Trace], logs: list[_Log]) -> None:
    times = np.concatenate([*(trace.minutes for trace in traces), np.zeros(1)])
    span = max(float(times.max() - times.min()), 0.5)
    panel.main.set_xlim(float(times.min()), float(times.max()) + 0.03 * span)
    levels = [trace.level[~trace.crossed] for trace in traces] + [trace.mean for trace in traces]
    floor = np.zeros(1 if logs[0].rises else 0)
    panel.main.set_ylim(nice_limits(np.concatenate([*levels, floor])))


def _draw_panel(sheet: ChartSheet, panel: Panel, traces: list[Trace], logs: list[_Log]) -> None:
    if logs[0].rises:
        panel.main.axhline(0.0, color=LINE, linewidth=1.4, linestyle=DOTS, label="ambient")
    _stamp_moments(sheet, panel, logs)
    for trace in traces:
        draw_trace(panel.main, trace, band=len(logs) <= _MOST_BANDS, lifted=not trace.strong)
    write_reasons(sheet.figure, panel, traces)
    labels = [
        EndLabel(
            x=trace.end[0],
            y=trace.end[1],
            text=trace.label,
            colour=trace.style.colour,
            weight="bold" if trace.strong else "normal",
        )
        for trace in traces
    ]
    if logs[0].rises:
        labels.append(EndLabel(x=panel.main.get_xlim()[1], y=0.0, text="ambient", colour=SOFT_INK))
    write_end_labels(sheet.figure, panel, labels, sheet.plan.gutter)


def _stamp_moments(sheet: ChartSheet, panel: Panel, logs: list[_Log]) -> None:
    """Moments of comparison; close ones are one line, several are all named beside the last log's."""
    moments = [
        (log.diagnosis.common_time_s - start_s(log.diagnosis)) / 60.0
        for log in logs
        if log.diagnosis.common_time_s is not None
    ]
    if moments and max(moments) - min(moments) < _ONE_MOMENT_MIN:
        moments = moments[-1:]
    words = "compared at " + " and ".join(clock(60.0 * minutes) for minutes in moments)
    for k, minutes in enumerate(moments, start=1):
        stamp(sheet, panel, minutes, words if k == len(moments) else "")


def _name(sheet: ChartSheet, logs: list[_Log]) -> None:
    known = all(log.diagnosis.parked_known for log in logs)
    unit = degrees(logs[0].show)
    height = f"above own ambient [{unit}]" if logs[0].rises else f"temperature shown by the gun [{unit}]"
    for k, panel in enumerate(sheet.panels):
        if sheet.plan.is_lowest(k):
            name_below(
                panel.main, "minutes since parked" if known else "minutes since parked or first reading"
            )
        if k % sheet.plan.columns == 0:
            name_left(panel, panel.main, height)
