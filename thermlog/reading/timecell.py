"""One time cell taken apart: a number, a time of day or a stamp, before the column decides what it means."""

from __future__ import annotations

import re
from datetime import date, datetime
from functools import lru_cache
from typing import Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

Style: TypeAlias = Literal["number", "units", "two", "three", "clock", "stamp"]
DateOrder: TypeAlias = Literal["dmy", "mdy"]

DAY_S = 86400.0
HOUR_S = 3600.0


class DayText(Struct, frozen=True, kw_only=True):
    """A date as written, its order open.

    Attributes
    ----------
    fields : tuple of int
        The three numbers from left to right, the year with its century.
    order : {"dmy", "mdy", "ymd", ""}
        "" if day and month could change places.
    dotted : bool
        Written with dots, which is day first wherever it is in use: common practice, no source.
    """

    fields: tuple[int, int, int]
    order: str = ""
    dotted: bool = False

    def ordinal(self, order: DateOrder) -> int | None:
        """Day number (proleptic Gregorian), or None if there is no such day."""
        first, second, third = self.fields
        how = self.order or order
        year, month, day = {
            "ymd": (first, second, third),
            "dmy": (third, second, first),
            "mdy": (third, first, second),
        }[how]
        try:
            return date(year, month, day).toordinal()
        except ValueError:
            return None


class TimeCell(Struct, frozen=True, kw_only=True):
    """One cell.

    Attributes
    ----------
    style : Style
        ``number``: without unit; ``units``: by its own unit; ``two``: a:bb, which is minutes and seconds or
        hours and minutes; ``three``: hours first for certain; ``clock``: a time of day for certain;
        ``stamp``: ISO 8601 date and time.
    value : float
        The number; seconds for ``units``, ``three`` and ``clock``; for ``two`` the seconds of a minutes,
        b seconds; for ``stamp`` seconds on the day.
    fraction : bool
        ``two`` with a fraction: the second part is seconds then.
    day : DayText or None
        The date written beside the time.
    offset_s : float or None
        Offset from UTC stated in a stamp [s].
    """

    style: Style
    value: float
    fraction: bool = False
    day: DayText | None = None
    offset_s: float | None = None


_MINUS = str.maketrans(
    {"−": "-", "–": "-", "\u00a0": " ", "\u202f": " ", "’": "'", "′": "'", "″": '"', "”": '"'}
)
_NUMBER = {
    mark: re.compile(
        rf"[-+]?(?:[0-9]+(?:{re.escape(mark)}[0-9]*)?|{re.escape(mark)}[0-9]+)(?:e[-+]?[0-9]{{1,2}})?"
    )
    for mark in ".,"
}
_TWO = re.compile(r"(-?)([0-9]{1,3}):([0-5][0-9](?:[.,][0-9]+)?)")
_THREE = re.compile(r"(-?)([0-9]{1,3})([:.])([0-5][0-9])\3([0-5][0-9](?:[.,][0-9]+)?)")
_DOTTED = re.compile(r"([0-9]{1,2})\.([0-5][0-9])")
_FRENCH = re.compile(r"([0-9]{1,2}) ?h ?([0-5][0-9])")
_HALF = re.compile(r"(.+?) ?([ap])\.? ?m\.?")
_SURE = re.compile(r"(.+?) ?(?:uhr|o'clock)")
_N = r"([0-9]+(?:\.[0-9]+)?) ?"
_UNITS = re.compile(
    rf"(?:{_N}(?:hours?|hrs?|h|stunden?|std\.?) ?)?"
    rf"(?:{_N}(?:minutes?|minuten?|mins?\.?|m|') ?)?"
    rf"(?:{_N}(?:seconds?|sekunden?|secs?\.?|sek\.?|s|\"|'')?)?"
)
_DATED = re.compile(r"([0-9]{1,4})([-/.])([0-9]{1,2})\2([0-9]{1,4})(?:(?:, ?| |t)(.+))?")
_NAMED = re.compile(r"([0-9]{1,2})[-. ]{1,2}([a-z]{3,9})\.?[- ]([0-9]{2,4})(?:,? (.+))?")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_LONGEST = 64


@lru_cache(maxsize=8192)
def parse_time(text: str, decimal: str = ".") -> TimeCell | None:
    """Take one time cell apart.

    Parameters
    ----------
    text : str
        As written in the log.
    decimal : {".", ","}
        Decimal mark of the file. With a comma, "14.03" is a time with a dot.

    Returns
    -------
    TimeCell or None
        None if the text is no time in any style known.

    Examples
    --------
    >>> parse_time("1.5 min").value, parse_time("14:03").style, parse_time("2:03:10 pm").value
    (90.0, 'two', 50590.0)
    """
    plain = " ".join(text.translate(_MINUS).lower().split())
    if not plain or len(plain) > _LONGEST or not plain.isascii():
        return None
    if _NUMBER[decimal].fullmatch(plain):
        return TimeCell(style="number", value=float(plain.replace(",", ".")))
    return _colons(plain, decimal) or _worded(plain, decimal) or _stamp(plain) or _dated(plain, decimal)


def _seconds(text: str) -> float:
    return float(text.replace(",", "."))


