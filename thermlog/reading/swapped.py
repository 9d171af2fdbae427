"""Headings of two columns in each other's place, told by what stands below them."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from thermlog.reading.cells import measured, shown
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.times.cell import parse_time
from thermlog.words.errors import LogRefusedError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from thermlog.reading.sifted import Sifted

_FITS: dict[str, frozenset[str]] = {
    "position": frozenset({"wheel"}),
    "time": frozenset({"number", "clock"}),
    "temperature": frozenset({"number"}),
}
_LOOKED_AT = 50  # cells of a column
_WORDS = {"position": "a wheel", "time": "a time", "temperature": "a temperature"}


def swapped_columns(cells_of: Mapping[str, Sequence[str]]) -> tuple[str, str] | None:
    """Two roles whose columns would make readings if their headings changed places.

    Parameters
    ----------
    cells_of : mapping of str to sequence of str
        Role (``"position"``, ``"time"``, ``"temperature"``) -> its cells.

    Returns
    -------
    tuple of str or None
        None where the columns fit as they are, or no exchange of two makes them fit.

    Examples
    --------
    >>> swapped_columns({"position": ["14:03", "14:04"], "time": ["LF", "RF"], "temperature": ["80", "81"]})
    ('position', 'time')
    """
    kinds = {role: frozenset(map(_kind, cells[:_LOOKED_AT])) for role, cells in cells_of.items()}
    if all(kinds[role] <= _FITS[role] for role in kinds):
        return None
    for one, other in combinations(kinds, 2):
        changed = {**kinds, one: kinds[other], other: kinds[one]}
        if all(changed[role] <= _FITS[role] for role in changed):
            return one, other
    return None


def _kind(cell: str) -> str:
    if looks_like_position(cell):
        return "wheel"
    if not measured(cell, ".").problem or not measured(cell, ",").problem:
        return "number"
    return "other" if parse_time(cell) is None else "clock"


def swapped_headings(work: Sifted) -> LogRefusedError | None:
    """What to say of a log with a row a reading of which no row is one because two headings are swapped.

    Parameters
    ----------
    work : Sifted
        None of its readings can be used.

    Returns
    -------
    LogRefusedError or None
        None where something else is the matter.
    """
    seen, plan = work.seen, work.asked.plan
    if plan.layout != "long" or seen.time is None or not {"position", "time"} <= plan.index.keys():
        return None
    cells = {"position": seen.position, "time": seen.time, "temperature": seen.temp}
    pair = swapped_columns(cells)
    if pair is None:
        return None
    names = {
        "position": work.column("position"),
        "time": work.column("time"),
        "temperature": plan.temps[0].name,
    }
    one, other = pair
    return LogRefusedError(
        f'every cell below "{names[one]}" may be {_WORDS[other]} and every cell below "{names[other]}" '
        f"{_WORDS[one]}; swap the two headings",
        code="swapped",
        file=work.asked.file,
        line=seen.line[0],
        column=names[one],
        value=shown(cells[one][0]),
    )
