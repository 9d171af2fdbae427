"""Positions: every word of the table, decided by the whole file, and nothing guessed."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from positioncases import corners, problem

from thermlog.reading.positions.resolve import (
    PositionRules,
    looks_like_position,
    resolve_positions,
    spot_of,
)
from thermlog.reading.positions.words import Meaning, tokens_of, word_table
from thermlog.words.vehicle import SPOTS

# Own compilation of trade usage: common practice, no source.
CODES = {
    "english": "FL FR RL RR",
    "words first": "LF RF LR RR",
    "german": "VL VR HL HR",
    "french": "AVG AVD ARG ARD",
    "spanish": "DI DD TI TD",
    "portuguese": "DE DD TE TD",
    "italian": "AS AD PS PD",
    "dutch": "LV RV LA RA",
    "nordic": "VF HF VB HB",
    "polish": "LP PP LT PT",
    "czech": "PL PP ZL ZP",
}


@pytest.mark.parametrize("language", CODES)
def test_whole_set_reads(language):
    """Four codes of one set are the four corners, and the language is told."""
    read = resolve_positions(CODES[language].split(), PositionRules())
    assert corners(CODES[language]) == "1L 1R 2L 2R"
    assert read.language == (language if language in word_table().languages else None)
    assert bool(read.notes) == (read.language is not None)


@pytest.mark.parametrize("pair", list(combinations(word_table().languages, 2)))
def test_two_languages_in_one_file_are_refused(pair):
    """Codes of both are named as a clash; no side is guessed."""
    first, second = (set(CODES[name].split()) for name in pair)
    mixed = sorted(first | second)
    read = resolve_positions(mixed, PositionRules())
    assert not read.known
    for text in mixed:
        assert "mix" in read.problems[text].problem
        assert all(f"--language {name}" in read.problems[text].problem for name in pair)


def test_mixed_with_english_codes():
    """FL stays safe, HL is not read; the stated language settles it."""
    assert corners("FL FR HL HR") == "1L 1R ? ?"
    assert "FL, FR" in problem("FL FR HL HR", "HL")
    assert corners("FL FR HL HR", language="german") == "1L 1R 2L 2R"


def test_same_letters_other_wheels():
    """HF is German for nothing, VF Nordic for front left: only the whole set tells."""
    assert corners("VF HF HL HR") == "? ? ? ?"
    assert corners("VF HF VL", language="nordic") == "1L 1R ?"
    assert "no Nordic code" in problem("VF HF VL", "VL", language="nordic")


def test_languages_that_agree():
    """DD and TD are right in Spanish and in Portuguese."""
    read = resolve_positions(["DD", "TD"], PositionRules())
    assert read.language == "spanish or portuguese"
    assert "agree" in read.notes[0]
    assert corners("DD TD") == "1R 2R"


def test_languages_that_disagree_are_refused(monkeypatch):
    """No two sets of the table clash today; the rule is tried on one made to."""
    from thermlog.reading.positions import resolve as positions

    table = word_table()
    other = (
        Meaning(end="front", side="left", language="polish"),
        Meaning(end="rear", side="left", language="czech"),
    )
    monkeypatch.setitem(table.codes, "QX", other)
    positions._resolve.cache_clear()
    positions.parse_position.cache_clear()
    try:
        assert "--language polish or --language czech" in problem("QX", "QX")
        assert corners("QX", language="czech") == "2L"
    finally:
        positions._resolve.cache_clear()
        positions.parse_position.cache_clear()


@pytest.mark.parametrize("texts", ["LA RA", "PS", "LT", "RA FL"])
def test_ambiguous_codes_alone(texts):
    """Left axle or links achter, passenger side or posteriore sinistra: refused with the language to name."""
    assert "?" in corners(texts)
    assert "--language" in problem(texts, texts.split()[0])


@pytest.mark.parametrize("language", word_table().languages)
def test_every_word_of_a_named_language(language):
    """Each alone, whatever its length."""
    table = word_table()
    named = {code: m for code, found in table.codes.items() for m in found if m.language == language}
    assert len(named) >= 8
    for code, meaning in named.items():
        expected = f"{1 if meaning.end == 'front' else 2}{'L' if meaning.side == 'left' else 'R'}"
        assert corners([code], language=language) == expected


def test_every_other_whole_code_reads():
    """Codes of no language: with both sides stated none is refused, and left never turns right."""
    table = word_table()
    codes = [code for code, found in table.codes.items() if not any(m.language for m in found)]
    read = resolve_positions(codes, PositionRules(traffic_side="left", driver_side="right"))
    assert not read.problems
    left = {"left": "L", "near": "L", "passenger": "L"}
    for code, position in read.known.items():
        (meaning,) = table.codes[code]
        assert (position.axle, position.side) == (
            1 if meaning.end == "front" else 2,
            left.get(meaning.side, "R"),
        )


def test_table_is_sound():
    """No code has two meanings outside the language sets, spots are known, all words are normalised."""
    table = word_table()
    for code, found in table.codes.items():
        assert tokens_of(code) == [code]
        assert len({m.language for m in found}) == len(found)
        assert len(found) == 1 or all(m.language for m in found)
    assert set(table.spots.values()) == set(SPOTS)
    assert {rule["refuse"] for rule in table.support.values()} - {""} <= set(table.refuse)


def test_near_and_off_side():
    """Nearside is left where traffic keeps left."""
    assert corners("NSF OSF N/S/R O/S/R", traffic_side="left") == "1L 1R 2L 2R"
    assert corners("NSF OSF NSR OSR", traffic_side="right") == "1R 1L 2R 2L"
    assert corners("NS1 1OS", traffic_side="left") == "1L 1R"
    assert corners("NSF FL") == "? 1L"
    assert "--country" in problem("NSF FL", "NSF")


def test_driver_and_passenger_side():
    """The vehicle's steering side decides, not the country."""
    assert corners(["Driver's side front", "passenger front"], driver_side="left") == "1L 1R"
    assert corners("DF PF DR PR", driver_side="right") == "1R 1L 2R 2L"
    assert corners("DF", traffic_side="left") == "?"
    assert "--drive-side" in problem("DF", "DF")


