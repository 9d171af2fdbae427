"""What a fault that is called forbids stands in the last lines: of a check, and of a comparison."""

from __future__ import annotations

from pathlib import Path

import pytest
from advicecases import CAR, answered
from judgecases import EXACT, LIGHT, VAN_K, told, walked
from logs import DRAGGING_K, HEALTHY_K, log_text
from msgspec.structs import replace

from thermlog.advice.cautions import of_faults
from thermlog.reports.report_text import last_lines
from thermlog.words.findings import Answer

DRAGS = "Do not keep driving a dragging brake"
DEAD = "Do not rely on a vehicle with a brake that does not work: no driving on the road"
FAULTS = {
    "even": (HEALTHY_K, ()),
    "drags": (DRAGGING_K, (DRAGS,)),
    "dead": (HEALTHY_K | {"2R": 1.0}, (DEAD,)),
    "both": (HEALTHY_K | {"1L": 230.0, "2R": 1.0}, (DRAGS, DEAD)),
}


def caution(text: str) -> str:
    (line,) = (line for line in text.splitlines() if line.startswith("CAUTION"))
    return line


@pytest.mark.parametrize("name", FAULTS)
def test_a_check_says_what_its_fault_forbids(thermlog, name: str) -> None:
    rises_k, forbidden = FAULTS[name]
    Path("log.csv").write_text(log_text(rises_k))
    line = caution(thermlog("check", "log.csv", "--quiet").out)
    assert [words for words in (DRAGS, DEAD) if words in line] == list(forbidden)


@pytest.mark.parametrize("name", FAULTS)
def test_a_comparison_says_what_the_fault_of_its_last_log_forbids(thermlog, name: str) -> None:
    """It came up after the first log; that even temperatures clear nothing is still said behind it."""
    rises_k, forbidden = FAULTS[name]
    Path("before.csv").write_text(log_text(HEALTHY_K | {"1R": 104.0}))
    Path("after.csv").write_text(log_text(rises_k))
    line = caution(thermlog("compare", "before.csv", "after.csv", "--quiet").out)
    assert [words for words in (DRAGS, DEAD) if words in line] == list(forbidden)
    assert "Even temperatures screen" in line
    assert not forbidden or line.index(forbidden[0]) < line.index("Even temperatures")


def test_a_brake_only_watched_or_cold_by_description_forbids_nothing_here() -> None:
    dead = replace(answered("none"), idle=Answer(answer="yes", corners=("2R",)))
    assert of_faults(dead, CAR).startswith(DEAD)
    motor = replace(CAR, regenerative=True)
    both = replace(dead, idle=Answer(answer="yes", corners=("2L", "2R")))
    assert of_faults(both, motor) == ""
    assert of_faults(dead, motor).startswith(DEAD)  # its mate had work
    assert of_faults(both, motor, worked=True).startswith(DEAD)
    assert of_faults(replace(dead, idle=replace(dead.idle, answer="watch")), CAR) == ""


DEAD_K = {"1L": 3.0, "2R": 3.0}
FULL_TRAILER_K = {"1L": 3.0, "1R": 57.0, "2L": 3.0, "2R": 53.0}


@pytest.mark.parametrize("rises", [VAN_K | {"2L": 3.0}, FULL_TRAILER_K, VAN_K | DEAD_K])
def test_of_brakes_without_heat_nobody_reads_of_a_dragging_brake(rises):
    one = told(walked(rises, replace(EXACT, rounds=4)), LIGHT)
    assert one.answers.drag.answer != "yes"
    assert one.answers.idle.answer == "yes"
    page = "\n".join((*last_lines(one), *one.cautions))
    assert DEAD in page
    assert DRAGS not in page
