"""Readings of a table as text, one a reading, and what stands beside them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate, chain
from typing import TypeVar

from msgspec import Struct
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


class Observations(Struct, frozen=True, kw_only=True, eq=False):
    """Readings as text, in columns of equal length.

    Attributes
    ----------
    plan : Plan
        Of the table; of all tables of the log, where it has more than one.
    line : sequence of int
        Line in the file.
    temp, position : sequence of str
        Cells as written.
    time : sequence of str or None
        None if the table has no times.
    which : sequence of int or None
        Index into the plan's temperature columns; None: all from the first.
    walk : sequence of int or None
        Number of the drive of its vehicle, where lines of a day or a parked moment tell them apart.
    extra : mapping
        Role -> cells, for the columns a table may have beside these.
    about : mapping
        Role -> cells of columns about the taking of the readings.
    numbers : sequence of float or None
        `temp` as numbers where every cell is a plain one.
    set_aside : sequence of SetAside
        Rows that fit no reading.
    strays : sequence of sequence of str
        Their cells.
    remarks : sequence of Remark
    gaps : sequence of Gap
        In a layout with several readings a row.
    notes : sequence of str
    beside : sequence of FigureBeside
        What stands beside the readings: the most that the gun showed, the same in another unit.
    headers : sequence of int
        Lines of headers below the first.
    """

    plan: Plan
    line: Sequence[int] = ()
    temp: Sequence[str] = ()
    position: Sequence[str] = ()
    time: Sequence[str] | None = None
    which: Sequence[int] | None = None
    walk: Sequence[int] | None = None
    extra: Mapping[Role, Sequence[str]] = {}
    about: Mapping[Role, Sequence[str]] = {}
    numbers: Sequence[float] | None = None
    set_aside: Sequence[SetAside] = ()
    strays: Sequence[Sequence[str]] = ()
    remarks: Sequence[Remark] = ()
    gaps: Sequence[Gap] = ()
    notes: Sequence[str] = ()
    beside: Sequence[FigureBeside] = ()
    headers: Sequence[int] = ()

    def noting(self, *notes: str) -> Observations:
        """The same with more notes."""
        return replace(self, notes=(*self.notes, *notes))


def joined_observations(parts: Sequence[Observations], plan: Plan) -> Observations:
    """Readings of parts of a table, or of tables, one below the other.

    Parameters
    ----------
    parts : sequence of Observations
        Their walks are not numbered yet.
    plan : Plan
        Of all of them.
    """
    starts = [*accumulate((len(part.line) for part in parts), initial=0)]
    filled = [part for part in parts if part.line]
    return Observations(
        plan=plan,
        line=_whole(part.line for part in parts),
        temp=_whole(part.temp for part in parts),
        position=_whole(part.position for part in parts),
        time=_whole_if_all(part.time for part in filled),
        which=_whole_if_all(part.which for part in filled),
        extra=_by_role([part.extra for part in filled], filled),
        about=_by_role([part.about for part in filled], filled),
        numbers=_whole_if_all(part.numbers for part in parts),
        set_aside=_whole(part.set_aside for part in parts),
        strays=_whole(part.strays for part in parts),
        remarks=_later([part.remarks for part in parts], starts),
        gaps=_later([part.gaps for part in parts], starts),
        notes=_whole(part.notes for part in parts),
        beside=[
            replace(one, row=one.row + start)
            for part, start in zip(parts, starts, strict=False)
            for one in part.beside
        ],
        headers=_whole(part.headers for part in parts),
    )


_Any = TypeVar("_Any")


def _whole(parts: Iterable[Sequence[_Any]]) -> list[_Any]:
    return [*chain.from_iterable(parts)]


def _whole_if_all(parts: Iterable[Sequence[_Any] | None]) -> list[_Any] | None:
    """All parts as one; None if a part is, or if there is none."""
    found = list(parts)
    there = [one for one in found if one is not None]
    return _whole(there) if there and len(there) == len(found) else None


def _by_role(
    columns: Sequence[Mapping[Role, Sequence[str]]], parts: Sequence[Observations]
) -> dict[Role, list[str]]:
    """Cells by role; empty ones where a part has no such column."""
    return {
        role: _whole(own.get(role, [""] * len(part.line)) for own, part in zip(columns, parts, strict=True))
        for role in dict.fromkeys(chain.from_iterable(columns))
    }


_Placed = TypeVar("_Placed", Remark, Gap)


def _later(parts: Sequence[Sequence[_Placed]], starts: Sequence[int]) -> list[_Placed]:
    """What belongs to readings, by their numbers among all; `starts` are the numbers of the first ones."""
    return [
        one if one.row is None else replace(one, row=one.row + start)
        for part, start in zip(parts, starts, strict=False)
        for one in part
    ]
