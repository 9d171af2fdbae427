"""The tables every step speaks: readings in columns, and the records they came from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.words.bounds import CornerName, Count
from thermlog.words.columns import FRAME_TYPES, HANDED_OUT, STACKED, CellKind
from thermlog.words.errors import SetAsideCode
from thermlog.words.moments import moment_s
from thermlog.words.noted import Unweighed
from thermlog.words.seenwords import SeenCode
from thermlog.words.vehicle import SIDES, SPOTS, OwnWords, Spot, Vehicle, corner_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Ints: TypeAlias = NDArray[np.int64]
    Bools: TypeAlias = NDArray[np.bool_]
else:
    Floats = Ints = Bools = np.ndarray  # the full names cost a check more time than its fit

Drive: TypeAlias = Literal["normal", "coast", "verification"]
KINDS_OF_DRIVE: tuple[Drive, ...] = ("normal", "coast", "verification")
AmbientSource: TypeAlias = Literal["option", "log", "assumed"]


class SetAside(Struct, frozen=True, kw_only=True):
    """One reading of a log that does not vote, and why.

    Attributes
    ----------
    line : int
        Line in the file.
    column, value : str or None
        Where it stands and what stands there; None for a whole row.
    reason : str
        For people; programs compare `code`.
    code : SetAsideCode
        ``"no_wheel"``: none is named; ``"unknown_wheel"``: a word nobody knows; ``"unclear_wheel"``: a word
        of several meanings. ``"by_hand"``: "hot" stands for the figure. ``"summary"``: a mean.
        ``"other_part"``: engine, road. ``"surface"``: no surface of that emissivity shows such a value.
    corner : str or None
        Canonical code; None where the wheel is not known.
    """

    line: Count
    column: str | None
    value: str | None
    reason: str
    code: SetAsideCode
    corner: CornerName | None = None


BlindCode: TypeAlias = Literal[
    "unknown_wheel", "over_range", "under_range", "no_value", "set_aside", "unread_sight", "before_parked",
    "unread_cell", "felt_hot", "said_stuck", "said_idle", "other_unit", "doubted",
]  # fmt: skip


class Blind(Struct, frozen=True, kw_only=True):
    """A reading that was taken, or tried, and that tells no temperature: its wheel is not thereby cleared.

    Attributes
    ----------
    code : BlindCode
        Nobody knows which wheel; the gun was above or below its range; the cell says that no reading was had;
        the reading was set aside for another reason; no reading, but words for what was seen that nobody
        knows, or in place of a temperature; a time before the parked moment; heat that a hand felt; a brake
        said to bind, to be stuck or to do nothing, or felt cold; a unit of its own, used as stated; in doubt.
    line : int
        Line in the file.
    corner : str or None
        Canonical code; None where the wheel is not known.
    quoted : str
        The word or value as it stands in the log.
    value_degc : float or None
        What was read at a wheel nobody knows, or was set aside, what a wheel above the gun's range is hotter
        than, as ">500" says, or would be in the others' unit [°C]; None where none can be told.
    spot : Spot or None
        Where a wheel was above the gun's range; None where nothing says so.
    """

    code: BlindCode
    line: Count
    corner: CornerName | None = None
    quoted: str = ""
    value_degc: float | None = None
    spot: Spot | None = None


class Seen(Struct, frozen=True, kw_only=True):
    """Smoke, glow, flame, sparks or the like, or how the vehicle brakes, that the log, or an option, states.

    Attributes
    ----------
    code : SeenCode
        What it was: ``"burst"`` is a tyre that burst, ``"melted"`` a tyre, cap or trim that great heat
        melted, ``"grease"`` what a hub throws out, ``"leak"`` brake fluid that comes out, ``"locked"`` a
        wheel that does not turn, ``"loose"`` one that is not held fast, ``"pedal"`` a pedal that is soft,
        long or sinks, ``"air_loss"`` air that hisses or is lost,
        ``"grind"`` metal on metal; ``"brake_lamp"`` and ``"abs_lamp"`` are lamps that are lit,
        ``"pull_left"``, ``"pull_right"`` and ``"pull"`` the side a vehicle pulls to.
    corner : str or None
        Where it was seen; None if nobody said.
    """

    code: SeenCode
    corner: CornerName | None = None


class LogRecord(Struct, frozen=True, kw_only=True):
    """One input file and what became of its rows: ``rows_read == rows_used + len(set_aside)`` always holds.

    A row is one reading: in a file with a column a wheel every filled temperature cell counts as one.
    """

    file: str
    sha256: str
    rows_read: int
    rows_used: int
    set_aside: tuple[SetAside, ...] = ()
    notes: tuple[str, ...] = ()


class Taken(Struct, frozen=True, kw_only=True):
    """When, by whom and with what a log was taken, as far as it says.

    Attributes
    ----------
    start : str or None
        Moment of the first reading by ISO 8601: a date and time, a date alone, or a time of day alone, which
        begins with "T".
    by, gun : str or None
        As written.
    odometer_km : float or None
        Distance driven [km].
    repair : str or None
        What was found and mended before this drive, as written.
    unrepaired, nothing_seen : bool
        True if the log says that nothing was mended before this drive; that somebody looked for smoke, glow,
        smell and the like, and saw none.
    traffic_side : {"left", "right"} or None
        Side traffic keeps to, as stated.
    """

    start: str | None = None
    by: str | None = None
    gun: str | None = None
    odometer_km: float | None = None
    repair: str | None = None
    unrepaired: bool = False
    nothing_seen: bool = False
    traffic_side: Literal["left", "right"] | None = None


OddCode: TypeAlias = Literal["other_unit", "digits_swapped", "digit_missing", "digit_added"]


class Odd(Struct, frozen=True, kw_only=True):
    """A reading that would fit the others if it had been typed otherwise; it still votes.

    Attributes
    ----------
    code : {"other_unit", "digits_swapped", "digit_missing", "digit_added"}
        What would have gone wrong.
    line : int
        Line in the file.
    corner : str
    degc, would_be_degc : float
        As read, and as it would fit [°C].
    """

    code: OddCode
    line: int
    corner: str
    degc: float
    would_be_degc: float


class Pause(Struct, frozen=True, kw_only=True):
    """A long pause between two readings of a drive.

    Attributes
    ----------
    line, before, seconds : float
        Lines of the first reading after it and of the last before, as far as known, and its length [s].
    across : tuple of (float, float)
        Last reading before and first one after of every wheel and spot read on both sides of it [°C].
    within : tuple of (float, float, float)
        Two readings of one wheel and spot on one side of it [°C], and what lies between them [s].
    """

    line: int
    before: int | None = None
    seconds: float
    across: tuple[tuple[float, float], ...] = ()
    within: tuple[tuple[float, float, float], ...] = ()


class Case(Struct, frozen=True, kw_only=True):
    """One drive of one vehicle in one log: the unit of diagnosis.

    Attributes
    ----------
    log : LogRecord
        Where the readings stand.
    vehicle, drive : str or None
        As stated in the log or by option. `drive` is one of `KINDS_OF_DRIVE` if stated.
    ambient_degc : float or None
        Stated air temperature [°C]; None if nobody stated one.
    ambient_sigma_k : float or None
        Standard uncertainty stated beside it [K]; None: the policy's value.
    ambient_source : {"option", "log", "assumed"} or None
        Who stated it.
    parked_known : bool
        True if ``elapsed_s`` counts from the moment the wheels stopped.
    description : Vehicle or None
        Vehicle description stated in the log or by option.
    blind : tuple of Blind
        Readings of this vehicle and drive that tell no temperature.
    seen : tuple of Seen
        What was seen beside the readings.
    unweighed : tuple of Unweighed
        Remarks nobody but a person understands.
    taken : Taken or None
        When, by whom and with what; None if the log says nothing of it.
    axles_least : int
        Axles that the words for its wheels speak of: "front left" speaks of a rear axle, read or not.
    impossible_pace : tuple of (int, int)
        Lines of two readings that nobody can have taken so soon, or so late, after one another.
    odd : tuple of Odd
        Readings that may be typing errors.
    pause : Pause or None
        The longest pause between two readings, where it is long.
    places : tuple of (str, tuple of str)
        Words of the options for wheels, and the corners they name in this log.
    called : tuple of OwnWords
        What the log calls its corners, where a page may call them otherwise.
    """

    log: LogRecord
    vehicle: str | None = None
    drive: Drive | None = None
    ambient_degc: float | None = None
    ambient_sigma_k: float | None = None
    ambient_source: AmbientSource | None = None
    parked_known: bool = False
    description: Vehicle | None = None
    blind: tuple[Blind, ...] = ()
    seen: tuple[Seen, ...] = ()
    unweighed: tuple[Unweighed, ...] = ()
    taken: Taken | None = None
    axles_least: int = 0
    impossible_pace: tuple[tuple[int, int], ...] = ()
    odd: tuple[Odd, ...] = ()
    pause: Pause | None = None
    places: tuple[tuple[str, tuple[str, ...]], ...] = ()
    called: tuple[OwnWords, ...] = ()

    @property
    def taken_at(self) -> str | None:
        """When it was read, as the log states it; None where it does not."""
        return self.taken.start if self.taken else None

    @property
    def taken_s(self) -> float | None:
        """The same in seconds since 1970, as `moments.moment_s` has it."""
        return moment_s(self.taken_at)


_NUMPY: dict[CellKind, type[np.int64] | type[np.float64]] = {"whole": np.int64, "figure": np.float64}
_STACKED = {field.name: _NUMPY[field.kind] for field in STACKED}


class Readings(Struct, frozen=True, kw_only=True, eq=False):
    """Readings of any number of cases, one row a reading, in columns of equal length.

    Attributes
    ----------
    cases : tuple of Case
        One per vehicle and drive.
    case : int array (rows,)
        Index into `cases`.
    line : int array (rows,)
        Line in the file, first line 1.
    axle : int array (rows,)
        Axle number from the front, first axle 1.
    side : int array (rows,)
        0 left, 1 right: the vehicle's own sides.
    spot : int array (rows,)
        Index into `vehicle.SPOTS`.
    elapsed_s : float array (rows,)
        Time since the wheels stopped if ``parked_known``, else on the log's own clock [s].
    indicated_degc : float array (rows,)
        What the gun showed [°C].
    emissivity : float array (rows,)
        Emissivity of the surface aimed at, 0 to 1; NaN where nobody stated it.
    distance_m : float array (rows,)
        Distance from gun to surface [m]; NaN where not stated.
    """

    cases: tuple[Case, ...]
    case: Ints
    line: Ints
    axle: Ints
    side: Ints
    spot: Ints
    elapsed_s: Floats
    indicated_degc: Floats
    emissivity: Floats
    distance_m: Floats

    def __post_init__(self) -> None:
        lengths = {getattr(self, name).shape for name in _STACKED}
        if len(lengths) > 1:
            msg = f"columns of unequal length: {sorted(lengths)}"
            raise ValueError(msg)

    @property
    def rows(self) -> int:
        """Number of readings."""
        return int(self.case.size)

    def corner(self, row: int) -> str:
        """Corner of a reading."""
        return corner_name(int(self.axle[row]), SIDES[self.side[row]])

    def take(self, rows: Bools | Ints) -> Readings:
        """Some rows, in the order asked for; all cases stay."""
        return replace(self, **{name: getattr(self, name)[rows] for name in _STACKED})

    def of_cases(self, kept: Sequence[int]) -> Readings:
        """Some cases with their rows, renumbered in the order asked for."""
        number = np.full(len(self.cases), -1)
        number[list(kept)] = np.arange(len(kept))
        mine = self.take(number[self.case] >= 0)
        return replace(mine, cases=tuple(self.cases[k] for k in kept), case=number[mine.case])

    def frame(self) -> pd.DataFrame:
        """The same table as a pandas DataFrame: the columns `columns.HANDED_OUT`, typed also when empty."""
        import pandas as pd

        cases = [self.cases[k] for k in self.case]
        sides = [SIDES[k] for k in self.side]
        words = {
            "file": [case.log.file for case in cases],
            "vehicle": [case.vehicle for case in cases],
            "drive": [case.drive for case in cases],
            "side": sides,
            "corner": [corner_name(int(axle), side) for axle, side in zip(self.axle, sides, strict=True)],
            "spot": [SPOTS[k] for k in self.spot],
        }
        return pd.DataFrame(
            {
                field.name: pd.Series(
                    words[field.name] if field.written == "text" else getattr(self, field.name),
                    dtype=FRAME_TYPES[field.written],
                )
                for field in HANDED_OUT
            }
        )


def stack_readings(tables: list[Readings]) -> Readings:
    """One table from many; cases are renumbered in order.

    Parameters
    ----------
    tables : list of Readings
        May be empty.

    Returns
    -------
    Readings
    """
    starts = np.cumsum([0] + [len(table.cases) for table in tables])
    columns = {
        name: np.concatenate([np.zeros(0, dtype=kind), *(getattr(table, name) for table in tables)])
        for name, kind in _STACKED.items()
    }
    columns["case"] += np.repeat(starts[:-1], [table.rows for table in tables])
    return Readings(cases=tuple(case for table in tables for case in table.cases), **columns)
