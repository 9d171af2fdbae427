"""Logs without an air temperature: what a technician would accept under every air was written first."""

from __future__ import annotations

import pytest
from judgecases import told_text

from thermlog.judging.airs import what_holds
from thermlog.words.findings import Answer, Answers

AIRS = {"low_degc": 0.0, "high_degc": 30.0}
NO = Answer(answer="no")

# A car whose right front brake is 88 °C above the left one, 2.0 to 1 with 0 °C of air, 2.6 to 1 with 30.
# With 30 °C both fronts are warm for what the rear axle shows, which says nothing for the right one.
HOT_RIGHT = """# brakes: disc disc
{}seconds since parked,position,temp C
30,FL,89.6
45,FR,182.1
60,RL,51.9
75,RR,47.2
120,RR,49.6
135,RL,51.3
150,FR,167.9
165,FL,80.8
"""


def under(*airs: tuple[str, tuple[str, ...]]) -> Answer:
    """What holds of the drag question where each air has an answer about some corners."""
    said = [
        Answers(drag=Answer(answer=word, p=0.9, corners=corners), idle=NO, heat=NO) for word, corners in airs
    ]
    return what_holds(said, AIRS).drag


@pytest.mark.parametrize("air", ["", "# ambient: 0 C\n", "# ambient: 10 C\n", "# ambient: 20 C\n"])
def test_a_brake_hot_under_every_air_is_called_where_none_is_stated(air):
    found = told_text(HOT_RIGHT.format(air))
    front = found.axles[0]

    assert (found.answers.drag.answer, found.answers.drag.corners) == ("yes", ("1R",))
    assert (front.verdict, front.suspect) == ("hot", "1R")


def test_who_is_suspected_under_one_air_alone_is_watched_beside_it():
    found = told_text(HOT_RIGHT.format(""))

    assert found.answers.drag.beside == ("1L",)
    assert [one.verdict for one in found.corners] == ["watch", "hot", "even", "even"]
    assert "no_ambient" in {one.code for one in found.answers.drag.reasons}


def test_a_watch_under_one_air_makes_it_a_watch_of_all_that_are_suspected():
    found = under(("yes", ("1R",)), ("watch", ("1R",)), ("yes", ("1L", "1R")))

    assert (found.answer, found.corners, found.beside) == ("watch", ("1R", "1L"), ())


@pytest.mark.parametrize(
    "airs",
    [
        (("yes", ("1L",)), ("yes", ("1L",)), ("yes", ("1R",))),
        (("yes", ("1L",)), ("yes", ("1L",)), ("no", ())),
        (("no", ()), ("watch", ("1L",)), ("cannot_tell", ("2R",))),
    ],
)
def test_what_hangs_on_the_air_cannot_be_told_and_clears_none_that_some_air_suspects(airs):
    found = under(*airs)

    assert (found.answer, found.corners) == ("cannot_tell", ())
    assert found.reasons[0].corners == tuple(sorted({one for _, corners in airs for one in corners}))


def test_a_gap_that_hangs_on_the_air_is_never_shown_even():
    """30 °C apart: 1.4 to 1 with 30 °C of air, 1.3 to 1 with 0 °C."""
    rows = [
        "30,FL,130",
        "45,FR,100",
        "60,RL,70",
        "75,RR,71",
        "120,RR,68.3",
        "135,RL,66",
        "150,FR,93.9",
        "165,FL,119.9",
    ]
    found = told_text("# brakes: disc disc\nseconds since parked,position,temp C\n" + "\n".join(rows) + "\n")

    assert found.answers.drag.answer == "cannot_tell"
    assert found.axles[0].verdict == "cannot_tell"
