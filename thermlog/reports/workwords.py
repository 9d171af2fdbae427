"""Words of a list of work, the same in text, table and page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.summary import first_page_of, page_of
from thermlog.reports.surewords import sure_words
from thermlog.reports.wording import (
    Show,
    corners_in_words,
    degrees,
    difference,
    difference_with_range,
    temperature,
)
from thermlog.words.moments import moment_shown
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.sentences import capital, corners_said, counted, on_page
from thermlog.words.vehicle import HUB_SPOT, axle_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.advice.errand import Errand
    from thermlog.fleet.again import Again, By, Load, When
    from thermlog.fleet.drives import WorkDrive
    from thermlog.fleet.fleetlist import LearnedSkins
    from thermlog.fleet.worklist import ActionTotal, WorkList, WorkTally
    from thermlog.fleet.workrow import FleetRow, WorkGroup
    from thermlog.reading.read import Unreadable
    from thermlog.words.noted import Unweighed

CAUTION = (
    "A screening result, not an inspection: hands-on checks and the judgement of a qualified person decide."
)
_LONGEST = 60  # letters of a remark
NAMING_EVERY_BRAKE: frozenset[ReasonCode] = frozenset({"nothing_braked"})  # of what cannot be told
REMARKS = "REMARKS TO BE WEIGHED BY A PERSON; check names them with line and wheel"
NOTHING = "Nothing urgent, no brake that drags or does nothing, none to watch."
GROUP_TITLES: dict[WorkGroup, str] = {
    "urgent": "STOP: not driven, nobody works at a wheel",
    "called": "CHECK: a brake drags or does not work",
    "watch": "WATCH: near the marks, not enough to call",
    "again": "DRIVE OR READ AGAIN: could not be told, nothing is cleared",
    "nothing": "NOTHING FOUND: not a clearance, nothing stood out on this drive",
}
GROUPS_SHORT: dict[WorkGroup, str] = {
    "urgent": "to stop", "called": "to check", "watch": "to watch",
    "again": "to drive or read again", "nothing": "with nothing found",
}  # fmt: skip
_BY: dict[By, str] = {
    "log": "Mend the log, no drive", "gun": "Read again, no drive", "drive": "Drive again",
    "hands": "By hand, no drive",
}  # fmt: skip
WHEN: dict[When, str] = {"any_time": "at any time", "tonight": "tonight", "once_cold": "once it has cooled"}
LOAD: dict[Load, str] = {"loaded": "loaded", "as_it_is": "loaded or not, as it runs"}


def again_words() -> dict[By, str]:
    """What supplies what is missing, in the order of the list."""
    return _BY


def tally_lines(work: WorkList) -> list[str]:
    """How many of what: drives by group, then files; each sum adds up."""
    tally = work.tally
    groups = ", ".join(f"{count} {GROUPS_SHORT[group]}" for group, count in tally.groups.items() if count)
    drives = f"{counted(tally.drives, 'drive')} of {counted(tally.units, 'unit')} judged"
    minutes = sum(one.unit_minutes for one in work.actions)
    first = [f"first things to do: about {hours_words(minutes)}"] if minutes else []
    files = f"{counted(tally.files, 'file')}: {counted(tally.logs, 'log')} judged"
    files += f", {tally.copies} of the same content as another, {tally.unreadable} not read"
    if tally.sheets:
        files += f"; {counted(tally.sheets, 'sheet')} of them not read"
    if tally.passed_over:
        files += f"; {tally.passed_over} more passed over, no logs by their ending"
    stops = len({one.file for one in work.stopped_unread})
    unread = "not read, or not wholly" if tally.sheets else "not read"
    by_words = f"to stop all the same, by what {'it says' if stops == 1 else 'they say'}"
    stopped = [f"{counted(stops, 'file')} {unread}: {by_words}"] if stops else []
    return [f"{drives}: {groups}" if groups else drives, *_units_line(tally), files, *stopped, *first]


def _units_line(tally: WorkTally) -> list[str]:
    """How many units by the most pressing of their drives, where there is more than a drive of each."""
    if tally.units == tally.drives:
        return []
    counts = ", ".join(
        f"{count} {GROUPS_SHORT[group]}" for group, count in tally.unit_groups.items() if count
    )
    return [f"{counted(tally.units, 'unit')}, each by the most pressing of its drives: {counts}"]


def hours_words(minutes: float) -> str:
    """A sum of minutes, in hours from two hours on.

    Examples
    --------
    >>> hours_words(45.0), hours_words(347.0)
    ('45 min', '5.8 h')
    """
    return f"{minutes:.0f} min" if minutes < 120.0 else f"{minutes / 60.0:.1f} h"


def skins_words(skins: LearnedSkins) -> str:
    """What a fleet taught about the surfaces of its vehicles, and how to do without."""
    return (
        f"surfaces: learned from {skins.logs} of these logs: {100.0 * skins.even_share:.0f} % of vehicles "
        "have brakes that look alike; a log checked alone may be answered otherwise, and as here with "
        f"--skins-alike {skins.even_share:g}; --skins assumed turns this off"
    )


def hottest_words(row: FleetRow, show: Show) -> str:
    """The hottest reading of the place of a line, with its unit; empty if nothing was read there."""
    if row.hottest is None:
        return ""
    if row.hottest.degc is None:
        return "above the gun's range"
    return f"{temperature(row.hottest.degc, show)} {degrees(show)}"


def difference_words(row: FleetRow, show: Show) -> str:
    """Left minus right with its range and unit; empty where sides could not be compared."""
    gap = row.finding.difference_k
    return "" if gap is None else f"{difference_with_range(gap, show)} {degrees(show)}"


def probability_words(row: FleetRow) -> str:
    """How sure it is what the line is about, in words; empty where it is about something else."""
    if row.stops or row.p is None or row.part is not None or _of_hub(row):
        return ""
    reasons = sorted(row.finding.reasons, key=lambda one: "difference_k" not in one.numbers)
    return sure_words(row.p, reasons, called=row.finding.verdict in {"hot", "cold"}, told=True)


def _of_hub(row: FleetRow) -> bool:
    return row.hottest is not None and row.hottest.spot == HUB_SPOT


def measured_words(row: FleetRow, show: Show) -> str:
    """Hottest reading, difference and doubt of a line."""
    gap = difference_words(row, show)
    named = row.finding.axle and row.finding.suspect is None
    axle = f" ({axle_words(row.finding.axle, row.axle_count)})" if named else ""
    parts = {"hottest": hottest_words(row, show), f"left - right{axle}": gap and gap + _mark_words(row, show)}
    told = [f"{name} {text}" for name, text in parts.items() if text]
    return "; ".join(filter(None, [*told, probability_words(row)]))


def _mark_words(row: FleetRow, show: Show) -> str:
    """From which difference on the gap of a line passes its marks, where it is watched."""
    if row.finding.marks_k is None or row.finding.verdict != "watch":
        return ""
    return f", its mark {difference(row.finding.marks_k[0], show)} {degrees(show)}"


def also_words(row: FleetRow, show: Show) -> str:
    """What was measured at the place of a line below the first of its drive, and where in the file."""
    line = None if row.hottest is None else row.hottest.line
    return "; ".join(filter(None, [measured_words(row, show), "" if line is None else f"line {line}"]))


def evidence_words(row: FleetRow) -> str:
    """File and line of the hottest reading of the place."""
    line = row.hottest.line if row.hottest is not None else None
    return row.file if line is None else f"{row.file}, line {line}"


def which_drive(row: FleetRow) -> tuple[str, ...]:
    """What tells a drive from others of its vehicle: its kind where it is not the usual, and its moment."""
    kind = "" if row.drive in {None, "normal"} else str(row.drive)
    return tuple(filter(None, (kind, moment_shown(row.taken))))


def tools_words(errand: Errand) -> str:
    """What has to be at hand, behind the minutes; empty if nothing."""
    return f"; {', '.join(errand.tools)}" if errand.tools else ""


def general_words(drive: WorkDrive, show: Show) -> str:
    """What to do about what is missing, without the wheels and numbers of one vehicle."""
    row = drive.first
    page = page_of(row, show)
    if row.decides is None:
        return "" if row.errand is None else str(on_page(row.errand.question, page))
    return str(on_page(reason_sentence(Reason(code=row.decides.code)), page))


def unread_words(unreadable: Sequence[Unreadable]) -> list[str]:
    """What is wrong with files that were not read; one line for those of which the same is."""
    alike: dict[str, list[Unreadable]] = {}
    for one in unreadable:
        alike.setdefault(one.problem, []).append(one)
    lines = []
    for problem, some in alike.items():
        names = ", ".join(one.file for one in some)
        lines.append(some[0].reason if len(some) == 1 else f"{len(some)} files alike, {names}: {problem}")
    return lines


def remark_words(work: WorkList) -> list[str]:
    """Files with remarks for a person to weigh, how many, and the first about a wheel or a brake."""
    quoted = work.drives.of_brakes()
    return [
        (file if count == 1 else f"{file} ({counted(count, 'remark')})") + _first_of(quoted.get(file, ()))
        for file, count in work.drives.remarked()
    ]


def _first_of(remarks: Sequence[Unweighed]) -> str:
    if not remarks:
        return ""
    first = remarks[0]
    return f': line {first.line}{f", {first.corner}" if first.corner else ""}: "{first.text[:_LONGEST]}"'


def when_words(drive: WorkDrive, show: Show) -> str:
    """What is missing, how and when it can be supplied, and where."""
    again, row = drive.again, drive.first
    if again is None:
        return ""
    missing, place = missing_words(drive, show), lacking_place(again, row)
    beside = f" ({place})" if place and not names_lacking_place(drive) else ""
    where = f"{missing}{beside}" if missing else place
    return "; ".join(filter(None, (where, supply_words(again))))


def supply_words(again: Again) -> str:
    """The drive to make, if one is, and when."""
    if again.by != "drive" or again.load is None:
        return WHEN[again.when]
    many = "" if again.stops is None else f"{again.stops:.0f} stops"
    fast = "" if again.from_kmh is None else f"from {again.from_kmh:.0f} km/h"
    stops = " ".join(filter(None, (many, fast)))
    return f"drive {WHEN[again.when]}: {', '.join(filter(None, (stops, LOAD[again.load])))}"


def missing_words(drive: WorkDrive, show: Show) -> str:
    """What is missing, in the figures that are there, else the reason in words."""
    again, row = drive.again, drive.first
    if again is not None and _lacks_heat(again):
        figures = (again.have_k, again.needed_k, again.missing_k)
        have, needed, missing = (difference(one, show) for one in figures)
        if have == needed:
            return f"just under {needed} {degrees(show)} above the air, where {needed} are needed"
        return f"{missing} of {needed} {degrees(show)} above the air missing, there were {have}"
    page = first_page_of(row, show)
    return str(on_page(reason_sentence(row.cannot_tell[0]), page)) if row.cannot_tell else ""


def _lacks_heat(again: Again) -> bool:
    return again.missing_k is not None and again.missing_k > 0.0


def names_lacking_place(drive: WorkDrive) -> bool:
    """True where what is missing is told by a reason that names where it is."""
    again, row = drive.again, drive.first
    if again is None or _lacks_heat(again) or not row.cannot_tell:
        return False
    reason = row.cannot_tell[0]
    if _lacks_everywhere(again, row):
        return reason.code in NAMING_EVERY_BRAKE
    return corners_said(reason_sentence(reason)).issuperset(again.corners)


def _lacks_everywhere(again: Again, row: FleetRow) -> bool:
    return len(again.corners) == 2 * row.axle_count


def lacking_place(again: Again, row: FleetRow) -> str:
    """Where something is missing, in words; empty for the whole vehicle."""
    if _lacks_everywhere(again, row):
        return "every brake"
    return corners_in_words(again.corners, row.axle_count, row.called) if again.corners else ""


def total_lines(work: WorkList) -> list[str]:
    """Every action with the units that ask for it and how long it takes, the longest first."""
    asked = [one for one in work.actions if one.units]
    return [_total_words(one) for one in sorted(asked, key=lambda one: (-one.unit_minutes, one.name))]


def _total_words(total: ActionTotal) -> str:
    tools = f" ({', '.join(total.tools)})" if total.tools else ""
    return f"{counted(total.units, 'unit')}, {hours_words(total.unit_minutes)}: {capital(total.name)}{tools}"
