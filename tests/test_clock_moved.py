"""A pause in which no brake cooled as it does: the clock was moved. A real pause, and a slow brake, are none.

The walks are computed: every wheel cools by its time constant in the time that really passed.
"""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from thermlog.judging.clock_moved import clock_moved
from thermlog.words.policy import load_policy
from thermlog.words.tables import Case, LogRecord, Pause

RISES_K = {"1L": 98.0, "2L": 57.0, "2R": 56.0, "1R": 96.0}
START_S = 13 * 3600 + 50 * 60
HEAD = ("# weight: light", "# axles: steer axle", "# brakes: disc disc", "# ambient: 18 C")


def walked(
    file: str,
    tau_min: float,
    minutes: float,
    *,
    real: bool,
    rounds: int = 3,
    before: int = 4,
    part: float = 1.0,
) -> None:
    """A log whose clock shows so many minutes more from its fifth reading on, whether they passed or not."""
    lines, now_s, late_s = [*HEAD, "time,position,temp_c"], START_S, 0.0
    order = list(RISES_K)
    for count in range(4 * rounds):
        corner = (order if count // 4 % 2 == 0 else order[::-1])[count % 4]
        late_s = 60.0 * minutes if count >= before else 0.0
        cooled_s = now_s - START_S + 30.0 + (late_s if real else 0.0)
        degc = 18.0 + part * RISES_K[corner] * math.exp(-cooled_s / 60.0 / tau_min)
        shown = int(now_s + late_s)
        lines.append(f"{shown // 3600 % 24}:{shown // 60 % 60:02d}:{shown % 60:02d},{corner},{degc:.1f}")
        now_s += 15 if count % 4 < 3 else 180
    Path(file).write_text("\n".join(lines) + "\n", encoding="utf-8")


def checked(thermlog, file: str):
    return json.loads(thermlog("check", file, "--format", "json").out)


@pytest.mark.parametrize(
    ("tau_min", "minutes", "rounds"),
    [
        (tau_min, minutes, rounds)
        for tau_min in (12, 27, 60, 200)
        for minutes in (35, 60, 120)
        for rounds in (2, 3)
        # so slow a brake keeps nearly all in half an hour; two rounds of a quick one are those of a slow one
        if minutes > 35 or (tau_min < 200 and (tau_min, rounds) != (12, 2))
    ],
)
def test_a_clock_put_forward_is_the_answer_the_reason_and_what_to_do(thermlog, tau_min, minutes, rounds):
    walked("log.csv", tau_min, minutes, real=False, rounds=rounds)
    found = checked(thermlog, "log.csv")
    for answer in found["answers"].values():
        assert answer["answer"] == "cannot_tell"
        assert [one["code"] for one in answer["reasons"]] == ["clock_moved"]
    assert found["answers"]["drag"]["reasons"][0]["numbers"]["line"] == 10
    assert found["next_check"]["id"] == "correct_clock"
    assert "times from line 10 of the log on" in found["next_check"]["question"]


@pytest.mark.parametrize("minutes", [16, 20, 25])
@pytest.mark.parametrize("tau_min", [12, 27, 45])
def test_a_jump_of_a_quarter_of_an_hour_within_a_walk_is_told(thermlog, tau_min, minutes):
    """With the three minutes of a usual pause it is as long again as four time constants allow."""
    walked("log.csv", tau_min, minutes, real=False, rounds=4, before=8)
    found = checked(thermlog, "log.csv")
    assert {one["answer"] for one in found["answers"].values()} == {"cannot_tell"}
    assert found["next_check"]["id"] == "correct_clock"


@pytest.mark.parametrize("minutes", [5, 16, 20, 25])
@pytest.mark.parametrize("tau_min", [12, 27, 45, 100])
def test_a_real_pause_of_that_length_is_none(thermlog, tau_min, minutes):
    walked("log.csv", tau_min, minutes, real=True, rounds=4, before=8)
    found = checked(thermlog, "log.csv")
    codes = {one["code"] for answer in found["answers"].values() for one in answer["reasons"]}
    assert "clock_moved" not in codes


@pytest.mark.parametrize("before", [4, 6, 8])
def test_it_is_told_wherever_in_the_walk_the_clock_was_moved(thermlog, before):
    walked("log.csv", 27.0, 60.0, real=False, before=before)
    assert checked(thermlog, "log.csv")["next_check"]["id"] == "correct_clock"


@pytest.mark.parametrize(
    ("tau_min", "minutes"), [(12, 60), (27, 35), (27, 60), (60, 60), (200, 60), (200, 120)]
)
def test_who_really_waited_is_answered(thermlog, tau_min, minutes):
    walked("log.csv", tau_min, minutes, real=True)
    found = checked(thermlog, "log.csv")
    assert found["answers"]["drag"]["answer"] == "no"
    assert found["answers"]["idle"]["answer"] == "no"


@pytest.mark.parametrize(("minutes", "said"), [(170, "173 min lie"), (177, "3 h lie"), (1440, "24 h lie")])
def test_a_long_pause_is_told_in_hours(thermlog, minutes, said):
    walked("log.csv", 27.0, minutes, real=False)
    text = Path("log.csv").read_text().splitlines()
    if minutes == 1440:  # a day that was typed wrongly
        text = [re.sub(r"^(\d+):", rf"2031-05-0{4 if k < 9 else 5}T\1:", line) for k, line in enumerate(text)]
        Path("log.csv").write_text("\n".join(text) + "\n")
    assert checked(thermlog, "log.csv")["answers"]["drag"]["reasons"][0]["text"].startswith(said)


def test_of_a_vehicle_without_heat_nothing_is_said_of_the_clock(thermlog):
    walked("log.csv", 27.0, 60.0, real=False, part=0.03)
    assert "clock" not in checked(thermlog, "log.csv")["next_check"]["question"]


LIGHT = load_policy("light")
CASE = Case(log=LogRecord(file="x", sha256="0" * 64, rows_read=0, rows_used=0), ambient_degc=20.0)


def moved(kept: float, seconds: float = 3600.0, *within: tuple[float, float, float]) -> bool:
    """100 K over the air before the pause, and this part of it after."""
    pause = Pause(line=7, seconds=seconds, across=((120.0, 20.0 + 100.0 * kept),) * 3, within=within)
    return bool(clock_moved(replace(CASE, pause=pause), LIGHT))


@pytest.mark.parametrize(("kept", "told"), [(0.847, True), (0.846, False)])
def test_an_hour_leaves_the_slowest_brake_so_much(kept, told):
    """exp(-1 h / 6 h) = 0.8465, by the time constant that no parked brake exceeds: the others stood, too."""
    assert moved(kept, 3600.0, (120.0, 120.0, 200.0)) is told


@pytest.mark.parametrize(("kept", "told"), [(0.656, True), (0.654, False)])
def test_without_other_readings_what_is_believed_of_brakes_is_the_line(kept, told):
    """Three spreads over the slower kind of the policy: 1900 s exp(1.5); exp(-3600 / 8515) = 0.6552."""
    assert moved(kept) is told


@pytest.mark.parametrize(("kept", "told"), [(0.607, True), (0.606, False)])
def test_four_times_the_time_constant_of_the_other_readings_is_the_line(kept, told):
    """Two readings 10 min apart tell 30 min: 100 K to 100 exp(-1/3) K; exp(-60 / 120) = 0.6065."""
    pair = (120.0, 20.0 + 100.0 * math.exp(-1.0 / 3.0), 600.0)
    assert moved(kept, 3600.0, pair) is told


def test_half_of_the_wheels_decide_and_cold_ones_say_nothing():
    hot, cold, cooled = (120.0, 115.0), (34.9, 34.9), (120.0, 60.0)
    for across, told in (
        ((hot, hot, cooled), True),
        ((hot, cooled, cooled), False),
        ((cold, cold, cooled), False),
        ((cold,), False),
        ((), False),
    ):
        pause = Pause(line=7, seconds=3600.0, across=across)
        assert bool(clock_moved(replace(CASE, pause=pause), LIGHT)) is told
    assert not clock_moved(CASE, LIGHT)


@pytest.mark.parametrize(("above_k", "told"), [(14.9, False), (15.0, True)])
def test_a_brake_is_warm_enough_to_tell_from_15_kelvin_on(above_k, told):
    """By its loss over the pause, and by its loss between two other readings."""
    pause = Pause(line=7, seconds=3600.0, across=((20.0 + above_k, 20.0 + 0.99 * above_k),))
    assert bool(clock_moved(replace(CASE, pause=pause), LIGHT)) is told
    # 30 min by these two readings leave 0.607 at most, what is believed of brakes 0.655: 0.63 is between
    half = (20.0 + above_k, 20.0 + above_k * math.exp(-1.0 / 3.0), 600.0)
    assert moved(0.63, 3600.0, half) is told


@pytest.mark.parametrize("nothing", [(120.0, 110.0, 0.0), (34.0, 30.0, 600.0)], ids=["one moment", "cold"])
def test_readings_that_tell_no_time_constant_leave_what_is_believed(nothing):
    assert moved(0.656, 3600.0, nothing)
    assert not moved(0.654, 3600.0, nothing)


@pytest.mark.parametrize(
    "stood", [(120.0, 120.0, 200.0), (120.0, 125.0, 200.0), (120.0, 20.0, 200.0), (120.0, 19.0, 1.0)]
)
def test_a_reading_that_stands_climbs_or_is_at_the_air_tells_no_quick_brake(stood):
    assert moved(0.847, 3600.0, stood)
    assert not moved(0.846, 3600.0, stood)


def test_the_reason_says_how_long_and_where():
    pause = Pause(line=7, seconds=3600.0, across=((120.0, 119.0),))
    (reason,) = clock_moved(replace(CASE, pause=pause), LIGHT)
    assert reason.numbers == {"line": 7.0, "minutes": 60.0}


@pytest.mark.parametrize(("seconds", "told"), [(900, False), (901, True)])
def test_a_pause_is_long_from_a_quarter_of_an_hour_on(thermlog, seconds, told):
    """Two rounds and nothing lost between them: in a shorter one it is a brake that does not cool."""
    rows = [f"{20 * k},{corner},{18 + rise:.1f}" for k, (corner, rise) in enumerate(RISES_K.items())]
    rows += [
        f"{60 + seconds + 20 * k},{corner},{18 + RISES_K[corner]:.1f}" for k, corner in enumerate(RISES_K)
    ]
    Path("log.csv").write_text("\n".join([*HEAD, "time_s,position,temp_c", *rows]) + "\n")
    assert (checked(thermlog, "log.csv")["next_check"]["id"] == "correct_clock") is told


@pytest.mark.parametrize("early", [1, 5, 8])
def test_several_readings_before_the_parked_moment_accuse_the_parked_line(thermlog, early):
    """Of one reading the time may be wrong as well; of several it is rather the moment that was stated."""
    walked("log.csv", 27.0, 0.0, real=True)
    lines = Path("log.csv").read_text().splitlines()
    after = lines[5 + early].split(",")[0]
    Path("log.csv").write_text("\n".join([f"# parked: {after}", *lines]) + "\n")
    asked = checked(thermlog, "log.csv")["next_check"]
    if early == 1:
        assert f"({early} readings" not in asked["question"]
    else:
        assert asked["id"] == "correct_parked"
        assert asked["question"].startswith(
            f"Correct the parked moment that is stated ({early} readings lie before it, from line 7 on)"
        )
