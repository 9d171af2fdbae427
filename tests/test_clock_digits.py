"""Minutes of a clock without a colon, several wheels to a minute; and a walk that begins with a bare 0.

All logs are invented; what a cell must come to is the difference of its minute from the first one's.
"""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.words.errors import LogRefusedError

CLOCK = [
    "1405,LF,104",
    "1405,RF,101",
    "1406,LR,66",
    "1406,RR,64",
    "1411,RR,58",
    "1411,LR,60",
    "1412,RF,86",
    "1412,LF,88",
]
MINUTES = [0, 0, 1, 1, 6, 6, 7, 7]
LAST_AT_ONCE = [row.replace("1412", "1411") for row in CLOCK]
NOTE = "the times are read as digits of a clock: 1405 as 14:05"


def minutes_of(heading, rows):
    found = read("\n".join([f"{heading},wheel,temp c", *rows]) + "\n")
    return [float(one) / 60 for one in found.readings.elapsed_s], found.record.notes


@pytest.mark.parametrize("left_out", [None, *range(1, 8)])
@pytest.mark.parametrize("heading", ["time", "time of day", "clock"])
def test_minutes_that_several_wheels_share_are_those_of_a_clock(heading, left_out):
    """A row left out makes no seconds of them: nobody reads two wheels in one."""
    kept = [k for k in range(len(CLOCK)) if k != left_out]
    times, notes = minutes_of(heading, [CLOCK[k] for k in kept])
    assert times == [MINUTES[k] for k in kept]
    assert NOTE in notes


def test_four_wheels_in_one_minute_are_no_four_in_a_second():
    times, notes = minutes_of("time", LAST_AT_ONCE)
    assert times == [0, 0, 1, 1, 6, 6, 6, 6]
    assert NOTE in notes


def test_a_part_of_a_day_stays_one():
    """0.5 of a day is 12:00; a hundredth of one is 14.4 min."""
    times, _ = minutes_of("time of day", ["0.50,LF,104", "0.51,RF,101", "0.52,LR,66", "0.53,RR,64"])
    assert times == pytest.approx([0.0, 14.4, 28.8, 43.2])


def test_a_pace_at_which_somebody_walks_leaves_both_open():
    rows = ["1400,LF,80", "1402,RF,81", "1404,LR,70", "1406,RR,71"]
    with pytest.raises(LogRefusedError) as refusal:
        minutes_of("time", rows)
    assert refusal.value.code == "two_ways"


def test_a_bare_zero_stands_first_where_it_was_written_first():
    """Times that never fall are those of one walk."""
    rows = [
        "0,LF,105",
        "+1 min,RF,104",
        "+1 min,RR,66",
        "+2 min,LR,64",
        "+7 min,LR,56",
        "+8 min,RR,58",
        "+8 min,RF,85",
    ]
    times, _ = minutes_of("when", [*rows, "+9 min,LF,84"])
    assert times == [0, 1, 1, 2, 7, 8, 8, 9]
