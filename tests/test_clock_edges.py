"""Lines between one reading of a clock and another: a clock that was changed, nights, walks past one o'clock.

Each line is the rule's own number, written out here; times are seconds of a day.
"""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermlog.reading.times.clock import read_times
from thermlog.reading.times.face import ClockRefusedError, clock_change, past_one_o_clock, unwrap_day

HOUR_S, DAY_S = 3600.0, 86400.0
NOON = datetime(2031, 5, 4, 12, 0, 0)  # noqa: DTZ001 - a stamp without an offset


def steps(*seconds, start=7200.0):
    """Times so many seconds apart."""
    found = [start]
    for step in seconds:
        found.append(found[-1] + step)
    return found


@pytest.mark.parametrize(
    ("step_s", "asked"), [(3299.0, False), (3300.0, True), (3900.0, True), (3901.0, False)]
)
def test_about_an_hour_is_five_minutes_to_either_side(step_s, asked):
    times = steps(60.0, 60.0, step_s, 60.0)
    assert ("put forward" in clock_change(times)) is asked
    stamps = [(NOON + timedelta(seconds=s)).isoformat() for s in times]
    assert any("put forward" in note for note in read_times(stamps).notes) is asked
    back = steps(5000.0, 60.0, -step_s, 60.0)
    if not asked:
        assert clock_change(back) == ""


@pytest.mark.parametrize(
    ("others", "asked"), [((900.0, 900.0), True), ((900.0, 901.0), False), ((60.0, -1.0), False)]
)
def test_a_changed_clock_shows_among_steady_steps_only(others, asked):
    """A quarter of an hour each at most, and none back."""
    assert ("put forward" in clock_change(steps(others[0], HOUR_S, others[1]))) is asked


def test_a_changed_clock_needs_four_readings_and_one_such_step():
    assert clock_change(steps(60.0, HOUR_S)) == ""
    assert clock_change(steps(60.0, HOUR_S, 60.0)) != ""
    assert clock_change(steps(HOUR_S, HOUR_S, 60.0)) == ""


@pytest.mark.parametrize(
    ("off_s", "refused"), [(300.0, False), (301.0, True), (-300.0, False), (-301.0, True)]
)
def test_a_second_wheel_begins_within_five_minutes_of_the_first(off_s, refused):
    """Back by about an hour: a log sorted by wheels, or a clock that was put back."""
    times = steps(900.0, 900.0, 900.0, 800.0, 200.0 if off_s > 0 else 0.0)
    times = [*times, times[0] + off_s, times[0] + off_s + 60.0]
    if refused:
        with pytest.raises(ClockRefusedError, match="put back"):
            clock_change(times)
    else:
        assert clock_change(times) == ""


@pytest.mark.parametrize(("night_s", "refused"), [(6 * HOUR_S - 1.0, True), (6 * HOUR_S, False)])
def test_a_pause_of_six_hours_tells_where_the_day_of_a_log_begins(night_s, refused):
    """Readings all round the clock and out of order: two midnights, or one and a night."""
    times = [0.0, 5 * HOUR_S, 10 * HOUR_S, 10 * HOUR_S + night_s, 20 * HOUR_S, DAY_S - 60.0]
    mixed = [times[k] for k in (3, 0, 4, 1, 5, 2)]
    if refused:
        with pytest.raises(ClockRefusedError, match="more than once"):
            unwrap_day(mixed)
    else:
        found = unwrap_day(mixed)
        assert found.times == [t if t >= times[3] else t + DAY_S for t in mixed]
        assert "midnight" in found.why


@pytest.mark.parametrize(("span_s", "moved"), [(12 * HOUR_S, False), (12 * HOUR_S + 1.0, True)])
def test_times_out_of_order_within_half_a_day_pass_no_midnight(span_s, moved):
    found = unwrap_day([span_s, 0.0])
    assert (found.times[1] == DAY_S) is moved
    assert bool(found.why) is moved


