"""Wheels stated in a unit in which no other wheel of the drive is: taken as stated, and named.

A gun that was switched half way shows several wheels, or some readings of each, in its other unit. One wheel
alone that is so throughout may have been written down wrongly, and then it was hotter, or colder.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from thermlog.reading.cells import measured, shown
from thermlog.reading.overrides import UNIT_WORDS
from thermlog.words.tables import Blind
from thermlog.words.units import Unit, from_degc, to_degc
from thermlog.words.vehicle import BRAKE_SPOTS, SPOTS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.reading.sifted import Sifted


def units_alone(work: Sifted) -> Iterator[tuple[int, Blind]]:
    """The hottest reading of each wheel whose unit no other wheel of its case has, with its row."""
    units = work.temps.units
    for case in range(len(work.cases.keys)):
        own = work.live_of(case)
        by_wheel: dict[str, list[int]] = {}
        for row in own:
            if _of_brake(work, row) and (corner := work.codes.corner(work.code[row])):
                by_wheel.setdefault(corner, []).append(row)
        for corner, rows in by_wheel.items():
            others = Counter(
                units[row] for wheel, mine in by_wheel.items() if wheel != corner for row in mine
            )
            alone = {units[row] for row in rows}
            if others and len(alone) == 1 and not alone & others.keys():
                hottest = max(rows, key=work.temps.degc.__getitem__)
                yield hottest, _alone(work, hottest, corner, (alone.pop(), others.most_common(1)[0][0]))


def _of_brake(work: Sifted, row: int) -> bool:
    said = -1 if work.spots is None else work.spots[row]
    return SPOTS[said if said >= 0 else int(work.codes.spot[work.code[row]])] in BRAKE_SPOTS


def _alone(work: Sifted, row: int, corner: str, units: Sequence[Unit]) -> Blind:
    """What was stated, and what it would be in the unit of the others."""
    own, others = units
    cell = work.seen.temp[row].strip()
    written = cell if measured(cell, work.decimal).unit else f"{cell} {UNIT_WORDS[own]}"
    return Blind(
        code="other_unit",
        line=work.seen.line[row],
        corner=corner,
        quoted=shown(written),
        value_degc=float(to_degc(from_degc(float(work.temps.degc[row]), own), others)),
    )
