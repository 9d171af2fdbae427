"""Drives beside each other, as text, JSON, CSV and words of a chart."""

from __future__ import annotations

import csv
import io
import json

import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace
from proofcases import (
    DEAD_REAR,
    HEALTHY,
    HOT_REAR,
    axle,
    codes,
    compared,
    drive,
)

from thermlog.reports.contract.schemas import schema_text
from thermlog.reports.proofwords import OUTCOME_WORDS, axle_lines, comparison_headline, log_names
from thermlog.reports.report_json import comparison_json
from thermlog.reports.report_proof import (
    CSV_COLUMNS,
    comparison_csv,
    comparison_text,
    proof_last_lines,
)

SCHEMA = Draft202012Validator(json.loads(schema_text("compare")))
COLD = {corner: 0.05 * rise for corner, rise in HEALTHY.items()}
FRONT_ONLY = {corner: rise for corner, rise in HEALTHY.items() if corner[0] == "1"}


def _named(rises_k: dict[str, float], file: str):
    found = drive(rises_k)
    return replace(found, log=replace(found.log, file=file))


def test_names_tell_logs_apart() -> None:
    hot, even = _named(HOT_REAR, "logs/hot.csv"), _named(HEALTHY, "logs/after.csv")
    assert log_names((hot, even)) == ("hot", "after")
    same = replace(even, log=hot.log, drive="verification")
    assert log_names((hot, same)) == ("normal drive", "verification drive")
    assert log_names((hot, hot)) == ("log 1", "log 2")
    assert log_names((hot, replace(hot, vehicle="unit 7"))) == ("unit 1", "unit 7")


def test_headline_claims_no_more_than_two_walks_show() -> None:
    found = compared(drive(HOT_REAR), drive(HEALTHY))
    told = comparison_headline(found, ("a", "b"), "C")
    assert told.startswith("Rear even again: left minus right was -")
    assert "°F" in comparison_headline(found, ("a", "b"), "F")
    said = comparison_text(found).lower() + " ".join(OUTCOME_WORDS.values()).lower()
    assert not any(word in said for word in ("proven", "proof", "for good", "healthy"))


def test_what_is_new_is_the_headline_and_what_is_left_is_told() -> None:
    found = compared(drive(HOT_REAR), drive(HEALTHY | {"1L": 200.0}))
    told = comparison_headline(found, ("a", "b"), "C")
    assert told == "Front NEW FAULT: front left is hot now and was not before; rear even again"
    why = [line for line in proof_last_lines(found) if line.startswith("WHY")]
    assert any("inside the watch line of" in line for line in why)


def test_urgent_lines_of_the_last_log_come_first() -> None:
    found = compared(drive(HOT_REAR), drive(HEALTHY | {"2R": 450.0}))
    lines = proof_last_lines(found)
    # more than the 400 °C or so at which a brake stops the vehicle in any policy
    assert lines[0].startswith("STOP      Stop driving: a brake reads 4")
    assert lines[1].startswith("FINDING   STOP DRIVING. Rear NOT REPAIRED")
    assert found.next_check is not None
    assert found.next_check.id == "clear_and_wait"
    # urgent before, not any more: no stop line
    assert not proof_last_lines(compared(found.last, drive(HEALTHY)))[0].startswith("STOP")


def test_last_lines_have_an_action_and_the_answers_of_the_last_log() -> None:
    lines = proof_last_lines(compared(drive(HOT_REAR), drive(HEALTHY)))
    heads = [line.split()[0] for line in lines]
    assert heads == ["FINDING", "WHY", "NOW", "DO", "POLICY", "CAUTION"]
    assert "does a brake drag? no; does one not work? no" in lines[2]
    assert comparison_text(compared(drive(HOT_REAR), drive(HEALTHY))).splitlines()[-6:] == lines


def test_an_axle_of_a_chart_has_its_reason_in_words() -> None:
    found = compared(drive(HOT_REAR), drive(HEALTHY | {"2R": 88.0}))
    lines = axle_lines(axle(found, 2), found, ("a", "b"), "C")
    assert any(line.startswith("rear right minus rear left: ") for line in lines)


# --- JSON and CSV -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("after", [HEALTHY, HOT_REAR, DEAD_REAR, COLD, FRONT_ONLY, HEALTHY | {"2R": 450.0}])
def test_json_of_every_kind_follows_the_schema(after: dict[str, float]) -> None:
    found = compared(drive(HOT_REAR), drive(after))
    content = json.loads(comparison_json(found), parse_constant=pytest.fail)
    SCHEMA.validate(content)
    rear = content["axles"][1]
    assert [reason["code"] for reason in rear["reasons"]] == codes(found, 2)
    assert rear["why"] == "; ".join(reason["text"] for reason in rear["reasons"])
    assert content["open_or_flagged"] == found.open_or_flagged
    assert (content["urgent"] != []) == bool(found.urgent)
    assert found.next_check is not None
    assert content["next_check"]["id"] == found.next_check.id


def test_schema_refuses_what_is_no_comparison() -> None:
    content = json.loads(comparison_json(compared(drive(HOT_REAR), drive(HEALTHY))))
    content["axles"][0]["outcome"] = "fine"
    assert not SCHEMA.is_valid(content)


def test_csv_has_a_row_a_place_and_log() -> None:
    first = replace(drive(HOT_REAR), vehicle=None)
    evil = replace(drive(HEALTHY), vehicle="=1+1")
    rows = list(csv.DictReader(io.StringIO(comparison_csv(compared(first, evil)))))
    assert tuple(rows[0]) == CSV_COLUMNS
    # four corners and two axles, in two logs
    assert len(rows) == 12
    assert {row["vehicle"] for row in rows} == {"", "'=1+1"}
    rear = [row for row in rows if row["place"] == "axle 2 left minus right"]
    assert [row["outcome"] for row in rear] == ["", "repaired"]
    assert "inside the watch line of" in rear[1]["why"]


def test_notes_tell_what_a_reader_must_know() -> None:
    late = replace(drive(HEALTHY), common_time_s=600.0)
    other = replace(late, policy=replace(late.policy, sha256="f" * 64))
    first = replace(drive(HOT_REAR), common_time_s=120.0)
    notes = compared(first, other).notes
    assert "the logs are compared at different moments, 2.0 to 10.0 min" in notes
    assert "the logs were judged by different policies" in notes
    assert "the same log is given twice" in compared(first, first).notes
