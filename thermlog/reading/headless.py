"""Columns told by their cells, where the headings do not tell or are missing."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.cells import DecimalMark, measured
from thermlog.reading.columns import plan_columns
from thermlog.reading.files.dialect import Records
from thermlog.reading.headings import read_heading
from thermlog.reading.plan import Plan, TempColumn
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.times.cell import parse_time
from thermlog.words.columns import Role
from thermlog.words.regular import regular

_CLOCK = regular(r"\d{1,2}:\d{2}")
_MOST_WORDS = 0.5  # lines of words for each reading; more are no log
_FEWEST_WHEELS = 2


class Header(Struct, kw_only=True):
    """A header found in a sample of rows.

    Attributes
    ----------
    plan : Plan
    index : int
        Row of its first line in the sample.
    span : int
        Number of rows; 0 if there is no header and the columns were told by their cells.
    agreement : float
        Share of the following rows that have as many cells.
    """

    plan: Plan
    index: int
    span: int
    agreement: float


def told_position(plan: Plan, sample: Records, first: int) -> Plan:
    """A column of unknown name whose cells are all wheel positions is the position column."""
    if not plan.lacks_wheel:
        return plan
    rows = [row for row in sample.rows[first:] if len(row) == plan.width]
    hits = [k for k in plan.unknown if rows and all(looks_like_position(row[k]) for row in rows)]
    if len(hits) != 1:
        return plan
    note = (
        f'column "{plan.names[hits[0]]}" taken as the wheel position, because every cell in it names a wheel'
    )
    rest = tuple(k for k in plan.unknown if k != hits[0])
    index = {**plan.index, "position": hits[0]}
    return replace(
        plan,
        layout="long",
        index=index,
        lack=None,
        unknown=rest,
        notes=(*plan.notes, note),
    )


def plan_told_below(header: tuple[str, ...], sample: Records, first: int) -> Plan:
    """Plan of a header whose column of wheels may have no heading, a strange one, or not even a cell for one.

    Parameters
    ----------
    header : tuple of str
    sample : Records
    first : int
        Index of the first row below the header.
    """
    rows = [row for row in sample.rows[first:] if any(row)]
    header = _from_first_column(header, rows)
    plan = plan_columns(header)
    if plan.layout is not None:
        return plan
    corner = {0} if read_heading(header[0]).role in {"time", "temperature"} else set()  # said of all others
    open_ = [k for k, cell in enumerate(header) if not cell.strip() or k in {*plan.unknown, *corner}]
    hits = [k for k in open_ if _are_wheels([row[k] for row in rows if k < len(row) and row[k].strip()])]
    if len(hits) != 1:
        return plan
    told = plan_columns(tuple("wheel" if k == hits[0] else cell for k, cell in enumerate(header)))
    blank = not header[hits[0]].strip()
    if told.layout != "rounds" and not (blank and told.layout):
        return plan
    name = plan.names[hits[0]]
    what = f"{name}, which has no heading, is" if blank else f'column "{name}" is'
    names = tuple(name if k == hits[0] else told.names[k] for k in range(told.width))
    note = f"{what} taken as the wheel position, because its cells name wheels"
    return _with_units_of(header[hits[0]], replace(told, names=names, notes=(*told.notes, note)))


def _with_units_of(corner: str, plan: Plan) -> Plan:
    """The plan of a table with the units that the words in its corner state, where nothing else does."""
    said = read_heading(corner)
    temps = tuple(replace(temp, unit=temp.unit or said.unit) for temp in plan.temps)
    timed = any(temp.moment is not None for temp in temps)
    return replace(plan, temps=temps, time_unit=plan.time_unit or (said.time_unit if timed else None))


def _from_first_column(header: tuple[str, ...], rows: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """The header; with an empty cell first where spaces between cells swallowed the one in the corner.

    Its cells all are wheels over rows that begin with a time, or times over rows that begin with a wheel,
    and every row has one cell more.
    """
    longer = bool(rows) and all(len(row) == len(header) + 1 for row in rows)
    if not longer or not all(map(str.strip, header)):
        return header
    first, roles = [row[0] for row in rows], {read_heading(cell).role for cell in header}
    corner = (roles == {"moment"} and _are_wheels(first)) or (roles == {"wheel"} and are_times(first))
    return ("", *header) if corner else header


def are_times(cells: Sequence[str]) -> bool:
    """True where every cell is a time whatever stands over it, as a bare number is not."""
    read = [parse_time(cell) for cell in cells]
    return bool(read) and all(cell is not None and cell.style != "number" for cell in read)


def _are_wheels(cells: Sequence[str]) -> bool:
    """True if two cells or more name wheels, and most of all do: a row of the air may stand among them."""
    wheels = sum(map(looks_like_position, cells))
    return wheels >= _FEWEST_WHEELS and 2 * wheels > len(cells)


def told_by_cells(sample: Records) -> Header | None:
    """Columns of a table without header, if its cells leave one way to read them.

    Parameters
    ----------
    sample : Records
        First rows of the log.
    """
    first = _first_reading(sample)
    filled = [row for row in sample.rows[first:] if any(row)]
    rows = filled[:1] + [row for row in filled[1:] if not _is_words(row)]
    if len(filled) - len(rows) > _MOST_WORDS * len(rows):
        return None
    width = len(rows[0]) if rows else 0
    if width < 3 or len(rows) < 4 or any(len(row) != width for row in rows):
        return None
    columns = list(zip(*rows, strict=True))
    wheels = [k for k in range(width) if all(map(looks_like_position, columns[k]))]
    others = [k for k in range(width) if k not in wheels and any(columns[k])]
    if len(wheels) != 1 or len(others) != 2:
        return None
    time = _time_column(columns, others)
    if time is None:
        return None
    temp = next(k for k in others if k != time)
    return _headless(first, width, {"time": time, "position": wheels[0]}, temp)


def _is_words(row: Sequence[str]) -> bool:
    """True for a line of words among rows of figures: "all good", "RR binds a bit"."""
    return not any(any(map(str.isdigit, cell)) for cell in row) and sum(map(bool, row)) > 0


def _first_reading(sample: Records) -> int:
    """Index of the first row that names a wheel, or that is as wide as the last: words stand before it."""
    filled = [k for k, row in enumerate(sample.rows) if any(row)]
    width = len(sample.rows[filled[-1]]) if filled else 0
    hits = (k for k in filled if len(sample.rows[k]) == width or _names_wheel(sample.rows[k]))
    return next(hits, 0)


def _names_wheel(row: Sequence[str]) -> bool:
    return any(map(looks_like_position, row))


def header_for(rows: Sequence[Sequence[str]], delimiter: str) -> tuple[int, str] | None:
    """Header line that is missing above rows of readings, and the first of them; None if they are none.

    Parameters
    ----------
    rows : sequence of sequence of str
    delimiter : str

    Examples
    --------
    >>> header_for([["Bay 3"], ["14:04:05", "LF", "98"], ["14:04:25", "RF", "101"]], " ")
    (1, 'time wheel temp_c')
    """
    told = [(k, _role_words(row)) for k, row in enumerate(rows)]
    hits = [(k, words) for k, words in told if sorted(words) == ["temp_c", "time", "wheel"]]
    filled = sum(any(row) for row in rows)
    return (hits[0][0], delimiter.join(hits[0][1])) if 2 * len(hits) > filled else None


def _role_words(row: Sequence[str]) -> list[str]:
    """What each cell of a row is by itself: a wheel, a time of day or else a temperature."""
    words = []
    for cell in filter(str.strip, row):
        if looks_like_position(cell):
            words.append("wheel")
        elif _CLOCK.search(cell):
            words.append("time")
        else:
            words.append("other" if measured(cell, _mark([cell])).problem else "temp_c")
    return words


def _headless(first: int, width: int, index: dict[Role, int], temp: int) -> Header:
    names = tuple(f"column {k + 1}" for k in range(width))
    note = (
        f"no header: column {index['time'] + 1} taken as the time, "
        f"column {index['position'] + 1} as the wheel, column {temp + 1} as the temperature"
    )
    plan = Plan(
        layout="long",
        width=width,
        names=names,
        temps=(TempColumn(index=temp, name=names[temp]),),
        index={"time": index["time"], "position": index["position"]},
        notes=(note,),
        score=3,
    )
    return Header(plan=plan, index=first, span=0, agreement=1.0)


def _time_column(columns: Sequence[Sequence[str]], others: Sequence[int]) -> int | None:
    """Of two columns the one that must be the time; None if either could be."""
    clocks = [k for k in others if all(_CLOCK.search(cell) for cell in columns[k])]
    temps = [k for k in others if all(not measured(cell, _mark(columns[k])).problem for cell in columns[k])]
    if len(clocks) == 1 and len(temps) == 1 and clocks != temps:
        return clocks[0]
    if len(temps) != 2:
        return None
    with_unit = [k for k in temps if all(measured(cell, _mark(columns[k])).unit for cell in columns[k])]
    if len(with_unit) == 1:
        return next(k for k in temps if k != with_unit[0])
    rising = [
        k for k in temps if _never_falls([measured(cell, _mark(columns[k])).value for cell in columns[k]])
    ]
    return rising[0] if len(rising) == 1 else None


def _mark(cells: Sequence[str]) -> DecimalMark:
    return "," if any("," in cell for cell in cells) else "."


def _never_falls(values: Sequence[float]) -> bool:
    """True for times; a plain count of rows is no time."""
    steps = [b - a for a, b in pairwise(values)]
    counting = values[0] in {0, 1} and all(step == 1 for step in steps)
    return all(step >= 0 for step in steps) and values[-1] > values[0] and not counting
