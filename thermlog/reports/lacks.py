"""What a log leaves out that a check needs: said before anybody trusts, or misses, a verdict."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING, TypeAlias

from thermlog.judging.asides import WORDS_ALONE
from thermlog.words.sentences import few_of
from thermlog.words.vehicle import SIDES, SPOTS, corner_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.words.tables import Blind, Readings

_Place: TypeAlias = tuple[int, int, int]  # axle, side, spot
_SIDE_WORDS = ("left", "right")
_MOST_NAMES = 6  # in one line
_NO_TRIES = WORDS_ALONE | {"other_unit"}  # what was noted at a wheel beside readings of it


def lacks(table: Readings, case: int) -> tuple[str, ...]:
    """What is missing from the readings of one case, most weighty first; empty if nothing is.

    Parameters
    ----------
    table : Readings
    case : int
        Index into its cases.
    """
    rows = (table.case == case).nonzero()[0].tolist()
    places = [(int(table.axle[row]), int(table.side[row]), int(table.spot[row])) for row in rows]
    timed = bool(rows) and math.isfinite(float(table.elapsed_s[rows[0]]))
    return (*_of_places(places, timed=timed), *_of_case(table, case, timed=timed))


def _of_places(places: Sequence[_Place], *, timed: bool) -> Iterator[str]:
    if len(places) < 2:
        yield "one reading: nothing to compare it with" if places else "no reading"
        return
    yield from _of_sides(set(places))
    axles = {axle for axle, _, _ in places}
    if len(axles) == 1:
        yield f"only axle {min(axles)} was read: no other axle to compare it with"
    single = [place for place, count in sorted(Counter(places).items()) if count == 1]
    if timed and single:
        named = _listed(list(dict.fromkeys(corner_name(axle, SIDES[side]) for axle, side, _ in single)))
        yield f"one reading at {named}: how it cools is not seen; walk round again"


def _of_sides(places: set[_Place]) -> Iterator[str]:
    """Axles of which one side was read, and places read on one side only."""
    sides = {axle: {side for other, side, _ in places if other == axle} for axle, _, _ in places}
    halves = {axle: next(iter(read)) for axle, read in sorted(sides.items()) if len(read) == 1}
    for side, word in enumerate(_SIDE_WORDS):
        mine = [axle for axle, read in halves.items() if read == side]
        if len(mine) == len(sides):
            yield f"only {word} wheels: a check compares left with right"
        elif mine:
            yield f"only the {word} wheel of axle {_listed(mine)}: a check compares left with right"
    for axle in sides.keys() - halves.keys():
        spots = [{spot for other, mine, spot in places if (other, mine) == (axle, side)} for side in (0, 1)]
        if not spots[0] & spots[1]:
            left, right = (_listed([SPOTS[spot].replace("_", " ") for spot in sorted(one)]) for one in spots)
            yield f"axle {axle} read at {left} on the left and at {right} on the right: no like places"


def _of_case(table: Readings, case: int, *, timed: bool) -> Iterator[str]:
    about = table.cases[case]
    if not timed:
        yield "no times: readings cannot be compared at one moment"
    if about.ambient_degc is None:
        yield "no ambient: any usual air must be allowed for; add a line # ambient: 18 C, or say --ambient"
    unknown = sorted({str(one.line) for one in about.blind if _is_strange_wheel(one)}, key=int)
    if unknown:
        yield f"a reading of a wheel nobody knows: line {_listed(unknown)}"
    tried = sorted({one.corner for one in about.blind if one.corner and one.code not in _NO_TRIES})
    if tried:
        yield f"a reading without a temperature at {_listed(tried)}: read it again"
    alone = sorted({one.corner for one in about.blind if one.corner and one.code == "other_unit"})
    if alone:
        yield f"one unit for all wheels: {_listed(alone)} in one that no other wheel has: read it again"


def _is_strange_wheel(one: Blind) -> bool:
    return one.corner is None and one.code not in WORDS_ALONE


def _listed(names: Sequence[object]) -> str:
    return few_of([*map(str, names)], _MOST_NAMES)
