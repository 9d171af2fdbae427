"""Heat that a remark states at a wheel is read now, and nobody drives before; heat that rises may be real."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_trade_words import BARE, ROWS


def checked(thermlog, text: str):
    Path("a.csv").write_text(text, encoding="utf-8")
    told = json.loads(thermlog("check", "a.csv", "--format", "json").out)
    return thermlog("check", "a.csv", "-q").out, told


@pytest.mark.parametrize(
    ("words", "part"),
    [
        ("RR hub 130 !!", "hub rear right 130 °C"),
        ("RR bearing 110", "hub"),
        ("RR tyre 95 C", "tyre rear right 95 °C"),
    ],
)
def test_heat_of_a_part_past_its_line_stops_the_vehicle_from_a_note_too(thermlog, words, part):
    """A hub from 120 °C or 83 K above the air on, a tyre from 90 °C on (docs/suspects.md)."""
    quiet, told = checked(thermlog, f"# {words}\n{BARE}")
    assert told["next_check"]["id"] == "clear_and_wait"
    assert f"STOP DRIVING: {part}" in quiet


@pytest.mark.parametrize("words", ["RR hub 95 !!", "RR bearing 95", "hottest 190 RR", "RR tyre 85 C"])
def test_the_wheel_that_is_noted_is_read_now(thermlog, words):
    quiet, told = checked(thermlog, f"# {words}\n{BARE}")
    assert told["next_check"]["id"] == "read_said"
    assert (
        "DO NEXT   Do not drive it, and touch nothing at rear right. Read its hub, brake, rim and tyre"
        in quiet
    )
    assert f'line 1 says "{words}", and it may be true' in quiet
    assert "correct what is wrong" not in quiet


def test_a_note_beside_a_wheel_needs_no_name(thermlog):
    quiet, told = checked(thermlog, ROWS.format(head=",note", no=",", note=",bearing 95"))
    assert told["next_check"]["id"] == "read_said"
    assert 'line 5: "bearing 95" states 95 °C at rear left, more than was read there' in quiet


def test_in_the_unit_of_the_page(thermlog):
    Path("a.csv").write_text(f"# RR hub 130\n{BARE}", encoding="utf-8")
    quiet = thermlog("check", "a.csv", "-q", "--show", "F").out
    assert "states 266 °F at rear right" in quiet  # 130 x 1.8 + 32


def test_no_more_than_was_read_asks_for_nothing(thermlog):
    """80 °C is within 15 K of the 69 °C read there, as a spot beside the swept face may be."""
    _, told = checked(thermlog, f"# RR disc 80\n{BARE}")
    assert told["next_check"]["id"] == "weigh_remark"


@pytest.mark.parametrize(("first", "last"), [(78, 123), (143, 329)])
def test_a_wheel_that_rises_at_standstill_may_still_heat(thermlog, first, last):
    text = BARE.replace("60,LR,68", f"60,LR,{first}").replace("375,LR,60", f"375,LR,{last}")
    quiet, _ = checked(thermlog, text)
    assert f"reads {first} and {last} °C: one of them may be wrong, or it still heats" in quiet
