"""One thing that was entered during a walk, whoever typed it on whatever device."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.cells import number, shown
from thermlog.reading.cellwords import bare_letters, cell_words
from thermlog.reading.readoptions import COLDEST_AIR_DEGC, HOTTEST_AIR_DEGC
from thermlog.reading.remarks.sights import SEEN_CURE, read_sights
from thermlog.words.errors import WalkError
from thermlog.words.moments import DAY_S
from thermlog.words.units import Unit, from_degc, to_degc
from thermlog.words.vehicle import Spot

EntryKind: TypeAlias = Literal["parked", "reading", "air", "note", "seen", "taken_back"]

LONGEST_TEXT = 200
LONGEST_NAME = 40
LATEST_S = DAY_S  # a walk is no day long
_KEY = re.compile(r"[A-Za-z0-9_.-]{1,40}")
_MOMENT = re.compile(r"(?:\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[-+]\d\d:\d\d)?)?")
_FIGURE = re.compile(r"[-+−]?\d{1,5}(?:[.,]\d{1,3})?")


class Entry(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One entry; what its kind does not need stays empty.

    Attributes
    ----------
    key : str
        Identity, made where it was typed: the same entry sent twice is one.
    kind : EntryKind
    elapsed_s : float
        When, since the wheels stopped [s]: of a reading its first key.
    corner : str
        Axle number from the front and the vehicle's own side, of a reading.
    spot : Spot
        What was aimed at, of a reading.
    cell : str
        What the gun showed, as typed, of a reading or of the air; with a decimal point.
    text : str
        Of a note, and of what was seen.
    target : str
        Key of the entry that is taken back.
    by : str
        Who.
    wall : str
        The same moment on the wall clock, ISO 8601 with its offset; as the device showed it.
    """

    key: str
    kind: EntryKind
    elapsed_s: float = 0.0
    corner: str = ""
    spot: Spot = "brake"
    cell: str = ""
    text: str = ""
    target: str = ""
    by: str = ""
    wall: str = ""

    @property
    def measures(self) -> bool:
        """True for what stands in a row of the log: a reading, or the air."""
        return self.kind in {"reading", "air"}

    def degc(self, unit: Unit) -> float | None:
        """Temperature of it [°C]; None where a word stands for one, as beyond the gun's range."""
        value = number(self.cell)
        return None if value is None else to_degc(value, unit)


def checked(entry: Entry) -> Entry:
    """The entry, in a form that a log can hold.

    Raises
    ------
    WalkError
        Something in it cannot stand in a log; the message names it and the cure.
    """
    for what, found, cure in _unfit(entry):
        msg = f'"{found}" cannot be {what} in a log; write {cure}'
        raise WalkError(msg)
    return entry


def _unfit(entry: Entry) -> Iterator[tuple[str, str, str]]:
    """What in an entry cannot stand in a log: what it is, what was found, what would be right."""
    if not _KEY.fullmatch(entry.key) or not (entry.target == "" or _KEY.fullmatch(entry.target)):
        yield "the identity of an entry", shown(entry.key), "letters and digits, at most 40"
    if not 0.0 <= entry.elapsed_s <= LATEST_S:
        yield "seconds since the stop", f"{entry.elapsed_s:g}", f"0 to {LATEST_S:g}"
    for name, text, most in (("text", entry.text, LONGEST_TEXT), ("name", entry.by, LONGEST_NAME)):
        if len(text) > most or not text.isprintable():
            yield f"a {name}", shown(text), f"one line of at most {most} characters"
    if len(entry.wall) > LONGEST_NAME or not _MOMENT.fullmatch(entry.wall):
        yield "a moment", shown(entry.wall), "one like 2031-05-04T14:03:30+02:00"
    yield from _unfit_content(entry)


def _unfit_content(entry: Entry) -> Iterator[tuple[str, str, str]]:
    if entry.measures and typed_cell(entry.cell) != entry.cell:
        yield "a reading", shown(entry.cell), "a number, or OL where the gun is beyond its range"
    if entry.kind == "seen" and (read_sights(entry.text).strange or not entry.text.strip()):
        yield "what was seen", shown(entry.text), SEEN_CURE
    if entry.kind == "note" and not entry.text.strip():
        yield "a note", "", "some words"


def refuse_impossible_air(entry: Entry, unit: Unit) -> None:
    """Refuse an air in which nobody works: the log could not be judged with it, whatever else it holds.

    Parameters
    ----------
    entry : Entry
        Of any kind.
    unit : {"C", "F"}
        Of the walk.

    Raises
    ------
    WalkError
        It is one; the message says what the air can be.
    """
    degc = entry.degc(unit) if entry.kind == "air" else None
    if degc is None or COLDEST_AIR_DEGC <= degc <= HOTTEST_AIR_DEGC:
        return
    low, high = (f"{from_degc(end, unit):.0f}" for end in (COLDEST_AIR_DEGC, HOTTEST_AIR_DEGC))
    msg = f'"{entry.cell}" cannot be the air, {low} to {high} °{unit}; measure it in the shade and write that'
    raise WalkError(msg)


def typed_cell(typed: str) -> str | None:
    """What was typed for a temperature, as a log holds it; None where it is neither a number nor such a word.

    Examples
    --------
    >>> typed_cell(" 177,5 "), typed_cell("−4"), typed_cell("ol"), typed_cell("door")
    ('177.5', '-4', 'OL', None)
    """
    text = typed.strip()
    if _FIGURE.fullmatch(text):
        return text.replace(",", ".").replace("−", "-").removeprefix("+")
    word = bare_letters(text) if text.isprintable() else ""
    return word if word in cell_words().no_temperature else None
