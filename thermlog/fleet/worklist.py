"""Everything a list of work says, in one typed record: text, tables, JSON and page are made from it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.fleet.drives import Drives
from thermlog.fleet.unitwork import UnitWork, units_of
from thermlog.fleet.workrow import GROUPS, WorkGroup

if TYPE_CHECKING:
    from thermlog.advice.errand import Errand
    from thermlog.fleet.drives import WorkDrive
    from thermlog.fleet.fleetlist import Duplicate, FleetList, LearnedSkins
    from thermlog.reading.depotfile import Depot
    from thermlog.reading.files.paths import PassedFiles
    from thermlog.reading.read import Unreadable


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
    units : int
        Units that ask for it on the drive that is told: work is done once for all drives of a unit.
    unit_minutes : float
        Of all these units together [min].
    tools : tuple of str
        What has to be at hand.
    """

    id: str
    name: str
    drives: int
    minutes: float
    units: int
    unit_minutes: float
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
    unit_groups : dict of str to int
        Units in each, by the most pressing of their drives.
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
    unit_groups: dict[WorkGroup, int]
    passed_over: int
    sheets: int = 0


class WorkList(Struct, frozen=True, kw_only=True):
    """A whole list.

    Attributes
    ----------
    drives : Drives
        By rank.
    units : tuple of UnitWork
        Units on which something is to be done, by rank.
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
    units: tuple[UnitWork, ...]
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
    units = units_of(drives)
    named = {unit for unit, _ in drives.names()}
    return WorkList(
        drives=drives,
        units=units,
        tally=_tally(kept, drives, units, passed),
        actions=_actions(drives.beside_quiet(), units),
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
    kept: FleetList, drives: Drives, units: Sequence[UnitWork], passed: Sequence[PassedFiles]
) -> WorkTally:
    told = [drive.group for drive in drives.beside_quiet() if drive.group != "nothing"]
    every_unit = max(drives.unit_ranks, default=0)
    return WorkTally(
        files=kept.files,
        read=kept.read,
        unreadable=kept.unread,
        copies=len(kept.duplicates),
        logs=kept.read - len(kept.duplicates),
        drives=len(drives),
        units=every_unit,
        groups=_counts(told, of=len(drives)),
        unit_groups=_counts([unit.group for unit in units], of=every_unit),
        passed_over=sum(one.files for one in passed),
        sheets=kept.sheets,
    )


def _counts(groups: Sequence[WorkGroup], *, of: int) -> dict[WorkGroup, int]:
    """How many of each group; nothing was found on the others."""
    return {group: groups.count(group) for group in GROUPS} | {"nothing": of - len(groups)}


def _actions(drives: Sequence[WorkDrive], units: Sequence[UnitWork]) -> tuple[ActionTotal, ...]:
    asked = [drive.first.errand for drive in drives if drive.first.errand is not None]
    once = [unit.lead.first.errand for unit in units if unit.lead.first.errand is not None]
    totals = [_total(one, asked, once) for one in {errand.id: errand for errand in asked}.values()]
    return tuple(sorted(totals, key=lambda one: (-one.minutes, one.name)))


def _total(errand: Errand, asked: Sequence[Errand], once: Sequence[Errand]) -> ActionTotal:
    drives, units = ([one.minutes for one in some if one.id == errand.id] for some in (asked, once))
    return ActionTotal(
        id=errand.id,
        name=errand.name,
        drives=len(drives),
        minutes=sum(drives),
        units=len(units),
        unit_minutes=sum(units),
        tools=errand.tools,
    )


def _strangers(drives: Drives, depot: Depot | None) -> tuple[str, ...]:
    """Logs that name no unit of the depot, each with the vehicle that it does name."""
    if depot is None:
        return ()
    strange = [(unit, file) for unit, file in drives.names() if depot.named(unit) is None]
    return tuple(sorted({file if unit == file else f"{file} ({unit})" for unit, file in strange}))
