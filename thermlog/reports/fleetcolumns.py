"""Columns of a list of work as a table; documented in docs/fleet.md, counted by `COLUMNS_VERSION`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.report_csv import Cell, CsvStyle, Told, csv_table, estimated
from thermlog.reports.summary import first_page_of, row_headline, row_place
from thermlog.reports.wording import reason_texts
from thermlog.words.sentences import on_page
from thermlog.words.unread import UNREAD_CARE, unread_said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.fleet.drives import WorkDrive
    from thermlog.fleet.worklist import WorkList
    from thermlog.fleet.workrow import FleetRow

# Goes up when a column changes its meaning, its name or its place; new ones come at the end without it.
COLUMNS_VERSION = 2
FLEET: tuple[Told[[WorkDrive, FleetRow]], ...] = (
    Told("rank", "whole", lambda drive, _: drive.rank),
    Told("group", "text", lambda drive, _: drive.group),
    Told("unit", "text", lambda _, row: row.unit),
    Told("finding", "text", lambda _, row: row_headline(row, signed=False)),
    Told("place", "text", lambda _, row: row_place(row)),
    Told("hottest_degc", "figure", lambda _, row: row.hottest.degc if row.hottest else None),
    *estimated(("difference_k", "low_k", "high_k"), lambda _, row: row.finding.difference_k),
    Told("do_next", "text", lambda _, row: _asked(row)),
    Told("minutes", "figure", lambda _, row: row.errand.minutes if row.errand else None),
    Told("tools", "text", lambda _, row: "; ".join(row.errand.tools) if row.errand else None),
    Told("file", "text", lambda _, row: row.file),
    Told("line", "whole", lambda _, row: row.hottest.line if row.hottest else None),
    Told("drive", "text", lambda _, row: row.drive),
    Told("axle", "whole", lambda _, row: row.finding.axle or None),
    Told("corner", "text", lambda _, row: row.corner),
    *estimated(("rise_ratio",), lambda _, row: row.finding.rise_ratio),
    Told("verdict", "text", lambda _, row: row.verdict),
    Told("pattern", "text", lambda _, row: row.pattern),
    Told("drag", "text", lambda _, row: row.drag),
    Told("idle", "text", lambda _, row: row.idle),
    Told("heat", "text", lambda _, row: row.heat),
    Told("p_drag", "figure", lambda _, row: row.p_drag),
    Told("p_idle", "figure", lambda _, row: row.p_idle),
    Told("p_fault", "figure", lambda _, row: row.p_fault),
    Told("urgent", "text", lambda _, row: "; ".join(dict.fromkeys(one.code for one in row.urgent))),
    Told("why", "text", lambda _, row: "; ".join(reason_texts(row.finding.reasons))),
    Told("cannot_tell", "text", lambda _, row: "; ".join(reason_texts(row.cannot_tell))),
    Told("decides", "text", lambda _, row: "; ".join(reason_texts([row.decides] if row.decides else []))),
    Told("action", "text", lambda _, row: row.errand.id if row.errand else None),
    Told("again_by", "text", lambda drive, _: drive.again.by if drive.again else None),
    Told("missing_k", "figure", lambda drive, _: drive.again.missing_k if drive.again else None),
    Told("needed_k", "figure", lambda drive, _: drive.again.needed_k if drive.again else None),
    Told("stops", "figure", lambda drive, _: drive.again.stops if drive.again else None),
    Told("from_kmh", "figure", lambda drive, _: drive.again.from_kmh if drive.again else None),
    Told("load", "text", lambda drive, _: drive.again.load if drive.again else None),
    Told("when", "text", lambda drive, _: drive.again.when if drive.again else None),
    Told("weight_class", "text", lambda _, row: row.weight_class),
    Told("policy", "text", lambda _, row: row.policy),
    Told("sha256", "text", lambda _, row: row.sha256),
    Told("columns_version", "whole", lambda *_: COLUMNS_VERSION),
    Told("taken", "text", lambda _, row: row.taken),
    Told("remarks", "whole", lambda _, row: row.remarks),
    Told("unit_rank", "whole", lambda drive, _: drive.unit_rank),
    Told("repair", "text", lambda _, row: row.repair),
)


def _asked(row: FleetRow) -> str | None:
    """What to do next, with the wheels called as `place` calls them."""
    return str(on_page(row.errand.question, first_page_of(row, None))) if row.errand else None


def fleet_csv(work: WorkList, *, style: CsvStyle = "point") -> str:
    """One row a line of the list, columns `FLEET`; files that were not read come last, copies after them."""
    return csv_table([column.name for column in FLEET], fleet_cells(work), style=style)


def fleet_cells(work: WorkList) -> Iterator[tuple[Cell, ...]]:
    """One row a line of the list, columns `FLEET`; files that were not read come last, copies after them.

    Those that say what stops their vehicle come first, as urgent, and are among the others as well.
    """
    for stopped in work.stopped_unread:
        yield _only(
            group="urgent",
            unit=stopped.vehicle or stopped.file,
            finding=unread_said(stopped.dangers),
            do_next=UNREAD_CARE,
            file=stopped.file,
            line=stopped.dangers[0].line,
            why=stopped.reason,
        )
    for drive in work.drives:
        for row in drive.lines:
            yield tuple(column.cell(drive, row) for column in FLEET)
    for refused in work.unreadable:
        yield _only(group="unreadable", file=refused.file, line=refused.line, why=refused.reason)
    for copy in work.duplicates:
        yield _only(group="copy", file=copy.file, why=f"same content as {copy.same_as}")


def _only(**known: Cell) -> tuple[Cell, ...]:
    return tuple((known | {"columns_version": COLUMNS_VERSION}).get(column.name) for column in FLEET)
