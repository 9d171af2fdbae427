"""Names are joined by commas and an "and", and words agree with their number, wherever they are said."""

from __future__ import annotations

import pytest

from thermlog.judging.reckoning import heat_usual
from thermlog.reading.files.paths import counted_kind
from thermlog.reports.wording import corners_in_words
from thermlog.words.policy import load_policy
from thermlog.words.reasonpatterns import TEXTS
from thermlog.words.reasons import Reason
from thermlog.words.reasontexts import reason_sentence, reason_text
from thermlog.words.sentences import Page, on_page

FOUR = ("1L", "1R", "2L", "2R")
NUMBERS = {"rise_k": 5.0, "minutes": 5.0, "missing_k": 1.0, "stops": 5.0, "from_kmh": 60.0}


@pytest.mark.parametrize("code", TEXTS)
def test_no_list_says_and_twice(code) -> None:
    """Four corners in every sentence there is: with codes, in words, and for no page."""
    reason = Reason(code=code, corners=FOUR, numbers=NUMBERS, quoted="x")
    words = on_page(reason_sentence(reason), Page(unit="C", axle_count=2))
    for said in (str(reason_sentence(reason)), reason_text(reason), str(words)):
        assert "1L and 1R and" not in said
        assert "front left and front right and" not in said
    assert reason_text(reason) == str(reason_sentence(reason))


def test_one_place_joins_names() -> None:
    assert corners_in_words(FOUR, 2) == "front left, front right, rear left and rear right"
    assert corners_in_words(("1L",), 2) == "front left"
    assert corners_in_words((), 2) == ""


@pytest.mark.parametrize(
    ("corners", "said"),
    [
        (("1L",), "1L: still rising while it was read: its heat had not come out yet"),
        (("1L", "1R"), "1L and 1R: still rising while they were read: their heat had not come out yet"),
    ],
)
def test_words_agree_with_the_number_of_corners(corners: tuple[str, ...], said: str) -> None:
    assert reason_text(Reason(code="rising", corners=corners)) == said


def test_what_is_missing_is_one_amount() -> None:
    numbers = {"missing_k": 1.0, "stops": 5.0, "from_kmh": 60.0}
    assert "1 K more is needed" in reason_text(Reason(code="drive_with_braking", numbers=numbers))


def test_one_link_is_one_link() -> None:
    assert (counted_kind(1, "links to folders"), counted_kind(2, "links to folders")) == (
        "1 link to a folder", "2 links to folders",
    )  # fmt: skip


def test_next_to_no_heat_is_not_called_usual() -> None:
    """Half of the brakes at the temperature of the air, as with a trailer whose brakes do nothing."""
    policy = load_policy("light")
    assert "usual" not in reason_text(heat_usual([0.0, 0.0, 72.0], policy, coast=False))
    assert "usual" in reason_text(heat_usual([60.0, 70.0, 72.0], policy, coast=False))
    assert "usual" in reason_text(heat_usual([8.0, 9.0, 10.0], policy, coast=True))
