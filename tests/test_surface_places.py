"""`--surface` placed by any word that a log may have for a wheel or an axle."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from readcases import read

from thermlog.correcting.surfaces import surface_choice, usual_surfaces
from thermlog.reading.columnmap import load_column_map
from thermlog.reading.cornerwords import place_word
from thermlog.words.errors import LogRefusedError, PolicyError

TEMPS = (120, 118, 90, 92, 88, 86)
ENGLISH, GERMAN, FRENCH = ("FL", "FR", "RL", "RR"), ("VL", "VR", "HL", "HR"), ("AVG", "AVD", "ARG", "ARD")
NUMBERED = ("1L", "1R", "2L", "2R", "3L", "3R")


def log(words: tuple[str, ...], head: str = "", lap_s: int = 240) -> str:
    rows = [
        f"{60 + lap_s * lap + 12 * k},{word},{TEMPS[k] - 8 * lap}"
        for lap in (0, 1)
        for k, word in enumerate(words)
    ]
    return f"# ambient: 18 C\n{head}time_s,position,temp_c\n" + "\n".join(rows) + "\n"


def named(place: str, words: tuple[str, ...], head: str = "", **options) -> tuple[str, ...]:
    """Corners that a word names in a log."""
    (case,) = read(log(words, head), places=(place,), **options).readings.cases
    return dict(case.places)[place]


@pytest.mark.parametrize(
    "words", [ENGLISH, GERMAN, FRENCH, NUMBERED[:4], ("front left", "front right", "rear left", "rear right")]
)
@pytest.mark.parametrize(
    ("place", "corners"),
    [
        ("front left", "1L"), ("FL", "1L"), ("rear right", "2R"), ("BL", "2L"), ("back right", "2R"),
        ("2l", "2L"), ("hinten links", "2L"), ("vorn rechts", "1R"), ("axle 2 left", "2L"),
        ("n/s front", "1L"),
        ("O/S rear", "2R"), ("offside rear", "2R"), ("rear", "2L 2R"), ("front axle", "1L 1R"),
        ("hinten", "2L 2R"),
        ("Achse 1", "1L 1R"), ("arrière", "2L 2R"), ("back", "2L 2R"), ("2", "2L 2R"),
    ],
)  # fmt: skip
def test_a_word_names_its_corners_whatever_the_log_calls_them(words, place, corners):
    assert named(place, words, traffic_side="left") == tuple(corners.split())


@pytest.mark.parametrize(
    ("place", "words"), [("HL", GERMAN), ("ARG", FRENCH), ("HL", NUMBERED[:4]), ("ARG", ENGLISH)]
)
def test_a_short_code_of_a_language_names_the_rear_left_wheel(place, words):
    assert named(place, words) == ("2L",)


def test_the_near_side_follows_the_log_or_the_option():
    assert named("n/s front", ENGLISH, "# country: GB\n") == ("1L",)
    assert named("n/s front", ENGLISH, "# country: DE\n") == ("1R",)
    assert named("n/s front", ENGLISH, "# country: DE\n", traffic_side="left") == ("1L",)


@pytest.mark.parametrize(
    ("place", "words", "cure"),
    [
        ("rear left", NUMBERED, "write its number, such as 3L"),
        ("rear", NUMBERED, "write its number, such as 3L"),
        ("hinten", NUMBERED, "write its number, such as 3L"),
        ("n/s front", ENGLISH, "give --country"),
        ("driver front", ENGLISH, "give --drive-side"),
        ("lift axle", NUMBERED, "write its axle number from the front"),
    ],
)
def test_a_word_that_may_mean_several_is_refused_by_log_and_word(place, words, cure):
    with pytest.raises(LogRefusedError) as refusal:
        named(place, words)
    found = refusal.value
    assert (found.code, found.column, found.value) == ("unclear_wheel", "--surface", place)
    assert cure in found.problem


@pytest.mark.parametrize("word", ["door", "left", "L", "1X", "0L", "", "wheel", "rear left rear right"])
def test_a_word_that_no_log_could_have_is_refused_before_any_log_is_read(word):
    with pytest.raises(PolicyError, match=f'"{word}" is neither a wheel such as 1L'):
        surface_choice(f"{word}=0.5", usual_surfaces(), place_word=place_word)


@pytest.mark.parametrize(
    ("text", "word", "spot"),
    [
        ("rear=0.5", "rear", None), ("rear.drum=0.5", "rear", "drum"), ("rear drum=0.5", "rear", "drum"),
        ("n/s front.hat=0.5", "n/s front", "hat"), ("Trommel hinten links=0.5", "hinten links", "drum"),
        ("hub.BL=0.5", "BL", "hub"),
    ],
)  # fmt: skip
def test_a_spot_stands_beside_the_word(text, word, spot):
    choice = surface_choice(text, usual_surfaces(), place_word=place_word)
    assert (choice.corner, choice.word, choice.spot) == (None, word, spot)


@pytest.mark.parametrize(
    ("place", "codes"),
    [("rear=red_rust", ("2L", "2R")), ("hinten links=red_rust", ("2L",)),
        ("BL.brake=red_rust", ("2L.brake",)), ("FL=red_rust", ("1L",))],
)  # fmt: skip
@pytest.mark.parametrize("command", ["check", "fleet", "compare"])
def test_each_command_takes_the_words_as_it_takes_the_codes(thermlog, command, place, codes):
    Path("a.csv").write_text(log(ENGLISH), encoding="utf-8")
    Path("b.csv").write_text(log(GERMAN).replace("92", "93"), encoding="utf-8")
    logs = ["a.csv", "b.csv", "--format", "json"]
    by_code = [part for code in codes for part in ("--surface", f"{code}=red_rust")]
    told, same, bare = (
        thermlog(command, *logs, *surfaces) for surfaces in (["--surface", place], by_code, [])
    )
    assert told.out == same.out
    if command != "compare" or len(codes) == 2:  # which says nothing of a surface known on one side alone
        assert told.out != bare.out
    assert told.code == same.code


def test_one_choice_for_vehicles_of_several_lengths(thermlog):
    Path("van.csv").write_text(log(ENGLISH), encoding="utf-8")
    Path("lorry.csv").write_text(log(NUMBERED), encoding="utf-8")
    ran = thermlog("fleet", "van.csv", "lorry.csv", "--surface", "rear=red_rust", "--format", "json")
    found = json.loads(ran.out)

    assert [one["log"]["file"] for one in found["logs"]] == ["van.csv"]
    (refused,) = found["unreadable"]
    assert (refused["file"], refused["code"], refused["value"]) == ("lorry.csv", "unclear_wheel", "rear")


def test_own_words_of_a_column_map_place_a_surface():
    lines = (
        '[columns]\ntime = "time_s"\nposition = "position"\ntemperature = "temp_c"',
        '[positions]\n11 = "1L"\n12 = "1R"\n',
    )
    Path("map.toml").write_text("\n".join(lines), encoding="utf-8")
    own = load_column_map("map.toml")
    assert named("11", ("11", "12"), column_map=own) == ("1L",)
