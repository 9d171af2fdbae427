"""Times written as plain numbers: the quick way for what is clear, and doubts about what comes too fast."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.clockface import ClockRefusedError
from thermlog.reading.timecell import HOUR_S, parse_time

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

TimeUnit: TypeAlias = Literal["s", "min", "h"]

UNIT_S: dict[TimeUnit, float] = {"s": 1.0, "min": 60.0, "h": HOUR_S}
UNIT_WORDS: dict[TimeUnit, str] = {"s": "seconds", "min": "minutes", "h": "hours"}

_RUNNING_CLOCK = 1e8  # larger numbers count seconds since an epoch, from 1e11 on milliseconds


class NumberLine(Struct, frozen=True, kw_only=True):
    """Numbers as seconds, in the order given; `running` if they count since an epoch."""

    times: tuple[float, ...]
    kind: str
    running: bool = False
    notes: tuple[str, ...] = ()


def quick_numbers(cells: Sequence[str], *, unit: TimeUnit | None, decimal: str) -> tuple[float, ...] | None:
    """Seconds from cells which leave nothing to decide.

    Parameters
    ----------
    cells : sequence of str
    unit : {"s", "min", "h"} or None
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
    slow = (high - low) * factor >= len(values)  # saves the look at different values
    if low < 0.0 or high >= _RUNNING_CLOCK or not (slow or not _too_fast(values, factor)):
        return None
    return tuple(values) if factor == 1.0 else tuple([value * factor for value in values])


def _too_fast(values: Collection[float], factor: float) -> bool:
    """Whether the readings follow one another faster than anyone can take them."""
    different = set(values)
    return len(different) > 2 and (max(different) - min(different)) * factor < len(different) - 1


def number_line(values: Sequence[float], texts: Sequence[str], *, unit: TimeUnit | None) -> NumberLine:
    """Judge numbers that are out of the common.

    Parameters
    ----------
    values : sequence of float
        At least one.
    texts : sequence of str
        The cells they stand in.
    unit : {"s", "min", "h"} or None
        Seconds if None.

    Returns
    -------
    NumberLine

    Raises
    ------
    ClockRefusedError
        If they may as well be times of day written with a dot.
    """
    if max(values) >= _RUNNING_CLOCK:
        return _running_clock(values)
    factor = UNIT_S[unit or "s"]
    notes = (_too_fast_note(values, texts, unit),) if _too_fast(values, factor) else ()
    return NumberLine(
        times=tuple(value * factor for value in values), kind=UNIT_WORDS[unit or "s"], notes=notes
    )


def _running_clock(values: Sequence[float]) -> NumberLine:
    milli = max(values) >= _RUNNING_CLOCK * 1000
    kind = "milliseconds of a running clock" if milli else "seconds of a running clock"
    return NumberLine(
        times=tuple(value / 1000 if milli else value for value in values),
        kind=kind,
        running=True,
        notes=(f"the large numbers are read as {kind}",),
    )


def _too_fast_note(values: Sequence[float], texts: Sequence[str], unit: TimeUnit | None) -> str:
    if unit is None and all(_maybe_dotted(text) for text in texts):
        msg = (
            f"{texts[0].strip()} may be a time of day with a dot or a decimal number; "
            "write 14:03, or the unit in the heading such as time_min"
        )
        raise ClockRefusedError(msg)
    span_s = (max(values) - min(values)) * UNIT_S[unit or "s"]
    return (
        f"{len(values)} readings within {span_s:.3g} s are very fast; if the times are minutes, hours or days"
        " of a spreadsheet, say so in the heading such as time_min, or write 14:03:10"
    )


def _maybe_dotted(text: str) -> bool:
    cell = parse_time(text, ",")
    return cell is not None and cell.style == "two"
