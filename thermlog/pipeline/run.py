"""The one run of everything: sources and settings -> logs read, logs refused, everything judged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.decide import what_decides
from thermlog.judging.diagnose import diagnoses, judge, refuse_missing_axles
from thermlog.judging.explain import budgets
from thermlog.reading.read import Logs, read_logs
from thermlog.words.errors import VehicleError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

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
