"""Readings of one wheel at one moment: exact repeats are set aside, others noted."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from thermlog.reading.sifted import StepResult

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.sifted import Cases, LogRows, Times
    from thermlog.words.tables import SetAside

_MANY = 10_000  # rows from which sorting arrays beats a set of pairs in memory


def repeats(
    rows: LogRows, cases: Cases, spots: Sequence[int] | None, times: Times, live: Sequence[int]
) -> StepResult[Sequence[tuple[int, int]]]:
    """Of the readings still there, rows of one wheel and moment that differ, where there are several."""
    plain = cases.of_row is None and spots is None and len(live) == len(rows.code)
    if rows.seen.time is None or times.rising or (plain and not _any_repeat(rows.code, times.elapsed_s)):
        return StepResult(found=())
    first: dict[tuple[object, ...], dict[float, int]] = {}
    aside: dict[int, SetAside] = {}
    differing: list[tuple[int, int]] = []
    for row in live:
        moment = cases.at(row), *_wheel(rows, spots, row), times.elapsed_s[row]
        values = first.setdefault(moment, {})
        value = float(rows.temps.degc[row])
        if value in values:
            problem = f"exact repeat of line {rows.seen.line[values[value]]}, counted once"
            aside[row] = rows.temp_aside(row, "repeat", problem)
        else:
            differing += [(next(iter(values.values())), row)] if values else []
            values[value] = row
    many = "one reading differs" if len(differing) == 1 else f"{len(differing)} readings differ"
    note = f"{many} from another of the same wheel at the same moment; all are kept"
    return StepResult(
        found=differing if len(differing) > 1 else (), aside=aside, notes=[note] if differing else ()
    )


def _any_repeat(code: Sequence[int], elapsed_s: Sequence[float]) -> bool:
    """True if a wheel has two readings at one moment."""
    if len(code) < _MANY:
        return len(set(zip(code, elapsed_s, strict=True))) < len(code)
    wheel, moment_s = np.array(code), np.array(elapsed_s)
    order = np.lexsort((moment_s, wheel))
    same = (np.diff(wheel[order]) == 0) & (np.diff(moment_s[order]) == 0)
    return bool(same.any())


def _wheel(rows: LogRows, spots: Sequence[int] | None, row: int) -> tuple[int, int, int]:
    """Axle, side and spot of a reading."""
    code, spot = rows.code[row], -1 if spots is None else spots[row]
    own = int(rows.codes.spot[code]) if spot < 0 else spot
    return int(rows.codes.axle[code]), int(rows.codes.side[code]), own