def _colons(plain: str, decimal: str) -> TimeCell | None:
    """a:bb, a:bb:cc and the same with dots."""
    if two := _TWO.fullmatch(plain):
        value = int(two[2]) * 60 + _seconds(two[3])
        return TimeCell(style="two", value=-value if two[1] else value, fraction=len(two[3]) > 2)
    if three := _THREE.fullmatch(plain):
        value = int(three[2]) * HOUR_S + int(three[4]) * 60 + _seconds(three[5])
        return TimeCell(style="three", value=-value if three[1] else value)
    if decimal == "," and (dotted := _DOTTED.fullmatch(plain)):
        return TimeCell(style="two", value=int(dotted[1]) * 60.0 + int(dotted[2]))
    return None


def _worded(plain: str, decimal: str) -> TimeCell | None:
    """Times with am or pm, o'clock, or units."""
    if half := _HALF.fullmatch(plain):
        return _half_day(half[1], afternoon=half[2] == "p")
    if sure := _SURE.fullmatch(plain):
        return _certain_clock(_colons(sure[1], ",") or _whole_hour(sure[1]))
    if french := _FRENCH.fullmatch(plain):
        return TimeCell(style="three", value=int(french[1]) * HOUR_S + int(french[2]) * 60)
    spelled = plain.replace(",", ".") if decimal == "," else plain
    units = _UNITS.fullmatch(spelled)
    if units is None or not any(units.groups()):
        return None
    hours, minutes, seconds = (float(part or 0.0) for part in units.groups())
    return TimeCell(style="units", value=hours * HOUR_S + minutes * 60 + seconds)


def _whole_hour(text: str) -> TimeCell | None:
    return TimeCell(style="three", value=int(text) * HOUR_S) if re.fullmatch(r"[0-9]{1,2}", text) else None


def _certain_clock(cell: TimeCell | None) -> TimeCell | None:
    """The cell as a time of day; None if there is no such time."""
    if cell is None or cell.fraction:
        return None
    value = cell.value * 60 if cell.style == "two" else cell.value
    return TimeCell(style="clock", value=value) if 0 <= value < DAY_S else None


def _half_day(text: str, *, afternoon: bool) -> TimeCell | None:
    cell = _certain_clock(_colons(text, ",") or _whole_hour(text))
    if cell is None or cell.value >= 13 * HOUR_S or (afternoon and cell.value < HOUR_S):
        return None
    return replace(cell, value=cell.value % (DAY_S / 2) + (DAY_S / 2 if afternoon else 0.0))


def _stamp(plain: str) -> TimeCell | None:
    """ISO 8601 date and time; a date alone is no time."""
    if len(plain) <= 10:
        return None
    try:
        moment = datetime.fromisoformat(plain.upper())
    except ValueError:
        return None
    value = moment.hour * HOUR_S + moment.minute * 60 + moment.second + moment.microsecond / 1e6
    offset = moment.utcoffset()
    return TimeCell(
        style="stamp",
        value=value,
        day=DayText(fields=(moment.year, moment.month, moment.day), order="ymd"),
        offset_s=None if offset is None else offset.total_seconds(),
    )


def _dated(plain: str, decimal: str) -> TimeCell | None:
    """A date in another style, then a time of day."""
    match = _DATED.fullmatch(plain) or _NAMED.fullmatch(plain)
    rest = match[match.lastindex or 0] if match else ""
    if match is None or match.lastindex != match.re.groups:
        return None
    day = parse_day(plain[: match.start(match.lastindex)].rstrip(" ,t"))
    cell = _colons(rest, decimal) or _worded(rest, decimal)
    clock = _certain_clock(cell) if cell and cell.style in {"two", "three", "clock"} else None
    return replace(clock, day=day) if clock and day else None


@lru_cache(maxsize=4096)
def parse_day(text: str) -> DayText | None:
    """Take one date apart.

    Parameters
    ----------
    text : str
        Such as 2031-05-04, 4.5.2031, 04/05/31, 4 May 2031.

    Returns
    -------
    DayText or None
        None if the text is no date.

    Examples
    --------
    >>> parse_day("4.5.31"), parse_day("2031-05-04").order, parse_day("May")
    (DayText(fields=(4, 5, 2031), order='', dotted=True), 'ymd', None)
    """
    plain = " ".join(text.lower().split())
    if (named := _NAMED.fullmatch(plain)) and named[2][:3] in _MONTHS:
        month = _MONTHS.index(named[2][:3]) + 1
        return DayText(fields=(int(named[1]), month, _year(named[3])), order="dmy")
    dated = _DATED.fullmatch(plain)
    if dated is None or dated[5]:
        return None
    if len(dated[1]) == 4 and len(dated[4]) <= 2:
        return DayText(fields=(int(dated[1]), int(dated[3]), int(dated[4])), order="ymd")
    if len(dated[1]) > 2:
        return None
    return DayText(fields=(int(dated[1]), int(dated[3]), _year(dated[4])), dotted=dated[2] == ".")


def _year(text: str) -> int:
    """Two digits are of this century."""
    return int(text) + (2000 if len(text) <= 2 else 0)
