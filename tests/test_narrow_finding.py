"""The JSON of ``narrow`` says what the log says, and what stops the vehicle, as ``check`` does."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

LOGS = Path(__file__).parent.parent / "sample_logs"


def both(thermlog, *given: str) -> tuple[dict, dict, str]:
    """What `narrow` and `check` say of one log as JSON, and the line of `narrow` in text."""
    narrow, check = (
        json.loads(thermlog(command, *given, "--format", "json", "--exit-zero").out)
        for command in ("narrow", "check")
    )
    text = thermlog("narrow", *given, "--exit-zero").out.splitlines()[0]
    return narrow, check, text


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("van_front_left_hot.csv", ()),
        ("trailer_hub_hot.csv", ()),  # a hub stops it
        ("van_front_left_hot.csv", ("--seen", "smoke at RF")),
        ("saloon_healthy.csv", ("--seen", "smoke at RF")),
        ("saloon_healthy.csv", ()),
        ("pickup_all_hot.csv", ()),
    ],
)
def test_finding_answers_and_what_stops_are_those_of_check(thermlog, name, more):
    narrow, check, text = both(thermlog, str(LOGS / name), *more)
    assert (narrow["answers"], narrow["urgent"]) == (check["answers"], check["urgent"])
    assert text == f"FINDING   {narrow['finding']}"
    assert ("STOP DRIVING" in narrow["finding"]) is bool(check["urgent"])


def test_what_was_answered_takes_nothing_from_what_stops_the_vehicle(thermlog):
    given = (str(LOGS / "trailer_hub_hot.csv"), "--found", "clear_and_wait=cooled")
    told = json.loads(thermlog("narrow", *given, "--format", "json").out)
    assert [one["code"] for one in told["urgent"]]
    assert told["finding"].startswith("!! STOP DRIVING")
