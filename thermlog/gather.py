"""Observations as text to the readings table: every reading either used or set aside by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from thermlog.air import Air, air_notes, column_air, is_air_word, measured_air, stated_air
from thermlog.cells import DecimalMark, number
from thermlog.clock import read_times
from thermlog.description import describe
from thermlog.errors import LogRefusedError
from thermlog.headings import read_heading
from thermlog.layouts import Observations
from thermlog.positions import PositionRules, resolve_positions, spot_of
from thermlog.scale import Asked, Temperatures, decimal_mark, temp_name, temperatures
from thermlog.statements import drive_word
from thermlog.tables import Case, Drive, Floats, Ints, LogRecord, Readings, SetAside
from thermlog.vehicle import SIDES, SPOTS

_AIR = -2
_BAD = -1
_BRAKE = SPOTS.index("brake")
_DRUM = SPOTS.index("drum")
_AIR_REASON = "air temperature; used as the ambient, not as a wheel"


@dataclass(slots=True, kw_only=True)
class Gathered:
    """The readings of one file, its record, and how numbers and times were understood."""

    readings: Readings
    record: LogRecord
    decimal: str
    unit: str
    time: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Codes:
    """Wheel of each position text, as a row of three short arrays."""

    of: Mapping[str, int]
    axle: Ints
    side: Ints
    spot: Ints
    problems: Mapping[str, str]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Key:
    """What makes one case: vehicle and drive as written."""

    vehicle: str | None
    drive_text: str | None


@dataclass(slots=True, kw_only=True)
class _Work:
    """The readings of one file on their way; `dropped` names those that left it."""

    seen: Observations
    asked: Asked
    decimal: DecimalMark
    temps: Temperatures
    code: Ints
    codes: _Codes
    spot: Ints
    case: Ints
    keys: list[_Key]
    elapsed_s: Floats
    dropped: dict[int, SetAside] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    time_words: str = "none"
    parked: list[bool] = field(default_factory=list)

    def drop(self, row: int, column: str | None, value: str | None, reason: str) -> None:
        """Set one reading aside; the first reason stays."""
        if row not in self.dropped:
            line = self.seen.line[row]
            self.dropped[row] = SetAside(line=line, column=column, value=value, reason=reason)

    def column(self, role: str, fallback: str) -> str:
        """Name of a role's column as written in the file."""
        return next(
            (self.asked.plan.names[k] for name, k in self.asked.plan.index.items() if name == role), fallback
        )

    def live(self) -> Ints:
        """Rows not set aside."""
        keep = np.ones(len(self.seen.line), dtype=np.bool_)
        if self.dropped:
            keep[list(self.dropped)] = False
        return np.flatnonzero(keep)


def gather(seen: Observations, asked: Asked, *, sha256: str, notes: Sequence[str]) -> Gathered:
    """Readings table of one file.

    Parameters
    ----------
    seen : Observations
        Readings as text.
    asked : Asked
        Plan, statements and options.
    sha256 : str
        Of the file.
    notes : sequence of str
        What was assumed before.

    Returns
    -------
    Gathered
        ``record.rows_read == record.rows_used + len(record.set_aside)``.

    Raises
    ------
    LogRefusedError
        Units, dates or marks cannot be told, or no reading is usable.
    """
    _refuse_nothing(seen, asked)
    work = _start(seen, asked)
    _drop_bad_cells(work)
    _drop_bad_wheels(work)
    _cases(work)
    _spots(work)
    _times(work)
    _drop_repeats(work)
    rows = work.live()
    if not rows.size:
        raise _nothing_left(work)
    return _finish(work, rows, sha256, notes)


def _refuse_nothing(seen: Observations, asked: Asked) -> None:
    if seen.line:
        return
    if seen.set_aside:
        first = seen.set_aside[0]
        problem = f"no row fits the header; the first: {first.reason}"
        raise LogRefusedError(problem, file=asked.file, line=first.line, value=first.value)
    problem = "there are no readings below the header; add one row a reading"
    raise LogRefusedError(problem, file=asked.file)


def _start(seen: Observations, asked: Asked) -> _Work:
    decimal = decimal_mark(seen, asked)
    temps = temperatures(seen, asked, decimal, stated_air(asked.statements, asked.options, None).degc)
    codes = _codes(frozenset(seen.position), _rules(asked), _own_words(asked))
    count = len(seen.line)
    code = np.fromiter(map(codes.of.__getitem__, seen.position), dtype=np.int64, count=count)
    return _Work(
        seen=seen,
        asked=asked,
        decimal=decimal,
        temps=temps,
        code=code,
        codes=codes,
        spot=codes.spot[code],
        case=np.zeros(count, dtype=np.int64),
        keys=[],
        elapsed_s=np.full(count, np.nan),
    )


