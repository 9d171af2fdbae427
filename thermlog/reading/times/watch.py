"""Times that a watch counts: plain numbers, durations and minutes, from the zero that the log states."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.times.cell import TimeCell
from thermlog.reading.times.numbers import EPOCH, number_line
from thermlog.reading.times.order import ordered_times
from thermlog.reading.vocabulary import UNIT_NAMES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from thermlog.reading.times.column import TimeColumn


def digits_parked(column: TimeColumn, parked: TimeCell | None) -> TimeCell | None:
    """A parked moment written in digits like the times: 1403."""
    text = (column.parked or "").strip()
    if parked is None or parked.style != "number" or not text.isdigit() or len(text) not in {3, 4, 6}:
        return parked
    full = text.zfill(4).ljust(6, "0")
    return TimeCell(style="three", value=int(full[:2]) * 3600.0 + int(full[2:4]) * 60 + int(full[4:]))


def epoch_times(
    column: TimeColumn, seconds: Mapping[int, float], day: int, parked: TimeCell | None
) -> dict[int, float]:
    """Seconds since a day known by its number."""
    if parked and parked.style == "number" and parked.value > 0:
        column.zero, zero_s = "parked", number_line(column, [parked.value], [column.parked or ""]).times[0]
    else:
        column.zero, zero_s = "first", min(seconds.values())
        if parked:
            column.notes.append(_PARKED_UNUSED)
    column.tell_start(day, min(seconds.values()), 0.0 if day == EPOCH else None)
    return {index: value - zero_s for index, value in seconds.items()}


def watch_times(column: TimeColumn, seconds: dict[int, float], parked: TimeCell | None) -> dict[int, float]:
    """Times of a watch, in the order of the rows."""
    column.limit_walk(seconds)
    ordered = ordered_times(
        list(seconds.values()),
        column.walk,
        countdown=column.heading.countdown,
        seconds=column.kind == UNIT_NAMES["s"],
    )
    if ordered.note:
        column.notes.append(ordered.note)
    seconds = dict(zip(seconds, ordered.times, strict=True))
    if ordered.counted_down:
        column.zero = "first"
        if parked:
            column.notes.append(_PARKED_UNUSED)
        return seconds
    same = (
        parked
        and parked.style in {"number", "units"}
        and (column.kind != "times with units") == (parked.style == "number")
    )
    if parked and (same or _is_zero(parked)):
        column.zero = "parked"
        return {index: value - parked.value for index, value in seconds.items()}
    return _elapsed(column, seconds, parked)


def _is_zero(parked: TimeCell) -> bool:
    """Whether the times are said to count from the parked moment."""
    return parked.value == 0.0 and parked.style in {"number", "two"}


_PARKED_UNUSED = "the times are elapsed; the parked moment is written otherwise and is not used"


def _elapsed(column: TimeColumn, seconds: dict[int, float], parked: TimeCell | None) -> dict[int, float]:
    """Elapsed times keep the zero the log states, unless the parked moment is on the same watch."""
    if parked and (_is_zero(parked) or (parked.style == "two" and parked.value <= min(seconds.values()))):
        column.zero = "parked"
        return {index: value - parked.value for index, value in seconds.items()}
    if parked:
        column.notes.append(_PARKED_UNUSED)
    return seconds
