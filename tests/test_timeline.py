"""The chart of a unit over its visits: dates below it, ticks that stand clear of each other."""

from __future__ import annotations

import math
from datetime import date, timedelta
from itertools import pairwise

import pytest
from figurewords import assert_texts_keep_clear
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from msgspec.structs import replace

from thermlog.charts.timeline import dates_between, figure_of_story, ratio_ticks
from thermlog.history import unitstories
from thermlog.history.rows import AnswerThen, KeptVisit
from thermlog.history.unitstories import story_of
from thermlog.words.estimates import Estimate
from thermlog.words.moments import DAY_S
from thermlog.words.policy import load_policy
from thermlog.words.visits import AxleVisit

FIRST = date(2031, 3, 4)
NO, YES = AnswerThen(answer="no", p=0.02), AnswerThen(answer="yes", p=0.97, corners=("1L",))


def visit(number: int, day: float, *, ratio: float = 1.0, axles: int = 2, dated: bool = True) -> KeptVisit:
    """A visit `day` days after the first, at noon; one side at 60 K, flagged where twice as hot."""
    moment = (FIRST - date(1970, 1, 1)).days * DAY_S + (day + 0.5) * DAY_S
    rises = 60.0 * ratio, 60.0
    return KeptVisit(
        walk_id=number,
        check_id=number,
        file=f"{number}.csv",
        log_sha256=f"{number:064d}",
        unit="van 7",
        drive="normal",
        taken_at=(FIRST + timedelta(days=math.floor(day))).isoformat() if dated else None,
        taken_s=moment if dated else None,
        stored_s=moment,
        policy="light",
        drag=YES if ratio >= 2.0 else NO,
        idle=NO,
        heat=NO,
        urgent=(),
        axles=tuple(
            AxleVisit(
                axle=axle, rise_k=rises, variance_k2=(4.0, 4.0), difference_k=Estimate(rises[0] - rises[1])
            )
            for axle in range(1, axles + 1)
        ),
    )


def drawn(*days: float, ratios: dict[int, float] | None = None, **how: object) -> Figure:
    ratios = ratios or {}
    visits = [visit(k, day, ratio=ratios.get(k, 1.0), **how) for k, day in enumerate(days)]  # type: ignore[arg-type]
    return figure_of_story(story_of(visits, [], visits[-1].stored_s))


def labels(axes: Axes, which: str) -> list[str]:
    ticks = axes.get_xticklabels() if which == "x" else axes.get_yticklabels()
    return [one.get_text() for one in ticks]


STORIES = {
    "one visit": [0.0],
    "two of one day": [0.0, 0.1],
    "four in a week": [0.0, 2.0, 3.0, 6.0],
    "weekly for a year": [7.0 * week for week in range(53)],
    "over the turn of a year": [290.0, 310.0, 330.0],
    "daily for four years": [float(day) for day in range(0, 1461, 3)],
    "two in thirty years": [0.0, 10_957.0],
}


@pytest.mark.parametrize("axles", [1, 2, 3, 5])
@pytest.mark.parametrize("name", list(STORIES))
def test_dates_stand_below_the_chart_and_clear_of_each_other(name: str, axles: int) -> None:
    """A reader finds the day of any visit; no tick covers another, with one visit or with five hundred."""
    figure = drawn(*STORIES[name], ratios={0: 2.6}, axles=axles)
    axes = figure.axes[-1]
    dates = [date.fromisoformat(text) for text in labels(axes, "x")]
    assert dates
    assert dates == [date(1970, 1, 1) + timedelta(days=math.floor(at)) for at in axes.get_xticks()]
    renderer = figure.canvas.get_renderer()
    for panel in figure.axes:
        for ticks, ends in ((panel.get_xticklabels(), ("x0", "x1")), (panel.get_yticklabels(), ("y0", "y1"))):
            boxes = [one.get_window_extent(renderer) for one in ticks if one.get_visible() and one.get_text()]
            assert all(getattr(one, ends[1]) < getattr(other, ends[0]) for one, other in pairwise(boxes))
    assert_texts_keep_clear(figure)


def test_few_visits_have_their_own_dates_below_them() -> None:
    """Three within a fortnight are read off to the day; where they crowd, Mondays or firsts stand instead."""
    few, crowded = drawn(0.0, 6.0, 13.0).axes[0], drawn(0.0, 1.0, 60.0).axes[0]
    assert labels(few, "x") == [(FIRST + timedelta(days=day)).isoformat() for day in (0, 6, 13)]
    assert labels(crowded, "x")[0] != FIRST.isoformat()


def test_a_visit_stands_above_its_date() -> None:
    axes = drawn(0.0, 14.0, 28.0).axes[0]
    (visits,) = [
        line for line in axes.get_lines() if line.get_label() == "_nolegend_" and line.get_marker() == "o"
    ]
    assert [date(1970, 1, 1) + timedelta(days=math.floor(day)) for day in visits.get_xdata()] == [
        FIRST, FIRST + timedelta(days=14), FIRST + timedelta(days=28)
    ]  # fmt: skip
    assert axes.get_xlabel() == "date of the visit"


