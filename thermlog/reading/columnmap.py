"""A map of the columns in a file of its own, for layouts that no rule understands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, get_args

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.cells import shown, unit_word
from thermlog.reading.dialect import Records
from thermlog.reading.headings import plain_words, read_heading
from thermlog.reading.plan import Plan, TempColumn
from thermlog.reading.rawtext import decode, read_bytes
from thermlog.reading.readoptions import ColumnMap, MapLayout
from thermlog.reading.vocabulary import UNIT_S
from thermlog.words.columns import MAPPED, Role
from thermlog.words.errors import LogRefusedError

_LAYOUTS: tuple[MapLayout, ...] = get_args(MapLayout)
_SECTIONS = ("columns", "wheels", "rounds", "positions", "units")


class MappedPlan(Struct, frozen=True, kw_only=True):
    """A plan made from a column map, and the row of its headings; None if the log has none."""

    plan: Plan
    index: int | None


def load_column_map(path: str) -> ColumnMap:
    """Column map from a TOML file.

    Parameters
    ----------
    path : str
        File as `column_map_template` writes it.

    Raises
    ------
    LogRefusedError
        The file is missing, no TOML, or says something a map cannot say.
    """
    import tomllib

    text = decode(read_bytes(path), file=path).text
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        problem = f"not a TOML file ({fault}); start from the map that `thermlog inspect` prints"
        raise LogRefusedError(problem, code="column_map", file=path) from None
    return _checked(raw, path)


def _checked(raw: Mapping[str, Any], path: str) -> ColumnMap:
    for key in raw:
        if key not in {"layout", "header_line", *_SECTIONS}:
            known = ", ".join(("layout", "header_line", *(f"[{name}]" for name in _SECTIONS)))
            raise _bad(path, key, str(raw[key]), f"not known; a column map has {known}")
    layout, header_line = raw.get("layout", "long"), raw.get("header_line")
    if layout not in _LAYOUTS:
        raise _bad(path, "layout", str(layout), f"write one of: {', '.join(_LAYOUTS)}")
    if header_line is not None and (not isinstance(header_line, int) or not 0 <= header_line <= 10_000):
        raise _bad(
            path, "header_line", str(header_line), "write a line number, or 0 if the log has no headings"
        )
    units = _texts(raw, "units", path)
    return _complete(
        ColumnMap(
            layout=layout,
            header_line=header_line,
            columns=_columns(raw, path),
            wheels=_texts(raw, "wheels", path),
            rounds=_texts(raw, "rounds", path),
            positions=_texts(raw, "positions", path),
            unit=_unit(units, path),
            time_unit=_time_unit(units, path),
        ),
        path,
    )


def _bad(path: str, column: str, value: str, problem: str) -> LogRefusedError:
    return LogRefusedError(problem, code="column_map", file=path, column=column, value=shown(value))


def _texts(raw: Mapping[str, Any], section: str, path: str) -> dict[str, str]:
    table = raw.get(section, {})
    if not isinstance(table, dict):
        raise _bad(path, section, str(table), f"write it as a table headed [{section}]")
    for key, value in table.items():
        if not isinstance(value, (str, int, float)):
            raise _bad(path, f"[{section}] {key}", str(value), "write a text in quotes")
    return {str(key): str(value) for key, value in table.items()}


def _columns(raw: Mapping[str, Any], path: str) -> dict[str, str | int]:
    texts = _texts(raw, "columns", path)
    for key, value in texts.items():
        if key not in MAPPED:
            raise _bad(path, f"[columns] {key}", value, f"write one of: {', '.join(MAPPED)}")
    return {key: raw["columns"][key] for key in texts}


def _unit(units: Mapping[str, str], path: str) -> Any:
    text = units.get("temperature")
    unit = unit_word(text) if text else None
    if text and unit is None:
        raise _bad(path, "[units] temperature", text, "write C, F or K")
    return unit


def _time_unit(units: Mapping[str, str], path: str) -> Any:
    text = units.get("time")
    if text and text not in UNIT_S:
        raise _bad(path, "[units] time", text, f"write one of: {', '.join(UNIT_S)}")
    return text or None


def _complete(column_map: ColumnMap, path: str) -> ColumnMap:
    """Refuse a map that leaves out what its layout needs."""
    has = column_map.columns.keys()
    placed = "position" in has or {"axle", "side"} <= has
    lacks = ""
    if column_map.layout == "long" and not ("temperature" in has and placed):
        lacks = "[columns] must name temperature, and position (or axle and side)"
    elif column_map.layout == "wide" and not column_map.wheels:
        lacks = "[wheels] must name the column of each wheel"
    elif column_map.layout == "rounds" and not (placed and column_map.rounds):
        lacks = "[columns] must name position, and [rounds] the column of each round"
    if lacks:
        raise _bad(path, "layout", column_map.layout, lacks)
    return column_map


def plan_from_map(sample: Records, column_map: ColumnMap, *, file: str) -> MappedPlan:
    """Plan of a table from the user's map.

    Parameters
    ----------
    sample : Records
        First rows of the log.
    column_map : ColumnMap
    file : str
        For messages.

    Returns
    -------
    MappedPlan
        Without layout if these rows (cut at a wrong delimiter) do not hold the columns named.

    Raises
    ------
    LogRefusedError
        The line of headings named in the map does not exist.
    """
    index = _heading_row(sample, column_map, file)
    first = next((k for k, row in enumerate(sample.rows) if any(row)), 0)
    row = sample.rows[first if index is None else index] if sample.rows else []
    names = tuple(
        f"column {k + 1}" if index is None or not cell.strip() else cell.strip() for k, cell in enumerate(row)
    )
    return MappedPlan(plan=_fill(column_map, names), index=index)


def _heading_row(sample: Records, column_map: ColumnMap, file: str) -> int | None:
    wanted = [*column_map.columns.values(), *column_map.wheels, *column_map.rounds]
    if column_map.header_line == 0:
        return None
    if column_map.header_line is not None:
        for index, line in enumerate(sample.lines):
            if line == column_map.header_line and index < len(sample.rows):
                return index
        problem = (
            f"the column map says header_line = {column_map.header_line}, but no such line starts this log"
        )
        raise LogRefusedError(problem, code="column_map", file=file)
    names = {plain_words(str(name)) for name in wanted if _as_number(name) is None}
    hits = [len(names & {plain_words(cell) for cell in row}) for row in sample.rows]
    return (
        hits.index(max(hits))
        if hits and max(hits) > 0
        else next((k for k, r in enumerate(sample.rows) if any(r)), 0)
    )


def _as_number(name: str | int) -> int | None:
    text = str(name)
    return int(text) if text.isascii() and text.isdigit() else None


def _fill(column_map: ColumnMap, names: tuple[str, ...]) -> Plan:
    plain = [plain_words(name) for name in names]
    plan = Plan(layout=None, width=len(names), names=names, time_unit=column_map.time_unit)

    def find(name: str | int) -> int:
        if plain_words(str(name)) in plain:
            return plain.index(plain_words(str(name)))
        count = _as_number(name)
        return count - 1 if count is not None and 1 <= count <= len(names) else -1

    places = {role: find(name) for role, name in column_map.columns.items()}
    cells = {name: find(name) for name in _temperature_columns(column_map)}
    absent = [str(column_map.columns[role]) for role, k in places.items() if k < 0]
    absent += [name for name, k in cells.items() if k < 0]
    if absent:
        return replace(
            plan, missing=f'the column map names column "{absent[0]}", which the log does not have'
        )
    temps = tuple(
        TempColumn(
            index=k,
            name=names[k],
            unit=column_map.unit or read_heading(names[k]).unit,
            wheel=column_map.wheels.get(name, ""),
            moment=column_map.rounds.get(name) or None,
        )
        for name, k in cells.items()
    )
    index: dict[Role, int] = {_role(name): k for name, k in places.items() if name != "temperature"}
    metres = read_heading(names[index["distance"]]).metres if "distance" in index else None
    return replace(
        plan,
        layout=column_map.layout,
        temps=temps,
        index=index,
        metres=metres or 1.0,
        score=len(index) + len(temps),
    )


def _role(name: str) -> Role:
    return next(role for role in MAPPED if role == name)


def _temperature_columns(column_map: ColumnMap) -> Sequence[str]:
    if column_map.layout == "long":
        return [str(column_map.columns["temperature"])]
    return list(column_map.wheels if column_map.layout == "wide" else column_map.rounds)


def column_map_template(
    header: Sequence[str], plan: Plan, *, header_line: int | None, positions: Sequence[str] = ()
) -> str:
    """A column map ready to edit for a log whose columns were not understood.

    Parameters
    ----------
    header : sequence of str
        Cells of the row taken for the headings.
    plan : Plan
        What was understood of them.
    header_line : int or None
        Line of that row; None leaves it to the names.
    positions : sequence of str
        Position words of the log that no rule knows.

    Returns
    -------
    str
        TOML text with comments; `load_column_map` reads it once the question marks are filled in.
    """
    known = {role: plan.names[k] for role, k in plan.index.items() if k < len(plan.names)}
    if len(plan.temps) == 1:
        known["temperature"] = plan.temps[0].name
    wanted: tuple[Role, ...] = ("time", "position", "temperature")
    rows = [f"{role} = {_quoted(known.get(role, '?'))}" for role in wanted]
    rows += [f"{role} = {_quoted(name)}" for role, name in known.items() if role not in wanted]
    listed = [f"#   {k + 1}: {shown(cell, 60)}" for k, cell in enumerate(header[:40])]
    line = (
        ""
        if header_line is None
        else f"header_line = {header_line}        # line of the headings; 0 if none\n"
    )
    words = "".join(f'{_quoted(shown(word, 40))} = "?"\n' for word in positions[:60])
    return _TEMPLATE.format(
        columns="\n".join(listed),
        header_line=line,
        rows="\n".join(rows),
        unit=plan.temps[0].unit if plan.temps and plan.temps[0].unit else "?",
        time_unit=f'time = "{plan.time_unit}"' if plan.time_unit else _TIME_UNIT_EXAMPLE,
        positions=f"[positions]            # own words = words thermlog knows\n{words}"
        if words
        else _EXAMPLE,
    )


def _quoted(text: str) -> str:
    """TOML basic string."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


_TEMPLATE = """\
# Column map for thermlog: fill in the question marks, save it as map.toml, then add --columns map.toml
# Columns found (name them below by heading or by number):
{columns}
layout = "long"        # long: a row a reading; wide: a column a wheel; rounds: a column a round
{header_line}
[columns]
{rows}

[units]
temperature = "{unit}"      # C, F or K
{time_unit}

# [wheels]             # layout wide: column = wheel
# "3" = "front left"

# [rounds]             # layout rounds: column = time of the round, "" if unknown
# "3" = "0"

{positions}"""
_TIME_UNIT_EXAMPLE = '# time = "s"           # s, min or h, for a column of plain numbers'
_EXAMPLE = """\
# [positions]          # the log's own position words = words thermlog knows
# "11" = "1L"
"""
