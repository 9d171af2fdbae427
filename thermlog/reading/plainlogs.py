"""Small logs with nothing to decide below their heading, many at a time: the same table, much sooner.

Of a log of times, wheels and temperatures whose heading states both units nothing is left but to cut the
rows and to look at the numbers; logs of as many rows are looked at as one array. What a log states above its
heading is read as for every log. Whatever is out of the common (a cell, a pace, a statement that changes how
rows are read) leaves a log to the careful reader: nothing is refused or set aside.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import TypeVar

import numpy as np
from msgspec import Struct, field

from thermlog.reading.air import Air, air_notes, stated_air
from thermlog.reading.columns import plan_columns
from thermlog.reading.copied import copied_wheels
from thermlog.reading.files.dialect import Comment, take_comments
from thermlog.reading.gathered import Gathered
from thermlog.reading.namedaxles import axles_named
from thermlog.reading.odd import MOST_TYPED, none_apart_in, odd_note, odd_readings
from thermlog.reading.overrides import UNIT_WORDS
from thermlog.reading.plan import Plan
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.remarks.plainsaid import says_no_more
from thermlog.reading.scale import Asked
from thermlog.reading.severalsaid import each_said
from thermlog.reading.statements import read_statements
from thermlog.reading.taken import taken_of
from thermlog.reading.times.numbers import leave_no_doubt
from thermlog.reading.times.pace import plainly_walked
from thermlog.reading.vocabulary import KEYS, UNIT_NAMES, UNIT_S, Key, TimeUnit
from thermlog.reading.wheelcodes import called_here, wheel_codes
from thermlog.words.errors import LogRefusedError
from thermlog.words.policy import ReadingLimits
from thermlog.words.regular import regular
from thermlog.words.tables import Case, Floats, Ints, LogRecord, Odd, Readings, Taken
from thermlog.words.units import Unit, to_degc
from thermlog.words.vehicle import OwnWords

LARGEST_PLAIN_BYTES = 1 << 16  # of a larger log the careful reader takes hardly longer
_WORDS = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 ,"
_IN_HEAD = bytes(range(32, 127)).translate(None, b"\"'") + b"\n"
_IN_HEADING = _WORDS + b"_()[]"
_IN_ROWS = _WORDS + b".+-\n"
_ALL_BUT_MARKS = bytes(range(256)).translate(None, b",\n")
_COLUMNS, _ROW = 3, b",,\n"
# What a log may state without changing how its rows are read.
_BESIDE: frozenset[Key] = frozenset(
    {"ambient", "vehicle", "drive", "date", "started", "by", "gun", "odometer", "label"}
)
# Most logs of a depot state the same but for the name of the vehicle. With a sign in its place that stands in
# no plain log, what they state is one text and read once.
_STATED = regular(r"^# ([A-Za-z ]+): ([0-9A-Za-z](?:[0-9A-Za-z ._-]{0,60}[0-9A-Za-z])?)$", re.MULTILINE)
_SOME_VEHICLE = "§"
_NAME_WORDS = 2  # of a vehicle; more may say what was seen: "van 7 RR smoking"
_Column = TypeVar("_Column", Floats, Ints)


class PlainLog(Struct, frozen=True, kw_only=True, eq=False):
    """A log that was read here, and the plan of its columns."""

    plan: Plan
    gathered: Gathered


class _Plain(Struct, frozen=True, kw_only=True, eq=False):
    """The plan of such a table, with the units that it states."""

    heading: str
    plan: Plan
    time_unit: TimeUnit
    unit: Unit


class _Numbers(dict[str, float]):
    """Numbers by their texts: most cells of many logs hold one of a few hundred, found sooner than read."""

    def __missing__(self, text: str) -> float:
        self[text] = value = float(text)
        return value


class _Known(Struct, frozen=True, kw_only=True):
    """What was met before in these logs: numbers by their texts, and columns of wheels, each kept once."""

    numbers: _Numbers = field(default_factory=_Numbers)
    positions: dict[tuple[str, ...], tuple[str, ...]] = field(default_factory=dict)


class _Log(Struct, frozen=True, kw_only=True):
    """A log by its place among those that were asked for."""

    place: int
    file: str
    sha256: str


class _Above(Struct, frozen=True, kw_only=True, eq=False):
    """What stands above the rows of many logs alike; `line` is that of the first row."""

    plain: _Plain
    asked: Asked
    line: int
    air: Air
    air_notes: tuple[str, ...]
    taken: Taken | None


class _Cut(Struct, frozen=True, kw_only=True, eq=False):
    """A log cut into what stands above its rows, its vehicle, and the cells of its rows."""

    log: _Log
    above: _Above
    vehicle: str | None
    position: tuple[str, ...]
    time: list[float]
    temp: list[float]


class _Wheels(Struct, frozen=True, kw_only=True, eq=False):
    """Wheels of some rows, and what their words tell besides."""

    axle: Ints
    side: Ints
    spot: Ints
    corner: tuple[str, ...]
    axles_least: int
    called: tuple[OwnWords, ...]
    notes: tuple[str, ...]


def plain_logs(logs: Sequence[tuple[str, bytes, str]], options: ReadOptions) -> Mapping[int, PlainLog]:
    """Those of some logs that leave nothing to decide.

    Parameters
    ----------
    logs : sequence of (file, content, sha256)
    options : ReadOptions
        Where anything but limits is asked for, no log is plain.

    Returns
    -------
    mapping of int to PlainLog
        By place in `logs`; just what the careful reader makes of them.
    """
    if options != ReadOptions(limits=options.limits):
        return {}
    alike: dict[tuple[str, int], list[_Cut]] = {}
    known = _Known()
    for place, (file, content, sha256) in enumerate(logs):
        cut = _cut(_Log(place=place, file=file, sha256=sha256), content, known)
        if cut is not None:
            alike.setdefault((cut.above.plain.heading, len(cut.position)), []).append(cut)
    return {place: log for cuts in alike.values() for place, log in _told(cuts, options.limits)}


# ---- one log: above its rows, and their cells -----------------------------------------------------------


def _cut(log: _Log, content: bytes, known: _Known) -> _Cut | None:
    """Heading and cells of a log; None if anything is out of the common."""
    begin = content.find(b"\n", content.rfind(b"\n#") + 1) + 1 if content.startswith(b"#") else 0
    end = content.find(b"\n", begin) + 1
    head, heading = content[:begin], content[begin:end].removesuffix(b"\n")
    if not 0 < end < len(content) <= LARGEST_PLAIN_BYTES:
        return None
    if heading.translate(None, _IN_HEADING) or head.translate(None, _IN_HEAD):
        return None
    shared, vehicle = _without_vehicle(head.decode())
    above, table = _above(shared, heading.decode()), _table(content[end:])
    vehicle = vehicle or (above.asked.statements.vehicle if above is not None else None)
    if above is None or table is None or axles_named(vehicle):
        return None
    index = above.plain.plan.index
    times, temps = table[index["time"] :: _COLUMNS], table[above.plain.plan.temps[0].index :: _COLUMNS]
    try:
        time, temp = list(map(known.numbers.__getitem__, times)), list(map(known.numbers.__getitem__, temps))
    except ValueError:
        return None
    position = tuple(table[index["position"] :: _COLUMNS])
    if _is_copied(position, temps):
        return None
    return _Cut(
        log=log,
        above=above,
        vehicle=vehicle or None,
        position=known.positions.setdefault(position, position),
        time=time,
        temp=temp,
    )


@lru_cache(maxsize=256)
def _first_rows(position: tuple[str, ...]) -> tuple[int, ...]:
    """First row of every wheel; the logs of a depot have much the same order."""
    return tuple({word: k for k, word in reversed([*enumerate(position)])}.values())


def _is_copied(position: tuple[str, ...], temps: Sequence[str]) -> bool:
    """True where one wheel has the figures of another."""
    first = _first_rows(position)
    if len({temps[k] for k in first}) == len(first):
        return False  # no two wheels begin alike
    figures: dict[str, list[str]] = {}
    for word, cell in zip(position, temps, strict=True):
        figures.setdefault(word, []).append(cell)
    return bool(copied_wheels(figures))


def _table(rows: bytes) -> list[str] | None:
    """All cells, row by row; None if not every row has three, or something else is odd."""
    rows = rows.removesuffix(b"\n")
    marks = rows.translate(None, _ALL_BUT_MARKS) + b"\n"
    if rows.translate(None, _IN_ROWS) or marks != _ROW * (len(marks) // len(_ROW)):
        return None
    return rows.decode().replace("\n", ",").split(",")


def _without_vehicle(head: str) -> tuple[str, str | None]:
    """What stands above a heading, with a sign in place of the vehicle; and the vehicle, if it is seen."""
    stated = _STATED.finditer(head)
    found = next((one for one in stated if KEYS.get(one[1].lower()) == "vehicle"), None)
    if found is None or len(found[2].split()) > _NAME_WORDS:
        return head, None
    return f"{head[: found.start(2)]}{_SOME_VEHICLE}{head[found.end(2) :]}", found[2]


@lru_cache(maxsize=256)
def _above(head: str, heading: str) -> _Above | None:
    """What stands above the rows; None if some of it is no comment, or may change how rows are read."""
    plain, lines = _plain(heading), head.split("\n")[:-1]
    if plain is None or not all(line.startswith("#") for line in lines):
        return None
    row, unit = len(lines) + 2, plain.plan.temps[0].unit
    comments = each_said(take_comments(lines, head))
    if _says_more(comments):
        return None
    try:  # what is refused here the careful reader refuses, too, and says so
        said = read_statements(comments, file="")
        asked = Asked(file="", plan=plain.plan, statements=said, options=ReadOptions())
        notes = tuple(air_notes(asked, unit))
    except LogRefusedError:
        return None
    if not said.said.keys() <= _BESIDE or said.seen or said.taken_back:
        return None
    air, taken = stated_air(said, asked.options, unit), taken_of(said.said, {}, None, None)
    return _Above(plain=plain, asked=asked, line=row, air=air, air_notes=notes, taken=taken)


def _says_more(comments: Iterable[Comment]) -> bool:
    """True where a comment says anything of the vehicle that it does not state; most plainly do not."""
    left = [one for one in comments if not (one.text.endswith(_SOME_VEHICLE) or says_no_more(one.text))]
    if not left:
        return False
    from thermlog.reading.beheld import told_apart  # with a dozen modules behind it
    from thermlog.reading.spottitles import titled_spot

    return bool(told_apart(left)[1]) or any(titled_spot(one.text) is not None for one in left)


@lru_cache(maxsize=256)
def _plain(heading: str) -> _Plain | None:
    """Plan of a table of times, wheels and temperatures of stated units; None for any other."""
    plan = plan_columns(tuple(heading.split(",")))
    if plan.layout != "long" or plan.width != _COLUMNS or plan.index.keys() != {"time", "position"}:
        return None
    special = plan.of_day or plan.digits or plan.countdown or plan.strange_time or plan.time_parts
    time_unit, temp = plan.time_unit, plan.temps[0]
    if special or time_unit is None or temp.unit is None or temp.factor != 1.0 or temp.spot is not None:
        return None
    return _Plain(heading=heading, plan=plan, time_unit=time_unit, unit=temp.unit)


# ---- logs of as many rows -------------------------------------------------------------------------------


def _told(cuts: Sequence[_Cut], limits: ReadingLimits) -> Iterator[tuple[int, PlainLog]]:
    """Logs with one heading and as many rows, without those that are not plain."""
    plain = cuts[0].above.plain
    time, temp = np.array([cut.time for cut in cuts]), np.array([cut.temp for cut in cuts])
    rows = time.shape[1]
    with np.errstate(invalid="ignore", over="ignore"):  # "inf" is a number, too
        elapsed_s, degc = time * UNIT_S[plain.time_unit] + 0.0, to_degc(temp, plain.unit)
        usual = leave_no_doubt(time.min(1), time.max(1), rows, plain.time_unit)
        usual = usual & plainly_walked(elapsed_s, limits)
        usual &= (temp != 0.0).all(1)  # it may be none
        usual &= (degc >= limits.lowest_reading_degc).all(1) & (degc <= limits.highest_reading_degc).all(1)
    apart = ~none_apart_in(degc) if rows <= MOST_TYPED else np.zeros(len(cuts), dtype=bool)
    numbered: dict[int, Ints] = {}
    wheels: dict[tuple[str, ...], _Wheels | None] = {}
    case, silent = _shared(np.zeros(rows, dtype=np.int64)), _shared(np.full(rows, np.nan))
    for k in np.flatnonzero(usual).tolist():
        cut = cuts[k]
        if cut.position not in wheels:
            wheels[cut.position] = _wheels_of(cut.position, cut.above.asked)
        own, line = wheels[cut.position], cut.above.line
        if own is None:
            continue
        if line not in numbered:
            numbered[line] = _shared(np.arange(line, line + rows))
        told = _case(cut, own, _odd(cut, own, degc[k]) if apart[k] else ())
        readings = Readings(
            cases=(told,),
            case=case,
            line=numbered[line],
            axle=own.axle,
            side=own.side,
            spot=own.spot,
            elapsed_s=elapsed_s[k],
            indicated_degc=degc[k],
            emissivity=silent,
            distance_m=silent,
        )
        gathered = Gathered(
            readings=readings,
            record=told.log,
            decimal="point",
            unit=UNIT_WORDS[plain.unit],
            time=UNIT_NAMES[plain.time_unit],
        )
        yield cut.log.place, PlainLog(plan=plain.plan, gathered=gathered)


def _shared(column: _Column) -> _Column:
    """A column that many logs have in common: nobody may write in it."""
    column.setflags(write=False)
    return column


def _wheels_of(position: tuple[str, ...], asked: Asked) -> _Wheels | None:
    """Wheels of some rows; None if one of them names none."""
    codes = wheel_codes(frozenset(position), asked)
    if not codes.clean:
        return None
    code = np.array([codes.of[text] for text in position])
    corner = {text: codes.corner(codes.of[text]) or "" for text in set(position)}
    return _Wheels(
        axle=_shared(codes.axle[code]),
        side=_shared(codes.side[code]),
        spot=_shared(codes.spot[code]),
        corner=tuple(corner[text] for text in position),
        axles_least=int(codes.axles_least[code].max()),
        called=called_here(codes, corner),
        notes=codes.notes,
    )


def _odd(cut: _Cut, wheels: _Wheels, degc: Floats) -> Sequence[Odd]:
    """Readings of a log that may be typing errors."""
    lines = range(cut.above.line, cut.above.line + degc.size)
    return odd_readings(
        dict(enumerate(degc.tolist())), wheels.corner.__getitem__, lines, cut.above.plain.unit
    )


def _case(cut: _Cut, wheels: _Wheels, odd: Sequence[Odd]) -> Case:
    """The one case of a log."""
    above, rows = cut.above, len(cut.position)
    plan, said = above.plain.plan, above.asked.statements
    notes = (*plan.notes, *said.notes, *wheels.notes, *above.air_notes, *map(odd_note, odd))
    record = LogRecord(
        file=cut.log.file,
        sha256=cut.log.sha256,
        rows_read=rows,
        rows_used=rows,
        notes=tuple(dict.fromkeys(notes)),
    )
    return Case(
        log=record,
        vehicle=cut.vehicle,
        drive=said.drive,
        ambient_degc=above.air.degc,
        ambient_sigma_k=above.air.sigma_k,
        ambient_source=above.air.source,
        parked_known=plan.since_parked,
        taken=above.taken,
        axles_least=wheels.axles_least,
        odd=tuple(odd),
        called=wheels.called,
    )
