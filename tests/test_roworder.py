"""Times that do not rise from row to row, at the lines of the rule; the lines are its own numbers."""

from __future__ import annotations

import numpy as np
import pytest

from thermlog.reading.times.face import ClockRefusedError
from thermlog.reading.times.pace import Walk
from thermlog.reading.times.roworder import ordered_times

HOUR_S = 3600.0


def walk(wheels, degc=None):
    return Walk(
        wheels=np.array(wheels), degc=np.array(degc if degc is not None else np.arange(len(wheels)) + 80.0)
    )


def refused(times, *about, **more):
    with pytest.raises(ClockRefusedError) as refusal:
        ordered_times(times, walk(*about), **more)
    return refusal.value.code, refusal.value.at


def test_a_countdown_counts_from_the_first_reading_on():
    found = ordered_times([600.0, 590.0, 300.0], None, countdown=True)
    assert (found.times, found.counted_down) == ([0.0, 10.0, 300.0], True)
    assert not ordered_times([0.0, 5.0], None).counted_down


def test_rising_times_stand_and_equal_ones_rise():
    for times in ([0.0, 0.0, 9.0], [1.0], [5.0, 6.0, 7.0]):
        found = ordered_times(times, walk(range(len(times))))
        assert (found.times, found.note) == (times, "")


@pytest.mark.parametrize(("after_s", "passes"), [(299.0, True), (300.0, True), (301.0, False)])
def test_a_watch_passes_the_hour_within_five_minutes(after_s, passes):
    """From 59:30; the later rows count to the next hour, in order and newest first."""
    times = [3500.0, 3570.0, 3570.0 + after_s - HOUR_S, 3580.0 + after_s - HOUR_S]
    carried = [3500.0, 3570.0, 3570.0 + after_s, 3580.0 + after_s]
    found = ordered_times(times, walk([0, 1, 2, 3]))
    assert (found.times == carried) is passes
    assert ("pass the hour" in found.note) is passes
    back = ordered_times(times[::-1], walk([3, 2, 1, 0]))
    assert (back.times == carried[::-1]) is passes


def test_only_times_below_an_hour_pass_it():
    times = [3500.0, 3600.0, 10.0, 60.0]
    assert ordered_times(times, walk([0, 1, 2, 3])).times == times


@pytest.mark.parametrize(
    ("cooler", "warmer", "outcome"),
    [(4, 0, "down"), (0, 4, "up"), (3, 1, "down"), (1, 3, "up"), (2, 2, None), (2, 1, None), (1, 2, None)],
)
def test_three_wheels_of_four_that_cool_tell_which_way_falling_times_run(cooler, warmer, outcome):
    """Counted down if the wheels cool from row to row, newest first if they warm."""
    wheels = list(range(cooler + warmer)) * 2
    first = [80.0] * (cooler + warmer)
    last = [70.0] * cooler + [90.0] * warmer
    times = [1000.0 - 20.0 * k for k in range(len(wheels))]
    if outcome is None:
        assert refused(times, wheels, first + last) == ("falling", 1)
        return
    found = ordered_times(times, walk(wheels, first + last))
    assert found.counted_down is (outcome == "down")
    assert found.times == ([1000.0 - t for t in times] if outcome == "down" else times)


def test_wheels_read_once_leave_falling_times_as_they_are():
    times = [300.0, 200.0, 100.0]
    assert ordered_times(times, walk([0, 1, 2])).times == times


def test_two_figures_below_a_minute_lack_their_minutes():
    assert refused([50.0, 10.0, 10.0], [0, 1, 2], seconds=True) == ("no_minutes", 1)
    assert ordered_times([50.0, 30.0, 10.0], walk([0, 1, 2]), seconds=True).times == [50.0, 30.0, 10.0]
    assert ordered_times([60.0, 10.0, 10.0], walk([0, 1, 2]), seconds=True).times == [60.0, 10.0, 10.0]
    assert refused([20.0, 50.0, 10.0, 40.0, 30.0], [0, 1, 2, 3, 4], seconds=True) == ("no_minutes", 2)
    assert ordered_times([20.0, 50.0, 10.0, 40.0], walk([0, 1, 2, 3])).times == [20.0, 50.0, 10.0, 40.0]


def test_times_that_start_again_are_refused_where_they_do():
    again = [0.0, 60.0, 120.0, 180.0, 5.0, 65.0, 125.0, 185.0]
    assert refused(again, [0, 1, 2, 3, 0, 1, 2, 3]) == ("starts_again", 4)
    # other wheels: rows out of order of one walk
    assert ordered_times(again, walk([0, 1, 2, 3, 4, 5, 6, 7])).times == again


@pytest.mark.parametrize(("backs", "shuffled"), [(2, False), (3, True)])
def test_rows_with_more_than_a_third_of_steps_back_are_shuffled(backs, shuffled):
    """Eight rows, seven steps: two back are a start, three are no order at all."""
    times = [0.0, 100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 700.0]
    for k in range(backs):
        times[2 * k + 1], times[2 * k + 2] = times[2 * k + 2], times[2 * k + 1]
    wheels = [0, 1, 0, 1, 0, 1, 0, 1]
    if shuffled:
        assert ordered_times(times, walk(wheels)).times == times
    else:
        assert refused(times, wheels)[0] == "starts_again"


@pytest.mark.parametrize(("lap_s", "passes"), [(1200.0, True), (1201.0, False)])
def test_wheel_by_wheel_a_watch_passes_the_hour_within_one_lap(lap_s, passes):
    """Two wheels, three rounds each, from 50:00; within twenty minutes the same wheel is read again."""
    one = [2000.0, 3000.0, 3000.0 + lap_s - HOUR_S]
    two = [2010.0, 3010.0, 3010.0 + lap_s - HOUR_S]
    wheels = [0, 0, 0, 1, 1, 1]
    if not passes:
        assert refused([*one, *two], wheels)[0] == "starts_again"
        return
    found = ordered_times([*one, *two], walk(wheels))
    assert found.times == [2000.0, 3000.0, 3000.0 + lap_s, 2010.0, 3010.0, 3010.0 + lap_s]


def test_a_wheel_first_read_after_the_hour_counts_to_it():
    found = ordered_times([3000.0, 3590.0, 400.0, 5.0, 410.0], walk([0, 0, 0, 1, 1]))
    assert found.times == [3000.0, 3590.0, 4000.0, 3605.0, 4010.0]


def test_one_reading_that_differs_at_its_moment_is_no_step_back():
    """The same wheel at the same time with another figure: once a slip, twice they count."""
    times = [0.0, 10.0, 20.0, 0.0]
    assert ordered_times(times, walk([0, 1, 2, 0], [80.0, 70.0, 60.0, 81.0])).times == times
    assert refused(
        [0.0, 10.0, 20.0, 0.0, 10.0, 20.0], [0, 1, 2, 0, 1, 2], [80.0, 70.0, 60.0, 81.0, 71.0, 61.0]
    )[0] == ("starts_again")
