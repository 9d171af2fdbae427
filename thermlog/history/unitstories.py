"""What the visits of each vehicle tell together: one line a unit, and the story of one."""

from __future__ import annotations

import math
from itertools import groupby
from statistics import median
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.history.trend import WEEK_S, ControlChart, control_chart, slope_of
from thermlog.words.estimates import Estimate
from thermlog.words.moments import DAY_S, day_of
from thermlog.words.policy import BUNDLED, load_policy
from thermlog.words.visits import LEAST_RATIO_RISE_K

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.history.jobs import KeptJob
    from thermlog.history.rows import KeptVisit
    from thermlog.words.visits import AxleVisit

_OFFENDS_FROM = 3  # visits at which one corner was called or watched; engineering judgement
_FIRST_VISITS = 4  # tell what is usual of a vehicle


class UnitRow(Struct, frozen=True, kw_only=True):
    """One unit.

    Attributes
    ----------
    unit : str
    visits : int
        Walks stored.
    last : KeptVisit
    last_day : str or None
        Date of the last drive; None where the log states none.
    days_since : float or None
        Days from it to now; below zero where a clock is wrong.
    first_flagged : str or None
        Date of the first visit at which anything was flagged; the date it was stored where it states none.
    times_flagged : int
    k_per_week : Estimate or None
        Growth of left against right on the axle that was furthest apart at the last visit [K a week], counted
        so that more apart is above zero; None for fewer than four dated visits.
    axle : int or None
        That axle.
    offenders : tuple of str
        Corners that were called or watched at three visits or more.
    repairs_proven, repairs_open : int
        Repairs of which a drive afterwards proved that the sides are even again; those without such a proof.
    """

    unit: str
    visits: int
    last: KeptVisit
    last_day: str | None
    days_since: float | None
    first_flagged: str | None
    times_flagged: int
    k_per_week: Estimate | None
    axle: int | None
    offenders: tuple[str, ...]
    repairs_proven: int = 0
    repairs_open: int = 0


class AxleTrend(Struct, frozen=True, kw_only=True):
    """Left against right of one axle over the visits.

    Attributes
    ----------
    axle : int
    days : tuple of float
        Of each visit with a ratio, since the first visit of the unit.
    ln_ratio : tuple of float
        Natural logarithm of the left rise over the right one.
    sigma : tuple of float
        Its standard uncertainty from the fit.
    difference_k : tuple of float
        Left minus right [K].
    per_week : Estimate or None
        Slope of the logarithm [1 a week].
    k_per_week : Estimate or None
        Slope of the difference [K a week].
    chart : ControlChart or None
        Of the logarithm, from the fifth visit on; None for fewer.
    """

    axle: int
    days: tuple[float, ...]
    ln_ratio: tuple[float, ...]
    sigma: tuple[float, ...]
    difference_k: tuple[float, ...]
    per_week: Estimate | None
    k_per_week: Estimate | None
    chart: ControlChart | None


class UnitStory(Struct, frozen=True, kw_only=True):
    """All that is known of one unit.

    Attributes
    ----------
    row : UnitRow
    visits : tuple of KeptVisit
        In order.
    trends : tuple of AxleTrend
    jobs : tuple of KeptJob
    undated : int
        Visits whose log states no date: they stand where they were stored.
    """

    row: UnitRow
    visits: tuple[KeptVisit, ...]
    trends: tuple[AxleTrend, ...]
    jobs: tuple[KeptJob, ...]
    undated: int


def unit_rows(visits: Sequence[KeptVisit], jobs: Sequence[KeptJob], now_s: float) -> list[UnitRow]:
    """One row a unit, those that ask for a look first.

    Parameters
    ----------
    visits : sequence of KeptVisit
        In order; those that name no unit are left out.
    jobs : sequence of KeptJob
    now_s : float
        This moment since 1970 [s].
    """
    named = sorted((one for one in visits if one.unit is not None), key=lambda one: one.unit or "")
    rows = []
    for unit, mine in groupby(named, key=lambda one: one.unit or ""):
        rows.append(_row(unit, list(mine), [job for job in jobs if job.unit == unit], now_s))
    return sorted(rows, key=_urgency)


def story_of(visits: Sequence[KeptVisit], jobs: Sequence[KeptJob], now_s: float) -> UnitStory:
    """The story of one unit.

    Parameters
    ----------
    visits : sequence of KeptVisit
        Of this unit, in order, at least one.
    jobs : sequence of KeptJob
        Of this unit.
    now_s : float
    """
    axles = sorted({one.axle for visit in visits for one in visit.axles})
    return UnitStory(
        row=_row(visits[0].unit or "", visits, jobs, now_s),
        visits=tuple(visits),
        trends=tuple(_trend(axle, visits) for axle in axles),
        jobs=tuple(jobs),
        undated=sum(visit.taken_s is None for visit in visits),
    )


