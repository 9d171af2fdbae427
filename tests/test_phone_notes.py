"""Readings without a header, as they are typed into a phone, with lines of words among or below them.

A careful technician reads the figures and hears the words. Answers were written before any log was run; all
numbers invented.
"""

from __future__ import annotations

import pytest
from answeredtext import CLEARED, answered
from readcases import read

from thermlog.reading.namedaxles import axles_named
from thermlog.words.errors import LogRefusedError

WALK = [
    "10:00 FL 90C", "10:01 FR 88C", "10:02 RL 70C", "10:03 RR 68C",
    "10:05 FL 80C", "10:06 FR 78C", "10:07 RL 62C", "10:08 RR 60C",
]  # fmt: skip
CALM = ["all good", "all good otherwise", "thanks", "see you monday", "handbrake not used", "that is all"]
OPEN = ["not read", "RR binds", "RR binds a bit", "RR too hot", "RR not read", "gun on hold", "RR OL now"]
STOPS = [("RR smoking", "smoke"), ("there was smoke from RR", "smoke"), ("RR hi", "over_range")]


def note(words: str, at: int) -> str:
    """The walk with a line of words before its reading number `at`."""
    return "\n".join(["air 18C", *WALK[:at], words, *WALK[at:], ""])


@pytest.mark.parametrize("at", [4, 8])
@pytest.mark.parametrize("words", CALM)
def test_words_that_say_nothing_of_a_brake_leave_the_walk_as_it_is(words: str, at: int) -> None:
    assert answered(note(words, at)) == CLEARED


@pytest.mark.parametrize("at", [4, 8])
@pytest.mark.parametrize("words", OPEN)
def test_words_of_a_brake_or_the_gun_are_heard(words: str, at: int) -> None:
    found = answered(note(words, at))
    assert found.flagged
    assert (found.drag, found.idle) != ("no", "no")


@pytest.mark.parametrize("at", [4, 8])
@pytest.mark.parametrize(("words", "code"), STOPS)
def test_what_stops_the_vehicle_is_said(words: str, code: str, at: int) -> None:
    assert answered(note(words, at)).urgent == (code,)


def test_a_wheel_without_a_figure_among_them_is_not_read() -> None:
    """Only RR lacks: three wheels read twice, and "RR ?" in its place."""
    lines = [line if "RR" not in line else "RR ?" for line in WALK]
    assert answered("\n".join(["air 18C", *lines, ""])).flagged


def test_more_words_than_half_of_the_readings_make_no_log() -> None:
    """Eight readings bear four lines of words, and no fifth."""
    assert answered(note("\n".join(["all good"] * 4), 8)) == CLEARED
    with pytest.raises(LogRefusedError):
        read(note("\n".join(["all good"] * 5), 8))


@pytest.mark.parametrize(
    ("name", "count"),
    [("tri-axle trailer", 3), ("tandem axle trailer", 2), ("twin-axle caravan", 2), ("quad axle dolly", 4),
     ("triple axle", 3), ("trial axle", 0), ("tandem bicycle", 0)],
)  # fmt: skip
def test_axles_are_counted_in_the_words_of_trailers(name: str, count: int) -> None:
    assert axles_named(name) == count


def test_a_heading_that_is_not_understood_is_no_line_of_words() -> None:
    """The first line of a table names its columns, and may state a unit that is not known."""
    rows = "".join(f"{12 * k},{line.split()[1]},{80 - k}.5\n" for k, line in enumerate(WALK))
    with pytest.raises(LogRefusedError, match="states no temperature unit known here"):
        read(f"time_s,position,temp (mV)\n{rows}")
