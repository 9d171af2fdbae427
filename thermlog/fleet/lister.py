"""Some logs of a fleet -> what is kept of them: read and judged as one batch."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.advice.errand import errand_of
from thermlog.fleet.fleetlist import FlaggedDrive, LearnedSkins, Piece
from thermlog.fleet.fleetrows import hottest_readings, plain_row, rows_of
from thermlog.fleet.quietrows import packed
from thermlog.fleet.skinlearning import FEWEST_LOGS, learned_share, sampled
from thermlog.judging.tell import tell_to_do
from thermlog.pipeline.recalled import nobody_asked
from thermlog.pipeline.run import run
from thermlog.pipeline.sources import odds_of_skins, recalled
from thermlog.reading.files.addresses import is_address

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from typing import TypeAlias

    from thermlog.fleet.batches import Batch
    from thermlog.fleet.defects import Defect
    from thermlog.fleet.workrow import FleetRow
    from thermlog.judging.settings import Settings
    from thermlog.pipeline.recalled import Recalling
    from thermlog.pipeline.run import Part, Run
    from thermlog.words.findings import Diagnosis, NextCheck

    _Place: TypeAlias = tuple[int, int]
    _ToDo: TypeAlias = tuple[Diagnosis, NextCheck | None]

_SHARE_DIGITS = 3  # as it is printed: typed again, it judges alike


class Lister(Struct, frozen=True, kw_only=True, eq=False):
    """Makes a `Piece` of some files.

    Attributes
    ----------
    settings : Settings
        How to read and judge them.
    recall : callable
        Asked for the earlier visits of their vehicles.
    write : callable or None
        Words for each of some cases told in full, beside their rows; None: rows alone.
    skins : LearnedSkins or None
        What the fleet taught about surfaces; None: what the policy assumes.
    keep : bool
        True to hand on what a history keeps of every case.
    file : bool
        True to hand on what is filed of every defect.
    gather : bool
        True to hand on what pages of drives that ask for a look are made of.
    """

    settings: Settings
    recall: Recalling = nobody_asked
    write: Callable[[Sequence[Diagnosis]], tuple[str, ...]] | None = None
    skins: LearnedSkins | None = None
    keep: bool = False
    file: bool = False
    gather: bool = False

    @property
    def in_full(self) -> bool:
        """True where every case is told in full."""
        return self.write is not None or self.gather

    def __call__(self, batch: Batch) -> Piece:
        """Read and judge the logs; one bad log becomes an `Unreadable` and stops nothing."""
        return self.piece_of(
            run(
                batch.paths,
                self.settings,
                once=True,
                in_full=self.in_full,
                content_of=batch.content_of,
                recall=self.recall,
            )
        )

    def piece_of(self, done: Run) -> Piece:
        """What is kept of a run."""
        found = _listed(done, in_full=self.in_full)
        told = found.told
        defects = _defects(done, found.rows, told) if self.file else ()
        return Piece(
            rows=tuple(found.rows),
            judged=tuple(judged.readings.cases[k].log.file for judged, k in done.cases()),
            flagged=tuple(one.log.file for one in told if one is not None and one.flagged),
            contents=tuple((log.record.file, done.read.text_of(log)) for log in done.read.logs),
            unreadable=done.read.unreadable(),
            files=len({log.record.file for log in done.read.logs} | {file for file, _ in done.read.refused}),
            quiet=(packed(found.quiet),) if found.quiet else (),
            written=() if self.write is None else self.write([one for one in told if one is not None]),
            skins=self.skins,
            visits=tuple(done.visits(told)) if self.keep else (),
            defects=tuple(defects),
            unremembered=done.unremembered,
            flagged_drives=tuple(_flagged_drives(done, told)) if self.gather else (),
        )

    def settled(self, batch: Batch) -> Lister:
        """The same for these logs alone, with what a history tells of them: no way to it is needed then."""
        if self.recall is nobody_asked:
            return self
        return replace(self, recall=recalled(batch.paths, self.settings, self.recall, batch.content_of))

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
            Itself where there is too little to learn from, or the share is stated.
        """
        if len(paths) < FEWEST_LOGS or self.settings.skins_even_share is not None:  # stated: nothing to learn
            return self
        regular = [path for path in sampled(paths) if is_address(path) or Path(path).is_file()]
        odds, usual_share, logs = odds_of_skins(regular, self.settings)
        share = learned_share(odds, usual_share)
        if share is None:
            return self
        share = round(share, _SHARE_DIGITS)
        learned = LearnedSkins(even_share=share, logs=logs)
        return replace(self, settings=self.settings.with_skins(share), skins=learned)


class _Listed(Struct, kw_only=True):
    """Lines of all cases, those of plainly even vehicles apart, and findings; None where none were told."""

    rows: list[FleetRow] = field(default_factory=list)
    quiet: list[FleetRow] = field(default_factory=list)
    told: list[Diagnosis | None] = field(default_factory=list)


def _listed(done: Run, *, in_full: bool) -> _Listed:
    """Lines of all cases; `in_full`: every case is told, else only those that are not plainly even."""
    found, whole = _Listed(), done.findings() if in_full else None
    plain = {
        place: one for part in done.parts for place, one in zip(part.places, part.even.tolist(), strict=True)
    }
    cases = Counter(log for log, _ in plain)
    odd = {} if in_full else {place: one for part in done.parts for place, one in _to_do(part, plain)}
    for (place, one), (judged, k) in zip(sorted(plain.items()), done.cases(), strict=True):
        told = None if whole is None else next(whole)
        if one:
            # drives of one log may share a line
            (found.quiet if cases[place[0]] == 1 else found.rows).append(plain_row(judged, k))
        else:
            told, check = odd[place] if told is None else (told, told.next_check)
            errand = errand_of(check) if told.flagged and check is not None else None
            found.rows += rows_of(told, errand=errand, hottest=hottest_readings(judged, k))
        found.told.append(told)
    return found


def _to_do(part: Part, plain: Mapping[_Place, bool]) -> Iterator[tuple[_Place, _ToDo]]:
    """What is told of the cases that are not plainly even, all together."""
    places = {place: k for k, place in enumerate(part.places) if not plain[place]}
    return zip(places, tell_to_do(part.judged, list(places.values())), strict=True)


def _flagged_drives(done: Run, told: Sequence[Diagnosis | None]) -> Iterator[FlaggedDrive]:
    """Drives that ask for a look, with what their pages are made of."""
    from thermlog.pipeline.dossier import dossier_of  # most lists come without pages

    for number, (found, own) in enumerate(zip(told, done.numbers(), strict=True)):
        if found is not None and found.flagged:
            yield FlaggedDrive(
                file=found.log.file, number=(own or 1) - 1, dossier=dossier_of(done, number, found)
            )


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
