"""Units whose names only spaces and dashes tell apart are never merged, and are named."""

from __future__ import annotations

from pathlib import Path

import pytest
from historycases import dated
from logs import HEALTHY_K

from thermlog.words.vehicle import alike_units


@pytest.mark.parametrize(
    ("names", "alike"),
    [
        (["van 200", "van-200", "van200", "van_200"], [("van 200", "van-200", "van200", "van_200")]),
        (["van 2 00", "van 200", "van 20 0"], []),  # digits taken apart may be another number
        (["van 7/1", "van 7 1", "van 7.1"], []),  # a sign with a meaning of its own
        (["t104b", "t 104 b", "t\u2013104b", "t 104"], [("t 104 b", "t104b", "t\u2013104b")]),
        (["van 007", "van 7"], []),
    ],
)
def test_spaces_and_dashes_alone_make_names_alike(names: list[str], alike: list[tuple[str, ...]]) -> None:
    assert alike_units(names) == alike


def test_the_history_keeps_them_apart_and_names_them(thermlog) -> None:
    for number, name in enumerate(("van 200", "VAN-200", "van200", "van 9")):
        Path(f"{number}.csv").write_text(dated(HEALTHY_K, "2026-02-10", vehicle=name), encoding="utf-8")
        thermlog("check", f"{number}.csv", "--history", "depot.db")
    said = "kept as vehicles of their own, named alike: van 200, van-200, van200; if one, write one name"
    listed = thermlog("history", "--history", "depot.db", "--format", "csv")
    assert said in listed.err
    assert len(listed.out.splitlines()) == 1 + 4
    assert "named alike" not in thermlog("history", "van 9", "--history", "depot.db").err
