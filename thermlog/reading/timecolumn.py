"""The time cells of one case while they are decided, and the elapsed times that come of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct, field

from thermlog.reading.clockface import ClockRefusedError
from thermlog.reading.timecell import DateOrder, TimeCell, parse_time

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.timenumbers import TimeUnit

Zero: TypeAlias = Literal["parked", "first", "stated"]


class ClockProblem(Struct, frozen=True, kw_only=True):
    """A time that cannot be used; `index` counts the cells from 0, -1 refuses the whole column."""

    index: int
    value: str
    problem: str


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
    """

    elapsed_s: tuple[float | None, ...]
    kind: str
    zero: Zero
    notes: tuple[str, ...] = ()
    problems: tuple[ClockProblem, ...] = ()


class TimeColumn(Struct, kw_only=True):
    """The cells of one case while they are decided; fields as the arguments of `clock.read_times`."""

    cells: Sequence[str]
    unit: TimeUnit | None
    dates: Sequence[str] | None
    parked: str | None
    date_order: DateOrder | None
    decimal: str
    kind: str = ""
    zero: Zero = "stated"
    notes: list[str] = field(default_factory=list)
    problems: list[ClockProblem] = field(default_factory=list)

    def drop(self, index: int, problem: str) -> None:
        """Set a cell aside and say why."""
        self.problems.append(ClockProblem(index=index, value=self.cells[index], problem=problem))

    def parked_cell(self) -> TimeCell | None:
        """Parked moment as stated; ClockRefusedError if it is no time."""
        if self.parked is None:
            return None
        cell = parse_time(self.parked, self.decimal)
        if cell is None:
            msg = f'the parked moment "{self.parked}" is no time; write it as 14:03:10 or 2031-05-04 14:03:10'
            raise ClockRefusedError(msg)
        return cell
