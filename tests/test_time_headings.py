"""A heading with a unit of time over numbers that run is a time, whatever its other words; never just none.

All logs are invented.
"""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.words.errors import LogRefusedError

WALK = ((11, "FL", 96), (25, "RL", 82), (42, "RR", 84), (58, "FR", 95), (223, "FR", 84), (240, "RR", 69))


def log(heading: str, per_s: float = 1.0, *, start: float = 0.0) -> str:
    rows = [f"{round((time + start) * per_s, 4):g},{wheel},{temp}" for time, wheel, temp in WALK]
    return "\n".join([f"{heading},position,temp_c", *rows]) + "\n"


@pytest.mark.parametrize(
    ("heading", "per_s"),
    [
        ("sec since midnight", 1),
        ("seconds since midnight", 1),
        ("secs after", 1),
        ("s since start", 1),
        ("Sekunden seit Mitternacht", 1),
        ("secondes depuis minuit", 1),
        ("timer (s)", 1),
        ("timer s", 1),
        ("timer", 1),
        ("timer (ms)", 1000),
        ("Stoppuhr (s)", 1),
        ("chrono [min]", 1 / 60),
        ("counter (ms)", 1000),
        ("t+ (min)", 1 / 60),
        ("stamp (s)", 1),
        ("x (s)", 1),
    ],
)
def test_a_unit_of_time_over_numbers_that_run_is_a_time(heading: str, per_s: float) -> None:
    elapsed_s = read(log(heading, per_s)).readings.elapsed_s
    assert (elapsed_s - elapsed_s[0]).tolist() == pytest.approx([time - 11 for time, *_ in WALK], abs=0.1)


def test_a_column_a_wheel_has_such_a_time_too() -> None:
    found = read("counter (s),FL C,FR C\n0,80,81\n60,76,77\n120,72,73\n")
    assert found.readings.elapsed_s.tolist() == [0, 0, 60, 60, 120, 120]
    assert any('"counter (s)" taken as the time' in note for note in found.record.notes)


def test_seconds_since_midnight_may_be_many() -> None:
    elapsed_s = read(log("sec since midnight", start=50_000)).readings.elapsed_s
    assert elapsed_s[-1] - elapsed_s[0] == pytest.approx(229)


@pytest.mark.parametrize("heading", ["sec since midnight", "counter (s)"])
def test_numbers_that_pass_midnight_are_never_silently_none(heading: str) -> None:
    rows = [f"{(time + 86_350) % 86_400},{wheel},{temp}" for time, wheel, temp in WALK]
    with pytest.raises(LogRefusedError, match="times"):
        read("\n".join([f"{heading},position,temp_c", *rows]) + "\n")


def test_two_such_columns_are_refused() -> None:
    with pytest.raises(LogRefusedError, match="could both be the time"):
        read("a (s),b (ms),position,temp_c\n0,0,FL,80\n9,9000,FR,81\n20,20000,RL,70\n")


@pytest.mark.parametrize("heading", ["dwell (s)", "speed (km/h)", "x (m)"])
def test_other_numbers_are_no_times(heading: str) -> None:
    found = read(f"{heading},position,temp_c\n3,FL,80\n1,FR,81\n4,RL,70\n2,RR,71\n")
    assert any(f'not used: "{heading}"' in note for note in found.record.notes)


def test_beside_a_time_it_stays_unused() -> None:
    found = read("time_s,counter (s),position,temp_c\n0,1,FL,80\n9,2,FR,81\n20,3,RL,70\n")
    assert found.readings.elapsed_s.tolist() == [0, 9, 20]


@pytest.mark.parametrize("heading", ["time_s", "t (min)", "timer (s)"])
def test_times_below_zero_blame_no_moment_that_nobody_stated(heading: str) -> None:
    with pytest.raises(LogRefusedError, match="every time lies below zero"):
        read(log(heading, start=-600))
