"""A depot's list of work as JSON tells it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.errand import Errand
from thermlog.fleet.again import Again, again_of
from thermlog.fleet.drives import WorkDrive
from thermlog.fleet.quietrows import QuietRows
from thermlog.fleet.worklist import ActionTotal, WorkList, WorkTally
from thermlog.fleet.workrow import FleetRow, WorkGroup
from thermlog.reports.contract.answers import ReasonObject, reason_objects
from thermlog.reports.contract.jsonnumbers import ends_of, intervals_of, six_digits_of, taken_over, value_of
from thermlog.reports.summary import row_headline, row_place
from thermlog.reports.wording import six_digits
from thermlog.words.bounds import AxleNumber, CornerName, Count
from thermlog.words.estimates import Interval
from thermlog.words.findings import Urgent, Verdict
from thermlog.words.tables import Drive
from thermlog.words.vehicle import Spot


class WorkLineObject(Struct, frozen=True, kw_only=True):
    """One line of a drive in the list: what stops the vehicle, or one odd axle, or the whole vehicle.

    Attributes
    ----------
    finding : str
        In words, with place and degrees where the vehicle stops; may change.
    place : str
        Where, in words; may change.
    axle : int or None
        From the front; null where no axle could be compared.
    corner : str or None
        The odd corner, or the one that is watched; null where either side may be odd, or both are.
    verdict : Verdict
        What is said of this axle, or of the whole vehicle; never "even" where the line stops it.
    difference_k : float or None
        Left minus right, indicated [K].
    interval_k : interval or None
        Its 95 % interval [low, high]; null if not known.
    hottest_degc : float or None
        Hottest reading of the place, of the vehicle where it is stopped for what was seen; indicated, of the
        metal where a surface was stated [°C]; null for a gun above its range.
    hottest_corner : str or None
        Where that was read.
    hottest_spot : Spot or None
        What was aimed at.
    line : int or None
        Line of the file where that reading stands.
    reasons : tuple of ReasonObject
        Why, the strongest first.
    """

    finding: str
    place: str
    axle: AxleNumber | None
    corner: CornerName | None
    verdict: Verdict
    difference_k: float | None
    interval_k: Interval | None
    hottest_degc: float | None
    hottest_corner: CornerName | None
    hottest_spot: Spot | None
    line: Count | None
    reasons: tuple[ReasonObject, ...]

    @classmethod
    def of(cls, row: FleetRow) -> WorkLineObject:
        """One line."""
        gap_k, hottest = row.finding.difference_k, row.hottest
        return cls(
            finding=row_headline(row),
            place=row_place(row),
            axle=row.finding.axle or None,
            corner=row.corner,
            verdict=row.verdict,
            difference_k=value_of(gap_k),
            interval_k=ends_of(gap_k),
            hottest_degc=six_digits(hottest.degc) if hottest else None,
            hottest_corner=hottest.corner if hottest else None,
            hottest_spot=hottest.spot if hottest else None,
            line=hottest.line if hottest else None,
            reasons=reason_objects(row.finding.reasons),
        )


class WorkDriveObject(Struct, frozen=True, kw_only=True):
    """One drive of one vehicle in the list of work.

    Attributes
    ----------
    rank : int
        1 for the most pressing of all drives.
    unit_rank : int
        1 for the most pressing of all units, by the most pressing of its drives: the same for all of them.
    group : WorkGroup
        "urgent": it stops; "called": a brake drags or does not work; "watch": near the marks; "again": it
        could not be told; "nothing": nothing was found, which is no clearance.
    unit : str
        Vehicle as stated, or as the depot calls it; else the file.
    file : str
        The log.
    drive : {"normal", "coast", "verification"} or None
        Kind of drive, as stated.
    taken : str or None
        When, as the log states it: date and time, a date, or a time of day, which begins with "T".
    repair : str or None
        What the log says was found and mended before this drive, as written.
    urgent : tuple of Urgent
        What stops it, the most dangerous first.
    lines : tuple of WorkLineObject
        What was found, the most pressing first.
    errand : Errand or None
        What to do next; null where nothing was found.
    again : Again or None
        What is missing and what supplies it; null where the drive could be told.
    """

    rank: Count
    unit_rank: Count
    group: WorkGroup
    unit: str
    file: str
    drive: Drive | None
    taken: str | None
    repair: str | None
    urgent: tuple[Urgent, ...]
    lines: tuple[WorkLineObject, ...]
    errand: Errand | None
    again: Again | None

    @classmethod
    def of(cls, one: WorkDrive) -> WorkDriveObject:
        """One drive."""
        return taken_over(
            cls,
            one.first,
            rank=one.rank,
            unit_rank=one.unit_rank,
            group=one.group,
            lines=tuple(map(WorkLineObject.of, one.lines)),
            again=one.again,
        )


def quiet_objects(
    table: QuietRows, ranks: Sequence[int], unit_ranks: Sequence[int]
) -> Iterator[WorkDriveObject]:
    """Drives of quiet lines, column by column: what lines have in common is told once for each kind.

    Parameters
    ----------
    table : QuietRows
    ranks : sequence of int
        Of its lines.
    unit_ranks : sequence of int
        Of the units of all drives of the list.
    """
    kinds = [
        WorkDriveObject.of(WorkDrive(rank=0, unit_rank=0, group=one.group, lines=(one,), again=again_of(one)))
        for one in table.kinds
    ]
    gap_k, low_k, high_k, degc = six_digits_of([*table.difference_k.tolist(), table.hottest_degc.tolist()])
    numbers = zip(gap_k, intervals_of(low_k, high_k), degc, strict=True)
    names = zip(ranks, table.unit, table.file, table.taken, table.kind.tolist(), strict=True)
    for (rank, unit, file, taken, kind), (value_k, ends_k, hottest_degc) in zip(names, numbers, strict=True):
        one = kinds[kind]
        line = replace(one.lines[0], difference_k=value_k, interval_k=ends_k, hottest_degc=hottest_degc)
        place = unit_ranks[rank - 1]
        yield replace(one, rank=rank, unit_rank=place, unit=unit, file=file, taken=taken, lines=(line,))


class WorkObject(Struct, frozen=True, kw_only=True):
    """The list of work.

    Attributes
    ----------
    drives : tuple of WorkDriveObject
        Every drive that was judged, by rank.
    tally : WorkTally
        How much of what was counted.
    actions : tuple of ActionTotal
        What is asked for first, the most minutes first; each drive counted once, and each unit once.
    strangers : tuple of str
        Logs that name no unit of the depot, each with the vehicle that it names.
    unseen : tuple of str
        Units of the depot without a log.
    """

    drives: tuple[WorkDriveObject, ...] = ()
    tally: WorkTally | None = None
    actions: tuple[ActionTotal, ...] = ()
    strangers: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()

    @classmethod
    def of(cls, work: WorkList) -> WorkObject:
        """The whole list."""
        each = {one.rank: WorkDriveObject.of(one) for one in work.drives.beside_quiet()}
        for table, ranks in work.drives.quiet_ranks():
            each.update(zip(ranks, quiet_objects(table, ranks, work.drives.unit_ranks), strict=True))
        return taken_over(cls, work, drives=tuple(each[rank + 1] for rank in range(len(each))))
