"""Words for the towing vehicle and the trailer beside those of a wheel, letters apart, three axles by words.

Own cases, worked by hand: the towing vehicle has two axles, so its trailer's first is the third.
"""

import pytest
from positioncases import corners

from thermlog.reading.positions.resolve import PositionRules, looks_like_position, resolve_positions

CAR = ["LF", "RF", "LR", "RR"]
CAR_READ = "1L 1R 2L 2R"


@pytest.mark.parametrize(
    ("pair", "read"),
    [
        ("trailer L|trailer R", "3L 3R"),
        ("T L|T R", "3L 3R"),
        ("TL|TR", "3L 3R"),
        ("LT|RT", "3L 3R"),
        ("LH trailer|RH trailer", "3L 3R"),
        ("trailer LH|trailer RH", "3L 3R"),
        ("caravan left|caravan right", "3L 3R"),
        ("box trailer left|box trailer right", "3L 3R"),
        ("L caravan|R caravan", "3L 3R"),
        ("tag L|tag R", "3L 3R"),
        ("tag axle left|tag axle right", "3L 3R"),
        ("trailer LF|trailer LR", "3L 4L"),
        ("back left box trailer|front left box trailer", "4L 3L"),
    ],
)
def test_a_third_axle_by_its_words_beside_four_wheels(pair, read):
    assert corners([*CAR, *pair.split("|")]) == f"{CAR_READ} {read}"


@pytest.mark.parametrize("word", ["van", "car", "truck", "tractor", "lorry", "unit", "pickup"])
def test_the_towing_vehicles_words_are_the_front_of_the_combination(word):
    own = [f"{word} {code}" for code in CAR]
    trailer = ["trailer front left", "trailer front right", "trailer rear left", "trailer rear right"]
    assert corners([*own, *trailer]) == f"{CAR_READ} 3L 3R 4L 4R"
    behind = [f"{code} {word}" for code in CAR]
    assert corners([*behind, "trailer left", "trailer right"]) == f"{CAR_READ} 3L 3R"


def test_where_the_others_are_not_understood_a_trailers_wheel_is_not_called_rear_left():
    """Axles 1 and 2 are kept for the vehicle that draws it: "rear left" would send someone to the van."""
    found = resolve_positions(
        ["zork A", "zork B", "trailer front left", "trailer rear left"], PositionRules()
    )
    axles = {text: one.axle for text, one in found.known.items()}
    assert axles == {"trailer front left": 3, "trailer rear left": 4}
    assert any("behind two of the vehicle that draws it" in note for note in found.notes)
    assert corners(["trailer front left", "trailer rear left"]) == "1L 2L"
    assert corners(["trailer front left", "trailer rear lefft"]) == "1L ?"


def test_which_axle_of_the_combination_a_trailers_is_stands_in_a_note():
    found = resolve_positions([*CAR, "trailer front left", "trailer rear left"], PositionRules())
    assert (
        "axles are named from the front of the combination: trailer axle 1 = 3, trailer axle 2 = 4"
        in found.notes
    )


@pytest.mark.parametrize(
    ("texts", "read"),
    [
        ([*CAR, "middle left", "middle right"], "1L 1R 3L 3R 2L 2R"),
        ([*CAR, "mid LH", "mid RH"], "1L 1R 3L 3R 2L 2R"),
        (["FL", "FR", "middle left", "middle right"], "1L 1R ? ?"),
        ([*CAR, "3L", "middle left"], "1L 1R ? ? 3L ?"),
        ([*CAR, "lift axle left"], f"{CAR_READ} ?"),
        ([*CAR, "tag L", "drive L"], "1L 1R ? ? ? ?"),
    ],
)
def test_three_axles_by_words(texts, read):
    """Middle says which axle only between front and rear; a lift axle may stand anywhere."""
    assert corners(texts) == read


@pytest.mark.parametrize("code", ["LFO", "LRO", "LRI", "RRO", "RRI", "RLO", "RLI"])
def test_a_letter_behind_a_code_is_a_wheel_of_a_pair(code):
    one = resolve_positions([code], PositionRules()).known[code]
    assert one.side == ("R" if code.startswith("RR") else "L")
    assert one.axle == (1 if "F" in code else 2)
    assert one.note is not None
    assert "both share one brake" in one.note


@pytest.mark.parametrize(("side", "read"), [("left", "1R 2R"), ("right", "1L 2L")])
def test_pass_is_the_passengers_side_once_the_drivers_is_stated(side, read):
    texts = ["pass front", "pass rear"]
    assert corners(texts) == "? ?"
    found = resolve_positions(texts, PositionRules(driver_side=side)).known
    assert " ".join(f"{found[text].axle}{found[text].side}" for text in texts) == read


@pytest.mark.parametrize(
    "text", ["pass 1", "pass 2", "van", "van 2", "L van wheel arch", "N", "R R R", "van LFX", "car VL"]
)
def test_what_is_no_wheel_by_these_words(text):
    assert not looks_like_position(text)


@pytest.mark.parametrize(
    "texts", [["TL", "TR"], [*CAR, "TL"], [*CAR, "TL", "TR", "3L"], ["VL", "VR", "TL", "TR"]]
)
def test_letters_are_a_trailers_only_beside_four_wheels(texts):
    found = resolve_positions(texts, PositionRules())
    assert "TL" in found.problems
    assert not looks_like_position("TL")