@pytest.mark.parametrize(
    ("texts", "text", "cure"),
    [
        ("1 2", "1", "--columns"),
        ("N", "N", "FL or 3R"),
        ("R1", "R1", "1R"),
        ("1D", "1D", "--language french"),
        ("TR1L", "TR1L", "TRAILER"),
        ("FL RL 3L", "RL", "3L"),
        ("xyz", "xyz", "--columns"),
        ("LH", "LH", "FL or 3R"),
    ],
)
def test_each_refusal_names_its_cure(texts, text, cure):
    """One sentence, no line, no file."""
    assert cure in problem(texts, text)


@pytest.mark.parametrize(
    ("text", "axle", "side", "spot"),
    [
        ("FL hub", 1, "L", "hub"),
        ("front left rotor inner", 1, "L", "rotor_inner"),
        ("LF inner face", 1, "L", "rotor_inner"),
        ("FR inner rotor", 1, "R", "rotor_inner"),
        ("RR drum", 2, "R", "drum"),
        ("RR brake", 2, "R", None),
        ("RR brake drum", 2, "R", "drum"),
        ("3LI tyre", 3, "L", "tyre_inner"),
        ("hinten rechts Nabe", 2, "R", "hub"),
        ("FL wheel hub", 1, "L", "hub"),
        ("RR wheel drum", 2, "R", "drum"),
        ("roue avant gauche moyeu", 1, "L", "hub"),
        ("left hand side front caliper", 1, "L", "caliper"),
    ],
)
def test_spot_inside_the_position(text, axle, side, spot):
    """Own cases."""
    found = resolve_positions([text], PositionRules()).known[text]
    assert (found.axle, found.side, found.spot, found.note) == (axle, side, spot, None)


def test_wheel_is_a_spot_only_beside_other_spots():
    """ "Left front wheel" is a place on the vehicle; beside a hub it is the rim."""
    alone = resolve_positions(["left front wheel"], PositionRules())
    beside = resolve_positions(["left front wheel", "left front hub"], PositionRules())
    assert alone.known["left front wheel"].spot is None
    assert beside.known["left front wheel"].spot == "rim"
    assert "wheel" in alone.notes[0]
    assert "wheel" in beside.notes[0]


def test_a_word_for_the_wheel_is_a_spot_where_the_same_place_stands_without_it():
    """Two words for one place are two things that were read; "hub drum" is none, and no wheel either."""
    known = resolve_positions(["FL", "FL wheel end", "FL wheel", "FR wheel end"], PositionRules()).known
    assert [known[one].spot for one in ("FL", "FL wheel end", "FL wheel")] == [None, "hub", "rim"]
    alone = resolve_positions(["FL wheel end", "FR wheel end"], PositionRules()).known
    assert {one.spot for one in alone.values()} == {None}
    assert "FL hub drum" in resolve_positions(["FL", "FL hub drum"], PositionRules()).problems


