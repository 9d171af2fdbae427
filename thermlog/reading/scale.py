"""Decimal mark and temperature unit of a log: from what the log says or the user, never guessed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
from msgspec import Struct, field

from thermlog.reading.cells import DecimalMark, count_words, decimal_of, measured, number, shown, unit_word
from thermlog.reading.observations import Observations
from thermlog.reading.overrides import UNIT_WORDS, StatedUnit, settle_unit
from thermlog.reading.plan import Plan
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.statements import Statements
from thermlog.words.columns import FIGURES, Role
from thermlog.words.errors import LogRefusedError, SetAsideCode
from thermlog.words.regular import regular
from thermlog.words.tables import Floats
from thermlog.words.units import UNITS, Unit, to_degc

_BELOW_AIR_K = 10.0  # a wheel reads no colder than the air but for the gun's error; wide: no published bound


class Temperatures(Struct, kw_only=True, eq=False):
    """Temperatures of all readings.

    Attributes
    ----------
    degc : float array (rows,)
        NaN where there is a problem [°C].
    problems : dict
        Row -> why the cell holds no reading, for programs and for people.
    unit_words : str
        Unit for people, such as ``"°C"`` or ``"°C, °F (stated in each cell)"``.
    base : Unit or None
        Unit of a bare number in this file; None if there is none.
    units : list of Unit
        Unit of each reading, where the log states more than one.
    notes : list of str
    """

    degc: Floats
    problems: dict[int, tuple[SetAsideCode, str]] = field(default_factory=dict)
    unit_words: str = ""
    base: Unit | None = None
    units: list[Unit] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


class Asked(Struct, kw_only=True):
    """What the file around the readings says: its plan, its statements, the user's options."""

    file: str
    plan: Plan
    statements: Statements
    options: ReadOptions


def decimal_mark(seen: Observations, asked: Asked) -> DecimalMark:
    """Decimal mark of the file.

    Raises
    ------
    LogRefusedError
        The cells use both marks.
    """
    stated = asked.options.decimal or asked.statements.decimal
    if stated is not None:
        return stated
    times = seen.time or []
    beside = [cell for role in FIGURES for cell in seen.extra.get(role, ())]
    mark: DecimalMark | Literal["both"] | None
    if seen.numbers is not None and "," not in "".join([*times, *beside]):
        return "."
    plain_times = [cell for cell in times if number(cell, ".") is not None or number(cell, ",") is not None]
    mark = decimal_of([*seen.temp, *beside])
    if mark is not None and all(map(_maybe_thousands, plain_times)):
        plain_times = []
    if mark == "," and all(map(_DOTTED_CLOCK.fullmatch, plain_times)):
        plain_times = []
    mark = decimal_of([*seen.temp, *plain_times, *beside])
    if mark == "both":
        raise _both_marks(seen, asked)
    return mark or "."


_THOUSANDS = regular(r"[1-9]\d{0,2}(?:[.,]\d{3})+|\d{1,3}")


_DOTTED_CLOCK = regular(r"\s*\d{1,2}\.[0-5]\d\s*")  # 14.03 beside decimal commas


def _maybe_thousands(cell: str) -> bool:
    """True for 1,010 and for 980: such times say nothing of the decimal mark."""
    return _THOUSANDS.fullmatch(cell.strip()) is not None


def _both_marks(seen: Observations, asked: Asked) -> LogRefusedError:
    """Refusal that shows the first cell with a decimal comma."""
    problem = "decimal comma here and decimal point elsewhere; use one mark, or say which with --decimal"
    columns: dict[Role, Sequence[str]] = {"temperature": seen.temp, "time": seen.time or ()}
    columns |= {role: seen.extra[role] for role in FIGURES if role in seen.extra}
    for role, cells in columns.items():
        for row, cell in enumerate(cells):
            if decimal_of([cell]) == ",":
                name = temp_name(seen, asked.plan, row) if role == "temperature" else role
                line = seen.line[row]
                return LogRefusedError(
                    problem, code="decimal_mark", file=asked.file, line=line, column=name, value=shown(cell)
                )
    return LogRefusedError(problem, code="decimal_mark", file=asked.file)


def temp_name(seen: Observations, plan: Plan, row: int) -> str:
    """Name of the column a reading stands in."""
    return plan.temps[seen.which[row] if seen.which is not None else 0].name


