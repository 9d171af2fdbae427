"""One vehicle over its visits: left against right of every axle, its moving average and its limits."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from thermlog.charts.lettering import INK, LABEL_PT, LINE, SOFT_INK, letters
from thermlog.charts.sheet import Form, Panel, Words, lay_out, name_below, name_left
from thermlog.words.vehicle import axle_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import Figure

    from thermlog.history.units import AxleTrend, UnitStory
    from thermlog.words.tables import Floats

_FORM = Form(widths=(7.0, 4.8, 3.6), height=3.0, strip=0.0, gutter=1.6)
_LEAST_REACH, _MOST_REACH = 1.2, 12.0  # ratios: panels show at least from 1 / 1.2 to 1.2
_TICKS = (0.1, 0.2, 0.33, 0.5, 0.67, 0.8, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0, 3.0, 5.0, 10.0)
_FOOT = (
    "Left rise over right rise at the common time of each walk; bars: 95 % from the fit alone. "
    "A trend is no inspection."
)


def figure_of_story(story: UnitStory) -> Figure:
    """Chart of one unit.

    Parameters
    ----------
    story : UnitStory

    Returns
    -------
    matplotlib.figure.Figure
        One panel an axle: the ratio of the sides at every visit with its interval, flagged visits ringed, the
        moving average as a line, its limits dashed.
    """
    trends = [trend for trend in story.trends if trend.ln_ratio] or list(story.trends)
    count = max((trend.axle for trend in story.trends), default=1)
    row = story.row
    title = f"{row.unit}: {row.visits} visits, flagged {row.times_flagged} times"
    heads = tuple(axle_words(trend.axle, count) for trend in trends) or ("nothing to compare",)
    reasons = tuple(_said(trend) for trend in trends) or (("",),)
    sheet = lay_out(
        Words(
            title=title,
            below=("left over right, visit by visit",),
            foot=_FOOT,
            alt=f"{title}. "
            + " ".join(f"{head}: {' '.join(said)}" for head, said in zip(heads, reasons, strict=True)),
            heads=heads,
            reasons=reasons,
            borders=tuple("thick" if _outside(trend) else "thin" for trend in trends) or ("thin",),
        ),
        _FORM,
    )
    reach = _reach(trends)
    for k, (panel, trend) in enumerate(zip(sheet.panels, trends, strict=False)):
        _draw(panel, trend, _flagged_days(story), reach)
        if sheet.plan.is_lowest(k):
            name_below(panel.main, "days since the first visit")
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


def _flagged_days(story: UnitStory) -> set[float]:
    start = story.visits[0].when[0]
    return {(visit.when[0] - start) / 86400.0 for visit in story.visits if visit.flagged}


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


def _draw(panel: Panel, trend: AxleTrend, flagged: set[float], reach: float) -> None:
    axes = panel.main
    days, (ratio, low, high) = np.array(trend.days), _interval(trend)
    axes.set_yscale("log")
    axes.axhline(1.0, color=LINE, linewidth=0.8)
    if trend.chart is not None:
        axes.plot(days, np.exp(trend.chart.points), color=LINE, linewidth=2.0, label="moving average")
        for limit in (trend.chart.low, trend.chart.high):
            axes.axhline(math.exp(limit), color=LINE, linewidth=1.2, linestyle=(0.0, (5.0, 3.0)))
    ends = np.stack([ratio - low, high - ratio])
    axes.errorbar(days, ratio, yerr=ends, fmt="o", color=INK, markersize=5.5, linewidth=1.2, label="visits")
    rung = np.array([day in flagged for day in trend.days], dtype=bool)
    axes.plot(
        days[rung], ratio[rung], color=INK, linestyle="none", marker="s", markersize=12,
        markerfacecolor="none", label="flagged",
    )  # fmt: skip
    axes.set_ylim(1.0 / reach, reach)
    ticks = [value for value in _TICKS if 1.0 / reach <= value <= reach]
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
