"""Readings of one file on their way from text to the table: as they stand there, and as they were sifted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Generic, TypeVar

from msgspec import Struct

from thermlog.reading.cells import DecimalMark, shown
from thermlog.reading.observations import Observations
from thermlog.reading.scale import Asked, Temperatures, temp_name
from thermlog.reading.wheelcodes import WheelCodes
from thermlog.words.columns import Role
from thermlog.words.errors import SetAsideCode
from thermlog.words.tables import SetAside

_Found = TypeVar("_Found")


class LogRows(Struct, frozen=True, kw_only=True, eq=False):
    """Readings as they stand in a file, each with its temperature and wheel as far as they are understood.

    Attributes
    ----------
    seen : Observations
    asked : Asked
    decimal : {".", ","}
    temps : Temperatures
    codes : WheelCodes
    code : sequence of int
        Row of `codes` of each reading.
    """

    seen: Observations
    asked: Asked
    decimal: DecimalMark
    temps: Temperatures
    codes: WheelCodes
    code: Sequence[int]

    def aside(self, row: int, place: tuple[str, str], code: SetAsideCode, reason: str) -> SetAside:
        """Entry of a reading that is set aside; `place` is the column and the cell."""
        return SetAside(
            line=self.seen.line[row],
            column=place[0],
            value=shown(place[1]),
            reason=reason,
            code=code,
            corner=self.codes.corner(self.code[row]),
        )

    def temp_aside(self, row: int, code: SetAsideCode, reason: str) -> SetAside:
        """Entry of a reading that is set aside for its temperature."""
        place = temp_name(self.seen, self.asked.plan, row), self.seen.temp[row]
        return self.aside(row, place, code, reason)

    def column(self, role: Role) -> str:
        """Name of a role's column as written in the file."""
        index = self.asked.plan.index
        return self.asked.plan.names[index[role]] if role in index else role

    def without(self, aside: Mapping[int, SetAside]) -> Sequence[int]:
        """Readings that are not set aside."""
        count = range(len(self.seen.line))
        return [row for row in count if row not in aside] if aside else count


class CaseKey(Struct, frozen=True, kw_only=True):
    """What makes one case: vehicle and drive, the drive as written where its word is not known.

    `walk` counts the drives of one vehicle that have no names of their own.
    """

    vehicle: str | None
    drive: str | None
    walk: int = 0


class Cases(Struct, frozen=True, kw_only=True, eq=False):
    """The vehicles and drives of one file.

    Attributes
    ----------
    keys : tuple of CaseKey
    of_row : list of int or None
        Index into `keys` for each reading; None: all are of the first.
    sections : tuple of int
        For each case, section of the log in which its first reading stands; 0 where it has none.
    """

    keys: tuple[CaseKey, ...]
    of_row: list[int] | None
    sections: tuple[int, ...]

    def at(self, row: int) -> int:
        """Case of a reading."""
        return 0 if self.of_row is None else self.of_row[row]

    def of(self, case: int, rows: Sequence[int]) -> Sequence[int]:
        """Those of some readings that are of a case."""
        return rows if self.of_row is None else [row for row in rows if self.of_row[row] == case]


class Times(Struct, frozen=True, kw_only=True, eq=False):
    """When each reading was taken.

    Attributes
    ----------
    elapsed_s : sequence of float
        NaN where there is no time [s].
    words : str
        How times were read, for people.
    parked : list of bool
        For each case, whether times count from the stop.
    start : list of str or None
        For each case, the moment of its first reading as the times tell it.
    rising : bool
        True if every reading is known to be later than the one before.
    """

    elapsed_s: Sequence[float]
    words: str
    parked: Sequence[bool]
    start: Sequence[str | None]
    rising: bool = False


class StepResult(Struct, Generic[_Found], frozen=True, kw_only=True, eq=False):
    """What one step found, which readings it sets aside, by row, and what it says of it."""

    found: _Found
    aside: Mapping[int, SetAside] = {}
    notes: Sequence[str] = ()


class Sifted(LogRows, frozen=True, kw_only=True, eq=False):
    """The same, after each reading that cannot be used was set aside.

    Attributes
    ----------
    cases : Cases
    spots : sequence of int or None
        Index into `vehicle.SPOTS` by a column of spots or a remark; -1 where neither says it; None: nowhere.
    times : Times
    contradicting : sequence of (int, int)
        Rows of one wheel and moment that differ, where there are several.
    dropped : mapping
        Row -> why it was set aside.
    notes : tuple of str
    """

    cases: Cases
    spots: Sequence[int] | None
    times: Times
    contradicting: Sequence[tuple[int, int]]
    dropped: Mapping[int, SetAside]
    notes: tuple[str, ...]

    def live(self) -> Sequence[int]:
        """Rows not set aside."""
        return self.without(self.dropped)

    def live_of(self, case: int) -> Sequence[int]:
        """Rows of a case not set aside."""
        return self.cases.of(case, self.live())
