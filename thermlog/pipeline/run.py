"""The one run of everything: sources and settings -> logs read, logs refused, everything judged."""

from __future__ import annotations

from functools import cached_property
from heapq import merge
from itertools import islice
from operator import itemgetter
from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.plainly_even import plainly_even
from thermlog.pipeline.casenames import listed_cases, named_cases
from thermlog.pipeline.recalled import nobody_asked
from thermlog.pipeline.sources import all_cases, logs_to_judge
from thermlog.reading.files.rawtext import read_bytes
from thermlog.reading.read import Logs
from thermlog.words.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from thermlog.advice.narrowing import Found, Narrowed
    from thermlog.judging.judged import Judged
    from thermlog.judging.settings import Settings
    from thermlog.pipeline.recalled import Recalling
    from thermlog.pipeline.unitlogs import AlikeLogs
    from thermlog.words.errors import HistoryError
    from thermlog.words.findings import Diagnosis
    from thermlog.words.tables import Bools
    from thermlog.words.visits import Past, Visit

_Thing = TypeVar("_Thing")


class Part(Struct, frozen=True, kw_only=True, eq=False, dict=True):
    """Cases that are judged alike.

    Attributes
    ----------
    settings : Settings
        How they are read and judged.
    judged : Judged
    places : tuple of (int, int)
        Of every case: number of its log among all of the run, and its own within it.
    """

    settings: Settings
    judged: Judged
    places: tuple[tuple[int, int], ...]

    @cached_property
    def even(self) -> Bools:
        """Cases that are plainly even: see `plainly_even.plainly_even`."""
        return plainly_even(self.judged)

    def cases(self) -> Iterator[tuple[Judged, int]]:
        """The batch of every case, and its number there."""
        return ((self.judged, k) for k in range(len(self.places)))

    def findings(self, *, explain: bool, curves: bool, sharper: bool) -> Iterator[Diagnosis]:
        """Findings of every case."""
        told = diagnoses(self.judged, curves=curves, even=self.even, sharper=sharper)
        for k, found in enumerate(told):
            yield _explained(self.judged, k, found, self.settings) if explain else found


def _explained(judged: Judged, k: int, found: Diagnosis, settings: Settings) -> Diagnosis:
    # most checks do without these rooms
    from thermlog.judging.explain import budgets
    from thermlog.judging.furtherreadings import deciding_readings

    return replace(found, budgets=budgets(judged, k), decisions=deciding_readings(judged, k, settings))


class Run(Struct, frozen=True, kw_only=True, eq=False):
    """What became of some sources.

    Attributes
    ----------
    settings : Settings
        How they were read and judged.
    read : Logs
        The logs, and what was refused.
    parts : tuple of Part
        All cases of all logs; one where all are judged alike.
    unremembered : HistoryError or None
        Why they were judged as if nothing were known of earlier visits, where something may be.
    """

    settings: Settings
    read: Logs
    parts: tuple[Part, ...]
    unremembered: HistoryError | None = None

    def cases(self) -> Iterator[tuple[Judged, int]]:
        """Every case, in the order of the logs: the batch it was judged in, and its number there."""
        return self._in_order(part.cases() for part in self.parts)

    def case(self, number: int) -> tuple[Judged, int]:
        """One case of all, the first 0: the batch it was judged in, and its number there."""
        return next(islice(self.cases(), number, None))

    def numbers(self) -> list[int | None]:
        """Number of every case in its log, in order, the first 1; None where the log holds no other."""
        places = self._places()
        several = {log for log, own in places if own > 0}
        return [own + 1 if log in several else None for log, own in places]

    def findings(
        self, *, explain: bool = False, curves: bool = False, sharper: bool = False
    ) -> Iterator[Diagnosis]:
        """Findings of every case, in order.

        Parameters
        ----------
        explain : bool
            True to add where uncertainty comes from, and which reading would decide.
        curves : bool
            True to add the curves a chart needs.
        sharper : bool
            True to add to every "no" what would sharpen it, which a list of many does without.
        """
        return self._in_order(
            part.findings(explain=explain, curves=curves, sharper=sharper) for part in self.parts
        )

    def _places(self) -> list[tuple[int, int]]:
        """Of every case: number of its log, and its own within it; in order."""
        return list(self._in_order(part.places for part in self.parts))

    def _in_order(self, of_parts: Iterable[Iterable[_Thing]]) -> Iterator[_Thing]:
        """What each part has of its cases, in the order of the logs."""
        placed = (zip(part.places, own, strict=True) for part, own in zip(self.parts, of_parts, strict=True))
        return (thing for _, thing in merge(*placed, key=itemgetter(0)))

    def visits(self, told: Iterable[Diagnosis | None]) -> list[Visit]:
        """What a history keeps of every case, in order.

        Parameters
        ----------
        told : iterable of Diagnosis or None
            Findings of every case, in order; None where every answer is plainly "no".
        """
        from thermlog.pipeline.keeping import visits_of

        findings = dict(zip(self._places(), told, strict=True))
        of_parts = (
            visits_of(part.judged, part.settings, [(place[1], findings[place]) for place in part.places])
            for part in self.parts
        )
        return list(self._in_order(of_parts))

    def flagged_case(self, wanted: str | None) -> tuple[int, Diagnosis]:
        """The case whose cause is looked for, with its findings as `check` has them.

        Parameters
        ----------
        wanted : str or None
            Which one: its number, first 1, or its vehicle, its drive, or both with a comma between; without
            it the one that is flagged, or the first where none is.

        Raises
        ------
        OptionError
            There is no such case, or several are flagged and none is named.
        """
        told = list(self.findings(sharper=True))
        named = named_cases(wanted, told)
        flagged = [k for k in named if told[k].flagged] or named[:1]
        if len(flagged) > 1:
            choose = f"choose one by its number, as in --case {flagged[0] + 1}"
            msg = f"several drives of this log are flagged ({listed_cases(flagged, told)}); {choose}"
            raise OptionError(msg)
        return flagged[0], told[flagged[0]]

    def narrowed(
        self,
        k: int,
        told: Diagnosis,
        found: Sequence[Found] = (),
        skipped: Sequence[str] = (),
        *,
        at: str | None = None,
        since_min: float = 0.0,
    ) -> Narrowed:
        """Where the search for the cause of case `k` stands after some answers.

        Parameters
        ----------
        k : int
        told : Diagnosis
            Of this case.
        found : sequence of Found
        skipped : sequence of str
            Checks not to be asked now.
        at : str, optional
            A brake or an axle of the suspect; without it the severest.
        since_min : float
            Minutes since the readings, as far as a clock tells.

        Raises
        ------
        OptionError
            No such check, no such answer to it, or no such suspect.
        """
        from thermlog.advice.narrowing import narrow  # a check does without it
        from thermlog.judging.clues import evidence_of
        from thermlog.judging.danger import hottest_brake_degc

        judged, own = self.case(k)
        evidence = evidence_of(told, judged.policies[own], hottest_brake_degc(judged, own))
        return narrow(replace(evidence, since_min=since_min), found, skipped, at=at)


