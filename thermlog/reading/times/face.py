"""What times with colons mean: minutes or hours first, elapsed or time of day, past midnight."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reading.times.cell import HOUR_S, TimeCell
from thermlog.words.errors import ThermlogError, TroubleCode
from thermlog.words.moments import DAY_S

if TYPE_CHECKING:
    from collections.abc import Sequence

# What a walk with a gun can be like: common practice, no source.
_FASTEST_STEP_S = (
    2.0  # nobody takes readings faster, on average; columns beside each other are two or four readings
)
_WALKING_STEP_S = 5.0  # nor faster than this on a walk that does not begin with the watch
_WATCH_BEGINS_S = 360.0  # a walk with a watch begins before
_SLOWEST_STEP_S = 900.0  # nor waits longer between two, on average, when only hours and minutes are typed
_LONGEST_WALK_S = 3 * HOUR_S
_HALF_DAY_S = 12 * HOUR_S
READ_SOON_S = 2 * HOUR_S  # the first reading follows the parking within this time
_NIGHT_GAP_S = 6 * HOUR_S  # a pause as long tells where the day of a log begins
_CLOCK_CHANGE_S = (HOUR_S - 300.0, HOUR_S + 300.0)  # summer time begins or ends between two readings
_SAME_START_S = 300.0  # the second wheel of a log sorted by wheels begins so near the first
_STEADY_S = 900.0  # all other steps of such a log are shorter


class ClockRefusedError(ThermlogError):
    """The times of a column do not settle what they mean.

    Parameters
    ----------
    problem : str
        Why, and the cure.
    code : TroubleCode
        The same for programs.
    at : int
        Index of the cell that shows it.
    """

    def __init__(self, problem: str, *, code: TroubleCode, at: int = 0) -> None:
        self.code = code
        self.at = at
        super().__init__(problem)


class ColumnChoice(Struct, frozen=True, kw_only=True):
    """One thing decided about a column, and why."""

    choice: str
    why: str = ""


def first_part(cells: Sequence[TimeCell], *, unit: str | None, parked: TimeCell | None) -> ColumnChoice:
    """Decide whether times such as 14:03 begin with hours or with minutes.

    Parameters
    ----------
    cells : sequence of TimeCell
        Styles ``two``, ``three`` and ``clock``, in file order.
    unit : TimeUnit or None
        What the heading says.
    parked : TimeCell or None
        The parked moment.

    Returns
    -------
    ColumnChoice
        ``"hours"`` or ``"minutes"``.

    Raises
    ------
    ClockRefusedError
        If both are possible.
    """
    two = [cell for cell in cells if cell.style == "two"]
    if not two or any(cell.style == "clock" for cell in cells):
        return ColumnChoice(choice="hours")
    if any(cell.fraction or abs(cell.value) >= 24 * 60 for cell in two):
        return ColumnChoice(choice="minutes", why="the first part is above 23, or the second has a fraction")
    if unit is not None:
        return ColumnChoice(choice="hours" if unit == "h" else "minutes", why="the heading says so")
    if parked and parked.value == 0.0 and parked.style in {"number", "two"}:
        return ColumnChoice(choice="minutes", why="the parked moment is zero")
    if len(two) < len(cells):
        return _beside_hours(cells, two)
    return _by_pace([cell.value for cell in two], parked)


def _beside_hours(cells: Sequence[TimeCell], two: Sequence[TimeCell]) -> ColumnChoice:
    """Some cells show their hours: decide by whether the others begin with the same ones."""
    hours = [cell.value // HOUR_S for cell in cells if cell.style == "three"]
    near = all(min(hours) - 1 <= cell.value // 60 <= max(hours) + 1 for cell in two)
    if near and max(hours) <= 1:
        raise ClockRefusedError(_both_ways(two[0].value), code="two_ways")
    if near:
        return ColumnChoice(choice="hours", why="they begin with the hours of the longer times beside them")
    return ColumnChoice(
        choice="minutes", why="they do not begin with the hours of the longer times beside them"
    )


def _by_pace(values: Sequence[float], parked: TimeCell | None) -> ColumnChoice:
    """Decide by the pace of the readings, the parked moment and the turn of the day."""
    as_hours = [value * 60 for value in values]
    parked_s = None if parked is None else seconds_of_day(parked)
    if (
        parked_s is not None
        and min((v - parked_s) % DAY_S for v in as_hours) <= READ_SOON_S
        and _slow_enough(as_hours)
    ):
        return ColumnChoice(choice="hours", why="they follow the parked moment")
    if _turns_once(as_hours) and _slow_enough(as_hours):
        return ColumnChoice(choice="hours", why="they pass midnight")
    minutes_fit, hours_fit = _fast_enough(values), parked_s is None and _slow_enough(as_hours)
    if minutes_fit != hours_fit:
        return ColumnChoice(
            choice="minutes" if minutes_fit else "hours",
            why="the readings would follow one another too slowly or too fast otherwise",
        )
    if minutes_fit and min(values) < 60 and any(value % 5 for value in values):  # 0:10, 0:20 may be hours
        return ColumnChoice(choice="minutes", why="they begin below 1:00")
    raise ClockRefusedError(_both_ways(values[0]), code="two_ways")


def _fast_enough(values: Sequence[float]) -> bool:
    """Whether minutes and seconds leave time to take so many readings."""
    fastest_s = _FASTEST_STEP_S if min(values) < _WATCH_BEGINS_S else _WALKING_STEP_S
    return len(values) < 3 or max(values) - min(values) >= fastest_s * (len(values) - 1)


def _both_ways(value: float) -> str:
    text = f"{int(value // 60)}:{int(value % 60):02d}"
    return (
        f"{text} may be minutes and seconds or hours and minutes; "
        f'head the column "mm:ss" or "hh:mm", or write {text}:00 or 0:{text}'
    )


def _slow_enough(as_hours: Sequence[float]) -> bool:
    """Whether hours and minutes make a walk of a likely length."""
    try:
        times = unwrap_day(as_hours).times
    except ClockRefusedError:
        return False
    span = max(times) - min(times)
    return span <= min(_LONGEST_WALK_S, _SLOWEST_STEP_S * max(len(times) - 1, 1))


def seconds_of_day(cell: TimeCell) -> float | None:
    """Time of day of a parked moment; None for one that is no time of day."""
    if cell.style == "two":
        return None if cell.fraction or not 0 <= cell.value < 24 * 60 else cell.value * 60
    return cell.value if cell.style in {"three", "clock", "stamp"} and 0 <= cell.value < DAY_S else None


def is_time_of_day(
    seconds: Sequence[float], cells: Sequence[TimeCell], *, parked: TimeCell | None
) -> ColumnChoice:
    """Decide whether times with hours are times of day or elapsed.

    Parameters
    ----------
    seconds : sequence of float
        The times with hours first [s], in file order.
    cells : sequence of TimeCell
        What they were written as.
    parked : TimeCell or None
        The parked moment.

    Returns
    -------
    ColumnChoice
        ``"clock"`` or ``"elapsed"``; only the place of zero depends on it.

    Raises
    ------
    ClockRefusedError
        If the parked moment lies so close before midnight that both are possible.
    """
    if any(cell.style == "clock" for cell in cells):
        return ColumnChoice(choice="clock")
    if parked and parked.style == "number":
        return ColumnChoice(choice="elapsed", why="the parked moment is a number")
    low = min(seconds) < HOUR_S and max(seconds) < _HALF_DAY_S
    if min(seconds) < 0 or max(seconds) >= DAY_S:
        return ColumnChoice(choice="elapsed", why="a time of day lies between 0:00 and 24:00")
    parked_s = None if parked is None else seconds_of_day(parked)
    if not low:
        return ColumnChoice(choice="clock")
    if parked_s is None or min((v - parked_s) % DAY_S for v in seconds) > READ_SOON_S:
        return ColumnChoice(choice="elapsed", why="they begin within the first hour")
    if parked_s > _HALF_DAY_S:
        msg = "these may be times past midnight or elapsed times; write them with the date, or as seconds"
        raise ClockRefusedError(msg, code="two_ways")
    return ColumnChoice(choice="clock")


_PAST_MIDNIGHT = "the times pass midnight: the early ones count to the next day"


class Unwrapped(Struct, frozen=True, kw_only=True):
    """Times of day on one line [s]; `why` says what was done, empty if nothing."""

    times: list[float]
    why: str = ""


def unwrap_day(seconds: Sequence[float]) -> Unwrapped:
    """Carry times of day past midnight, once at most.

    Parameters
    ----------
    seconds : sequence of float
        Times of day [s], in file order, which need not be their own order.

    Returns
    -------
    Unwrapped

    Raises
    ------
    ClockRefusedError
        If no pause tells where the day of the log begins, or it lasts over a day.

    Examples
    --------
    >>> unwrap_day([86390.0, 10.0]).times
    [86390.0, 86410.0]
    """
    if half := past_one_o_clock(seconds):
        return half
    if list(seconds) == sorted(seconds):
        return _sorted_by_clock(seconds)
    if max(seconds) - min(seconds) <= _HALF_DAY_S:
        return Unwrapped(times=list(seconds))
    ordered = sorted(set(seconds))
    gaps = [(after - before, after) for before, after in pairwise(ordered)]
    night, start = max(gaps)
    if _turns_once(seconds):
        start = seconds[0]
    elif night < _NIGHT_GAP_S:
        msg = "the times pass midnight more than once or are out of order; add a date to each"
        raise ClockRefusedError(msg, code="time_order")
    elif ordered[0] + DAY_S - ordered[-1] >= night:  # the longest pause is the night itself
        return Unwrapped(times=list(seconds))
    return _past_midnight(seconds, start)


def _sorted_by_clock(seconds: Sequence[float]) -> Unwrapped:
    """Times of day that rise: a walk past midnight, sorted, where else nearly a day is between."""
    pause_s, start = max(((b - a, b) for a, b in pairwise(seconds)), default=(0.0, 0.0))
    if pause_s < DAY_S - _LONGEST_WALK_S:
        return Unwrapped(times=list(seconds))
    return _past_midnight(seconds, start)


def _past_midnight(seconds: Sequence[float], start: float) -> Unwrapped:
    """Times of day of which those before `start` are of the next day."""
    times = [value if value >= start else value + DAY_S for value in seconds]
    return Unwrapped(times=times, why=_PAST_MIDNIGHT)


def past_one_o_clock(seconds: Sequence[float]) -> Unwrapped | None:
    """A clock of twelve hours without am and pm passes one o'clock: 12:58, 1:02."""
    if min(seconds) < HOUR_S or max(seconds) >= _HALF_DAY_S + HOUR_S:
        return None
    times = [value if value >= _HALF_DAY_S else value + _HALF_DAY_S for value in seconds]
    if max(seconds) - min(seconds) <= _LONGEST_WALK_S or max(times) - min(times) > _LONGEST_WALK_S:
        return None
    return Unwrapped(times=times, why="the clock shows twelve hours: the times go on after one o'clock")


