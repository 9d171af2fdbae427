"""The list of work of a depot as one page: sorted and searched on the spot, complete without a script."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pages.aboutvehicle import in_words
from thermlog.pages.planview import State
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, in_both, seen
from thermlog.reports.summary import open_questions, row_headline
from thermlog.reports.wording import Show
from thermlog.reports.workwords import (
    CAUTION,
    GROUP_TITLES,
    NOTHING,
    also_words,
    difference_words,
    evidence_words,
    hottest_words,
    probability_words,
    skins_words,
    tally_lines,
    total_lines,
    when_words,
    which_drive,
)
from thermlog.words.sentences import capital
from thermlog.words.unread import UNREAD_CARE, unread_said

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.fleet.drives import WorkDrive
    from thermlog.fleet.worklist import WorkList
    from thermlog.fleet.workrow import FleetRow, WorkGroup
    from thermlog.reading.read import Unreadable

_STATES: dict[WorkGroup, State] = {
    "urgent": "urgent", "called": "hot", "watch": "watch", "again": "cannot_tell", "nothing": "even",
}  # fmt: skip
_SHORT: dict[WorkGroup, str] = {
    "urgent": "Stop", "called": "Check", "watch": "Watch", "again": "Drive or read again",
    "nothing": "Nothing found",
}  # fmt: skip


class WorkRow(Struct, frozen=True, kw_only=True):
    """One drive on the page; what sorts a column beside what it shows.

    Attributes
    ----------
    rank : int
    unit, drive : str
        The vehicle; which of its drives, with its moment where the log states one.
    state : State
    finding : Dual
        In words, with degrees where it stops.
    hottest, gap, doubt : Dual, Dual, str
    hottest_k, gap_k : float
        What their columns are sorted by.
    also, lacks : tuple of Dual
        Its other lines; what is missing.
    open : str
        What could not be told of it.
    do : Dual
    minutes : float
    tools, safety, see : str, Dual, str
    """

    rank: int
    unit: str
    drive: str
    state: State
    finding: Dual
    hottest: Dual
    hottest_k: float
    gap: Dual
    gap_k: float
    doubt: str
    also: tuple[Dual, ...]
    lacks: Dual
    open: str
    do: Dual
    minutes: float
    tools: str
    safety: Dual
    see: str


class WorkSection(Struct, frozen=True, kw_only=True):
    """One group of drives; of those that stop, `count` holds logs that were not read, too."""

    id: WorkGroup
    short: str
    title: str
    state: State
    count: int
    rows: tuple[WorkRow, ...]


class FileRow(Struct, frozen=True, kw_only=True):
    """One file and what there is to say of it."""

    file: str
    said: str


class WorkPage(Struct, frozen=True, kw_only=True):
    """Everything on the page."""

    about: tuple[str, ...]
    stopped: tuple[FileRow, ...]
    stopped_care: str
    sections: tuple[WorkSection, ...]
    nothing: tuple[FileRow, ...]
    nothing_title: str
    calm: str
    totals: tuple[str, ...]
    unreadable: tuple[FileRow, ...]
    copies: tuple[FileRow, ...]
    passed: tuple[FileRow, ...]
    strangers: tuple[str, ...]
    unseen: tuple[str, ...]
    policies: str
    skins: str
    caution: str


def work_page(work: WorkList, *, show: Show = "C") -> str:
    """The list as HTML, complete in itself.

    Parameters
    ----------
    work : WorkList
    show : {"C", "F"}
        The unit that is chosen when the page is opened.
    """
    setup = PageSetup(title="List of work", styles=("worklist.css",), scripts=("worklist.js",), show=show)
    return render("worklist.html", setup, _view(work))


def _view(work: WorkList) -> WorkPage:
    groups: tuple[WorkGroup, ...] = ("urgent", "called", "watch", "again")
    pressing = sum(work.tally.groups[group] for group in ("urgent", "called", "watch"))
    pressing += len(work.stopped_unread)
    return WorkPage(
        about=tuple(map(seen, tally_lines(work))),
        stopped=tuple(
            FileRow(
                file=seen(f"{one.vehicle}, {one.file}" if one.vehicle else one.file),
                said=seen(capital(unread_said(one.dangers))),
            )
            for one in work.stopped_unread
        ),
        stopped_care=UNREAD_CARE,
        sections=tuple(
            _section(group, work.of(group), work.stopped_unread if group == "urgent" else ())
            for group in groups
        ),
        nothing=tuple(
            FileRow(
                file=seen(", ".join((drive.first.unit, *which_drive(drive.first)))),
                said=seen(drive.first.file),
            )
            for drive in work.of("nothing")
        ),
        nothing_title=GROUP_TITLES["nothing"],
        calm=NOTHING if work.drives and not pressing else "" if work.drives else "Nothing was judged.",
        totals=tuple(total_lines(work)),
        unreadable=tuple(FileRow(file=seen(one.file), said=seen(one.reason)) for one in work.unreadable),
        copies=tuple(FileRow(file=seen(one.file), said=seen(one.same_as)) for one in work.duplicates),
        passed=tuple(
            FileRow(file=f"{one.files} {seen(one.kind) or 'without ending'}", said=seen(one.first))
            for one in work.passed_over
        ),
        strangers=tuple(map(seen, work.strangers)),
        unseen=tuple(map(seen, work.unseen)),
        policies=seen(", ".join(work.policies)) or "-",
        skins="" if work.skins is None else skins_words(work.skins),
        caution=CAUTION,
    )


def _section(group: WorkGroup, drives: Sequence[WorkDrive], unread: Sequence[Unreadable]) -> WorkSection:
    return WorkSection(
        id=group,
        short=_SHORT[group],
        title=GROUP_TITLES[group],
        state=_STATES[group],
        count=len(drives) + len(unread),
        rows=tuple(map(_row, drives)),
    )


def _row(drive: WorkDrive) -> WorkRow:
    first, errand = drive.first, drive.first.errand
    gap_k = first.finding.difference_k
    hottest = first.hottest
    return WorkRow(
        rank=drive.rank,
        unit=seen(first.unit),
        drive=seen(", ".join(which_drive(first))),
        state=_STATES[drive.group] if drive.group in {"urgent", "again"} else first.finding.verdict,
        finding=_headline(first),
        hottest=in_both(lambda show: hottest_words(first, show)),
        hottest_k=-1e9 if hottest is None else 1e9 if hottest.degc is None else hottest.degc,
        gap=in_both(lambda show: difference_words(first, show)),
        gap_k=-1.0 if gap_k is None else abs(gap_k.value),
        doubt=probability_words(first),
        also=tuple(map(_also, drive.lines[1:])),
        lacks=in_both(lambda show: when_words(drive, show)),
        open=f"{open_questions(first)} cannot be told from this log" if open_questions(first) else "",
        do=in_words(first, "" if errand is None else errand.question),
        minutes=0.0 if errand is None else errand.minutes,
        tools="" if errand is None else ", ".join(errand.tools),
        safety=in_words(first, "" if errand is None else errand.safety),
        see=seen(evidence_words(first)),
    )


def _headline(row: FleetRow) -> Dual:
    return in_both(lambda show: row_headline(row, show=show, signed=False))


def _also(row: FleetRow) -> Dual:
    """A further line of a drive, with what was measured at its own place."""

    def told(show: Show) -> str:
        return "; ".join(filter(None, (row_headline(row, show=show, signed=False), also_words(row, show))))

    return in_both(told)
