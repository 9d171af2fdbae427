"""The drives that ``compare`` lays over each other; beside the record of a job its drive as it was stated."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct
from msgspec.structs import replace

from thermlog.cli.files import tell
from thermlog.cli.given import as_stated, option_words, take_up
from thermlog.words.shelltext import shell_word
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.cli.options import Judging, Reading
    from thermlog.followup.jobrecord import JobRecord
    from thermlog.pipeline.run import Run
    from thermlog.words.findings import Diagnosis
    from thermlog.words.policy import Policy

# What is stated of one drive and its log holds for no other; all else is of the vehicle and how it is judged.
OF_ONE_DRIVE = frozenset(
    {"seen", "surface", "ambient", "ambient_sigma", "override", "drive", "vehicle_name", "unit", "delimiter",
     "decimal", "encoding", "date_order", "columns"}
)  # fmt: skip
_OF_THE_SEARCH = frozenset({"case", "at", "history"})  # of narrow, no option of compare


class Stated(Struct, frozen=True, kw_only=True):
    """What is stated of the drive that a job began with, and of the drives after it.

    Attributes
    ----------
    record : JobRecord
    first, later : tuple of Judging and Reading
    """

    record: JobRecord
    first: tuple[Judging, Reading]
    later: tuple[Judging, Reading]

    def files(self) -> list[str]:
        """Files that are read besides the logs."""
        return [name for each in (self.first, self.later) for one in each for name in one.files()]


class JudgedDrive(Struct, frozen=True, kw_only=True):
    """One drive, and the policy that judged it."""

    told: Diagnosis
    policy: Policy


def stated_of(ctx: click.Context, path: str, record: JobRecord, judging: Judging, reading: Reading) -> Stated:
    """What the record of a job states, beside what the command line gives.

    What was stated of the job's drive (what was seen, its air, how its log is read) holds for it alone, what
    describes the vehicle and how it is judged for all, unless it is given anew. What is given now holds for
    the job's drive, too, where the record states nothing of the kind, but for what was seen.

    Parameters
    ----------
    ctx : click.Context
    path : str
        The record's file.
    record : JobRecord
    judging, reading
        As given.

    Raises
    ------
    JobRefusedError
        The record states what no option takes.
    """
    mine = {name: texts for name, texts in record.stated.items() if name in OF_ONE_DRIVE}
    ours = {name: texts for name, texts in record.stated.items() if name not in OF_ONE_DRIVE | _OF_THE_SEARCH}
    judging, reading = take_up(ctx, path, ours, (judging, reading))
    first = as_stated(ctx, path, mine, (judging, replace(reading, seen=())))
    if mine:
        words = " ".join(map(shell_word, option_words(ctx, mine)))
        tell(f"{path}: {record.log.file} is judged with {words}, as the record states")
    return Stated(record=record, first=(first[0], first[1]), later=(judging, reading))


def with_first(logs: tuple[str, ...], record: JobRecord) -> tuple[str, ...]:
    """The logs, the one that the job began with first."""
    return logs if any(_began(log, record) for log in logs) else (record.log.file, *logs)


def judged_drives(
    logs: Sequence[str], judging: Judging, reading: Reading, *, job: Stated | None
) -> list[JudgedDrive]:
    """Every drive of the logs; beside a record that of the job, and those of its vehicle.

    Each file is judged by itself: a later drive of the same vehicle says nothing of the earlier one.

    Parameters
    ----------
    logs : sequence of str
    judging, reading
        As given.
    job : Stated, optional
    """
    from thermlog.pipeline.run import run_one

    if job is None:
        settings = judging.settings(reading)
        runs = [run_one(log, settings) for log in logs]
        _refuse_copies(logs, runs)
        return [one for done in runs for one in _drives(done)]
    record = job.record
    first, later = (one[0].settings(one[1]) for one in (job.first, job.later))
    runs = [run_one(log, first if _began(log, record) else later) for log in logs]
    _refuse_copies(logs, runs)
    drives: list[JudgedDrive] = []
    for log, done in zip(logs, runs, strict=True):
        own = _began(log, record)
        drives += _of_job(_drives(done), record, alone=len(logs) == 1) if own else _of_vehicle(done, record)
    return drives


def _began(log: str, record: JobRecord) -> bool:
    """True for the log that a job began with."""
    return Path(log).resolve() == Path(record.log.file).resolve()


def _drives(done: Run) -> list[JudgedDrive]:
    cases = done.cases()
    return [
        JudgedDrive(told=told, policy=judged.policies[k])
        for told, (judged, k) in zip(done.findings(curves=True), cases, strict=True)
    ]


def _of_job(drives: list[JudgedDrive], record: JobRecord, *, alone: bool) -> list[JudgedDrive]:
    """The drive of the job; what its log holds after it only where no other log is named."""
    (number, *_) = (*record.stated.get("case", ()), "1")
    place = int(number) - 1 if number.isdigit() else 0
    return drives[place:] if alone else drives[place : place + 1]


def _of_vehicle(done: Run, record: JobRecord) -> list[JudgedDrive]:
    """Drives of the vehicle of the job; all of them where none is."""
    drives = _drives(done)
    if record.vehicle is None:
        return drives
    key = unit_key(record.vehicle)
    same = [one for one in drives if one.told.vehicle is None or unit_key(one.told.vehicle) == key]
    return same or drives


def _refuse_copies(logs: Sequence[str], runs: Sequence[Run]) -> None:
    """One log twice is no before and after."""
    from thermlog.reports.wording import printable

    first: dict[str, str] = {}
    for log, done in zip(logs, runs, strict=True):
        (read,) = done.read.logs
        if read.record.sha256 in first:
            same = first[read.record.sha256]
            msg = (
                f"{printable(same)} and {printable(log)} are one log; name the one before the work and "
                "the one after it"
            )
            raise click.UsageError(msg)
        first[read.record.sha256] = log
