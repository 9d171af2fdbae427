"""Header comments: ``# key: value`` lines beside the table."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.reading.cells import DecimalMark, Measured, measured, number, shown, tidy, unit_word
from thermlog.reading.files.comments import Comment, first_unused
from thermlog.reading.headings import plain_words
from thermlog.reading.keyvalue import Pair, pair_in
from thermlog.reading.parkedmoment import moment_alone
from thermlog.reading.vocabulary import (
    COUNT_WORDS,
    DRIVES_BY_WORD,
    MAY_DIFFER,
    ORDER_WORDS,
    SECTION_KEYS,
    SIDE_WORDS,
    TRAFFIC_WORDS,
    UNBRAKED,
    Key,
)
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular
from thermlog.words.tables import Drive
from thermlog.words.units import Unit, to_degc

if TYPE_CHECKING:
    from thermlog.reading.vocabulary import AxleCount, DateOrder, VehicleSide

_MARKS: dict[str, DecimalMark] = {
    **dict.fromkeys((",", "comma"), ","),
    **dict.fromkeys((".", "point", "dot"), "."),
}  # fmt: skip
_UNKNOWN = regular(r"(?:unknown|not (?:known|measured|noted|taken|read)|n/?a|none|\?|-+)?")

_UNCERTAIN = regular(r"±|\+/?-")
SAME_AIR_K = 0.3  # half a degree Fahrenheit: the same air, rounded in two units

_V = TypeVar("_V")


class Said(Struct, frozen=True, kw_only=True):
    """One statement as written."""

    line: int
    key: str
    text: str
    unit: Unit | None = None


class Statements(Struct, kw_only=True):
    """Everything the header comments of a file state, already understood.

    Attributes
    ----------
    said : mapping
        Key -> the statement as written.
    ambient : Measured or None
        Air temperature in the unit written.
    seen : tuple of Said
        What was seen, as written; may be stated more than once.
    taken_back : tuple of Said
        Readings that whoever took them did not mean, by their lines; may be stated more than once.
    notes : tuple of str
        Comments that say nothing thermlog knows, and statements that cannot be read.
    sections : tuple of (int, Statements)
        Lines from which other statements hold, and those.
    """

    said: Mapping[Key, Said]
    ambient: Measured | None = None
    parked: str | None = None
    vehicle: str | None = None
    drive: Drive | None = None
    unit: Unit | None = None
    emissivity: float | None = None
    distance_m: float | None = None
    traffic: VehicleSide | None = None
    driver_side: VehicleSide | None = None
    language: str | None = None
    axle_count: AxleCount | None = None
    date_order: DateOrder | None = None
    decimal: DecimalMark | None = None
    seen: tuple[Said, ...] = ()
    taken_back: tuple[Said, ...] = ()
    notes: tuple[str, ...] = ()
    sections: tuple[tuple[int, Statements], ...] = ()

    def section(self, line: int) -> int:
        """Number of the section that a line of the readings stands in; 0 before the first."""
        return bisect([start for start, _ in self.sections], line)

    def within(self, section: int) -> Statements:
        """What holds in a section."""
        return self.sections[section - 1][1] if section else self

    def at(self, line: int) -> Statements:
        """What holds in a line of the readings."""
        return self.within(self.section(line))


NOTHING_SAID = Statements(said={})


def drive_word(text: str) -> Drive | None:
    """Kind of drive a word stands for, or None.

    >>> drive_word("Coast-down"), drive_word("B"), drive_word("Tuesday")
    ('coast', 'coast', None)
    >>> drive_word("motorway, hardly braked"), drive_word("no traffic, normal braking")
    ('coast', None)
    """
    words = plain_words(text)
    return DRIVES_BY_WORD.get(words) or ("coast" if UNBRAKED.search(words) else None)


def is_statement(text: str, *, remarks: bool = False) -> bool:
    """True if a line reads ``key: value`` with a key that thermlog knows; a remark only if asked for."""
    pair = pair_in(text)
    return pair is not None and pair.key is not None and (remarks or pair.key not in {"remark", "label"})


def readable_pair(text: str) -> Pair | None:
    """A statement of which the value can be read; None of any other."""
    pair = pair_in(text)
    if pair is None or pair.key not in _READERS:
        return None
    try:
        _READERS[pair.key][1](Said(line=0, key=pair.name, text=pair.text, unit=pair.unit))
    except NotReadError:
        return None
    return pair


def names_key(comment: str, key: Key) -> bool:
    """True if a line states this key."""
    pair = pair_in(comment)
    return pair is not None and pair.key == key


def read_statements(comments: Iterable[Comment], *, file: str, rows: Sequence[int] = ()) -> Statements:
    """Meaning of all header comments of a file.

    Parameters
    ----------
    comments : iterable of Comment
    file : str
        For messages.
    rows : sequence of int
        Lines of the readings: what is stated between them may begin another vehicle, drive or wheel.

    Raises
    ------
    LogRefusedError
        A key is stated twice with different values, and no other vehicle, drive or wheel begins there.
    """
    groups: dict[int, list[Comment]] = {}
    for comment in sorted(comments, key=lambda comment: comment.line):
        groups.setdefault(bisect(rows, comment.line), []).append(comment)
    if not groups:
        return NOTHING_SAID
    around = _Block(file=file)
    for group in (0, len(rows)):
        around.add(groups.pop(group, []))
    sections: list[tuple[int, Statements]] = []
    current = around
    for group in sorted(groups):
        fresh = _Block(file=file)
        fresh.add(groups[group])
        if current.begins_anew(fresh):
            current = current.followed_by(fresh)
            sections.append((rows[group], current.understood()))
        else:
            current.add(groups[group])
    return _with_sections(around.understood(), sections)


def _with_sections(whole: Statements, sections: Sequence[tuple[int, Statements]]) -> Statements:
    """What is stated around the table, and between its rows."""
    if not sections and first_unused(whole.notes, "comments") == whole.notes:
        return whole
    notes = tuple(dict.fromkeys((*whole.notes, *(note for _, one in sections for note in one.notes))))
    notes = first_unused(notes, "comments")
    blocks = (whole, *(one for _, one in sections))
    seen, back = (tuple(dict.fromkeys(chain(*each))) for each in zip(*map(_repeatable, blocks), strict=True))
    return replace(whole, notes=notes, seen=seen, taken_back=back, sections=tuple(sections))


def _repeatable(one: Statements) -> tuple[tuple[Said, ...], tuple[Said, ...]]:
    """What may be stated more than once."""
    return one.seen, one.taken_back


class _Block(Struct, kw_only=True):
    """What is stated for the rows that follow."""

    file: str
    said: dict[Key, Said] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    seen: list[Said] = field(default_factory=list)
    taken_back: list[Said] = field(default_factory=list)

    def add(self, comments: Iterable[Comment]) -> None:
        """Take up what comments state; a contradiction is refused."""
        for comment in comments:
            pair = pair_in(comment.text)
            if pair is None or pair.key is None:
                if text := shown(comment.text, 60):
                    self.notes.append(f'line {comment.line}: comment "{text}" says nothing thermlog uses')
                continue
            fresh = Said(line=comment.line, key=pair.name, text=pair.text, unit=pair.unit)
            if pair.key == "parked" and (moment := moment_alone(pair.text)) != pair.text:
                self.notes.append(f'line {comment.line}: parked "{shown(pair.text, 60)}" taken as {moment}')
                fresh = replace(fresh, text=moment)
            if pair.key in {"seen", "taken_back"}:
                (self.seen if pair.key == "seen" else self.taken_back).append(fresh)
            else:
                self.said[pair.key] = self._agreed(pair.key, fresh)

    def _agreed(self, key: Key, fresh: Said) -> Said:
        """What holds of a key that is stated once more, or for the first time."""
        old = self.said.get(key)
        if old is None:
            return fresh
        if key == "ambient" and (air := _same_air(old, fresh)):
            return air
        if key not in MAY_DIFFER and not _same(old, fresh):
            raise contradiction(old, fresh, self.file)
        return old

    def begins_anew(self, fresh: _Block) -> bool:
        """Whether a block of comments between the rows names another vehicle, drive, wheel or moment."""
        keys = SECTION_KEYS & fresh.said.keys()
        if any(key not in self.said or self.said[key].text != fresh.said[key].text for key in keys):
            return True
        return any(self.said[key].text != fresh.said[key].text for key in _moments(self, fresh))

    def followed_by(self, fresh: _Block) -> _Block:
        """What holds from there on: of another vehicle neither drive, wheel nor parked moment are known."""
        known = dict(self.said)
        if "vehicle" in fresh.said:
            known = {key: one for key, one in known.items() if key not in _OF_ONE_DRIVE}
        elif "drive" in fresh.said:
            known.pop("parked", None)
        elif any(self.said[key].text != fresh.said[key].text for key in _moments(self, fresh)):
            known = {key: one for key, one in known.items() if key not in _OF_ONE_DAY}
        return replace(fresh, said={**known, **fresh.said})

    def understood(self) -> Statements:
        """The same with every value read; one that cannot be is named and not used."""
        found: dict[str, Any] = {}
        notes = list(self.notes)
        for key, one in self.said.items():
            if key not in _READERS:
                continue
            name, reader = _READERS[key]
            try:
                found[name] = reader(one)
            except NotReadError as fault:
                notes.append(f"line {one.line}: {unused_words(one, fault)}")
        found |= {"seen": tuple(self.seen), "taken_back": tuple(self.taken_back)}
        return Statements(said=self.said, notes=tuple(notes), **found)


def _same(one: Said, other: Said) -> bool:
    """True for one value, in capitals or not: 16 C and 16 c."""
    return one.text.casefold() == other.text.casefold()


def _same_air(old: Said, new: Said) -> Said | None:
    """Of two statements of one air temperature the one with its unit; None where they differ.

    A figure without unit is the same figure with one: who writes "air 16" and "16 C" read one thermometer.
    """
    if _UNCERTAIN.search(old.text + new.text):
        return None
    first, second = measured(old.text), measured(new.text)
    units = first.unit or old.unit, second.unit or new.unit
    if first.problem or second.problem or (None in units and first.value != second.value):
        return None
    one, other = (
        to_degc(value, unit or "C") for value, unit in zip((first.value, second.value), units, strict=True)
    )
    if None not in units and abs(one - other) > SAME_AIR_K:
        return None
    return old if units[0] is not None else new


def _moments(before: _Block, fresh: _Block) -> frozenset[Key]:
    return WALK_KEYS & before.said.keys() & fresh.said.keys()


# Another value of these between the rows may begin another drive of the same vehicle.
WALK_KEYS: frozenset[Key] = frozenset({"date", "parked"})
_OF_ONE_DAY: frozenset[Key] = frozenset({"ambient", "parked", "started", "odometer"})
_OF_ONE_DRIVE: frozenset[Key] = frozenset({"drive", "wheel", "spot", "parked", "started", "odometer"})


class NotReadError(Exception):
    """What a statement says cannot be read; it sinks nothing and becomes a note."""


def unused_words(said: Said, fault: NotReadError) -> str:
    """What names a statement that cannot be read; a note has its line in front."""
    return f'"{shown(said.key)}: {shown(said.text, 60)}" is not used: {fault}'


def contradiction(old: Said, new: Said, file: str) -> LogRefusedError:
    """Refusal of a key with two values, where nothing says that they are of two drives."""
    problem = (
        f'line {old.line} states "{shown(old.text)}" already; make one file of each drive or vehicle, '
        "or state it in a column"
    )
    return LogRefusedError(
        problem,
        code="stated_twice",
        file=file,
        line=new.line,
        column=f"# {new.key}",
        value=shown(new.text),
    )


def one_of(
    said: Said | None, words: Mapping[str, _V], *, normal: Callable[[str], str] = plain_words
) -> _V | None:
    """Meaning of a statement by its word; None if nothing was stated."""
    if said is None:
        return None
    word = normal(said.text)
    if word in words:
        return words[word]
    names = ", ".join(str(name) for name in dict.fromkeys(words.values()))
    msg = f"not understood; write one of: {names}"
    raise NotReadError(msg)


def _ambient(said: Said) -> Measured | None:
    if not said.text[:1].isdigit() and _UNKNOWN.fullmatch(said.text.lower()):
        return None
    found = measured(said.text, ".")
    if found.problem:
        found = measured(said.text, ",")
    if found.problem:
        msg = "not a temperature; write it like 18 C, 64 F or 18 ± 2 C"
        raise NotReadError(msg)
    return replace(found, unit=found.unit or said.unit)


def _unit(said: Said) -> Unit:
    unit = unit_word(said.text)
    if unit is None:
        msg = "not a temperature unit; write C, F or K"
        raise NotReadError(msg)
    return unit


def figure(said: Said | None, cure: str) -> float | None:
    """Positive number of a statement below 100; None if nothing was stated."""
    if said is None:
        return None
    value = number(said.text.removesuffix("m").replace(",", "."))
    if value is None or not 0 < value < 100:
        msg = f"not understood; {cure}"
        raise NotReadError(msg)
    return value


def _emissivity(said: Said) -> float | None:
    value = figure(said, "write the emissivity of the surface, like 0.8")
    if value is not None and value > 1:
        msg = "an emissivity lies above 0 and up to 1"
        raise NotReadError(msg)
    return value


_READERS: dict[Key, tuple[str, Callable[[Said], Any]]] = {
    "ambient": ("ambient", _ambient),
    "parked": ("parked", lambda said: said.text),
    "vehicle": ("vehicle", lambda said: shown(said.text)),
    "drive": ("drive", lambda said: drive_word(said.text) or one_of(said, DRIVES_BY_WORD)),
    "unit": ("unit", _unit),
    "emissivity": ("emissivity", _emissivity),
    "distance": ("distance_m", lambda said: figure(said, "write metres, like 0.4")),
    "traffic": ("traffic", lambda said: one_of(said, TRAFFIC_WORDS)),
    "driver_side": ("driver_side", lambda said: one_of(said, SIDE_WORDS)),
    "language": ("language", lambda said: plain_words(said.text)),
    "axle_count": ("axle_count", lambda said: one_of(said, COUNT_WORDS)),
    "date_order": ("date_order", lambda said: one_of(said, ORDER_WORDS)),
    "decimal": ("decimal", lambda said: one_of(said, _MARKS, normal=tidy)),
}
