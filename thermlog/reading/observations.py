"""Readings of a table as text, one a reading, and what stands beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.reading.plan import Plan, TempColumn
from thermlog.words.columns import Role
from thermlog.words.tables import SetAside


class Remark(Struct, frozen=True, kw_only=True):
    """A cell that may say what was seen.

    Attributes
    ----------
    line : int
    text : str
    row : int or None
        A reading of the same row of the table; None if the row has none.
    of_wheel : bool
        True if the row is about one wheel.
    strict : bool
        True if the column is for what was seen; False: a remark in free words.
    """

    line: int
    text: str
    row: int | None
    of_wheel: bool
    strict: bool

    @property
    def at_row(self) -> int | None:
        """The reading of the same wheel in its row; None if the row has none, or is about several wheels."""
        return self.row if self.of_wheel else None


class Gap(Struct, frozen=True, kw_only=True):
    """An empty temperature cell where most other wheels of the same moment have one; `row` as in `Remark`."""

    line: int
    wheel: str
    row: int | None
    never: bool = False


class FigureBeside(Struct, frozen=True, kw_only=True):
    """A cell of a column of figures beside the readings, in the row of reading number `row`."""

    row: int
    text: str
    column: TempColumn


class Observations(Struct, kw_only=True):
    """Readings as text, in columns of equal length.

    Attributes
    ----------
    line : list of int
        Line in the file.
    temp, position : list of str
        Cells as written.
    time : list of str or None
        None if the table has no times.
    which : list of int or None
        Index into the plan's temperature columns; None: all from the first.
    walk : list of int or None
        Number of the drive of its vehicle, where lines of a day or a parked moment tell them apart.
    extra : dict
        Role -> cells, for the columns a table may have beside these.
    about : dict
        Role -> cells of columns about the taking of the readings.
    numbers : list of float or None
        `temp` as numbers where every cell is a plain one.
    set_aside : list of SetAside
        Rows that fit no reading.
    strays : list of sequence of str
        Their cells.
    remarks : list of Remark
    gaps : list of Gap
        In a layout with several readings a row.
    notes : list of str
    beside : list of FigureBeside
        What stands beside the readings: the most that the gun showed, the same in another unit.
    headers : list of int
        Lines of headers below the first.
    plan : Plan or None
        Of all tables of the log, where it has more than one.
    """

    line: list[int] = field(default_factory=list)
    temp: list[str] = field(default_factory=list)
    position: list[str] = field(default_factory=list)
    time: list[str] | None = None
    which: list[int] | None = None
    walk: list[int] | None = None
    extra: dict[Role, list[str]] = field(default_factory=dict)
    about: dict[Role, list[str]] = field(default_factory=dict)
    numbers: list[float] | None = field(default_factory=list)
    set_aside: list[SetAside] = field(default_factory=list)
    strays: list[Sequence[str]] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    beside: list[FigureBeside] = field(default_factory=list)
    headers: list[int] = field(default_factory=list)
    plan: Plan | None = None


def joined_observations(first: Observations, second: Observations, *, shift: int) -> Observations:
    """Readings of two tables one below the other; `shift` is the number of temperature columns before."""
    count, more = len(first.line), len(second.line)
    which = first.which if first.which is not None else [0] * count
    own = second.which if second.which is not None else [0] * more
    return Observations(
        line=first.line + second.line,
        temp=first.temp + second.temp,
        position=first.position + second.position,
        time=None if first.time is None else first.time + (second.time or []),
        which=[*which, *(k + shift for k in own)],
        extra=_both(first.extra, second.extra, count, more),
        about=_both(first.about, second.about, count, more),
        numbers=None,
        set_aside=first.set_aside + second.set_aside,
        strays=first.strays + second.strays,
        remarks=first.remarks + [_later(remark, count) for remark in second.remarks],
        gaps=first.gaps + [_later(gap, count) for gap in second.gaps],
        notes=first.notes + second.notes,
        beside=first.beside + [replace(one, row=one.row + count) for one in second.beside],
        headers=first.headers + second.headers,
    )


def _both(
    first: Mapping[Role, Sequence[str]], second: Mapping[Role, Sequence[str]], count: int, more: int
) -> dict[Role, list[str]]:
    return {
        role: [*first.get(role, [""] * count), *second.get(role, [""] * more)]
        for role in first.keys() | second.keys()
    }


_Placed = TypeVar("_Placed", Remark, Gap)


def _later(one: _Placed, count: int) -> _Placed:
    return one if one.row is None else replace(one, row=one.row + count)
