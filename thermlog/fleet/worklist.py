"""Everything a list of work says, in one typed record: text, tables, JSON and page are made from it."""

from __future__ import annotations

from array import array
from bisect import bisect
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate
from typing import TYPE_CHECKING, overload

from msgspec import Struct

from thermlog.fleet.again import Again, again_of
from thermlog.fleet.ranking import by_drive, line_place
from thermlog.fleet.workrow import GROUPS, WorkGroup
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from thermlog.fleet.fleetlist import Duplicate, FleetList, LearnedSkins
    from thermlog.fleet.quietrows import QuietRows
    from thermlog.fleet.workrow import FleetRow
    from thermlog.reading.depotfile import Depot
    from thermlog.reading.paths import PassedFiles
    from thermlog.reading.read import Unreadable
    from thermlog.words.noted import Unweighed


class WorkDrive(Struct, frozen=True, kw_only=True):
    """One drive of one vehicle in the list.

    Attributes
    ----------
    rank : int
        1 for the most pressing of all drives.
    group : WorkGroup
    lines : tuple of FleetRow
        What was found on it, the most pressing first; at least one.
    again : Again or None
        What it lacks, where it could not be told.
    """

    rank: int
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
        return WorkDrive(rank=place + 1, group=lines[0].group, lines=lines, again=again_of(lines[0]))

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

    def names(self, *, quiet: bool = False) -> Iterator[tuple[str, str]]:
        """Unit and file of every drive, or of those of one quiet line; in no order."""
        for lines in () if quiet else self._lines:
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


class ActionTotal(Struct, frozen=True, kw_only=True):
    """How often one action is asked for.

    Attributes
    ----------
    id : str
        For programs.
    name : str
        In a few words.
    drives : int
        Drives that ask for it.
    minutes : float
        Of all of them together [min].
    tools : tuple of str
        What has to be at hand.
    """

    id: str
    name: str
    drives: int
    minutes: float
    tools: tuple[str, ...]


class WorkTally(Struct, frozen=True, kw_only=True):
    """How much of what was counted; sums are exact.

    Attributes
    ----------
    files : int
        Files named: read + unreadable.
    read : int
        Files that could be read: logs + copies.
    unreadable : int
        Files and folders that could not.
    copies : int
        Files of the same content as one already judged.
    logs : int
        Files that were judged.
    drives : int
        Drives judged, of all logs; each is of one vehicle and counted in one group.
    units : int
        Vehicles by their names.
    groups : dict of str to int
        Drives in each group: urgent, called, watch, again, nothing.
    passed_over : int
        Files in folders that were not looked at.
    sheets : int
        Sheets of files that were read that were not read themselves, and say what stops a vehicle.
    """

    files: int
    read: int
    unreadable: int
    copies: int
    logs: int
    drives: int
    units: int
    groups: dict[WorkGroup, int]
    passed_over: int
    sheets: int = 0


class WorkList(Struct, frozen=True, kw_only=True):
    """A whole list.

    Attributes
    ----------
    drives : Drives
        By rank.
    tally : WorkTally
    actions : tuple of ActionTotal
        What is asked for, the most minutes first.
    unreadable : tuple of Unreadable
    duplicates : tuple of Duplicate
    passed_over : tuple of PassedFiles
    skins : LearnedSkins or None
    depot : str or None
        The depot file, if there is one.
    strangers : tuple of str
        Logs that name no unit of it, with the vehicle that they name.
    unseen : tuple of str
        Its units of which there is no log.
    policies : tuple of str
        That judged.
    """

    drives: Drives
    tally: WorkTally
    actions: tuple[ActionTotal, ...]
    unreadable: tuple[Unreadable, ...]
    duplicates: tuple[Duplicate, ...]
    passed_over: tuple[PassedFiles, ...]
    skins: LearnedSkins | None
    depot: str | None
    strangers: tuple[str, ...]
    unseen: tuple[str, ...]
    policies: tuple[str, ...]

    @property
    def stopped_unread(self) -> tuple[Unreadable, ...]:
        """Files that were not read and say what stops their vehicle."""
        return tuple(one for one in self.unreadable if one.dangers)

    def of(self, group: WorkGroup) -> list[WorkDrive]:
        """Drives of one group, by rank."""
        drives = self.drives if group == "nothing" else self.drives.beside_quiet()
        return [drive for drive in drives if drive.group == group]


def work_list(kept: FleetList, *, passed: Sequence[PassedFiles] = (), depot: Depot | None = None) -> WorkList:
    """The list of everything that was kept.

    Parameters
    ----------
    kept : FleetList
    passed : sequence of PassedFiles
    depot : Depot, optional
    """
    drives = Drives(kept.rows, kept.quiet)
    told = drives.beside_quiet()
    named = {unit for unit, _ in drives.names()}
    units = {unit_key(unit) for unit in named}
    return WorkList(
        drives=drives,
        tally=_tally(kept, (len(drives), len(units)), told, passed),
        actions=_actions(told),
        unreadable=tuple(sorted(kept.unreadable, key=lambda one: one.file)),
        duplicates=tuple(kept.duplicates),
        passed_over=tuple(passed),
        skins=kept.skins,
        depot=None if depot is None else depot.file,
        strangers=_strangers(drives, depot),
        unseen=() if depot is None else tuple(unit.id for unit in depot.units if unit.id not in named),
        policies=tuple(sorted(drives.policies())),
    )


def _tally(
    kept: FleetList, count: tuple[int, int], told: Sequence[WorkDrive], passed: Sequence[PassedFiles]
) -> WorkTally:
    drives, units = count
    groups = {group: sum(drive.group == group for drive in told) for group in GROUPS}
    return WorkTally(
        files=kept.files,
        read=kept.read,
        unreadable=kept.unread,
        copies=len(kept.duplicates),
        logs=kept.read - len(kept.duplicates),
        drives=drives,
        units=units,
        groups=groups | {"nothing": groups["nothing"] + drives - len(told)},
        passed_over=sum(one.files for one in passed),
        sheets=kept.sheets,
    )


def _actions(drives: Sequence[WorkDrive]) -> tuple[ActionTotal, ...]:
    asked = [drive.first.errand for drive in drives if drive.first.errand is not None]
    totals = [
        ActionTotal(
            id=one.id,
            name=one.name,
            drives=sum(other.id == one.id for other in asked),
            minutes=sum(other.minutes for other in asked if other.id == one.id),
            tools=one.tools,
        )
        for one in {errand.id: errand for errand in asked}.values()
    ]
    return tuple(sorted(totals, key=lambda one: (-one.minutes, one.name)))


def _strangers(drives: Drives, depot: Depot | None) -> tuple[str, ...]:
    """Logs that name no unit of the depot, each with the vehicle that it does name."""
    if depot is None:
        return ()
    strange = [(unit, file) for unit, file in drives.names() if depot.named(unit) is None]
    return tuple(sorted({file if unit == file else f"{file} ({unit})" for unit, file in strange}))
