"""The history itself: opened, written to in whole transactions, read from."""

from __future__ import annotations

import gc
import time
from contextlib import contextmanager
from itertools import groupby
from typing import TYPE_CHECKING, Any

from thermlog.history.address import engine_of
from thermlog.history.filing import Dealt, dealt_with
from thermlog.history.jobs import KeptJob, job_row, kept_job
from thermlog.history.manykeys import in_parts
from thermlog.history.recollection import Watermark, past_of, watermark_of
from thermlog.history.rows import WALK_COLUMNS, KeptVisit, axle_of, part_of, readings_of, visit_of, walk_key
from thermlog.history.schema import NEWEST, bring_up_to_date, one_writer, tables
from thermlog.history.storing import Added, store_visits
from thermlog.pipeline.settings import WAIT_S, WAIT_VARIABLE
from thermlog.words.errors import HistoryError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from sqlalchemy import Connection, Select, Table
    from sqlalchemy.exc import DBAPIError

    from thermlog.fleet.defects import Defect
    from thermlog.followup.jobrecord import JobRecord
    from thermlog.words.tables import Readings
    from thermlog.words.visits import Past, Visit

_TRIES = 5  # where another process stored the same check at the same moment


def free_circles() -> None:
    """Free what a database's client leaves in circles, of what was made since the last time.

    Commands run without the collector, for their own records hold none.
    """
    gc.collect(0)


class History:
    """One history, open.

    Parameters
    ----------
    address : str
        As `address.engine_of` takes it.
    make : bool
        True if a file that is not there is to be made.
    wait_s : float
        How long to wait for others that are writing [s].

    Attributes
    ----------
    address : str
    wait_s : float
    shown : str
        The address without a password.

    Raises
    ------
    HistoryError
        There is no way to it.
    """

    def __init__(self, address: str, *, make: bool = False, wait_s: float = WAIT_S) -> None:
        self.address, self.wait_s = address, wait_s
        self._engine, self.shown = engine_of(address, make=make, wait_s=wait_s)

    @classmethod
    def open(
        cls, address: str, *, make: bool = False, wait_s: float = WAIT_S, newest: int = NEWEST
    ) -> History:
        """Open a history; tables that lack are made, those of an older version are brought up to date.

        Parameters
        ----------
        address : str
            As `address.engine_of` takes it.
        make : bool
            True if a file that is not there is to be made.
        wait_s : float
            How long to wait for others that are writing [s].
        newest : int
            Version to bring it to.

        Raises
        ------
        HistoryError
            It cannot be reached, belongs to something else, or to a later version.
        """
        history = cls(address, make=make, wait_s=wait_s)
        with history._connected(writing=True) as connection:
            bring_up_to_date(connection, history.shown, newest)
        return history

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    @contextmanager
    def _connected(self, *, writing: bool = False) -> Iterator[Connection]:
        """A transaction: all of it, or nothing.

        Raises
        ------
        HistoryError
            The database cannot be reached, is locked, or refuses.
        """
        from sqlalchemy.exc import DBAPIError, IntegrityError

        try:
            with self._engine.connect().execution_options(writing=writing) as connection, connection.begin():
                yield connection
        except IntegrityError:
            raise
        except DBAPIError as fault:
            raise HistoryError(f"{self.shown}: {_trouble(fault, self.wait_s)}") from fault  # noqa: EM102 - one clause

    def add(self, visits: Sequence[Visit], began: Watermark | None = None) -> Added:
        """Store visits, each once, all of them or none.

        Parameters
        ----------
        visits : sequence of Visit
        began : Watermark, optional
            How far the history went when the command began; without it, how far it goes now.

        Returns
        -------
        Added

        Raises
        ------
        HistoryError
            Nothing of these visits was stored.
        """
        from sqlalchemy.exc import IntegrityError

        keyed = {walk_key(visit): visit for visit in visits}
        for tried in range(_TRIES):
            try:
                with self._connected(writing=True) as connection:
                    walks = None if began is None else began.walks
                    return store_visits(connection, keyed, time.time(), walks)
            except IntegrityError as fault:  # another process was faster: what it stored is there now
                if tried == _TRIES - 1:
                    msg = f"{self.shown}: others store the same checks again and again; run the command again"
                    raise HistoryError(msg) from fault
        raise AssertionError  # pragma: no cover - the loop returns or raises

    def visits(self, unit: str | None = None) -> list[KeptVisit]:
        """Checks, the last one of every walk, in the order in which the vehicles were read.

        Parameters
        ----------
        unit : str, optional
            Key of a vehicle; without it all.
        """
        from sqlalchemy import func, select

        walks, checks, axles = tables().walks, tables().checks, tables().axles
        latest = select(func.max(checks.c.id)).group_by(checks.c.walk_id)
        wanted = select(
            walks.c.id.label("walk_id"), checks.c.id.label("check_id"),
            *(walks.c[name] for name in WALK_COLUMNS),
            *(checks.c[name] for name in _SAID),
        ).join(checks, checks.c.walk_id == walks.c.id).where(checks.c.id.in_(latest))  # fmt: skip
        if unit is not None:
            wanted = wanted.where(walks.c.unit == unit)
        mine = select(checks.c.id).join(walks, checks.c.walk_id == walks.c.id).where(walks.c.unit == unit)

        def of_checks(table: Table, place: str) -> Select[Any]:
            some = (
                select(table).where(table.c.check_id.in_(latest)).order_by(table.c.check_id, table.c[place])
            )
            return some if unit is None else some.where(table.c.check_id.in_(mine))

        with self._connected() as connection:
            rows = _rows(connection, wanted)
            sides = _by_check(connection, of_checks(axles, "axle"))
            above = _by_check(connection, of_checks(tables().parts, "place"))
        found = [
            visit_of(
                row,
                [axle_of(one) for one in sides.get(row["check_id"], [])],
                [part_of(one) for one in above.get(row["check_id"], [])],
            )
            for row in rows
        ]
        return sorted(found, key=lambda visit: visit.when)

    def add_job(self, record: JobRecord) -> None:
        """Store the record of a job, or what it has become since.

        Raises
        ------
        HistoryError
            Nothing was stored.
        """
        jobs, row = tables().jobs, job_row(record)
        with self._connected(writing=True) as connection:
            one_writer(connection)
            changed = connection.execute(jobs.update().where(jobs.c.job_key == row["job_key"]), row)
            if changed.rowcount == 0:
                connection.execute(jobs.insert(), row)

    def jobs(self, unit: str | None = None) -> list[KeptJob]:
        """Jobs in the order in which they were opened, of one unit or of all."""
        from sqlalchemy import select

        jobs = tables().jobs
        wanted = select(jobs).order_by(jobs.c.opened_s, jobs.c.id)
        with self._connected() as connection:
            rows = _rows(connection, wanted if unit is None else wanted.where(jobs.c.unit == unit))
        return [kept_job(row) for row in rows]

    def watermark(self) -> Watermark:
        """How far the history goes at this moment."""
        with self._connected() as connection:
            return watermark_of(connection)

    def past(self, units: Sequence[str], upto: Watermark, logs: Sequence[str] = ()) -> Past:
        """What earlier visits are worth remembering of some vehicles: drives with braking, their own parts.

        Of a vehicle whose parts were changed only what was driven after the log of that job counts.

        Parameters
        ----------
        units : sequence of str
            Keys of the vehicles.
        upto : Watermark
            What was stored later does not count.
        logs : sequence of str
            Logs of them that may not be stored yet.
        """
        with self._connected() as connection:
            return past_of(connection, units, upto, logs)

    def dealt_with(self, defects: Sequence[Defect]) -> Dealt:
        """What became of some defects: later drives of verification, and jobs."""
        with self._connected() as connection:
            return dealt_with(connection, defects)

    def readings(self, walk_ids: Sequence[int]) -> Iterator[Readings]:
        """Readings of some walks as they were read, in the order asked for."""
        from sqlalchemy import select

        walks, readings = tables().walks, tables().readings
        for some in in_parts(walk_ids):
            with self._connected() as connection:
                cases = {
                    row["id"]: row["case_json"]
                    for row in _rows(
                        connection, select(walks.c.id, walks.c.case_json).where(walks.c.id.in_(some))
                    )
                }
                ordered = select(readings).where(readings.c.walk_id.in_(some))
                rows = _rows(connection, ordered.order_by(readings.c.walk_id, readings.c.place))
            of_walk = {key: list(mine) for key, mine in groupby(rows, key=lambda row: row["walk_id"])}
            yield from (readings_of(cases[key], of_walk.get(key, [])) for key in some)


