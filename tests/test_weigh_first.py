"""What somebody noted of a wheel or a brake, and no rule understands, is weighed before a log is kept."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_trade_words import BARE, PLACES

from thermlog.reading.remarks.alarms import speaks_of_braking


def checked(thermlog, text: str):
    Path("a.csv").write_text(text, encoding="utf-8")
    told = json.loads(thermlog("check", "a.csv", "--format", "json").out)
    return thermlog("check", "a.csv", "-q").out, told


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("words", ["LR makes a funny noise", "squeaks a bit LR", "wheel LF dirty"])
def test_it_is_weighed_first_and_quoted(thermlog, place, words):
    quiet, told = checked(thermlog, PLACES[place](words))
    assert told["next_check"]["id"] == "weigh_remark"
    assert "Keep this log" not in quiet
    assert f'"{words}" speaks of' in quiet.replace("remark: ", "")
    assert words in thermlog("fleet", "a.csv", "-q").out


@pytest.mark.parametrize("place", ["remark", "line"])
@pytest.mark.parametrize("words", ["pads at six mm all round", "the brakes squeal when it rains"])
def test_of_no_wheel_too(thermlog, place, words):
    _, told = checked(thermlog, PLACES[place](words))
    assert told["next_check"]["id"] == "weigh_remark"


# 2 mm is the line; 2/32 of an inch are 1.6 mm.
SPENT = (
    "pads 2mm", "pads at 1.5 mm LF", "linings down to 1mm", "front pads 8mm, rear 2mm", "pads 1-2 mm",
    "pads 6/6/2/2 mm", "pads mm: LF 6 RF 6 LR 2 RR 2", "pads 2/32", "brake pads need replacing",
    "pads to the metal", "rivets showing", "linings below limit", "disc at minimum thickness",
    "Beläge 2 mm", "plaquettes usées",
)  # fmt: skip
NOT_SPENT = (
    "pads at 6mm", "pads 2.5 mm", "pads at 12 mm", "pads 22 mm", "pads 4/32", "pads 8 mm (min 2 mm)",
    "pads 8 mm, min 2 mm", "pads 6mm, disc lip 1mm", "pads 6mm disc lip 1mm", "pads not due",
    "pads not below 2 mm", "tyre tread 2 mm", "pads 2 mm, replaced", "new pads 12 mm",
    "disc runout 0.1 mm",
)  # fmt: skip


@pytest.mark.parametrize("place", ["above", "remark", "note"])
@pytest.mark.parametrize("words", SPENT)
def test_a_lining_that_is_worn_or_thin_is_weighed_first(thermlog, place, words):
    quiet, told = checked(thermlog, PLACES[place](words))
    assert told["next_check"]["id"] == "weigh_remark"
    assert words in quiet
    assert told["unweighed"][0]["of_brakes"] is True


@pytest.mark.parametrize("place", ["above", "remark"])
@pytest.mark.parametrize(
    "words",
    [
        "vibration",
        "pedal fine, vibrates at 80",
        "judder",
        "rolls back but not forward",
        "steering wheel shakes",
    ],
)
def test_a_vibration_and_a_vehicle_that_does_not_roll_one_way_are_weighed_first(thermlog, place, words):
    """They tell of a wheel, a drum or a disc, though of none by name."""
    _, told = checked(thermlog, PLACES[place](words))
    assert told["next_check"]["id"] == "weigh_remark"
    assert checked(thermlog, PLACES[place]("no vibration"))[1]["next_check"]["id"] == "keep_record"


@pytest.mark.parametrize("words", NOT_SPENT)
def test_one_that_will_do_is_a_plain_note_above_the_table(thermlog, words):
    quiet, told = checked(thermlog, PLACES["above"](words))
    assert (told["next_check"]["id"], "Keep this log" in quiet) == ("keep_record", True)


@pytest.mark.parametrize("place", ["above", "remark", "line"])
@pytest.mark.parametrize(
    "words",
    ["customer is waiting in reception", "it was a hot day today", "new tyres fitted", "brakes are fine"],
)
def test_what_is_of_something_else_is_not(thermlog, place, words):
    quiet, told = checked(thermlog, PLACES[place](words))
    assert (told["next_check"]["id"], "Keep this log" in quiet) == ("keep_record", True)


def test_a_line_of_words_among_the_rows_is_a_remark(thermlog):
    _, told = checked(thermlog, BARE + "nearly did not get home at all\n")
    assert [(one["line"], one["text"]) for one in told["unweighed"]] == [
        (11, "nearly did not get home at all")
    ]


@pytest.mark.parametrize("line", ["end of log", "Runde 2", "600,RR", "total of 8 rows read"])
def test_a_mark_a_total_or_half_a_row_is_none(thermlog, line):
    _, told = checked(thermlog, f"{BARE}{line}\n")
    assert told["unweighed"] == []


def test_several_are_counted(thermlog):
    quiet, _ = checked(thermlog, f"# LR squeaks\n# RR squeaks\n# RF squeaks\n{BARE}")
    assert '"LR squeaks" speaks of, and for 2 more' in quiet


def test_what_is_open_or_called_comes_before_it(thermlog):
    _, told = checked(thermlog, "# LR squeaks\n" + BARE.replace("107", "207").replace("91", "171"))
    assert told["next_check"]["id"] != "weigh_remark"


@pytest.mark.parametrize(
    ("words", "at_wheel", "speaks"),
    [
        ("squeaks", False, False), ("squeaks", True, True), ("LR not seized", True, False),
        ("hot day", True, False),
        ("brake fluid changed", True, False), ("took long to stop", False, True),
        ("disc looks blue", False, True),
    ],
)  # fmt: skip
def test_of_what_a_remark_speaks(words, at_wheel, speaks):
    assert speaks_of_braking(words, at_wheel=at_wheel) is speaks
