"""Readings that are at hand, of logs or of a history, judged anew: under another policy, say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.judging.diagnose import judge
from thermlog.words.tables import stack_readings

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.judging.judged import Judged
    from thermlog.judging.settings import Settings
    from thermlog.words.tables import Readings

_AT_ONCE = 500  # logs judged together


def judged_anew(readings: Sequence[Readings], settings: Settings) -> Iterator[Judged]:
    """Judge some readings, some hundred logs at a time.

    Parameters
    ----------
    readings : sequence of Readings
        One a log, or a drive.
    settings : Settings

    Yields
    ------
    Judged
        In order.
    """
    for start in range(0, len(readings), _AT_ONCE):
        yield judge(stack_readings(list(readings[start : start + _AT_ONCE])), settings)
