"""Readings as cold as a brake that does nothing, thrown out or set aside beside warm ones of their wheel.

All logs are invented; what a careful technician says of each was written before it was run. A shot beside
the brake reads cold, often; a brake does not lose its heat in a minute. So one cold reading beside two that
make a curve says nothing, first, between or last. Where as many readings are cold as are warm (one and one;
two and two) it may be the warm ones that missed: whether that brake works is open, and it is read again.
Whether it drags is not: neither of the two readings is that of a drag.
"""

from __future__ import annotations

import pytest
from coolinglogs import checked, readings

RISES = {"FL": 77.0, "FR": 75.0, "RR": 52.0, "RL": 53.0}  # at the start [K]
CORNERS = {"FL": "1L", "FR": "1R", "RL": "2L", "RR": "2R"}
COLD = "21.0"


def log(odd: dict[tuple[str, int], str], *, rounds: int) -> str:
    """A sound car read in rounds of three minutes; `odd` gives what stands for a wheel in a round."""
    rows = ["# ambient: 18 C", "time_s,position,temp_c"]
    for number, (second, wheel, degc) in enumerate(readings(RISES, rounds=rounds)):
        rows.append(f"{second},{wheel},{odd.get((wheel, number // len(RISES)), f'{degc:.1f}')}")
    return "\n".join(rows) + "\n"


def told_of(thermlog, tmp_path, odd, rounds):
    code, told = checked(thermlog, tmp_path, log(odd, rounds=rounds))
    answers = told["answers"]
    return code, answers["drag"]["answer"], answers["idle"], told


@pytest.fixture(params=["", "?"], ids=["thrown out", "set aside"])
def mark(request):
    """Behind a cold figure: a reading off the curve of the others, or one that was doubted when written."""
    return request.param


@pytest.mark.parametrize("wheel", RISES)
@pytest.mark.parametrize("read", [(2, [1]), (4, [2, 3]), (4, [1, 3]), (4, [0, 3]), (5, [3, 4])], ids=str)
def test_as_many_cold_readings_as_warm_ones_leave_open_whether_it_works(
    thermlog, tmp_path, wheel, read, mark
):
    rounds, cold = read
    odd = {(wheel, turn): COLD + mark for turn in cold}
    code, drag, idle, told = told_of(thermlog, tmp_path, odd, rounds)

    if rounds == 5:  # three on a curve before two that missed: no brake loses its heat in a minute
        assert (code, drag, idle["answer"]) == (0, "no", "no")
        return
    assert (code, drag) == (1, "no")
    assert idle["answer"] in {"cannot_tell", "watch"}
    assert CORNERS[wheel] in idle["corners"]
    assert told["next_check"]["id"] == ("look_at_log" if mark else "read_again")


@pytest.mark.parametrize("wheel", RISES)
@pytest.mark.parametrize("read", [(3, 0), (3, 1), (3, 2), (4, 0), (4, 3), (6, 5)], ids=str)
def test_one_cold_one_beside_more_warm_ones_opens_nothing(thermlog, tmp_path, wheel, read, mark):
    rounds, turn = read
    code, drag, idle, _ = told_of(thermlog, tmp_path, {(wheel, turn): COLD + mark}, rounds)

    assert (code, drag, idle["answer"]) == (0, "no", "no")


@pytest.mark.parametrize("turn", [0, 1])
@pytest.mark.parametrize("wheel", RISES)
def test_one_warm_reading_and_one_cold_that_was_set_aside_leave_it_open(thermlog, tmp_path, wheel, turn):
    """ "21?" is doubted by who wrote it, and still half of all that was read there."""
    code, drag, idle, _ = told_of(thermlog, tmp_path, {(wheel, turn): COLD + "?"}, 2)

    assert (code, drag, idle["answer"]) == (1, "no", "cannot_tell")
    assert ("aside_colder", [CORNERS[wheel]]) in [(one["code"], one["corners"]) for one in idle["reasons"]]


@pytest.mark.parametrize("degc", ["55?", "44?"])
def test_one_that_is_no_dead_brake_opens_nothing(thermlog, tmp_path, degc):
    """More than half of the heat of the others: less than a lost brake would show."""
    code, _, idle, _ = told_of(thermlog, tmp_path, {("RR", 1): degc}, 2)

    assert (code, idle["answer"]) == (0, "no")


def test_the_finding_of_that_wheel_is_open_and_the_sentence_names_its_line(thermlog, tmp_path):
    text = log({("FR", 2): COLD, ("FR", 3): COLD}, rounds=4)
    _, told = checked(thermlog, tmp_path, text)
    line = text.splitlines().index(f"375,FR,{COLD}") + 1

    assert next(one["verdict"] for one in told["corners"] if one["corner"] == "1R") == "cannot_tell"
    assert f"line {line}: 21 °C at front right lies" in thermlog("check", "log.csv").out
