"""One vehicle over its visits: left against right of every axle, its moving average and its limits."""

from __future__ import annotations

import math
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from thermlog.charts.lettering import INK, LABEL_PT, LINE, SOFT_INK, letters, line_height_in, text_width_in
from thermlog.charts.sheet import Form, Panel, Words, lay_out, name_below, name_left
from thermlog.reports.report_history import undated_line
from thermlog.words.moments import DAY_S
from thermlog.words.sentences import counted
from thermlog.words.vehicle import axle_words, split_corner

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import Figure

    from thermlog.charts.look import Width
    from thermlog.history.rows import KeptVisit
    from thermlog.history.unitstories import AxleTrend, UnitStory
    from thermlog.words.tables import Floats

_FORMS: dict[Width, Form] = {
    "wide": Form(widths=(7.0, 4.8, 3.6), height=3.0, strip=0.0, gutter=1.6),
    "narrow": Form(widths=(2.3, 2.3, 2.3), height=2.2, strip=0.0, gutter=1.45, left=0.6, columns=1),
}
_LEAST_REACH, _MOST_REACH = 1.2, 12.0  # ratios: panels show at least from 1 / 1.2 to 1.2
# the first ones first
_TICKS = (1.0, 0.5, 2.0, 0.2, 5.0, 0.1, 10.0, 0.33, 3.0, 0.67, 1.5, 0.8, 1.25, 0.9, 1.1)
_EVERY_DAYS, _EVERY_MONTHS = (1, 2, 7, 14), (1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 12000, 60000)
_A_MONDAY = 4  # 5 January 1970, in days since 1970
_DAY_ZERO = date(1970, 1, 1).toordinal()
_FIRST_DAY, _LAST_DAY = 1 - _DAY_ZERO, date.max.toordinal() - _DAY_ZERO
_LEAST_SPAN_DAYS = 2.0  # drives of one day stand between the days beside it
_BETWEEN_IN = 0.2  # from one date to the next
_FOOT = (
    "Left rise over right rise at the common time of each walk; bars: 95 % from the fit alone. "
    "A trend is no inspection."
)


def figure_of_story(story: UnitStory, *, width: Width = "wide") -> Figure:
    """Chart of one unit.

    Parameters
    ----------
    story : UnitStory
    width : {"wide", "narrow"}
        For a screen or a sheet, or for a phone: one panel below the other.

    Returns
    -------
    matplotlib.figure.Figure
        One panel an axle: the ratio of the sides at every visit with its interval, ringed where flagged, the
        moving average as a line, its limits dashed.
    """
    trends = [trend for trend in story.trends if trend.ln_ratio] or list(story.trends)
    count = max((trend.axle for trend in story.trends), default=1)
    row = story.row
    title = f"{row.unit}: {counted(row.visits, 'visit')}, flagged {counted(row.times_flagged, 'time')}"
    heads = tuple(axle_words(trend.axle, count) for trend in trends) or ("nothing to compare",)
    reasons = tuple(_said(trend) for trend in trends) or (("",),)
    sheet = lay_out(
        Words(
            title=title,
            below=tuple(filter(None, ("left over right, visit by visit", undated_line(story)))),
            foot=_FOOT,
            alt=f"{title}. "
            + " ".join(f"{head}: {' '.join(said)}" for head, said in zip(heads, reasons, strict=True)),
            heads=heads,
            reasons=reasons,
            borders=tuple("thick" if _outside(trend) else "thin" for trend in trends) or ("thin",),
        ),
        _FORMS[width],
    )
    reach = _reach(trends)
    _set_dates(sheet.panels[0], story)
    for k, (panel, trend) in enumerate(zip(sheet.panels, trends, strict=False)):
        _draw(panel, trend, story, reach)
        if sheet.plan.is_lowest(k):
            name_below(panel.main, "date of the visit")
        if k % sheet.plan.columns == 0:
            name_left(panel, panel.main, "left rise / right rise")
    return sheet.figure


def _outside(trend: AxleTrend) -> bool:
    return trend.chart is not None and trend.chart.first_outside is not None


def _said(trend: AxleTrend) -> tuple[str, ...]:
    if trend.per_week is None:
        return ("too few dated visits for a trend",)
    slope, ends = 100.0 * math.expm1(trend.per_week.value), trend.per_week.interval
    within = (
        "" if ends is None else f" ({100.0 * math.expm1(ends[0]):+.1f} to {100.0 * math.expm1(ends[1]):+.1f})"
    )
    outside = "; moving average left its limits" if _outside(trend) else ""
    return (f"{slope:+.1f} % a week{within}{outside}",)


def _day(visit: KeptVisit) -> float:
    """When it was read, else when it was stored, in days since 1970."""
    return visit.when[0] / DAY_S


def _set_dates(panel: Panel, story: UnitStory) -> None:
    """Dates below the panels, which share the axis: those of the visits where there is room."""
    first, last = _day(story.visits[0]), _day(story.visits[-1])
    room = max(0.05 * (last - first), 0.5 * (_LEAST_SPAN_DAYS - (last - first)))
    low, high = max(first - room, _FIRST_DAY), min(last + room, _LAST_DAY)
    panel.main.set_xlim(low, high)
    each_in = text_width_in("2000-00-00", LABEL_PT) + _BETWEEN_IN
    days: Sequence[float] = list({math.floor(_day(visit)): _day(visit) for visit in story.visits}.values())
    if any((later - day) / (high - low) * panel.width < each_in for day, later in pairwise(days)):
        days = dates_between(low, high, int(panel.width / each_in))
    panel.main.set_xticks(days, [date.fromordinal(_DAY_ZERO + math.floor(day)).isoformat() for day in days])


