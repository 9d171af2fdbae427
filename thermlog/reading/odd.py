"""Readings that would fit the others if they had been typed otherwise: named, never taken away."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from thermlog.words.sentences import degc, named, sentence
from thermlog.words.tables import Bools, Floats, Odd, OddCode
from thermlog.words.units import Unit, to_degc

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

MOST_TYPED = 400  # readings of a case on average; of a log with more nobody typed them
# Common practice, no source: how far a value lies outside the others to be looked at, and how near a typing
# error must bring it.
_FEWEST = 3  # other readings
_FAR = 0.6  # of the span of the others, at least
_LEAST_FAR_K = 25.0
_NEAR_K = 5.0  # of the others that do not stand apart themselves
_SAME = 0.6  # of the distance to the other wheels: another reading of the wheel so near speaks for it
_TYPED_DIGITS = 6  # behind the point; what a change of unit leaves behind them nobody typed
_WORDS: dict[OddCode, str] = {
    "other_unit": "if typed in {}",
    "digits_swapped": "with two digits swapped",
    "digit_missing": "if a digit is missing",
    "digit_added": "if a digit is too many",
}


def odd_readings(
    degc_of: Mapping[int, float], corner_of: Callable[[int], str], line_of: Sequence[int], unit: Unit
) -> list[Odd]:
    """Readings of one case that may be typing errors.

    Parameters
    ----------
    degc_of : mapping
        Row -> temperature [°C].
    corner_of : callable
        Corner of a row.
    line_of : sequence of int
        Line of each row.
    unit : Unit
        In which the figures were typed.

    Returns
    -------
    list of Odd
        None for a wheel that shows the same value again.
    """
    if none_apart(degc_of.values()):
        return []
    found, ordered = [], sorted(degc_of.values())
    for row, value in degc_of.items():
        low, high = _core_without(value, ordered)
        margin = max(_FAR * (high - low), _LEAST_FAR_K)
        if low - margin <= value <= high + margin or _shown_again(row, degc_of, corner_of):
            continue
        others = [other for k, other in degc_of.items() if k != row]
        near = [other for other in others if low - margin <= other <= high + margin]
        low, high = min(near) - _NEAR_K, max(near) + _NEAR_K
        hits = (one for one in _otherwise(value, others, unit) if low <= one[1] <= high)
        if (hit := next(hits, None)) is not None:
            corner = corner_of(row)
            found.append(Odd(code=hit[0], line=line_of[row], corner=corner, degc=value, would_be_degc=hit[1]))
    return found


def none_apart(values_degc: Iterable[float]) -> bool:
    """True if no value stands apart from the others, whichever of them is left out."""
    ordered = sorted(values_degc)
    if len(ordered) <= _FEWEST:
        return True
    inner = _inner(len(ordered))
    low, high = ordered[inner] - _LEAST_FAR_K, ordered[-1 - inner] + _LEAST_FAR_K
    return low <= ordered[0] and ordered[-1] <= high


def none_apart_in(rows_degc: Floats) -> Bools:
    """`none_apart` of many logs, a row each."""
    count = rows_degc.shape[1]
    if count <= _FEWEST:
        return np.ones(rows_degc.shape[0], dtype=bool)
    ordered, inner = np.sort(rows_degc, axis=1), _inner(count)
    low, high = ordered[:, inner] - _LEAST_FAR_K, ordered[:, -1 - inner] + _LEAST_FAR_K
    together: Bools = (low <= ordered[:, 0]) & (ordered[:, -1] <= high)
    return together


def _inner(count: int) -> int:
    """Place of the value that stands next to the outermost ones, whichever is left out."""
    return 2 if count > 2 * _FEWEST + 1 else 1


def _core(values: Sequence[float]) -> tuple[float, float]:
    """Lowest and highest of the values, without one at each end where there are enough."""
    ordered = sorted(values)
    cut = _cut(len(ordered))
    return ordered[cut], ordered[-1 - cut]


def _core_without(value: float, ordered: Sequence[float]) -> tuple[float, float]:
    """`_core` of all values but one of them, from all of them in order."""
    cut = _cut(len(ordered) - 1)
    low, high = ordered[cut], ordered[-1 - cut]
    return ordered[cut + 1] if value <= low else low, ordered[-2 - cut] if value >= high else high


def _cut(count: int) -> int:
    """How many of so many values are left out at each end."""
    return 1 if count > 2 * _FEWEST else 0


def _shown_again(row: int, degc_of: Mapping[int, float], corner_of: Callable[[int], str]) -> bool:
    """True if another reading of the wheel is nearer to this one than the other wheels are."""
    value, corner = degc_of[row], corner_of(row)
    mine = [other for k, other in degc_of.items() if k != row and corner_of(k) == corner]
    rest = [other for k, other in degc_of.items() if corner_of(k) != corner]
    if not mine or not rest:
        return False
    near = _SAME * min(abs(value - end) for end in _core(rest))
    return any(abs(other - value) <= near for other in mine)


def _otherwise(
    value_degc: float, others_degc: Sequence[float], unit: Unit
) -> Iterator[tuple[OddCode, float]]:
    """What the value may have been meant to be [°C], by the figure that was typed."""
    value = _figure(value_degc, unit)
    lengths = [len(str(abs(round(_figure(other, unit))))) for other in others_degc]
    if unit != "K":
        yield "other_unit", to_degc(value, "F" if unit == "C" else "C")
    value = round(value, _TYPED_DIGITS)
    whole = int(value)  # as typed: in 139.8 stand a 1, a 3 and a 9
    rest, text = value - whole, str(abs(whole))
    figures: list[tuple[OddCode, str]] = [
        ("digits_swapped", text[:k] + text[k + 1] + text[k] + text[k + 2 :]) for k in range(len(text) - 1)
    ]
    if len(text) > min(lengths):
        figures += [("digit_added", text[:k] + text[k + 1 :]) for k in range(len(text))]
    for code, figure in figures:
        yield code, to_degc(float(figure) + rest, unit)
    if len(text) < max(lengths):
        ends = (text + "0", text + "9", "1" + text, "9" + text, "10" + text, "11" + text)
        for figure in ends:
            yield "digit_missing", to_degc(float(figure) + rest, unit)


def _figure(value_degc: float, unit: Unit) -> float:
    """The number that was typed for a temperature."""
    return {"C": value_degc, "F": value_degc * 1.8 + 32, "K": value_degc + 273.15}[unit]


def odd_note(odd: Odd) -> str:
    """The same for people."""
    pattern = "line {}: {} at {} stands apart and would be {} {}; look at it again"
    unit = "Fahrenheit" if odd.would_be_degc < odd.degc else "Celsius"  # no sign: papers show one unit only
    words = _WORDS[odd.code].format(unit)
    digits = 0 if odd.code == "other_unit" else None
    would_be = degc(odd.would_be_degc, digits=digits)
    return sentence(pattern, odd.line, degc(odd.degc, digits=None), named(odd.corner), would_be, words)
