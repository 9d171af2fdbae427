"""Readings one by one: what is no reading, no wheel, no time or a repeat is set aside by name."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import islice, pairwise
from operator import lt
from typing import TypeVar, cast

import numpy as np

from thermlog.reading.aimed import aim_by_remarks, faces_of_discs, noted_spot
from thermlog.reading.cells import shown
from thermlog.reading.scale import temp_name
from thermlog.reading.sharedtimes import note_shared_times
from thermlog.reading.sifting import CaseKey, Sifting
from thermlog.reading.statements import drive_word
from thermlog.reading.takenback import take_back
from thermlog.reading.times.clock import read_times
from thermlog.reading.times.column import ClockProblem, TimeHeading
from thermlog.reading.times.pace import Walk, impossible_pace, plainly_possible
from thermlog.reading.wheelcodes import AIR, BAD
from thermlog.reading.zeros import drop_zeros
from thermlog.words.errors import LogRefusedError
from thermlog.words.sentences import degc, sentence
from thermlog.words.vehicle import SPOTS

_Cell = TypeVar("_Cell")
_MANY = 10_000  # rows from which sorting arrays beats a set of pairs in memory
_AIR_REASON = "air temperature; used as the ambient, not as a wheel"


def sift(work: Sifting) -> None:
    """Fill in cases, spots and times, and set aside every reading that cannot be used.

    Raises
    ------
    LogRefusedError
        The times cannot be told, or a reading is taken back that is not there.
    """
    take_back(work)
    _temperatures(work)
    _wheels(work)
    _cases(work)
    _spots(work)
    if work.seen.remarks:
        aim_by_remarks(work)
    _times(work)
    drop_zeros(work)  # the order of all rows tells headings in each other's place
    _repeats(work)
    note_shared_times(work)


# ---- cells and wheels -----------------------------------------------------------------------------------


def _temperatures(work: Sifting) -> None:
    for row, (code, problem) in work.temps.problems.items():
        work.drop_temp(row, code, problem)
    values_degc, limits = work.temps.degc, work.asked.options.limits
    low, high = limits.lowest_reading_degc, limits.highest_reading_degc
    if np.minimum.reduce(values_degc) >= low and np.maximum.reduce(values_degc) <= high:  # NaN fails both
        return
    for row in np.flatnonzero((values_degc < low) | (values_degc > high)).tolist():
        ends = degc(low, digits=None, bare=True), degc(high, digits=None)
        work.drop_temp(row, "impossible", sentence("impossible for a wheel end: outside {} to {}", *ends))


def _wheels(work: Sifting) -> None:
    work.notes += work.codes.notes
    if work.codes.clean:
        return
    for row, code in enumerate(work.code):
        text = work.seen.position[row]
        if code == BAD:
            work.drop(row, (_position_column(work, row), text), *work.codes.problems[text])
        elif code == AIR:
            work.drop(row, (_position_column(work, row), text), "air", _AIR_REASON)


def _position_column(work: Sifting, row: int) -> str:
    """Column that names the wheel of a reading: a heading, where each wheel has a column."""
    index = work.asked.plan.index
    if "position" in index:
        return work.column("position")
    return work.column("axle") if "axle" in index else temp_name(work.seen, work.asked.plan, row)


def _spots(work: Sifting) -> None:
    """A column of spots says where the gun was aimed; where it is empty the position may say."""
    cells = work.seen.extra.get("spot")
    if cells is None:
        return
    known = {text: noted_spot(text) for text in set(cells)}
    if None in known.values():
        known |= faces_of_discs(work, cells)
    codes = {text: SPOTS.index(spot) if spot is not None else -1 for text, spot in known.items()}
    work.spots = [codes[text] for text in cells]
    if -1 not in codes.values():
        return
    for row, text in enumerate(cells):
        if codes[text] < 0 and text.strip():
            problem = f"not a known spot; write one of: {', '.join(SPOTS)}"
            work.drop(row, (work.column("spot"), text), "spot", problem)


# ---- cases ----------------------------------------------------------------------------------------------


def _cases(work: Sifting) -> None:
    """One case for each vehicle and drive in the file."""
    extra, said, options = work.seen.extra, work.asked.statements, work.asked.options
    vehicle, drive = said.vehicle or options.vehicle, said.drive or options.drive
    if said.sections:  # what holds for a row is filled in; what is not stated there is not known
        vehicle, drive = options.vehicle, options.drive
    if "vehicle" not in extra and "drive" not in extra and work.seen.walk is None:
        work.keys = [CaseKey(vehicle=vehicle, drive=drive)]
        return
    blank = [""] * len(work.seen.line)
    vehicles, drives = (_filled_down(work, extra.get(role, blank)) for role in ("vehicle", "drive"))
    names: dict[str, str] = {}
    keys: dict[CaseKey, int] = {}
    work.case = [
        keys.setdefault(
            CaseKey(vehicle=_one_name(names, v) or vehicle, drive=_drive(d) or drive, walk=walk), len(keys)
        )
        for v, d, walk in zip(vehicles, drives, work.seen.walk or [0] * len(blank), strict=True)
    ]
    if spelled := sorted({shown(v.strip()) for v in vehicles} - {"", *names.values()}):
        work.notes.append(f"vehicle {', '.join(spelled)}: the same as another but for case or blanks")
    work.keys = list(keys)
    unknown = sorted({key.drive for key in keys if key.drive and drive_word(key.drive) is None})
    if unknown:
        work.notes.append(
            f"drive {shown(', '.join(unknown))}: not normal, coast or verification, kept apart as written"
        )


def _one_name(names: dict[str, str], text: str) -> str:
    """The first spelling of a name, whatever its case and blanks."""
    name = shown(text.strip())
    return names.setdefault("".join(name.casefold().split()), name) if name else ""


def _filled_down(work: Sifting, cells: Sequence[str]) -> Sequence[str]:
    """Cells merged in a spreadsheet are filled in their first row only: the others take the value above.

    They are merged where the first row is filled, at most every second one is, and no two in a row agree.
    """
    filled = [k for k, cell in enumerate(cells) if cell.strip()]
    names = [cells[k].strip() for k in filled]
    anew = all(a != b for a, b in pairwise(names))
    if not filled or filled[0] != 0 or 2 * len(filled) > len(cells) or not anew:
        return cells
    work.notes.append("empty cells of vehicle or drive take the value above: merged cells are filled once")
    return [cells[k] for a, b in zip(filled, [*filled[1:], len(cells)], strict=True) for k in [a] * (b - a)]


def _drive(text: str) -> str:
    return drive_word(text) or text.strip()


# ---- times ----------------------------------------------------------------------------------------------


def _times(work: Sifting) -> None:
    work.parked = [False] * len(work.keys)
    work.start = [None] * len(work.keys)
    if work.seen.time is None:
        work.elapsed_s = [math.nan] * len(work.seen.line)
        work.notes.append("no times in this log: readings are kept, but cannot be compared in time")
        return
    rows = work.live()
    if work.case is None and len(rows) == len(work.seen.line):
        elapsed = _elapsed(work, 0, rows)
        work.elapsed_s = _blanked(work, rows, elapsed) if work.dropped else _whole(elapsed)
        return
    whole = [math.nan] * len(work.seen.line)
    case_of = work.case or [0] * len(whole)
    for case in range(len(work.keys)):
        own = [row for row in rows if case_of[row] == case]
        for row, value in zip(own, _blanked(work, own, _elapsed(work, case, own)), strict=True):
            whole[row] = value
    work.elapsed_s = whole


def _whole(elapsed: Sequence[float | None]) -> Sequence[float]:
    """The same times: where no cell is dropped, every reading has one."""
    return cast("Sequence[float]", elapsed)


def _blanked(work: Sifting, rows: Sequence[int], elapsed: Sequence[float | None]) -> list[float]:
    """NaN for None; a reading without time that no problem names is set aside too."""
    for row, value in zip(rows, elapsed, strict=True):
        if value is None:
            cell = work.seen.time[row] if work.seen.time is not None else ""
            problem = "no time in this row; write when the wheel was read"
            work.drop(row, (work.column("time"), cell), "time", problem)
    return [math.nan if value is None else value for value in elapsed]


def _elapsed(work: Sifting, case: int, rows: Sequence[int]) -> Sequence[float | None]:
    """Times of one case [s]."""
    if not rows:
        return ()
    plan, dates = work.asked.plan, work.seen.extra.get("date")
    said = work.asked.statements.at(work.seen.line[rows[0]])
    cells = _picked(work.seen.time or [], rows)
    found = read_times(
        cells,
        unit="h" if plan.of_day and ":" in cells[0] else plan.time_unit,
        dates=_picked(dates, rows) if dates is not None else None,
        parked=said.parked if said.parked is not None else ("0" if plan.since_parked else None),
        date_order=work.asked.options.date_order or said.date_order,
        decimal=work.decimal,
        walk=lambda: _walk(work, rows),
        heading=TimeHeading(
            of_day=plan.of_day,
            digits=plan.digits,
            countdown=plan.countdown,
            strange_unit=plan.strange_time,
        ),
    )
    for problem in found.problems:
        if problem.index < 0:
            raise _refused_times(work, rows[problem.at], problem)
        place = work.column("time"), problem.value
        before = problem.code == "before_parked"
        work.drop(rows[problem.index], place, "before_parked" if before else "time", problem.problem)
    work.notes += found.notes
    work.time_words = found.kind
    work.parked[case] = found.zero == "parked"
    work.start[case] = found.start
    return found.elapsed_s


def _walk(work: Sifting, rows: Sequence[int]) -> Walk:
    """Wheels and temperatures of some rows."""
    if work.walk is not None and len(rows) == len(work.walk.wheels) == len(work.code):
        return work.walk
    code = np.array(_picked(work.code, rows), dtype=np.int64)
    wheels = 2 * work.codes.axle[code] + work.codes.side[code]
    whole = len(rows) == len(work.code)
    degc = work.temps.degc if whole else work.temps.degc[np.array(rows, dtype=np.int64)]
    lines = np.array(_picked(work.seen.line, rows), dtype=np.int64)
    walk = Walk(wheels=wheels, degc=degc, lines=lines, limits=work.asked.options.limits)
    work.walk = walk if whole else None
    return walk


def impossible_lines(work: Sifting, case: int) -> tuple[tuple[int, int], ...]:
    """Lines of two readings of a case that nobody can have taken so soon, or so late, after one another."""
    limits = work.asked.options.limits
    plain = work.rising and not work.dropped and plainly_possible(work.elapsed_s, limits)
    if work.seen.time is None or plain:
        return ()
    rows = work.live_of(case)
    elapsed_s = _picked(work.elapsed_s, rows)
    pairs = impossible_pace(elapsed_s, _walk(work, rows))
    found = [(rows[a], rows[b]) for a, b in pairs]
    found += [(a, b) for a, b in work.contradicting if work.is_of(a, case)]
    return tuple((work.seen.line[a], work.seen.line[b]) for a, b in found)


def _picked(cells: Sequence[_Cell], rows: Sequence[int]) -> Sequence[_Cell]:
    return cells if len(rows) == len(cells) else [cells[row] for row in rows]


def _refused_times(work: Sifting, row: int, found: ClockProblem) -> LogRefusedError:
    value = found.value
    return LogRefusedError(
        found.problem,
        code=found.code,
        file=work.asked.file,
        line=work.seen.line[row],
        column=work.column("time"),
        value=shown(value) if value else None,
    )


# ---- repeats --------------------------------------------------------------------------------------------


def _repeats(work: Sifting) -> None:
    """Set exact repeats aside; note different values of one wheel at one moment."""
    if work.seen.time is None:
        return
    work.rising = work.case is None and all(map(lt, work.elapsed_s, islice(work.elapsed_s, 1, None)))
    plain = work.case is None and work.spots is None and not work.dropped
    if work.rising or (plain and not _any_repeat(work.code, work.elapsed_s)):
        return
    rows = work.live()
    moments = [_moment(work, row) for row in rows]
    if len(set(moments)) < len(moments):
        _drop_repeats(work, rows, moments)


def _any_repeat(code: Sequence[int], elapsed_s: Sequence[float]) -> bool:
    """True if a wheel has two readings at one moment."""
    if len(code) < _MANY:
        return len(set(zip(code, elapsed_s, strict=True))) < len(code)
    wheel, moment_s = np.array(code), np.array(elapsed_s)
    order = np.lexsort((moment_s, wheel))
    same = (np.diff(wheel[order]) == 0) & (np.diff(moment_s[order]) == 0)
    return bool(same.any())


def _moment(work: Sifting, row: int) -> tuple[object, ...]:
    case = work.case[row] if work.case is not None else 0
    spot = work.spots[row] if work.spots is not None else -1
    code = work.code[row]
    wheel = (
        int(work.codes.axle[code]),
        int(work.codes.side[code]),
        int(work.codes.spot[code]) if spot < 0 else spot,
    )
    return (case, *wheel, work.elapsed_s[row])


def _drop_repeats(work: Sifting, rows: Sequence[int], moments: Sequence[tuple[object, ...]]) -> None:
    first: dict[tuple[object, ...], dict[float, int]] = {}
    differing: list[tuple[int, int]] = []
    for row, moment in zip(rows, moments, strict=True):
        values = first.setdefault(moment, {})
        value = float(work.temps.degc[row])
        if value in values:
            problem = f"exact repeat of line {work.seen.line[values[value]]}, counted once"
            work.drop_temp(row, "repeat", problem)
        else:
            differing += [(next(iter(values.values())), row)] if values else []
            values[value] = row
    work.contradicting = differing if len(differing) > 1 else []
    if differing:
        many = "one reading differs" if len(differing) == 1 else f"{len(differing)} readings differ"
        work.notes.append(f"{many} from another of the same wheel at the same moment; all are kept")