@pytest.mark.parametrize(
    ("first", "last", "moved"),
    [
        (12.0, 3.0, True),  # three hours on a clock of twelve
        (12.0, 3.0 + 1 / 3600, False),
        (12.97, 1.0, True),
        (12.97, 0.99, False),  # nobody writes 0 o'clock on such a clock
        (13.0, 2.0, False),  # a clock of 24 hours
        (4.0, 1.0, False),  # not longer than a walk as they stand
    ],
)
def test_a_clock_of_twelve_hours_goes_on_after_one(first, last, moved):
    found = past_one_o_clock([first * HOUR_S, last * HOUR_S])
    assert (found is not None) is moved
    if moved:
        assert found.times == [first * HOUR_S, (last + 12.0) * HOUR_S]


@given(start_s=st.integers(0, 86399), gaps=st.lists(st.integers(1, 1200), min_size=1, max_size=12))
def test_midnight_never_changes_the_steps_of_a_walk(start_s, gaps):
    """Property: whatever the hour a walk begins at, its steps are those of the watch."""
    moments = [datetime(2031, 5, 4) + timedelta(seconds=s) for s in steps(*gaps, start=start_s)]  # noqa: DTZ001
    found = read_times([f"{moment:%H:%M:%S}" for moment in moments], parked=f"{moments[0]:%H:%M:%S}")
    wanted = [(moment - moments[0]).total_seconds() for moment in moments]
    assert list(found.elapsed_s) == wanted


@pytest.mark.parametrize("pause_s", [120, 5000])
def test_a_log_starts_at_the_local_time_of_its_first_stamp(pause_s):
    """With an offset, by the quick way and, beyond a long step, by the thorough one."""
    first, last = datetime(2031, 5, 4, 14, 3, 10), timedelta(seconds=60 + pause_s)  # noqa: DTZ001
    stamps = [f"{(first + off).isoformat()}+02:00" for off in (timedelta(0), timedelta(seconds=60), last)]
    found = read_times(stamps)
    assert found.elapsed_s == (0.0, 60.0, 60.0 + pause_s)
    assert found.start.startswith("2031-05-04T14:03:10")


@pytest.mark.parametrize("first", [datetime(2031, 5, 13, 0, 0, 0), datetime(2031, 5, 13, 23, 58, 0)])  # noqa: DTZ001
@pytest.mark.parametrize(
    "style", ["%d.%m.%Y %H:%M:%S", "%H:%M %d.%m.%Y", "%Y%m%dT%H%M", "%B %d %Y %H:%M", "%m/%d/%Y %I:%M %p"]
)
def test_dates_of_other_styles_begin_at_their_first_stamp_to_the_second(first, style):
    """At midnight, and over it; what is written by the library's own formats is read again."""
    moments = [first + timedelta(minutes=minutes) for minutes in (0, 2, 5)]
    found = read_times([one.strftime(style) for one in moments])
    assert found.elapsed_s == (0.0, 120.0, 300.0)
    assert found.start == first.isoformat()


def test_the_hour_alone_behind_a_date_without_dashes():
    found = read_times(["20310513T14", "20310513T15"])
    assert (found.elapsed_s, found.start) == ((0.0, HOUR_S), "2031-05-13T14:00:00")


def test_a_dated_parked_moment_is_the_zero_however_many_readings_follow():
    stamps = ["13.05.2031 14:03:00", "13.05.2031 14:05:00", "13.05.2031 14:10:30"]
    assert read_times(stamps, parked="13.05.2031 14:00:00").elapsed_s == (180.0, 300.0, 630.0)


def test_a_day_that_does_not_exist_makes_a_time_of_day_no_stamp():
    assert read_times(["45.13.2031 14:03:00", "45.13.2031 14:05:00"]).elapsed_s == (None, None)


def test_minutes_before_the_zero_of_a_watch_are_no_minutes_after_it():
    assert read_times(["-1:30", "0:30"]).elapsed_s == (None, 30.0)


def test_a_twenty_fifth_hour_leaves_its_row_out_and_no_other():
    stamps = ["13.05.2031 25:00:00", "13.05.2031 14:05:00", "13.05.2031 14:06:00"]
    assert read_times(stamps).elapsed_s == (None, 0.0, 60.0)
