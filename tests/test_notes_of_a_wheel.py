"""A note in the row of one wheel, in the words of whoever stands there with a gun.

The figures are those of a sound van. What a careful technician accepts was written before any log was run:
spit that sizzles, a wheel hotter or colder than its mate, heat that never came, a figure that jumped or rose,
and the lower of two shots clear nothing there; what is seen of every worn brake is weighed, and what says
that all is well asks for nothing. Common practice, no source.
"""

from __future__ import annotations

import pytest
from judgedtext import words_and_step
from test_asked_columns import ROWS, with_line

OPEN = [
    "spit sizzles", "water drop sizzles", "Wasser verdampft sofort", "l'eau grésille", "heat haze",
    "heat on my face", "ça sent le brûlé", "hotter than the other side", "plus chaud que l'autre",
    "más caliente que el otro", "twice as hot", "clearly hotter", "a lot hotter", "about 20 hotter than left",
    "a lot cooler", "colder", "kälter", "plus froid", "clearly cooler than left", "no heat in it",
    "keine Wärme", "didn't get hot", "never got hot", "barely warm", "kaum warm", "à peine tiède",
    "fer sur fer", "hierro con hierro", "oily", "wobbles", "read twice, took the lower", "lowest of three",
    "jumped around", "unstable", "schwankt", "springt", "instable", "inestable", "60 to 180",
    "between 80 and 160", "rising", "steigt noch", "monte encore", "sigue subiendo", "gun alarm",
    "laser on tyre", "caliper boot torn", "reads low", "couldn't get close", "brake held on",
]  # fmt: skip
WEIGHED = [
    "discoloured blue", "blau angelaufen", "glazed", "pads thin", "deep groove",
    "ticking loudly", "stroke 65 mm", "mud on disc", "hot", "HOT", "rather hot", "puddle", "to be replaced",
    "needs replacing", "muss erneuert werden",
]  # fmt: skip
CLEAR = [
    "fine", "ok", "normal", "n/a", "-", "nothing", "i.O.", "RAS", "bien", "outer face", "hat", "disc", "drum",
    "no heat haze", "not hotter", "reading steady",
]  # fmt: skip
# Below the table, in a line of its own.
LINES_WEIGHED = [
    "Conclusion: RR caliper to be replaced", "Action: book in for RR brake", "Bremse HR muss erneuert werden",
]  # fmt: skip
LINES_CLEAR = ["RR caliper replaced last month", "Bremse HR erneuert", "RR freed and greased"]


@pytest.fixture
def told(thermlog):
    """Exit code, the words of both answers, and what to do next."""

    return lambda text: words_and_step(thermlog, text)


def with_note(note):
    """The walk with a note in the first row of the rear right wheel."""
    rows = [f'{at},{wheel},{degc},"{note if (at, wheel) == (57, "RR") else ""}"' for at, wheel, degc in ROWS]
    return "\n".join(["# ambient: 16 C", "time_s,position,temp_c,note", *rows, ""])


@pytest.mark.parametrize("note", OPEN)
def test_a_note_that_contradicts_the_figure_leaves_it_open(told, note):
    code, _, next_check = told(with_note(note))
    assert (code, next_check == "keep_record") == (1, False)


@pytest.mark.parametrize("note", WEIGHED)
def test_a_note_of_a_brake_is_weighed_first(told, note):
    assert told(with_note(note)) == (0, {"no"}, "weigh_remark")


@pytest.mark.parametrize("note", CLEAR)
def test_a_note_that_says_no_more_asks_for_nothing(told, note):
    assert told(with_note(note))[:2] == (0, {"no"})


def test_cooler_now_has_cooled(told):
    """In a later round every brake is cooler than before."""
    assert told(with_note("").replace('66.8,""', '66.8,"cooler now"'))[:2] == (0, {"no"})


@pytest.mark.parametrize("line", LINES_WEIGHED)
def test_work_that_is_to_be_done_is_none_that_was_done(told, line):
    assert told(with_line("thanks") + f"{line}\n") == (0, {"no"}, "weigh_remark")


@pytest.mark.parametrize("line", LINES_CLEAR)
def test_work_that_was_done_asks_for_nothing(told, line):
    assert told(with_line(line)) == (0, {"no"}, "keep_record")
