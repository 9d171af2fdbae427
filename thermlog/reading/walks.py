"""Blocks of one vehicle that state another day or parked moment: drives of their own, or one walk."""

from __future__ import annotations

from bisect import bisect
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.reading.statements import WALK_KEYS, contradiction
from thermlog.reading.times.cell import TimeCell, parse_day, parse_time
from thermlog.words.moments import DAY_S

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.reading.observations import Observations
    from thermlog.reading.statements import Said, Statements
    from thermlog.reading.vocabulary import Key

# Common practice, no source:
_CLOCK_FROM_S = 3600.0  # 1:00:00: times with hours begin later on a clock; a watch is started for the walk
_SHORT_CLOCK_FROM_S = 6 * 3600.0  # 6:00: the same of times in two parts, which may be minutes and seconds
_ONE_WALK_S = 1800.0  # a longer pause past midnight is no pause within a walk


_Written: TypeAlias = Literal["dated", "colons", "watch"]


class _Times(Struct, frozen=True, kw_only=True):
    """First and last moment of some readings [s], how they are written, and whether a clock shows so."""

    first: float
    last: float
    style: _Written
    clock: bool


class _Walk(Struct, kw_only=True):
    """Blocks of one drive."""

    said: Statements
    cells: list[str] = field(default_factory=list)


def with_walks(seen: Observations, statements: Statements, *, file: str) -> Observations:
    """The drives of each vehicle numbered that only lines of a day or a parked moment tell apart.

    Parameters
    ----------
    seen : Observations
    statements : Statements
    file : str
        For messages.

    Returns
    -------
    Observations
        The same where there is no more than one; else with `walk` and a note on each.

    Raises
    ------
    LogRefusedError
        Another day or parked moment is stated while the times run on as in one walk.
    """
    if not any(WALK_KEYS & one.said.keys() for _, one in statements.sections):
        return seen
    walks: dict[tuple[str | None, str | None], list[_Walk]] = {}
    numbers: list[int] = []
    notes: list[str] = []
    for said, cells in _blocks(seen, statements):
        known = walks.setdefault((said.vehicle, said.drive), [])
        number = _walk_of(known, said, cells, file)
        if number == len(known):
            known.append(_Walk(said=said))
            if number:
                line = seen.line[len(numbers)]
                notes.append(f"line {line}: another drive begins: another day or parked moment is stated")
        known[number].cells += cells
        numbers += [number] * len(cells)
    return replace(seen, walk=numbers).noting(*notes) if any(numbers) else seen


def _blocks(seen: Observations, statements: Statements) -> Iterator[tuple[Statements, Sequence[str]]]:
    """What holds for each block between lines, and its cells of time; empty where there are none."""
    starts = [0, *(bisect(seen.line, line - 1) for line, _ in statements.sections), len(seen.line)]
    cells = seen.time if seen.time is not None else [""] * len(seen.line)
    told = [statements, *(one for _, one in statements.sections)]
    for said, begin, end in zip(told, starts, starts[1:], strict=False):
        if begin < end:
            yield said, cells[begin:end]


def _walk_of(known: Sequence[_Walk], said: Statements, cells: Sequence[str], file: str) -> int:
    """Number of the walk that a block belongs to; a new one where none agrees."""
    for number in reversed(range(len(known))):
        if not _changed(known[number].said, said):
            return number
    if known and not _apart(known[-1], said, cells, file):
        return len(known) - 1
    return len(known)


def _changed(before: Statements, fresh: Statements) -> set[Key]:
    """Keys of which two blocks state different moments."""
    both = WALK_KEYS & before.said.keys() & fresh.said.keys()
    moments = {key: [_moment(key, one.said[key]) for one in (before, fresh)] for key in both}
    return {key for key, (was, now) in moments.items() if None not in (was, now) and was != now}


def _moment(key: Key, said: Said) -> object:
    """What a line states, however it is written; None for a day that is none."""
    if key == "date":
        return _day(said)
    cell = parse_time(said.text)
    return said.text if cell is None else (cell.style == "number", cell.value, cell.day)


def _day(said: Said) -> int | None:
    stamp = parse_time(said.text)
    day = stamp.day if stamp and stamp.day else parse_day(said.text)
    return None if day is None else day.ordinal("dmy") or day.ordinal("mdy")


def _apart(walk: _Walk, said: Statements, cells: Sequence[str], file: str) -> bool:
    """Whether a block that states another moment is a drive of its own.

    Raises
    ------
    LogRefusedError
        The times do not bear it out.
    """
    changed = _changed(walk.said, said)
    before, fresh = _times(walk.cells), _times(cells)
    if before is None or fresh is None:
        return True  # without times the lines alone tell
    if before.style != fresh.style or (
        "parked" in changed and _stopped_between(walk.said, said, before, fresh)
    ):
        return True
    if "date" in changed and before.style == "dated":
        return not 0 <= fresh.first - before.last <= _ONE_WALK_S
    clock = before.clock or fresh.clock
    if "date" in changed and clock:
        pause_s = _days_between(walk.said, said) * DAY_S + fresh.first - before.last
        return not 0 <= pause_s <= _ONE_WALK_S
    if fresh.first < before.last and not clock:
        return True  # the watch was started again
    key = min(changed)
    raise contradiction(walk.said.said[key], said.said[key], file)


def _days_between(before: Statements, fresh: Statements) -> int:
    return (_day(fresh.said["date"]) or 0) - (_day(before.said["date"]) or 0)


def _stopped_between(walk: Statements, said: Statements, before: _Times, fresh: _Times) -> bool:
    """Whether the vehicle stopped anew after the readings before, and before those that follow."""
    stops = [_times([one.said["parked"].text]) for one in (walk, said)]
    if any(stop is None or stop.style != before.style for stop in stops):
        return False
    first, second = (stop.first for stop in stops if stop is not None)
    if fresh.last < before.first:  # the later drive stands first
        return second <= fresh.first and fresh.last <= first
    return before.last <= second <= fresh.first


def _times(cells: Sequence[str]) -> _Times | None:
    """First and last moment of the cells that are written as most are; None if they are no times."""
    read = [cell for text in cells if (cell := parse_time(text, ".") or parse_time(text, ",")) is not None]
    if not read:
        return None
    styles = [_style(cell) for cell in read]
    style = max(sorted(set(styles)), key=styles.count)
    mine = [cell for cell, own in zip(read, styles, strict=True) if own == style]
    found = [_seconds(cell) for cell in mine]
    short = all(cell.style == "two" for cell in mine)
    clock_from_s = _SHORT_CLOCK_FROM_S if short else _CLOCK_FROM_S
    clock = style == "dated" or (style == "colons" and min(found) >= clock_from_s)
    return _Times(first=min(found), last=max(found), style=style, clock=clock)


def _style(cell: TimeCell) -> _Written:
    if cell.day:
        return "dated"
    return "colons" if cell.style in {"two", "three", "clock"} else "watch"


def _seconds(cell: TimeCell) -> float:
    """Seconds; of 14:03 as hours and minutes, which keeps the order of minutes and seconds too."""
    if cell.day:
        return (cell.day.ordinal("dmy") or cell.day.ordinal("mdy") or 0) * DAY_S + cell.value
    return cell.value * 60 if cell.style == "two" else cell.value
