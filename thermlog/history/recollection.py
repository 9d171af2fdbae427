"""The past of some vehicles, read in few questions: of a large depot only what is wanted at one time."""

from __future__ import annotations

from itertools import groupby
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from thermlog.history.manykeys import in_parts
from thermlog.history.rows import walk_place
from thermlog.history.schema import tables
from thermlog.words.visits import AnswerThen, AxleVisit, Driven, Past, PastVisit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sqlalchemy import Connection, Row


class Watermark(Struct, frozen=True, kw_only=True):
    """How far a history went at one moment: what is stored later has larger numbers.

    Attributes
    ----------
    walks, checks, jobs : int
        Number of the last one; 0 where there is none.
    """

    walks: int
    checks: int
    jobs: int


def watermark_of(connection: Connection) -> Watermark:
    """How far the history goes now."""
    from sqlalchemy import func, select

    known = tables()
    last = (
        connection.execute(select(func.max(one.c.id))).scalar()
        for one in (known.walks, known.checks, known.jobs)
    )
    walks, checks, jobs = (number or 0 for number in last)
    return Watermark(walks=walks, checks=checks, jobs=jobs)


def latest_of(connection: Connection, units: Sequence[str], upto: int) -> dict[str, float]:
    """When some vehicles were last driven by what was stored up to a moment, since 1970 [s].

    Parameters
    ----------
    connection : Connection
    units : sequence of str
    upto : int
        Number of the last walk that counts.
    """
    from sqlalchemy import func, select

    walks = tables().walks
    found: dict[str, float] = {}
    for some in in_parts(units if upto else ()):
        wanted = (
            select(walks.c.unit, func.max(walks.c.taken_s))
            .where(walks.c.unit.in_(some), walks.c.id <= upto, walks.c.taken_s.is_not(None))
            .group_by(walks.c.unit)
        )
        found |= {row[0]: row[1] for row in connection.execute(wanted)}
    return found


def past_of(connection: Connection, units: Sequence[str], upto: Watermark, logs: Sequence[str] = ()) -> Past:
    """Earlier visits of some vehicles, those before a change of parts left out.

    Parameters
    ----------
    connection : Connection
    units : sequence of str
        Keys of the vehicles.
    upto : Watermark
        What was stored later does not count.
    logs : sequence of str
        Logs of them that may not be stored yet; whether parts were changed after them is asked, too.

    Returns
    -------
    Past
        Of the axles only what is remembered of them.
    """
    repaired = _repaired_of(connection, logs, upto)
    found: dict[str, tuple[PastVisit, ...]] = {}
    stops: dict[str, tuple[PastVisit, ...]] = {}
    mended: dict[str, tuple[float, int]] = {}
    for some in in_parts(units if upto.checks else ()):
        repaired |= _repaired(connection, some, upto)
        seen = sorted(_seen(connection, some, upto), key=lambda one: (one.unit, one.visit.when))
        for unit, mine in groupby(seen, key=attrgetter("unit")):
            every = list(mine)
            changed = [k for k, one in enumerate(every) if one.visit.log_sha256 in repaired]
            if changed:
                mended[unit] = every[changed[-1]].visit.when
            since = every[changed[-1] + 1 if changed else 0 :]
            found[unit] = tuple(one.visit for one in since if one.braked)
            stops[unit] = tuple(one.visit for one in since if one.stopped)
    return Past(units=found, stops=stops, repaired=frozenset(repaired), mended=mended)


def _repaired_of(connection: Connection, logs: Sequence[str], upto: Watermark) -> set[str]:
    """Those of some logs after which parts were changed."""
    from sqlalchemy import select

    jobs, found = tables().jobs, set[str]()
    for some in in_parts(logs if upto.jobs else ()):
        wanted = select(jobs.c.log_sha256).where(
            jobs.c.id <= upto.jobs, jobs.c.parts != 0, jobs.c.log_sha256.in_(some)
        )
        found.update(connection.execute(wanted).scalars())
    return found


def _repaired(connection: Connection, units: Sequence[str], upto: Watermark) -> set[str]:
    """Logs of these vehicles after which parts were changed; a job may know its vehicle by another name."""
    from sqlalchemy import select

    jobs, walks = tables().jobs, tables().walks
    logs = select(walks.c.log_sha256).where(walks.c.unit.in_(units))
    wanted = select(jobs.c.log_sha256).where(
        jobs.c.id <= upto.jobs, jobs.c.parts != 0, jobs.c.log_sha256.in_(logs)
    )
    return set(connection.execute(wanted).scalars())


def _seen(connection: Connection, units: Sequence[str], upto: Watermark) -> Iterator[Driven]:
    """Visits of some vehicles by the last check of each walk, in the order of the walks."""
    from sqlalchemy import select

    walks, checks, axles = tables().walks, tables().checks, tables().axles
    columns = (
        *(walks.c[name] for name in ("unit", "log_sha256", "drive", "taken_s", "stored_s")),
        checks.c.walk_id,
        checks.c.id.label("check_id"),
        checks.c.urgent,
        checks.c.idle,
        checks.c.idle_corners,
        *(axles.c[name] for name in ("axle", "left_k", "right_k", "left_variance_k2", "right_variance_k2")),
        axles.c.of_metal,
    )
    wanted = (
        select(*columns)
        .join(checks, checks.c.walk_id == walks.c.id)
        .join(axles, axles.c.check_id == checks.c.id, isouter=True)
        .where(walks.c.unit.in_(units), checks.c.id <= upto.checks)
        .order_by(checks.c.walk_id, checks.c.id, axles.c.axle)
    )
    for _, checked in groupby(connection.execute(wanted), key=attrgetter("walk_id")):
        *_, last = (list(rows) for _, rows in groupby(checked, key=attrgetter("check_id")))
        yield _seen_of(last)


def _seen_of(rows: Sequence[Row[Any]]) -> Driven:
    """A visit from its rows, one an axle."""
    walk = rows[0]
    axles = tuple(
        AxleVisit(
            axle=row.axle,
            rise_k=(row.left_k, row.right_k),
            variance_k2=(row.left_variance_k2, row.right_variance_k2),
            of_metal=bool(row.of_metal),
        )
        for row in rows
        if row.axle is not None
    )
    return Driven(
        unit=walk.unit,
        visit=PastVisit(
            when=walk_place(walk.walk_id, walk.taken_s, walk.stored_s),
            log_sha256=walk.log_sha256,
            axles=axles,
            urgent=tuple(walk.urgent.split()),
            idle=AnswerThen(answer=walk.idle, corners=tuple(walk.idle_corners.split())),
        ),
        braked=walk.drive != "coast",
    )
