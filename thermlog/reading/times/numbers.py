"""Times written as plain numbers: their unit, an epoch, digits of a clock, thousands marks, by the pace."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.times.cell import parse_time
from thermlog.reading.times.face import ClockRefusedError
from thermlog.reading.times.pace import Walk, impossible_pace, likely
from thermlog.reading.vocabulary import UNIT_NAMES, UNIT_S, TimeUnit
from thermlog.words.moments import DAY_S
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.times.column import TimeColumn
    from thermlog.words.tables import Bools, Floats

EPOCH = date(1970, 1, 1).toordinal()
SERIAL_ZERO = date(1899, 12, 30).toordinal()  # day 0 of spreadsheets

_RUNNING_CLOCK_S = 1e8  # larger numbers count from an epoch
_RUNNING: tuple[tuple[float, TimeUnit], ...] = ((1e17, "ns"), (1e14, "us"), (1e11, "ms"), (1e8, "s"))
_LATEST_S = 1e10  # in the year 2286: no log is younger
_SERIAL_DAYS = (20_000.0, 80_000.0)  # 1954 to 2119
_QUICK_BELOW = 100.0  # no clock time in digits begins lower
_FASTEST_S, _SLOWEST_S = 2.0, 60.0  # a reading each, on average: within, nothing is in doubt
_CLOCK_FROM_S = 14_400.0  # the first reading with a watch is not so late
_MANY = 2


class NumberLine(Struct, frozen=True, kw_only=True):
    """Numbers as seconds, in the order given.

    Attributes
    ----------
    times : tuple of float
    kind : str
    factor : float
        Seconds of one.
    epoch_day : int or None
        Day from which they count, as an ordinal; None if it is not known.
    of_day : bool
        True if they are times of day.
    notes : tuple of str
    """

    times: tuple[float, ...]
    kind: str
    factor: float = 1.0
    epoch_day: int | None = None
    of_day: bool = False
    notes: tuple[str, ...] = ()


def quick_numbers(cells: Sequence[str], *, unit: TimeUnit | None, decimal: str) -> tuple[float, ...] | None:
    """Seconds from cells which leave nothing to decide.

    Parameters
    ----------
    cells : sequence of str
    unit : TimeUnit or None
        Seconds if None.
    decimal : {".", ","}

    Returns
    -------
    tuple of float or None
        None if anything is out of the common; the cells are then read one by one.

    Examples
    --------
    >>> quick_numbers(["0", "1.5"], unit="min", decimal="."), quick_numbers(["nan"], unit=None, decimal=".")
    ((0.0, 90.0), None)
    """
    joined = "".join(cells)
    if "_" in joined or not joined.isascii() or (decimal == "," and "." in joined):
        return None
    try:
        values = list(map(float, [cell.replace(",", ".") for cell in cells] if decimal == "," else cells))
    except ValueError:
        return None
    if not values or (total := sum(values)) - total != 0.0:  # not finite
        return None
    low, high, factor = min(values), max(values), UNIT_S[unit or "s"]
    each = (high - low) * factor / len(values)
    doubt = unit is None and (
        each > _SLOWEST_S
        or low >= _QUICK_BELOW
        or any(cell[:1] == "0" and cell[1:2].isdigit() for cell in cells)
    )
    if doubt or not leave_no_doubt(low, high, len(values), unit or "s"):
        return None
    return tuple(values) if factor == 1.0 else tuple([value * factor for value in values])


def leave_no_doubt(low: float | Floats, high: float | Floats, count: int, unit: TimeUnit) -> bool | Bools:
    """Whether numbers of a stated unit can be nothing but times of a walk, by the lowest and the highest.

    Parameters
    ----------
    low, high : float or float array (logs,)
        As written, of one log or of many.
    count : int
        Of the numbers.
    unit : TimeUnit
    """
    factor = UNIT_S[unit]
    least = 1.0 if unit == "d" else 0.0  # parts of a day may be a time of day
    slow = (high - low) * factor / count >= _FASTEST_S
    return (low >= 0.0) & (high * factor < _RUNNING_CLOCK_S) & (high >= least) & slow


def number_line(column: TimeColumn, values: Sequence[float], texts: Sequence[str]) -> NumberLine:
    """Seconds from plain numbers.

    Parameters
    ----------
    column : TimeColumn
        For what the heading says, and the walk.
    values : sequence of float
        At least one.
    texts : sequence of str
        The cells they stand in.

    Raises
    ------
    ClockRefusedError
        Two ways to read them stay possible.
    """
    if column.heading.strange_unit:
        msg = (
            f'the heading states "{column.heading.strange_unit}", which is no unit of time known here; '
            "write s, ms, min or h in it, such as time_s"
        )
        raise ClockRefusedError(msg, code="time_unit")
    if running := _running_clock(column, values, texts):
        return running
    if digits := _digits(column, values, texts):
        return digits
    values, notes = _whole_thousands(column, values, texts)
    if column.unit is not None:
        return _in_unit(values, column.unit, notes)
    return _unit_by_pace(column, values, texts, notes)


def _running_clock(column: TimeColumn, values: Sequence[float], texts: Sequence[str]) -> NumberLine | None:
    """Numbers that count from an epoch; None if they do not. A moment that no log is of refuses."""
    unit = column.unit
    if unit == "d" or (unit is not None and max(values) * UNIT_S[unit] < _RUNNING_CLOCK_S):
        return None
    if unit is not None and max(values) * UNIT_S[unit] < _LATEST_S:
        found: TimeUnit | None = unit
    else:
        found = next((name for least, name in _RUNNING if max(values) >= least), None)
    if found is None:
        return None
    kind = f"{UNIT_NAMES[found]} of a running clock"
    odd = next((k for k, value in enumerate(values) if not 0.0 <= value * UNIT_S[found] < _LATEST_S), None)
    if odd is not None:
        msg = (
            f"{texts[odd].strip()} is no moment in {kind}; write seconds from the first reading, or 14:03:10"
        )
        at = column.cells.index(texts[odd]) if texts[odd] in column.cells else 0
        raise ClockRefusedError(msg, code="far_moment", at=at)
    return NumberLine(
        times=tuple(
            value * UNIT_S[found] if UNIT_S[found] >= 1 else value / (1 / UNIT_S[found]) for value in values
        ),
        kind=kind,
        factor=UNIT_S[found],
        epoch_day=EPOCH,
        notes=(f"the large numbers are read as {kind}",),
    )


# ---- digits of a clock ----------------------------------------------------------------------------------

_CLOCK_DIGITS = regular(r"([01]?\d|2[0-3])([0-5]\d)([0-5]\d)?")


def _digits(column: TimeColumn, values: Sequence[float], texts: Sequence[str]) -> NumberLine | None:
    """140310 or 1403 as a time of day; None if they are numbers."""
    if column.unit not in {None, "h", "min", "d"} or (
        column.unit and not (column.heading.digits or column.heading.of_day)
    ):
        return None
    found = _as_clock([text.strip() for text in texts])
    if found is None:
        return None
    line = NumberLine(
        times=tuple(found),
        kind="time of day",
        of_day=True,
        notes=(f"the times are read as digits of a clock: {texts[0].strip()} as {_clock_words(found[0])}",),
    )
    if (
        column.heading.digits
        or column.heading.of_day
        or any(text.strip()[:1] == "0" and len(text.strip()) > 2 for text in texts)
    ):
        return line
    if min(values) >= _CLOCK_FROM_S:
        return line
    clock, number = likely(found, column.walk), likely(values, column.walk)
    if _nobody_so_fast(values, column.walk):  # minutes that stand several times, at wheels of one round
        return line if clock or not _nobody_so_fast(found, column.walk) else None
    if clock and number and len(values) >= _MANY:
        msg = (
            f"{texts[0].strip()} may be a time of day or a number of seconds; write "
            f"{_clock_words(found[0])}, or the unit in the heading such as time_s"
        )
        raise ClockRefusedError(msg, code="two_ways")
    return line if clock and not number else None


def _nobody_so_fast(seconds: Sequence[float], walk: Walk | None) -> bool:
    """True where wheels follow one another as nobody reads them."""
    return walk is not None and bool(impossible_pace(seconds, walk))


def _as_clock(texts: Sequence[str]) -> list[float] | None:
    """Seconds of the day; None if one of them is no time in digits."""
    longest = max(map(len, texts))
    if longest < 3 or (longest > 4 and min(map(len, texts)) < 3):
        return None
    seconds = longest > 4
    found = []
    for text in texts:
        match = _CLOCK_DIGITS.fullmatch(text.zfill(6 if seconds else 4)) if text.isdigit() else None
        if match is None or (match[3] is not None) != seconds:
            return None
        found.append(int(match[1]) * 3600.0 + int(match[2]) * 60 + int(match[3] or 0))
    return found


def _clock_words(seconds: float) -> str:
    whole = int(seconds)
    tail = f":{whole % 60:02d}" if whole % 60 else ""
    return f"{whole // 3600}:{whole // 60 % 60:02d}{tail}"


# ---- thousands marks ------------------------------------------------------------------------------------

_THOUSANDS = regular(r"[1-9]\d{0,2}(?:([.,' ])\d{3})+|\d{1,3}")


_AS_THOUSANDS = "the marks in times such as {} are read as marks of thousands, by the pace"


def _whole_thousands(
    column: TimeColumn, values: Sequence[float], texts: Sequence[str]
) -> tuple[Sequence[float], tuple[str, ...]]:
    """The numbers with their marks taken as thousands marks, where the pace says so."""
    matches = [_THOUSANDS.fullmatch(text.strip()) for text in texts]
    marks = {match[1] for match in matches if match and match[1]}
    if None in matches or marks != {column.decimal}:
        return values, ()
    whole = [float(re.sub(r"[.,]", "", text)) for text in texts]
    units: Sequence[TimeUnit] = [column.unit] if column.unit else ["s"]
    factor = UNIT_S[units[0]]
    if sorted(whole) == whole and sorted(values) != list(values):
        return whole, (_AS_THOUSANDS.format(next(text.strip() for text in texts if column.decimal in text)),)
    as_whole = likely([value * factor for value in whole], column.walk)
    as_part = likely([value * factor for value in values], column.walk)
    shown = next(text.strip() for text in texts if column.decimal in text)
    if as_whole and as_part:
        msg = f"{shown} may have a decimal mark or a mark of thousands; write it without marks"
        raise ClockRefusedError(msg, code="two_ways")
    if not as_whole:
        return values, ()
    return whole, (
        f"the marks in times such as {shown} are read as marks of thousands, by the pace of the walk",
    )


# ---- units ----------------------------------------------------------------------------------------------


def _in_unit(values: Sequence[float], unit: TimeUnit, notes: tuple[str, ...]) -> NumberLine:
    factor = UNIT_S[unit]
    times = tuple(value * factor for value in values)
    if unit != "d":
        return NumberLine(times=times, kind=UNIT_NAMES[unit], factor=factor, notes=notes)
    return _serial(values, notes)


def _serial(values: Sequence[float], notes: tuple[str, ...]) -> NumberLine:
    """Days: of a spreadsheet, with their date or as parts of one day, else elapsed."""
    low, high = min(values), max(values)
    dated = _SERIAL_DAYS[0] <= low and high <= _SERIAL_DAYS[1]
    return NumberLine(
        times=tuple(round(value * DAY_S, 4) for value in values),
        kind="days of a spreadsheet" if dated else "days",
        factor=DAY_S,
        epoch_day=SERIAL_ZERO if dated else None,
        of_day=low >= 1 / 24 and high < 1.0,
        notes=notes,
    )


_CANDIDATES: tuple[TimeUnit, ...] = ("s", "min", "ms", "h", "d")


def _unit_by_pace(
    column: TimeColumn, values: Sequence[float], texts: Sequence[str], notes: tuple[str, ...]
) -> NumberLine:
    """The unit that nobody stated: seconds, unless nobody walks so."""
    fits = [unit for unit in _CANDIDATES if _fits(column, values, unit)]
    dotted = all(_maybe_dotted(text) for text in texts)
    if dotted and fits != ["s"]:
        msg = (
            f"{texts[0].strip()} may be a time of day with a dot or a decimal number; "
            "write 14:03, or the unit in the heading such as time_min"
        )
        raise ClockRefusedError(msg, code="two_ways")
    if len(fits) > 1:
        names = " or ".join(UNIT_NAMES[unit] for unit in fits)
        msg = f"the times may be {names}; state the unit in the heading, such as time_{fits[0]}"
        raise ClockRefusedError(msg, code="two_ways")
    if fits and fits != ["s"]:
        why = f"no unit stated; the times are read as {UNIT_NAMES[fits[0]]}, by the pace of the walk"
        return _in_unit(values, fits[0], (*notes, why))
    line = _in_unit(values, "s", notes)
    span_s = max(values) - min(values)
    if fits or span_s >= _FASTEST_S * len(values):
        return line
    doubt = (
        f"{len(values)} readings within {span_s:.3g} s are very fast; if the times are minutes, hours or days"
        " of a spreadsheet, say so in the heading such as time_min, or write 14:03:10"
    )
    return replace(line, notes=(*notes, doubt))


def _fits(column: TimeColumn, values: Sequence[float], unit: TimeUnit) -> bool:
    if len(set(values)) < _MANY:
        return unit == "s"
    factor, serial = UNIT_S[unit], min(values) >= _SERIAL_DAYS[0]
    if unit == "d" and not serial and max(values) >= 1.0:
        return False
    if unit not in {"s", "d"} and min(values) * factor > _CLOCK_FROM_S:
        return False
    return likely([value * factor for value in values], column.walk)


def _maybe_dotted(text: str) -> bool:
    cell = parse_time(text, ",")
    return cell is not None and cell.style == "two"