def temperatures(
    seen: Observations, asked: Asked, decimal: DecimalMark, air_degc: float | None
) -> Temperatures:
    """Temperatures of all readings in degrees Celsius.

    Parameters
    ----------
    seen : Observations
    asked : Asked
    decimal : {".", ","}
    air_degc : float or None
        Air temperature where the log or the user states it with its unit [°C].

    Raises
    ------
    LogRefusedError
        No unit is stated and the readings leave more than one possible, or two units are stated.
    """
    if seen.numbers is not None and decimal == ".":
        found = Temperatures(degc=np.array(seen.numbers))
        own: list[Unit | None] | None = None
    else:
        cells = [measured(cell, decimal) for cell in seen.temp]
        found = Temperatures(degc=np.array([cell.value for cell in cells], dtype=np.float64))
        found.problems = {k: (cell.code, cell.problem) for k, cell in enumerate(cells) if cell.problem}
        own = [cell.unit for cell in cells] if any(cell.unit for cell in cells) else None
    if any(temp.factor != 1.0 for temp in asked.plan.temps):
        found.degc *= np.array([asked.plan.temps[k].factor for k in seen.which or [0] * len(seen.temp)])
    own = _unless_overridden(seen, asked, _from_unit_column(seen, own, found), found)
    if own is None and (unit := _one_unit(asked)):
        _convert_all(found, unit)
        return found
    _convert_each(found, seen, own, asked, air_degc)
    return found


def _from_unit_column(
    seen: Observations, own: list[Unit | None] | None, found: Temperatures
) -> list[Unit | None] | None:
    """Units row by row, from a column of units under those written in the cells."""
    if "unit" not in seen.extra:
        return own
    units = [unit_word(cell) for cell in seen.extra["unit"]]
    for k, (unit, cell) in enumerate(zip(units, seen.extra["unit"], strict=True)):
        if unit is None and cell.strip() and k not in found.problems:
            problem = f'unit "{shown(cell.strip())}" is not a temperature unit; write C, F or K'
            found.problems[k] = ("unit", problem)
    if own is None:
        return units if any(units) else None
    return [written or unit for written, unit in zip(own, units, strict=True)]


def _unless_overridden(
    seen: Observations, asked: Asked, own: list[Unit | None] | None, found: Temperatures
) -> list[Unit | None] | None:
    """Units of cells, held against the option; None where it overrides them."""
    if own is None or asked.options.unit is None:
        return own
    places = (
        StatedUnit(
            line=seen.line[k], column=temp_name(seen, asked.plan, k), value=shown(seen.temp[k]), unit=unit
        )
        for k, unit in enumerate(own)
        if unit is not None
    )
    notes = settle_unit(asked.options, places, file=asked.file)
    found.notes += notes
    return None if notes else own


def _one_unit(asked: Asked) -> Unit | None:
    """The unit of every bare number in the file, if it is stated."""
    if asked.options.unit is not None:
        return asked.options.unit
    temps, written = asked.plan.temps, asked.statements.unit
    if len(temps) == 1 and written is None:
        return temps[0].unit
    stated = asked.plan.units
    if written is not None and stated - {written}:
        said = asked.statements.said["unit"]
        other = UNIT_WORDS[next(iter(stated - {written}))]
        problem = f"a heading states {other}; correct one, or say --unit with --override unit"
        raise LogRefusedError(
            problem,
            code="unit_contradicted",
            file=asked.file,
            line=said.line,
            column=f"# {said.key}",
            value=shown(said.text),
        )
    if written is not None:
        return written
    return next(iter(stated)) if len(stated) == 1 and all(temp.unit for temp in temps) else None


def _convert_all(found: Temperatures, unit: Unit) -> None:
    found.degc = to_degc(found.degc, unit)
    found.unit_words, found.base = UNIT_WORDS[unit], unit


def _convert_each(
    found: Temperatures,
    seen: Observations,
    own: list[Unit | None] | None,
    asked: Asked,
    air_degc: float | None,
) -> None:
    """Convert reading by reading: unit of the cell or row, of its column, of the file."""
    whole = _one_unit(asked)
    headings = [asked.options.unit or temp.unit or whole for temp in asked.plan.temps]
    which = seen.which if seen.which is not None else [0] * len(seen.temp)
    units: list[Unit | None] = [
        (own[k] if own is not None else None) or headings[column] for k, column in enumerate(which)
    ]
    stated = {unit for unit in units if unit is not None}
    if not stated:
        _convert_all(found, _by_plausibility(found, seen, asked, air_degc))
        return
    bare = [k for k, unit in enumerate(units) if unit is None and k not in found.problems]
    if bare:
        _settle_bare(found, seen, asked, stated, bare)
    only = next(iter(stated))
    each = [unit or only for unit in units]
    found.degc, found.units = _by_unit(found.degc, each), each if len(stated) > 1 else []
    found.base = whole or (only if len(stated) == 1 else None)
    names = ", ".join(UNIT_WORDS[unit] for unit in UNITS if unit in stated)
    found.unit_words = names if len(stated) == 1 else f"{names} (as stated beside each reading)"


