"""Numbers as JSON shows them: six significant digits, and null for what is not finite."""

from __future__ import annotations

import math
from itertools import islice
from operator import is_
from typing import TYPE_CHECKING, TypeAlias, TypeVar

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.reports.wording import six_digits
from thermlog.words.estimates import Estimate, Interval

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from thermlog.words.tables import Floats

Figures: TypeAlias = "list[float | None]"  # one number of many things, or the numbers of one
_Thing = TypeVar("_Thing")
_Record = TypeVar("_Record", bound=Struct)
_WITH_NUMBERS = (float, tuple, Struct)
_EXACT_POWER = 22  # of ten: the last that a float holds exactly
_POWERS: Floats = np.array([float(10**k) for k in range(_EXACT_POWER + 1)])
_TIE = 1e-6
_NOT_KNOWN, _NO_ENDS = Estimate(math.nan), (None, None)


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


def six_digits_of(columns: Iterable[Sequence[float | None]]) -> list[Figures]:
    """Columns of as many numbers, each at six digits as `six_digits` has it; many are rounded at once.

    A number times a power of ten is rounded to a whole one and divided again, which gives the number that is
    nearest to its six digits; where the rounding itself is as good as a tie the digits are written out.
    """
    table = list(columns)
    told = np.array(table, dtype=np.float64).reshape(len(table), -1 if table else 0)  # None becomes NaN
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        places = 5.0 - np.floor(np.log10(np.abs(told)))
        exact = np.abs(places) <= _EXACT_POWER  # not of zero, nor of what is not finite
        power = _POWERS[np.where(exact, np.abs(places), 0.0).astype(np.int64)]
        small = places >= 0.0
        scaled = np.where(small, told * power, told / power)
        whole = np.rint(scaled)
        shown = np.where(small, whole / power, whole * power)
        safe = exact & (np.abs(np.abs(scaled - whole) - 0.5) > _TIE)
    finite = np.isfinite(told)
    found: list[Figures] = shown.tolist()
    for row in np.flatnonzero(~finite.all(1)).tolist():
        found[row] = [one if known else None for one, known in zip(found[row], finite[row], strict=True)]
    for row, column in np.argwhere(finite & ~safe).tolist():
        found[row][column] = six_digits(float(told[row, column]))
    return found


def records(kind: Callable[..., _Thing], columns: Mapping[str, Iterable[object]]) -> Iterator[_Thing]:
    """Records of one kind, a column for every field."""
    names: tuple[str, ...] = kind.__struct_fields__  # type: ignore[attr-defined]
    return map(kind, *(columns[name] for name in names))


def taken_over(kind: type[_Record], source: Struct, **others: object) -> _Record:
    """A record of one kind: its fields are those of the same name of another, but for `others`."""
    same = {name: getattr(source, name) for name in kind.__struct_fields__ if name not in others}
    return kind(**same, **others)


def in_turn(made: Iterator[_Thing], shares: Iterable[Sequence[object]]) -> Iterator[tuple[_Thing, ...]]:
    """Records shared out again, as many to each as it has."""
    return (tuple(islice(made, len(share))) for share in shares)


def parts_of(estimates: Sequence[Estimate | None]) -> tuple[Figures, Figures, Figures]:
    """Columns of values and of both ends of intervals, as far as they are known."""
    known = [_NOT_KNOWN if one is None else one for one in estimates]
    return [one.value for one in known], [one.low for one in known], [one.high for one in known]


def ends_columns(intervals: Sequence[Interval | None]) -> tuple[Figures, Figures]:
    """Columns of both ends, as far as they are known."""
    known = [_NO_ENDS if one is None else one for one in intervals]
    return [low for low, _ in known], [high for _, high in known]


def intervals_of(lows: Figures, highs: Figures) -> list[Interval | None]:
    """Both ends of each; None where one is not known."""
    ends = zip(lows, highs, strict=True)
    return [None if low is None or high is None else (low, high) for low, high in ends]


def value_of(estimate: Estimate | None) -> float | None:
    """The value at six digits; None where there is none."""
    return None if estimate is None else six_digits(estimate.value)


def ends_of(estimate: Estimate | None) -> Interval | None:
    """The interval at six digits; None where an end is not known."""
    if estimate is None:
        return None
    (shown,) = intervals_of([six_digits(estimate.low)], [six_digits(estimate.high)])
    return shown
