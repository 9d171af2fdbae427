"""A log's own words for a corner stand beside ours where ours are others; all readings invented."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from readcases import read

TRACTOR_TRAILER = {
    "tractor front left": 110, "tractor front right": 109, "tractor drive left": 115,
    "tractor drive right": 113, "trailer front left": 112, "trailer front right": 114,
    "trailer rear left": 260, "trailer rear right": 118,
}  # fmt: skip


def walk(words, *above, rounds=2):
    """Readings of so many wheels, ten seconds apart, a round after the other; all cool alike."""
    lines = [*above, "# ambient: 18 C", "# vehicle: unit 12", "since_parked_s,position,temp_c"]
    for turn in range(rounds):
        for place, (word, degc) in enumerate(words.items()):
            at_s = 20 + 10 * place + 180 * turn
            lines.append(f"{at_s},{word},{18 + (degc - 18) * math.exp(-at_s / 3000):.1f}")
    return "\n".join(lines) + "\n"


def called(text, **options):
    return {one.corner: one.words for one in read(text, **options).readings.cases[0].called}


@pytest.mark.parametrize("careful", [False, True])
def test_words_are_kept_where_they_count_axles_otherwise(careful):
    """By both readers: a remark makes a log one for the careful reader."""
    text = walk(TRACTOR_TRAILER, *(["# note: dry road"] if careful else []))
    kept = called(text)
    assert kept["4L"] == "trailer rear left"
    assert kept["2R"] == "tractor drive right"
    assert len(kept) == 8


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        (("1L", "1R", "axle 2 left", "A2R"), {}),
        (("nearside front", "offside front", "RL", "RR"), {"1L": "nearside front", "1R": "offside front"}),
        (("steer L", "steer R", "drive L", "drive R"), {"1L": "steer L", "2R": "drive R"}),
        (("trailer axle 1 L", "trailer axle 1 R", "trailer axle 2 L", "trailer axle 2 R"), {}),
        (("1L", "1R", "2L", "2R", "trailer axle 1 L", "trailer axle 1 R"), {"3L": "trailer axle 1 L"}),
        (("1L", "1R", "2L", "2R", "trailer axle 3 L", "trailer axle 3 R"), {}),
    ],
)
def test_what_counts_axles_as_we_do_is_not_kept(words, kept):
    found = called(walk(dict.fromkeys(words, 100)))
    assert kept.items() <= found.items()
    assert bool(kept) == bool(found)


def test_the_shortest_of_several_words_is_kept_and_those_of_options_count_too():
    words = dict.fromkeys(["steer L", "left steer axle", "my wheel", "drive R", "drive L"], 100)
    kept = called(walk(words), positions=(("my wheel", "steer R"),))
    assert kept["1L"] == "steer L"
    assert kept["1R"] == "my wheel"


@pytest.fixture
def result(thermlog):
    def run(words, *options):
        Path("a.csv").write_text(walk(words), encoding="utf-8")
        return thermlog("check", "a.csv", "--exit-zero", *options).out

    return run


def test_the_reader_finds_his_words_in_the_headline_the_table_and_json(result):
    told = result(TRACTOR_TRAILER).splitlines()
    assert told[0].startswith("+ axle 4 left (trailer rear left) drags")
    assert any(line.startswith("  axle 3 right (trailer front right) ") for line in told)
    corners = json.loads(result(TRACTOR_TRAILER, "--format", "json"))["corners"]
    assert {one["corner"]: one["in_log"] for one in corners}["4L"] == "trailer rear left"


def test_ordinary_words_of_two_axles_stay_as_they_are(result):
    words = {"FL": 110, "FR": 109, "rear left": 190, "RR": 71}
    told = result(words)
    assert "rear left" in told.splitlines()[0]
    assert "(" not in told.splitlines()[0]
    assert "(rear left)" not in told
    corners = json.loads(result(words, "--format", "json"))["corners"]
    assert all(one["in_log"] is None for one in corners)


def test_the_same_words_are_kept_where_three_axles_are_told_by_numbers(result):
    words = {"FL": 110, "FR": 109, "middle left": 190, "middle right": 71, "RL": 70, "RR": 71}
    assert "axle 2 left (middle left)" in result(words).splitlines()[0]


def test_the_list_of_work_the_comparison_and_the_inspection_say_them(result, thermlog):
    result(TRACTOR_TRAILER)
    listed = thermlog("fleet", "a.csv", "--exit-zero").out
    assert "+ axle 4 left (trailer rear left) drags" in listed
    place = thermlog("fleet", "a.csv", "--exit-zero", "--format", "json").out
    assert json.loads(place)["work"]["drives"][0]["lines"][0]["place"] == "axle 4 left (trailer rear left)"
    Path("b.csv").write_text(walk(TRACTOR_TRAILER | {"trailer rear left": 117}), encoding="utf-8")
    assert "  axle 4 left (trailer rear left) " in thermlog("compare", "a.csv", "b.csv", "--exit-zero").out
    assert "  4R (trailer rear right)  brake" in thermlog("inspect", "a.csv").out


def test_the_picture_says_them_at_the_line_and_in_its_title(result):
    result(TRACTOR_TRAILER, "--chart", "a.svg")
    drawn = Path("a.svg").read_text(encoding="utf-8")
    assert "axle 4 left (trailer rear left) drags" in drawn


def test_causes_how_much_it_drags_and_what_to_do_say_them(result, thermlog):
    told = result(TRACTOR_TRAILER)
    own = "axle 4 left (trailer rear left)"
    causes = told.partition("What could cause it\n")[2].partition("At the wheel")[0]
    places = [line.split(" | ")[1] for line in causes.splitlines() if " | " in line]
    assert len(places) >= 3
    assert set(places) == {own}
    assert f"  - {own}: drag of the order of " in told
    result(TRACTOR_TRAILER, "--report", "a.html")
    page = Path("a.html").read_text(encoding="utf-8").partition("What could cause it")[2]
    assert f'<span class="soft">{own}, most likely</span>' in page
    Path("b.csv").write_text(walk(TRACTOR_TRAILER | {"trailer rear left": 190}, rounds=4), encoding="utf-8")
    assert f"NEXT      Which kind of brake is fitted at {own}?" in thermlog("narrow", "b.csv").out


def test_reasons_keep_to_our_names(result):
    """Beside the table that says both a reason that names three wheels twice over is no shorter to read."""
    (reason,) = [line for line in result(TRACTOR_TRAILER).splitlines() if " above axle 4 right (" in line]
    assert "trailer" not in reason
