"""What a depot remembers -> text and tables: a line a unit, or the story of one."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from thermlog.reports.contract.history import HistoryObject, StoryObject, UnitObject
from thermlog.reports.contract.writing import json_text
from thermlog.reports.report_csv import Told, estimated, told_csv
from thermlog.reports.summary import ANSWER_WORDS
from thermlog.reports.wording import (
    Show,
    columned,
    degrees,
    difference,
    difference_with_range,
    percent,
    printable,
    with_range,
)
from thermlog.words.parts import SPOT_NAMES
from thermlog.words.sentences import counted
from thermlog.words.vehicle import axle_words, corner_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.history.rows import KeptVisit
    from thermlog.history.unitstories import AxleTrend, UnitRow, UnitStory
    from thermlog.words.estimates import Estimate
    from thermlog.words.visits import AnswerThen

_WORDS = ANSWER_WORDS | {"yes": "YES"}
_CAUTION = (
    "Answers as they were given at each visit. A trend is no inspection: what creeps up is looked at by "
    "qualified people."
)
UNIT_COLUMNS: tuple[Told[[UnitRow]], ...] = (
    Told("unit", "text", lambda row: row.unit),
    Told("visits", "whole", lambda row: row.visits),
    Told("last_at", "text", lambda row: row.last_day),
    Told("days_since", "figure", lambda row: row.days_since),
    Told("drag", "text", lambda row: row.last.drag.answer),
    Told("idle", "text", lambda row: row.last.idle.answer),
    Told("heat", "text", lambda row: row.last.heat.answer),
    Told("p_drag", "figure", lambda row: row.last.drag.p),
    Told("p_idle", "figure", lambda row: row.last.idle.p),
    Told("urgent", "text", lambda row: " ".join(row.last.urgent)),
    Told("first_flagged", "text", lambda row: row.first_flagged),
    Told("times_flagged", "whole", lambda row: row.times_flagged),
    Told("axle", "whole", lambda row: row.axle),
    *estimated(("k_per_week", "low_k_per_week", "high_k_per_week"), lambda row: row.k_per_week),
    Told("offenders", "text", lambda row: " ".join(row.offenders)),
    Told("repairs_proven", "whole", lambda row: row.repairs_proven),
    Told("repairs_open", "whole", lambda row: row.repairs_open),
    Told("file", "text", lambda row: row.last.file),
)


def history_csv(rows: Sequence[UnitRow]) -> str:
    """One row a unit, columns `UNIT_COLUMNS`."""
    return told_csv(UNIT_COLUMNS, zip(rows))


def history_json(rows: Sequence[UnitRow], unnamed: int, story: UnitStory | None) -> str:
    """JSON text of units, and of one unit's story."""
    told = None if story is None else StoryObject.of(story)
    return json_text(HistoryObject(units=tuple(map(UnitObject.of, rows)), unnamed=unnamed, story=told))


def history_text(rows: Sequence[UnitRow], unnamed: int, *, show: Show) -> str:
    """Text of all units, what asks for a look first.

    Parameters
    ----------
    rows : sequence of UnitRow
    unnamed : int
        Walks that name no unit.
    show : {"C", "F"}
        Unit on paper.
    """
    lines = [f"{counted(len(rows), 'unit')}, {counted(sum(row.visits for row in rows), 'visit')}"]
    if unnamed:
        lines[0] += f"; {unnamed} more visits whose log names no vehicle"
    if rows:
        head = (
            "unit", "visits", "last drive", "days", "drags?", "dead?", "flagged", "first",
            f"{degrees(show)} a week", "axle", "again and again",
        )  # fmt: skip
        lines += ["", *columned([head, *(_unit_cells(row, show) for row in rows)])]
    return "\n".join([*lines, "", _CAUTION]) + "\n"


def _unit_cells(row: UnitRow, show: Show) -> tuple[str, ...]:
    count = _axle_count(row.last)
    stop = "STOP " if row.last.urgent else ""
    return (
        printable(row.unit),
        str(row.visits),
        row.last_day or "no date",
        "-" if row.days_since is None else f"{row.days_since:.0f}",
        stop + _said(row.last.drag),
        _said(row.last.idle),
        str(row.times_flagged),
        row.first_flagged or "-",
        _per_week(row.k_per_week, show),
        "-" if row.axle is None else axle_words(row.axle, count),
        ", ".join(corner_words(corner, count) for corner in row.offenders) or "-",
    )