# ---- cells and wheels -----------------------------------------------------------------------------------


def _drop_bad_cells(work: _Work) -> None:
    seen, plan, options = work.seen, work.asked.plan, work.asked.options
    for row, problem in work.temps.problems.items():
        work.drop(row, temp_name(seen, plan, row), seen.temp[row], problem)
    degc = work.temps.degc
    low, high = options.lowest_degc, options.highest_degc
    if degc.size and not (degc.min() >= low and degc.max() <= high):
        for row in np.flatnonzero((degc < low) | (degc > high)).tolist():
            reason = f"impossible for a wheel end: outside {low:.4g} to {high:.4g} °C"
            work.drop(row, temp_name(seen, plan, row), seen.temp[row], reason)


def _rules(asked: Asked) -> PositionRules:
    options, said = asked.options, asked.statements
    return PositionRules(
        traffic_side=options.traffic_side or said.traffic,
        driver_side=options.driver_side or said.driver_side,
        language=options.language or said.language,
        axle_count=options.axle_count or said.axle_count,
    )


def _own_words(asked: Asked) -> tuple[tuple[str, str], ...]:
    column_map = asked.options.column_map
    return tuple(sorted(column_map.positions.items())) if column_map is not None else ()


@lru_cache(maxsize=256)
def _codes(texts: frozenset[str], rules: PositionRules, own_words: tuple[tuple[str, str], ...]) -> _Codes:
    """Wheel of every position text of a file, decided together."""
    words = dict(own_words)
    air = {text for text in texts if is_air_word(text)}
    as_known = {text: words.get(text.strip(), text) for text in texts - air if text.strip()}
    found = resolve_positions(as_known.values(), rules)
    of = dict.fromkeys(texts, _BAD) | dict.fromkeys(air, _AIR)
    problems = {
        text: "no wheel named in this row; write one like FL or 2R" for text in texts if not text.strip()
    }
    rows = [(0, 0, _BRAKE)]
    for text, known in as_known.items():
        if (position := found.known.get(known)) is not None:
            of[text] = len(rows)
            rows.append((position.axle, SIDES.index(position.side), SPOTS.index(position.spot or "brake")))
        else:
            problems[text] = found.problems[known].problem
    rows += [(0, 0, _BRAKE), (0, 0, _BRAKE)]  # what -2 and -1 point to
    table = np.array(rows, dtype=np.int64)
    return _Codes(
        of=of, axle=table[:, 0], side=table[:, 1], spot=table[:, 2], problems=problems, notes=found.notes
    )


def _drop_bad_wheels(work: _Work) -> None:
    work.notes += work.codes.notes
    if not work.codes.problems and work.code.min() >= 0:
        return
    name = work.column("position", "position")
    for row in np.flatnonzero(work.code == _BAD).tolist():
        text = work.seen.position[row]
        work.drop(row, name, text, work.codes.problems[text])
    for row in np.flatnonzero(work.code == _AIR).tolist():
        work.drop(row, name, work.seen.position[row], _AIR_REASON)


def _spots(work: _Work) -> None:
    """A column of spots says where the gun was aimed; what it leaves out the position may say."""
    cells = work.seen.extra.get("spot")
    if cells is None:
        return
    name = work.column("spot", "spot")
    known = {text: spot_of(text) for text in set(cells)}
    for row, text in enumerate(cells):
        spot = known[text]
        if spot is not None:
            work.spot[row] = SPOTS.index(spot)
        elif text.strip():
            work.drop(row, name, text, f"not a known spot; write one of: {', '.join(SPOTS)}")


# ---- cases ----------------------------------------------------------------------------------------------