_SAID = (
    "policy_name", "drag", "idle", "heat", "p_drag", "p_idle", "p_heat", "drag_corners", "idle_corners",
    "urgent",
)  # fmt: skip


def _rows(connection: Connection, wanted: Select[Any]) -> list[Mapping[str, Any]]:
    return [dict(row) for row in connection.execute(wanted).mappings()]


def _by_check(connection: Connection, wanted: Select[Any]) -> dict[int, list[Mapping[str, Any]]]:
    """Rows of each check, in their order."""
    rows = groupby(_rows(connection, wanted), key=lambda row: row["check_id"])
    return {check: list(some) for check, some in rows}


def _trouble(fault: DBAPIError, wait_s: float) -> str:
    """What a database complains of, and what to do."""
    said = str(fault.orig).strip().splitlines()[0] if str(fault.orig).strip() else type(fault.orig).__name__
    if "locked" in said:
        return (
            f"locked: another program has been writing for more than {wait_s:g} s; nothing of this was "
            f"stored, so run the command again ({WAIT_VARIABLE} sets the patience in seconds)"
        )
    if "malformed" in said or "not a database" in said:
        return f"damaged ({said}); keep a copy of the file, then name another one"
    if "unable to open" in said:
        return (
            f"cannot be opened ({said}): no leave to write to the file or its folder; what was stored before "
            "stands, name a place that may be written to"
        )
    if "full" in said or "readonly" in said or "I/O" in said:
        return f"cannot be written ({said}); what was stored before stands, so make room and run it again"
    return f"no answer from the database ({said}); what was stored before stands, run the command again later"
