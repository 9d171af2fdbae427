"""Some logs of a fleet -> what is kept of them: read and judged as one batch."""

from __future__ import annotations

from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.errand import errand_of
from thermlog.fleet.fleetlist import LearnedSkins, Piece
from thermlog.fleet.fleetrows import hottest_readings, plain_row, rows_of
from thermlog.fleet.plain import plainly_even
from thermlog.fleet.skinlearning import FEWEST_LOGS, learned_share, sampled
from thermlog.judging.tell import tell_to_do
from thermlog.pipeline.run import odds_of_skins, recalled, run
from thermlog.reading.addresses import is_address

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from thermlog.fleet.batches import Batch
    from thermlog.fleet.defects import Defect
    from thermlog.fleet.workrow import FleetRow
    from thermlog.judging.settings import Settings
    from thermlog.pipeline.run import Run
    from thermlog.words.findings import Diagnosis


class Lister(Struct, frozen=True, kw_only=True, eq=False):
    """Makes a `Piece` of some files.

    Attributes
    ----------
    settings : Settings
        How to read and judge them.
    write : callable or None
        Words for a case told in full, beside its rows; None: rows alone.
    skins : LearnedSkins or None
        What the fleet taught about surfaces; None: what the policy assumes.
    keep : bool
        True to hand on what a history keeps of every case.
    file : bool
        True to hand on what is filed of every defect.
    """

    settings: Settings
    write: Callable[[Diagnosis], str] | None = None
    skins: LearnedSkins | None = None
    keep: bool = False
    file: bool = False

    def __call__(self, batch: Batch) -> Piece:
        """Read and judge the logs; one bad log becomes an `Unreadable` and stops nothing."""
        done = run(batch.paths, self.settings, once=True, content_of=batch.content_of)
        rows, written, told = _listed(done) if self.write is None else _in_full(done, self.write)
        defects = _defects(done, rows, told) if self.file else ()
        return Piece(
            rows=tuple(rows),
            judged=tuple(judged.readings.cases[k].log.file for judged, k in done.cases()),
            flagged=tuple(one.log.file for one in told if one is not None and one.flagged),
            contents=tuple((log.record.file, log.record.sha256) for log in done.read.logs),
            unreadable=done.read.unreadable(),
            files=len(batch.paths),
            written=tuple(written),
            skins=self.skins,
            visits=tuple(done.visits(told)) if self.keep else (),
            defects=tuple(defects),
            unremembered=done.unremembered,
        )

    def settled(self, batch: Batch) -> Lister:
        """The same for these logs alone, with what a history tells of them: no way to it is needed then."""
        settings = recalled(batch.paths, self.settings, batch.content_of)
        return self if settings is self.settings else replace(self, settings=settings)

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
        regular = [path for path in sampled(paths) if is_address(path) or Path(path).is_file()]
        odds, usual_share, logs = odds_of_skins(regular, self.settings)
        share = learned_share(odds, usual_share)
        if share is None:
            return self
        learned = LearnedSkins(even_share=share, logs=logs)
        return replace(self, settings=self.settings.with_skins(share), skins=learned)


def _listed(done: Run) -> tuple[list[FleetRow], list[str], list[Diagnosis | None]]:
    """Rows of all cases, nothing written, and the findings of every case that is not plainly even."""
    rows: list[FleetRow] = []
    numbered: list[tuple[tuple[int, int], Diagnosis | None]] = []
    for part in done.parts:
        for k, plain in enumerate(plainly_even(part.judged).tolist()):
            told = None
            if plain:
                rows.append(plain_row(part.judged, k))
            else:
                told, check = tell_to_do(part.judged, k)
                errand = None if check is None else errand_of(check)
                rows += rows_of(told, errand=errand, hottest=hottest_readings(part.judged, k))
            numbered.append((part.places[k], told))
    return rows, [], [told for _, told in sorted(numbered, key=itemgetter(0))]


def _in_full(
    done: Run, write: Callable[[Diagnosis], str]
) -> tuple[list[FleetRow], list[str], list[Diagnosis | None]]:
    """The same, and every case written."""
    rows: list[FleetRow] = []
    found = list(done.findings())
    for told, (judged, k) in zip(found, done.cases(), strict=True):
        errand = errand_of(told.next_check) if told.flagged and told.next_check is not None else None
        rows += rows_of(told, errand=errand, hottest=hottest_readings(judged, k))
    return rows, [write(told) for told in found], [*found]


def _defects(done: Run, rows: Sequence[FleetRow], told: Sequence[Diagnosis | None]) -> Iterator[Defect]:
    """What is filed of every defect of every case."""
    from thermlog.fleet.defects import defects_of  # most lists file nothing

    lines: dict[tuple[str, str, str | None], list[FleetRow]] = {}
    for row in rows:
        lines.setdefault(row.visit, []).append(row)
    for (judged, k), one in zip(done.cases(), told, strict=True):
        if one is not None and one.flagged:
            mine = lines[one.vehicle or one.log.file, one.log.file, one.drive]
            yield from defects_of(judged, k, one, mine)