def _urgency(row: UnitRow) -> tuple[int, int, str]:
    words = {row.last.drag.answer, row.last.idle.answer, row.last.heat.answer}
    rank = next((k for k, word in enumerate(("yes", "watch", "cannot_tell")) if word in words), 3)
    return -1 if row.last.urgent else rank, -row.times_flagged, row.unit


def _row(unit: str, visits: Sequence[KeptVisit], jobs: Sequence[KeptJob], now_s: float) -> UnitRow:
    last = visits[-1]
    flagged = [visit for visit in visits if visit.flagged]
    axle = _widest_axle(last)
    return UnitRow(
        unit=unit,
        visits=len(visits),
        last=last,
        last_day=None if last.taken_s is None else day_of(last.taken_s),
        days_since=None if last.taken_s is None else (now_s - last.taken_s) / DAY_S,
        first_flagged=day_of(flagged[0].when[0]) if flagged else None,
        times_flagged=len(flagged),
        k_per_week=None if axle is None else _growth(axle, visits),
        axle=axle,
        offenders=_offenders(visits),
        repairs_proven=sum(job.verified for job in jobs),
        repairs_open=sum(job.parts and not job.verified for job in jobs),
    )


def _widest_axle(visit: KeptVisit) -> int | None:
    gaps = {one.axle: one.difference_k.size.value for one in visit.axles if one.difference_k is not None}
    return max(gaps, key=lambda axle: gaps[axle]) if gaps else None


def _growth(axle: int, visits: Sequence[KeptVisit]) -> Estimate | None:
    """Slope of the difference of an axle, counted so that further apart is above zero."""
    trend = _trend(axle, visits).k_per_week
    last_k = next(_difference_k(one) for one in visits[-1].axles if one.axle == axle)
    return trend.turned if trend is not None and last_k < 0.0 else trend


def _difference_k(one: AxleVisit) -> float:
    """Left minus right [K]; 0 where that is not known."""
    return 0.0 if one.difference_k is None else one.difference_k.value


def _offenders(visits: Sequence[KeptVisit]) -> tuple[str, ...]:
    counts: dict[str, int] = {}
    for visit in visits:
        said = [one for one in (visit.drag, visit.idle) if one.answer in {"yes", "watch"}]
        for corner in {corner for one in said for corner in one.corners}:
            counts[corner] = counts.get(corner, 0) + 1
    return tuple(sorted(corner for corner, times in counts.items() if times >= _OFFENDS_FROM))


def _trend(axle: int, visits: Sequence[KeptVisit]) -> AxleTrend:
    """Trend of one axle; slopes over the visits with a date, a drive without braking left out."""
    kept = [
        (visit, one, told)
        for visit in visits
        if visit.drive != "coast"
        for one in visit.axles
        if one.axle == axle and (told := ln_ratio(one)) is not None
    ]
    dated = [(visit.taken_s / WEEK_S, one, told[0]) for visit, one, told in kept if visit.taken_s is not None]
    weeks = [week for week, _, _ in dated]
    values, sigmas = [told[0] for _, _, told in kept], [told[1] for _, _, told in kept]
    start = visits[0].when[0]
    return AxleTrend(
        axle=axle,
        days=tuple((visit.when[0] - start) / DAY_S for visit, _, _ in kept),
        ln_ratio=tuple(values),
        sigma=tuple(sigmas),
        difference_k=tuple(_difference_k(one) for _, one, _ in kept),
        per_week=slope_of(weeks, [value for _, _, value in dated]),
        k_per_week=slope_of(weeks, [_difference_k(one) for _, one, _ in dated]),
        chart=_chart(values, sigmas, _day_spread(visits[-1])),
    )


def _day_spread(visit: KeptVisit) -> float:
    """Scatter of one side's rise from drive to drive where nothing changes, in parts of it, by the policy.

    Of a policy made for a depot the history keeps the name alone: then by the first that comes with thermlog.
    """
    return load_policy(visit.policy if visit.policy in BUNDLED else BUNDLED[0]).memory_day_spread


def _chart(values: Sequence[float], sigmas: Sequence[float], day_spread: float) -> ControlChart | None:
    """Control chart about the median of the first visits."""
    if len(values) <= _FIRST_VISITS:
        return None
    sigma = math.hypot(day_spread * math.sqrt(2.0), median(sigmas))
    return control_chart(values, centre=median(values[:_FIRST_VISITS]), sigma=sigma)


def ln_ratio(one: AxleVisit) -> tuple[float, float] | None:
    """Logarithm of the left rise over the right one, with its standard uncertainty from the fit.

    Parameters
    ----------
    one : AxleVisit

    Returns
    -------
    tuple or None
        None where a side has no rise worth a ratio.
    """
    (left, right), (left_k2, right_k2) = one.rise_k, one.variance_k2
    if left is None or right is None or min(left, right) < LEAST_RATIO_RISE_K:
        return None
    variance = (left_k2 or 0.0) / left**2 + (right_k2 or 0.0) / right**2
    return math.log(left / right), math.sqrt(variance)
