"""Visits written to the history, each once."""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.history.manykeys import in_parts
from thermlog.history.recollection import latest_of
from thermlog.history.rows import axle_rows, check_row, part_rows, reading_rows, walk_row
from thermlog.history.schema import one_writer, tables
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from thermlog.words.visits import Visit


class Added(Struct, frozen=True, kw_only=True):
    """What became of some visits.

    Attributes
    ----------
    new, known : int
        Stored now; there before.
    changed : int
        Of those there before: their answers were others, for what is known of the vehicle has become more.
    ahead : tuple of str
        Logs that say they were taken after this moment: a clock is wrong, theirs or this one.
    before : tuple of str
        Logs stored now that say they were taken before a drive of their vehicle that stood there.
    clock_behind : bool
        True if this computer's clock stands before the last thing stored.
    """

    new: int
    known: int
    changed: int = 0
    ahead: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    clock_behind: bool = False


def store_visits(
    connection: Connection, keyed: Mapping[str, Visit], now_s: float, began: int | None
) -> Added:
    """Store what is not there yet, within the transaction that is open.

    Parameters
    ----------
    connection : Connection
    keyed : mapping of str to Visit
        By `rows.walk_key`.
    now_s : float
        This moment since 1970 [s].
    began : int or None
        Number of the last walk when the command began; None: of the last one now.
    """
    from sqlalchemy import select

    walks = tables().walks
    one_writer(connection)
    newest = select(walks.c.id, walks.c.stored_s).order_by(walks.c.id.desc()).limit(1)
    last, last_s = connection.execute(newest).one_or_none() or (0, now_s)
    # a log without a date stands where it was stored: never before what was stored earlier
    stored_s = max(now_s, last_s)
    if stored_s == last_s and last == (last if began is None else began):
        stored_s += _NEXT_S  # of an earlier command: the order of both is known
    keys = list(keyed)
    there = _walk_ids(connection, keys)
    fresh = [key for key in keys if key not in there]
    before = _before(connection, [keyed[key] for key in fresh], last if began is None else began)
    if fresh:
        connection.execute(walks.insert(), [walk_row(keyed[key], key, stored_s) for key in fresh])
        there |= _walk_ids(connection, fresh)
        rows = [row for key in fresh for row in reading_rows(keyed[key].readings, there[key])]
        if rows:
            connection.execute(tables().readings.insert(), rows)
    new, changed = _checks_added(connection, keyed, there, stored_s)
    return Added(
        new=new,
        known=len(keyed) - new,
        changed=changed,
        ahead=_ahead(keyed.values()),
        before=before,
        clock_behind=stored_s - now_s > _CLOCK_BEHIND_S,
    )


def _checks_added(
    connection: Connection, keyed: Mapping[str, Visit], there: Mapping[str, int], stored_s: float
) -> tuple[int, int]:
    """Store what was said of walks that are there; how many checks are new, and how many now say else."""
    checks = tables().checks
    ids = _check_ids(connection, list(there.values()))
    wanted = {_check_key(keyed[key], there[key]): keyed[key] for key in keyed}
    new = {mark: visit for mark, visit in wanted.items() if mark not in ids}
    changed = _said_otherwise(connection, {ids[mark]: wanted[mark] for mark in wanted if mark in ids})
    walks = {number: mark[0] for mark, number in ids.items()}
    for number, visit in changed.items():
        row = check_row(visit, walks[number], stored_s)
        connection.execute(checks.update().where(checks.c.id == number), row)
        for table in (tables().axles, tables().parts):
            connection.execute(table.delete().where(table.c.check_id == number))
    told = dict(changed)
    if new:
        rows = [check_row(visit, mark[0], stored_s) for mark, visit in new.items()]
        connection.execute(checks.insert(), rows)
        ids = _check_ids(connection, [walk_id for walk_id, *_ in new])
        told |= {ids[mark]: visit for mark, visit in new.items()}
    sides = [row for number, visit in told.items() for row in axle_rows(visit.axles, number)]
    if sides:
        connection.execute(tables().axles.insert(), sides)
    parts = [row for number, visit in told.items() for row in part_rows(visit.parts_above, number)]
    if parts:
        connection.execute(tables().parts.insert(), parts)
    return len(new), len(changed)


def _said_otherwise(connection: Connection, known: Mapping[int, Visit]) -> dict[int, Visit]:
    """Visits whose answers are not those of their checks, by the number of the check."""
    from sqlalchemy import select

    checks = tables().checks
    found: dict[int, Visit] = {}
    for some in in_parts(list(known)):
        for row in connection.execute(select(checks).where(checks.c.id.in_(some))).mappings():
            said = check_row(known[row["id"]], row["walk_id"], row["stored_s"])
            if any(said[name] != row[name] for name in _SAID):
                found[row["id"]] = known[row["id"]]
    return found


def _check_key(visit: Visit, walk_id: int) -> tuple[int, str, str]:
    return walk_id, visit.settings_key, visit.policy.sha256


def _walk_ids(connection: Connection, keys: Sequence[str]) -> dict[str, int]:
    from sqlalchemy import select

    walks = tables().walks
    found: dict[str, int] = {}
    for some in in_parts(keys):
        rows = connection.execute(select(walks.c.walk_key, walks.c.id).where(walks.c.walk_key.in_(some)))
        found |= {row.walk_key: row.id for row in rows}
    return found


def _check_ids(connection: Connection, walk_ids: Sequence[int]) -> dict[tuple[int, str, str], int]:
    from sqlalchemy import select

    checks = tables().checks
    found: dict[tuple[int, str, str], int] = {}
    columns = (checks.c.walk_id, checks.c.settings_key, checks.c.policy_sha256, checks.c.id)
    for some in in_parts(walk_ids):
        for *mark, number in connection.execute(select(*columns).where(checks.c.walk_id.in_(some))):
            found[mark[0], mark[1], mark[2]] = number
    return found


def _ahead(visits: Iterable[Visit]) -> tuple[str, ...]:
    """Logs taken later than now, as they say."""
    latest = time.time() + _OFFSET_S
    moments = ((visit.case.log.file, visit.case.taken_s) for visit in visits)
    return tuple(sorted(file for file, moment in moments if moment is not None and moment > latest))


def _before(connection: Connection, fresh: Sequence[Visit], began: int) -> tuple[str, ...]:
    """Logs taken before a drive of their vehicle that was stored before the command began, as they say."""
    dated = [
        (visit.case.log.file, unit_key(visit.case.vehicle), moment)
        for visit in fresh
        if visit.case.vehicle is not None and (moment := visit.case.taken_s) is not None
    ]
    latest = latest_of(connection, sorted({unit for _, unit, _ in dated}), began)
    return tuple(sorted({file for file, unit, moment in dated if moment < latest.get(unit, moment)}))


_OFFSET_S = 86400.0  # of a clock from this one's, which logs do not state: no more than a day
_CLOCK_BEHIND_S = 86400.0  # of the last check stored: less, and nobody need be told
_NEXT_S = 1e-3  # the least step of the order in which commands stored
_SAID = ("drag", "idle", "heat", "drag_corners", "idle_corners", "urgent")
