"""Many logs -> one ranked list of what needs a look first; works in batches so that memory stays small."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from msgspec import Struct, field

from thermlog.judging.diagnose import Settings, diagnoses, judge, refuse_missing_axles
from thermlog.judging.fleetrows import place_in_rank, plain_row, rows_of
from thermlog.judging.plain import plainly_even
from thermlog.judging.tell import tell_findings
from thermlog.reading.rawtext import STANDARD_INPUT
from thermlog.reading.read import Unreadable, read_logs
from thermlog.words.errors import VehicleError
from thermlog.words.tables import stack_readings

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.judging.fleetrows import FleetRow
    from thermlog.judging.judged import Judged
    from thermlog.reading.read import LogReadings
    from thermlog.reading.readoptions import ReadOptions
    from thermlog.words.findings import Diagnosis
    from thermlog.words.vehicle import Vehicle

LOGS_PER_BATCH = 500
_LOGS_WORTH_A_PROCESS = 200  # measured: starting a helper takes as long as some 50 logs


class Duplicate(Struct, frozen=True, kw_only=True):
    """A file with the same content as one already judged."""

    file: str
    same_as: str


class Batch(Struct, frozen=True, kw_only=True, eq=False):
    """Some logs of a fleet, judged together.

    Attributes
    ----------
    judged : Judged
        Their vehicles and drives, in the order of the files; none of a file whose content was judged already.
    contents : tuple of (file, sha256)
        Every file that could be read.
    unreadable : tuple of Unreadable
        Files that were refused, each with its reason.
    files : int
        Number of files looked at.
    """

    judged: Judged
    contents: tuple[tuple[str, str], ...]
    unreadable: tuple[Unreadable, ...]
    files: int

    def diagnoses(self) -> tuple[Diagnosis, ...]:
        """Every case told in full."""
        return tuple(diagnoses(self.judged))


class Piece(Struct, frozen=True, kw_only=True, eq=False):
    """What is kept of a batch: rows and refusals, no curves and no readings.

    Attributes
    ----------
    rows : tuple of FleetRow
    judged, flagged : tuple of str
        The file of every case judged; of every case that asks for a look.
    contents, unreadable, files
        As in `Batch`.
    """

    rows: tuple[FleetRow, ...]
    judged: tuple[str, ...]
    flagged: tuple[str, ...]
    contents: tuple[tuple[str, str], ...]
    unreadable: tuple[Unreadable, ...]
    files: int


class FleetList(Struct, kw_only=True):
    """What is kept of a fleet while its pieces go by."""

    rows: list[FleetRow] = field(default_factory=list)
    unreadable: list[Unreadable] = field(default_factory=list)
    duplicates: list[Duplicate] = field(default_factory=list)
    judged: int = 0
    flagged: int = 0
    first_with: dict[str, str] = field(default_factory=dict)

    def add(self, piece: Piece) -> None:
        """Take in one piece, without files whose content came before."""
        copies = {
            file: first
            for file, content in piece.contents
            if (first := self.first_with.setdefault(content, file)) != file
        }
        self.rows += [row for row in piece.rows if row.file not in copies]
        self.judged += sum(file not in copies for file in piece.judged)
        self.flagged += sum(file not in copies for file in piece.flagged)
        self.unreadable += piece.unreadable
        self.duplicates += [Duplicate(file=file, same_as=first) for file, first in copies.items()]

    def ranked(self) -> list[FleetRow]:
        """Rows, what needs a look first at the top; order of the files does not matter."""
        return sorted(self.rows, key=place_in_rank)


def judge_in_batches(
    paths: Sequence[str],
    options: ReadOptions,
    settings: Settings,
    *,
    logs_per_batch: int = LOGS_PER_BATCH,
) -> Iterator[Batch]:
    """Read and judge many logs, some hundred at a time.

    Parameters
    ----------
    paths : sequence of str
        Files, already expanded.
    options : ReadOptions
        How to read them.
    settings : Settings
        How to judge them.
    logs_per_batch : int
        At least 1; changes memory and speed, never a result.

    Yields
    ------
    Batch
        One bad file becomes an `Unreadable` and stops nothing.
    """
    seen: set[str] = set()
    for start in range(0, len(paths), logs_per_batch):
        yield _batch(paths[start : start + logs_per_batch], options, settings, seen)


def list_in_pieces(
    paths: Sequence[str], options: ReadOptions, settings: Settings, *, jobs: int | None = None
) -> Iterator[Piece]:
    """Read and judge many logs, some hundred at a time, and keep no more than their rows.

    Parameters
    ----------
    paths, options, settings
        As for `judge_in_batches`.
    jobs : int, optional
        Processes that share the work; what follows from the number of logs and cores if not given. Changes
        speed, never a result.

    Yields
    ------
    Piece
        In the order of the files.
    """
    from thermlog.judging.jobs import in_order, usual_jobs  # not needed for the diagnoses of a fleet

    if jobs is None:
        jobs = usual_jobs(len(paths), fewest=_LOGS_WORTH_A_PROCESS)
    if STANDARD_INPUT in paths:
        jobs = 1  # a helper has none
    size = max(1, min(LOGS_PER_BATCH, -(-len(paths) // jobs)))
    chunks = [paths[start : start + size] for start in range(0, len(paths), size)]
    return in_order(partial(_piece_alone, options=options, settings=settings), chunks, jobs=jobs)


def piece_of(batch: Batch) -> Piece:
    """Rows of one batch; plainly even vehicles are not told in full for it."""
    judged = batch.judged
    rows: list[FleetRow] = []
    flagged: list[str] = []
    for k, plain in enumerate(plainly_even(judged).tolist()):
        if plain:
            rows.append(plain_row(judged, k))
            continue
        told = tell_findings(judged, k)
        rows += rows_of(told)
        if told.flagged:
            flagged.append(told.log.file)
    return Piece(
        rows=tuple(rows),
        judged=tuple(case.log.file for case in judged.readings.cases),
        flagged=tuple(flagged),
        contents=batch.contents,
        unreadable=batch.unreadable,
        files=batch.files,
    )


def _piece_alone(paths: Sequence[str], options: ReadOptions, settings: Settings) -> Piece:
    return piece_of(_batch(paths, options, settings, set()))


def _batch(paths: Sequence[str], options: ReadOptions, settings: Settings, seen: set[str]) -> Batch:
    """Read and judge logs of content not `seen` before, and add it."""
    readings, logs, unreadable = read_logs(paths, options)
    fitting, unlike = _of_vehicle(logs, settings.vehicle)
    fresh = _of_new_content(fitting, seen)
    if len(fresh) < len(logs):
        readings = stack_readings([log.readings for log in fresh])
    return Batch(
        judged=judge(readings, settings),
        contents=tuple((log.record.file, log.record.sha256) for log in fitting),
        unreadable=(*unreadable, *unlike),
        files=len(paths),
    )


def _of_vehicle(
    logs: Sequence[LogReadings], vehicle: Vehicle | None
) -> tuple[Sequence[LogReadings], list[Unreadable]]:
    """Logs that a stated vehicle can be of, and the rest with the reason."""
    if vehicle is None:
        return logs, []
    fitting: list[LogReadings] = []
    unlike: list[Unreadable] = []
    for log in logs:
        try:
            refuse_missing_axles(log.readings, vehicle)
        except VehicleError as refusal:
            unlike.append(Unreadable(file=log.record.file, reason=str(refusal)))
        else:
            fitting.append(log)
    return fitting, unlike


def _of_new_content(logs: Sequence[LogReadings], seen: set[str]) -> list[LogReadings]:
    fresh = []
    for log in logs:
        if log.record.sha256 not in seen:
            seen.add(log.record.sha256)
            fresh.append(log)
    return fresh
