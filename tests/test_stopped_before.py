"""A vehicle that an earlier visit stopped, with no repair known since, is not cleared by one cool walk.

All logs are invented. What a careful technician wants was written before it was run: a van that smoked in
June and reads even in July is no van without a dragging brake, for nobody knows what became of the smoke;
who knows what was mended says so, and then the walk stands.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from historycases import dated, job_of_log
from logs import HEALTHY_K

from thermlog.history.store import History

STOP_K = HEALTHY_K | {"1L": 6.0 * HEALTHY_K["1L"]}


def written(name: str, day: str, *more: str, rises=HEALTHY_K, vehicle="van 0") -> str:
    text = "".join(f"# {line}\n" for line in more) + dated(rises, day, vehicle=vehicle)
    Path(name).write_text(text, encoding="utf-8")
    return name


@pytest.fixture
def depot(thermlog):
    """Stores the check of a log, and judges another with the history."""

    def check(name: str, *options: str):
        ran = thermlog("check", name, "--history", "depot.db", "--format", "json", *options)
        return ran.code, json.loads(ran.out)

    return check


@pytest.fixture(autouse=True)
def _made(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    History.open("depot.db", make=True).close()


@pytest.mark.parametrize(
    ("seen", "question"),
    [("smoke", "drag"), ("flame at RF", "drag"), ("soft pedal", "idle"), ("hissing air", "idle"),
     ("brake fluid leak", "idle"), ("grinding", "drag")],
)  # fmt: skip
def test_an_even_walk_after_a_stop_leaves_open_what_stopped_it(thermlog, depot, seen, question):
    depot(written("stop.csv", "2026-06-10", f"seen: {seen}"))
    code, told = depot(written("even.csv", "2026-07-10"))
    other = "idle" if question == "drag" else "drag"
    answer = told["answers"][question]

    assert (code, answer["answer"], told["answers"][other]["answer"]) == (1, "cannot_tell", "no")
    assert answer["reasons"][0]["code"] == "stopped_before"
    assert "2026-06-10" in answer["reasons"][0]["text"]
    assert (told["next_check"]["id"], told["urgent"]) == ("ask_stopped", [])
    text = thermlog("check", "even.csv", "--history", "depot.db").out.splitlines()
    assert "it was stopped on 2026-06-10" in text[0]
    assert "Ask what was found and mended" in next(line for line in text if line.startswith("DO NEXT"))


@pytest.mark.parametrize("rises", [STOP_K], ids=["too hot"])
def test_a_brake_that_was_too_hot_counts_as_well(depot, rises):
    code, _ = depot(written("stop.csv", "2026-06-10", rises=rises))
    assert code == 1
    code, told = depot(written("even.csv", "2026-07-10"))
    assert (code, told["answers"]["drag"]["answer"]) == (1, "cannot_tell")


@pytest.mark.parametrize("drive", ["normal", "coast"])
def test_a_drive_of_any_kind_is_not_cleared(depot, drive):
    depot(written("stop.csv", "2026-06-10", "seen: smoke"))
    rises = {corner: rise_k * (0.1 if drive == "coast" else 1.0) for corner, rise_k in HEALTHY_K.items()}
    name = written("even.csv", "2026-07-10", rises=rises)
    text = Path(name).read_text(encoding="utf-8").replace("drive: normal", f"drive: {drive}")
    Path(name).write_text(text, encoding="utf-8")
    code, told = depot(name)
    assert (code, told["answers"]["drag"]["answer"]) == (1, "cannot_tell")


def test_a_repair_that_is_stated_or_a_job_since_lets_the_walk_stand(depot):
    depot(written("stop.csv", "2026-06-10", "seen: smoke"))
    code, told = depot(written("mended.csv", "2026-07-10", "repair: caliper replaced front left"))
    assert (code, told["answers"]["drag"]["answer"]) == (0, "no")

    history = History.open("depot.db")
    history.add_job(job_of_log("stop.csv", "piston_stuck_on", parts=("caliper",)))
    history.close()
    code, told = depot(written("after.csv", "2026-07-11"))
    assert (code, told["answers"]["drag"]["answer"]) == (0, "no")


def test_another_vehicle_an_earlier_walk_and_the_stopped_one_itself_say_nothing(depot):
    depot(written("stop.csv", "2026-06-10", "seen: smoke"))
    assert depot(written("other.csv", "2026-07-10", vehicle="van 1"))[0] == 0
    assert depot(written("before.csv", "2026-05-10"))[0] == 0
    _, again = depot("stop.csv")
    assert "stopped_before" not in {one["code"] for one in again["answers"]["drag"]["reasons"]}


def test_what_is_called_today_is_called_with_it_beside(depot):
    depot(written("stop.csv", "2026-06-10", "seen: smoke"))
    hot = HEALTHY_K | {"2R": 2.4 * HEALTHY_K["2R"]}
    _, told = depot(written("hot.csv", "2026-07-10", rises=hot))
    drag = told["answers"]["drag"]
    assert (drag["answer"], drag["corners"]) == ("yes", ["2R"])
    assert drag["reasons"][-1]["code"] == "stopped_before"


def test_the_list_of_a_fleet_shows_it_from_the_same_answers(thermlog, depot):
    depot(written("stop.csv", "2026-06-10", "seen: smoke"))
    Path("in").mkdir()
    for k in range(3):
        written(f"in/{k}.csv", "2026-07-10", vehicle=f"van {k}")
    ran = thermlog("fleet", "in", "--history", "depot.db", "--format", "json")
    rows = {one["unit"]: one for one in json.loads(ran.out)["work"]["drives"]}
    assert ran.code == 1
    assert [unit for unit, row in rows.items() if row["group"] != "nothing"] == ["van 0"]
    out = thermlog("fleet", "in", "--history", "depot.db").out
    assert "Ask what was found and mended" in out
    assert "2026-06-10 (smoke)" in out
