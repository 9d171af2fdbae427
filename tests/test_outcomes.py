"""How right the answers were: counts and intervals, and what is not known is not counted."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from pathlib import Path

import pytest
from historycases import dated
from jsonschema import Draft202012Validator
from logs import DRAGGING_K, HEALTHY_K

from thermlog.history.outcomes import cause_shares, wilson
from thermlog.reports.contract.schemas import schema_text
from thermlog.reports.report_outcomes import OUTCOMES

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
    rows = cause_shares({"a": 1.0, "b": 3.0}, {"a": 5, "b": 1, "unknown": 2})
    assert [row.cause for row in rows] == ["a", "b"]
    assert (rows[0].table, rows[0].count, rows[0].together) == (0.25, 5, pytest.approx(10.0 / 26.0))
    assert sum(row.together for row in rows) == pytest.approx(1.0)


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
    assert (
        thermlog("history", "--history", "depot.db", *jobs).code == 1
    )  # three are flagged at their last visit
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


def test_outcomes_are_of_the_whole_depot(depot) -> None:
    assert depot("history", "van 1", "--history", "depot.db", "--outcomes").code == 2


@pytest.fixture
def missed(depot):
    """Beside them a van that was answered "no", and whose brake was found faulty."""
    depot("narrow", "4.csv", "--job", "4.json", "--cause", "slide_pin_seized", "--exit-zero")
    assert depot("history", "--history", "depot.db", "--job", "4.json").code == 1
    return depot


def test_json_and_table_say_what_the_text_says(missed) -> None:
    """Two called, one of them faulty; two answered "no", one of them faulty: the miss."""
    how = ("history", "--history", "depot.db", "--outcomes")
    text = missed(*how).out
    told = json.loads(missed(*how, "--format", "json").out)
    rows = list(csv.DictReader(io.StringIO(missed(*how, "--format", "csv").out)))
    Draft202012Validator(json.loads(schema_text("outcomes"))).validate(told)

    assert (told["known"], told["checked"]) == (4, 5)
    counts = {one["answer"]: (one["drives"], one["faulty"]) for one in told["answers"]}
    assert counts == {"yes": (2, 1), "watch": (0, 0), "cannot_tell": (0, 0), "no": (2, 1)}
    half = wilson(1, 2)
    assert half is not None
    assert told["answers"][0]["interval"] == pytest.approx([half.low, half.high], rel=1e-5)
    assert told["answers"][1]["interval"] is None
    # the pins may do either, so that three drives tell whether a brake dragged: both called ones and one "no"
    ends = [(one["p_from"], one["p_below"]) for one in told["calibration"]]
    assert [before[1] for before in ends[:-1]] == [after[0] for after in ends[1:]]
    assert (ends[0][0], ends[-1][1]) == (0.0, 1.0)
    assert sum(one["drives"] for one in told["calibration"]) == 3
    assert sum(one["dragged"] for one in told["calibration"]) == 1
    (miss,) = told["missed"]
    assert (miss["unit"], miss["file"], miss["cause"]) == ("van 4", "4.csv", "slide_pin_seized")
    assert miss["sha256"] == hashlib.sha256(Path("4.csv").read_bytes()).hexdigest()
    assert 'Missed: answered "no", and a fault was found (1)' in text
    assert [row["about"] for row in rows].count("answer") == 4
    assert [(row["name"], row["unit"], row["file"]) for row in rows if row["about"] == "missed"] == [
        ("slide_pin_seized", "van 4", "4.csv")
    ]
    for row, one in zip((row for row in rows if row["about"] == "cause"), told["causes"], strict=True):
        assert (row["name"], int(row["faulty"])) == (one["cause"], one["count"])
        assert float(row["share"]) == one["together"]


def test_nothing_was_missed_where_no_fault_was_found_behind_a_no(depot) -> None:
    told = json.loads(depot("history", "--history", "depot.db", "--outcomes", "--format", "json").out)
    assert told["missed"] == []


def test_columns_of_outcomes_are_those_of_the_page() -> None:
    page = (PAGE.parent / "history.md").read_text(encoding="utf-8")
    table = page.partition("| column of outcomes | what it holds |")[2].partition("\n\n")[0]
    named = re.findall(
        r"`([a-z_0-9]+)`", " ".join(line.split("|")[1] for line in table.splitlines()[2:] if "|" in line)
    )
    assert named == [column.name for column in OUTCOMES]
