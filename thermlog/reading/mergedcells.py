"""Wheels written once over all their readings, as merged cells of a spreadsheet are saved."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Sequence

_TIME = regular(r"\d+(?:[.,]\d+)?|\d{1,2}:\d{2}(?::\d{2})?")
_FEWEST = 2  # readings a wheel, and wheels


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


def _seconds(time: str) -> float:
    """A time for comparison with others of its column alone; NaN where it is none."""
    text = time.strip()
    if not _TIME.fullmatch(text):
        return math.nan
    total = 0.0
    for part in text.replace(",", ".").split(":"):
        total = total * 60.0 + float(part)
    return total
