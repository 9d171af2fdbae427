"""Two or more drives in one picture: one panel per axle, aligned at the parked moment."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from msgspec import Struct
from msgspec.structs import replace

from thermlog.charts.borders import Border
from thermlog.charts.drawing import (
    DOTS,
    STATE_COLOURS,
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
from thermlog.charts.lettering import INK, LINE, SOFT_INK
from thermlog.charts.look import Look
from thermlog.charts.normal import draw_gap_bar, draw_healthy
from thermlog.charts.panelwords import VERDICT_BORDERS
from thermlog.charts.saving import usual_settings
from thermlog.charts.sheet import (
    ChartSheet,
    Form,
    Panel,
    Words,
    bare,
    lay_out,
    name_below,
    name_left,
    name_moment,
)
from thermlog.followup.proof import ComparedAxle, Comparison
from thermlog.reports.chartwords import alt_of, curve_of, is_urgent, line_label, told_verdict, warning_of
from thermlog.reports.normalwords import banded, gap_ends
from thermlog.reports.proofwords import (
    axle_head,
    axle_lines,
    below_headline,
    comparison_footer,
    comparison_headline,
    drawn_line,
    key_line,
    log_names,
    outcome_state,
)
from thermlog.reports.summary import page_of
from thermlog.reports.wording import Show, clock, degrees
from thermlog.words.findings import STANDING_OUT, Diagnosis
from thermlog.words.fitted import Curve
from thermlog.words.sentences import on_page
from thermlog.words.tables import Floats
from thermlog.words.units import difference_from_k
from thermlog.words.vehicle import Spot, split_corner

_FORMS = {
    "wide": Form(widths=(6.4, 4.2, 3.2), height=3.4, strip=0.0, gutter=1.35),
    "narrow": Form(widths=(1.85, 1.85, 1.85), height=2.8, strip=0.0, gutter=1.0, left=0.6, columns=1),
}
_ONE_MOMENT_MIN = 0.25
_MOST_BANDS = 2  # logs; with more, bands hide the lines


@usual_settings()
def figure_of_overlay(comparison: Comparison, look: Look = Look()) -> Figure:  # noqa: B008 (frozen)
    """Chart of a comparison.

    Parameters
    ----------
    comparison : Comparison
        Of diagnoses with curves; only its corners are drawn.
    look : Look

    Returns
    -------
    matplotlib.figure.Figure
        One panel per axle on shared axes; time from the parked moment, or from the first reading where
        nobody stated it; temperature above the own ambient of each log, or as read where one has none.
        Side is told by marker and line as in every chart; the log by its number at the end of each line, the
        last one by dark and heavy lines. Hatched: where a healthy brake would lie in the last log.
    """
    comparison = on_page(comparison, page_of(comparison, look.show))
    names = log_names(comparison.diagnoses)
    axles = [axle.axle for axle in comparison.axles] or [1]
    logs = _logs(comparison, names, look.show)
    places = {(corner.corner, corner.spot) for corner in comparison.corners}
    repaired = _repaired(comparison)
    groups = [_axle_traces(logs, axle, places, repaired) for axle in axles]
    drawn = drawn_line(
        names,
        hatched=any(_banded_curve(logs[-1], axle, places) for axle in axles),
        grey=len(logs) <= _MOST_BANDS and any(trace.grid_min.size for group in groups for trace in group),
    )
    words = _words(comparison, names, look.show, drawn)
    sheet = lay_out(words if look.framed else bare(words), _FORMS[look.width])
    _set_limits(sheet.panels[0], [trace for group in groups for trace in group], logs)
    for panel, group, axle in zip(sheet.panels, groups, axles, strict=True):
        _draw_healthy(panel, logs[-1], axle, places)
        _draw_panel(sheet, panel, group, logs)
        for log in logs:
            _draw_gap(panel, log, axle, places)
    _name(sheet, logs, look)
    return sheet.figure


def _words(comparison: Comparison, names: tuple[str, ...], show: Show, drawn: str) -> Words:
    count = comparison.axle_count
    title, below = comparison_headline(comparison, names, show), below_headline(comparison, names)
    warning = warning_of(next((one for one in comparison.counting if one.urgent), comparison.last))
    heads = tuple(axle_head(axle, count) for axle in comparison.axles) or ("no corner in both",)
    reasons = tuple(axle_lines(axle, comparison, names, show) for axle in comparison.axles) or ((),)
    said = [f"{head}: {', '.join(lines)}" for head, lines in zip(heads, reasons, strict=True)]
    return Words(
        title=title,
        below=tuple(filter(None, (key_line(names), drawn, below))),
        foot=comparison_footer(comparison),
        alt=alt_of(title, filter(None, [warning, *said, below])),
        heads=heads,
        reasons=reasons,
        borders=tuple(_border(axle) for axle in comparison.axles) or ("dotted",),
        warning=warning,
    )


def _border(axle: ComparedAxle) -> Border:
    """By what became of it; where no repair is asked about, by the last log's verdict."""
    if axle.asked:
        return VERDICT_BORDERS[outcome_state(axle)]
    verdict = axle.verdicts[-1]
    return VERDICT_BORDERS["cannot_tell" if verdict is None else verdict]


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
    """One log of the comparison and how it is drawn."""

    diagnosis: Diagnosis
    name: str
    number: int
    last: bool
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
    rises = above_ambient(comparison)
    return [
        _Log(diagnosis=one, name=name, number=number, last=number == len(names), rises=rises, show=show)
        for number, (one, name) in enumerate(zip(comparison.diagnoses, names, strict=True), start=1)
    ]


