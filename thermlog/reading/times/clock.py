"""Elapsed time from the time cells of one case, whatever their style; what they do not settle is refused."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.times.cell import TimeCell, parse_day, parse_time
from thermlog.reading.times.column import (
    ClockProblem,
    ElapsedTimes,
    TimeColumn,
    TimedCells,
    TimeHeading,
    Zero,
)
from thermlog.reading.times.face import (
    READ_SOON_S,
    ClockRefusedError,
    ColumnChoice,
    clock_change,
    first_part,
    is_time_of_day,
    past_one_o_clock,
    seconds_of_day,
    unwrap_day,
)
from thermlog.reading.times.hoursapart import hours_in_parts
from thermlog.reading.times.numbers import number_line, quick_numbers
from thermlog.reading.times.pace import likely
from thermlog.reading.times.stamps import stamp_line
from thermlog.reading.times.watch import digits_parked, epoch_times, watch_times
from thermlog.reading.vocabulary import UNIT_NAMES, DateOrder, TimeUnit
from thermlog.words.errors import TroubleCode
from thermlog.words.moments import DAY_S

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from thermlog.reading.times.pace import Walk

_SHORTEST_STAMP = 13  # 2031-05-04T14; a date alone is no time
_PLAIN = TimeHeading()
_HALF_DAY_S = 43200.0
_LONG_STEP_S = 3000.0  # longer steps are looked at for a changed clock


def read_times(
    cells: Sequence[str],
    *,
    unit: TimeUnit | None = None,
    dates: Sequence[str] | None = None,
    parked: str | None = None,
    date_order: DateOrder | None = None,
    decimal: str = ".",
    walk: Callable[[], Walk] | None = None,
    heading: TimeHeading = _PLAIN,
) -> ElapsedTimes:
    """Elapsed seconds from the time cells of one case.

    Parameters
    ----------
    cells : sequence of str
        In file order.
    unit : TimeUnit, optional
        Of plain numbers, as the heading states it; without it the pace of the walk decides, seconds first.
        For cells such as 14:03 it tells what
        stands first: "h" hours and minutes, otherwise minutes and seconds.
    dates : sequence of str, optional
        Date cells beside the time cells, of equal length.
    parked : str, optional
        The moment the wheels stopped, in any style; "0" if the times count from it.
    date_order : {"dmy", "mdy"}, optional
        Where the dates do not settle it.
    decimal : {".", ","}
        Decimal mark of the file.
    walk : callable, optional
        Gives the wheels and temperatures beside the times, where they are needed: they tell rows out of
        order from a watch that starts again.
    heading : TimeHeading
        What else the heading says.

    Returns
    -------
    ElapsedTimes
        Times without offset are taken as they stand: nothing is shifted between zones.

    Examples
    --------
    >>> read_times(["23:58:10", "0:00:40", "0:03:10"]).elapsed_s
    (0.0, 150.0, 300.0)
    >>> read_times(["14:03:20", "14:05"], parked="14:03").elapsed_s
    (20.0, 120.0)
    """
    if dates is None and parked in {None, "0"} and heading == _PLAIN:
        zero: Zero = "stated" if parked is None else "parked"
        quick = _plain_numbers(cells, unit, decimal, zero)
        if quick is not None and walk is not None and quick.notes:
            quick = None  # out of order: the wheels tell why
        if quick is None and parked is None:
            quick = _plain_stamps(cells)
        if quick is not None:
            return quick
    column = TimeColumn(
        cells=cells,
        unit=unit,
        dates=dates,
        parked=parked,
        date_order=date_order,
        decimal=decimal,
        walk=None if walk is None else walk(),
        heading=heading,
    )
    try:
        return _finish(column, _read(column))
    except ClockRefusedError as refusal:
        value = cells[refusal.at] if refusal.at < len(cells) else ""
        problem = ClockProblem(index=-1, value=value, problem=str(refusal), code=refusal.code, at=refusal.at)
        blank = (None,) * len(cells)
        return ElapsedTimes(elapsed_s=blank, kind="not settled", zero="stated", problems=(problem,))


def _plain_numbers(
    cells: Sequence[str], unit: TimeUnit | None, decimal: str, zero: Zero
) -> ElapsedTimes | None:
    """Numbers with nothing to decide; None if anything is out of the common."""
    elapsed_s = quick_numbers(cells, unit=unit, decimal=decimal)
    if elapsed_s is None:
        return None
    notes = () if sorted(elapsed_s) == list(elapsed_s) else (_UNSORTED,)
    return ElapsedTimes(elapsed_s=elapsed_s, kind=UNIT_NAMES[unit or "s"], zero=zero, notes=notes)


def _plain_stamps(cells: Sequence[str]) -> ElapsedTimes | None:
    """ISO 8601 stamps in order and with one offset or none; None if anything is out of the common."""
    if not cells or any(len(cell) < _SHORTEST_STAMP for cell in cells):
        return None
    try:
        moments = [datetime.fromisoformat(cell) for cell in cells]
    except ValueError:
        return None
    first = moments[0]
    if len({moment.tzinfo for moment in moments}) > 1:
        return None
    elapsed = [(moment - first).total_seconds() for moment in moments]
    steps = [after - before for before, after in pairwise(elapsed)]
    if steps and (min(steps) < 0.0 or max(steps) > _LONG_STEP_S):
        return None
    return ElapsedTimes(
        elapsed_s=tuple(elapsed), kind=_KIND_STAMP, zero="first", start=first.isoformat(timespec="seconds")
    )


_UNSORTED = "the times are not in order of the rows; the readings are used in order of time"
_KIND_STAMP = "date and time"


def _read(column: TimeColumn) -> TimedCells:
    """Sort the cells by what they are and read the kind most of them are of."""
    groups: dict[str, dict[int, TimeCell]] = {}
    strange: list[ClockProblem] = []
    for index, text in enumerate(column.cells):
        cell = parse_time(text, column.decimal)
        if cell is None:
            strange.append(column.problem(index, _no_time(text)))
        else:
            groups.setdefault(_group(cell), {})[index] = cell
    if not groups:
        return TimedCells(seconds={}, problems=tuple(strange))
    groups = _zeros_moved(groups)
    main = _main_group(groups)
    problem = f"most times of this column are {_GROUP_WORDS[main]}; write this one so too"
    strange += [column.problem(k, problem) for name, group in groups.items() if name != main for k in group]
    cells = groups[main]
    if main == "dated":
        line = _dated(column, cells)
    else:
        line = _times(column, cells) if main == "times" else _numbers(column, cells, main)
    return line.without(strange)


def _no_time(text: str) -> str:
    if not text.strip():
        return "no time stands here; write when the reading was taken"
    return "no time in a style known; write seconds, 14:03:10 or 2031-05-04 14:03:10"


def _group(cell: TimeCell) -> str:
    if cell.day:
        return "dated"
    return cell.style if cell.style in {"number", "units"} else "times"


_GROUP_WORDS = {
    "number": "plain numbers",
    "units": "numbers with units",
    "times": "times with colons",
    "dated": "dates with times",
}


def _zeros_moved(groups: Mapping[str, dict[int, TimeCell]]) -> dict[str, dict[int, TimeCell]]:
    """Cells by their style, a plain 0 among those beside it: 0 is 0 in all styles."""
    other = next((name for name in ("units", "times") if name in groups), None)
    numbers = groups.get("number", {})
    if other is None or all(cell.value != 0.0 for cell in numbers.values()):
        return dict(groups)
    zero = TimeCell(style="two" if other == "times" else "units", value=0.0)
    moved = dict.fromkeys((index for index, cell in numbers.items() if cell.value == 0.0), zero)
    left = {index: cell for index, cell in numbers.items() if index not in moved}
    return {**groups, "number": left, other: dict(sorted({**groups[other], **moved}.items()))}


def _main_group(groups: Mapping[str, dict[int, TimeCell]]) -> str:
    """The style of most cells."""
    ranked = Counter({name: len(group) for name, group in groups.items()}).most_common()
    if len(ranked) > 1 and ranked[0][1] == ranked[1][1]:
        both = " and ".join(_GROUP_WORDS[name] for name, _ in ranked[:2])
        msg = f"the times are as many {both}; write all in one style"
        raise ClockRefusedError(msg, code="time_styles")
    return ranked[0][0]


def _numbers(column: TimeColumn, cells: Mapping[int, TimeCell], group: str) -> TimedCells:
    """Plain numbers, or durations with their units."""
    parked = column.parked_cell()
    seconds = {index: cell.value for index, cell in cells.items()}
    if group == "units":
        return watch_times(column, TimedCells(seconds=seconds, kind="times with units"), parked)
    column = column.limited(cells)
    line = number_line(column, list(seconds.values()), [column.cells[index] for index in cells])
    timed = TimedCells(seconds=dict(zip(cells, line.times, strict=True)), kind=line.kind, notes=line.notes)
    if line.epoch_day is not None:
        return epoch_times(column, timed, line.epoch_day, parked)
    if line.of_day:
        return _time_of_day(column, timed, digits_parked(column, parked))
    if parked and parked.style == "number":
        parked = replace(parked, value=parked.value * line.factor)
    return watch_times(column, timed, parked)


def _times(column: TimeColumn, cells: Mapping[int, TimeCell]) -> TimedCells:
    """Times with colons."""
    if column.dates is not None:
        stated = [day for day in column.dates if day.strip()]
        if len(stated) == len(column.dates) or len(set(stated)) > 1:
            return _beside_dates(column, column.dates, cells)
    ordered = list(cells.values())
    parked = column.parked_cell()
    if column.dates:
        first = ColumnChoice(choice="hours")
    else:
        first = hours_in_parts(column, ordered) or first_part(ordered, unit=column.unit, parked=parked)
    hours = first.choice == "hours"
    seconds = {index: cell.value * (_scale(cell) if hours else 1.0) for index, cell in cells.items()}
    line = TimedCells(seconds=seconds, kind="time of day")
    if first.why:
        line = line.noted(f"times are read as {first.choice} first: {first.why}")
    if first.choice == "minutes":
        return watch_times(column, replace(line, kind="minutes and seconds"), parked)
    if typed := _typed_minutes(column, ordered, list(seconds.values())):
        line = replace(line.noted(typed), kind="minutes and seconds")
        return watch_times(column, line.timed(value / 60 for value in seconds.values()), parked)
    meant = is_time_of_day(list(seconds.values()), ordered, parked=parked)
    if meant.choice == "elapsed" and not column.dates:
        line = replace(line, kind="hours, minutes and seconds")
        line = line.noted(f"times are read as elapsed, not as times of day: {meant.why}")
        return watch_times(column, line, parked)
    return _time_of_day(column, line, parked)


def _typed_minutes(column: TimeColumn, cells: Sequence[TimeCell], seconds: Sequence[float]) -> str:
    """Why 0:15:00 is fifteen seconds: a spreadsheet makes hours and minutes of 0:15; empty if it is not."""
    whole = all(cell.style == "three" and cell.value % 60 == 0 for cell in cells)
    if not whole or column.walk is None or min(seconds) >= 3600.0 or len(set(seconds)) < 2:
        return ""
    as_hours, as_minutes = likely(seconds, column.walk), likely([s / 60 for s in seconds], column.walk)
    if as_minutes and not as_hours:
        return (
            "the times are read as minutes and seconds, by the pace: a spreadsheet made hours of the minutes"
        )
    return ""


def _time_of_day(column: TimeColumn, line: TimedCells, parked: TimeCell | None) -> TimedCells:
    within = {index: value for index, value in line.seconds.items() if 0 <= value < DAY_S}
    problem = "a time of day lies between 0:00 and 24:00; write it as 14:03:10"
    outside = [column.problem(index, problem) for index in line.seconds if index not in within]
    line = replace(line.without(outside), seconds=within)
    if not within:
        return line
    day = unwrap_day(list(within.values()))
    line = line.noted(day.why, clock_change(day.times)).timed(day.times)
    return _from_zero(column, line, parked)


def _from_zero(column: TimeColumn, line: TimedCells, parked: TimeCell | None) -> TimedCells:
    """Count from the parked moment if it is known, else from the earliest reading."""
    earliest = min(line.seconds.values())
    line = line.begun(None, earliest)
    if parked is None:
        return line.counted_from("first", earliest)
    parked_s = seconds_of_day(parked)
    if parked_s is None:
        msg = f'the parked moment "{column.parked}" is no time of day but the times are; write it as 14:03:10'
        raise ClockRefusedError(msg, code="parked")
    zero_s = parked_s + round((earliest - parked_s) / DAY_S) * DAY_S
    if -_HALF_DAY_S <= earliest - zero_s < -_HALF_DAY_S + READ_SOON_S and parked_s >= _HALF_DAY_S > earliest:
        line = line.noted("the clock shows twelve hours: the wheels stopped before one o'clock")
        zero_s -= _HALF_DAY_S
    return line.counted_from("parked", zero_s)


def _beside_dates(column: TimeColumn, dates: Sequence[str], cells: Mapping[int, TimeCell]) -> TimedCells:
    """Times of day with the date cells beside them."""
    joined: dict[int, TimeCell] = {}
    strange: list[ClockProblem] = []
    for index, cell in cells.items():
        value, day = cell.value * _scale(cell), parse_day(dates[index])
        if day is None:
            problem = f'the date beside it, "{dates[index]}", cannot be read; write it as 2031-05-04'
            strange.append(column.problem(index, problem))
        elif cell.fraction or not 0 <= value < DAY_S:
            problem = "beside a date a time of day is expected; write it as 14:03:10"
            strange.append(column.problem(index, problem))
        else:
            joined[index] = replace(cell, value=value, day=day)
    return _dated(column, joined).without(strange)


def _dated(column: TimeColumn, cells: Mapping[int, TimeCell]) -> TimedCells:
    """Dates with times."""
    if not cells:
        return TimedCells(seconds={}, kind=_KIND_STAMP)
    parked = column.parked_cell()
    stamps = list(cells.values())
    offset_s = stamps[0].offset_s
    if parked and parked.day:
        own_s = parked.offset_s if parked.offset_s is not None else offset_s
        stamps.append(replace(parked, offset_s=None if offset_s is None else own_s))
    stamped = stamp_line(stamps, date_order=column.date_order)
    times = dict(zip(cells, stamped.times, strict=False))
    line = TimedCells(seconds=times, kind=_KIND_STAMP, notes=stamped.notes)
    if not stamped.offsets and (half := past_one_o_clock(list(times.values()))):
        line = line.noted(half.why).timed(half.times)
    values = list(line.seconds.values())
    line = line.begun(stamped.day, min(values) + (offset_s or 0.0), offset_s)
    if not stamped.offsets:
        line = line.noted(clock_change(values))
    if parked and parked.day:
        return line.counted_from("parked", stamped.times[-1])
    if parked and offset_s:  # its time of day is local, the line is UTC
        parked = replace(parked, style="clock", value=(parked.value * _scale(parked) - offset_s) % DAY_S)
    return _from_zero(column, line, parked)


def _scale(cell: TimeCell) -> float:
    """Factor that makes hours and minutes of what is held as minutes and seconds."""
    return 60.0 if cell.style == "two" else 1.0


def _finish(column: TimeColumn, line: TimedCells) -> ElapsedTimes:
    """Set times before zero aside, and say whether the rows are in order."""
    seconds, from_parked = line.seconds, line.zero == "parked"
    kept = {index: value for index, value in seconds.items() if value >= 0.0}
    if seconds and not kept:
        msg = (
            "every reading lies before the parked moment; correct the one or the others"
            if from_parked
            else "every time lies below zero; count from the stop, or from the first reading"
        )
        raise ClockRefusedError(msg, code="parked")
    code: TroubleCode = "before_parked" if from_parked else "time"
    problem = "this lies before the wheels stopped; correct the time, or the parked moment"
    line = line.without([column.problem(index, problem, code) for index in seconds.keys() - kept.keys()])
    in_file = [kept[index] for index in sorted(kept)]
    return ElapsedTimes(
        elapsed_s=tuple(kept.get(index) for index in range(len(column.cells))),
        kind=line.kind or "no times",
        zero=line.zero,
        notes=line.notes if in_file == sorted(in_file) else (*line.notes, _UNSORTED),
        problems=tuple(sorted(line.problems, key=lambda problem: problem.index)),
        start=line.start,
    )
