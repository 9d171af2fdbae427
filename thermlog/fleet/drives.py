"""The drives of a list of work by rank; those on which nothing was found are packed until asked for."""

from __future__ import annotations

from array import array
from bisect import bisect
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate
from typing import TYPE_CHECKING, overload

from msgspec import Struct

from thermlog.fleet.again import Again, again_of
from thermlog.fleet.ranking import by_drive, line_place
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from thermlog.fleet.quietrows import QuietRows
    from thermlog.fleet.workrow import FleetRow, WorkGroup
    from thermlog.words.noted import Unweighed


class WorkDrive(Struct, frozen=True, kw_only=True):
    """One drive of one vehicle in the list.

    Attributes
    ----------
    rank : int
        1 for the most pressing of all drives.
    unit_rank : int
        1 for the most pressing of all units, by the most pressing of its drives.
    group : WorkGroup
    lines : tuple of FleetRow
        What was found on it, the most pressing first; at least one.
    again : Again or None
        What it lacks, where it could not be told.
    """

    rank: int
    unit_rank: int
    group: WorkGroup
    lines: tuple[FleetRow, ...]
    again: Again | None

    @property
    def first(self) -> FleetRow:
        """The line that gives it its rank."""
        return self.lines[0]


class Drives(Sequence[WorkDrive]):
    """All drives by rank; those of one quiet line are made of it when they are asked for.

    Parameters
    ----------
    rows : iterable of FleetRow
    quiet : sequence of QuietRows
        Lines beside these, each of a drive of its own.
    """

    def __init__(self, rows: Iterable[FleetRow], quiet: Sequence[QuietRows] = ()) -> None:
        self._lines, self._quiet = by_drive(rows), quiet
        self._starts = [*accumulate(map(len, quiet), initial=len(self._lines))]
        places = [line_place(lines[0]) for lines in self._lines]
        for table in quiet:
            places += table.places()
        # of a hundred thousand drives, numbers alone
        self._order = array("l", sorted(range(len(places)), key=places.__getitem__))
        self._unit_ranks = self._ranked_units()
        told = len(self._lines)
        self._beside_quiet = [self[place] for place, number in enumerate(self._order) if number < told]

    def __len__(self) -> int:
        return len(self._order)

    @overload
    def __getitem__(self, index: int) -> WorkDrive: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[WorkDrive]: ...
    def __getitem__(self, index: int | slice) -> WorkDrive | Sequence[WorkDrive]:
        if isinstance(index, slice):
            return [self[k] for k in range(len(self))[index]]
        place = range(len(self))[index]
        lines = self._lines_of(self._order[place])
        return WorkDrive(
            rank=place + 1,
            unit_rank=self._unit_ranks[place],
            group=lines[0].group,
            lines=lines,
            again=again_of(lines[0]),
        )

    def _ranked_units(self) -> array[int]:
        """Rank of the unit of every drive; names that mean the same are one unit."""
        names = [lines[0].unit for lines in self._lines]
        for table in self._quiet:
            names += table.unit
        keys = {name: unit_key(name) for name in set(names)}
        ranks: dict[str, int] = {}
        found = array("l")
        for number in self._order:
            found.append(ranks.setdefault(keys[names[number]], len(ranks) + 1))
        return found

    @property
    def unit_ranks(self) -> Sequence[int]:
        """Rank of the unit of every drive, by the rank of the drive."""
        return self._unit_ranks

    def _lines_of(self, number: int) -> tuple[FleetRow, ...]:
        if number < len(self._lines):
            return self._lines[number]
        table = bisect(self._starts, number) - 1
        return (self._quiet[table].row(number - self._starts[table]),)

    def quiet_ranks(self) -> Iterator[tuple[QuietRows, list[int]]]:
        """Tables of quiet lines, each with the ranks of the drives that its lines are of."""
        rank = array("l", bytes(self._order.itemsize * len(self._order)))
        for place, number in enumerate(self._order, start=1):
            rank[number] = place
        for table, start in zip(self._quiet, self._starts, strict=False):  # the last start is the end
            yield table, rank[start : start + len(table)].tolist()

    def beside_quiet(self) -> Sequence[WorkDrive]:
        """All but those of one quiet line, by rank."""
        return self._beside_quiet

    def names(self) -> Iterator[tuple[str, str]]:
        """Unit and file of every drive; in no order."""
        for lines in self._lines:
            yield lines[0].unit, lines[0].file
        for table in self._quiet:
            yield from zip(table.unit, table.file, strict=True)

    def of_brakes(self) -> dict[str, tuple[Unweighed, ...]]:
        """Of every file the remarks about a wheel or a brake that nobody weighed."""
        found: dict[str, tuple[Unweighed, ...]] = {}
        for lines in self._lines:
            if lines[0].of_brakes:
                found.setdefault(lines[0].file, lines[0].of_brakes)
        return found

    def remarked(self) -> list[tuple[str, int]]:
        """Every file with remarks for a person to weigh, and how many, by name."""
        found: dict[str, int] = {}
        for file, count in self._remarks():
            found[file] = max(found.get(file, 0), count)
        return sorted(found.items())

    def _remarks(self) -> Iterator[tuple[str, int]]:
        yield from ((lines[0].file, lines[0].remarks) for lines in self._lines if lines[0].remarks)
        for table in self._quiet:
            counts = [kind.remarks for kind in table.kinds]
            if any(counts):
                each = zip(table.file, table.kind.tolist(), strict=True)
                yield from ((file, counts[kind]) for file, kind in each if counts[kind])

    def policies(self) -> set[str]:
        """Names of the policies that judged."""
        kinds = (one.policy for table in self._quiet for one in table.kinds)
        return {*kinds, *(lines[0].policy for lines in self._lines)}
