"""What the columns of a table are: the result of looking at its headings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, TypeAlias

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.reading.vocabulary import FiguresOf, TimeUnit
from thermlog.words.columns import Role
from thermlog.words.errors import TroubleCode
from thermlog.words.units import Unit
from thermlog.words.vehicle import Spot

Layout: TypeAlias = Literal["long", "wide", "paired", "rounds", "sides"]
LAYOUT_WORDS: dict[Layout, str] = {
    "long": "a row a reading",
    "wide": "a column a wheel",
    "paired": "a time column beside each wheel column",
    "rounds": "a row a wheel, a column a round",
    "sides": "a row an axle, a column a side",
}


class TempColumn(Struct, frozen=True, kw_only=True):
    """One column of temperatures.

    Attributes
    ----------
    index : int
        From 0.
    name : str
        Heading as written, or ``column 3``.
    unit : Unit or None
        Stated in the heading.
    factor : float
        What one of its numbers is worth in the unit.
    wheel : str
        Position words in a layout with a column a wheel, words for a side with a column a side, else empty.
    moment : str or None
        Time written in the heading in a layout with a column a round.
    time_index : int or None
        Its own time column, if it has one.
    spot : Spot or None
        Part of the wheel end that the heading names, where it is none of a brake.
    figures : {"most", "mean", "again", "part"} or None
        What its figures are beside those that are read; None for a column of readings.
    """

    index: int
    name: str
    unit: Unit | None = None
    factor: float = 1.0
    wheel: str = ""
    moment: str | None = None
    time_index: int | None = None
    spot: Spot | None = None
    figures: FiguresOf | None = None


class Lack(Struct, frozen=True):
    """What keeps columns from being a log.

    Attributes
    ----------
    code : TroubleCode
        For programs.
    text : str
        One clause.
    """

    code: TroubleCode
    text: str


class Plan(Struct, frozen=True, kw_only=True):
    """What the columns of a table are.

    Attributes
    ----------
    layout : Layout or None
        None if the columns do not make a log; `lack` then says why.
    width : int
        Number of columns.
    names : tuple of str
        Heading of each column, ``column 3`` where it is empty.
    temps : tuple of TempColumn
        One in a long layout.
    index : dict
        Role -> column, for the roles a table has once.
    about : dict
        Role -> column, for who read, with which gun, at which distance driven.
    unknown : tuple of int
        Columns no rule knows.
    beside : tuple of TempColumn
        Columns of figures beside the reading: the most that the gun showed, the same brake once more.
    remarks : tuple of int
        Columns of remarks in free words.
    sights : tuple of int
        Columns that say what was seen.
    time_unit : TimeUnit or None
        Stated in the heading of the time column.
    since_parked, countdown : bool
        Stated likewise.
    of_day, digits : bool
        True if the heading says that times are times of day, that they are written in digits alone.
    strange_time : str
        A unit of time that nobody knows.
    time_parts : tuple of (int, TimeUnit)
        Columns of hours, minutes and seconds that make one time.
    metres : float
        Length of the distance unit [m].
    lack : Lack or None
        What keeps the columns from being a log; code ``"no_wheel_column"`` if nothing else misses.
    notes : tuple of str
        What was decided between columns.
    score : int
        Number of columns understood; bare numbers in headings count only in a layout that needs them.
    """

    layout: Layout | None
    width: int
    names: tuple[str, ...]
    temps: tuple[TempColumn, ...] = ()
    index: dict[Role, int] = field(default_factory=dict)
    about: dict[Role, int] = field(default_factory=dict)
    unknown: tuple[int, ...] = ()
    beside: tuple[TempColumn, ...] = ()
    remarks: tuple[int, ...] = ()
    sights: tuple[int, ...] = ()
    time_unit: TimeUnit | None = None
    since_parked: bool = False
    countdown: bool = False
    of_day: bool = False
    digits: bool = False
    strange_time: str = ""
    time_parts: tuple[tuple[int, TimeUnit], ...] = ()
    metres: float = 1.0
    lack: Lack | None = None
    notes: tuple[str, ...] = ()
    score: int = 0

    def without(self, code: TroubleCode, text: str) -> Plan:
        """The plan of columns that are no log, and why."""
        return replace(self, layout=None, lack=Lack(code, text))

    @property
    def lacks_wheel(self) -> bool:
        """True if nothing misses but a column that says which wheel was read."""
        return self.lack is not None and self.lack.code == "no_wheel_column"

    @property
    def units(self) -> frozenset[Unit]:
        """Temperature units that headings state."""
        return frozenset(temp.unit for temp in self.temps if temp.unit is not None)

    @property
    def names_parts(self) -> bool:
        """True if a column of temperatures is of a part beside the brake."""
        return any(temp.spot is not None for temp in self.temps)

    @property
    def needed(self) -> tuple[int, ...]:
        """Columns that a row cannot do without, in order."""
        temps = [temp for k, temp in enumerate(self.temps) if k == 0 or temp.spot is None]
        used = {*self.index.values(), *(t.index for t in temps), *(k for k, _ in self.time_parts)}
        return tuple(sorted(used | {t.time_index for t in temps if t.time_index is not None}))

    @property
    def unheaded(self) -> list[int]:
        """Columns without a heading that nothing uses."""
        used = {*self.needed, *self.about.values(), *self.unknown, *self.remarks, *self.sights}
        return [k for k, name in enumerate(self.names) if name == f"column {k + 1}" and k not in used]

    @property
    def last_needed(self) -> int:
        """Highest column that a row cannot do without; it may end after it."""
        return max(self.needed, default=-1)


def cells_beside_wheel(cells: Sequence[str], wheel: int, plan: Plan) -> Mapping[int, str]:
    """Cells of a short row by the columns they are sure to be of: those of a side of the wheel that is whole.

    Parameters
    ----------
    cells : sequence of str
        Fewer than the table has columns.
    wheel : int
        Place of the cell that names the wheel.
    plan : Plan
        With a column of wheels.

    Examples
    --------
    >>> plan = Plan(layout="long", width=3, names=("t", "wheel", "C"), index={"time": 0, "position": 1})
    >>> cells_beside_wheel(["600", "RR"], 1, plan), cells_beside_wheel(["RR", "441"], 0, plan)
    ({0: '600', 1: 'RR'}, {1: 'RR', 2: '441'})
    """
    own = plan.index["position"]
    found = {own: cells[wheel]}
    if wheel == own:
        found |= dict(enumerate(cells[:wheel]))
    if plan.last_needed - own <= len(cells) - 1 - wheel < plan.width - own:
        found |= {own + k: cell for k, cell in enumerate(cells[wheel:])}
    return dict(sorted(found.items()))
