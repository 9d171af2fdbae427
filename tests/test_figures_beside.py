"""Figures beside the readings, and figures that are another wheel's: what they say against a clean bill.

All wheels are read as those of a sound vehicle; the oddity stands beside them. What a careful technician
accepts was written before any log was run. Common practice, no source.
"""

from __future__ import annotations

import pytest
from judgedtext import judged_text, words_of
from test_asked_columns import ROWS

from thermlog.reading.copied import copied_wheels


@pytest.fixture
def told(thermlog):
    """Exit code, the words of both answers, and the wheels whose readings are not cleared."""

    def run(text):
        code, found = judged_text(thermlog, text)
        return code, words_of(found), sorted({one["corner"] for one in found["blind"]})

    return run


def beside(heading, usual, rear_right=None):
    """The walk with a column of figures beside it; `rear_right` stands at that wheel instead."""
    rows = [
        f"{at},{wheel},{degc},{rear_right if wheel == 'RR' and rear_right else usual(degc)}"
        for at, wheel, degc in ROWS
    ]
    return "\n".join(["# ambient: 16 C", f"time_s,position,temp_c,{heading}", *rows, ""])


def in_f(degc):
    return f"{degc * 1.8 + 32:.1f}"  # exact, SI Brochure 9th ed.


@pytest.mark.parametrize(
    ("heading", "usual", "rear_right"),
    [
        ("temp_f", in_f, "341.0"),  # 172 °C
        ("temp_f", lambda _: "", "341"),
        ("corrected", lambda degc: f"{degc + 20:.1f}", "181"),
        ("korrigiert (C)", lambda degc: f"{degc:.1f}", "171"),
        ("recheck", lambda _: "", "171"),
        ("Nabe", lambda _: "40", "131"),
        ("rim", lambda _: "35", "151"),
        ("caliper", lambda _: "50", "160"),
    ],
)
def test_a_figure_that_is_plainly_hotter_leaves_its_wheel_open(told, heading, usual, rear_right):
    code, words, wheels = told(beside(heading, usual, rear_right))
    assert (code, words, wheels) == (1, {"cannot_tell"}, ["2R"])


@pytest.mark.parametrize(
    ("heading", "usual"),
    [
        ("temp_f", in_f),
        ("corrected", lambda degc: f"{degc * 1.05 + 8:.1f}"),
        ("corrected", lambda _: ""),
        ("recheck", lambda _: "ok"),
        ("Nabe", lambda _: "40"),
        ("rim", lambda _: "16"),  # its size in inches
        ("tyre", lambda _: "120"),  # its pressure in psi
        ("caliper", lambda _: "fixed"),
        ("torque", lambda _: "130"),
    ],
)
def test_figures_that_agree_or_are_another_quantity_ask_for_nothing(told, heading, usual):
    assert told(beside(heading, usual)) == (0, {"no"}, [])


def wide(rear_left, rear_right):
    rounds = zip(
        (25, 235, 445), (129.6, 106.1, 97.1), (125.4, 105.3, 94.0), rear_left, rear_right, strict=True
    )
    return "\n".join(
        ["# ambient: 16 C", "time_s,FL,FR,RL,RR", *(",".join(map(str, one)) for one in rounds), ""]
    )


def long(rear_left, rear_right):
    """The same, a row a reading, as plain as a log can be."""
    cells = {"RL": iter(rear_left), "RR": iter(rear_right)}
    rows = [f"{at},{wheel},{next(cells[wheel]) if wheel in cells else degc}" for at, wheel, degc in ROWS]
    return "\n".join(["# ambient: 16 C", "time_s,position,temp_c", *rows, ""])


@pytest.mark.parametrize("table", [wide, long])
def test_a_column_that_was_copied_clears_neither_wheel(told, table):
    figures = (78.5, 72.2, 64.1)
    code, words, wheels = told(table(figures, figures))
    assert (code, words, wheels) == (1, {"cannot_tell"}, ["2L", "2R"])


@pytest.mark.parametrize("table", [wide, long])
@pytest.mark.parametrize(
    "rear_right",
    [
        (78.5, 72.2, 64.2),  # one reading apart by a tenth
        (78.5, 73.2, 64.1),
    ],
)
def test_wheels_that_nearly_agree_are_sound(told, table, rear_right):
    assert told(table((78.5, 72.2, 64.1), rear_right)) == (0, {"no"}, [])


@pytest.mark.parametrize("table", [wide, long])
def test_three_whole_degrees_may_agree_by_chance(told, table):
    assert told(table((79, 72, 64), (79, 72, 64))) == (0, {"no"}, [])


def test_whole_degrees_are_copied_where_six_agree():
    """One in five to the sixth is below one in ten thousand."""
    five, six = ("90", "85", "80", "76", "72"), ("90", "85", "80", "76", "72", "68")
    assert copied_wheels({"1L": five, "1R": five}) == []
    assert copied_wheels({"1L": six, "1R": six}) == [("1L", "1R")]


def test_a_gun_on_hold_is_no_copy():
    """The same figure again and again has a reason of its own."""
    held = ("80.5", "80.5", "80.5")
    assert copied_wheels({"1L": held, "1R": held}) == []


def test_brakes_that_are_hardly_warm_agree_by_themselves(told):
    """Figures that fall by less than 5 K over the walk are no copy: own judgement, no source."""
    assert told(wide((18.3, 17.9, 17.6), (18.3, 17.9, 17.6)))[2] == []


def test_wheels_of_two_axles_may_agree(told):
    """Front right and rear right of the same figures: nobody copies across axles; each has its mate."""
    figures = (78.5, 72.2, 64.1)
    rows = zip((25, 235, 445), (79.6, 73.1, 65.1), figures, (78.1, 71.9, 63.8), figures, strict=True)
    text = "\n".join(
        ["# ambient: 16 C", "time_s,FL,FR,RL,RR", *(",".join(map(str, one)) for one in rows), ""]
    )
    assert told(text)[2] == []
