"""The readings of one file on their way from text to the table."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

from thermlog.reading.cells import DecimalMark, shown
from thermlog.reading.observations import Observations
from thermlog.reading.scale import Asked, Temperatures, temp_name
from thermlog.reading.times.pace import Walk
from thermlog.reading.wheelcodes import WheelCodes
from thermlog.words.columns import Role
from thermlog.words.errors import SetAsideCode
from thermlog.words.tables import SetAside


class CaseKey(Struct, frozen=True, kw_only=True):
    """What makes one case: vehicle and drive, the drive as written where its word is not known.

    `walk` counts the drives of one vehicle that have no names of their own.
    """

    vehicle: str | None
    drive: str | None
    walk: int = 0


class Sifting(Struct, kw_only=True, eq=False):
    """The readings of one file on their way.

    Attributes
    ----------
    seen : Observations
    asked : Asked
    decimal : {".", ","}
    temps : Temperatures
    codes : WheelCodes
    code : list of int
        Row of `codes` of each reading.
    spots : list of int or None
        Index into `vehicle.SPOTS` from a column of spots; -1 where it says nothing; None without column.
    case : list of int or None
        Index into `keys`; None: all are of the first case.
    keys : list of CaseKey
    elapsed_s : list of float
        NaN where there is no time [s].
    dropped : dict
        Row -> why it was set aside.
    notes : list of str
    time_words : str
        How times were read, for people.
    parked : list of bool
        For each case, whether times count from the stop.
    start : list of str or None
        For each case, the moment of its first reading as the times tell it.
    contradicting : list of (int, int)
        Rows of one wheel and moment that differ, where there are several.
    walk : Walk or None
        Of all rows, once it was asked for.
    rising : bool
        True if every reading is known to be later than the one before.
    """

    seen: Observations
    asked: Asked
    decimal: DecimalMark
    temps: Temperatures
    codes: WheelCodes
    code: list[int]
    spots: list[int] | None = None
    case: list[int] | None = None
    keys: list[CaseKey] = field(default_factory=list)
    elapsed_s: Sequence[float] = ()
    dropped: dict[int, SetAside] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    time_words: str = "none"
    parked: list[bool] = field(default_factory=list)
    start: list[str | None] = field(default_factory=list)
    contradicting: list[tuple[int, int]] = field(default_factory=list)
    walk: Walk | None = None
    rising: bool = False

    def drop(self, row: int, place: tuple[str, str], code: SetAsideCode, reason: str) -> None:
        """Set one reading aside; the first reason stays. `place` is the column and the cell."""
        if row not in self.dropped:
            self.dropped[row] = SetAside(
                line=self.seen.line[row],
                column=place[0],
                value=shown(place[1]),
                reason=reason,
                code=code,
                corner=self.codes.corner(self.code[row]),
            )

    def drop_temp(self, row: int, code: SetAsideCode, reason: str) -> None:
        """Set one reading aside for its temperature."""
        place = temp_name(self.seen, self.asked.plan, row), self.seen.temp[row]
        self.drop(row, place, code, reason)

    def column(self, role: Role) -> str:
        """Name of a role's column as written in the file."""
        index = self.asked.plan.index
        return self.asked.plan.names[index[role]] if role in index else role

    def section(self, case: int) -> int:
        """Section of the log in which the first reading of a case stands; 0 where it has none."""
        said = self.asked.statements
        if not said.sections:
            return 0
        row = 0 if self.case is None else self.case.index(case)
        return said.section(self.seen.line[row])

    def is_of(self, row: int, case: int) -> bool:
        """True for a row of a case; a log without columns for them is one."""
        return self.case is None or self.case[row] == case

    def live_of(self, case: int) -> Sequence[int]:
        """Rows of a case not set aside."""
        return self.live() if self.case is None else [row for row in self.live() if self.is_of(row, case)]

    def live(self) -> Sequence[int]:
        """Rows not set aside."""
        count = range(len(self.seen.line))
        return [row for row in count if row not in self.dropped] if self.dropped else count