def _turns_once(seconds: Sequence[float]) -> bool:
    """Whether the rows run on through one midnight and end before the hour they began.

    A row that then lies half a day and more after the one before it stands out of order instead.
    """
    drops = [a - b for a, b in pairwise(seconds) if b < a]
    runs_on = all(b - a < _HALF_DAY_S for a, b in pairwise(seconds))
    return runs_on and len(drops) == 1 and drops[0] >= _HALF_DAY_S and seconds[-1] < seconds[0]


def clock_change(seconds: Sequence[float]) -> str:
    """Look for a clock that was put forward or back while the log was taken.

    Parameters
    ----------
    seconds : sequence of float
        Times without offset on one line [s], in file order.

    Returns
    -------
    str
        What to ask the user about, empty if nothing; the times stand as they are.

    Raises
    ------
    ClockRefusedError
        If the clock was put back, so that the order of the readings is lost.
    """
    steps = [after - before for before, after in pairwise(seconds)]
    hours = [i for i, step in enumerate(steps) if _CLOCK_CHANGE_S[0] <= abs(step) <= _CLOCK_CHANGE_S[1]]
    if len(hours) != 1 or len(steps) < 3:
        return ""
    at = hours[0]
    if not all(0 <= step <= _STEADY_S for i, step in enumerate(steps) if i != at):
        return ""
    before, after = clock_words(seconds[at]), clock_words(seconds[at + 1])
    if steps[at] > 0:
        return (
            f"about an hour passes between {before} and {after} while all other steps are minutes; if"
            " the clock was put forward, take an hour off the later times"
        )
    if abs(seconds[at + 1] - seconds[0]) <= _SAME_START_S:  # sorted by wheel, not by time
        return ""
    msg = (
        f"the times go back by about an hour, from {before} to {after}; if the clock was put back, add an"
        " hour to the later ones, or write times with their offset such as 2031-05-04T14:03:10+02:00"
    )
    raise ClockRefusedError(msg, code="clock_back", at=at + 1)


def clock_words(seconds: float) -> str:
    """Time of day for people.

    Examples
    --------
    >>> clock_words(50590.0)
    '14:03:10'
    """
    whole = int(seconds % DAY_S)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"
