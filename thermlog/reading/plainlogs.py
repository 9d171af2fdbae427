"""Small logs with nothing to decide below their heading, many at a time: the same table, much sooner.

Of a log of times, wheels and temperatures whose heading states both units nothing is left but to cut the
rows and to look at the numbers; logs of as many rows are looked at as one array. What a log states above its
heading is read as for every log. Whatever is out of the common (a cell, a pace, a value apart, a statement
that changes how rows are read) leaves a log to the careful reader: nothing is refused, set aside or noted.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import TypeVar

import numpy as np
from msgspec import Struct

from thermlog.reading.air import air_notes, stated_air
from thermlog.reading.columns import plan_columns
from thermlog.reading.dialect import take_comments
from thermlog.reading.gather import Gathered
from thermlog.reading.odd import none_apart_in
from thermlog.reading.overrides import UNIT_WORDS
from thermlog.reading.plan import Plan
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.scale import Asked
from thermlog.reading.statements import Statements, read_statements
from thermlog.reading.taken import taken_of
from thermlog.reading.times.numbers import leave_no_doubt
from thermlog.reading.times.pace import plainly_walked
from thermlog.reading.vocabulary import UNIT_NAMES, UNIT_S, Key, TimeUnit
from thermlog.reading.wheelcodes import wheel_codes
from thermlog.words.errors import LogRefusedError
from thermlog.words.tables import Case, Floats, Ints, LogRecord, Readings
from thermlog.words.units import Unit, to_degc

LARGEST_BYTES = 1 << 16  # of a larger log the careful reader takes hardly longer
_WORDS = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 ,"
_IN_HEAD = bytes(range(32, 127)).translate(None, b"\"'") + b"\n"
_IN_HEADING = _WORDS + b"_()[]"
_IN_ROWS = _WORDS + b".+-\n"
_ALL_BUT_MARKS = bytes(range(256)).translate(None, b",\n")
_COLUMNS, _ROW = 3, b",,\n"
# What a log may state without changing how its rows are read.
_BESIDE: frozenset[Key] = frozenset(
    {"ambient", "vehicle", "drive", "date", "started", "by", "gun", "odometer", "remark"}
)
_Column = TypeVar("_Column", Floats, Ints)


class PlainLog(Struct, frozen=True, kw_only=True, eq=False):
    """A log that was read here, and the plan of its columns."""

    plan: Plan
    gathered: Gathered


class _Plain(Struct, frozen=True, kw_only=True, eq=False):
    """The plan of such a table, with the units that it states."""

    plan: Plan
    time_unit: TimeUnit
    unit: Unit


class _Numbers(dict[str, float]):
    """Numbers by their texts: most cells of many logs hold one of a few hundred, found sooner than read."""

    def __missing__(self, text: str) -> float:
        self[text] = value = float(text)
        return value


class _Log(Struct, frozen=True, kw_only=True):
    """A log by its place among those that were asked for."""

    place: int
    file: str
    sha256: str


class _Cut(Struct, frozen=True, kw_only=True, eq=False):
    """A log cut into what stands above its rows, and their cells; `line` is that of the first row."""

    log: _Log
    plain: _Plain
    heading: str
    statements: Statements
    line: int
    position: tuple[str, ...]
    time: list[float]
    temp: list[float]


class _Wheels(Struct, frozen=True, kw_only=True, eq=False):
    """Wheels of some rows, and what their words tell besides."""

    axle: Ints
    side: Ints
    spot: Ints
    axles_least: int
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
    numbers = _Numbers()
    for place, (file, content, sha256) in enumerate(logs):
        cut = _cut(_Log(place=place, file=file, sha256=sha256), content, numbers)
        if cut is not None:
            alike.setdefault((cut.heading, len(cut.position)), []).append(cut)
    return {place: log for cuts in alike.values() for place, log in _told(cuts, options)}


# ---- one log: above its rows, and their cells -----------------------------------------------------------


def _cut(log: _Log, content: bytes, numbers: _Numbers) -> _Cut | None:
    """Heading and cells of a log; None if anything is out of the common."""
    begin = content.find(b"\n", content.rfind(b"\n#") + 1) + 1 if content.startswith(b"#") else 0
    end = content.find(b"\n", begin) + 1
    head, heading = content[:begin], content[begin:end].removesuffix(b"\n")
    if not 0 < end < len(content) <= LARGEST_BYTES or heading.translate(None, _IN_HEADING):
        return None
    plain, table = _plain(heading.decode()), _table(content[end:])
    statements = _stated(head, log.file)
    if plain is None or table is None or statements is None:
        return None
    index = plain.plan.index
    times, temps = table[index["time"] :: _COLUMNS], table[plain.plan.temps[0].index :: _COLUMNS]
    try:
        time, temp = [numbers[cell] for cell in times], [numbers[cell] for cell in temps]
    except ValueError:
        return None
    return _Cut(
        log=log,
        plain=plain,
        heading=heading.decode(),
        statements=statements,
        line=head.count(b"\n") + 2,
        position=tuple(table[index["position"] :: _COLUMNS]),
        time=time,
        temp=temp,
    )


def _table(rows: bytes) -> list[str] | None:
    """All cells, row by row; None if not every row has three, or something else is odd."""
    rows = rows.removesuffix(b"\n")
    marks = rows.translate(None, _ALL_BUT_MARKS) + b"\n"
    if rows.translate(None, _IN_ROWS) or marks != _ROW * (len(marks) // len(_ROW)):
        return None
    return rows.decode().replace("\n", ",").split(",")


@lru_cache(maxsize=256)
def _plain(heading: str) -> _Plain | None:
    """Plan of a table of times, wheels and temperatures of stated units; None for any other."""
    plan = plan_columns(tuple(heading.split(",")))
    if plan.layout != "long" or plan.width != _COLUMNS or plan.index.keys() != {"time", "position"}:
        return None
    special = plan.of_day or plan.digits or plan.countdown or plan.strange_time or plan.time_parts
    time_unit, temp = plan.time_unit, plan.temps[0]
    if special or time_unit is None or temp.unit is None or temp.factor != 1.0:
        return None
    return _Plain(plan=plan, time_unit=time_unit, unit=temp.unit)


def _stated(head: bytes, file: str) -> Statements | None:
    """What comments state; None if there is more than comments, or if some may change how rows are read."""
    lines = head.decode("ascii", "replace").split("\n")[:-1]
    if head.translate(None, _IN_HEAD) or not all(line.startswith("#") for line in lines):
        return None
    try:
        found = read_statements(take_comments(lines, head.decode()), file=file)
    except LogRefusedError:  # the careful reader says so
        return None
    beside = found.said.keys() <= _BESIDE and not found.seen and not found.taken_back
    return found if beside else None


# ---- logs of as many rows -------------------------------------------------------------------------------


def _told(cuts: Sequence[_Cut], options: ReadOptions) -> Iterator[tuple[int, PlainLog]]:
    """Logs with one heading and as many rows, without those that are not plain."""
    plain = cuts[0].plain
    time, temp = np.array([cut.time for cut in cuts]), np.array([cut.temp for cut in cuts])
    limits, rows = options.limits, time.shape[1]
    with np.errstate(invalid="ignore", over="ignore"):  # "inf" is a number, too
        elapsed_s, degc = time * UNIT_S[plain.time_unit] + 0.0, to_degc(temp, plain.unit)
        usual = leave_no_doubt(time.min(1), time.max(1), rows, plain.time_unit)
        usual = usual & plainly_walked(elapsed_s, limits) & none_apart_in(degc)
        usual &= (degc >= limits.lowest_reading_degc).all(1) & (degc <= limits.highest_reading_degc).all(1)
    numbered: dict[int, Ints] = {}
    wheels: dict[tuple[str, ...], _Wheels | None] = {}
    case, silent = _shared(np.zeros(rows, dtype=np.int64)), _shared(np.full(rows, np.nan))
    for k in np.flatnonzero(usual).tolist():
        cut = cuts[k]
        asked = Asked(file=cut.log.file, plan=plain.plan, statements=cut.statements, options=options)
        if cut.position not in wheels:
            wheels[cut.position] = _wheels_of(cut.position, asked)
        own = wheels[cut.position]
        told = None if own is None else _case(cut, asked, own)
        if own is None or told is None:
            continue
        if cut.line not in numbered:
            numbered[cut.line] = _shared(np.arange(cut.line, cut.line + rows))
        readings = Readings(
            cases=(told,),
            case=case,
            line=numbered[cut.line],
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
    return _Wheels(
        axle=_shared(codes.axle[code]),
        side=_shared(codes.side[code]),
        spot=_shared(codes.spot[code]),
        axles_least=int(codes.axles_least[code].max()),
        notes=codes.notes,
    )


def _case(cut: _Cut, asked: Asked, wheels: _Wheels) -> Case | None:
    """The one case of a log; None if its air is none."""
    said, base = cut.statements, asked.plan.temps[0].unit
    try:
        notes = (*asked.plan.notes, *said.notes, *wheels.notes, *air_notes(asked, base))
    except LogRefusedError:  # the careful reader says so
        return None
    air = stated_air(said, asked.options, base)
    rows = len(cut.position)
    record = LogRecord(
        file=cut.log.file,
        sha256=cut.log.sha256,
        rows_read=rows,
        rows_used=rows,
        notes=tuple(dict.fromkeys(notes)),
    )
    return Case(
        log=record,
        vehicle=said.vehicle or None,
        drive=said.drive,
        ambient_degc=air.degc,
        ambient_sigma_k=air.sigma_k,
        ambient_source=air.source,
        parked_known=asked.plan.since_parked,
        taken=taken_of(said.said, {}, None, None),
        axles_least=wheels.axles_least,
    )
