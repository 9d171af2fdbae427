"""When each reading of a case was taken, and which times nobody can have walked in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import islice
from operator import lt
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from thermlog.reading.cells import shown
from thermlog.reading.sifted import StepResult, Times
from thermlog.reading.times.clock import read_times
from thermlog.reading.times.column import ClockProblem, ElapsedTimes, TimeHeading
from thermlog.reading.times.pace import Walk, impossible_pace, plainly_possible
from thermlog.words.errors import LogRefusedError

if TYPE_CHECKING:
    from thermlog.reading.sifted import Cases, LogRows, Sifted
    from thermlog.words.errors import SetAsideCode
    from thermlog.words.tables import SetAside

_Cell = TypeVar("_Cell")
_NO_TIME = "no time in this row; write when the wheel was read"
_NO_TIMES = "no times in this log: readings are kept, but cannot be compared in time"


def case_times(rows: LogRows, cases: Cases, live: Sequence[int]) -> StepResult[Times]:
    """Times of the readings still there, case by case.

    Raises
    ------
    LogRefusedError
        The times cannot be told.
    """
    count = len(rows.seen.line)
    elapsed_s = [math.nan] * count
    parked = [False] * len(cases.keys)
    start: list[str | None] = [None] * len(cases.keys)
    if rows.seen.time is None:
        none = Times(elapsed_s=elapsed_s, words="none", parked=parked, start=start)
        return StepResult(found=none, notes=[_NO_TIMES])
    aside: dict[int, SetAside] = {}
    notes: list[str] = []
    words = "none"
    for case in range(len(cases.keys)):
        own = cases.of(case, live)
        if not own:
            continue
        found = _read(rows, own)
        aside |= _untimed(rows, own, found)
        notes += found.notes
        words, parked[case], start[case] = found.kind, found.zero == "parked", found.start
        for row, value in zip(own, found.elapsed_s, strict=True):
            elapsed_s[row] = math.nan if value is None else value
    rising = cases.of_row is None and all(map(lt, elapsed_s, islice(elapsed_s, 1, None)))
    times = Times(elapsed_s=elapsed_s, words=words, parked=parked, start=start, rising=rising)
    return StepResult(found=times, aside=aside, notes=notes)


def _read(rows: LogRows, own: Sequence[int]) -> ElapsedTimes:
    """Times of one case [s]."""
    plan, dates = rows.asked.plan, rows.seen.extra.get("date")
    said = rows.asked.statements.at(rows.seen.line[own[0]])
    cells = _picked(rows.seen.time or [], own)
    return read_times(
        cells,
        unit="h" if plan.of_day and ":" in cells[0] else plan.time_unit,
        dates=_picked(dates, own) if dates is not None else None,
        parked=said.parked if said.parked is not None else ("0" if plan.since_parked else None),
        date_order=rows.asked.options.date_order or said.date_order,
        decimal=rows.decimal,
        walk=lambda: _walk(rows, own),
        heading=TimeHeading(
            of_day=plan.of_day,
            digits=plan.digits,
            countdown=plan.countdown,
            strange_unit=plan.strange_time,
        ),
    )


def _walk(rows: LogRows, own: Sequence[int]) -> Walk:
    """Wheels and temperatures of some readings."""
    code = np.array(_picked(rows.code, own), dtype=np.int64)
    lines = np.array(_picked(rows.seen.line, own), dtype=np.int64)
    whole = len(own) == len(rows.code)
    return Walk(
        wheels=2 * rows.codes.axle[code] + rows.codes.side[code],
        degc=rows.temps.degc if whole else rows.temps.degc[np.array(own, dtype=np.int64)],
        lines=lines,
        limits=rows.asked.options.limits,
    )


def _untimed(rows: LogRows, own: Sequence[int], found: ElapsedTimes) -> dict[int, SetAside]:
    """Readings of a case whose time is refused, and those without any."""
    aside: dict[int, SetAside] = {}
    for problem in found.problems:
        if problem.index < 0:
            raise _refused_times(rows, own[problem.at], problem)
        row, place = own[problem.index], (rows.column("time"), problem.value)
        code: SetAsideCode = "before_parked" if problem.code == "before_parked" else "time"
        aside.setdefault(row, rows.aside(row, place, code, problem.problem))
    if None not in found.elapsed_s:
        return aside
    for row, value in zip(own, found.elapsed_s, strict=True):
        if value is None and row not in aside:
            cell = (rows.seen.time or [])[row]
            aside[row] = rows.aside(row, (rows.column("time"), cell), "time", _NO_TIME)
    return aside


def _refused_times(rows: LogRows, row: int, found: ClockProblem) -> LogRefusedError:
    value = found.value
    return LogRefusedError(
        found.problem,
        code=found.code,
        file=rows.asked.file,
        line=rows.seen.line[row],
        column=rows.column("time"),
        value=shown(value) if value else None,
    )


def impossible_lines(work: Sifted, case: int) -> tuple[tuple[int, int], ...]:
    """Lines of two readings of a case that nobody can have taken so soon, or so late, after one another."""
    limits, elapsed_s = work.asked.options.limits, work.times.elapsed_s
    plain = work.times.rising and not work.dropped and plainly_possible(elapsed_s, limits)
    if work.seen.time is None or plain:
        return ()
    own = work.live_of(case)
    pairs = impossible_pace(_picked(elapsed_s, own), _walk(work, own))
    found = [(own[a], own[b]) for a, b in pairs]
    found += [(a, b) for a, b in work.contradicting if work.cases.at(a) == case]
    return tuple((work.seen.line[a], work.seen.line[b]) for a, b in found)


def _picked(cells: Sequence[_Cell], rows: Sequence[int]) -> Sequence[_Cell]:
    return cells if len(rows) == len(cells) else [cells[row] for row in rows]
