"""What stands above the rows of small logs with nothing to decide: read once for all that state the same.

Whatever may change how rows are read, and whatever may be more than a statement, leaves a log to the careful
reader.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from msgspec import Struct

from thermlog.reading.air import Air, air_notes, stated_air
from thermlog.reading.columns import plan_columns
from thermlog.reading.description import DESCRIBING_KEYS
from thermlog.reading.files.comments import Comment, take_comments
from thermlog.reading.plan import Plan
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.remarks.plainsaid import says_no_more
from thermlog.reading.scale import Asked
from thermlog.reading.severalsaid import each_said
from thermlog.reading.statements import read_statements
from thermlog.reading.taken import taken_of
from thermlog.reading.vocabulary import KEYS, Key, TimeUnit
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular
from thermlog.words.tables import Taken
from thermlog.words.units import Unit

# What a log may state without changing how its rows are read.
_BESIDE: frozenset[Key] = DESCRIBING_KEYS | {
    "ambient", "vehicle", "drive", "date", "started", "by", "gun", "odometer", "label"
}  # fmt: skip
_ROLES = frozenset({"time", "position"}), frozenset({"time", "position", "spot"})
# Most logs of a depot state the same but for the name of the vehicle. With a sign in its place that stands in
# no plain log, what they state is one text and read once.
_STATED = regular(r"^# ([A-Za-z ]+): ([0-9A-Za-z](?:[0-9A-Za-z ._-]{0,60}[0-9A-Za-z])?)$", re.MULTILINE)
_SOME_VEHICLE = "§"
_NAME_WORDS = 2  # of a vehicle; more may say what was seen: "van 7 RR smoking"


class PlainTable(Struct, frozen=True, kw_only=True, eq=False):
    """The plan of a table of times, wheels, temperatures and perhaps spots, with the units that it states."""

    heading: str
    plan: Plan
    time_unit: TimeUnit
    unit: Unit


class AboveRows(Struct, frozen=True, kw_only=True, eq=False):
    """What stands above the rows of many logs alike; `line` is that of the first row."""

    table: PlainTable
    asked: Asked
    line: int
    air: Air
    air_notes: tuple[str, ...]
    taken: Taken | None


def without_vehicle(head: str) -> tuple[str, str | None]:
    """What stands above a heading, with a sign in place of the vehicle; and the vehicle, if it is seen."""
    stated = _STATED.finditer(head)
    found = next((one for one in stated if KEYS.get(one[1].lower()) == "vehicle"), None)
    if found is None or len(found[2].split()) > _NAME_WORDS:
        return head, None
    return f"{head[: found.start(2)]}{_SOME_VEHICLE}{head[found.end(2) :]}", found[2]


@lru_cache(maxsize=256)
def above_rows(head: str, heading: str) -> AboveRows | None:
    """What stands above the rows; None if some of it is no comment, or may change how rows are read."""
    table, lines = _table_of(heading), head.split("\n")[:-1]
    if table is None or not all(line.startswith("#") for line in lines):
        return None
    row, unit = len(lines) + 2, table.plan.temps[0].unit
    comments = each_said(take_comments(lines, head))
    if _says_more(comments):
        return None
    try:  # what is refused here the careful reader refuses, too, and says so
        said = read_statements(comments, file="")
        asked = Asked(file="", plan=table.plan, statements=said, options=ReadOptions())
        notes = tuple(air_notes(asked, unit))
    except LogRefusedError:
        return None
    if not said.said.keys() <= _BESIDE or said.seen or said.taken_back:
        return None
    air, taken = stated_air(said, asked.options, unit), taken_of(said.said, {}, None, None)
    return AboveRows(table=table, asked=asked, line=row, air=air, air_notes=notes, taken=taken)


def _says_more(comments: Iterable[Comment]) -> bool:
    """True where a comment says anything of the vehicle that it does not state; most plainly do not."""
    left = [one for one in comments if not (one.text.endswith(_SOME_VEHICLE) or says_no_more(one.text))]
    if not left:
        return False
    from thermlog.reading.beheld import told_apart  # with a dozen modules behind it
    from thermlog.reading.spottitles import titled_spot

    return bool(told_apart(left)[1]) or any(titled_spot(one.text) is not None for one in left)


@lru_cache(maxsize=256)
def _table_of(heading: str) -> PlainTable | None:
    """Plan of a table of times, wheels, temperatures and perhaps spots, in stated units; None for others."""
    plan = plan_columns(tuple(heading.split(",")))
    if plan.layout != "long" or plan.index.keys() not in _ROLES or plan.width != len(plan.index) + 1:
        return None
    special = plan.of_day or plan.digits or plan.countdown or plan.strange_time or plan.time_parts
    time_unit, temp = plan.time_unit, plan.temps[0]
    if special or time_unit is None or temp.unit is None or temp.factor != 1.0 or temp.spot is not None:
        return None
    return PlainTable(heading=heading, plan=plan, time_unit=time_unit, unit=temp.unit)
