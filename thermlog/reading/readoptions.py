"""What a user says about how a log is to be read: options and a map of the columns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias

from msgspec import Struct, field

from thermlog.reading.cells import DecimalMark
from thermlog.reading.vocabulary import AxleCount, DateOrder, TimeUnit, VehicleSide
from thermlog.words.policy import ReadingLimits, usual_limits
from thermlog.words.tables import Drive
from thermlog.words.units import Unit

MapLayout: TypeAlias = Literal["long", "wide", "rounds"]
Overridable: TypeAlias = Literal["unit", "ambient"]

# Air in which vehicles are worked on; outside it a unit was mixed up (common practice, no source).
COLDEST_AIR_DEGC, HOTTEST_AIR_DEGC = -40.0, 50.0


class ColumnMap(Struct, frozen=True, kw_only=True):
    """Columns of a layout that no rule understands, named by the user.

    Columns are named by their heading or by their number, first column 1.

    Attributes
    ----------
    layout : {"long", "wide", "rounds"}
        A row a reading; a column a wheel; a row a wheel with a column a round.
    header_line : int or None
        Line of the headings, first line 1; 0: there are none; None: look for the headings named here.
    columns : mapping
        Role -> column.
    wheels : mapping
        Column -> position words, for the layout with a column a wheel.
    rounds : mapping
        Column -> time of the round, empty if unknown, for the layout with a column a round.
    positions : mapping
        The log's own position words -> position words thermlog knows.
    unit : {"C", "F", "K"}, optional
        Temperature unit.
    time_unit : TimeUnit, optional
        Unit of a column of plain numbers.
    """

    layout: MapLayout
    header_line: int | None = None
    columns: Mapping[str, str | int] = field(default_factory=dict)
    wheels: Mapping[str, str] = field(default_factory=dict)
    rounds: Mapping[str, str] = field(default_factory=dict)
    positions: Mapping[str, str] = field(default_factory=dict)
    unit: Unit | None = None
    time_unit: TimeUnit | None = None


class ReadOptions(Struct, frozen=True, kw_only=True):
    """Options of reading; what is None is taken from the log.

    Attributes
    ----------
    unit : {"C", "F", "K"}, optional
        Temperature unit of readings where the log states none.
    ambient_degc, ambient_sigma_k : float, optional
        Air temperature where the log states none [°C], and its standard uncertainty [K].
    ambient_bare : bool
        True if the user gave a number without a unit: refused beside readings in °F.
    override : tuple of {"unit", "ambient"}
        Options that stand, with a note, where the log states otherwise; without it such a log is refused.
    vehicle : str, optional
        Vehicle name, used where the log states none.
    drive : Drive, optional
        Kind of drive, used where the log states none.
    delimiter, decimal, encoding : str, optional
        How the text is written.
    date_order : {"dmy", "mdy"}, optional
        Order of day and month where dates do not show it.
    traffic_side, driver_side : {"left", "right"}, optional
        What near side and driver side mean.
    language : str, optional
        Language of the position codes.
    axle_count : {"combined", "per_unit"}, optional
        Whether trailer axles are counted on from the tractor's.
    column_map : ColumnMap, optional
        Columns named by the user.
    seen : tuple of str
        What was seen, such as ``"smoke at RF"``; holds for every case of the log.
    places : tuple of str
        Words for wheels or axles, as of a surface stated for them; each log tells which corners they name.
    positions : tuple of (str, str)
        The log's own words for wheels, and words thermlog knows; those of a column map come before them.
    limits : ReadingLimits
        What a reading and a walk can be: those of the policy that was asked for, else of the bundled ones.
    """

    unit: Unit | None = None
    ambient_degc: float | None = None
    ambient_sigma_k: float | None = None
    ambient_bare: bool = False
    override: tuple[Overridable, ...] = ()
    vehicle: str | None = None
    drive: Drive | None = None
    delimiter: str | None = None
    decimal: DecimalMark | None = None
    encoding: str | None = None
    date_order: DateOrder | None = None
    traffic_side: VehicleSide | None = None
    driver_side: VehicleSide | None = None
    language: str | None = None
    axle_count: AxleCount | None = None
    column_map: ColumnMap | None = None
    seen: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    positions: tuple[tuple[str, str], ...] = ()
    limits: ReadingLimits = field(default_factory=usual_limits)
