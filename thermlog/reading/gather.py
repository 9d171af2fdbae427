"""Observations as text to the readings table and the record of what became of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.air import (
    Air,
    refuse_bare_option,
    refuse_stated_no_air,
    stated_air,
)
from thermlog.reading.asidewords import remarks_of_dropped
from thermlog.reading.beheld import said_of_remark
from thermlog.reading.blind import beheld_by_case, blind_by_case, cases_of, stray_rows
from thermlog.reading.caseairs import case_airs
from thermlog.reading.casetimes import impossible_lines
from thermlog.reading.cells import count_words, number, unit_word
from thermlog.reading.columnmap import column_map_template
from thermlog.reading.description import axles_counted, states_vehicle, unreadable, vehicle_described
from thermlog.reading.gathered import Gathered
from thermlog.reading.headings import plain_words
from thermlog.reading.namedaxles import axles_named, axles_told
from thermlog.reading.observations import Observations
from thermlog.reading.odd import MOST_TYPED, none_apart, odd_note, odd_readings
from thermlog.reading.pauses import long_pause
from thermlog.reading.plainly import without_words
from thermlog.reading.scale import Asked, decimal_mark, temperatures
from thermlog.reading.sift import sift
from thermlog.reading.sifted import LogRows, Sifted, StepResult
from thermlog.reading.singletrack import one_wheel_an_axle, single_track
from thermlog.reading.statements import Statements, drive_word, unused_words
from thermlog.reading.swapped import swapped_headings
from thermlog.reading.taken import taken_of
from thermlog.reading.unweighed import unweighed_by_case
from thermlog.reading.wheelcodes import called_here, corners_named, position_rules, wheel_codes
from thermlog.words.columns import MOST, Role
from thermlog.words.errors import LogRefusedError
from thermlog.words.noted import Unweighed
from thermlog.words.sentences import few_of
from thermlog.words.tables import (
    Blind,
    Bools,
    Case,
    Floats,
    Ints,
    LogRecord,
    Odd,
    Readings,
    Seen,
)
from thermlog.words.vehicle import OwnWords

_MOST_NAMED = 6  # columns that are not used
_RUN_WORDS = frozenset({"run", "test", "phase", "prova", "rit"})  # a kind of drive, or merely a count
_Rows: TypeAlias = Ints | slice  # all rows in file order are the common case, and need no copying


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
        Units, times or marks cannot be told, or no reading is usable.
    """
    if not seen.line:
        raise _nothing_seen(seen, asked)
    seen = _with_roles_settled(seen, asked)
    decimal = decimal_mark(seen, asked)
    seen = without_words(seen, decimal)
    refuse_stated_no_air(asked, None)
    temps = temperatures(seen, asked, decimal, stated_air(asked.statements, asked.options, None).degc)
    refuse_bare_option(asked, temps.base)
    codes = wheel_codes(frozenset(seen.position) | {gap.wheel for gap in seen.gaps}, asked)
    code = [codes.of[text] for text in seen.position]
    work = sift(LogRows(seen=seen, asked=asked, decimal=decimal, temps=temps, codes=codes, code=code))
    if len(work.dropped) == len(code):
        raise _nothing_left(work)
    seen = replace(seen, remarks=[*seen.remarks, *remarks_of_dropped(work)])
    return _finish(replace(work, seen=seen), sha256, notes)


def _with_roles_settled(seen: Observations, asked: Asked) -> Observations:
    """Two headings mean different things in different shops; their cells tell which."""
    plan = asked.plan
    if "unit" in plan.index:
        seen = _unit_or_vehicle(seen, plan.names[plan.index["unit"]])
    if "drive" in plan.index and plain_words(plan.names[plan.index["drive"]]) in _RUN_WORDS:
        seen = _drive_or_count(seen, plan.names[plan.index["drive"]])
    if plan.unknown:
        names = [f'"{plan.names[k]}"' for k in plan.unknown]
        seen = seen.noting(f"{count_words(len(names), 'column')} not used: {few_of(names, _MOST_NAMED)}")
    return seen


def _unit_or_vehicle(seen: Observations, name: str) -> Observations:
    """A truck is called a unit too."""
    cells = seen.extra.get("unit", ())
    if not any(map(str.strip, cells)) or any(map(unit_word, set(cells))):
        return seen
    left = _without(seen, "unit")
    if "vehicle" in seen.extra:
        return left.noting(f'column "{name}" not used: no cell in it is a temperature unit')
    note = f'column "{name}" taken as the vehicle: no cell in it is a temperature unit'
    return replace(left, extra={**left.extra, "vehicle": cells}).noting(note)


def _drive_or_count(seen: Observations, name: str) -> Observations:
    """Runs may be counted only; a count must not take one walk apart."""
    if all(not cell.strip() or drive_word(cell) is not None for cell in set(seen.extra["drive"])):
        return seen
    return _without(seen, "drive").noting(f'column "{name}" not used: its cells are no kinds of drive')


