"""Dates with times on one line of seconds: day or month first, offsets, or a refusal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reading.times.cell import TimeCell
from thermlog.reading.times.face import ClockRefusedError
from thermlog.reading.vocabulary import DateOrder
from thermlog.words.moments import DAY_S

if TYPE_CHECKING:
    from collections.abc import Sequence

_SHORT_LOG_S = 2 * DAY_S  # of two orders of day and month the one that keeps the log so short is meant
_ORDER_WORDS: dict[DateOrder, str] = {"dmy": "day first", "mdy": "month first"}


class StampLine(Struct, frozen=True, kw_only=True):
    """Stamps on one line.

    Attributes
    ----------
    times : tuple of float
        Seconds from midnight before the earliest day; from the same in UTC if `offsets`.
    offsets : bool
        True if the stamps state their offsets.
    day : int
        Ordinal of the earliest day as written.
    notes : tuple of str
        What was decided, and why.
    """

    times: tuple[float, ...]
    offsets: bool
    day: int
    notes: tuple[str, ...]


def stamp_line(cells: Sequence[TimeCell], *, date_order: DateOrder | None) -> StampLine:
    """Put stamps on one line of seconds.

    Parameters
    ----------
    cells : sequence of TimeCell
        Each with a day, at least one.
    date_order : {"dmy", "mdy"} or None
        As the user states it.

    Returns
    -------
    StampLine

    Raises
    ------
    ClockRefusedError
        If day and month may change places, a day does not exist, or only some stamps state an offset.
    """
    stated = {cell.offset_s is not None for cell in cells}
    if len(stated) > 1:
        msg = "some times state an offset from UTC and others do not; write it on all or on none"
        raise ClockRefusedError(msg, code="offsets")
    offsets = {cell.offset_s for cell in cells}
    notes = (
        ["the times have different offsets from UTC; they are brought together"] if len(offsets) > 1 else []
    )
    days, why = _days(cells, date_order)
    start = min(days)
    times = tuple(
        (day - start) * DAY_S + cell.value - (cell.offset_s or 0.0)
        for day, cell in zip(days, cells, strict=True)
    )
    if max(times) - min(times) > _SHORT_LOG_S:
        notes.append("the times of one drive lie more than two days apart; check the dates")
    return StampLine(
        times=times, offsets=stated == {True}, day=start, notes=tuple([why, *notes] if why else notes)
    )


def _days(cells: Sequence[TimeCell], date_order: DateOrder | None) -> tuple[list[int], str]:
    """Day numbers, and why in this order."""
    orders: tuple[DateOrder, ...] = (date_order,) if date_order else ("dmy", "mdy")
    possible = {order: days for order in orders if (days := _ordinals(cells, order)) is not None}
    if not possible:
        msg = "some dates do not exist; write them as 2031-05-04, or say --date-order dmy or --date-order mdy"
        raise ClockRefusedError(msg, code="no_such_date")
    open_order = any(cell.day and not cell.day.order for cell in cells)
    if date_order or not open_order or _same_steps(possible):
        return next(iter(possible.values())), ""
    if len(possible) == 1:
        order = next(iter(possible))
        return possible[order], f"dates are read {_ORDER_WORDS[order]}: a month above 12 otherwise"
    return _by_span(cells, possible)


def _ordinals(cells: Sequence[TimeCell], order: DateOrder) -> list[int] | None:
    days = [cell.day.ordinal(order) if cell.day else None for cell in cells]
    found = [day for day in days if day is not None]
    return found if len(found) == len(days) else None


def _same_steps(possible: dict[DateOrder, list[int]]) -> bool:
    """Whether the order makes no difference to any step."""
    return (
        len(possible) == 2 and len({tuple(day - days[0] for day in days) for days in possible.values()}) == 1
    )


def _by_span(cells: Sequence[TimeCell], possible: dict[DateOrder, list[int]]) -> tuple[list[int], str]:
    """Take the order that keeps the log short, else that of dates with dots, else refuse."""
    spans = {order: (max(days) - min(days)) * DAY_S for order, days in possible.items()}
    short = [order for order, span in spans.items() if span < _SHORT_LOG_S]
    if len(short) == 1:
        return possible[
            short[0]
        ], f"dates are read {_ORDER_WORDS[short[0]]}: the log would last months otherwise"
    if all(cell.day and (cell.day.dotted or cell.day.order) for cell in cells):
        return possible["dmy"], "dates with dots are read day first"
    msg = "day and month may change places in these dates; say --date-order dmy or --date-order mdy"
    raise ClockRefusedError(msg, code="date_order")