@pytest.mark.parametrize(
    ("text", "spot"),
    [
        ("rotor", "rotor_outer"),
        ("Disc (outer)", "rotor_outer"),
        ("inner rotor", "rotor_inner"),
        ("inner tyre", "tyre_inner"),
        ("brake", "brake"),
        ("Brake drum", "drum"),
        ("wheel", "rim"),
        ("hub temp", "hub"),
        ("Étrier", "caliper"),
        ("pad", None),
        ("outer", None),
        ("rotor 1", None),
        ("", None),
    ],
)
def test_spot_column(text, spot):
    """Own cases."""
    assert spot_of(text) == spot


@pytest.mark.parametrize(
    "text", ["FL", "l/f", "axle 3 left outer", "NSF", "T1L", "VL", "ra", "Přední levé", "FL rotor", "R1"]
)
def test_looks_like_a_position(text):
    """In some language or file."""
    assert looks_like_position(text)


@pytest.mark.parametrize(
    "text",
    ["", "time", "12", "L/R", "left", "side", "temp_c", "axle", "hub", "14:03", "front axle", "hintenre"],
)
def test_looks_like_no_position(text):
    """Headings and values beside positions; a side of two letters within a word is none without a number."""
    assert not looks_like_position(text)


@given(
    texts=st.lists(
        st.sampled_from(["FL", "FR", "RL", "RR", "1L", "1R", "3L", "NSF", "DF", "VL", "T1L", "1D", "R1"]),
        max_size=8,
    ),
    seed=st.randoms(),
)
def test_order_and_repeats_change_nothing(texts, seed):
    """The set decides."""
    shuffled = texts + texts[:2]
    seed.shuffle(shuffled)
    assert resolve_positions(shuffled, PositionRules()) == resolve_positions(texts, PositionRules())


MIRROR = str.maketrans("LR", "RL")


@given(
    st.lists(
        st.sampled_from(["1L", "1R", "2L", "2R", "3LO", "3RI", "A4L", "T5R", "LH6", "L7"]),
        min_size=1,
        max_size=6,
    )
)
def test_swapping_sides_mirrors(texts):
    """Every L for R and back; the letters of L1-style codes need both sides to be clear."""
    texts = [*texts, "L8", "R8"]
    assert corners([t.translate(MIRROR) for t in texts]) == corners(texts).translate(MIRROR)


@given(
    st.lists(st.one_of(st.text(max_size=12), st.text(alphabet="FLRAT12 /-IONSDGE", max_size=8)), max_size=6)
)
def test_any_text_is_read_or_refused(texts):
    """Nothing raises, nothing is lost."""
    corners(texts)


def test_unknown_language_is_noted():
    """The codes are then read as if none was stated."""
    read = resolve_positions(["VL"], PositionRules(language="esperanto"))
    assert "esperanto" in read.notes[0]
    assert read.known["VL"].axle == 1


def test_english_keeps_the_codes_of_others_out():
    """PP is no English code, FL is."""
    assert corners("FL PP", language="english") == "1L ?"


LEFT_TRAFFIC, LEFT_DRIVER = PositionRules(traffic_side="left"), PositionRules(driver_side="left")


@pytest.mark.parametrize(
    ("words", "rules"),
    [
        ("FL FR BL BR", PositionRules()),
        ("LF RF LB RB", PositionRules()),
        ("front left|front right|back left|back right", PositionRules()),
        ("fore left|fore right|hind left|hind right", PositionRules()),
        ("front l|front r|back l|back r", PositionRules()),
        ("l/f r/f l/r r/r", PositionRules()),
        ("n/s front|o/s front|n/s rear|o/s rear", LEFT_TRAFFIC),
        ("N/S/F O/S/F N/S/R O/S/R", LEFT_TRAFFIC),
        ("front n/s|front o/s|back n/s|back o/s", LEFT_TRAFFIC),
        ("nearside front|offside front|nearside back|offside back", LEFT_TRAFFIC),
        ("kerb side front|road side front|kerb side rear|road side rear", LEFT_TRAFFIC),
        ("driver front|passenger front|driver back|passenger back", LEFT_DRIVER),
        ("driver's side front|passenger side front|driver's rear|passenger's rear", LEFT_DRIVER),
    ],
)
def test_everyday_words_for_four_wheels(words, rules):
    """In the order front left, front right, rear left, rear right."""
    texts = words.split("|") if "|" in words else words.split()
    found = resolve_positions(texts, rules)
    assert not found.problems
    assert [(found.known[text].axle, found.known[text].side) for text in texts] == [
        (1, "L"), (1, "R"), (2, "L"), (2, "R"),
    ]  # fmt: skip
