"""Notes as a list: lines that begin with a dot, a dash or their number, and say one reading each in words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from thermlog.reading.between import take_statements
from thermlog.reading.cells import measured, tidy
from thermlog.reading.files.comments import Comment, take_comments
from thermlog.reading.files.dialect import Dialect
from thermlog.reading.files.rawtext import split_lines
from thermlog.reading.locate import Table, preamble
from thermlog.reading.plan import Plan, TempColumn
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.severalsaid import each_said
from thermlog.words.regular import regular

_BULLET = regular(r"^\s*(?:[-–—*•·◦▪‣→☐☑✓✔>]|\d{1,2}[.)])\s+")
# A time of day, with the word before it that says so.
_TIME = regular(
    r"(?<![\d.,])(?:(?<!\w)(?:at|@|um|à|a las?|alle|om|o|kl\.?|ore)\s*)?"
    r"(\d{1,2}[:h]\d{2}(?::\d{2})?(?:\s?(?:uhr|[ap]\.?m\.?)(?!\w))?)(?![\d:])",
    re.IGNORECASE,
)
_EDGES = " \t,;:=–—-@"
_WHEEL_FIRST = regular(
    r"(?P<wheel>.*[^\W_])(?:\s*[:=]\s*|\s+[-–—]\s+|\s*,\s+|\s+)(?P<temp>[+-]?\d{1,3}(?:[.,]\d+)?(?!\d).*)"
)
_TEMP_FIRST = regular(
    r"(?P<temp>[+-]?\d{1,3}(?:[.,]\d+)?\s*\S*?)(?:\s*[:=]\s*|\s+[-–—]\s+|\s+)(?P<wheel>[^\W\d_].*)"
)
_DIGIT = regular(r"\d")
_FEWEST = 4  # readings
_MOST_ELSE = 0.5  # lines with figures that are none, for each reading; more are no list of readings
_TAB = "\t"


class _Reading(Struct, frozen=True, kw_only=True):
    time: str
    wheel: str
    temp: str


def table_of_list(text: str, *, marked: bool) -> Table | None:
    """The table that a list of readings makes; None where a text is none.

    Lines that say no reading stay as they are: they are heard, or set aside by name.

    Parameters
    ----------
    text : str
        Of a log in which no header makes a table.
    marked : bool
        Only readings behind a dot, a dash or a number count.
    """
    lines = split_lines(text)
    comments = take_comments(lines, text)
    bare = [_BULLET.sub("", line, count=1) for line in lines]
    found = {k: one for k, line in enumerate(bare) if (one := _reading(line))}
    left = ["" if k in found else line for k, line in enumerate(bare)]
    comments = each_said([*comments, *take_statements(left)])
    if sum(not marked or bare[k] != lines[k] for k in found) < _FEWEST:
        return None
    if sum(_DIGIT.search(line) is not None for line in left) > _MOST_ELSE * len(found):
        return None
    timed = any(one.time for one in found.values())
    rows = [_row(found[k], timed=timed) if k in found else line for k, line in enumerate(left)]
    return _table(rows, comments, first=min(found), timed=timed)


def _row(one: _Reading, *, timed: bool) -> str:
    return _TAB.join((one.wheel, one.temp, *((one.time,) if timed else ())))


def _reading(line: str) -> _Reading | None:
    """A wheel and a temperature, and a time of day if there is one, that a line says and nothing else."""
    plain = tidy(line)
    before, time, behind = plain, "", ""
    if (told := _TIME.search(plain)) is not None:
        before, time, behind = plain[: told.start()], told[1], plain[told.end() :]
    rest = f"{before.rstrip(_EDGES)} {behind.lstrip(_EDGES)}".strip(_EDGES)
    for pattern in (_WHEEL_FIRST, _TEMP_FIRST):
        said = pattern.fullmatch(rest)
        if said and looks_like_position(said["wheel"]) and _is_temperature(said["temp"]):
            return _Reading(time=time, wheel=said["wheel"], temp=said["temp"])
    return None


def _is_temperature(text: str) -> bool:
    return not measured(text, "," if "," in text else ".").problem


def _table(rows: Sequence[str], comments: Sequence[Comment], *, first: int, timed: bool) -> Table:
    names = ("wheel", "temperature", *(("time",) if timed else ()))
    plan = Plan(
        layout="long",
        width=len(names),
        names=names,
        temps=(TempColumn(index=1, name=names[1]),),
        index={"position": 0, **({"time": 2} if timed else {})},
        notes=(
            f"no header: a list of readings, each line read as {' and '.join(sorted(names, reverse=True))}",
        ),
    )
    stated, above = preamble(rows[:first])
    return Table(
        plan=plan,
        dialect=Dialect(delimiter=_TAB, quoted=False),
        lines=rows,
        records=None,
        start=first,
        comments=(*comments, *stated),
        header=(),
        notes=plan.notes,
        above=tuple(above),
    )
