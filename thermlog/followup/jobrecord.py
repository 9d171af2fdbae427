"""The record of one job, kept in a small JSON file: readings, answers, cause found, repair, verification.

It says what was read and found; it certifies nothing. A record belongs to one vehicle and is never mixed with
another's.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import msgspec
from msgspec import Struct

from thermlog.followup.jobproof import JobStage, JobVerification, up_to_date, with_drive
from thermlog.words.errors import JobRefusedError
from thermlog.words.moments import moment_s
from thermlog.words.readingrow import ReadingRow, readings_as
from thermlog.words.shelltext import shell_file
from thermlog.words.tables import Taken
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from thermlog.advice.narrowing import Found
    from thermlog.words.findings import Diagnosis
    from thermlog.words.tables import Readings

NO_FAULT = "no_fault"  # in place of a cause: somebody looked, and nothing was wrong
WORDING = (
    "A screening record: what was read, answered and found. It certifies nothing; whether the vehicle may "
    "be used is decided by a qualified person under the local inspection code."
)


class JobLog(Struct, frozen=True, kw_only=True):
    """The log that the job began with.

    Attributes
    ----------
    file, sha256 : str
    started_at, gun : str or None
        As far as the log says so.
    """

    file: str
    sha256: str
    started_at: str | None = None
    gun: str | None = None


class JobAnswer(Struct, frozen=True, kw_only=True):
    """One check that was answered, and when."""

    check: str
    answer: str
    at: str


class JobCause(Struct, frozen=True, kw_only=True):
    """One cause as it stood when the record was written; `corners` where its place is these alone."""

    cause: str
    name: str
    place: str
    corners: tuple[str, ...] = ()
    standing: str


class JobRecord(Struct, frozen=True, kw_only=True):
    """One job.

    Attributes
    ----------
    schema : str
    tool : str
        Version of thermlog that wrote it.
    vehicle, drive : str or None
    log : JobLog
    opened_at, changed_at : str
        ISO 8601 with the offset of the place.
    stated : mapping of str to tuple of str
        What was stated about the log and how it is judged, by the option's name, as it was typed; ``case``
        is the number of the drive, where the log holds several.
    complaint, by : str or None
        What the driver says; who works on it.
    readings : tuple of ReadingRow
    findings : tuple of str
        The answers about the vehicle, as printed.
    answers : tuple of JobAnswer
    skipped : tuple of str
        Checks that could not be done.
    causes : tuple of JobCause
    cautions : tuple of str
        What an answer forbids, whatever cause is found.
    about : str or None
        Which suspect it is about, where several are called; None where there is one.
    other_jobs : tuple of str
        The other suspects, each a job and a record of its own.
    cause, parts, measured : str or None, tuples of str
        What was really found, what was fitted, what was measured.
    verifications : tuple of JobVerification
        The drives after the repair, oldest first.
    wording : str
    """

    schema: Literal["thermlog-job-2"] = "thermlog-job-2"
    tool: str = __version__
    vehicle: str | None
    drive: str | None
    log: JobLog
    opened_at: str
    changed_at: str
    stated: Mapping[str, tuple[str, ...]] = {}
    complaint: str | None = None
    by: str | None = None
    readings: tuple[ReadingRow, ...] = ()
    findings: tuple[str, ...] = ()
    answers: tuple[JobAnswer, ...] = ()
    skipped: tuple[str, ...] = ()
    causes: tuple[JobCause, ...] = ()
    cautions: tuple[str, ...] = ()
    about: str | None = None
    other_jobs: tuple[str, ...] = ()
    cause: str | None = None
    parts: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()
    verifications: tuple[JobVerification, ...] = ()
    wording: str = WORDING

    @property
    def verification(self) -> JobVerification | None:
        """The last drive after the repair: the one that counts."""
        return self.verifications[-1] if self.verifications else None

    def since_min(self) -> float:
        """Minutes since the vehicle was last driven for this job, as far as it tells: its brakes cool."""
        last = self.verification
        then_s, now_s = moment_s(self.opened_at if last is None else last.at), moment_s(now())
        return 0.0 if then_s is None or now_s is None else max(0.0, now_s - then_s) / 60.0

    @property
    def parts_since(self) -> tuple[str, ...]:
        """Parts that were entered after the last drive: no drive has shown what they do."""
        last = self.verification
        return () if last is None or last.parts is None else self.parts[len(last.parts) :]

    @property
    def stage(self) -> JobStage:
        """What is next in the job: the search, the drive that proves what was entered, or nothing."""
        last = self.verification
        if last is not None and not self.parts_since:
            return "proven" if last.even_again else "search"
        return "drive" if self.cause or self.parts else "search"


def new_record(
    told: Diagnosis,
    readings: Readings,
    findings: tuple[str, ...],
    stated: Mapping[str, tuple[str, ...]] | None,
) -> JobRecord:
    """Begin the record of a job.

    Parameters
    ----------
    told : Diagnosis
        Of the drive that the job begins with.
    readings : Readings
        Of this drive alone, as read.
    findings : tuple of str
        The answers about the vehicle, as printed.
    stated : mapping of str to tuple of str or None
        What was stated besides the log.
    """
    moment, taken = now(), told.taken
    return JobRecord(
        vehicle=told.vehicle,
        drive=told.drive,
        log=JobLog(
            file=told.log.file,
            sha256=told.log.sha256,
            started_at=taken.start if taken else None,
            gun=taken.gun if taken else None,
        ),
        opened_at=moment,
        changed_at=moment,
        stated=stated or {},
        readings=tuple(readings_as(ReadingRow, readings)),
        findings=findings,
    )


def now() -> str:
    """The moment with the offset of this place, to the second."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def job_content(path: str) -> bytes | None:
    """What stands in the file of a record; None if there is no such file yet.

    Raises
    ------
    JobRefusedError
        The file cannot be read.
    """
    try:
        return Path(path).read_bytes()
    except FileNotFoundError:
        return None
    except OSError as fault:
        msg = f"{path}: cannot be opened ({fault.strerror}); name another file for the job"
        raise JobRefusedError(msg) from fault


