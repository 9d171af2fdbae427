"""Nearside and offside say that traffic keeps left; kerb side does not. All logs are invented."""

import pytest
from readcases import read

from thermlog.reading.positions.resolve import PositionRules, resolve_positions
from thermlog.words.errors import LogRefusedError

HEAD = "time_s,position,temp_c\n"
BY_WORDS = "as these words are used where traffic keeps left; where it keeps right give --country"


def sides(words, head="", **options):
    rows = "".join(f"{30 * k},{word},{90 + k}\n" for k, word in enumerate(words))
    found = read(head + HEAD + rows, **options)
    return [str(side) for side in found.readings.side], found.record.notes


@pytest.mark.parametrize(
    "words",
    [("NSF", "OSF"), ("N/S/F", "O/S/F"), ("nearside front", "offside front"), ("n/s rear", "o/s rear")],
)
def test_the_near_side_is_left_by_these_words_and_a_note_says_so(words):
    (near, off), notes = sides(words)
    (left, right), _ = sides(("FL", "FR"))
    assert (near, off) == (left, right)
    assert f"the near side is left, {BY_WORDS}" in notes
    assert f"the off side is right, {BY_WORDS}" in notes


@pytest.mark.parametrize("head", ["# country: DE\n", "# traffic: right\n"])
def test_a_country_that_is_stated_goes_before_the_words(head):
    (near, off), notes = sides(("NSF", "OSF"), head)
    (left, right), _ = sides(("FL", "FR"))
    assert (near, off) == (right, left)
    assert "the near side is right, as stated" in notes


@pytest.mark.parametrize("words", [("kerb side front", "road side front"), ("NSF", "kerb side rear")])
def test_the_kerb_may_be_on_either_side(words):
    with pytest.raises(LogRefusedError) as refusal:
        sides(words)
    assert refusal.value.code == "unclear_wheel"
    assert "--country" in str(refusal.value)


@pytest.mark.parametrize("head", ["# drive side: left\n", "# traffic: lhd\n"])
def test_a_driver_on_the_left_or_words_nobody_knows_leave_the_question(head):
    """Left-hand drive belongs to where traffic keeps right."""
    with pytest.raises(LogRefusedError) as refusal:
        sides(("NSF", "OSF"), head)
    assert refusal.value.code == "unclear_wheel"


@pytest.mark.parametrize("word", ["NSF", "nearside front"])
def test_a_single_word_of_an_option_is_still_asked_about(word):
    assert resolve_positions([word], PositionRules()).problems[word].code == "country"
