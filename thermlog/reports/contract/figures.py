"""Numbers as JSON shows them: six significant digits, and null for what is not finite."""

from __future__ import annotations

from operator import is_
from typing import TYPE_CHECKING, TypeAlias, TypeVar

import numpy as np
from msgspec import Struct
from msgspec.structs import astuple, replace

from thermlog.reports.wording import six_digits
from thermlog.words.estimates import Estimate, Interval

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from thermlog.words.tables import Floats

Figures: TypeAlias = "list[float | None]"  # the numbers of one row
_Thing = TypeVar("_Thing")
_WITH_NUMBERS = (float, tuple, Struct)
_EXACT_POWER = 22  # of ten: the last that a float holds exactly
_POWERS: Floats = np.array([float(10**k) for k in range(_EXACT_POWER + 1)])
_TIE = 1e-6
_NOT_KNOWN = (None, None, None)


def at_six_digits(thing: _Thing) -> _Thing:
    """The same record, or tuple of records, with every number at six significant digits.

    Parameters
    ----------
    thing : object
        What holds no number is given back as it is.
    """
    shown: object = thing
    if isinstance(thing, float):
        shown = six_digits(thing)
    elif isinstance(thing, tuple):
        ones = tuple(map(at_six_digits, thing))
        shown = thing if all(map(is_, ones, thing)) else ones
    elif isinstance(thing, Struct):
        fields = ((name, getattr(thing, name)) for name in thing.__struct_fields__)
        numbers = {name: at_six_digits(old) for name, old in fields if isinstance(old, _WITH_NUMBERS)}
        shown = replace(thing, **numbers)
    return shown  # type: ignore[return-value]  # of the kind that came in; None is what JSON shows of a NaN


def six_digits_of(rows: Iterable[Sequence[float | None]]) -> list[Figures]:
    """Rows of as many numbers, each at six digits as `six_digits` has it; many are rounded at once.

    A number times a power of ten is rounded to a whole one and divided again, which gives the number that is
    nearest to its six digits; where the rounding itself is as good as a tie the digits are written out.
    """
    table = list(rows)
    told = np.array(table, dtype=np.float64).reshape(len(table), -1 if table else 0)
    size = np.abs(told)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        places = 5.0 - np.floor(np.log10(size))
        exact = (np.abs(places) <= _EXACT_POWER) & np.isfinite(told)
        power = _POWERS[np.where(exact, np.abs(places), 0.0).astype(np.int64)]
        scaled = np.where(places >= 0.0, told * power, told / power)
        whole = np.rint(scaled)
        shown = np.where(places >= 0.0, whole / power, whole * power)
        safe = exact & (np.abs(np.abs(scaled - whole) - 0.5) > _TIE)
    found: list[Figures] = shown.tolist()
    for row, column in np.argwhere(~safe).tolist():
        value = table[row][column]
        found[row][column] = None if value is None else six_digits(value)
    return found


def parts_of(estimate: Estimate | None) -> tuple[float | None, ...]:
    """Value and both ends of an interval, as far as they are known."""
    return _NOT_KNOWN if estimate is None else astuple(estimate)


def both(low: float | None, high: float | None) -> Interval | None:
    """Both ends; None where one is not known."""
    return None if low is None or high is None else (low, high)


def value_of(estimate: Estimate | None) -> float | None:
    """The value at six digits; None where there is none."""
    return None if estimate is None else six_digits(estimate.value)


def ends_of(estimate: Estimate | None) -> Interval | None:
    """The interval at six digits; None where an end is not known."""
    return None if estimate is None else both(six_digits(estimate.low), six_digits(estimate.high))
