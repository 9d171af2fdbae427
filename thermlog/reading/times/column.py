"""The time cells of one case, what the steps make of them, and the elapsed times that come of it."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, timezone
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.times.cell import TimeCell, parse_time
from thermlog.reading.times.face import ClockRefusedError
from thermlog.reading.times.pace import Walk
from thermlog.reading.vocabulary import DateOrder
from thermlog.words.errors import TroubleCode

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from thermlog.reading.vocabulary import TimeUnit

Zero: TypeAlias = Literal["parked", "first", "stated"]


class ClockProblem(Struct, frozen=True, kw_only=True):
    """A time that cannot be used; `index` counts the cells from 0, -1 refuses the whole column.

    `at` is the cell that shows why, `code` the reason for programs.
    """

    index: int
    value: str
    problem: str
    code: TroubleCode
    at: int = 0


class ElapsedTimes(Struct, frozen=True, kw_only=True):
    """Times of one case.

    Attributes
    ----------
    elapsed_s : tuple of float or None
        One per cell [s]; None where a problem names the cell, or everywhere if the column is refused.
    kind : str
        How the cells were read, for people.
    zero : {"parked", "first", "stated"}
        Where zero is: the parked moment, the earliest reading, or as the log states elapsed times.
    notes, problems : tuple
        What was decided and why; what was not.
    start : str or None
        Moment of the earliest reading by ISO 8601, as far as the cells tell: a date and time, a date, or a
        time of day.
    """

    elapsed_s: tuple[float | None, ...]
    kind: str
    zero: Zero
    notes: tuple[str, ...] = ()
    problems: tuple[ClockProblem, ...] = ()
    start: str | None = None


class TimeHeading(Struct, frozen=True, kw_only=True):
    """What a heading says of times besides their unit.

    Attributes
    ----------
    of_day : bool
        They are times of day.
    digits : bool
        They are written in digits alone: 140310.
    countdown : bool
        They run down.
    strange_unit : str
        A unit that nobody knows; empty if there is none.
    """

    of_day: bool = False
    digits: bool = False
    countdown: bool = False
    strange_unit: str = ""


class TimeColumn(Struct, frozen=True, kw_only=True, eq=False):
    """The cells of one case and what is known around them; fields as the arguments of `clock.read_times`."""

    cells: Sequence[str]
    unit: TimeUnit | None
    dates: Sequence[str] | None
    parked: str | None
    date_order: DateOrder | None
    decimal: str
    walk: Walk | None = None
    heading: TimeHeading = TimeHeading()

    def problem(self, index: int, problem: str, code: TroubleCode = "time") -> ClockProblem:
        """Why a cell is set aside."""
        return ClockProblem(index=index, value=self.cells[index], problem=problem, code=code)

    def limited(self, kept: Collection[int]) -> TimeColumn:
        """The same, its walk without the readings whose times were set aside."""
        if self.walk is None or not 0 < len(kept) < len(self.walk.wheels):
            return self
        return replace(self, walk=self.walk.take(list(kept)))

    def parked_cell(self) -> TimeCell | None:
        """Parked moment as stated; ClockRefusedError if it is no time."""
        if self.parked is None:
            return None
        cell = parse_time(self.parked, self.decimal)
        if cell is None:
            msg = f'the parked moment "{self.parked}" is no time; write it as 14:03:10 or 2031-05-04 14:03:10'
            raise ClockRefusedError(msg, code="parked")
        return cell


class TimedCells(Struct, frozen=True, kw_only=True, eq=False):
    """What the steps have made of a column so far; every step gives the next one.

    Attributes
    ----------
    seconds : mapping of int to float
        Index of a cell -> its time [s]; cells without one are among the problems.
    kind, zero, notes, problems, start
        As of `ElapsedTimes`; `kind` is empty where nothing was read.
    """

    seconds: Mapping[int, float]
    kind: str = ""
    zero: Zero = "stated"
    notes: tuple[str, ...] = ()
    problems: tuple[ClockProblem, ...] = ()
    start: str | None = None

    def noted(self, *notes: str) -> TimedCells:
        """The same with further notes; empty ones say nothing."""
        return replace(self, notes=(*self.notes, *filter(None, notes)))

    def without(self, problems: Sequence[ClockProblem]) -> TimedCells:
        """The same with further cells that were set aside."""
        return replace(self, problems=(*self.problems, *problems))

    def timed(self, times: Iterable[float]) -> TimedCells:
        """The same cells with other times, in their order."""
        return replace(self, seconds=dict(zip(self.seconds, times, strict=True)))

    def counted_from(self, zero: Zero, zero_s: float) -> TimedCells:
        """The same, counted from a moment [s]."""
        return replace(self.timed(value - zero_s for value in self.seconds.values()), zero=zero)

    def begun(self, day: int | None, seconds: float, offset_s: float | None = None) -> TimedCells:
        """The same with the moment of the earliest reading, unless it is known better already."""
        if self.start is not None:
            return self
        whole = round(seconds)
        if day is None:
            return replace(self, start=f"T{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}")
        zone = None if offset_s is None else timezone(timedelta(seconds=offset_s))
        moment = datetime.combine(date.fromordinal(day), time(0), zone) + timedelta(seconds=whole)
        return replace(self, start=moment.isoformat(timespec="seconds"))
