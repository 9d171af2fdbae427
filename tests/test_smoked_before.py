"""Smoke that is denied of this moment only was seen: it stops the vehicle wherever it is written."""

from __future__ import annotations

from pathlib import Path

import pytest
from logs import HEALTHY_K, log_text

from thermlog.reading.remarks.sights import read_sights, told_sights

SEEN_BEFORE = [
    "smoked earlier, not now",
    "smoked earlier not now",
    "smoked before, no longer",
    "no longer smoking",
    "not smoking any more",
    "smoke: not any more",
    "rauchte vorher, jetzt nicht mehr",
]
NOT_SEEN = [
    "no smoke",
    "no smoke now",
    "not smoking",
    "smoke: none",
    "never smoked",
    "no smoke, nothing more",
]


@pytest.mark.parametrize("words", SEEN_BEFORE)
@pytest.mark.parametrize(
    "where", ["{log}{words}\n", "{log}# {words}\n", "{words}\n{log}", "# seen: {words}\n{log}"]
)
def test_smoke_of_a_while_ago_stops_the_vehicle(thermlog, words: str, where: str) -> None:
    Path("log.csv").write_text(where.format(log=log_text(HEALTHY_K), words=words))
    assert "STOP DRIVING: smoke seen" in thermlog("check", "log.csv", "-q").out


@pytest.mark.parametrize("words", NOT_SEEN)
def test_smoke_that_is_denied_was_not_seen(words: str) -> None:
    assert (told_sights(words), read_sights(words).found) == ((), ())


@pytest.mark.parametrize(
    ("words", "places"), [("SMOKE!!! LR", ["LR"]), ("smoke, RF", ["RF"]), ("smoke RF, LF", ["RF", "LF"])]
)
def test_place_alone_belongs_to_what_was_named_before(words: str, places: list[str]) -> None:
    """One sight, not one without a place and another with it."""
    assert [one.place for one in read_sights(words).found] == places