def _without(seen: Observations, role: Role) -> Observations:
    return replace(seen, extra={other: cells for other, cells in seen.extra.items() if other != role})


def _nothing_seen(seen: Observations, asked: Asked) -> LogRefusedError:
    if not seen.set_aside:
        problem = "there are no readings below the header; add one row a reading"
        return LogRefusedError(problem, code="no_readings", file=asked.file)
    first = seen.set_aside[0]
    problem = f"no row fits the header; the first: {first.reason}"
    return LogRefusedError(problem, code=first.code, file=asked.file, line=first.line, value=first.value)


def _nothing_left(work: Sifted) -> LogRefusedError:
    if swapped := swapped_headings(work):
        return swapped
    if refusal := single_track(work):
        return refusal
    first = min(work.dropped.values(), key=lambda one: (one.code == "air", one.line))
    count = len(work.dropped)
    more = one_wheel_an_axle(work)
    more += "" if count == 1 else f" (none of the {count} readings can be used; this is the first)"
    return LogRefusedError(
        first.reason + more,
        code=first.code,
        file=work.asked.file,
        line=first.line,
        column=first.column,
        value=first.value,
        hint=_position_map(work),
    )


def _position_map(work: Sifted) -> str | None:
    """A column map with the wheels to fill in, where the wheels alone stop a log with a row a reading."""
    unknown = sorted(text for text in work.codes.problems if text.strip())
    plan = work.asked.plan
    if not unknown or plan.layout != "long" or "position" not in plan.index:
        return None
    header_line = 0 if plan.names[plan.index["position"]].startswith("column ") else None
    return column_map_template(plan.names, plan, header_line=header_line, positions=unknown)


def _finish(work: Sifted, sha256: str, notes: Sequence[str]) -> Gathered:
    said, cases = work.asked.statements, range(len(work.cases.keys))
    airs = case_airs(work)
    emissivity = _beside(work, "emissivity", said.emissivity, 1.0)
    distance = _beside(work, "distance", said.distance_m, work.asked.plan.metres)
    beheld, unweighed = beheld_by_case(work), unweighed_by_case(work)
    odd = [_odd(work, case) for case in cases]
    steps = (work, airs, emissivity, distance, beheld, unweighed)
    told = (note for step in (work.seen, work.temps, *steps) for note in step.notes)
    strange = (odd_note(one) for own in odd for one in own)
    set_aside = [*(stray for stray, _ in stray_rows(work)), *work.dropped.values()]
    record = LogRecord(
        file=work.asked.file,
        sha256=sha256,
        rows_read=len(work.seen.line) + len(work.seen.set_aside),
        rows_used=len(work.live()),
        set_aside=tuple(sorted(set_aside, key=lambda one: one.line)),
        notes=tuple(dict.fromkeys((*notes, *told, *_unreadable(work), *strange))),
    )
    return Gathered(
        readings=_table(
            work,
            _Told(
                airs=airs.found,
                record=record,
                blind=blind_by_case(work),
                seen=beheld.found,
                unweighed=unweighed.found,
                odd=odd,
                places=corners_named(work.codes, work.asked),
            ),
            (emissivity.found, distance.found),
        ),
        record=record,
        decimal="comma" if work.decimal == "," else "point",
        unit=work.temps.unit_words,
        time=work.times.words,
    )


def _unreadable(work: Sifted) -> Iterator[str]:
    """Notes on what describes a vehicle and cannot be read."""
    if not (work.asked.statements.sections or states_vehicle(work.asked.statements)):
        return
    axles = work.codes.axle[: max(len(work.codes.axle) - 2, 0)]
    for case in range(len(work.cases.keys)):
        unused = unreadable(_statements_of(work, case), axle_count=int(axles.max(initial=1)))
        yield from (f"line {said.line}: {unused_words(said, fault)}" for said, fault in unused.values())


def _statements_of(work: Sifted, case: int) -> Statements:
    """What holds for a case: what is stated at its first reading."""
    return work.asked.statements.within(work.cases.sections[case])


# ---- the table ------------------------------------------------------------------------------------------


class _Told(Struct, kw_only=True):
    """What is said of each case besides its readings."""

    airs: Sequence[Air]
    record: LogRecord
    blind: Sequence[tuple[Blind, ...]]
    seen: Sequence[tuple[Seen, ...]]
    unweighed: Sequence[tuple[Unweighed, ...]]
    odd: Sequence[Sequence[Odd]]
    places: tuple[tuple[str, tuple[str, ...]], ...]


