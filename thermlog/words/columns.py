"""Every column of a log, declared once: how it is told, read, stacked, handed out, and said to people.

The headings that name a column stand under its role in `reading/vocabulary.py`; recognising, column maps, the
table of readings, frames and the table in docs/log-format.md go by what is declared here.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

Role: TypeAlias = Literal[
    "time", "half", "lap", "date", "position", "axle", "side", "vehicle_part", "temperature", "unit", "vehicle",
    "drive", "spot", "ambient", "emissivity", "distance", "round", "note", "seen", "who", "gun", "odometer",
    "wheel", "moment",
]  # fmt: skip
CellKind: TypeAlias = Literal["whole", "figure", "text"]
# The type that a column has in every frame, also in an empty one.
FRAME_TYPES: dict[CellKind, str] = {"whole": "int64", "figure": "float64", "text": "string"}


class Field(Struct, frozen=True, kw_only=True):
    """A column on its way out of reading.

    Attributes
    ----------
    name : str
        With its unit.
    kind : CellKind
        Whole numbers and figures are stacked in the table of readings (`tables.Readings`); text belongs to the
        cases.
    place : int
        Among the columns of a frame, 1 first; 0: not handed out.
    words : bool
        Handed out in words, though it is stacked as an index.
    """

    name: str
    kind: CellKind
    place: int = 0
    words: bool = False

    @property
    def written(self) -> CellKind:
        """Kind in frames."""
        return "text" if self.words else self.kind


class Column(Struct, frozen=True, kw_only=True):
    """One kind of column of a log.

    Attributes
    ----------
    role : Role
        Its name in column maps and in `vocabulary.HEADINGS`.
    about : str
        What its cells hold, one line for people.
    once : bool
        A table has it once at most.
    mapped : bool
        A column map may name it.
    beside : bool
        Its cells are kept beside each reading.
    taking : bool
        It is about the taking of the readings: one value a case.
    phrase : int
        Place among the roles a longer heading may have by one of its words, 1 first; 0: none.
    figures : bool
        Its cells are figures with the decimal mark of the file.
    most : float or None
        Figures above 0 and up to this are taken, in the unit of `field`; others are named in a note.
    field : Field or None
        Where its values go.
    """

    role: Role
    about: str
    once: bool = False
    mapped: bool = False
    beside: bool = False
    taking: bool = False
    phrase: int = 0
    figures: bool = False
    most: float | None = None
    field: Field | None = None


COLUMNS: tuple[Column, ...] = (
    Column(
        role="time", mapped=True, phrase=5, field=Field(name="elapsed_s", kind="figure", place=9),
        about="when: a number with its unit in the heading, a clock time, a date and time, a duration",
    ),
    Column(role="half", once=True, about="am or pm beside a clock time"),
    Column(role="lap", about="time since the reading before; not used beside a total"),
    Column(role="date", once=True, mapped=True, beside=True, about="the day of a clock time"),
    Column(role="position", once=True, mapped=True, phrase=6, about="which wheel"),
    Column(
        role="axle", once=True, mapped=True, about="axle number from the front, or front and rear",
        field=Field(name="axle", kind="whole", place=5),
    ),
    Column(
        role="side", once=True, mapped=True, about="left or right beside the axle",
        field=Field(name="side", kind="whole", place=6, words=True),
    ),
    Column(role="vehicle_part", once=True, mapped=True, about="tractor, trailer or dolly beside the axle"),
    Column(
        role="temperature", mapped=True, phrase=4, about="what the gun showed; the unit may stand in the heading",
        field=Field(name="indicated_degc", kind="figure", place=10),
    ),
    Column(role="unit", once=True, mapped=True, beside=True, about="temperature unit of each reading"),
    Column(
        role="vehicle", once=True, mapped=True, beside=True, phrase=7, about="name of the vehicle",
        field=Field(name="vehicle", kind="text", place=2),
    ),
    Column(
        role="drive", once=True, mapped=True, beside=True, about="kind of drive: normal, coast, verification",
        field=Field(name="drive", kind="text", place=3),
    ),
    Column(
        role="spot", once=True, mapped=True, beside=True, about="where the gun was aimed: rotor, drum, hub, rim ...",
        field=Field(name="spot", kind="whole", place=8, words=True),
    ),
    Column(
        role="ambient", once=True, mapped=True, beside=True, phrase=1, figures=True, about="air temperature",
    ),
    Column(
        role="emissivity", once=True, mapped=True, beside=True, phrase=2, figures=True, most=1.0,
        about="emissivity of the surface, 0 to 1", field=Field(name="emissivity", kind="figure"),
    ),
    Column(
        role="distance", once=True, mapped=True, beside=True, phrase=3, figures=True, most=100.0,
        about="distance of the gun", field=Field(name="distance_m", kind="figure"),
    ),
    Column(role="round", about="number of the round, row or entry; not needed"),
    Column(role="note", about="a remark; looked through for what was seen; a spot alone is where the gun pointed"),
    Column(role="seen", about="smoke, glow, flame, sparks, steam or smell"),
    Column(role="who", taking=True, about="who took the reading"),
    Column(role="gun", taking=True, about="which gun"),
    Column(role="odometer", taking=True, about="distance driven"),
)  # fmt: skip
# What reading adds to the columns of a log.
_MADE = (
    Field(name="file", kind="text", place=1),
    Field(name="case", kind="whole"),
    Field(name="line", kind="whole", place=4),
    Field(name="corner", kind="text", place=7),
)
FIELDS: tuple[Field, ...] = (*_MADE, *(column.field for column in COLUMNS if column.field is not None))
STACKED: tuple[Field, ...] = tuple(field for field in FIELDS if field.kind != "text")
HANDED_OUT: tuple[Field, ...] = tuple(
    sorted((field for field in FIELDS if field.place), key=lambda field: field.place)
)
ONCE: frozenset[Role] = frozenset(column.role for column in COLUMNS if column.once)
MAPPED: tuple[Role, ...] = tuple(column.role for column in COLUMNS if column.mapped)
BESIDE: tuple[Role, ...] = tuple(column.role for column in COLUMNS if column.beside)
TAKING: frozenset[Role] = frozenset(column.role for column in COLUMNS if column.taking)
FIGURES: tuple[Role, ...] = tuple(column.role for column in COLUMNS if column.figures)
MOST: dict[Role, float] = {column.role: column.most for column in COLUMNS if column.most is not None}
PHRASES: tuple[Role, ...] = tuple(
    column.role for column in sorted(COLUMNS, key=lambda column: column.phrase) if column.phrase
)
