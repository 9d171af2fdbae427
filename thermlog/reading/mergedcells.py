"""Wheels, axles or sides written once over all their readings, as merged cells of a spreadsheet are saved."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING

from thermlog.reading.cellwords import no_wheel_word
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Sequence

_TIME = regular(r"\d+(?:[.,]\d+)?|\d{1,2}:\d{2}(?::\d{2})?")
_FEWEST = 2  # readings a wheel, and wheels; sides of an axle


def named_in_each(
    wheels: Sequence[str], times: Sequence[str] | None, apart: tuple[Sequence[str], Sequence[str]] | None
) -> tuple[Sequence[str], list[str]]:
    """Words for the wheel of each row, with those that stand once over several rows beside each of them.

    A row without one is named by words in the place of its time: "total", with a sum of all readings.

    Parameters
    ----------
    wheels : sequence of str
        Words of each row.
    times : sequence of str or None
        Its time; None where the table has no column of times.
    apart : tuple of sequence of str or None
        Axle and side of each row, where they have columns of their own.

    Returns
    -------
    sequence of str, list of str
        The words, and notes on what was taken.
    """
    notes: list[str] = []
    if apart is not None and (own := axles_filled_down(*apart)) is not None:
        wheels = own
        notes.append("an axle or a side stands once over its rows, and is taken for all of them")
    if times is None or "" not in wheels:
        return wheels, notes
    filled = filled_down(wheels, times)
    if filled is not None:
        return filled, [*notes, "a wheel stands once over its readings, and is taken for all of them"]
    named = zip(wheels, times, strict=True)
    return [wheel if wheel or not _is_name(time) else time.strip() for wheel, time in named], notes


def _is_name(time: str) -> bool:
    """True for words in the place of a time: they hold no figure, or tell of a sum."""
    return not any(map(str.isdigit, time)) or no_wheel_word(time, whole=True) == "summary"


def filled_down(wheels: Sequence[str], times: Sequence[str]) -> list[str] | None:
    """The wheels with those repeated that stand once over their readings; None where that is not plain.

    Every wheel has as many readings and stands once, and the times run on below it and fall to the next one:
    the table is wheel by wheel. In the order of a walk a blank cell is a wheel that nobody wrote down.

    Examples
    --------
    >>> filled_down(["FL", "", "FR", ""], ["25", "235", "41", "251"])
    ['FL', 'FL', 'FR', 'FR']
    >>> filled_down(["FL", "", "RL", ""], ["25", "41", "57", "73"])
    """
    heads = [k for k, wheel in enumerate(wheels) if wheel.strip()]
    ends = [*heads, len(wheels)]
    sizes = {stop - start for start, stop in pairwise(ends)}
    alone = len({wheels[k].strip().casefold() for k in heads}) == len(heads)
    if len(heads) < _FEWEST or heads[0] != 0 or len(sizes) != 1 or min(sizes) < _FEWEST or not alone:
        return None
    moments = [_seconds(time) for time in times]
    falls = [k for k in range(1, len(moments)) if not moments[k - 1] < moments[k]]
    if falls != heads[1:] or any(map(math.isnan, moments)):
        return None
    return [wheels[heads[k // min(sizes)]] for k in range(len(wheels))]


def axles_filled_down(axles: Sequence[str], sides: Sequence[str]) -> list[str] | None:
    """Words for the wheel of each row, where an axle or a side stands once over its rows; None if not plain.

    Below each name of an axle both sides stand equally often, and below each name of a side all axles. A row
    with neither is left blank: it may be the same wheel once more.

    Examples
    --------
    >>> axles_filled_down(["1", "", "2", ""], ["L", "R", "L", "R"])
    ['1 L', '1 R', '2 L', '2 R']
    >>> axles_filled_down(["1", "", "2"], ["L", "R", "L"]) is None
    True
    """
    rows = [k for k in range(len(axles)) if axles[k].strip() or sides[k].strip()]
    if len(rows) < _FEWEST or not (axles[rows[0]].strip() and sides[rows[0]].strip()):
        return None
    columns = [[one[k].strip() for k in rows] for one in (axles, sides)]
    if all(map(all, columns)):
        return None
    above: list[tuple[str, str]] = []
    for axle, side in zip(*columns, strict=True):
        above.append((axle or above[-1][0], side or above[-1][1]))
    told = [*zip(*above, strict=True)]
    if len({*told[1]}) != _FEWEST or not all(
        _stands_over_all(own, other) for own, other in zip(columns, told[::-1], strict=True)
    ):
        return None
    filled = [""] * len(axles)
    for k, one in zip(rows, above, strict=True):
        filled[k] = " ".join(one)
    return filled


def _stands_over_all(cells: Sequence[str], beside: Sequence[str]) -> bool:
    """True where all cells are filled, or below each filled one all names of the other column stand alike."""
    if all(cells):
        return True
    heads = [k for k, cell in enumerate(cells) if cell]
    groups = [Counter(beside[start:stop]) for start, stop in pairwise([*heads, len(cells)])]
    return all(one.keys() == {*beside} and len({*one.values()}) == 1 for one in groups)


def _seconds(time: str) -> float:
    """A time for comparison with others of its column alone; NaN where it is none."""
    text = time.strip()
    if not _TIME.fullmatch(text):
        return math.nan
    total = 0.0
    for part in text.replace(",", ".").split(":"):
        total = total * 60.0 + float(part)
    return total
