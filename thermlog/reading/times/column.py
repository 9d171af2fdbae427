"""The time cells of one case while they are decided, and the elapsed times that come of them."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, timezone
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct, field

from thermlog.reading.times.cell import TimeCell, parse_time
from thermlog.reading.times.face import ClockRefusedError
from thermlog.reading.times.pace import Walk
from thermlog.reading.vocabulary import DateOrder
from thermlog.words.errors import TroubleCode

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

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


class TimeColumn(Struct, kw_only=True):
    """The cells of one case while they are decided; fields as the arguments of `clock.read_times`."""

    cells: Sequence[str]
    unit: TimeUnit | None
    dates: Sequence[str] | None
    parked: str | None
    date_order: DateOrder | None
    decimal: str
    walk: Walk | None = None
    heading: TimeHeading = TimeHeading()
    kind: str = ""
    start: str | None = None
    zero: Zero = "stated"
    notes: list[str] = field(default_factory=list)
    problems: list[ClockProblem] = field(default_factory=list)

    def drop(self, index: int, problem: str, code: TroubleCode = "time") -> None:
        """Set a cell aside and say why."""
        self.problems.append(ClockProblem(index=index, value=self.cells[index], problem=problem, code=code))

    def limit_walk(self, kept: Collection[int]) -> None:
        """Leave out of the walk the readings whose times were set aside."""
        if self.walk is not None and 0 < len(kept) < len(self.walk.wheels):
            self.walk = self.walk.take(list(kept))

    def tell_start(self, day: int | None, seconds: float, offset_s: float | None = None) -> None:
        """Note the moment of the earliest reading, unless it is known better already."""
        if self.start is not None:
            return
        whole = round(seconds)
        if day is None:
            self.start = f"T{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"
            return
        zone = None if offset_s is None else timezone(timedelta(seconds=offset_s))
        moment = datetime.combine(date.fromordinal(day), time(0), zone) + timedelta(seconds=whole)
        self.start = moment.isoformat(timespec="seconds")

    def parked_cell(self) -> TimeCell | None:
        """Parked moment as stated; ClockRefusedError if it is no time."""
        if self.parked is None:
            return None
        cell = parse_time(self.parked, self.decimal)
        if cell is None:
            msg = f'the parked moment "{self.parked}" is no time; write it as 14:03:10 or 2031-05-04 14:03:10'
            raise ClockRefusedError(msg, code="parked")
        return cell