def _settle_bare(
    found: Temperatures, seen: Observations, asked: Asked, stated: set[Unit], bare: list[int]
) -> None:
    """Bare numbers beside numbers with a unit: one unit may stand for all, two may not."""
    if len(stated) > 1:
        problem = "no unit here, and the log states more than one elsewhere; write one beside every reading"
        raise _no_unit(problem, seen, asked, bare[0])
    unit = next(iter(stated))
    readings = count_words(len(bare), "reading")
    found.notes.append(f"{readings} without a unit taken as {UNIT_WORDS[unit]}, the only unit in the log")


def _by_unit(values: Floats, units: Sequence[Unit]) -> Floats:
    names = np.array(units)
    out = values.copy()
    for unit in UNITS:
        pick = names == unit
        out[pick] = to_degc(values[pick], unit)
    return out


def _by_plausibility(found: Temperatures, seen: Observations, asked: Asked, air_degc: float | None) -> Unit:
    """The unit nobody stated, if the numbers leave one only; a note says why."""
    values = found.degc[np.isfinite(found.degc)]
    if not values.size:
        return "C"  # no number at all: nothing is converted
    low, high = float(values.min()), float(values.max())
    said = asked.statements.ambient
    if said is not None and said.unit is not None and _mostly(values, said.unit, asked.options, air_degc):
        unit_words = UNIT_WORDS[said.unit]
        found.notes.append(f"no unit at the readings; taken as {unit_words}, in which the ambient is stated")
        return said.unit
    _refuse_culprit(found, seen, asked, air_degc)
    possible = [unit for unit in UNITS if _possible(low, high, unit, asked.options, air_degc)]
    if len(possible) == 1:
        others = " and ".join(UNIT_WORDS[unit] for unit in UNITS if unit not in possible)
        why = "" if air_degc is None else f" beside air at {air_degc:.4g} °C"
        found.notes.append(
            f"no unit stated; taken as {UNIT_WORDS[possible[0]]}, "
            f"because {low:.4g} to {high:.4g} is impossible in {others}{why}"
        )
        return possible[0]
    first = next(k for k in range(len(seen.temp)) if math.isfinite(found.degc[k]))
    problem = "no temperature unit is stated; add --unit C (or F, K), or write it in the heading, like temp_c"
    raise _no_unit(problem, seen, asked, first)


def _refuse_culprit(found: Temperatures, seen: Observations, asked: Asked, air_degc: float | None) -> None:
    """Refuse the few values that fit no unit, or not that of the air, where most others do: mistyped.

    Raises
    ------
    LogRefusedError
        There are such; it names the first.
    """
    said = asked.statements.ambient
    units = UNITS if said is None or said.unit is None else (said.unit,)
    told = [(k, float(value)) for k, value in enumerate(found.degc) if math.isfinite(value)]
    odd = [k for k, v in told if not any(_possible(v, v, unit, asked.options, air_degc) for unit in units)]
    if odd and 2 * len(odd) < len(told):
        names = " and in ".join(UNIT_WORDS[unit] for unit in units)
        beside = "" if len(units) > 1 else ", the unit of the ambient"
        cure = "correct it, or state the unit of the readings with --unit or in the heading, like temp_c"
        problem = f"impossible for a wheel end in {names}{beside}; {cure}"
        raise _no_unit(problem, seen, asked, odd[0])


def _no_unit(problem: str, seen: Observations, asked: Asked, row: int) -> LogRefusedError:
    name = temp_name(seen, asked.plan, row)
    return LogRefusedError(
        problem,
        code="no_unit",
        file=asked.file,
        line=seen.line[row],
        column=name,
        value=shown(seen.temp[row]),
    )


def _possible(low: float, high: float, unit: Unit, options: ReadOptions, air_degc: float | None) -> bool:
    floor, top = options.limits.lowest_reading_degc, options.limits.highest_reading_degc
    floor = floor if air_degc is None else max(floor, air_degc - _BELOW_AIR_K)
    return to_degc(low, unit) >= floor and to_degc(high, unit) <= top


def _mostly(values: Floats, unit: Unit, options: ReadOptions, air_degc: float | None) -> bool:
    """True if nine of ten values are possible in a unit; the rest may be marks of the gun for no reading."""
    hits = sum(_possible(value, value, unit, options, air_degc) for value in values.tolist())
    return hits >= 0.9 * values.size
