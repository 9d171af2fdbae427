"""What a history knows of a defect: drives of verification and jobs that other commands recorded."""

from __future__ import annotations

from itertools import groupby
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from thermlog.fleet.workrow import WorkGroup, group_by_answers
from thermlog.followup.jobrecord import JobRecord, job_in
from thermlog.history.manykeys import in_parts
from thermlog.history.rows import WALK_COLUMNS, walk_place
from thermlog.history.schema import tables
from thermlog.words.moments import moment_s
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sqlalchemy import Connection, Row

    from thermlog.fleet.defects import Defect


class StoredDrive(Struct, frozen=True, kw_only=True):
    """One drive as it stands in the history.

    Attributes
    ----------
    unit : str
        Key of the vehicle.
    file, sha256 : str
        Its log.
    taken_at : str or None
        When, as the log states it.
    when : (float, int)
        Place among the drives of its vehicle.
    verification : bool
        True if it was stated as such.
    group : WorkGroup
        What was found on it.
    """

    unit: str
    file: str
    sha256: str
    taken_at: str | None
    when: tuple[float, int]
    verification: bool
    group: WorkGroup


class StoredJob(Struct, frozen=True, kw_only=True):
    """One job as it stands in the history: key of its vehicle, when it was opened [s], its record."""

    unit: str | None
    opened_s: float
    record: JobRecord


class Dealt(Struct, frozen=True, kw_only=True):
    """What became of some defects, as far as the history knows.

    Attributes
    ----------
    drives : tuple of StoredDrive
        Of verification, and those of the defects themselves; in the order driven.
    jobs : tuple of StoredJob
        In the order opened.
    """

    drives: tuple[StoredDrive, ...] = ()
    jobs: tuple[StoredJob, ...] = ()

    def verifications(self, defect: Defect) -> tuple[StoredDrive, ...]:
        """Drives of verification of its vehicle that were driven after it."""
        when = self._when(defect)
        return tuple(one for one in self._proofs(defect) if one.when > when)

    def too_early(self, defect: Defect) -> frozenset[str]:
        """Hashes of logs of verification that were driven before it, and so prove nothing of it."""
        when = self._when(defect)
        return frozenset(one.sha256 for one in self._proofs(defect) if one.when < when)

    def _proofs(self, defect: Defect) -> Iterator[StoredDrive]:
        unit = unit_key(defect.unit)
        mine = (one for one in self.drives if one.verification and one.unit == unit)
        return (one for one in mine if one.sha256 != defect.sha256)

    def jobs_of(self, defect: Defect) -> tuple[JobRecord, ...]:
        """Jobs that began with its log, and those of its vehicle that were opened after it."""
        unit, (when_s, _) = unit_key(defect.unit), self._when(defect)
        return tuple(
            one.record
            for one in self.jobs
            if one.record.log.sha256 == defect.sha256 or (one.unit == unit and one.opened_s >= when_s)
        )

    def _when(self, defect: Defect) -> tuple[float, int]:
        stored = (one.when for one in self.drives if one.sha256 == defect.sha256)
        own = next(stored, None)
        return own if own is not None else (moment_s(defect.taken) or 0.0, 0)


def dealt_with(connection: Connection, defects: Sequence[Defect]) -> Dealt:
    """What the history knows of some defects, asked in few questions.

    Parameters
    ----------
    connection : Connection
    defects : sequence of Defect
    """
    from sqlalchemy import or_

    walks, jobs = tables().walks, tables().jobs
    drives: list[StoredDrive] = []
    records: dict[int, StoredJob] = {}
    units = sorted({unit_key(one.unit) for one in defects})
    logs = sorted({one.sha256 for one in defects})
    for some in in_parts(units):
        drives += _drives(connection, walks.c.unit.in_(some) & (walks.c.drive == "verification"))
        records |= _jobs(connection, jobs.c.unit.in_(some))
    for some in in_parts(logs):
        own = walks.c.log_sha256.in_(some) & or_(walks.c.drive.is_(None), walks.c.drive != "verification")
        drives += _drives(connection, own)
        records |= _jobs(connection, jobs.c.log_sha256.in_(some))
    return Dealt(
        drives=tuple(sorted(drives, key=attrgetter("when"))),
        jobs=tuple(sorted(records.values(), key=attrgetter("opened_s"))),
    )


def _drives(connection: Connection, those: Any) -> Iterator[StoredDrive]:
    """Drives by the last check of each walk."""
    from sqlalchemy import select

    walks, checks = tables().walks, tables().checks
    said = ("walk_id", "drag", "idle", "heat", "urgent")
    wanted = (
        select(*(walks.c[name] for name in WALK_COLUMNS), *(checks.c[name] for name in said))
        .join(checks, checks.c.walk_id == walks.c.id)
        .where(those)
        .order_by(checks.c.walk_id, checks.c.id)
    )
    for _, checked in groupby(connection.execute(wanted), key=attrgetter("walk_id")):
        *_, last = checked
        yield _drive_of(last)


def _drive_of(row: Row[Any]) -> StoredDrive:
    return StoredDrive(
        unit=row.unit or "",
        file=row.file,
        sha256=row.log_sha256,
        taken_at=row.taken_at,
        when=walk_place(row.walk_id, row.taken_s, row.stored_s),
        verification=row.drive == "verification",
        group=group_by_answers({row.drag, row.idle, row.heat}, urgent=bool(row.urgent)),
    )


def _jobs(connection: Connection, those: Any) -> dict[int, StoredJob]:
    from sqlalchemy import select

    jobs = tables().jobs
    wanted = select(jobs.c.id, jobs.c.unit, jobs.c.opened_s, jobs.c.record_json).where(those)
    return {
        row.id: StoredJob(
            unit=row.unit, opened_s=row.opened_s, record=job_in(row.record_json.encode(), "history")
        )
        for row in connection.execute(wanted)
    }
