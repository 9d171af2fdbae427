"""A row a wheel with a column of times a round: the rows stand as written, the wheels were read as walked.

All logs are invented. What a careful technician makes of each was written down before it was run.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest
from readcases import read

from thermlog.words.errors import LogRefusedError

# The first round down the left side and up the right one, the second the other way, the third as the first.
THERE_AND_BACK = {
    "FL": ((15, 119), (306, 94), (507, 79)),
    "RL": ((29, 76), (291, 62), (521, 53)),
    "RR": ((46, 153), (275, 125), (537, 100)),
    "FR": ((60, 118), (261, 96), (552, 75)),
}
_Write = Callable[[int], str]


def table(write: _Write, unit: str = "", *, rounds: Sequence[int] = (0, 1, 2), shift_s: int = 0) -> str:
    heads = [f"time {k + 1}{unit},temp {k + 1}" for k in range(len(rounds))]
    body = [
        ",".join([wheel, *(f"{write(cells[k][0] + shift_s)},{cells[k][1]}" for k in rounds)])
        for wheel, cells in THERE_AND_BACK.items()
    ]
    return "\n".join(["# ambient: 16 C", ",".join(["wheel", *heads]), *body]) + "\n"


def clock(time_s: int) -> str:
    return f"10:{time_s // 60:02d}:{time_s % 60:02d}"


@pytest.mark.parametrize(
    ("write", "unit"),
    [
        (str, ""),
        (str, " (s)"),
        (lambda s: f"{s} s", ""),
        (lambda s: f"{s / 60:.4f}", " (min)"),
        (lambda s: f"{s // 60}:{s % 60:02d}", ""),
        (clock, ""),
    ],
)
@pytest.mark.parametrize("count", [2, 3])
def test_rounds_walked_the_other_way_are_one_walk(write: _Write, unit: str, count: int) -> None:
    times = [cells[k][0] for k in range(count) for cells in THERE_AND_BACK.values()]
    elapsed_s = read(table(write, unit, rounds=range(count))).readings.elapsed_s

    assert sorted(elapsed_s - elapsed_s.min()) == pytest.approx(sorted(time - 15 for time in times), abs=0.01)


def test_the_newest_round_may_stand_first() -> None:
    readings = read(table(str, rounds=(2, 1, 0))).readings

    assert readings.elapsed_s[readings.indicated_degc.argmax()] == 46


def test_a_watch_started_anew_for_a_round_is_refused() -> None:
    anew = {507: "27", 521: "41", 537: "57", 552: "72"}
    text = table(lambda s: anew.get(s, str(s)))

    with pytest.raises(LogRefusedError, match="start again here") as refusal:
        read(text)
    assert (refusal.value.code, refusal.value.value) == ("starts_again", "27")


def test_a_watch_of_minutes_and_seconds_still_passes_the_hour() -> None:
    def past(time_s: int) -> str:
        return f"{(time_s // 60 + 58) % 60}:{time_s % 60:02d}"

    forth = {15: 15, 29: 29, 46: 46, 60: 60, 261: 306, 275: 291, 291: 275, 306: 261}  # both rounds one way
    found = read(table(lambda s: past(forth[s] + 60 if s < 61 else forth[s]), rounds=(0, 1)))

    assert found.readings.elapsed_s.max() - found.readings.elapsed_s.min() < 600