def _cases(work: _Work) -> None:
    """One case for each vehicle and drive in the file."""
    extra, said, options = work.seen.extra, work.asked.statements, work.asked.options
    vehicle, drive = said.vehicle or options.vehicle, said.drive or options.drive
    if "vehicle" not in extra and "drive" not in extra:
        work.keys = [_Key(vehicle=vehicle, drive_text=drive)]
        return
    count = len(work.seen.line)
    vehicles = [cell.strip() or vehicle for cell in extra.get("vehicle", [""] * count)]
    drives = [cell.strip() or drive for cell in extra.get("drive", [""] * count)]
    keys: dict[_Key, int] = {}
    for row, (v, d) in enumerate(zip(vehicles, drives, strict=True)):
        key = _Key(vehicle=v, drive_text=drive_word(d) or d if d else None)
        work.case[row] = keys.setdefault(key, len(keys))
    work.keys = list(keys)
    unknown = sorted({k.drive_text for k in keys if k.drive_text and drive_word(k.drive_text) is None})
    if unknown:
        work.notes.append(
            f"drive {', '.join(unknown)}: not normal, coast or verification, kept apart as written"
        )


def _drive_of(key: _Key) -> Drive | None:
    return drive_word(key.drive_text) if key.drive_text else None


# ---- times ----------------------------------------------------------------------------------------------


def _times(work: _Work) -> None:
    work.parked = [False] * len(work.keys)
    if work.seen.time is None:
        work.notes.append("no times in this log: readings are kept, but cannot be compared in time")
        return
    rows = work.live()
    for case in range(len(work.keys)):
        _times_of_case(work, case, rows[work.case[rows] == case] if len(work.keys) > 1 else rows)


def _times_of_case(work: _Work, case: int, rows: Ints) -> None:
    cells = work.seen.time or []
    plan, said = work.asked.plan, work.asked.statements
    listed = rows.tolist()
    dates = work.seen.extra.get("date")
    if not listed:
        return
    whole = len(listed) == len(cells)
    found = read_times(
        cells if whole else [cells[row] for row in listed],
        unit=plan.time_unit,
        dates=[dates[row] for row in listed] if dates is not None else None,
        parked=said.parked if said.parked is not None else ("0" if plan.since_parked else None),
        date_order=work.asked.options.date_order or said.date_order,
        decimal=work.decimal,
    )
    name = work.column("time", "time")
    for problem in found.problems:
        if problem.index < 0:
            line = work.seen.line[listed[0]]
            raise LogRefusedError(
                problem.problem, file=work.asked.file, line=line, column=name, value=problem.value or None
            )
        work.drop(listed[problem.index], name, problem.value, problem.problem)
    work.elapsed_s[rows] = np.array(found.elapsed_s, dtype=np.float64)
    for row in rows[np.isnan(work.elapsed_s[rows])].tolist():
        work.drop(row, name, cells[row], "no time in this row; write when the wheel was read")
    work.notes += found.notes
    work.time_words = found.kind
    work.parked[case] = found.zero == "parked"


def _drop_repeats(work: _Work) -> None:
    """Set exact repeats aside; note different values of one wheel at one moment."""
    rows = work.live()
    timed = rows[~np.isnan(work.elapsed_s[rows])]
    wheel = ((work.case * 128 + work.codes.axle[work.code]) * 2 + work.codes.side[work.code]) * 16 + work.spot
    moments = list(zip(wheel[timed].tolist(), work.elapsed_s[timed].tolist(), strict=True))
    if len(set(moments)) == len(moments):
        return
    first: dict[tuple[int, float], dict[float, int]] = {}
    differing = 0
    for row, moment in zip(timed.tolist(), moments, strict=True):
        values = first.setdefault(moment, {})
        value = float(work.temps.degc[row])
        if value in values:
            same = work.seen.line[values[value]]
            name = temp_name(work.seen, work.asked.plan, row)
            work.drop(row, name, work.seen.temp[row], f"exact repeat of line {same}, counted once")
        else:
            differing += bool(values)
            values[value] = row
    if differing:
        work.notes.append(
            f"{differing} readings differ from another of the same wheel at the same moment; all are kept"
        )


# ---- result ---------------------------------------------------------------------------------------------


def _nothing_left(work: _Work) -> LogRefusedError:
    first = min(work.dropped.values(), key=lambda one: (one.reason == _AIR_REASON, one.line))
    count = len(work.dropped)
    reason = (
        first.reason if count == 1 else f"{first.reason} (no usable reading in {count}; this is the first)"
    )
    return LogRefusedError(
        reason, file=work.asked.file, line=first.line, column=first.column, value=first.value
    )


