"""Smoke that is a colour, glass or another vehicle's stops nobody; where it may be this one's it does.

A careful technician is not held up by the name of a paint or a lorry two bays off, and takes every other word
of smoke for smoke. Texts are invented; answers were written first.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from logs import HEALTHY_K, log_text

from thermlog.reading.remarks.sights import read_sights, told_sights

NOT_HERE = [
    "smoke grey van", "smoky grey lorry", "smoked glass windows", "smoked lens cracked, new one fitted",
    "the lorry in the next bay was smoking", "another van was smoking", "LKW in der Nachbarbucht raucht",
    "smell of diesel in the yard", "diesel smell in the workshop",
]  # fmt: skip
MAY_BE_HERE = [
    "smoke grey at RR", "smoke, grey van", "smoke grey van smoking at RR", "smokes more than the other lorry",
    "driver of another car saw smoke", "smoke seen from next bay", "smell of diesel and burning at RR",
    "lorry in bay was smoking", "smoking like the other van", "smell in the yard",
    "smoke from other lorry side RR", "last week it smoked at RR, caliper renewed since",
]  # fmt: skip


@pytest.mark.parametrize("text", NOT_HERE)
def test_a_colour_glass_or_another_vehicle_stops_nobody(text):
    assert told_sights(text) == ()


@pytest.mark.parametrize("text", MAY_BE_HERE)
def test_what_may_be_of_this_vehicle_does(text):
    assert told_sights(text)


@pytest.mark.parametrize("text", ["all dry", "dry", "RR dry", "alles trocken", "tout sec"])
def test_dry_says_that_nothing_leaks(text):
    assert (read_sights(text).found, read_sights(text).strange) == ((), ())


def test_all_dry_matters_to_no_answer(thermlog):
    Path("log.csv").write_text(f"# seen: all dry\n{log_text(HEALTHY_K)}", encoding="utf-8")
    assert thermlog("check", "log.csv").code == 0