def dates_between(low_day: float, high_day: float, most: int) -> list[int]:
    """Days for the ticks of an axis of dates: every day, every Monday, the first of months or of years.

    matplotlib's `AutoDateLocator` gives more than its most, and one alone to an axis of five days.

    Parameters
    ----------
    low_day, high_day : float
        Ends of the axis, in days since 1970.
    most : int
        Ticks that have room, at least one.

    Returns
    -------
    list of int
        Days since 1970.
    """
    days: list[int] = []
    for step in _EVERY_DAYS:
        start = _A_MONDAY + step * math.ceil((low_day - _A_MONDAY) / step)
        days = [*range(start, math.floor(high_day) + 1, step)]
        if len(days) <= most:
            return days
    first, last = (date.fromordinal(_DAY_ZERO + math.floor(day)) for day in (low_day, high_day))
    for step in _EVERY_MONTHS:
        ends = (12 * one.year + one.month - 1 for one in (first, last))
        months = range(step * math.ceil(next(ends) / step), next(ends) + 1, step)
        firsts = [date(month // 12, month % 12 + 1, 1).toordinal() - _DAY_ZERO for month in months]
        days = [day for day in firsts if day >= low_day]
        if len(days) <= most:
            break
    return days


def ratio_ticks(reach: float, height_in: float) -> list[float]:
    """Ratios beside the axis from 1 / `reach` to `reach` that stand clear of each other, even first."""
    kept: list[float] = []
    each_in = height_in / (2.0 * math.log(reach))
    for value in _TICKS:
        inside = 1.0 / reach <= value <= reach
        if inside and all(
            abs(math.log(value / other)) * each_in >= line_height_in(LABEL_PT) for other in kept
        ):
            kept.append(value)
    return sorted(kept)


def _interval(trend: AxleTrend) -> tuple[Floats, Floats, Floats]:
    """Ratios with their ends."""
    middle, half = np.array(trend.ln_ratio), 1.96 * np.array(trend.sigma)
    return np.exp(middle), np.exp(middle - half), np.exp(middle + half)


def _reach(trends: Sequence[AxleTrend]) -> float:
    """Ratio up to which all panels show, and down to its reciprocal."""
    reach = [_LEAST_REACH]
    for trend in trends:
        _, low, high = _interval(trend)
        reach += [*high.tolist(), *(1.0 / low).tolist()]
        if trend.chart is not None:
            reach += [math.exp(trend.chart.high), math.exp(-trend.chart.low)]
    return min(1.05 * max(reach), _MOST_REACH)


def _is_flagged(visit: KeptVisit, axle: int) -> bool:
    """True where what was flagged is of this axle, or of no single one."""
    corners = [one for answer in (visit.drag, visit.idle) if answer.answer != "no" for one in answer.corners]
    corners += [part.corner for part in visit.parts_above]
    axles = {split_corner(one)[0] for one in corners}
    return visit.flagged and (axle in axles or not axles or bool(visit.urgent))


def _draw(panel: Panel, trend: AxleTrend, story: UnitStory, reach: float) -> None:
    axes = panel.main
    days, (ratio, low, high) = np.array(trend.days) + _day(story.visits[0]), _interval(trend)
    flagged = {_day(visit) for visit in story.visits if _is_flagged(visit, trend.axle)}
    axes.set_yscale("log")
    axes.axhline(1.0, color=LINE, linewidth=0.8)
    if trend.chart is not None:
        axes.plot(days, np.exp(trend.chart.points), color=LINE, linewidth=2.0, label="moving average")
        for limit in (trend.chart.low, trend.chart.high):
            axes.axhline(math.exp(limit), color=LINE, linewidth=1.2, linestyle=(0.0, (5.0, 3.0)))
    ends = np.stack([ratio - low, high - ratio])
    axes.errorbar(days, ratio, yerr=ends, fmt="o", color=INK, markersize=5.5, linewidth=1.2, label="visits")
    rung = np.array([np.isclose(day, [*flagged], rtol=0.0, atol=1e-6).any() for day in days], dtype=bool)
    axes.plot(
        days[rung], ratio[rung], color=INK, linestyle="none", marker="s", markersize=12,
        markerfacecolor="none", label="flagged",
    )  # fmt: skip
    axes.set_ylim(1.0 / reach, reach)
    ticks = ratio_ticks(reach, panel.height)
    axes.set_yticks(ticks, [f"{value:g}" for value in ticks])
    axes.minorticks_off()
    _name_lines(panel, trend, rings=bool(rung.any()))


def _name_lines(panel: Panel, trend: AxleTrend, *, rings: bool) -> None:
    """What each line is, beside the panel: no box that hides a point."""
    names = [("\u25cf  a visit", INK)]
    if rings:
        names.append(("\u25a1  flagged", INK))
    if trend.chart is not None:
        names += [("\u2014  moving average", SOFT_INK), ("- -  its limits", SOFT_INK)]
    for row, (text, colour) in enumerate(names):
        panel.main.annotate(
            text, (1.02, 0.95 - 0.11 * row), xycoords="axes fraction", va="top", ha="left", color=colour,
            fontproperties=letters(LABEL_PT), annotation_clip=False, parse_math=False,
        )  # fmt: skip
