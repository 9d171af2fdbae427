"""What was understood of a log -> text, so that nobody has to trust a verdict on a misread file."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING

from thermlog.reports.lacks import lacks
from thermlog.reports.wording import (
    Show,
    air_words,
    clock,
    degrees,
    drive_words,
    printable,
    set_aside_words,
    temperature,
)
from thermlog.words.sentences import Page, on_page
from thermlog.words.vehicle import SIDES, SPOTS, corner_name, own_words
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from typing import TypeAlias

    from thermlog.reading.gathered import LogReadings
    from thermlog.words.tables import Blind, BlindCode, Case, LogRecord, Readings, Seen

    _Place: TypeAlias = tuple[int, int, int]  # axle, side, spot


def inspection(log: LogReadings, *, show: Show = "C", quiet: bool = False) -> str:
    """Text of what was understood and what was set aside; judges nothing.

    Parameters
    ----------
    log : LogReadings
    show : {"C", "F"}
        Unit on paper.
    quiet : bool
        Only the count of readings.
    """
    if quiet:
        return "\n".join(_record(log.record)) + "\n"
    record = on_page(log.record, Page(unit=show))
    lines = [
        *_record(record),
        "",
        "Understood",
        *_understood(log),
        "",
        *_cases(log, show),
        *(f"set aside: {set_aside_words(item)}" for item in record.set_aside),
        *(f"note: {printable(note)}" for note in record.notes),
    ]
    return "\n".join(lines).rstrip() + f"\n\nthermlog {__version__} | input {record.sha256[:12]}\n"


def _record(record: LogRecord) -> list[str]:
    aside = len(record.set_aside)
    return [
        f"{printable(record.file)}: {record.rows_read} readings = {record.rows_used} used + {aside} set aside"
    ]


def _understood(log: LogReadings) -> list[str]:
    understood = log.understood
    said = {
        "encoding": understood.encoding,
        "delimiter": {"\t": "tab"}.get(str(understood.delimiter), understood.delimiter),
        "decimal mark": understood.decimal,
        "layout": understood.layout,
        "unit": understood.unit,
        "time": understood.time,
    }
    lines = [f"  {name:<14}{printable(str(value))}" for name, value in said.items() if value]
    columns = (
        f"  {'column':<14}{name} <- {printable(str(head))}" for name, head in understood.columns.items()
    )
    return [*lines, *columns]


def _cases(log: LogReadings, show: Show) -> Iterator[str]:
    for k, case in enumerate(log.readings.cases):
        yield _case_line(case, show)
        yield from _corner_lines(log.readings, k, show)
        yield from map(_seen_line, case.seen)
        yield from (
            f'  {one.corner or "?":<5}remark for a person: "{printable(one.text)}"' for one in case.unweighed
        )
        yield from map(_blind_line, case.blind)
        yield from _taken_lines(case)
        yield from (f"  pace: {line}" for line in _pace_lines(case))
        yield from (f"  a check will lack: {one}" for one in lacks(log.readings, k))
        yield ""


def _case_line(case: Case, show: Show) -> str:
    driven = drive_words(case.vehicle, case.drive, parked_known=case.parked_known)
    return f"{driven} | {air_words(case.ambient_degc, case.ambient_source, show)}"


_BLIND_WORDS: dict[BlindCode, str] = {
    "unknown_wheel": "nobody knows which wheel",
    "over_range": "above the gun's range",
    "under_range": "below the gun's range",
    "no_value": "no temperature was had",
    "set_aside": "set aside",
    "before_parked": "read before the wheels stopped",
    "unread_sight": "seen, in words not known",
    "unread_cell": "words not known for a temperature",
    "felt_hot": "a hand felt heat",
    "doubted": "said to be of something else, or guessed",
    "said_stuck": "said to bind, or to be stuck",
    "said_idle": "said to do nothing, or felt cold",
    "other_unit": "in a unit of its own",
}


def _blind_line(one: Blind) -> str:
    quoted = f', "{printable(one.quoted)}"' if one.quoted else ""
    return f"  {one.corner or '?':<5}not known: line {one.line}{quoted}: {_BLIND_WORDS[one.code]}"


def _taken_lines(case: Case) -> Iterator[str]:
    """When, by whom and with what, as far as the log says."""
    if (taken := case.taken) is None:
        return
    km = None if taken.odometer_km is None else f"{taken.odometer_km:g} km"
    told = {"start": taken.start, "by": taken.by, "gun": taken.gun, "odometer": km}
    told["repair"], told["seen"] = taken.repair, "nothing" if taken.nothing_seen else None
    yield "  taken: " + ", ".join(f"{name} {printable(text)}" for name, text in told.items() if text)


def _pace_lines(case: Case) -> Iterator[str]:
    for before, after in case.impossible_pace:
        yield f"nobody reads the wheels of line {before} and line {after} so one after the other"


def _seen_line(one: Seen) -> str:
    return f"  {one.corner or '?':<5}seen: {one.code}"


def _corner_lines(table: Readings, case: int, show: Show) -> list[str]:
    """Readings of every corner and spot: how many, from when to when, from what to what."""
    rows = (table.case == case).nonzero()[0].tolist()
    places = [(int(table.axle[r]), int(table.side[r]), int(table.spot[r])) for r in rows]
    names = _names(table.cases[case], places)
    wide = max([5, *(len(name) + 1 for name in names.values())])
    lines = []
    for place, count in sorted(Counter(places).items()):
        mine = [r for r, other in zip(rows, places, strict=True) if other == place]
        mine.sort(key=lambda r: table.elapsed_s[r])
        first, last = mine[0], mine[-1]
        span = (
            _point(table, first, show)
            if count == 1
            else f"{_point(table, first, show)} to {_point(table, last, show)}"
        )
        lines.append(
            f"  {names[place]:<{wide}}{SPOTS[place[2]].replace('_', ' '):<13}{count:>3} "
            f"{'reading ' if count == 1 else 'readings'}  {span}"
        )
    return lines


def _names(case: Case, places: Sequence[_Place]) -> dict[_Place, str]:
    """Codes of corners, as the log calls them behind it where results do not."""
    axles = max([case.axles_least, *(axle for axle, _, _ in places)])
    names = {}
    for place in places:
        corner = corner_name(place[0], SIDES[place[1]])
        own = own_words(corner, axles, case.called)
        names[place] = f"{corner} ({own})" if own else corner
    return names


def _point(table: Readings, row: int, show: Show) -> str:
    at_s = float(table.elapsed_s[row])
    when = "" if math.isnan(at_s) else f" at {clock(at_s)}"
    return f"{temperature(float(table.indicated_degc[row]), show)} {degrees(show)}{when}"
