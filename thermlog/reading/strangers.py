"""Columns of temperatures under a heading nobody knows: their readings must not vanish."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.cells import DecimalMark, Measured, count_words, decimal_of, measured
from thermlog.reading.cellwords import no_wheel_word
from thermlog.reading.headings import read_heading
from thermlog.reading.locate import Table, cells_below
from thermlog.reading.plan import TempColumn
from thermlog.reading.positions.words import tokens_of, word_table
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.plan import Plan
    from thermlog.words.units import Unit

_BRACKETS = regular(r"\s*[(\[].*?[)\]]\s*")
_REPEAT = regular(r"\.\d+$")
_SENSOR = regular(
    r"\b(?:ch(?:annel|an)?|sensor|probe|tc|thermocouple|spare|kanal|f(?:ü|ue)hler|messstelle|voie|sonde|capteur|"
    r"canal|canale|sonda|kana[lł]|czujnik)(?![a-z])",
    re.IGNORECASE,
)
_OF_PLACE = frozenset({"side", "unit", "role", "end", "dual", "axle_word"})
_LEAST_SHARE = 1 / 3  # of the lowest reading of a known wheel; a count or a mark lies lower
_FEWEST = 3  # cells from which numbers in even steps are a count


def with_strange_columns(table: Table) -> Table:
    """The table with each such column taken as a wheel, or as a round, which no rule will know then.

    Only where the headings were not mapped by hand, and a table of rounds only if its rounds have times. The
    cells of the first part of the table decide: temperatures throughout and, unless a word of the heading is
    of a wheel or a trailer, none below a third of the lowest reading of the known wheels, no rise in even
    steps unless the heading states a unit or a sensor; and the heading names no sum and no other quantity.
    A column without heading is one of these, or is named as not used, unless it counts the rows.

    Parameters
    ----------
    table : Table

    Returns
    -------
    Table
        The same if there are none.
    """
    blank = table.plan.unheaded
    if not table.plan.unknown and not blank:
        return table
    rows = table.first_rows()
    named = tuple(k for k in blank if not _only_counts(cells_below(rows, k)))
    plan = replace(table.plan, unknown=tuple(sorted((*table.plan.unknown, *named))))
    table = replace(table, plan=plan)
    if not _takes_more(plan):
        return table
    strange = [k for k in plan.unknown if _holds_readings(plan, rows, k)]
    if not strange:
        return table
    names = ", ".join(f'"{plan.names[k]}"' for k in strange)
    what = "time" if plan.layout == "rounds" else "wheel"
    note = f"{count_words(len(strange), 'column')} of temperatures under no {what} known here: {names}"
    return replace(table, plan=_widened(plan, strange), notes=(*table.notes, note))


def _only_counts(cells: Sequence[str]) -> bool:
    """True for row numbers and empty cells: nobody misses them."""
    values = _values(cells, ".")
    return not cells or (values is not None and {b - a for a, b in pairwise(values)} <= {1.0})


def _takes_more(plan: Plan) -> bool:
    if plan.layout == "rounds":
        return any(temp.moment is not None or temp.time_index is not None for temp in plan.temps)
    return plan.layout in {"wide", "paired"}


def _holds_readings(plan: Plan, rows: Sequence[Sequence[str]], column: int) -> bool:
    named = _names_a_place(plan.names[column])
    other = no_wheel_word(plan.names[column])
    if other and not (named and other == "part"):
        return False
    known = [cell for temp in plan.temps for cell in cells_below(rows, temp.index)]
    own = cells_below(rows, column)
    mark = decimal_of([*known, *own])
    if mark == "both" or not own:
        return False
    if all(measured(cell).code == "over_range" for cell in own):
        return True
    values = _values(own, mark or ".")
    wheels = [cell.value for cell in (measured(cell, mark or ".") for cell in known) if not cell.problem]
    if values is None or not wheels:
        return False
    if named:
        return True
    told = _unit_of(plan.names[column]) is not None or _SENSOR.search(plan.names[column]) is not None
    return min(values) >= _LEAST_SHARE * min(wheels) and (told or not _counts(values))


def _names_a_place(name: str) -> bool:
    """True for several words of which one is of a wheel, an axle or a trailer: the others may be a slip.

    A number or a name of the trailer is none of its wheels.
    """
    tokens, table = tokens_of(_REPEAT.sub("", name)), word_table()
    kinds = {kind for token in tokens for kind, _ in table.words.get(token, ())}
    letters = table.apart.keys() | table.spelled.keys()
    pairs = {"".join(pair) for pair in pairwise(tokens)}  # N/S
    place = not kinds.isdisjoint(_OF_PLACE) or not letters.isdisjoint({*tokens, *pairs})
    return place and len(tokens) > 1 and word_table().name_headings.isdisjoint(tokens)


def _values(cells: Sequence[str], mark: DecimalMark) -> list[float] | None:
    """Temperatures of a column; None if a cell is neither one nor a mark of the gun for none."""
    found: list[Measured] = [measured(cell, mark) for cell in cells]
    if any(one.problem and one.code not in {"over_range", "under_range", "no_value"} for one in found):
        return None
    return [one.value for one in found if not one.problem] or None


def _counts(values: Sequence[float]) -> bool:
    steps = {round(later - sooner, 6) for sooner, later in pairwise(values)}
    return len(values) >= _FEWEST and len(steps) == 1 and min(steps) > 0.0


def _unit_of(name: str) -> Unit | None:
    """Unit that a heading states, also one that a program numbered as a repeat: "RR C.1"."""
    return read_heading(_REPEAT.sub("", name)).unit


def _widened(plan: Plan, strange: Sequence[int]) -> Plan:
    """The plan with these columns among its temperatures, in the order of the table."""
    unit = next(iter(plan.units)) if len(plan.units) == 1 else None
    fresh = []
    for k in strange:
        words = _BRACKETS.sub(" ", plan.names[k]).strip() or plan.names[k]
        unit_here = _unit_of(plan.names[k]) or unit
        column = TempColumn(index=k, name=plan.names[k], unit=unit_here)
        key = "moment" if plan.layout == "rounds" else "wheel"
        fresh.append(replace(column, **{key: words}))
    return replace(
        plan,
        temps=tuple(sorted((*plan.temps, *fresh), key=lambda temp: temp.index)),
        unknown=tuple(k for k in plan.unknown if k not in strange),
    )
