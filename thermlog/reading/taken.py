"""When, by whom and with what a log was taken: from its times, its header lines and its columns."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from thermlog.reading.cells import number, shown
from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.remarks.sights import sees_nothing
from thermlog.reading.times.cell import parse_day, parse_time
from thermlog.reading.vocabulary import Key
from thermlog.words.bounds import LONGEST_REPAIR
from thermlog.words.regular import regular
from thermlog.words.tables import Taken

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from thermlog.reading.statements import Said
    from thermlog.reading.times.cell import DayText
    from thermlog.reading.vocabulary import DateOrder, VehicleSide
    from thermlog.words.columns import Role

_MILE_KM = 1.609344  # international mile, NIST SP 811 (2008), appendix B
_DISTANCE = regular(r"(?P<figure>[\d.,' ]*\d)\s*(?P<unit>[a-z]*)\.?")
_KEYS: frozenset[Key] = frozenset({"date", "started", "by", "gun", "odometer", "repair"})
_GROUP = regular(r"(?<=\d)[.,' ](?=\d{3}(?!\d))")


def taken_of(
    said: Mapping[Key, Said],
    columns: Mapping[Role, str],
    start: str | None,
    date_order: DateOrder | None,
    *,
    seen: Sequence[Said] = (),
    traffic_side: VehicleSide | None = None,
) -> Taken | None:
    """What a log says of how it was taken; None if nothing.

    Parameters
    ----------
    said : mapping
        Header lines by key.
    columns : mapping
        Role -> the one value of its column.
    start : str or None
        Moment of the first reading as the times tell it.
    date_order : {"dmy", "mdy"} or None
    seen : sequence of Said
        Header lines that say what was seen.
    traffic_side : {"left", "right"}, optional
        As stated.
    """
    if not (columns or start or seen or traffic_side) and _KEYS.isdisjoint(said):
        return None
    by, gun = _text(said, "by", columns.get("who")), _text(said, "gun", columns.get("gun"))
    odometer_km = _odometer_km(said, columns.get("odometer"))
    start = _start(said, start, date_order)
    repair, unrepaired = _repair(said)
    found = Taken(
        start=start,
        by=by,
        gun=gun,
        odometer_km=odometer_km,
        repair=repair,
        unrepaired=unrepaired,
        traffic_side=traffic_side,
        nothing_seen=bool(seen) and all(sees_nothing(one.text) for one in seen),
    )
    return None if found == Taken() else found


def _repair(said: Mapping[Key, Said]) -> tuple[str | None, bool]:
    """What was found and mended, None where nothing is said of it; True where it says that nothing was."""
    text = _text(said, "repair", None, most=LONGEST_REPAIR)
    tokens, table = set(tokens_of(text or "")), cell_words()
    nothing = table.nothing | table.fine | table.between | table.no_repair
    none = tokens <= nothing and not tokens.isdisjoint((table.nothing - table.fine) | table.to_do)
    return (text if tokens - nothing else None), none


def _text(said: Mapping[Key, Said], key: Key, column: str | None, *, most: int = 60) -> str | None:
    text = said[key].text if key in said else column or ""
    return shown(text.strip(), most) or None


def _start(said: Mapping[Key, Said], start: str | None, date_order: DateOrder | None) -> str | None:
    """Date and time by ISO 8601, from the times and the header lines together."""
    if start is not None and not start.startswith("T"):
        return start
    day = None
    if "date" in said:
        stamp = parse_time(said["date"].text)
        written = stamp.day if stamp and stamp.day else parse_day(said["date"].text)
        day = _iso_day(written, date_order)
        if stamp and stamp.day and start is None:
            start = _iso_time(stamp.value)
    if start is None and "started" in said:
        moment = parse_time(said["started"].text)
        if moment and moment.day:
            day = day or _iso_day(moment.day, date_order)
        if moment and moment.style != "number":
            start = _iso_time(moment.value * (60.0 if moment.style == "two" else 1.0))
    return "".join(filter(None, (day, start))) or None


def _iso_time(seconds: float) -> str:
    whole = int(seconds)
    return f"T{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def _iso_day(day: DayText | None, date_order: DateOrder | None) -> str | None:
    """A date that leaves one way to read it."""
    if day is None:
        return None
    orders: tuple[DateOrder, ...] = (
        (date_order,) if date_order else ("dmy",) if day.dotted else ("dmy", "mdy")
    )
    found = {ordinal for order in orders if (ordinal := day.ordinal(order)) is not None}
    return date.fromordinal(found.pop()).isoformat() if len(found) == 1 else None


def _odometer_km(said: Mapping[Key, Said], column: str | None) -> float | None:
    """Distance driven [km]; a mark before three figures is one of thousands."""
    text = said["odometer"].text if "odometer" in said else column or ""
    match = _DISTANCE.fullmatch(text.strip().lower())
    if match is None or match["unit"] not in {"", "km", "kms", "mi", "mile", "miles"}:
        return None
    value = number(_GROUP.sub("", match["figure"]).replace(",", "."))
    if value is None:
        return None
    return round(value * _MILE_KM, 1) if match["unit"].startswith("mi") else value
