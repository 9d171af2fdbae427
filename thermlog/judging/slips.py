"""Words for a wheel that are slips of the pen: at the place in the round of a brake that lacks a reading."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TypeAlias

from thermlog.judging.axlenumbers import AxleNumbers, SideNumbers
from thermlog.words.tables import Blind

# Lines of a log with the corner that was read there, in order.
Walked: TypeAlias = Sequence[tuple[int, str]]


def slips(unknown: Sequence[Blind], axles: Mapping[int, AxleNumbers], walked: Walked) -> list[Blind]:
    """Words nobody knows that stand for a known brake; every other one may be a wheel of its own.

    Parameters
    ----------
    unknown : sequence of Blind
        Readings without a wheel.
    axles : mapping of int to AxleNumbers
    walked : sequence of (int, str)
        Lines with the corners that were read there, in order.

    Returns
    -------
    list of Blind
        Those that stand once, between the readings of a brake that lacks one, and where it stands in the
        other rounds; none where more stand so than readings are missing.
    """
    sides = [side for numbers in axles.values() for side in numbers.sides]
    most = max((side.readings for side in sides), default=0)
    lacking = [side for side in sides if side.readings < most]
    if not lacking:
        return []
    often, beside = Counter(one.quoted for one in unknown), _neighbours(unknown, walked)
    once = [
        one
        for one in unknown
        if often[one.quoted] == 1
        and any(
            _between(one.value_degc, side) and _stands_there(one.line, side.corner, walked, beside)
            for side in lacking
        )
    ]
    return once if len(once) <= sum(most - side.readings for side in lacking) else []


def _between(degc: float | None, side: SideNumbers) -> bool:
    """True for a temperature that a brake had between two of its own readings."""
    if degc is None or side.coldest_degc is None or side.hottest_degc is None:
        return False
    return side.coldest_degc <= degc <= side.hottest_degc


def _neighbours(unknown: Sequence[Blind], walked: Walked) -> Mapping[str, set[str]]:
    """Corners that were read right before or after each corner, with no unknown word between them."""
    strange = [one.line for one in unknown]
    found: dict[str, set[str]] = {}
    for (line, one), (later, other) in pairwise(walked):
        if line < later and not any(line < at < later for at in strange):
            found.setdefault(one, set()).add(other)
            found.setdefault(other, set()).add(one)
    return found


def _stands_there(line: int, corner: str, walked: Walked, beside: Mapping[str, set[str]]) -> bool:
    """True where a corner has the same neighbours in other rounds.

    A round may begin where the one before it ended, and a walk there and back turns at a brake: that one is
    its own neighbour, or has the same one on both sides, and no other anywhere.
    """
    before = [other for at, other in walked if at < line][-1:]
    after = [other for at, other in walked if at > line][:1]
    here, usual = set(before + after), beside.get(corner, set())
    others = here - {corner}
    if before == after or corner in here:
        return bool(others) and usual - {corner} == others
    return bool(here) and here <= usual
