"""Records of jobs as they are kept in the history: what was really found."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

import msgspec
from msgspec import Struct

from thermlog.followup.jobrecord import JobRecord
from thermlog.words.moments import moment_s
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from collections.abc import Mapping


class KeptJob(Struct, frozen=True, kw_only=True):
    """One job.

    Attributes
    ----------
    log_sha256 : str
        The log that it began with.
    unit : str or None
    opened_s : float
        When, counted from the first of January 1970 [s].
    finding : str or None
        Cause that was confirmed, or ``no_fault``; None while that is open.
    parts : bool
        True if parts were changed.
    verified : bool
        True if the last drive afterwards proved that the sides are even again, and no part was entered since.
    """

    log_sha256: str
    unit: str | None
    opened_s: float
    finding: str | None
    parts: bool
    verified: bool


def job_row(record: JobRecord) -> dict[str, Any]:
    """Row of ``jobs``; a record that grew since has the same key."""
    return {
        "job_key": hashlib.sha256(f"{record.log.sha256} {record.opened_at}".encode()).hexdigest(),
        "log_sha256": record.log.sha256,
        "unit": unit_key(record.vehicle) if record.vehicle else None,
        "opened_s": moment_s(record.opened_at) or 0.0,
        "finding": record.cause,
        "parts": int(bool(record.parts)),
        "verified": int(record.stage == "proven"),
        "record_json": msgspec.json.encode(record).decode(),
    }


def kept_job(row: Mapping[str, Any]) -> KeptJob:
    """A job from its row."""
    return KeptJob(
        parts=bool(row["parts"]),
        verified=bool(row["verified"]),
        **{name: row[name] for name in ("log_sha256", "unit", "opened_s", "finding")},
    )