def job_in(content: bytes, path: str) -> JobRecord:
    """The record that the content of a file is; one of the first form is brought up to date.

    Raises
    ------
    JobRefusedError
        It is none.
    """
    try:
        fields = msgspec.json.decode(content, type=dict[str, Any])
        return msgspec.convert(up_to_date(fields), JobRecord)
    except msgspec.MsgspecError as fault:
        msg = f"{path}: no job record of thermlog ({fault}); name another file, or mend this one"
        raise JobRefusedError(msg) from fault


def known_job(path: str) -> JobRecord:
    """Record in a file that must exist.

    Raises
    ------
    JobRefusedError
        There is no such file, or it is no such record.
    """
    content = job_content(path)
    if content is None:
        msg = f"{path}: no such file; begin the record with thermlog narrow LOG --job {shell_file(path)}"
        raise JobRefusedError(msg)
    return job_in(content, path)


def with_fitted(last: Diagnosis, record: JobRecord) -> Diagnosis:
    """The drive after the repair with the parts that the record names, as if its log stated them.

    A log that says that nothing was mended is not contradicted.

    Parameters
    ----------
    last : Diagnosis
    record : JobRecord
    """
    taken = last.taken or Taken()
    if taken.unrepaired or not record.parts:
        return last
    said = (*([taken.repair] if taken.repair else []), *(f"fitted: {part}" for part in record.parts))
    return msgspec.structs.replace(last, taken=msgspec.structs.replace(taken, repair="; ".join(said)))


def verified(record: JobRecord, last: Diagnosis, outcome: str, *, even_again: bool) -> JobRecord:
    """The record with one more drive after the repair.

    Parameters
    ----------
    record : JobRecord
    last : Diagnosis
        Of that drive.
    outcome : str
        What the comparison says of it.
    even_again : bool
        True if nothing is open any more.
    """
    moment = now()
    entry = JobVerification(
        file=last.log.file,
        sha256=last.log.sha256,
        at=moment,
        outcome=outcome,
        even_again=even_again,
        taken_at=last.taken_at,
        parts=record.parts,
    )
    drives = with_drive(record.verifications, entry)
    return msgspec.structs.replace(record, verifications=drives, changed_at=moment)


def restated(
    record: JobRecord, stated: Mapping[str, tuple[str, ...]], findings: tuple[str, ...]
) -> tuple[JobRecord, list[str]]:
    """The record with what is stated now, and what is found by that.

    Parameters
    ----------
    record : JobRecord
    stated : mapping of str to tuple of str
    findings : tuple of str

    Returns
    -------
    JobRecord
    list of str
        Answers that count no more: it had cooled, but since then something else was seen.
    """
    before = record.stated.get("seen", ())
    seen = any(text not in before for text in stated.get("seen", ()))
    gone = [one for one in record.answers if seen and one.answer == "cooled"]
    kept = tuple(one for one in record.answers if one not in gone)
    changed = msgspec.structs.replace(record, stated=stated, findings=findings, answers=kept)
    return changed, [f"{one.check}={one.answer}" for one in gone]


def with_answers(record: JobRecord, found: tuple[Found, ...], skipped: tuple[str, ...]) -> JobRecord:
    """The record with these answers; those that stood there before keep their time."""
    at = {(one.check, one.answer): one.at for one in record.answers}
    moment = now()
    answers = tuple(
        JobAnswer(check=one.check, answer=one.answer, at=at.get((one.check, one.answer), moment))
        for one in found
    )
    return msgspec.structs.replace(record, answers=answers, skipped=skipped, changed_at=moment)
