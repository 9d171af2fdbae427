"""Remarks that the walk as a whole was taken amiss: halves swapped, unit unsure, to be read again, invented.

A careful technician who hears one of these takes the walk again; wheels that were changed over, a service
that is to be repeated and a gun aimed at the discs are none of it. Texts are invented; the answers were
written before any was run.
"""

from __future__ import annotations

import pytest
from answeredtext import CLEARED, HEAD, OPEN, TABLE, answered, with_column

OF_ALL = [
    "fronts and rears swapped", "left and right swapped", "vorn und hinten vertauscht", "units unsure",
    "maybe Fahrenheit", "Einheit unklar", "gun aimed at tyres", "fake numbers", "void", "to be repeated",
    "repeat needed", "zu wiederholen", "à refaire", "only fronts read", "left side read only",
    "nur vorn gemessen", "geschätzt", "uppskattat", "tahmini",
]  # fmt: skip
OF_A_WHEEL = ["RR not read properly", "RR badly read", "RR to be repeated", "HR nicht richtig gemessen"]
INNOCENT = [
    "left and right wheels swapped", "front and rear wheels swapped", "left and right pads swapped",
    "tyres swapped left to right", "left and right checked", "front and rear read", "fronts first then rears",
    "test to be repeated next year", "service to be repeated", "repeat visit", "voided invoice", "unit 12",
    "units in C", "not fake", "road test repeated", "gun aimed at discs", "aimed left to right",
    "only fronts are discs", "read properly", "RR read twice", "measured again at 11", "still raining",
    "wieder da", "encore un tour", "second axle fine", "lift axle not fitted", "last service not checked",
    "lights not checked", "axle load not measured", "lose Ladung", "losse lading", "puxa bem", "mole",
]  # fmt: skip


@pytest.mark.parametrize("text", OF_ALL)
def test_a_walk_that_was_taken_amiss_clears_nothing(text: str) -> None:
    assert answered(f"{HEAD}# {text}\n{TABLE}") == OPEN


@pytest.mark.parametrize("text", OF_A_WHEEL)
def test_a_wheel_that_was_read_amiss_is_not_cleared(text: str) -> None:
    found = answered(f"{HEAD}# {text}\n{TABLE}")
    assert (found.flagged, found.drag, found.idle) == (True, "cannot_tell", "cannot_tell")


@pytest.mark.parametrize("text", INNOCENT)
def test_what_is_of_something_else_leaves_a_healthy_log_healthy(text: str) -> None:
    assert answered(f"{HEAD}# {text}\n{TABLE}") == CLEARED
    assert answered(with_column("note", {"RR": text})) == CLEARED
