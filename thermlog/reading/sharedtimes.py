"""Wheels that share one second in a table with a row a reading: nobody reads them so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.cells import count_words, number
from thermlog.reading.sifted import StepResult

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from thermlog.reading.sifted import Cases, LogRows, Times

_SEVERAL = 3  # wheels of one moment: two may be an axle with a person on each side
_MINUTE_S = 60.0


def shared_times(rows: LogRows, cases: Cases, times: Times, live: Sequence[int]) -> StepResult[None]:
    """Note readings of several wheels in one second: their time is of the round.

    Times to the minute, and a row with a column a wheel, are not meant otherwise.
    """
    if times.rising or rows.seen.time is None or rows.asked.plan.layout != "long":
        return StepResult(found=None)
    wheels: dict[tuple[int, float], set[tuple[int, int]]] = {}
    for row in live:
        code = rows.code[row]
        wheel = (int(rows.codes.axle[code]), int(rows.codes.side[code]))
        wheels.setdefault((cases.at(row), times.elapsed_s[row]), set()).add(wheel)
    many = sum(len(read) for read in wheels.values() if len(read) >= _SEVERAL)
    if not many or not _to_the_second(rows, {times.elapsed_s[row]: row for row in live}):
        return StepResult(found=None)
    note = (
        f"{count_words(many, 'reading')} share their second with other wheels: nobody reads them at "
        "once, so it is taken as the time of the round"
    )
    return StepResult(found=None, notes=[note])


def _to_the_second(rows: LogRows, row_at: Mapping[float, int]) -> bool:
    """True where times are written in seconds, whole minutes or not."""
    cells = rows.seen.time or ()
    written = {moment_s: cells[row].strip() for moment_s, row in row_at.items()}
    if any(moment_s % _MINUTE_S for moment_s in written):
        return True
    if any(text.count(":") > 1 for text in written.values()):
        return True
    moments = sorted(written)
    figures = [number(written[moment_s], rows.decimal) for moment_s in (moments[0], moments[-1])]
    first, last = (None if one is None else float(one) for one in figures)
    return first is not None and last is not None and abs(last - first) == moments[-1] - moments[0] > 0.0