def test_flagged_visits_alone_are_ringed() -> None:
    axes = drawn(0.0, 14.0, 28.0, ratios={1: 2.6}).axes[0]
    (rung,) = [line for line in axes.get_lines() if line.get_label() == "flagged"]
    assert [math.floor(day) for day in rung.get_xdata()] == [(FIRST - date(1970, 1, 1)).days + 14]


def test_what_was_flagged_is_ringed_at_its_own_axle() -> None:
    """The front left brake was called: nothing stood out at the rear."""
    rear = drawn(0.0, 14.0, 28.0, ratios={1: 2.6}).axes[1]
    (rung,) = [line for line in rear.get_lines() if line.get_label() == "flagged"]
    assert len(rung.get_xdata()) == 0


def test_for_a_phone_one_axle_stands_below_the_other() -> None:
    visits = [visit(k, day) for k, day in enumerate((0.0, 14.0, 28.0))]
    narrow = figure_of_story(story_of(visits, [], visits[-1].stored_s), width="narrow")
    front, rear = (axes.get_position() for axes in narrow.axes)
    assert (front.x0, front.width) == (rear.x0, rear.width)
    assert front.y0 > rear.y1
    assert narrow.get_size_inches()[0] <= 5.0  # as a check's: letters stay legible at 360 points across


def test_visits_without_a_date_are_said_to_stand_where_they_were_stored() -> None:
    told, undated = drawn(0.0, 7.0), drawn(0.0, 7.0, dated=False)
    words = [
        " ".join(text.get_text() for text in figure.texts).replace("\n", " ") for figure in (told, undated)
    ]
    said = "2 of them state no date: they stand where they were stored"
    assert [said in text for text in words] == [False, True]


@pytest.mark.parametrize(
    ("low", "high", "most", "first", "step"),
    [
        ("2031-03-04", "2031-03-07", 4, "2031-03-04", 1),  # just room for every day
        ("2031-03-04", "2031-03-08", 4, "2031-03-04", 2),
        ("2031-03-04", "2031-04-02", 4, "2031-03-10", 7),  # Mondays
        ("2031-03-04", "2031-04-20", 4, "2031-03-10", 14),
        ("2031-03-04", "2031-07-02", 4, "2031-04-01", 0),  # firsts of months
        ("2031-03-04", "2036-03-04", 5, "2032-01-01", 0),  # firsts of years
        ("0001-01-02", "9999-12-31", 3, "", 0),  # a log may state any year
    ],
)
def test_ticks_fall_on_days_that_people_count_by(
    low: str, high: str, most: int, first: str, step: int
) -> None:
    zero = date(1970, 1, 1).toordinal()
    ends = (float(date.fromisoformat(one).toordinal() - zero) for one in (low, high))
    found = [date.fromordinal(zero + day) for day in dates_between(*ends, most)]
    assert 1 <= len(found) <= most
    assert all(low <= one.isoformat() <= high for one in found)
    if first:
        assert found[0].isoformat() == first
    if step:
        assert {(later - one).days for one, later in pairwise(found)} == {step}
    else:
        assert {one.day for one in found} == {1}


@pytest.mark.parametrize("reach", [1.2, 1.5, 3.0, 12.0])
def test_ratios_beside_the_axis_keep_even_and_stand_apart(reach: float) -> None:
    """On a scale of logarithms: 3 inches from 1 / reach to reach, lines of 9 points with their spacing."""
    kept = ratio_ticks(reach, 3.0)
    assert 1.0 in kept
    assert len(kept) >= 3
    apart = [3.0 * math.log(later / one) / (2.0 * math.log(reach)) for one, later in pairwise(kept)]
    assert min(apart) >= 9.0 * 1.3 / 72.0


@pytest.mark.parametrize(("judged_by", "asked"), [("heavy", "heavy"), ("our depot", "light")])
def test_a_chart_allows_the_scatter_of_the_policy_that_judged(judged_by, asked, monkeypatch) -> None:
    """Half width of an EWMA chart: 3 sigma sqrt(0.3 / 1.7), a side by the policy, its fit by 2 K of 60."""
    spread = {"light": 0.1, "heavy": 0.2}
    monkeypatch.setattr(
        unitstories, "load_policy", lambda name: replace(load_policy(name), memory_day_spread=spread[name])
    )
    visits = [replace(visit(k, 7.0 * k), policy=judged_by) for k in range(5)]
    (trend, _) = story_of(visits, [], visits[-1].stored_s).trends
    assert trend.chart is not None
    wide = 3.0 * math.sqrt(0.3 / 1.7) * math.sqrt(2.0 * spread[asked] ** 2 + 2.0 * (2.0 / 60.0) ** 2)
    assert trend.chart.high == pytest.approx(wide)
