"""Best guesses at the wheel that an unknown word may mean: questions for the writer, worked by hand."""

import pytest

from thermlog.reading.positions.nearest import nearest_wheel
from thermlog.reading.positions.resolve import PositionRules, resolve_positions


def guess(text, *others, language=None):
    return nearest_wheel(text, resolve_positions(list(others), PositionRules()), language)


@pytest.mark.parametrize(
    ("text", "others", "wheel"),
    [
        ("lefft front", (), "FL"),
        ("rear rigth", (), "RR"),
        ("front lef", ("FL",), "FL"),
        ("RR smoking", ("FL", "FR"), "RR"),
        ("smoking at RR", ("FL", "FR"), "RR"),
        ("spare", (), None),
        ("spare", ("FL", "FR", "RL"), None),
        ("Ersatzrad", ("VL", "VR", "HL"), None),
        ("RM", ("FL", "FR", "RL", "RR"), None),
        ("RM", ("FL", "FR", "RL"), "RR"),
        ("front zzz", ("FL", "FR", "RL"), None),  # RR is left, and is no front wheel
        ("zzzz", ("FL", "FR", "RL", "RR"), None),
        ("frontlefftfrontlefftfront", (), None),  # a sentence
        ("axl 3 lefft", ("FL",), "axle 3 left"),
        ("axle 3 lefft", (), "axle 3 left"),
        ("achse 2 lnks", (), "achse 2 links"),
        ("axle 7 zzz", (), None),
        ("hinten lnks", ("VL", "VR", "HR"), "RL"),
    ],
)
def test_the_nearest_known_word_is_asked_for(text, others, wheel):
    assert guess(text, *others) == wheel


@pytest.mark.parametrize(
    ("others", "wheel"),
    [
        (("FL", "FR", "RL"), "RR"),
        (("FR", "RL", "RR"), "FL"),
        (("FL",), "1R"),  # of one axle only nobody knows that it is the front one
        (("3L", "3R", "4L"), "4R"),
        (("FL", "FR"), None),
        (("FL", "RL"), None),  # two are missing
        ((), None),
    ],
)
@pytest.mark.parametrize("text", ["zzqqx", "", "9", "a sentence far too long for a wheel of any kind"])
def test_the_one_wheel_nobody_read_is_asked_for_where_no_word_is_near(text, others, wheel):
    assert guess(text, *others) == wheel


def test_of_several_words_as_near_one_in_the_language_of_the_file_that_nobody_read_goes_first():
    assert guess("VK", "VL", "HL", "HR") == "VR"
    assert guess("VK", "VL") == "VR"
    assert guess("FX", "FL", "RL", "RR") == "FR"
    assert guess("VK", language="german") == "VL"
    assert guess("VK") is None  # no language is named: its codes mean nothing


@pytest.mark.parametrize("text", ["Fahrer vorn", "Beifahrer hinten", "conducteur avant", "driver front"])
def test_the_side_of_the_driver_is_asked_for_not_guessed(text):
    problem = resolve_positions(["FL", "FR", "RL", text], PositionRules()).problems[text]
    assert problem.code == "driver"
    known = resolve_positions(["FL", text], PositionRules(driver_side="left")).known[text]
    assert known.side == ("R" if "Beifahrer" in text else "L")


@pytest.mark.parametrize(("more", "wheel"), [(6, "RL"), (7, None)])
def test_what_is_longer_than_four_and_twenty_letters_is_a_sentence(more, wheel):
    """Eighteen letters of a word and so many beside them: 24 are still near enough to it, by 2*18/(24+18)."""
    assert guess("posteriore sinistra" + "x" * more, language="italian") == wheel


@pytest.mark.parametrize(("text", "wheel"), [("ax zzz", "RR"), ("mid zzz", None)])
def test_a_word_of_three_letters_tells_that_another_wheel_is_meant_and_one_of_two_does_not(text, wheel):
    """The lines of the rule: `_SHORTEST_WORD` is 3."""
    assert guess(text, "FL", "FR", "RL") == wheel
