"""A map of the columns in a file of its own, for layouts that no rule understands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal, TypeAlias, get_args

from msgspec import Meta, Struct, field
from msgspec.structs import replace

from thermlog.reading.cells import shown, unit_word
from thermlog.reading.files.dialect import Records
from thermlog.reading.files.rawtext import decode, read_bytes
from thermlog.reading.headings import plain_words, read_heading
from thermlog.reading.plan import Plan, TempColumn
from thermlog.reading.readoptions import ColumnMap, MapLayout
from thermlog.reading.vocabulary import UNIT_S, TimeUnit
from thermlog.words.columns import MAPPED, Role
from thermlog.words.errors import LogRefusedError
from thermlog.words.tomlrecord import Misfit, Refusal, cure, record_of

_LINE = "write a line number, or 0 if the log has no headings"
_Text: TypeAlias = Annotated[str | int | float, cure("write a text in quotes")]


class _UnitsTable(Struct, kw_only=True, forbid_unknown_fields=True):
    """Table [units] of a column map; empty where nothing is said."""

    temperature: str = ""
    time: Annotated[Literal["", TimeUnit], cure(f"write one of: {', '.join(UNIT_S)}")] = ""


class _MapFile(Struct, kw_only=True, forbid_unknown_fields=True):
    """A column map as it is written."""

    layout: Annotated[MapLayout, cure(f"write one of: {', '.join(get_args(MapLayout))}")] = "long"
    header_line: Annotated[int, Meta(ge=0, le=10_000), cure(_LINE)] | None = None
    columns: dict[str, Annotated[str | int, cure("write a text in quotes, or the number of the column")]] = {}
    wheels: dict[str, _Text] = {}
    rounds: dict[str, _Text] = {}
    positions: dict[str, _Text] = {}
    units: _UnitsTable = field(default_factory=_UnitsTable)


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
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        problem = f"not a TOML file ({fault}); start from the map that `thermlog inspect` prints"
        raise LogRefusedError(problem, code="column_map", file=path) from None
    refusal = _refusal(path)
    stated = record_of(table, _MapFile, refusal)
    for key, name in stated.columns.items():
        if key not in MAPPED:
            said = f"write one of: {', '.join(MAPPED)}"
            raise refusal(Misfit(steps=("columns", key), found=name, cure=said))
    unit = unit_word(stated.units.temperature)
    if stated.units.temperature and unit is None:
        steps = ("units", "temperature")
        raise refusal(Misfit(steps=steps, found=stated.units.temperature, cure="write C, F or K"))
    return _complete(
        ColumnMap(
            layout=stated.layout,
            header_line=stated.header_line,
            columns=stated.columns,
            wheels=_texts(stated.wheels),
            rounds=_texts(stated.rounds),
            positions=_texts(stated.positions),
            unit=unit,
            time_unit=stated.units.time or None,
        ),
        refusal,
    )


def _texts(table: Mapping[str, _Text]) -> dict[str, str]:
    return {key: str(value) for key, value in table.items()}


def _refusal(path: str) -> Refusal:
    """Refusals by file, table and key, value found and cure."""

    def refusal(misfit: Misfit) -> LogRefusedError:
        *tables, key = misfit.steps
        place = f"[{tables[0]}] {key}" if tables else str(key)
        problem = f"not known; {misfit.cure}" if misfit.unknown else misfit.cure
        found = shown(str(misfit.found))
        return LogRefusedError(problem, code="column_map", file=path, column=place, value=found)

    return refusal


def _complete(column_map: ColumnMap, refusal: Refusal) -> ColumnMap:
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
        raise refusal(Misfit(steps=("layout",), found=column_map.layout, cure=lacks))
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
        return plan.without(
            "column_map", f'the column map names column "{absent[0]}", which the log does not have'
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
