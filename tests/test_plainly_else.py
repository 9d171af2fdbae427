"""Words for smoke, smell, leaks and lamps that plainly speak of something else raise no alarm."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_trade_words import PLACES


def checked(thermlog, words: str, place: str):
    Path("a.csv").write_text(PLACES[place](words), encoding="utf-8")
    ran = thermlog("check", "a.csv", "--format", "json")
    return ran.code, json.loads(ran.out)


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize(
    "words",
    [
        "smoker's car, stinks of fags", "customer smokes", "trailer smells of horses", "smells of new paint",
        "exhaust smoke on cold start, blue", "sunroof leaks", "warning lamp: washer fluid",
        "LF tyre flat spot",
        "car washed yesterday",
    ],
)  # fmt: skip
def test_no_alarm(thermlog, place, words):
    code, told = checked(thermlog, words, place)
    assert (code, told["urgent"], told["blind"]) == (0, [], [])


@pytest.mark.parametrize(
    ("words", "urgent"),
    [
        ("customer says it smokes", "smoke"), ("exhaust smoke, LR smoking", "smoke"),
        ("smoke near the exhaust", "smoke"), ("smells of burning paint", "smell"),
        ("smells of hot paint", "smell"),
        ("trailer smells", "smell"), ("LF tyre flat", "burst"), ("warning lamp", "brake_lamp"),
        ("LR caliper leaks", "leak"), ("smoker's car, LR smokes", "smoke"),
    ],
)  # fmt: skip
def test_one_too_many_rather_than_one_missed(thermlog, words, urgent):
    code, told = checked(thermlog, words, "above")
    assert (code, [one["code"] for one in told["urgent"]]) == (1, [urgent])


@pytest.mark.parametrize("words", ["car washed", "washed today", "LF tyre flat"])
def test_a_wash_of_today_and_a_flat_tyre_clear_nothing(thermlog, words):
    assert checked(thermlog, words, "above")[0] == 1
