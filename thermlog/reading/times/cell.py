"""One time cell taken apart: a number, a time of day or a stamp, before the column decides what it means."""

from __future__ import annotations

import math
import re
import unicodedata
from datetime import date, datetime
from functools import lru_cache
from typing import Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.vocabulary import MONTHS, TIME_UNITS, UNIT_S, WEEKDAYS, DateOrder
from thermlog.words.moments import DAY_S
from thermlog.words.regular import regular

Style: TypeAlias = Literal["number", "units", "two", "three", "clock", "stamp"]

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
    mark: regular(
        rf"[-+]?(?:[0-9]+(?:{re.escape(mark)}[0-9]*)?|{re.escape(mark)}[0-9]+)(?:e[-+]?[0-9]{{1,2}})?"
    )
    for mark in ".,"
}
_TWO = regular(r"(-?)([0-9]{1,3}):([0-5][0-9](?:[.,][0-9]+)?)")
_THREE = regular(r"(-?)([0-9]{1,3})([:.])([0-5][0-9])\3([0-5][0-9](?:[.,][0-9]+)?)")
_DOTTED = regular(r"([0-9]{1,2})\.([0-5][0-9])")
_FRENCH = regular(r"([0-9]{1,2}) ?h ?([0-5][0-9])(?::([0-5][0-9]))?")
_HALF = regular(r"(.+?) ?([ap])\.? ?m\.?")
_SURE = regular(r"(.+?) ?(?:uhr|o'clock)")
_TERM = regular(r"([0-9]+(?:\.[0-9]+)?) ?([a-zµμ']+\.?|\"|'')[ ,]*(?:(?:and|und|et|y|e|en|og|och|i|a) )?")
_STROKES = {"'": 60.0, '"': 1.0, "''": 1.0, "m": 60.0}
_LAST = regular(r"([0-9]+(?:\.[0-9]+)?)")
_ISO = regular(
    r"p(?:([0-9]+)d)?(?:t(?:([0-9]+(?:[.,][0-9]+)?)h)?(?:([0-9]+(?:[.,][0-9]+)?)m)?(?:([0-9]+(?:[.,][0-9]+)?)s)?)?"
)
_DAYS = regular(r"([0-9]+) ?d(?:ays?)?,? ?(?=[0-9])(.+)")
_GROUPED = {
    ".": regular(r"[1-9][0-9]{0,2}(?:[,' ][0-9]{3})+(?:\.[0-9]+)?"),
    ",": regular(r"[1-9][0-9]{0,2}(?:[.' ][0-9]{3})+(?:,[0-9]+)?"),
}
_SINCE = regular(r"(?:t ?)?\+ ?(?=[0-9])|(?:after|nach|apres|na) (?=[0-9])")
_AT = regular(r"(?:at|@|um|kl\.?|klo|om|o|a(?: las?)?|alle(?: ore)?|ore) ?(?=[0-9]{1,2}[:h])")
_DATED = regular(r"([0-9]{1,4})([-/.])([0-9]{1,2})\2([0-9]{1,4})(?:(?:, ?| |t)(.+))?")
_NAMED = regular(
    r"([0-9]{1,2})(?:st|nd|rd|th)?[-. ]{1,2}(?:de )?([a-z]{3,10})\.?(?: de)?[-, ]{1,2}([0-9]{2,4})"
    r"(?:,? (.+))?"
)
_MONTH_FIRST = regular(r"([a-z]{3,10})\.? ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})(?:,? (.+))?")
_BASIC_DAY = regular(
    r"((?:19|20)[0-9]{2})([01][0-9])([0-3][0-9])(?:[t _-]([0-9]{2})([0-5][0-9])([0-5][0-9])?)?"
)
_TIME_FIRST = regular(r"([0-9]{1,2}[:.][0-9]{2}(?:[:.][0-9]{2})?(?: ?[ap]\.?m\.?)?),? (.{6,})")
_WEEKDAY = regular(r"([a-z]{2,9})[.,]* (?=[0-9a-z])")
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
    plain = _plain(text)
    if not plain or len(plain) > _LONGEST or not plain.isascii():
        return None
    if since := _SINCE.match(plain) or _AT.match(plain):
        plain = plain[since.end() :]
    if _NUMBER[decimal].fullmatch(plain):
        return TimeCell(style="number", value=float(plain.replace(",", ".")))
    if _GROUPED[decimal].fullmatch(plain):
        whole = re.sub(r"[.' ]" if decimal == "," else r"[,' ]", "", plain)
        return TimeCell(style="number", value=float(whole.replace(",", ".")))
    return _colons(plain, decimal) or _worded(plain, decimal) or _stamp(plain) or _dated(plain, decimal)


