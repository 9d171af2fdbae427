"""Hardly warm brakes: what shows all the same is watched, and nobody is sent out who says a brake is dead.

Readings invented, each log's answer written as a careful technician would accept it before it was run.
"""

from __future__ import annotations

import pytest
from coolinglogs import checked

from thermlog.words.policy import load_policy
from thermlog.words.reasons import DRIVES

AIR_DEGC = 16.0
NEEDED_K = load_policy("light").minimum_rise_k
STAND = "static_check"


def log(rises_k: dict[str, float], *head: str) -> str:
    """Three agreeing rounds of a walk, each brake losing a tenth of its rise from one to the next."""
    lines = [f"# ambient: {AIR_DEGC:.0f} C", *head, "time_s,position,temp_c"]
    corners = list(rises_k)
    for number in range(3):
        around = corners if number % 2 == 0 else corners[::-1]
        lines += [
            f"{25 + 210 * number + 16 * k},{corner},{AIR_DEGC + rises_k[corner] * 0.9**number:.1f}"
            for k, corner in enumerate(around)
        ]
    return "\n".join(lines) + "\n"


@pytest.fixture
def told(thermlog, tmp_path):
    return lambda text: checked(thermlog, tmp_path, text)[1]


def words(finding) -> dict[str, str]:
    return {one["corner"]: one["verdict"] for one in finding["corners"]}


COLD = {"FL": 2.0, "FR": 1.9, "RL": 1.2, "RR": 1.1}
LUKEWARM = {"FL": 14.0, "FR": 13.6, "RL": 10.2, "RR": 10.0}
ONE_DEAD = {"FL": 24.0, "FR": 1.9, "RL": 16.0, "RR": 15.4}


@pytest.mark.parametrize("rises_k", [COLD, LUKEWARM], ids=["cold", "lukewarm"])
@pytest.mark.parametrize(
    ("said", "first"),
    [
        ("# note: FR no pads fitted", STAND),
        ("# note: FR does not brake", STAND),
        ("# note: FR hose disconnected", STAND),
        ("# seen: pulls left", "compare_forces"),
        ("# seen: ABS lamp on", "read_memory"),
    ],
)
def test_nobody_drives_to_warm_a_brake_of_which_somebody_complains(told, rises_k, said, first):
    finding = told(log(rises_k, said))
    assert finding["answers"]["idle"]["answer"] == "cannot_tell"
    assert finding["next_check"]["id"] == first
    for answer in finding["answers"].values():  # nor by what would decide the others
        steps = [one["code"] for one in answer["decides"]]
        drive = min((k for k, code in enumerate(steps) if code in DRIVES), default=len(steps))
        assert first in steps[:drive] or drive == len(steps)


def test_without_a_complaint_the_drive_stays(told):
    assert told(log(LUKEWARM))["next_check"]["id"] in DRIVES


def test_what_was_said_is_the_finding_and_not_the_missing_heat(told):
    finding = told(log(COLD, "# note: FR no pads fitted"))
    assert finding["answers"]["idle"]["reasons"][0]["code"] == "said_idle"
    assert finding["answers"]["idle"]["corners"] == ["1R"]
    assert words(finding)["1R"] == "cannot_tell"


def test_a_dead_brake_beside_a_plain_gap_is_watched_however_little_heat_there_is(told):
    """The left front is 20 K warmer, past the watch mark of 15, the right one as cold as the air."""
    finding = told(log(ONE_DEAD))
    assert max(ONE_DEAD.values()) <= NEEDED_K
    assert (finding["answers"]["idle"]["answer"], finding["answers"]["idle"]["corners"]) == ("watch", ["1R"])
    assert finding["next_check"]["id"] == STAND
    assert words(finding)["1R"] == "watch"


def test_it_is_called_once_there_is_the_heat_and_only_watched_before(told):
    order = ("cannot_tell", "watch", "yes")
    rises_k = (18.0, 20.0, 23.0, 26.0, 29.0, 34.0, 60.0)
    found = [order.index(told(log(ONE_DEAD | {"FL": k}))["answers"]["idle"]["answer"]) for k in rises_k]
    assert found == sorted(found)
    assert (found[0] < order.index("yes"), found[-1]) == (True, order.index("yes"))


def test_two_dead_brakes_across_are_named_both(told):
    finding = told(log(ONE_DEAD | {"RL": 1.0}))
    assert finding["answers"]["idle"]["answer"] == "watch"
    assert "1R" in finding["answers"]["idle"]["corners"]
    assert finding["next_check"]["id"] == STAND
