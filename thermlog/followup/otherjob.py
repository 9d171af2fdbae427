"""Whether a record is of the job at hand: of this vehicle, this log, this drive and this suspect."""

from __future__ import annotations

from collections.abc import Mapping

from thermlog.followup.jobrecord import JobRecord
from thermlog.words.errors import JobRefusedError
from thermlog.words.vehicle import unit_key

_UNLIKE = {
    "case": "of drive {} of the log, not of {}; name another file for it",
    "at": "about {}, not about {}; name another file for that",
}


def refuse_other(record: JobRecord, path: str, *, vehicle: str | None, sha256: str | None) -> None:
    """Raise where a record is of another vehicle, or began with another log.

    Parameters
    ----------
    record : JobRecord
    path : str
        Its file.
    vehicle : str or None
        Of the log at hand.
    sha256 : str or None
        Of that log, where the job must have begun with it; None: any log of the vehicle will do.

    Raises
    ------
    JobRefusedError
    """
    if record.vehicle and vehicle and unit_key(record.vehicle) != unit_key(vehicle):
        msg = f'{path}: the record of "{record.vehicle}", not of "{vehicle}"; name another file for this job'
        raise JobRefusedError(msg)
    if sha256 is not None and record.log.sha256 != sha256:
        began = f"{record.log.file} as it was then (sha256 {record.log.sha256[:12]})"
        cure = "go on with that log as it was, or name another file for a new job"
        msg = f"{path}: this job began with {began}, another log or one that has changed since; {cure}"
        raise JobRefusedError(msg)


def refuse_other_drive(record: JobRecord, path: str, stated: Mapping[str, tuple[str, ...]]) -> None:
    """Raise where a record is of another drive of its log, or of another suspect of that drive.

    Raises
    ------
    JobRefusedError
    """
    for name, unlike in _UNLIKE.items():
        before, now = record.stated.get(name), stated.get(name)
        if before is not None and now is not None and before != now:
            msg = f"{path}: this job is {unlike.format(before[0], now[0])}"
            raise JobRefusedError(msg)