def run(
    sources: Sequence[str],
    settings: Settings,
    *,
    once: bool = False,
    in_full: bool = True,
    content_of: Callable[[str], bytes] = read_bytes,
    recall: Recalling = nobody_asked,
) -> Run:
    """Read and judge some sources as one batch.

    Parameters
    ----------
    sources : sequence of str
        Files; ``-`` is standard input.
    settings : Settings
    once : bool
        True for a depot: of several logs with the same content only the first is judged, and no log answers
        for another.
    in_full : bool
        False where but few findings will be asked for: see `judge`.
    content_of : callable
        Gives the bytes of a source or raises `LogRefusedError`; else they are read where the source says.
    recall : callable
        Asked once for the earlier visits of the vehicles of all cases that can be read.

    Returns
    -------
    Run
        A source that cannot be read, or is not of the vehicle of the settings, is listed there and stops
        nothing.
    """
    read, shares = logs_to_judge(sources, settings, once=once, content_of=content_of)
    known = recall(all_cases(read))
    past = known.past
    parts = _parts(shares, past, alone=once, in_full=in_full)
    if past is not None:
        parts = _beside_each_other(parts, shares, past, alone=once, in_full=in_full)
    return Run(settings=settings, read=read, parts=parts, unremembered=known.trouble)


def _parts(shares: Sequence[AlikeLogs], past: Past | None, *, alone: bool, in_full: bool) -> tuple[Part, ...]:
    """All shares judged, each beside the same past."""
    remembering = [
        one if past is None else replace(one, settings=replace(one.settings, past=past)) for one in shares
    ]
    return tuple(
        Part(
            settings=one.settings, judged=_judged(one, alone=alone, in_full=in_full), places=one.all_places()
        )
        for one in remembering
    )


def _beside_each_other(
    parts: tuple[Part, ...], shares: Sequence[AlikeLogs], past: Past, *, alone: bool, in_full: bool
) -> tuple[Part, ...]:
    """The same, judged again for as long as what an earlier day leaves to a later one is still changing."""
    from thermlog.pipeline.days import beside_each_other  # most runs have no history

    known = past
    for _ in range(1 + sum(len(part.places) for part in parts)):  # each time one day more stands
        more = beside_each_other([part.judged for part in parts], past)
        if more == known:
            break
        known, parts = more, _parts(shares, more, alone=alone, in_full=in_full)
    return parts


def _judged(logs: AlikeLogs, *, alone: bool, in_full: bool) -> Judged:
    """Logs as one batch; `alone`: none answers for another, whichever are judged together."""
    settings = replace(logs.settings, across_logs=False) if alone else logs.settings
    return judge(logs.readings(), settings, in_full=in_full)


def run_one(source: str, settings: Settings, *, recall: Recalling = nobody_asked) -> Run:
    """Read and judge one source; `recall` as for `run`.

    Raises
    ------
    LogRefusedError
        It cannot be read.
    VehicleError
        It reads an axle that the vehicle of the settings does not have.
    """
    done = run([source], settings, recall=recall)
    if not done.read.logs:
        for _, refusal in done.read.refused:
            raise refusal
    return done
