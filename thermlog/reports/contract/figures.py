"""Numbers as JSON shows them: six significant digits, and null for what is not finite."""

from __future__ import annotations

from operator import is_
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reports.wording import six_digits
from thermlog.words.estimates import Estimate, Interval

_Thing = TypeVar("_Thing")
_WITH_NUMBERS = (float, tuple, Struct)


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


def value_of(estimate: Estimate | None) -> float | None:
    """The value at six digits; None where there is none."""
    return None if estimate is None else six_digits(estimate.value)


def ends_of(estimate: Estimate | None) -> Interval | None:
    """The interval at six digits; None where an end is not known."""
    return None if estimate is None else rounded(estimate.interval)


def rounded(interval: Interval | None) -> Interval | None:
    """Both ends at six digits; None where one is not known."""
    if interval is None:
        return None
    low, high = (six_digits(end) for end in interval)
    return None if low is None or high is None else (low, high)