def _finish(work: _Work, rows: Ints, sha256: str, notes: Sequence[str]) -> Gathered:
    rows = _in_order(work, rows)
    airs = _airs(work)
    set_aside = (*work.seen.set_aside, *work.dropped.values())
    record = LogRecord(
        file=work.asked.file,
        sha256=sha256,
        rows_read=len(work.seen.line) + len(work.seen.set_aside),
        rows_used=int(rows.size),
        set_aside=tuple(sorted(set_aside, key=lambda one: one.line)) if set_aside else (),
        notes=tuple(dict.fromkeys((*notes, *work.seen.notes, *work.temps.notes, *work.notes))),
    )
    readings = _table(work, rows, airs, record)
    return Gathered(
        readings=readings,
        record=record,
        decimal="comma" if work.decimal == "," else "point",
        unit=work.temps.unit_words,
        time=work.time_words,
    )


def _in_order(work: _Work, rows: Ints) -> Ints:
    """Rows by case and time; a log kept wheel by wheel or out of order is sorted."""
    case, elapsed_s = work.case[rows], work.elapsed_s[rows]
    step = np.diff(elapsed_s) < 0
    if len(work.keys) == 1 and not step.any():
        return rows
    order = np.lexsort((elapsed_s, case))
    if work.asked.plan.layout == "long" and (step & (np.diff(case) == 0)).any():
        work.notes.append("readings not in the order of their times; sorted")
    return rows[order]


def _airs(work: _Work) -> list[Air]:
    """Air temperature of each case."""
    asked = work.asked
    stated = stated_air(asked.statements, asked.options, work.temps.base)
    work.notes += air_notes(asked.statements, asked.options, work.temps.base)
    if stated.degc is not None:
        return [stated] * len(work.keys)
    if "ambient" not in work.seen.extra and work.code.min() > _AIR:
        return [stated] * len(work.keys)
    values, where = _measured_values(work)
    airs = []
    for case in range(len(work.keys)):
        own = [degc for row, degc in values.items() if work.case[row] == case] or list(values.values())
        air, notes = measured_air(own, where) if own else (Air(), [])
        work.notes += notes
        airs.append(air)
    return airs


def _measured_values(work: _Work) -> tuple[Mapping[int, float], str]:
    cells = work.seen.extra.get("ambient")
    if cells is not None:
        unit = read_heading(work.column("ambient", "")).unit
        return column_air(cells, work.temps, unit, work.decimal), "in the ambient column"
    rows = np.flatnonzero((work.code == _AIR) & ~np.isnan(work.temps.degc)).tolist()
    return {row: float(work.temps.degc[row]) for row in rows}, "in rows of their own"


def _table(work: _Work, rows: Ints, airs: Sequence[Air], record: LogRecord) -> Readings:
    code = work.code[rows]
    axle, spot, case = work.codes.axle[code], work.spot[rows], work.case[rows]
    return Readings(
        cases=tuple(_case(work, k, airs[k], record, (axle, spot, case)) for k in range(len(work.keys))),
        case=case,
        line=np.array(work.seen.line, dtype=np.int64)[rows],
        axle=axle,
        side=work.codes.side[code],
        spot=spot,
        elapsed_s=work.elapsed_s[rows],
        indicated_degc=work.temps.degc[rows],
        emissivity=_beside(work, "emissivity", work.asked.statements.emissivity, 1.0)[rows],
        distance_m=_beside(work, "distance", work.asked.statements.distance_m, work.asked.plan.metres)[rows],
    )


def _case(work: _Work, index: int, air: Air, record: LogRecord, columns: tuple[Ints, Ints, Ints]) -> Case:
    axle, spot, case = columns
    own = case == index
    said = work.asked.statements
    key = work.keys[index]
    return Case(
        log=record,
        vehicle=key.vehicle,
        drive=_drive_of(key),
        ambient_degc=air.degc,
        ambient_sigma_k=air.sigma_k,
        ambient_source=air.source,
        parked_known=work.parked[index],
        description=describe(
            said,
            axle_count=int(axle[own].max(initial=1)),
            drum=bool((spot[own] == _DRUM).any()),
            file=work.asked.file,
        )
        if said.said
        else None,
    )


def _beside(work: _Work, role: str, stated: float | None, factor: float) -> Floats:
    """A column beside the readings, such as the emissivity; NaN where nobody said."""
    fill = np.nan if stated is None else stated
    out = np.full(len(work.seen.line), fill)
    cells = next((cells for name, cells in work.seen.extra.items() if name == role), None)
    if cells is not None:
        for row, cell in enumerate(cells):
            value = number(cell, work.decimal)
            if value is not None and value > 0:
                out[row] = value * factor
    return out
