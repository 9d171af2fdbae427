"""Times that cannot be those of a walk: doubled stamps, one second for all wheels, hours alone, counted down.

All logs are invented. What a careful technician makes of each was written down before it was run.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from coolinglogs import checked

WHEELS = {"FL": 77.0, "FR": 75.0, "RL": 53.0, "RR": 52.0}  # rises at the start [K]


def log(stamp: Callable[[int, int], object], *, heading: str = "time_s", tau_s: float = 2000.0) -> str:
    """A sound car read in four rounds, four minutes apart, twelve seconds from wheel to wheel."""
    rows = [f"{heading},position,temp_c"]
    for turn in range(4):
        for k, (wheel, rise_k) in enumerate(WHEELS.items()):
            degc = 18.0 + rise_k * math.exp(-(240 * turn + 12 * k) / tau_s)
            rows.append(f"{stamp(turn, k)},{wheel},{degc:.1f}")
    return "# ambient: 18 C\n" + "\n".join(rows) + "\n"


@pytest.mark.parametrize(
    ("stamp", "heading"),
    [
        (lambda turn, k: 240 * turn + k // 2, "time_s"),  # doubled: four wheels in one second
        (lambda turn, k: 240 * turn + k, "time_s"),  # a wheel a second
        (lambda turn, k: f"14:{3 + 4 * turn:02d}:{k // 2:02d}", "time"),
        (lambda *_: "14:03", "time"),  # one minute for four rounds
        (lambda *_: "14", "time_s"),
        (lambda turn, _: f"14:{3 + 4 * turn:02d}", "time_s"),  # hours and minutes under a heading of seconds
    ],
)
def test_times_of_no_walk_answer_nothing(thermlog, tmp_path, stamp, heading):
    code, told = checked(thermlog, tmp_path, log(stamp, heading=heading))

    assert code == 1
    for name in ("drag", "idle"):
        answer = told["answers"][name]
        assert answer["answer"] == "cannot_tell"
        assert {one["code"] for one in answer["reasons"]} & {"impossible_pace", "no_times"}


@pytest.mark.parametrize(
    ("stamp", "heading"),
    [
        (lambda turn, k: 240 * turn + 12 * k, "time_s"),
        (lambda turn, k: 240 * turn + 2 * k, "time_s"),  # briskly
        (lambda turn, _: f"14:{3 + 4 * turn:02d}", "time"),  # to the minute, as it is asked for
        (lambda turn, k: 2000 - 240 * turn - 12 * k, "time_s"),  # counted down while the brakes cool
    ],
)
def test_times_that_can_be_told_apart_or_are_of_the_minute_do(thermlog, tmp_path, stamp, heading):
    code, told = checked(thermlog, tmp_path, log(stamp, heading=heading))

    assert (code, told["answers"]["drag"]["answer"], told["answers"]["idle"]["answer"]) == (0, "no", "no")
    assert not any("share their second" in note for note in told["log"]["notes"])


def test_one_second_for_all_wheels_of_a_round_is_named(thermlog, tmp_path):
    """It can be the time of the round, as in a table with a column a wheel: said, and taken as that."""
    code, told = checked(thermlog, tmp_path, log(lambda turn, _: 240 * turn))

    assert code == 0
    assert [note for note in told["log"]["notes"] if "share their second" in note] == [
        "16 readings share their second with other wheels: nobody reads them at once, so it is taken as the "
        "time of the round"
    ]


def test_counted_down_while_nothing_cools_is_refused(thermlog, tmp_path):
    """Then nothing tells in which order the wheels were read."""
    (tmp_path / "log.csv").write_text(log(lambda turn, k: 2000 - 240 * turn - 12 * k, tau_s=1e9))
    ran = thermlog("check", "log.csv")

    assert (ran.code, "log.csv, line 4" in ran.err) == (3, True)
