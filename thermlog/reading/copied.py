"""Wheels whose figures are those of another wheel, round after round: one was copied from the other."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from thermlog.reading.cells import shown
from thermlog.words.regular import regular
from thermlog.words.tables import Blind
from thermlog.words.vehicle import mate_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from thermlog.reading.sifted import Sifted

# So many readings of two wheels alike are no chance: two wheels that are truly even agree in one reading of
# fifty where they are written to the tenth (2 K of scatter), in one of five to the degree. Own reckoning.
_FEWEST_TENTHS, _FEWEST_WHOLE = 3, 6
_LEAST_FALL_K = 5.0  # brakes that have hardly any heat left agree by themselves: judgement
_TENTHS = regular(r"[.,]\d*[1-9]")


def copied_wheels(figures: Mapping[str, Sequence[str]]) -> list[tuple[str, str]]:
    """Pairs of wheels of which all figures are alike, though they change from round to round.

    Parameters
    ----------
    figures : mapping of str to sequence of str
        Wheel -> its cells in order of the rows.

    Examples
    --------
    >>> copied_wheels({"2L": ("78.5", "72.2", "64.1"), "2R": ("78.5", "72.2", "64.1")})
    [('2L', '2R')]
    >>> copied_wheels({"2L": ("78", "72", "64"), "2R": ("78", "72", "64")})
    []
    """
    alike: dict[tuple[str, ...], list[str]] = {}
    for wheel, cells in figures.items():
        alike.setdefault(tuple(cells), []).append(wheel)
    told = (wheels for one, wheels in alike.items() if len(set(one)) > 1 and len(one) >= _fewest(one))
    return [pair for wheels in told for pair in combinations(wheels, 2)]


def _fewest(series: Sequence[str]) -> int:
    return _FEWEST_TENTHS if any(map(_TENTHS.search, series)) else _FEWEST_WHOLE


def copied_in(work: Sifted) -> Iterator[tuple[int, Blind]]:
    """Both wheels of an axle that are such a pair, with a row: nobody knows of which the figures are."""
    for case in range(len(work.cases.keys)):
        by_spot: dict[int, dict[str, list[int]]] = {}
        for row in work.live_of(case):
            corner = work.codes.corner(work.code[row])
            if corner is not None:
                spot = -1 if work.spots is None else int(work.spots[row])
                by_spot.setdefault(spot, {}).setdefault(corner, []).append(row)
        for rows in by_spot.values():
            yield from _copied(work, rows)


def _copied(work: Sifted, rows: Mapping[str, Sequence[int]]) -> Iterator[tuple[int, Blind]]:
    figures = {corner: [work.seen.temp[row].strip() for row in mine] for corner, mine in rows.items()}
    for pair in copied_wheels(figures):
        degc = work.temps.degc[list(rows[pair[0]])]
        if mate_of(pair[0]) != pair[1] or float(np.ptp(degc)) < _LEAST_FALL_K:
            continue
        for corner, other in (pair, pair[::-1]):
            first = rows[corner][0]
            quoted = f"{', '.join(figures[corner][:3])} as {work.seen.position[rows[other][0]].strip()}"
            yield (
                first,
                Blind(code="doubted", line=work.seen.line[first], corner=corner, quoted=shown(quoted, 60)),
            )