def _said(said: AnswerThen) -> str:
    return (
        f"{_WORDS[said.answer]} {percent(said.p)}" if said.answer in {"yes", "watch"} else _WORDS[said.answer]
    )


def _axle_count(visit: KeptVisit) -> int:
    return max((one.axle for one in visit.axles), default=0)


def _per_week(estimate: Estimate | None, show: Show) -> str:
    return "-" if estimate is None else difference_with_range(estimate, show)


def story_text(story: UnitStory, *, show: Show) -> str:
    """Text of one unit: its visits, the trend of every axle, repairs.

    Parameters
    ----------
    story : UnitStory
    show : {"C", "F"}
        Unit on paper.
    """
    row, count = story.row, max(map(_axle_count, story.visits))
    days = "" if row.days_since is None else f", the last {row.days_since:.0f} days ago"
    flagged = counted(row.times_flagged, "time")
    lines = [f"{printable(row.unit)}: {counted(row.visits, 'visit')}{days}, flagged {flagged}"]
    lines += [*filter(None, [undated_line(story)]), "", *_visit_lines(story, count, show), ""]
    for trend in story.trends:
        lines += _trend_lines(trend, count, show)
    lines += _repair_lines(story, count)
    return "\n".join([*lines, "", _CAUTION]) + "\n"


def undated_line(story: UnitStory) -> str:
    """Where visits stand whose log states no date; empty without any."""
    told = f"{story.undated} of them state no date: they stand where they were stored, without a trend"
    return told if story.undated else ""


def _visit_lines(story: UnitStory, count: int, show: Show) -> list[str]:
    head = ("visit", "read", "drive", "drags?", "dead?", f"left - right, {degrees(show)}", "file")
    rows = [
        (
            str(number),
            visit.taken_at or "no date",
            visit.drive or "-",
            ("STOP " if visit.urgent else "") + _said(visit.drag) + _watched(visit, count),
            _said(visit.idle),
            "; ".join(_gap(visit, axle, count, show) for axle in range(1, count + 1)),
            printable(visit.file),
        )
        for number, visit in enumerate(story.visits, start=1)
    ]
    return columned([head, *rows])


def _watched(visit: KeptVisit, count: int) -> str:
    """Parts beside the brakes that were watched then."""
    each = (f"{SPOT_NAMES[one.spot]} {corner_words(one.corner, count)}" for one in visit.parts_above)
    return "".join(f"; {part} watched" for part in each)


def _gap(visit: KeptVisit, axle: int, count: int, show: Show) -> str:
    one = next((one for one in visit.axles if one.axle == axle), None)
    if one is None or one.difference_k is None:
        return f"{axle_words(axle, count)} -"
    return f"{axle_words(axle, count)} {difference(one.difference_k.value, show)}"


def _trend_lines(trend: AxleTrend, count: int, show: Show) -> list[str]:
    name = axle_words(trend.axle, count)
    if not trend.ln_ratio:
        return [f"{name}: no two sides to compare"]
    now = math.exp(trend.ln_ratio[-1])
    said = f"{name}: left is {now:.2f} times as warm as right at the last visit"
    if trend.k_per_week is None or trend.per_week is None:
        return [f"{said}; a trend needs four dated visits with both sides read"]
    percent_a_week = trend.per_week.each(lambda slope: 100.0 * math.expm1(slope))
    lines = [
        f"{said}; it grows by {with_range(percent_a_week, signed=True)} % a week, left minus right by "
        f"{_per_week(trend.k_per_week, show)} {degrees(show)} a week"
    ]
    if trend.chart is not None:
        outside = trend.chart.first_outside
        where = "never" if outside is None else f"first after day {trend.days[outside]:.0f}"
        low, high = math.exp(trend.chart.low), math.exp(trend.chart.high)
        lines.append(f"  moving average outside its limits ({low:.2f} to {high:.2f}): {where}")
    return lines


def _repair_lines(story: UnitStory, count: int) -> list[str]:
    row, lines = story.row, []
    if row.offenders:
        again = ", ".join(corner_words(corner, count) for corner in row.offenders)
        lines.append(f"called or watched at three visits or more: {again}")
    for job in story.jobs:
        found = job.finding or "cause open"
        proof = "proven even again by a drive" if job.verified else "not proven by a drive"
        done = f", parts changed, {proof}" if job.parts else f", {proof}" if job.verified else ""
        lines.append(f"job: {printable(found)}{done}")
    return ["", *lines] if lines else []
