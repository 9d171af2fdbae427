"""How fast a person walks: every line of the rule from both sides; the numbers are the rule's own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermlog.reading.times.pace import Walk, impossible_pace, likely, plainly_possible
from thermlog.words.policy import usual_limits

LIMITS = usual_limits()


def walk(*wheels: int) -> Walk:
    return Walk(wheels=np.array(wheels), degc=np.full(len(wheels), 80.0))


@pytest.mark.parametrize(("last_s", "possible"), [(4.5, True), (4.49, False)])
def test_a_second_and_a_half_a_reading_on_average(last_s, possible):
    assert likely([0.0, 1.5, 3.0, last_s], None) is possible
    assert likely([0.0, 1.5, last_s - 1.5], None) is possible  # three are enough to say so


@pytest.mark.parametrize(("gap_s", "possible"), [(1.0, True), (0.99, False), (0.0, True)])
def test_two_readings_are_a_second_apart_or_of_one_moment(gap_s, possible):
    assert likely([0.0, gap_s], None) is possible
    assert likely([7.0], None)


@pytest.mark.parametrize(("last_s", "possible"), [(360.0, True), (361.0, False)])
def test_two_minutes_from_wheel_to_wheel(last_s, possible):
    assert likely([0.0, 100.0, 250.0, last_s], None) is possible
    assert likely([0.0, 100.0, 250.0, last_s], walk(0, 1, 2, 3)) is possible


@pytest.mark.parametrize(("pause_s", "possible"), [(7200.0, True), (7201.0, False)])
def test_two_hours_between_two_laps(pause_s, possible):
    """A lap ends where a wheel is read again; its pauses are no steps from wheel to wheel."""
    assert likely([0.0, 10.0, 10.0 + pause_s, 20.0 + pause_s], walk(0, 1, 0, 1)) is possible


@pytest.mark.parametrize(("step_s", "possible"), [(1.0, True), (0.9, False)])
def test_steps_within_laps_take_a_second_each(step_s, possible):
    """Three steps or more: fewer say nothing."""
    times = [turn * 600.0 + k * step_s for turn in range(2) for k in range(3)]
    assert likely(times, walk(0, 1, 2, 0, 1, 2)) is possible
    assert likely([0.0, step_s, 600.0, 600.0 + step_s], walk(0, 1, 0, 1))


def test_one_moment_for_a_whole_lap_is_a_row_of_the_log():
    assert likely([0.0, 0.0, 0.0, 0.0, 300.0, 300.0, 300.0, 300.0], walk(0, 1, 2, 3, 0, 1, 2, 3))


@pytest.mark.parametrize(
    ("times", "wheels", "pairs"),
    [
        ((0.0, 0.99, 60.0), (0, 1, 0), [(0, 1)]),
        ((0.0, 1.0, 60.0), (0, 1, 0), []),
        ((0.0, 0.5, 60.0), (0, 0, 1), []),  # the same wheel twice
        ((0.0, 0.0, 60.0), (0, 1, 0), []),  # of one moment
        ((60.0, 0.5, 0.0), (0, 1, 2), [(2, 1)]),  # in any order
        ((0.0, 900.0, 1800.0), (0, 1, 2), []),
        ((0.0, 900.0, 1801.0), (0, 1, 2), [(0, 2)]),  # a lap of half an hour at most
        ((0.0, 100.0, 2000.0, 2100.0), (0, 1, 0, 1), []),  # two laps with a pause
        ((0.0, 1900.0, 2000.0, 2100.0), (0, 1, 0, 1), [(0, 1)]),
        ((0.0, 10.0, 2000.0, 4000.0), (0, 1, 0, 1), [(2, 3)]),
        ((), (), []),
    ],
)
def test_pairs_that_nobody_can_have_taken(times, wheels, pairs):
    assert impossible_pace(times, walk(*wheels)) == pairs


@pytest.mark.parametrize(("last_s", "pairs"), [(3.0, []), (2.99, [(0, 4)])])
def test_more_readings_than_anyone_takes(last_s, pairs):
    """Of one moment each two, no single step too fast: a second a reading before the last moment."""
    times = [0.0, 0.0, 1.4, last_s, last_s]
    assert impossible_pace(times, walk(0, 0, 1, 1, 1)) == pairs


@pytest.mark.parametrize(
    ("times", "wheels", "pairs"),
    [
        ((0.0, 0.0, 1.0, 1.0, 240.0), (0, 1, 2, 3, 0), [(0, 3)]),  # doubled stamps: four wheels in a second
        ((0.0, 1.0, 2.0, 3.0, 240.0), (0, 1, 2, 3, 0), [(0, 3)]),  # a wheel a second
        ((0.0, 1.5, 3.0, 4.5, 240.0), (0, 1, 2, 3, 0), []),
        ((0.0, 1.4, 2.8, 4.49, 240.0), (0, 1, 2, 3, 0), [(0, 3)]),
        ((0.0, 0.0, 0.0, 3.0, 240.0), (0, 1, 2, 2, 0), []),  # three wheels at one moment are a row of a table
        ((0.0, 1.4, 240.0), (0, 1, 0), []),  # two wheels of one axle, side by side
        ((0.0, 0.0, 0.0, 4.0, 4.0, 4.0, 8.0), (0, 1, 2, 0, 1, 2, 0), []),
        ((0.0, 0.0, 0.0, 2.9, 2.9, 2.9, 8.0), (0, 1, 2, 0, 1, 2, 0), [(0, 3)]),  # rounds three seconds apart
    ],
)
def test_no_lap_is_walked_faster_than_its_wheels_are_read(times, wheels, pairs):
    """A second and a half from wheel to wheel at the least, on average over a lap."""
    assert impossible_pace(times, walk(*wheels)) == pairs


def test_no_more_than_twenty_pairs_are_told():
    times = [0.5 * k for k in range(60)]
    assert len(impossible_pace(times, walk(*range(60)))) == 20


@given(st.lists(st.floats(0.0, 4000.0), min_size=1, max_size=12).map(sorted))
def test_what_is_plainly_possible_is_possible(times):
    """Property: the quick look never lets through what the whole look names."""
    if plainly_possible(times, LIMITS):
        for wheels in (range(len(times)), (k % 4 for k in range(len(times)))):
            assert impossible_pace(times, walk(*wheels)) == []
    assert plainly_possible([], LIMITS)


@pytest.mark.parametrize(
    ("times", "possible"),
    [((0.0, 1.5), True), ((0.0, 1.49), False), ((0.0, 1800.0), True), ((0.0, 1801.0), False), ((5.0,), True)],
)
def test_quick_look_at_its_lines(times, possible):
    assert plainly_possible(times, LIMITS) is possible


def test_rows_of_one_line_may_run_back():
    lines = Walk(wheels=np.array([0, 1, 2]), degc=np.full(3, 80.0), lines=np.array([2, 2, 3]))
    assert lines.turns_within_lines([0, 1, 2], [1])
    assert not lines.turns_within_lines([0, 1, 2], [1, 2])
    assert not walk(0, 1).turns_within_lines([0, 1], [1])
    assert lines.take([1, 2]).lines.tolist() == [2, 3]
