"""Value and number format of a spreadsheet cell -> the text the sheet shows for it."""

from __future__ import annotations

import datetime as dt

from msgspec import Struct

from thermlog.words.moments import DAY_S
from thermlog.words.regular import regular

_DAY_MS = round(1000 * DAY_S)
_FIRST_DAY = dt.date(1899, 12, 30)  # serial 0; right from 1 March 1900 on (ECMA-376 part 1, 18.17.4.1)
_1904_DAYS = 1462
_LAST_DAY = 2_958_465  # 31 December 9999
_YEAR_DAYS = 366  # a time of more days than this is a moment with its date hidden
_EXACT = 10**15  # whole numbers below it are exact in a float
_UNSHOWN = regular(r'"[^"]*"|\\.|_.|\*.')
_BRACKETS = regular(r"\[([^\]]*)\]")
_ELAPSED = regular(r"h+|m+|s+")
_PARTS = regular(r"am/pm|a/p|[ydhs]|m+")

# Formats every workbook has without stating them (ECMA-376 part 1, 18.8.30; 27 to 58 for East Asian locales).
_BUILT_IN = {
    **dict.fromkeys((14, 15, 16, 17, 27, 28, 29, 30, 31, 36, *range(50, 59)), "yyyy-mm-dd"),
    **dict.fromkeys((18, 20, 32, 34), "h:mm"),
    **dict.fromkeys((19, 21, 33, 35), "h:mm:ss"),
    22: "yyyy-mm-dd h:mm",
    45: "mm:ss",
    46: "[h]:mm:ss",
    47: "mm:ss.0",
}


class Shown(Struct, frozen=True, kw_only=True):
    """Parts of a moment or of a time that a number format shows; none for a plain number.

    Attributes
    ----------
    date, hours, minutes, seconds : bool
    elapsed : bool
        Hours, minutes or seconds are counted on, beyond a day or an hour.
    """

    date: bool = False
    hours: bool = False
    minutes: bool = False
    seconds: bool = False
    elapsed: bool = False

    @property
    def number(self) -> bool:
        """True if the format shows a number."""
        return not (self.date or self.hours or self.minutes or self.seconds)


NUMBER = Shown()


def built_in_format(number: int) -> str:
    """Format that a workbook need not state; empty for that of a number.

    Examples
    --------
    >>> built_in_format(20), built_in_format(2)
    ('h:mm', '')
    """
    return _BUILT_IN.get(number, "")


def format_shows(code: str) -> Shown:
    """Parts that a number format shows.

    Examples
    --------
    >>> format_shows("h:mm").seconds, format_shows("[mm]:ss").elapsed, format_shows("dd.mm.yyyy").date
    (False, True, True)
    >>> format_shows('0.0 "days"').number, format_shows("0.00E+00").number, format_shows("[Red]0").number
    (True, True, True)
    """
    code = _UNSHOWN.sub("", code.lower()).split(";")[0]
    counted = {found[0] for found in map(str.lower, _BRACKETS.findall(code)) if _ELAPSED.fullmatch(found)}
    letters = [found[0][0] for found in _PARTS.finditer(_BRACKETS.sub("", code).replace("general", ""))]
    clock = bool(counted) or "h" in letters or "s" in letters
    return Shown(
        date="y" in letters or "d" in letters or ("m" in letters and not clock),
        hours="h" in letters or "h" in counted or "a" in letters,
        minutes=("m" in letters and clock) or "m" in counted,
        seconds="s" in letters or "s" in counted,
        elapsed=bool(counted),
    )


def cell_text(value: str, shown: Shown, *, since_1904: bool = False) -> str:
    """Text of a cell that holds a number.

    A time whose seconds show, or that has some, is written with hours, minutes and seconds, whatever it is
    counted in: nothing is left to guess. One of which a sheet shows hours and minutes alone is written so:
    ``0:15`` may have been typed for fifteen seconds, and is understood like the same cell of a text file.

    Parameters
    ----------
    value : str
        As it stands in the file.
    shown : Shown
    since_1904 : bool
        Days count from 1904, as in workbooks that an old program made.

    Examples
    --------
    >>> cell_text("80.5", NUMBER), cell_text("81.0", NUMBER), cell_text("1.1E1", NUMBER)
    ('80.5', '81', '11')
    >>> cell_text("0.010416666666666666", format_shows("h:mm"))
    '0:15'
    >>> cell_text("47971.5855", format_shows("d/m/yy h:mm"))
    '2031-05-03T14:03:07.200'
    >>> cell_text("0.0001744212962963", format_shows("mm:ss.0"))
    '0:00:15.070'
    >>> cell_text("1.0003009259259259", format_shows("[s]"))
    '24:00:26'
    """
    try:
        number = float(value)
    except ValueError:
        return value.strip()
    if shown.number or not 0 <= number < _LAST_DAY - _1904_DAYS:
        return _number_text(number)
    total_ms = round(number * _DAY_MS)
    day, rest = divmod(total_ms, _DAY_MS)
    if not (shown.date or (day >= _YEAR_DAYS and not shown.elapsed)):
        return _time_text(total_ms, shown)
    timed = bool(rest) or shown.hours or shown.minutes
    if day == 0 and timed:
        return _clock_text(rest)
    date = (_FIRST_DAY + dt.timedelta(days=day + (_1904_DAYS if since_1904 else 0))).isoformat()
    return f"{date}T{_clock_text(rest)}" if timed else date


def _number_text(number: float) -> str:
    return str(int(number)) if number.is_integer() and abs(number) < _EXACT else repr(number)


def _clock_text(ms: int) -> str:
    hours, minutes, seconds = _split(ms)
    return f"{hours:02d}:{minutes:02d}:{seconds}"


def _time_text(total_ms: int, shown: Shown) -> str:
    hours, minutes, seconds = _split(total_ms)
    hides_seconds = not (shown.seconds or total_ms % 60_000)
    return f"{hours}:{minutes:02d}" if hides_seconds else f"{hours}:{minutes:02d}:{seconds}"


def _split(ms: int) -> tuple[int, int, str]:
    """Hours, minutes, and seconds in two digits with what they have of thousandths."""
    seconds, rest = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    fraction = f".{rest:03d}" if rest else ""
    return minutes // 60, minutes % 60, f"{seconds:02d}{fraction}"
