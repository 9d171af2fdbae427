"""Everything a list of work says, in one typed record: text, tables, JSON and page are made from it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.fleet.again import Again, again_of
from thermlog.fleet.workrow import GROUPS, WorkGroup

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from thermlog.fleet.fleetlist import Duplicate, FleetList, LearnedSkins
    from thermlog.fleet.workrow import FleetRow
    from thermlog.reading.depotfile import Depot
    from thermlog.reading.paths import PassedFiles
    from thermlog.reading.read import Unreadable


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


class WorkList(Struct, frozen=True, kw_only=True):
    """A whole list.

    Attributes
    ----------
    drives : tuple of WorkDrive
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

    drives: tuple[WorkDrive, ...]
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

    def of(self, group: WorkGroup) -> list[WorkDrive]:
        """Drives of one group, by rank."""
        return [drive for drive in self.drives if drive.group == group]


def work_list(kept: FleetList, *, passed: Sequence[PassedFiles] = (), depot: Depot | None = None) -> WorkList:
    """The list of everything that was kept.

    Parameters
    ----------
    kept : FleetList
    passed : sequence of PassedFiles
    depot : Depot, optional
    """
    drives = tuple(
        WorkDrive(rank=rank, group=lines[0].group, lines=tuple(lines), again=again_of(lines[0]))
        for rank, lines in enumerate(kept.ranked(), start=1)
    )
    units = {drive.first.unit for drive in drives}
    return WorkList(
        drives=drives,
        tally=_tally(kept, drives, units, passed),
        actions=_actions(drives),
        unreadable=tuple(sorted(kept.unreadable, key=lambda one: one.file)),
        duplicates=tuple(kept.duplicates),
        passed_over=tuple(passed),
        skins=kept.skins,
        depot=None if depot is None else depot.file,
        strangers=_strangers(drives, depot),
        unseen=() if depot is None else tuple(unit.id for unit in depot.units if unit.id not in units),
        policies=tuple(sorted({drive.first.policy for drive in drives})),
    )


def _tally(
    kept: FleetList, drives: Sequence[WorkDrive], units: Collection[str], passed: Sequence[PassedFiles]
) -> WorkTally:
    return WorkTally(
        files=kept.files,
        read=kept.read,
        unreadable=len(kept.unreadable),
        copies=len(kept.duplicates),
        logs=kept.read - len(kept.duplicates),
        drives=len(drives),
        units=len(units),
        groups={group: sum(drive.group == group for drive in drives) for group in GROUPS},
        passed_over=sum(one.files for one in passed),
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


def _strangers(drives: Sequence[WorkDrive], depot: Depot | None) -> tuple[str, ...]:
    """Logs that name no unit of the depot, each with the vehicle that it does name."""
    if depot is None:
        return ()
    rows = (drive.first for drive in drives if depot.named(drive.first.unit) is None)
    names = {row.file if row.unit == row.file else f"{row.file} ({row.unit})" for row in rows}
    return tuple(sorted(names))
