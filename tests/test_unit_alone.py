"""One wheel stated in another unit than all others of its drive: read as stated, and not cleared by that.

All logs are invented; what a careful technician says of each was written before it was run: a gun shows one
unit until somebody switches it, so one wheel alone in °F was rather written down wrongly, and "182 °F" may
be 182 °C. He reads that wheel again. Several wheels, or the later rows of each, in the other unit are those
of a gun that was switched, and are believed. Numbers by the definition of the scales.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

import pytest
from coolinglogs import checked, readings

RISES = {"FL": 64.0, "FR": 63.0, "RR": 42.0, "RL": 43.0}  # at the start [K]
CORNERS = {"FL": "1L", "FR": "1R", "RL": "2L", "RR": "2R"}


def written(degc: float, unit: str) -> str:
    return f"{degc:.1f} °C" if unit == "C" else f"{degc * 1.8 + 32:.0f} °F"


def log(unit_of: Callable[[int, str], str], *, rounds: int = 3, rises=RISES) -> str:
    """A sound car; `unit_of` gives the unit of the reading of so many, and its wheel."""
    rows = ["# ambient: 18 C", "time_s,position,temp"]
    for k, (second, wheel, degc) in enumerate(readings(rises, rounds=rounds)):
        rows.append(f"{second},{wheel},{written(degc, unit_of(k, wheel))}")
    return "\n".join(rows) + "\n"


def alone(wheel: str, *, own: str, others: str) -> Callable[[int, str], str]:
    return lambda _, one: own if one == wheel else others


def reasons(answer) -> Sequence[tuple[str, list[str]]]:
    return [(one["code"], one["corners"]) for one in answer["reasons"] if one["code"] == "other_unit"]


@pytest.mark.parametrize("rounds", [1, 2, 4])
@pytest.mark.parametrize("wheel", RISES)
def test_one_wheel_in_fahrenheit_among_celsius_is_not_cleared_of_dragging(thermlog, tmp_path, wheel, rounds):
    """60 °C are written 140 °F: in °C that wheel would be 80 K hotter than its mate."""
    text = log(alone(wheel, own="F", others="C"), rounds=rounds)
    code, told = checked(thermlog, tmp_path, text)
    drag = told["answers"]["drag"]

    assert (code, drag["answer"]) == (1, "cannot_tell")
    assert reasons(drag) == [("other_unit", [CORNERS[wheel]])]
    assert told["answers"]["idle"]["answer"] == "no" or rounds == 1  # hotter or not: it works
    assert drag["decides"][0]["code"] == told["next_check"]["id"] == "read_again"
    assert drag["decides"][0]["corners"][0] == CORNERS[wheel]
    assert told["urgent"] == []


@pytest.mark.parametrize("wheel", RISES)
def test_one_wheel_in_celsius_among_fahrenheit_is_not_cleared_of_doing_nothing(thermlog, tmp_path, wheel):
    """60 °C among 140 °F: read as 60 °F they would be 16 °C, a brake without heat; and no drag either way."""
    code, told = checked(thermlog, tmp_path, log(alone(wheel, own="C", others="F")))
    idle = told["answers"]["idle"]

    assert (code, idle["answer"], told["answers"]["drag"]["answer"]) == (1, "cannot_tell", "no")
    assert reasons(idle) == [("other_unit", [CORNERS[wheel]])]
    assert told["next_check"]["id"] == "read_again"
    assert next(one["verdict"] for one in told["corners"] if one["corner"] == CORNERS[wheel]) == "cannot_tell"


SWITCHED: dict[str, Callable[[int, str], bool]] = {
    "all": lambda k, _: k >= 0,
    "half way": lambda k, _: k >= 6,
    "and back": lambda k, _: k < 6,
    "after two": lambda k, _: k >= 2,
    "an axle": lambda _, wheel: wheel in {"RL", "RR"},
    "every other": lambda k, _: bool(k % 2),
    "the last": lambda k, _: k == 11,
}


@pytest.mark.parametrize("in_fahrenheit", SWITCHED.values(), ids=SWITCHED)
def test_a_gun_that_was_switched_is_believed(thermlog, tmp_path, in_fahrenheit):
    text = log(lambda k, wheel: "F" if in_fahrenheit(k, wheel) else "C")
    code, told = checked(thermlog, tmp_path, text)

    assert (code, told["answers"]["drag"]["answer"], told["answers"]["idle"]["answer"]) == (0, "no", "no")


@pytest.mark.parametrize("figure", [61, 64])
def test_a_wheel_that_is_cold_as_stated_is_read_again_before_it_is_called(thermlog, tmp_path, figure):
    """61 °F are 16 °C, and 61 °C fit its mate: a slip of the pen, or a brake that does nothing."""
    text = log(lambda *_: "C", rounds=2)
    rows = [f"{row.rsplit(',', 1)[0]},{figure} °F" if ",RR," in row else row for row in text.splitlines()]
    _, told = checked(thermlog, tmp_path, "\n".join(rows) + "\n")
    idle = told["answers"]["idle"]

    assert (idle["answer"], idle["corners"]) == ("cannot_tell", ["2R"])
    assert told["next_check"]["id"] == "read_again"


def test_another_brake_that_drags_or_does_nothing_is_called_all_the_same(thermlog, tmp_path):
    unit_of = alone("RL", own="F", others="C")
    _, hot = checked(thermlog, tmp_path, log(unit_of, rises=RISES | {"FL": 160.0}))
    _, cold = checked(thermlog, tmp_path, log(unit_of, rises=RISES | {"FR": 3.0}))

    assert (hot["answers"]["drag"]["answer"], hot["answers"]["drag"]["corners"]) == ("yes", ["1L"])
    assert (cold["answers"]["idle"]["answer"], cold["answers"]["idle"]["corners"]) == ("yes", ["1R"])


def test_units_of_a_column_and_of_headings_count_alike(thermlog, tmp_path):
    by_row, by_wheel = ["time_s,position,temp,unit"], ["time_s,fl_c,fr_c,rr_f,rl_c"]
    for second, wheel, degc in readings(RISES, rounds=2):
        figure, unit = written(degc, "F" if wheel == "RR" else "C").split(" ")
        by_row.append(f"{second},{wheel},{figure},{unit}")
        by_wheel += [f"{second},{figure}"] if wheel == "FL" else []
        by_wheel[-1] += "" if wheel == "FL" else f",{figure}"
    for rows in (by_row, by_wheel):
        code, told = checked(thermlog, tmp_path, "\n".join(["# ambient: 18 C", *rows]) + "\n")
        assert (code, reasons(told["answers"]["drag"])) == (1, [("other_unit", ["2R"])])


def test_hubs_in_their_own_unit_are_no_wheel_of_another(thermlog, tmp_path):
    """Every wheel has a brake in °C and a hub in °F, as two guns show them."""
    rows = ["# ambient: 18 C", "time_s,position,temp,spot"]
    for second, wheel, degc in readings(RISES, rounds=3):
        rows.append(f"{second},{wheel},{written(degc, 'C')},brake")
        rows.append(f"{second + 5},{wheel},{written(30.0, 'F')},hub")
    code, told = checked(thermlog, tmp_path, "\n".join(rows) + "\n")

    assert (code, told["answers"]["drag"]["answer"]) == (0, "no")


@pytest.mark.parametrize("wheel", RISES)
def test_what_would_be_too_hot_to_drive_is_not_sent_on_a_drive(thermlog, tmp_path, wheel):
    """250 °F are 121 °C and no stop by themselves; 250 °C nobody drives to find out."""
    rises = {one: 100.0 if one[0] == wheel[0] else rise for one, rise in RISES.items()}
    text = log(alone(wheel, own="F", others="C"), rounds=2, rises=rises)
    _, told = checked(thermlog, tmp_path, text)
    steps = {one["code"] for answer in told["answers"].values() for one in answer["decides"]}

    assert told["urgent"] == []
    assert not steps & {"coast_drive", "drive_with_braking", "repeat_drive"}


def test_fleet_says_the_same_of_one_among_many(thermlog, tmp_path):
    for k in range(3):
        (tmp_path / f"{k}.csv").write_text(f"# vehicle: car {k}\n{log(lambda *_: 'F')}", encoding="utf-8")
    (tmp_path / "odd.csv").write_text(log(alone("FR", own="F", others="C")), encoding="utf-8")
    ran = thermlog("fleet", str(tmp_path), "--format", "json")
    found = {one["log"]["file"].rsplit("/", 1)[-1]: one for one in json.loads(ran.out)["logs"]}

    assert found["odd.csv"]["answers"]["drag"]["answer"] == "cannot_tell"
    assert {found[f"{k}.csv"]["answers"]["drag"]["answer"] for k in range(3)} == {"no"}


def test_inspect_shows_it(thermlog, tmp_path):
    (tmp_path / "log.csv").write_text(log(alone("FR", own="F", others="C")), encoding="utf-8")
    out = thermlog("inspect", "log.csv").out

    assert 'line 4, "177 °F": in a unit of its own' in out  # read 15 s after the stop: 80.5 °C
    assert "a check will lack: one unit for all wheels: 1R" in out
