"""The one run of everything: sources and settings -> logs read, logs refused, everything judged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.narrowing import narrow
from thermlog.judging.clues import evidence_of
from thermlog.judging.danger import hottest_brake_degc
from thermlog.judging.decide import what_decides
from thermlog.judging.diagnose import diagnoses, judge, refuse_missing_axles
from thermlog.judging.explain import budgets
from thermlog.reading.read import Logs, read_logs
from thermlog.words.errors import OptionError, VehicleError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.advice.narrowing import Found, Narrowed
    from thermlog.judging.judged import Judged
    from thermlog.judging.settings import Settings
    from thermlog.reading.read import LogReadings
    from thermlog.words.errors import ThermlogError
    from thermlog.words.findings import Diagnosis


class Run(Struct, frozen=True, kw_only=True, eq=False):
    """What became of some sources.

    Attributes
    ----------
    settings : Settings
        How they were read and judged.
    read : Logs
        The logs, and what was refused.
    judged : Judged
        All cases of all logs.
    """

    settings: Settings
    read: Logs
    judged: Judged

    def findings(self, *, explain: bool = False, curves: bool = False) -> Iterator[Diagnosis]:
        """Findings of every case, in order.

        Parameters
        ----------
        explain : bool
            True to add where uncertainty comes from, and which reading would decide.
        curves : bool
            True to add the curves a chart needs.
        """
        for k, found in enumerate(diagnoses(self.judged, curves=curves)):
            if not explain:
                yield found
                continue
            decisions = what_decides(self.judged, k, self.settings)
            yield replace(found, budgets=budgets(self.judged, k), decisions=decisions)

    def flagged_case(self, number: int | None = None) -> tuple[int, Diagnosis]:
        """The case whose cause is looked for, with its findings.

        Parameters
        ----------
        number : int, optional
            Which one, first 1; without it the one that is flagged, or the first where none is.

        Raises
        ------
        OptionError
            There is no such case, or several are flagged and none is named.
        """
        told = list(self.findings())
        if number is not None:
            if not 1 <= number <= len(told):
                msg = f"case {number}: the log holds {len(told)}"
                raise OptionError(msg)
            return number - 1, told[number - 1]
        flagged = [k for k, one in enumerate(told) if one.flagged] or [0]
        if len(flagged) > 1:
            listed = "; ".join(f"{k + 1}: {told[k].vehicle or '-'}, {told[k].drive or '-'}" for k in flagged)
            msg = f"several drives of this log are flagged ({listed}); choose one with --case"
            raise OptionError(msg)
        return flagged[0], told[flagged[0]]

    def narrowed(
        self, k: int, told: Diagnosis, found: Sequence[Found] = (), skipped: Sequence[str] = ()
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

        Raises
        ------
        OptionError
            No such check, or no such answer to it.
        """
        evidence = evidence_of(told, self.judged.policies[k], hottest_brake_degc(self.judged, k))
        return narrow(evidence, found, skipped)


def run(sources: Sequence[str], settings: Settings, *, once: bool = False) -> Run:
    """Read and judge some sources as one batch.

    Parameters
    ----------
    sources : sequence of str
        Files; ``-`` is standard input.
    settings : Settings
    once : bool
        True to judge only the first of several logs with the same content.

    Returns
    -------
    Run
        A source that cannot be read, or is not of the vehicle of the settings, is listed there and stops
        nothing.
    """
    read = readable(sources, settings)
    judged = read.of_new_content() if once else read
    return Run(settings=settings, read=read, judged=judge(judged.readings(), settings))


def run_one(source: str, settings: Settings) -> Run:
    """Read and judge one source.

    Raises
    ------
    LogRefusedError
        It cannot be read.
    VehicleError
        It reads an axle that the vehicle of the settings does not have.
    """
    done = run([source], settings)
    for _, refusal in done.read.refused:
        raise refusal
    return done


def readable(sources: Sequence[str], settings: Settings) -> Logs:
    """Logs that can be read and can be of the vehicle of the settings; the others are refused."""
    read, vehicle = read_logs(sources, settings.reading), settings.vehicle
    if vehicle is None:
        return read
    fitting: list[LogReadings] = []
    unlike: list[tuple[str, ThermlogError]] = []
    for log in read.logs:
        try:
            refuse_missing_axles(log.readings, vehicle)
        except VehicleError as refusal:
            unlike.append((log.record.file, refusal))
        else:
            fitting.append(log)
    return Logs(logs=tuple(fitting), refused=(*read.refused, *unlike))