def _table(work: Sifted, told: _Told, beside: tuple[Floats, Floats]) -> Readings:
    count, of_row = len(work.code), work.cases.of_row
    code = np.array(work.code, dtype=np.int64)
    case = np.zeros(count, dtype=np.int64) if of_row is None else np.array(of_row, dtype=np.int64)
    elapsed_s = np.array(work.times.elapsed_s, dtype=np.float64) + 0.0  # no negative zeros
    rows = _rows_in_order(work, case, elapsed_s)
    code, case = code[rows], case[rows]
    axle, spot = work.codes.axle[code], _spot(work, code, rows)
    return Readings(
        cases=tuple(_case(work, k, told, (axle, spot, code), case == k) for k in range(len(work.cases.keys))),
        case=case,
        line=np.array(work.seen.line, dtype=np.int64)[rows],
        axle=axle,
        side=work.codes.side[code],
        spot=spot,
        elapsed_s=elapsed_s[rows],
        indicated_degc=work.temps.degc[rows],
        emissivity=beside[0][rows],
        distance_m=beside[1][rows],
    )


def _rows_in_order(work: Sifted, case: Ints, elapsed_s: Floats) -> _Rows:
    """Used rows by case and time; a log kept wheel by wheel or out of order is sorted."""
    if work.times.rising and not work.dropped:
        return slice(None)
    rows = np.array(work.live(), dtype=np.int64)
    return rows[np.lexsort((elapsed_s[rows], case[rows]))]


def _spot(work: Sifted, code: Ints, rows: _Rows) -> Ints:
    spot = work.codes.spot[code]
    if work.spots is None:
        return spot
    column = np.array(work.spots, dtype=np.int64)[rows]
    return np.where(column < 0, spot, column)


def _case(work: Sifted, index: int, told: _Told, wheels: tuple[Ints, Ints, Ints], own: Bools) -> Case:
    axle, spot, code = wheels
    air = told.airs[index]
    statements, key = _statements_of(work, index), work.cases.keys[index]
    description = vehicle_described(statements, axle=axle[own], spot=spot[own], file=work.asked.file)
    counted = axles_counted(statements)
    named = 0 if "axles" in statements.said else max(axles_named(key.vehicle), _axles_told(work, index))
    return Case(
        log=told.record,
        vehicle=key.vehicle,
        drive=drive_word(key.drive) if key.drive else None,
        ambient_degc=air.degc,
        ambient_sigma_k=air.sigma_k,
        ambient_source=air.source,
        parked_known=work.times.parked[index],
        description=description,
        blind=told.blind[index],
        seen=told.seen[index],
        unweighed=told.unweighed[index],
        taken=taken_of(
            statements.said,
            _columns_about(work, index),
            work.times.start[index],
            work.asked.options.date_order or statements.date_order,
            seen=() if told.seen[index] else work.asked.statements.seen,
            traffic_side=position_rules(work.asked).traffic_side,
        ),
        axles_least=max(int(work.codes.axles_least[code[own]].max(initial=0)), counted, named),
        impossible_pace=impossible_lines(work, index),
        odd=tuple(told.odd[index]),
        pause=long_pause(work, index),
        places=told.places,
        called=_called(work, index),
    )


def _axles_told(work: Sifted, case: int) -> int:
    """The most axles that remarks on a case count."""
    counts = ((one, axles_told(said_of_remark(one.text))) for one in work.seen.remarks)
    return max((count for one, count in counts if count and case in cases_of(work, one.row)), default=0)


def _called(work: Sifted, case: int) -> tuple[OwnWords, ...]:
    """What the rows of a case call its corners, whether or not they count."""
    if not work.codes.called:
        return ()
    own = work.cases.of(case, range(len(work.code)))
    return called_here(work.codes, {work.seen.position[row] for row in own})


def _odd(work: Sifted, case: int) -> Sequence[Odd]:
    """Readings of a case that may be typing errors; a long log is no typed one."""
    if len(work.code) > MOST_TYPED * len(work.cases.keys):
        return ()
    degc = work.temps.degc.tolist()
    if work.cases.of_row is None and not work.dropped and none_apart(degc):
        return ()
    own = {row: degc[row] for row in work.live_of(case)}

    def corner(row: int) -> str:
        return work.codes.corner(work.code[row]) or ""

    return odd_readings(own, corner, work.seen.line, work.temps.base or "C")


def _columns_about(work: Sifted, case: int) -> Mapping[Role, str]:
    """The one value of each column about the taking of a case."""
    found: dict[Role, str] = {}
    for role, cells in work.seen.about.items():
        own = {cells[row].strip() for row in work.cases.of(case, range(len(cells)))}
        if len(own - {""}) == 1:
            found[role] = (own - {""}).pop()
    return found


def _beside(work: Sifted, role: Role, stated: float | None, factor: float) -> StepResult[Floats]:
    """A column beside the readings, such as the emissivity; NaN where nobody said or nothing can be meant."""
    out = np.full(len(work.seen.line), np.nan if stated is None else stated)
    strange = 0
    for row, cell in enumerate(work.seen.extra.get(role, ())):
        value = number(cell, work.decimal)
        if value is not None and 0 < value * factor <= MOST[role]:
            out[row] = value * factor
        elif cell.strip():
            strange += 1
    column, cells = work.column(role), count_words(strange, "cell")
    note = f'{cells} in column "{column}" not used: not above 0 and up to {MOST[role]:g}'
    return StepResult(found=out, notes=[note] if strange else ())