def _plain(text: str) -> str:
    """Lower case without accents, minus signs and blanks of one kind, without a day of the week."""
    lower = text.translate(_MINUS).lower().replace("µ", "u").replace("μ", "u")
    if not lower.isascii():
        parts = unicodedata.normalize("NFKD", lower)
        lower = "".join(letter for letter in parts if not unicodedata.combining(letter))
    plain = " ".join(lower.split())
    weekday = _WEEKDAY.match(plain)
    return plain[weekday.end() :] if weekday and weekday[1] in WEEKDAYS else plain


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
        value = int(french[1]) * HOUR_S + int(french[2]) * 60 + int(french[3] or 0)
        return TimeCell(style="three", value=value)
    seconds = _duration(plain.replace(",", ".") if decimal == "," else plain)
    return None if seconds is None else TimeCell(style="units", value=seconds)


def _duration(plain: str) -> float | None:
    """Seconds of a duration: 2 min 5 s, 2m05, PT2M5S, 0 days 00:02:05; None if it is none."""
    if plain[:1] == "p" and len(plain) > 2 and (iso := _ISO.fullmatch(plain)) and any(iso.groups()):
        factors = (DAY_S, HOUR_S, 60.0, 1.0)
        return sum(f * _seconds(part) for f, part in zip(factors, iso.groups(), strict=True) if part)
    if (days := _DAYS.fullmatch(plain)) and (rest := _colons(days[2], ".")) and rest.style == "three":
        return int(days[1]) * DAY_S + rest.value
    total, at, below = 0.0, 0, math.inf
    while term := _TERM.match(plain, at):
        factor = _STROKES.get(term[2]) or _unit_s(term[2])
        if factor is None or factor >= below:
            return None
        total, at, below = total + float(term[1]) * factor, term.end(), factor
    if at == 0:
        return None
    if at == len(plain):
        return total
    last = _LAST.fullmatch(plain, at)  # 2m05: seconds follow minutes, minutes hours
    return total + float(last[1]) * below / 60 if last and below in {60.0, HOUR_S} else None


def _unit_s(word: str) -> float | None:
    unit = TIME_UNITS.get(word.rstrip("."))
    return None if unit is None else UNIT_S[unit]


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
    """A date in another style and a time of day, in either order."""
    for pattern in (_DATED, _NAMED, _MONTH_FIRST):
        match = pattern.fullmatch(plain)
        if match and match.lastindex == pattern.groups:
            return _joined(
                plain[: match.start(match.lastindex)].rstrip(" ,t"), match[match.lastindex], decimal
            )
    if (basic := _BASIC_DAY.fullmatch(plain)) and basic[4]:
        return _joined(
            f"{basic[1]}-{basic[2]}-{basic[3]}", f"{basic[4]}:{basic[5]}:{basic[6] or '00'}", decimal
        )
    match = _TIME_FIRST.fullmatch(plain)
    return _joined(match[2], match[1], decimal) if match else None


def _joined(day_text: str, rest: str, decimal: str) -> TimeCell | None:
    day = parse_day(day_text)
    cell = _colons(rest, decimal) or _worded(rest, decimal) or _colons(rest, ",")
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
    plain = _plain(text)
    if (named := _NAMED.fullmatch(plain)) and (month := _month(named[2])) and not named[4]:
        return DayText(fields=(int(named[1]), month, _year(named[3])), order="dmy")
    if (first := _MONTH_FIRST.fullmatch(plain)) and (month := _month(first[1])) and not first[4]:
        return DayText(fields=(int(first[2]), month, int(first[3])), order="dmy")
    if (basic := _BASIC_DAY.fullmatch(plain)) and not basic[4]:
        return DayText(fields=(int(basic[1]), int(basic[2]), int(basic[3])), order="ymd")
    return _day_in_figures(plain)


def _day_in_figures(plain: str) -> DayText | None:
    dated = _DATED.fullmatch(plain)
    if dated is None or dated[5]:
        return None
    if len(dated[1]) == 4 and len(dated[4]) <= 2:
        return DayText(fields=(int(dated[1]), int(dated[3]), int(dated[4])), order="ymd")
    if len(dated[1]) > 2:
        return None
    return DayText(fields=(int(dated[1]), int(dated[3]), _year(dated[4])), dotted=dated[2] == ".")


def _month(word: str) -> int | None:
    """Number of a month by the first letters of its name; longer beginnings go first."""
    hits = [
        (len(begin), number)
        for number, begins in enumerate(MONTHS, start=1)
        for begin in begins.split("|")
        if word.startswith(begin)
    ]
    return max(hits)[1] if hits else None


def _year(text: str) -> int:
    """Two digits are of this century."""
    return int(text) + (2000 if len(text) <= 2 else 0)
