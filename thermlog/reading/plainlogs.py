"""Small logs with nothing to decide below their heading, many at a time: the same table, much sooner.

Of a log of times, wheels, temperatures and perhaps spots whose heading states both units nothing is left but
to cut the rows and to look at the numbers; logs of as many rows are looked at as one array. What a log states
above its heading is read as for every log. Whatever is out of the common (a cell, a pace, a statement that
changes how rows are read) leaves a log to the careful reader: nothing is refused or set aside.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import TypeVar

import numpy as np
from msgspec import Struct, field

from thermlog.reading.copied import copied_wheels
from thermlog.reading.description import DESCRIBING_KEYS, axles_counted, unreadable, vehicle_described
from thermlog.reading.gathered import Gathered
from thermlog.reading.namedaxles import axles_named
from thermlog.reading.odd import MOST_TYPED, none_apart_in, odd_note, odd_readings
from thermlog.reading.overrides import UNIT_WORDS
from thermlog.reading.plainabove import AboveRows, above_rows, without_vehicle
from thermlog.reading.plan import Plan
from thermlog.reading.positions.resolve import spot_of
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.scale import Asked
from thermlog.reading.times.numbers import leave_no_doubt
from thermlog.reading.times.pace import plainly_walked
from thermlog.reading.vocabulary import UNIT_NAMES, UNIT_S
from thermlog.reading.wheelcodes import called_here, wheel_codes
from thermlog.words.errors import LogRefusedError
from thermlog.words.policy import ReadingLimits
from thermlog.words.tables import Case, Floats, Ints, LogRecord, Odd, Readings
from thermlog.words.units import to_degc
from thermlog.words.vehicle import SPOTS, OwnWords, Vehicle

LARGEST_PLAIN_BYTES = 1 << 16  # of a larger log the careful reader takes hardly longer
_WORDS = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 ,"
_IN_HEAD = bytes(range(32, 127)).translate(None, b"\"'") + b"\n"
_IN_HEADING = _WORDS + b"_()[]"
_IN_ROWS = _WORDS + b".+-\n"
_ALL_BUT_MARKS = bytes(range(256)).translate(None, b",\n")
_Column = TypeVar("_Column", Floats, Ints)


class PlainLog(Struct, frozen=True, kw_only=True, eq=False):
    """A log that was read here, and the plan of its columns."""

    plan: Plan
    gathered: Gathered


class _Numbers(dict[str, float]):
    """Numbers by their texts: most cells of many logs hold one of a few hundred, found sooner than read."""

    def __missing__(self, text: str) -> float:
        self[text] = value = float(text)
        return value


class _Known(Struct, frozen=True, kw_only=True):
    """What was met before in these logs: numbers by their texts, and columns of wheels, each kept once."""

    numbers: _Numbers = field(default_factory=_Numbers)
    aims: dict[_Aims, _Aims] = field(default_factory=dict)


class _Log(Struct, frozen=True, kw_only=True):
    """A log by its place among those that were asked for."""

    place: int
    file: str
    sha256: str


class _Aims(Struct, frozen=True, kw_only=True):
    """What the rows of a log call the wheels and, where a column says so, the spots."""

    position: tuple[str, ...]
    spot: tuple[str, ...] | None = None

    def of_rows(self) -> tuple[str, ...]:
        """One text for each row, equal where wheel and spot are."""
        return self.position if self.spot is None else tuple(map("{},{}".format, self.position, self.spot))


class _Cut(Struct, frozen=True, kw_only=True, eq=False):
    """A log cut into what stands above its rows, its vehicle, and the cells of its rows."""

    log: _Log
    above: AboveRows
    vehicle: str | None
    aims: _Aims
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


class _Stated(Struct, frozen=True, kw_only=True):
    """What stands above some rows of their vehicle; `axles`: how many are counted, 0 for none."""

    vehicle: Vehicle | None = None
    axles: int = 0


_NOTHING_STATED = _Stated()


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
            alike.setdefault((cut.above.table.heading, len(cut.time)), []).append(cut)
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
    shared, vehicle = without_vehicle(head.decode())
    above = above_rows(shared, heading.decode())
    cells = None if above is None else _cells(content[end:], above.table.plan.width)
    if above is None or cells is None:
        return None
    plan = above.table.plan
    column = {role: cells[k :: plan.width] for role, k in plan.index.items()}
    times, temps = column["time"], cells[plan.temps[0].index :: plan.width]
    try:
        time, temp = list(map(known.numbers.__getitem__, times)), list(map(known.numbers.__getitem__, temps))
    except ValueError:
        return None
    aims = _Aims(position=tuple(column["position"]), spot=tuple(column["spot"]) if "spot" in column else None)
    if _is_copied(aims.of_rows(), temps):
        return None
    return _Cut(
        log=log,
        above=above,
        vehicle=vehicle or above.asked.statements.vehicle or None,
        aims=known.aims.setdefault(aims, aims),
        time=time,
        temp=temp,
    )


@lru_cache(maxsize=256)
def _first_rows(aimed: tuple[str, ...]) -> tuple[int, ...]:
    """First row of every wheel and spot; the logs of a depot have much the same order."""
    return tuple({word: k for k, word in reversed([*enumerate(aimed)])}.values())


def _is_copied(aimed: tuple[str, ...], temps: Sequence[str]) -> bool:
    """True where one wheel, or spot, has the figures of another."""
    first = _first_rows(aimed)
    if len({temps[k] for k in first}) == len(first):
        return False  # no two begin alike
    figures: dict[str, list[str]] = {}
    for word, cell in zip(aimed, temps, strict=True):
        figures.setdefault(word, []).append(cell)
    return bool(copied_wheels(figures))


def _cells(rows: bytes, width: int) -> list[str] | None:
    """All cells, row by row; None if not every row has as many as the heading, or something else is odd."""
    rows = rows.removesuffix(b"\n")
    marks = rows.translate(None, _ALL_BUT_MARKS) + b"\n"
    if rows.translate(None, _IN_ROWS) or marks != (b"," * (width - 1) + b"\n") * (len(marks) // width):
        return None
    return rows.decode().replace("\n", ",").split(",")


# ---- logs of as many rows -------------------------------------------------------------------------------


def _told(cuts: Sequence[_Cut], limits: ReadingLimits) -> Iterator[tuple[int, PlainLog]]:
    """Logs with one heading and as many rows, without those that are not plain."""
    table = cuts[0].above.table
    time, temp = np.array([cut.time for cut in cuts]), np.array([cut.temp for cut in cuts])
    rows = time.shape[1]
    with np.errstate(invalid="ignore", over="ignore"):  # "inf" is a number, too
        elapsed_s, degc = time * UNIT_S[table.time_unit] + 0.0, to_degc(temp, table.unit)
        usual = leave_no_doubt(time.min(1), time.max(1), rows, table.time_unit)
        usual = usual & plainly_walked(elapsed_s, limits)
        usual &= (temp != 0.0).all(1)  # it may be none
        usual &= (degc >= limits.lowest_reading_degc).all(1) & (degc <= limits.highest_reading_degc).all(1)
    apart = ~none_apart_in(degc) if rows <= MOST_TYPED else np.zeros(len(cuts), dtype=bool)
    numbered: dict[int, Ints] = {}
    wheels: dict[_Aims, _Wheels | None] = {}
    vehicles: dict[tuple[AboveRows, _Aims], _Stated | None] = {}
    case, silent = _shared(np.zeros(rows, dtype=np.int64)), _shared(np.full(rows, np.nan))
    for k in np.flatnonzero(usual).tolist():
        cut = cuts[k]
        line, key = cut.above.line, (cut.above, cut.aims)
        if cut.aims not in wheels:
            wheels[cut.aims] = _wheels_of(cut.aims, cut.above.asked)
        own = wheels[cut.aims]
        if own is None:
            continue
        if key not in vehicles:
            vehicles[key] = _stated_of(cut.above.asked, own)
        stated = vehicles[key]
        if stated is None:
            continue
        if line not in numbered:
            numbered[line] = _shared(np.arange(line, line + rows))
        told = _case(cut, (own, stated), _odd(cut, own, degc[k]) if apart[k] else ())
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
            unit=UNIT_WORDS[table.unit],
            time=UNIT_NAMES[table.time_unit],
        )
        yield cut.log.place, PlainLog(plan=table.plan, gathered=gathered)


def _shared(column: _Column) -> _Column:
    """A column that many logs have in common: nobody may write in it."""
    column.setflags(write=False)
    return column


def _wheels_of(aims: _Aims, asked: Asked) -> _Wheels | None:
    """Wheels and spots of some rows; None if one of them names none."""
    codes = wheel_codes(frozenset(aims.position), asked)
    if not codes.clean:
        return None
    code = np.array([codes.of[text] for text in aims.position])
    corner = {text: codes.corner(codes.of[text]) or "" for text in set(aims.position)}
    spot = _spots_of(aims, codes.spot[code])
    if spot is None:
        return None
    return _Wheels(
        axle=_shared(codes.axle[code]),
        side=_shared(codes.side[code]),
        spot=_shared(spot),
        corner=tuple(corner[text] for text in aims.position),
        axles_least=int(codes.axles_least[code].max()),
        called=called_here(codes, corner),
        notes=codes.notes,
    )


def _stated_of(asked: Asked, wheels: _Wheels) -> _Stated | None:
    """What is stated of the vehicle of some rows; None if it is not that of the rows, or cannot be read."""
    statements = asked.statements
    if DESCRIBING_KEYS.isdisjoint(statements.said):
        return _NOTHING_STATED
    if unreadable(statements, axle_count=int(wheels.axle.max())):
        return None
    try:  # what is refused here the careful reader refuses, too, and says so
        vehicle = vehicle_described(statements, axle=wheels.axle, spot=wheels.spot, file=asked.file)
    except LogRefusedError:
        return None
    return _Stated(vehicle=vehicle, axles=axles_counted(statements))


def _spots_of(aims: _Aims, named: Ints) -> Ints | None:
    """Spots of some rows: those of the column, else of the wheel's words; None if a word names none."""
    if aims.spot is None:
        return named
    spots = {text: spot_of(text) for text in set(aims.spot)}
    if any(spot is None and text.strip() for text, spot in spots.items()):
        return None
    told = {text: -1 if spot is None else SPOTS.index(spot) for text, spot in spots.items()}
    column = np.array([told[text] for text in aims.spot])
    return np.where(column < 0, named, column)


def _odd(cut: _Cut, wheels: _Wheels, degc: Floats) -> Sequence[Odd]:
    """Readings of a log that may be typing errors."""
    lines = range(cut.above.line, cut.above.line + degc.size)
    return odd_readings(
        dict(enumerate(degc.tolist())), wheels.corner.__getitem__, lines, cut.above.table.unit
    )


def _case(cut: _Cut, known: tuple[_Wheels, _Stated], odd: Sequence[Odd]) -> Case:
    """The one case of a log."""
    wheels, stated = known
    above, rows = cut.above, len(cut.time)
    plan, said = above.table.plan, above.asked.statements
    named = 0 if "axles" in said.said else axles_named(cut.vehicle)
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
        description=stated.vehicle,
        taken=above.taken,
        axles_least=max(wheels.axles_least, stated.axles, named),
        odd=tuple(odd),
        called=wheels.called,
    )
