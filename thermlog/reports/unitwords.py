"""What a list of work says of several drives of one unit, below the one that is told in full."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.summary import row_headline, row_place
from thermlog.reports.wording import Show
from thermlog.reports.workwords import GROUPS_SHORT, which_drive
from thermlog.words.sentences import counted

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from thermlog.fleet.unitwork import UnitWork
    from thermlog.fleet.workrow import FleetRow

_MOST_LOGS = 4  # that are named beside the one that is told
_LONGEST = 60  # letters of what a log says was mended
_DAY = len("2026-01-05")


def unit_lines(unit: UnitWork, show: Show) -> list[tuple[str, str]]:
    """Label and text of each line: how many drives are how, the newest, what was mended, other places."""
    elsewhere = _elsewhere(unit, show)
    return [
        ("all", all_words(unit)),
        ("new", _newest_words(unit, show)),
        ("mend", _mended_words(unit)),
        *(("also", text) for text in elsewhere),
        ("logs", others_words(unit, named=elsewhere.values())),
    ]


def all_words(unit: UnitWork) -> str:
    """How many drives there are of each group, and from when to when; how many of the newest are quiet."""
    told = [
        f"{len(some)} {words}{_between([one.first for one in some]) if group != 'nothing' else ''}"
        for group, words in GROUPS_SHORT.items()
        if (some := unit.of(group))
    ]
    quiet = len(unit.quiet_since())
    newest = "" if not quiet else " (the newest)" if quiet == 1 else f" (the newest {quiet} among them)"
    undated = "" if unit.in_time else "; not every log states a date: which is the newest is not known"
    return f"{counted(len(unit.drives), 'drive')}: {', '.join(told)}{newest}{undated}"


def others_words(unit: UnitWork, named: Iterable[str] = ()) -> str:
    """Logs of its other drives that ask for something, the newest first: two vehicles may have one name.

    `named` are logs that are named already.
    """
    told = [*named, unit.lead.first.file, *([unit.newest.first.file] if unit.newest else [])]
    drives = [*reversed(unit.in_time)] or unit.drives
    files = dict.fromkeys(drive.first.file for drive in drives if drive.group != "nothing")
    others = [file for file in files if file not in told]
    more = len(others) - _MOST_LOGS
    left = f", and {more} more that --look-up names" if more > 0 else ""
    return f"{', '.join(others[:_MOST_LOGS])}{left}"


def _between(rows: Sequence[FleetRow]) -> str:
    """First and last day of some drives; empty where a log states none."""
    days = [(row.taken or "")[:_DAY] for row in rows]
    if not all(days) or any(day.startswith("T") for day in days):
        return ""
    first, last = min(days), max(days)
    return f" ({first})" if first == last else f" ({first} to {last})"


def _newest_words(unit: UnitWork, show: Show) -> str:
    """The newest drive, where it is not the one that is told."""
    newest = unit.newest
    if newest is None or newest.rank == unit.lead.rank:
        return ""
    headline = row_headline(newest.first, show=show, signed=False)
    clears = ", which clears nothing" if newest.group == "nothing" else ""
    return f"{', '.join((*which_drive(newest.first), headline))}{clears}; {newest.first.file}"


def _mended_words(unit: UnitWork) -> str:
    """The last thing that a log says was mended before its drive."""
    for drive in reversed(unit.in_time):
        if drive.first.repair is not None:
            when = ", ".join(which_drive(drive.first))
            return f'stated before the drive of {when}: "{drive.first.repair[:_LONGEST]}"'
    return ""


def _elsewhere(unit: UnitWork, show: Show) -> dict[str, str]:
    """What was found at other places than on the drive that is told, with the log of the newest of each."""
    said_of: dict[str, str] = {}
    told = [_where(row) for row in unit.lead.lines]
    found: dict[str, dict[tuple[str, str, str | None], FleetRow]] = {}
    for drive in unit.in_time or unit.drives:
        for row in drive.lines if drive.group in {"urgent", "called", "watch"} else ():
            if not any(_is_within(_where(row), one) for one in told):
                said = row_place(row) if row.stops else row_headline(row, show=show, signed=False)
                found.setdefault(said, {}).setdefault(row.visit, row)
    for rows in map(list, map(dict.values, found.values())):
        if unit.newest is not None and len(rows) == 1 and rows[0] is unit.newest.first:
            continue  # said of the newest drive
        headline = row_headline(rows[-1], show=show, signed=False)
        said_of[f"{headline}; on {counted(len(rows), 'drive')}{_between(rows)}, {rows[-1].file}"] = rows[
            -1
        ].file
    return said_of


def _where(row: FleetRow) -> tuple[frozenset[str], bool]:
    """Corners that a line is about, and whether one of them may be without braking."""
    suspect = row.finding.suspect
    corners = {
        *row.members,
        *([suspect] if suspect else []),
        *(one.corner for one in row.urgent if one.corner),
    }
    return frozenset(corners), row.finding.verdict == "cold" or bool(row.idles)


def _is_within(one: tuple[frozenset[str], bool], other: tuple[frozenset[str], bool]) -> bool:
    return one[0] <= other[0] and one[1] == other[1]
