"""A brake that did no work on an earlier drive is tried standing before anybody is sent on the next one.

All logs are invented. What a careful technician wants was written before it was run: a front right brake
that was dead in June, and a walk in July after a few hundred metres, is no reason to warm the brakes on the
road. Who knows what was mended says so; who has seen it work since needs nothing.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from historycases import dated, job_of_log
from logs import HEALTHY_K

from thermlog.history.store import History

DEAD_K = HEALTHY_K | {"1R": 2.0}
COLD_K = {corner: 0.05 * rise_k for corner, rise_k in HEALTHY_K.items()}


def written(name: str, day: str, *more: str, rises=HEALTHY_K) -> str:
    text = "".join(f"# {line}\n" for line in more) + dated(rises, day, vehicle="van 0")
    Path(name).write_text(text, encoding="utf-8")
    return name


@pytest.fixture
def depot(thermlog, tmp_path, monkeypatch):
    """Stores the check of a log, and judges another with the history."""
    monkeypatch.chdir(tmp_path)
    History.open("depot.db", make=True).close()

    def check(name: str):
        return json.loads(thermlog("check", name, "--history", "depot.db", "--format", "json").out)

    return check


def test_what_was_dead_before_is_tried_standing_before_a_drive(thermlog, depot):
    assert depot(written("dead.csv", "2026-06-10", rises=DEAD_K))["answers"]["idle"]["answer"] == "yes"
    told = depot(written("cold.csv", "2026-07-10", rises=COLD_K))
    reason = told["answers"]["idle"]["reasons"][0]

    assert (told["answers"]["idle"]["answer"], told["next_check"]["id"]) == ("cannot_tell", "static_check")
    assert (reason["code"], reason["corners"]) == ("idle_before", ["1R"])
    assert "check 1R standing" in told["next_check"]["question"]
    text = thermlog("check", "cold.csv", "--history", "depot.db", "-q").out
    assert "front right did too little on 2026-06-10, and nothing says what was mended since" in text


def test_without_that_visit_a_cold_vehicle_is_driven(depot):
    assert depot(written("cold.csv", "2026-07-10", rises=COLD_K))["next_check"]["id"] == "drive_with_braking"


def test_a_walk_between_that_could_not_tell_changes_nothing(depot):
    depot(written("dead.csv", "2026-06-10", rises=DEAD_K))
    depot(written("cold.csv", "2026-06-20", rises=COLD_K))
    assert depot(written("again.csv", "2026-07-10", rises=COLD_K))["next_check"]["id"] == "static_check"


def test_a_brake_that_has_worked_since_or_was_mended_is_not_held_against_it(depot):
    depot(written("dead.csv", "2026-06-10", rises=DEAD_K))
    stated = depot(written("cold.csv", "2026-07-09", "repair: new caliper RF", rises=COLD_K))
    assert stated["next_check"]["id"] == "drive_with_braking"
    assert depot(written("works.csv", "2026-07-10"))["answers"]["idle"]["answer"] == "no"
    assert depot(written("later.csv", "2026-07-11", rises=COLD_K))["next_check"]["id"] == "drive_with_braking"


def test_parts_of_a_job_count_as_the_repair(depot):
    depot(written("dead.csv", "2026-06-10", rises=DEAD_K))
    history = History.open("depot.db")
    history.add_job(job_of_log("dead.csv", "piston_stuck_in", parts=("caliper",)))
    history.close()
    assert depot(written("cold.csv", "2026-07-10", rises=COLD_K))["next_check"]["id"] == "drive_with_braking"


def test_of_drives_judged_together_the_earlier_one_counts_as_well(thermlog, depot):
    assert depot(written("cold.csv", "2026-07-10", rises=COLD_K))["next_check"]["id"] == "drive_with_braking"
    logs = written("dead.csv", "2026-06-10", rises=DEAD_K), "cold.csv"
    told = json.loads(thermlog("fleet", *logs, "--history", "depot.db", "--format", "json").out)
    (later,) = (one for one in told["work"]["drives"] if one["file"].endswith("cold.csv"))
    assert later["errand"]["id"] == "static_check"
