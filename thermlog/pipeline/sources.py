"""What is asked of sources before they are judged: what can be read, whose it is, what is known of these."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec.structs import replace

from thermlog.judging.diagnose import refuse_missing_axles, skin_odds
from thermlog.pipeline.unitlogs import logs_of_units, shares_of
from thermlog.reading.files.rawtext import STANDARD_INPUT, hold_standard_input, read_bytes
from thermlog.reading.read import Logs, read_logs, unread_log
from thermlog.words.errors import VehicleError
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from thermlog.judging.settings import Settings
    from thermlog.pipeline.recalled import Recalled, Recalling
    from thermlog.pipeline.unitlogs import AlikeLogs
    from thermlog.words.errors import ThermlogError
    from thermlog.words.tables import Case, Floats


def logs_to_judge(
    sources: Sequence[str], settings: Settings, *, once: bool, content_of: Callable[[str], bytes]
) -> tuple[Logs, list[AlikeLogs]]:
    """Logs that can be read and can be of their vehicle, put together by what holds for them."""
    if STANDARD_INPUT in sources:  # a log is read again in the words of its unit, and where it is refused
        hold_standard_input()
    read = read_logs(sources, settings.reading, content_of=content_of)
    read = logs_of_units(read, settings, content_of)
    unlike: dict[str, ThermlogError] = {}
    for share in shares_of(read, settings):
        for log in share.logs:
            try:
                refuse_missing_axles(log.readings, share.settings.vehicle)
            except VehicleError as refusal:
                refusal.unread = unread_log(log.record.file, settings.reading, content_of)
                unlike[log.record.file] = refusal
    logs = tuple(log for log in read.logs if log.record.file not in unlike)
    read = replace(read, logs=logs, refused=(*read.refused, *unlike.items()))
    return read, shares_of(read.of_new_content() if once else read, settings)


def all_cases(read: Logs) -> list[Case]:
    """Cases of all logs, in order."""
    return [case for log in read.logs for case in log.readings.cases]


def recalled(
    sources: Sequence[str], settings: Settings, recall: Recalling, content_of: Callable[[str], bytes]
) -> Recalled:
    """What is known of the vehicles of these sources, asked now.

    Parameters
    ----------
    sources, settings, recall, content_of
        As for `run.run`.
    """
    read, _ = logs_to_judge(sources, settings, once=True, content_of=content_of)
    return recall(all_cases(read))


def vehicles_of(
    sources: Sequence[str], settings: Settings, content_of: Callable[[str], bytes]
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every source that names vehicles, with their keys; all else as for `run.run`."""
    read, _ = logs_to_judge(sources, settings, once=False, content_of=content_of)
    for log in read.logs:
        named = {unit_key(case.vehicle) for case in log.readings.cases if case.vehicle is not None}
        if named:
            yield log.record.file, tuple(sorted(named))


def odds_of_skins(sources: Sequence[str], settings: Settings) -> tuple[Floats, float, int]:
    """What some sources tell of the skins of their vehicles: see `diagnose.skin_odds`.

    Returns
    -------
    odds : float array (cases,)
    usual_share : float
    logs : int
        Logs of unlike content that were read.
    """
    read, shares = logs_to_judge(sources, settings, once=True, content_of=read_bytes)
    told = [skin_odds(share.readings(), share.settings) for share in shares]
    cases = [odds.size for odds, _ in told]
    usual = sum(share * count for (_, share), count in zip(told, cases, strict=True)) / max(sum(cases), 1)
    return np.concatenate([np.zeros(0), *(odds for odds, _ in told)]), usual, len(read.of_new_content().logs)