def _repaired(comparison: Comparison) -> set[str]:
    """Corners that were called in the first log, of axles that are even again."""
    even = {axle.axle for axle in comparison.axles if axle.outcome == "repaired"}
    first = comparison.diagnoses[0].corners
    return {one.corner for one in first if one.axle in even and one.verdict in STANDING_OUT}


def _axle_traces(
    logs: list[_Log], axle: int, places: set[tuple[str, Spot]], repaired: set[str]
) -> list[Trace]:
    return [
        _trace(
            log, curve, again=log.last and curve.corner in repaired and not is_urgent(log.diagnosis, curve)
        )
        for log in logs
        for curve in log.diagnosis.curves
        if split_corner(curve.corner)[0] == axle and (curve.corner, curve.spot) in places
    ]


def _trace(log: _Log, curve: Curve, *, again: bool) -> Trace:
    spots = [other.spot for other in log.diagnosis.curves if other.corner == curve.corner]
    verdict = told_verdict(log.diagnosis, curve.corner, curve.spot)
    odd = verdict in ("hot", "cold") or is_urgent(log.diagnosis, curve)
    usual = INK if log.last else LINE
    style = side_style(
        curve.corner[-1],
        thin=curve.spot != main_spot(spots),
        strong=odd,
        colour=STATE_COLOURS.get(verdict, usual),
    )
    if not log.last:
        style = replace(style, width=0.6 * style.width, size=style.size - 1.5)
    return Trace(
        name=f"{log.name} {curve.corner} {curve.spot}",
        label=f"{log.number} {line_label(log.diagnosis, curve)}{': even again' if again else ''}",
        style=style,
        strong=odd or again,
        minutes=log.minutes(curve.elapsed_s),
        level=log.level(curve.indicated_degc),
        left_out=curve.left_out,
        residual=curve.residual_k,
        grid_min=log.minutes(curve.grid_s),
        mean=log.level(curve.mean_degc),
        low=log.level(curve.low_degc),
        high=log.level(curve.high_degc),
        drive=f"drive {log.number}",
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
        draw_trace(panel.main, trace, band=len(logs) <= _MOST_BANDS)
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


def _banded_curve(log: _Log, axle: int, places: set[tuple[str, Spot]]) -> Curve | None:
    """The curve of the corner in place of which the band of an axle is drawn; None without a band."""
    one = banded(log.diagnosis, axle)
    curve = None if one is None or (one.corner, one.spot) not in places else curve_of(log.diagnosis, one)
    return curve if curve is not None and curve.healthy is not None else None


def _draw_healthy(panel: Panel, log: _Log, axle: int, places: set[tuple[str, Spot]]) -> None:
    """Where a healthy brake would lie in the last log."""
    curve = _banded_curve(log, axle, places)
    band = None if curve is None else curve.healthy
    if curve is not None and band is not None:
        ends = log.level(band.low_degc), log.level(band.high_degc)
        draw_healthy(panel.main, curve.corner, log.minutes(band.grid_s), ends, beside_dashes=True)


def _draw_gap(panel: Panel, log: _Log, axle: int, places: set[tuple[str, Spot]]) -> None:
    """Bar between the sides of an axle that a log calls or watches, at its own moment, as in a check."""
    ends = gap_ends(log.diagnosis, axle)
    shown = {corner for corner, _ in places}
    if ends is not None and {f"{axle}L", f"{axle}R"} <= shown and log.diagnosis.common_time_s is not None:
        minute = float(log.minutes(np.array(log.diagnosis.common_time_s)))
        draw_gap_bar(panel.main, minute, log.level(np.array(ends)), light=not log.last)


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
        name_moment(sheet, panel, minutes, words if k == len(moments) else "")


def _name(sheet: ChartSheet, logs: list[_Log], look: Look) -> None:
    known = all(log.diagnosis.parked_known for log in logs)
    unit = degrees(look.show)
    height = f"above own ambient [{unit}]" if logs[0].rises else f"as shown by the gun [{unit}]"
    for k, panel in enumerate(sheet.panels):
        if sheet.plan.is_lowest(k):
            name_below(
                panel.main, "minutes since parked" if known else "minutes since parked or first reading"
            )
        if k % sheet.plan.columns == 0:
            name_left(panel, panel.main, height)
