"""Readings one by one: what is no reading, no wheel, no time or a repeat is set aside by name."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from msgspec import Struct, field

from thermlog.reading.aimed import spots_in_column, spots_in_remarks
from thermlog.reading.cases import cases_told
from thermlog.reading.casetimes import case_times
from thermlog.reading.repeats import repeats
from thermlog.reading.scale import temp_name
from thermlog.reading.sharedtimes import shared_times
from thermlog.reading.sifted import LogRows, Sifted, StepResult
from thermlog.reading.takenback import taken_back
from thermlog.reading.wheelcodes import AIR_ROW, BAD
from thermlog.reading.zeros import false_zeros
from thermlog.words.sentences import degc, sentence
from thermlog.words.tables import SetAside

_Found = TypeVar("_Found")
_AIR_REASON = "air temperature; used as the ambient, not as a wheel"


class _Book(Struct, kw_only=True, eq=False):
    """What the steps so far set aside, by row, and what they say of it."""

    dropped: dict[int, SetAside] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def enter(self, step: StepResult[_Found]) -> _Found:
        """Keep what a step sets aside; of a reading that several do the first reason stays."""
        for row, entry in step.aside.items():
            self.dropped.setdefault(row, entry)
        self.notes += step.notes
        return step.found


def sift(rows: LogRows) -> Sifted:
    """Cases, spots and times of the readings of one file, and each that cannot be used set aside.

    Raises
    ------
    LogRefusedError
        The times cannot be told, or a reading is taken back that is not there.
    """
    book = _Book()
    book.enter(taken_back(rows))
    book.enter(_temperatures(rows))
    book.enter(_wheels(rows))
    cases = book.enter(cases_told(rows))
    spots = book.enter(spots_in_column(rows))
    spots = book.enter(spots_in_remarks(rows, spots, rows.without(book.dropped)))
    times = book.enter(case_times(rows, cases, rows.without(book.dropped)))
    book.enter(
        false_zeros(rows, cases, book.dropped)
    )  # after the times: the order of all rows may refuse them
    contradicting = book.enter(repeats(rows, cases, spots, times, rows.without(book.dropped)))
    book.enter(shared_times(rows, cases, times, rows.without(book.dropped)))
    return Sifted(
        **{name: getattr(rows, name) for name in LogRows.__struct_fields__},
        cases=cases,
        spots=spots,
        times=times,
        contradicting=contradicting,
        dropped=book.dropped,
        notes=tuple(book.notes),
    )


def _temperatures(rows: LogRows) -> StepResult[None]:
    """Cells that tell no temperature, and temperatures that no wheel end has."""
    aside = {row: rows.temp_aside(row, *problem) for row, problem in rows.temps.problems.items()}
    values_degc, limits = rows.temps.degc, rows.asked.options.limits
    low, high = limits.lowest_reading_degc, limits.highest_reading_degc
    if np.minimum.reduce(values_degc) >= low and np.maximum.reduce(values_degc) <= high:  # NaN fails both
        return StepResult(found=None, aside=aside)
    ends = degc(low, digits=None, bare=True), degc(high, digits=None)
    reason = sentence("impossible for a wheel end: outside {} to {}", *ends)
    for row in np.flatnonzero((values_degc < low) | (values_degc > high)).tolist():
        aside[row] = rows.temp_aside(row, "impossible", reason)
    return StepResult(found=None, aside=aside)


def _wheels(rows: LogRows) -> StepResult[None]:
    """Readings of no wheel, and of the air."""
    aside: dict[int, SetAside] = {}
    for row, code in enumerate(() if rows.codes.clean else rows.code):
        place = _position_column(rows, row), rows.seen.position[row]
        if code == BAD:
            aside[row] = rows.aside(row, place, *rows.codes.problems[place[1]])
        elif code == AIR_ROW:
            aside[row] = rows.aside(row, place, "air", _AIR_REASON)
    return StepResult(found=None, aside=aside, notes=rows.codes.notes)


def _position_column(rows: LogRows, row: int) -> str:
    """Column that names the wheel of a reading: a heading, where each wheel has a column."""
    index = rows.asked.plan.index
    if "position" in index:
        return rows.column("position")
    return rows.column("axle") if "axle" in index else temp_name(rows.seen, rows.asked.plan, row)
