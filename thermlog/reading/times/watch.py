"""Times that a watch counts: plain numbers, durations and minutes, from the zero that the log states."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.times.cell import TimeCell
from thermlog.reading.times.numbers import EPOCH, number_line
from thermlog.reading.times.roworder import ordered_times
from thermlog.reading.vocabulary import UNIT_NAMES

if TYPE_CHECKING:
    from thermlog.reading.times.column import TimeColumn, TimedCells


def digits_parked(column: TimeColumn, parked: TimeCell | None) -> TimeCell | None:
    """A parked moment written in digits like the times: 1403."""
    text = (column.parked or "").strip()
    if parked is None or parked.style != "number" or not text.isdigit() or len(text) not in {3, 4, 6}:
        return parked
    full = text.zfill(4).ljust(6, "0")
    return TimeCell(style="three", value=int(full[:2]) * 3600.0 + int(full[2:4]) * 60 + int(full[4:]))


def epoch_times(column: TimeColumn, line: TimedCells, day: int, parked: TimeCell | None) -> TimedCells:
    """Seconds since a day known by its number."""
    first_s = min(line.seconds.values())
    line = line.begun(day, first_s, 0.0 if day == EPOCH else None)
    if parked and parked.style == "number" and parked.value > 0:
        return line.counted_from(
            "parked", number_line(column, [parked.value], [column.parked or ""]).times[0]
        )
    return line.noted(_PARKED_UNUSED if parked else "").counted_from("first", first_s)


def watch_times(column: TimeColumn, line: TimedCells, parked: TimeCell | None) -> TimedCells:
    """Times of a watch, in the order of the rows."""
    ordered = ordered_times(
        list(line.seconds.values()),
        column.limited(line.seconds).walk,
        countdown=column.heading.countdown,
        seconds=line.kind == UNIT_NAMES["s"],
    )
    line = line.noted(ordered.note).timed(ordered.times)
    if ordered.counted_down:
        return replace(line.noted(_PARKED_UNUSED if parked else ""), zero="first")
    if parked is None:
        return line
    same = parked.style in {"number", "units"} and (line.kind != "times with units") == (
        parked.style == "number"
    )
    begins = parked.style == "two" and parked.value <= min(line.seconds.values())
    if same or begins or _is_zero(parked):
        return line.counted_from("parked", parked.value)
    return line.noted(_PARKED_UNUSED)


def _is_zero(parked: TimeCell) -> bool:
    """Whether the times are said to count from the parked moment."""
    return parked.value == 0.0 and parked.style in {"number", "two"}


_PARKED_UNUSED = "the times are elapsed; the parked moment is written otherwise and is not used"
