"""How right the answers were: counts and intervals, and what is not known is not counted."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from historycases import dated
from logs import DRAGGING_K, HEALTHY_K

from thermlog.history.outcomes import cause_shares, wilson

PAGE = Path(__file__).parents[1] / "docs" / "field-study.md"


def test_wilson_interval_of_a_published_example() -> None:
    """Newcombe, Statistics in Medicine 17 (1998) 857, table I, 81 of 263 (from memory, not checked)."""
    found = wilson(81, 263)
    assert found is not None
    assert (found.low, found.high) == (pytest.approx(0.2553, abs=5e-5), pytest.approx(0.3662, abs=5e-5))
    assert wilson(0, 0) is None


def test_the_table_of_the_page_is_recomputed() -> None:
    rows = re.findall(
        r"^\| (\d+) \|((?: \d+ to \d+ % \|){5})$", PAGE.read_text(encoding="utf-8"), re.MULTILINE
    )
    assert len(rows) == 5
    for count, cells in rows:
        seen = [wilson(round(share * int(count)), int(count)) for share in (0.0, 0.05, 0.1, 0.5, 0.8)]
        shown = [tuple(map(int, ends)) for ends in re.findall(r"(\d+) to (\d+) %", cells)]
        assert shown == [(round(100 * one.low), round(100 * one.high)) for one in seen if one], count


def test_causes_that_were_found_shift_their_shares() -> None:
    """Own sum: prior 1 : 3 counts as 20 findings, 5 and 1 more: (5 + 5) / 26."""
    rows = cause_shares({"a": 1.0, "b": 3.0}, {"a": 5, "b": 1, "unknown": 2}, 20.0)
    assert [row[0] for row in rows] == ["a", "b"]
    assert rows[0][1:] == (0.25, 5, pytest.approx(10.0 / 26.0))
    assert sum(row[3] for row in rows) == pytest.approx(1.0)


@pytest.fixture
def depot(thermlog):
    """Three vans that drag, two that do not; of one each nobody knows."""
    jobs = []
    for number in range(5):
        rises = DRAGGING_K if number < 3 else HEALTHY_K
        Path(f"{number}.csv").write_text(
            dated(rises, "2026-03-04", vehicle=f"van {number}"), encoding="utf-8"
        )
        thermlog("check", f"{number}.csv", "--history", "depot.db", "--exit-zero")
        cause = {0: "piston_stuck_on", 1: "no_fault", 3: "no_fault"}.get(number)
        if cause:
            thermlog("narrow", f"{number}.csv", "--job", f"{number}.json", "--cause", cause, "--exit-zero")
            jobs += ["--job", f"{number}.json"]
    assert thermlog("history", "--history", "depot.db", *jobs).code == 0
    return thermlog


def test_answers_are_held_against_what_was_found(depot) -> None:
    out = depot("history", "--history", "depot.db", "--outcomes").out
    assert out.startswith("3 of 5 drives have an outcome")
    rows = {line.split("  ")[1].strip(): line.split() for line in out.splitlines() if line.startswith("  ")}
    assert rows["yes"][1:4] == ["2", "1", "0.50"]
    assert rows["no"][1:4] == ["1", "0", "0.00"]
    assert rows["piston_stuck_on"][2] == "1"
    assert "docs/field-study.md" in out


def test_a_record_that_grew_replaces_what_it_was(depot) -> None:
    depot("narrow", "1.csv", "--job", "1.json", "--cause", "slide_pin_seized", "--exit-zero")
    depot("history", "--history", "depot.db", "--job", "1.json")
    out = depot("history", "--history", "depot.db", "--outcomes").out
    assert "3 of 5 drives" in out
    assert "slide_pin_seized" in out


@pytest.mark.parametrize("wrong", [("van 1",), ("--format", "json")])
def test_outcomes_are_of_the_whole_depot(depot, wrong: tuple[str, ...]) -> None:
    assert depot("history", *wrong, "--history", "depot.db", "--outcomes").code == 2
