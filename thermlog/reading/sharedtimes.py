"""Wheels that share one second in a table with a row a reading: nobody reads them so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.cells import count_words, number

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.reading.sifting import Sifting

_SEVERAL = 3  # wheels of one moment: two may be an axle with a person on each side
_MINUTE_S = 60.0


def note_shared_times(work: Sifting) -> None:
    """Note readings of several wheels in one second: their time is of the round.

    Times to the minute, and a row with a column a wheel, are not meant otherwise.

    Parameters
    ----------
    work : Sifting
        Its notes gain one.
    """
    if work.rising or work.seen.time is None or work.asked.plan.layout != "long":
        return
    wheels: dict[tuple[int, float], set[tuple[int, int]]] = {}
    rows = work.live()
    for row in rows:
        case, code = work.case[row] if work.case is not None else 0, work.code[row]
        wheel = (int(work.codes.axle[code]), int(work.codes.side[code]))
        wheels.setdefault((case, work.elapsed_s[row]), set()).add(wheel)
    many = sum(len(read) for read in wheels.values() if len(read) >= _SEVERAL)
    if many and _to_the_second(work, rows):
        work.notes.append(
            f"{count_words(many, 'reading')} share their second with other wheels: nobody reads them at "
            "once, so it is taken as the time of the round"
        )


def _to_the_second(work: Sifting, rows: Iterable[int]) -> bool:
    """True where times are written in seconds, whole minutes or not."""
    cells = work.seen.time or ()
    written = {work.elapsed_s[row]: cells[row].strip() for row in rows}
    if any(moment_s % _MINUTE_S for moment_s in written):
        return True
    if any(text.count(":") > 1 for text in written.values()):
        return True
    moments = sorted(written)
    figures = [number(written[moment_s], work.decimal) for moment_s in (moments[0], moments[-1])]
    first, last = (None if one is None else float(one) for one in figures)
    return first is not None and last is not None and abs(last - first) == moments[-1] - moments[0] > 0.0
