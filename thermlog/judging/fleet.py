"""Some logs of a fleet -> what is kept of them: read and judged as one batch."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.diagnose import Settings, diagnoses, judge, refuse_missing_axles, skin_odds
from thermlog.judging.fleetlist import FleetRow, LearnedSkins, Piece
from thermlog.judging.fleetrows import plain_row, rows_of
from thermlog.judging.plain import plainly_even
from thermlog.judging.skinlearning import FEWEST_LOGS, learned_share, sampled
from thermlog.judging.tell import tell_findings
from thermlog.reading.read import Unreadable, read_logs, unreadable_for
from thermlog.words.errors import VehicleError
from thermlog.words.tables import stack_readings

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from thermlog.judging.judged import Judged
    from thermlog.reading.read import LogReadings
    from thermlog.reading.readoptions import ReadOptions
    from thermlog.words.findings import Diagnosis
    from thermlog.words.vehicle import Vehicle


class Lister(Struct, frozen=True, kw_only=True, eq=False):
    """Makes a `Piece` of some files.

    Attributes
    ----------
    options : ReadOptions
        How to read them.
    settings : Settings
        How to judge them.
    write : callable or None
        Words for a case told in full, in place of its rows; None: rows alone.
    skins : LearnedSkins or None
        What the fleet taught about surfaces; None: what the policy assumes.
    """

    options: ReadOptions
    settings: Settings
    write: Callable[[Diagnosis], str] | None = None
    skins: LearnedSkins | None = None

    def __call__(self, paths: Sequence[str]) -> Piece:
        """Read and judge the files; one bad file becomes an `Unreadable` and stops nothing."""
        readings, logs, unreadable = read_logs(paths, self.options)
        fitting, unlike = _of_vehicle(logs, self.settings.vehicle)
        fresh = _of_new_content(fitting)
        if len(fresh) < len(logs):
            readings = stack_readings([log.readings for log in fresh])
        judged = judge(readings, self.settings)
        rows, flagged, written = _listed(judged) if self.write is None else _in_full(judged, self.write)
        return Piece(
            rows=tuple(rows),
            judged=tuple(case.log.file for case in judged.readings.cases),
            flagged=tuple(flagged),
            contents=tuple((log.record.file, log.record.sha256) for log in fitting),
            unreadable=(*unreadable, *unlike),
            files=len(paths),
            written=tuple(written),
            skins=self.skins,
        )

    def with_skins_of(self, paths: Sequence[str]) -> Lister:
        """The same, judging with the share of vehicles with skins alike that a whole fleet teaches.

        Parameters
        ----------
        paths : sequence of str
            All files of the fleet, in any order; some of them are read and judged here. Standard input and
            pipes, which can be read but once, teach nothing.

        Returns
        -------
        Lister
            Itself where there is too little to learn from.
        """
        if len(paths) < FEWEST_LOGS:
            return self
        regular = [path for path in sampled(paths) if Path(path).is_file()]
        _, logs, _ = read_logs(regular, self.options)
        fresh = _of_new_content(_of_vehicle(logs, self.settings.vehicle)[0])
        odds, usual_share = skin_odds(stack_readings([log.readings for log in fresh]), self.settings)
        share = learned_share(odds, usual_share)
        if share is None:
            return self
        learned = LearnedSkins(even_share=share, logs=len(fresh))
        return replace(self, settings=replace(self.settings, skins_even_share=share), skins=learned)


def _listed(judged: Judged) -> tuple[list[FleetRow], list[str], list[str]]:
    """Rows of all cases, the file of every case that asks for a look, and nothing written."""
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
    return rows, flagged, []


def _in_full(
    judged: Judged, write: Callable[[Diagnosis], str]
) -> tuple[list[FleetRow], list[str], list[str]]:
    """No rows, the file of every case that asks for a look, and every case written."""
    flagged: list[str] = []
    written: list[str] = []
    for told in diagnoses(judged):
        written.append(write(told))
        if told.flagged:
            flagged.append(told.log.file)
    return [], flagged, written


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
            unlike.append(unreadable_for(refusal, log.record.file))
        else:
            fitting.append(log)
    return fitting, unlike


def _of_new_content(logs: Sequence[LogReadings]) -> list[LogReadings]:
    """The first log of every content."""
    first: dict[str, LogReadings] = {}
    for log in logs:
        first.setdefault(log.record.sha256, log)
    return list(first.values())
