"""Every check on every kind of brake fits one screen of the smallest terminal, with its caution in full."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from advicecases import CAR, LIGHT_TRAILER, log_evidence
from msgspec.structs import replace

from thermlog.advice.board import board_of
from thermlog.advice.candidates import BRAKE_KIND, ON_STANDS, PARKING_HERE, looks, once_more, stands_before
from thermlog.advice.choosing import Choice
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, Narrowed, _asking
from thermlog.advice.search import advanced, begun
from thermlog.advice.suspects import ranked
from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one
from thermlog.reports.report_narrow import ENDINGS, screen
from thermlog.words.vehicle import default_vehicle

TABLE = evidence_table()
LINES, COLUMNS = 24, 80
VEHICLES = {"light": CAR, "heavy": default_vehicle(5, drum=True), "trailer": LIGHT_TRAILER}
LOG = Path(__file__).parent.parent / "sample_logs" / "tipper_axle3_right_hot.csv"
# Places of the longest names: a corner, an axle, a circuit, the whole vehicle.
PLACES = {
    "light": {"corner_hot": ("1R",), "axle_hot": ("1L", "1R"), "diagonal_hot": ("1L", "2R"), "all_hot": ()},
    "trailer": {"corner_hot": ("1R",), "axle_hot": ("1L", "1R"), "all_hot": ()},
    "heavy": {
        "corner_cold": ("4R",),
        "axle_hot": ("4L", "4R"),
        "circuit_hot": ("2L", "2R", "3L", "3R"),
        "all_hot": (),
    },
}


@pytest.fixture(scope="module")
def told():
    """Findings with a long headline."""
    done = run_one(str(LOG), Settings())
    return done.flagged_case(None)[1]


def shown(one, search, told, state: Narrowed, choice: Choice) -> str:
    return screen(_asking(replace(choice, asked=one), search, state), told, show="C", width=COLUMNS)


@pytest.mark.parametrize("kind", list(TABLE.kinds))
def test_every_check_fits_one_screen(kind, told):
    """Beside three causes, a contradiction and two answers that differ: as full as a screen gets.

    Without these two it says in full how the check is made, too.
    """
    group = TABLE.kinds[kind].group
    seen = 0
    for verdict, corners in PLACES[group].items():
        evidence = log_evidence(verdict, *corners, vehicle=VEHICLES[group])
        search = advanced(begun(evidence), BRAKE_KIND, kind)
        for first, second in (("visual", "nothing_seen"), ("tyre_look", "like_mate")):
            search = advanced(search, first, second)
            search = advanced(search, f"{first}_again", list(TABLE.observations[first].answers)[-1])
        state = Narrowed(
            suspects=ranked(evidence, search.situation),
            check=None,
            found=tuple(Found(check=check, answer=answer) for check, answer in search.told.items()),
            differs=("visual", "tyre_look"),
        )
        board = board_of(search.situation)
        asked = [one for one in board.asked if kind in one.asked.applies_to and one.asked.source != "log"]
        gate = stands_before(board.asked[board.at["bearing_spin"]], {})
        told_first = {one.key: next(iter(one.asked.answers)) for one in asked}
        search = replace(search, told={**told_first, **search.told})
        for one in [*asked, *(once_more(one) for one in asked if one.key in TABLE.observations), gate]:
            text = shown(one, search, told, state, Choice(ending="contradiction"))
            lines = text.splitlines()
            assert len(lines) < LINES, (one.key, verdict)
            assert max(map(len, lines)) < COLUMNS, one.key
            whole = " ".join(text.split())
            question = _asking(Choice(asked=one), search, state).check
            assert " ".join(question.question.split()) in whole, one.key
            assert f"Caution: {' '.join(question.safety.split())}" in whole, one.key
            for key, words in enumerate(one.asked.answers.values(), start=1):
                assert f"{key} {words}"[:60] in whole, one.key
            plain = shown(one, search, told, replace(state, differs=()), Choice())
            assert " ".join(one.asked.how.split()) in " ".join(plain.split()), one.key
            seen += 1
    assert seen > 60 * len(PLACES[group])


def test_what_is_fitted_fits_one_screen(told):
    """Kind of brake and parking brake: the longest lists of answers."""
    for group, verdicts in PLACES.items():
        for verdict, corners in verdicts.items():
            vehicle = replace(
                VEHICLES[group], axles=tuple(replace(axle, brake=None) for axle in VEHICLES[group].axles)
            )
            search = begun(log_evidence(verdict, *corners, vehicle=vehicle))
            for one in looks(search.situation):
                assert one.key in {BRAKE_KIND, PARKING_HERE, ON_STANDS}
                text = shown(one, search, told, Narrowed(suspects=(), check=None), Choice())
                assert len(text.splitlines()) < LINES
                assert len(re.findall(r"^  \d  ", text, flags=re.M)) == len(one.asked.answers)


def test_every_end_has_its_sentence():
    assert all(text.endswith(".") for text in ENDINGS.values())
