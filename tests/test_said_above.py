"""Lines above a table, in the words of a workshop, of one wheel, all brakes, the drive, the gun or the walk.

The figures are those of a sound van. What a careful technician accepts was written before any log was run;
the last list is of everyday lines that must not keep anybody. Common practice, no source.
"""

from __future__ import annotations

import pytest
from judgedtext import words_and_step
from test_asked_columns import with_line

OPEN = [
    "Bremsen heiß gelaufen", "freins surchauffés", "frenos recalentados", "brakes overheating on hills",
    "fire brigade attended", "mit angezogener Handbremse gefahren", "roulé avec le frein à main",
    "EPB warning", "voyant de frein allumé", "direkt nach Waschanlage", "après lavage", "car wash before",
    "ice on disc", "Bremse war festgefroren", "freins gelés", "RR isolated", "RR without pads",
    "HR nicht zugänglich", "ARD inaccessible", "could not get to RR", "no time for RR",
    "readings by apprentice, not sure which side", "sides may be swapped", "last round estimated",
    "gun was on max hold", "gun on MAX",
]  # fmt: skip
WEIGHED = [
    "brakes ran hot", "steering wheel pulls", "wanders when braking", "pedal pulsates", "air in the system",
    "stopped with handbrake only", "frozen brakes this morning", "gun not calibrated", "covers on rear",
    "Radkappen drauf", "enjoliveurs en place", "con tapacubos", "incomplete", "walk interrupted by phone",
    "abgebrochen", "trailer brakes late",
]  # fmt: skip
CLEAR = [
    "Brake check, spring", "routine check before MOT", "3 rounds, both sides", "rounds 1 to 3, side by side",
    "stood for 25 s before the first shot", "parked on level ground", "stand 3, bay 2", "drive 12 km, mixed",
    "test drive 2.5 km with 10 stops", "gefahren 15 km Landstrasse", "gun set to 0.95, distance 0.3 m",
    "gun checked against boiling water", "max of 3 shots each", "customer says all fine", "keine Mängel",
    "aucun défaut", "ninguna avería", "cold morning", "hot day, 31 C in the sun", "sunny side is the left",
    "wheel nuts torqued 120 Nm", "wheel trims off", "alloy wheels", "rear drums, front discs",
    "discs at 11 mm, pads 7 mm", "no warning lamps", "pas de voyant", "handbrake off during readings",
    "washed last week", "red van", "fire extinguisher on board", "radio broken", "horn not working",
    "tail light defect", "clutch slips", "Name: Ida, Alter: 19", "walk: FL, FR, RR, RL", "bad weather",
    "poor light in the bay", "status: done", "result: even", "hotter than yesterday", "complete",
    "alle Räder drehen frei", "toutes les roues tournent librement", "rolls freely", "OK ✅",
]  # fmt: skip


@pytest.fixture
def told(thermlog):
    """Exit code and what to do next."""

    return lambda line: words_and_step(thermlog, with_line(line))[::2]


@pytest.mark.parametrize("line", OPEN)
def test_a_line_that_tells_against_the_figures_clears_nothing(told, line):
    code, next_check = told(line)
    assert (code, next_check == "keep_record") == (1, False)


@pytest.mark.parametrize("line", WEIGHED)
def test_a_line_that_may_matter_is_weighed_first(told, line):
    assert told(line) == (0, "weigh_remark")


@pytest.mark.parametrize("line", CLEAR)
def test_an_everyday_line_asks_for_nothing(told, line):
    assert told(line) == (0, "keep_record")
