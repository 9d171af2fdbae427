"""A depot's list of work -> text: what stops a vehicle first, then what to check, watch, do again."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from thermlog.reading.depotfile import name_key
from thermlog.reading.files.paths import counted_kind
from thermlog.reports.summary import first_page_of, open_questions, row_headline
from thermlog.reports.unitwords import all_words, others_words, unit_lines
from thermlog.reports.wording import Show, printable
from thermlog.reports.workwords import (
    CAUTION,
    GROUP_TITLES,
    NOTHING,
    REMARKS,
    again_words,
    also_words,
    evidence_words,
    general_words,
    lacking_place,
    measured_words,
    missing_words,
    names_lacking_place,
    remark_words,
    skins_words,
    supply_words,
    tally_lines,
    tools_words,
    total_lines,
    unread_words,
    when_words,
    which_drive,
)
from thermlog.words.sentences import counted, on_page
from thermlog.words.unread import UNREAD_CARE, unread_said
from thermlog.words.vehicle import unit_key
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.fleet.drives import WorkDrive
    from thermlog.fleet.unitwork import UnitWork
    from thermlog.fleet.worklist import WorkList
    from thermlog.fleet.workrow import FleetRow, WorkGroup
    from thermlog.reading.read import Unreadable

USUAL_WIDTH = 100
_NARROWEST = 60


def fleet_text(work: WorkList, *, show: Show = "C", quiet: bool = False, width: int = USUAL_WIDTH) -> str:
    """Text of a whole list.

    Parameters
    ----------
    work : WorkList
    show : {"C", "F"}
        Unit on paper.
    quiet : bool
        Only the totals, what needs a look, and files that cannot be read.
    width : int
        Letters a line; names and paths are never cut.
    """
    page = _Lines(width=max(width, _NARROWEST), show=show)
    pressing: tuple[WorkGroup, ...] = ("urgent", "called", "watch")
    blocks = [page.wrapped(tally_lines(work))]
    if work.skins is not None and not quiet:
        blocks.append(page.wrapped([skins_words(work.skins)]))
    if not work.drives:
        blocks.append(["Nothing was judged."])
    elif not work.stopped_unread and not any(work.tally.groups[group] for group in pressing):
        blocks.append(page.wrapped([NOTHING]))
    blocks += [
        page.group(
            group,
            [unit for unit in work.units if unit.group == group],
            work.stopped_unread if group == "urgent" else (),
        )
        for group in pressing
    ]
    unreadable = page.listed("FILES NOT READ", unread_words(work.unreadable), count=len(work.unreadable))
    remarks = page.listed(REMARKS, remark_words(work))
    if quiet:
        return _paged([*blocks, remarks, unreadable])
    copies = [f"{one.file} = {one.same_as}" for one in work.duplicates]
    passed = [f"{counted_kind(one.files, one.kind)} (first {one.first})" for one in work.passed_over]
    blocks += [
        page.again([unit for unit in work.units if unit.group == "again"]),
        page.totals(work),
        page.nothing(work),
        remarks,
        unreadable,
        page.listed("COPIES, judged once", copies),
        page.listed("PASSED OVER, no logs by their ending", passed, count=work.tally.passed_over),
        page.listed(f"LOGS OF NO UNIT of {work.depot}", work.strangers),
        page.listed(f"UNITS WITHOUT A LOG, of {work.depot}", work.unseen),
        page.wrapped([CAUTION, f"thermlog {__version__} | policy {', '.join(work.policies) or '-'}"]),
    ]
    return _paged(blocks)


def unit_text(work: WorkList, names: Sequence[str], *, show: Show, width: int) -> str:
    """Text of some vehicles, whatever was found on them; a name that no log has is told of.

    Parameters
    ----------
    work : WorkList
    names : sequence of str
        Spaces, dashes and capitals do not count.
    show : {"C", "F"}
    width : int
    """
    page = _Lines(width=max(width, _NARROWEST), show=show)
    blocks: list[list[str]] = []
    for name in names:
        drives = [drive for drive in work.drives if name_key(drive.first.unit) == name_key(name)]
        if not drives:
            blocks.append(page.wrapped([f"{name}: no log that was judged is of this unit"]))
        blocks += [page.whole(drive, last=work.tally.drives) for drive in drives]
    return _paged([*blocks, page.wrapped([CAUTION])])


def _beside(unit: UnitWork) -> str:
    """How many drives of a unit there are, where it is not one, and of which logs."""
    if len(unit.drives) == 1:
        return ""
    others = others_words(unit)
    return "; ".join(filter(None, (all_words(unit), others and f"also {others}")))


def _paged(blocks: Sequence[Sequence[str]]) -> str:
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


class _Lines:
    """Blocks of lines of one width."""

    def __init__(self, *, width: int, show: Show) -> None:
        self.width, self.show = width, show

    def wrapped(self, lines: Sequence[str], *, first: str = "", then: str = "") -> list[str]:
        """Lines broken between words; what is longer than a line stays whole."""
        return [part for line in lines for part in self._broken(printable(line), first, then)]

    def _broken(self, line: str, first: str, then: str) -> list[str]:
        if line.strip() and len(first) + len(line) <= self.width:
            return [first + line.rstrip()]
        return wrap(
            line,
            self.width,
            initial_indent=first,
            subsequent_indent=then,
            break_long_words=False,
            break_on_hyphens=False,
        )

    def group(
        self, group: WorkGroup, units: Sequence[UnitWork], unread: Sequence[Unreadable] = ()
    ) -> list[str]:
        """One group of units with all there is to say of each, below files not read that stop a vehicle."""
        if not units and not unread:
            return []
        head = self.wrapped([f"{GROUP_TITLES[group]} ({len(units) + len(unread)})"])
        head += [line for one in unread for line in self._unread(one)]
        return [*head, *(line for unit in units for line in self._unit(unit))]

    def _unread(self, one: Unreadable) -> Iterator[str]:
        unit = printable(one.vehicle or one.file)
        yield from self.wrapped([unread_said(one.dangers)], first=f"   -  {unit}  !! ", then=" " * 6)
        yield from self._detail("care", UNREAD_CARE)
        yield from self._detail(
            "see", f"{one.file}, line {one.dangers[0].line}" if one.dangers[0].line else one.file
        )

    def _unit(self, unit: UnitWork) -> Iterator[str]:
        """The drive that is told, with what there is to say of the others."""
        beside = unit_lines(unit, self.show) if len(unit.drives) > 1 else ()
        yield from self._drive(unit.lead, place=unit.rank, beside=beside)

    def _drive(
        self, drive: WorkDrive, *, place: int, beside: Sequence[tuple[str, str]] = ()
    ) -> Iterator[str]:
        first = drive.first
        yield from self.wrapped([self._said(first)], first=f"{self._name(drive, place)}  ", then=" " * 6)
        for row in drive.lines[1:]:
            told = (row_headline(row, show=self.show), also_words(row, self.show))
            yield from self._detail("also", "; ".join(filter(None, told)))
        for label, text in beside:
            yield from self._detail(label, text)
        if open_questions(first):
            yield from self._detail("open", f"{open_questions(first)} cannot be told from this log")
        yield from self._to_do(drive)

    def _name(self, drive: WorkDrive, place: int) -> str:
        """Rank and unit, with what tells the drive from others of its vehicle."""
        return f"{place:>4}  {', '.join(map(printable, (drive.first.unit, *which_drive(drive.first))))}"

    def _said(self, row: FleetRow) -> str:
        return "; ".join(filter(None, [row_headline(row, show=self.show), measured_words(row, self.show)]))

    def _to_do(self, drive: WorkDrive) -> Iterator[str]:
        errand = drive.first.errand
        if errand is not None:
            said = self._worded(errand.question, drive)
            yield from self._detail("do", f"{said} (about {errand.minutes:.0f} min{tools_words(errand)})")
            yield from self._detail("care", self._care(drive))
        yield from self._detail("see", evidence_words(drive.first))

    def _care(self, drive: WorkDrive) -> str:
        """How to do safely what is to be done, as a check says it."""
        errand = drive.first.errand
        return "" if errand is None else self._worded(errand.safety, drive)

    def _worded(self, text: str, drive: WorkDrive) -> str:
        return str(on_page(text, first_page_of(drive.first, self.show)))

    def _detail(self, label: str, text: str) -> list[str]:
        return self.wrapped([text], first=f"      {label:<4} ", then=" " * 11) if text else []

    def whole(self, drive: WorkDrive, *, last: int) -> list[str]:
        """One drive by itself, with its place in the list."""
        head = f"{GROUP_TITLES[drive.group]}, rank {drive.rank} of {last} drives"
        place = drive.rank
        told = self._lacking(drive, place) if drive.group == "again" else self._drive(drive, place=place)
        return [*self.wrapped([head]), *told]

    def again(self, units: Sequence[UnitWork]) -> list[str]:
        """What could not be told: by what supplies it."""
        if not units:
            return []
        lines = self.wrapped([f"{GROUP_TITLES['again']} ({len(units)})"])
        for by, title in again_words().items():
            some = [one for one in units if one.lead.again is not None and one.lead.again.by == by]
            if some:
                lines.append(f"  {title} ({len(some)})")
                lines += self._alike(some)
        return lines

    def _alike(self, units: Sequence[UnitWork]) -> Iterator[str]:
        """Units that ask for the same stand together: what to do once, then what each lacks, and where."""
        asked: dict[str, list[UnitWork]] = {}
        for unit in units:
            errand = unit.lead.first.errand
            asked.setdefault("" if errand is None else errand.id, []).append(unit)
        for mine in asked.values():
            if len(mine) == 1:
                yield from self._lacking(mine[0].lead, mine[0].rank, _beside(mine[0]))
                continue
            some = [unit.lead for unit in mine]
            errand = some[0].first.errand
            minutes = sorted({one.first.errand.minutes for one in some if one.first.errand is not None})
            each = " to ".join(f"{one:.0f}" for one in minutes[:1] + minutes[1:][-1:])
            tools = "" if errand is None else tools_words(errand)
            said = f"{general_words(some[0], self.show)} (about {each} min each{tools})"
            lacks = {one.rank: missing_words(one, self.show) for one in some}
            supplied = {supply_words(one.again) for one in some if one.again is not None}
            same_lack, same_supply = len({*lacks.values()}) == 1, len(supplied) == 1
            shared = [*([lacks[some[0].rank]] if same_lack else []), *(supplied if same_supply else [])]
            yield from self.wrapped(["; ".join([said, *shared])], first="      ", then="      ")
            yield from self._detail("care", " ".join(dict.fromkeys(filter(None, map(self._care, some)))))
            for unit, one in zip(mine, some, strict=True):
                place = "" if one.again is None else lacking_place(one.again, one.first)
                supply = "" if one.again is None else supply_words(one.again)
                own = ["" if same_lack else lacks[one.rank], "" if same_supply else supply]
                named = names_lacking_place(one) and not same_lack
                parts = ["" if named else place, *own, evidence_words(one.first), _beside(unit)]
                name = f"{self._name(one, unit.rank)}: "
                yield from self.wrapped(["; ".join(filter(None, parts))], first=name, then=" " * 11)

    def _lacking(self, drive: WorkDrive, place: int, beside: str = "") -> Iterator[str]:
        said = row_headline(drive.first, show=self.show)
        yield from self.wrapped([said], first=f"{self._name(drive, place)}  ", then=" " * 6)
        yield from self._detail("lack", when_words(drive, self.show))
        yield from self._detail("all", beside)
        yield from self._to_do(drive)

    def totals(self, work: WorkList) -> list[str]:
        """What is asked for, and how often."""
        if not work.actions:
            return []
        head = "TO DO, each unit counted once, by the first thing to do"
        return [head, *self.wrapped(total_lines(work), first="  ", then="      ")]

    def nothing(self, work: WorkList) -> list[str]:
        """Units on none of whose drives anything was found, by name."""
        drives, units = work.tally.groups["nothing"], work.tally.unit_groups["nothing"]
        if not units:
            return []
        asking = {unit_key(one.first.unit) for one in work.drives.beside_quiet() if one.group != "nothing"}
        names = sorted(((unit_key(unit), unit) for unit, _ in work.drives.names()), reverse=True)
        calm = [(key, unit) for key, unit in names if key not in asking]
        shown = sorted(dict(calm).values())  # one spelling of each
        mine = f"{counted(len(calm), 'drive')} of {counted(units, 'unit')}"
        others = drives - len(calm)
        above = f"{counted(others, 'more drive')} with nothing found: of units that stand above"
        return [
            *self.wrapped([f"{GROUP_TITLES['nothing']} ({mine})"]),
            *self.wrapped(["; ".join(shown), *([above] if others else [])], first="  ", then="  "),
        ]

    def listed(self, title: str, lines: Sequence[str], *, count: int | None = None) -> list[str]:
        """A title with a count, and lines below it."""
        if not lines:
            return []
        head = f"{title} ({len(lines) if count is None else count})"
        return [*self.wrapped([head]), *self.wrapped(lines, first="  ", then="    ")]
