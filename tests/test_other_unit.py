"""A wheel typed in Fahrenheit throughout, in a log of °C: named whatever is called, never the ground."""

from __future__ import annotations

import pytest
from judgecases import told_text

OTHERS = (
    "19,FL,82 35,FR,82.2 54,RL,58.7 268,RL,50 288,FR,67.4 302,FL,67.6 487,FL,58.8 505,FR,60.1 518,RL,43.4"
)


def notes_with(rows: str, *, others: str = OTHERS) -> list[str]:
    lines = sorted([*others.split(), *rows.split()], key=lambda row: float(row.split(",")[0]))
    found = told_text("# ambient: 18 C\ntime_s,position,temp_c\n" + "\n".join(lines) + "\n")
    return [str(note) for note in found.notes if "Fahrenheit" in str(note)]


@pytest.mark.parametrize(
    "rows", ["72,RR,134.6 254,RR,122", "72,RR,134.6 254,RR,122 535,RR,108"], ids=["two", "three"]
)
def test_a_wheel_typed_in_fahrenheit_throughout_is_named(rows: str) -> None:
    """134.6 °F are 57.0 °C, 122 °F are 50 °C, by the definition of the scale."""
    (note,) = notes_with(rows)
    assert "57" in note
    assert ("50" if "108" not in rows else "42") in note


@pytest.mark.parametrize(
    "rows", ["72,RR,57 254,RR,50", "72,RR,200 254,RR,180", "72,RR,95 254,RR,84"], ids=["even", "hot", "warm"]
)
def test_a_wheel_that_would_not_fit_is_not_named(rows: str) -> None:
    assert notes_with(rows) == []


def test_the_answer_does_not_hang_on_it() -> None:
    """A drag that happens to fit is called all the same."""
    rows = "72,RR,134.6 254,RR,122 535,RR,108"
    text = "# ambient: 18 C\ntime_s,position,temp_c\n"
    lines = sorted([*OTHERS.split(), *rows.split()], key=lambda row: float(row.split(",")[0]))
    found = told_text(text + "\n".join(lines) + "\n")
    assert (found.answers.drag.answer, found.answers.drag.corners) == ("yes", ("2R",))
