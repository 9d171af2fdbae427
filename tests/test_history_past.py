"""The past of a depot is asked for vehicle by vehicle, the same however many are asked for at once."""

from __future__ import annotations

import json
import pickle
import sqlite3
from pathlib import Path

import pytest
from historycases import dated, job_of_log, judged_log, visits
from logs import HEALTHY_K
from msgspec.structs import replace

from thermlog.history import manykeys
from thermlog.history.recall import Recall
from thermlog.history.store import History
from thermlog.inference.memory import is_growing
from thermlog.judging.pastwords import stop_before
from thermlog.words.reasontexts import reason_text

UNLIKE_K = HEALTHY_K | {"2R": 1.4 * HEALTHY_K["2R"]}
DAYS = ("2026-01-10", "2026-03-10", "2026-05-10")


def kept(address: str, folder: Path, vans: int) -> History:
    """A history of so many vans, each driven on three days, stored in no order."""
    history = History.open(address, make=True)
    for day in (DAYS[1], DAYS[0], DAYS[2]):
        for number in range(vans):
            text = dated(UNLIKE_K, day, vehicle=f"van {number}")
            history.add(visits(judged_log(folder, f"{number}-{day}.csv", text)))
    return history


def test_only_the_vehicles_asked_for_come_and_in_the_order_driven(address: str, tmp_path: Path) -> None:
    history = kept(address, tmp_path, 3)
    past = history.past(["van 0", "van 2", "van 9"], history.watermark())

    assert sorted(past.units) == ["van 0", "van 2"]
    moments = [one.when for one in past.units["van 2"]]
    assert moments == sorted(moments)
    assert len(moments) == 3
    # what is remembered of an axle is what was worked out of it
    full = {visit.log_sha256: visit for visit in history.visits("van 2")}
    for one in past.units["van 2"]:
        told = full[one.log_sha256].axles
        assert [(a.axle, a.rise_k, a.variance_k2, a.of_metal) for a in one.axles] == [
            (a.axle, a.rise_k, a.variance_k2, a.of_metal) for a in told
        ]


def test_a_visit_of_which_no_axle_is_known_keeps_its_place(address: str, tmp_path: Path) -> None:
    history = kept(address, tmp_path, 1)
    (visit,) = visits(judged_log(tmp_path, "w.csv", dated(HEALTHY_K, "2026-04-10", vehicle="van 0")))
    history.add([replace(visit, axles=())])
    past = history.past(["van 0"], history.watermark()).units["van 0"]
    assert [len(one.axles) for one in past] == [2, 2, 0, 2]


def test_many_vehicles_take_several_questions_and_tell_the_same(
    address: str, tmp_path: Path, monkeypatch
) -> None:
    history = kept(address, tmp_path, 5)
    units, upto = [f"van {number}" for number in range(5)], history.watermark()
    at_once = history.past(units, upto)
    monkeypatch.setattr(manykeys, "_AT_ONCE", 2)

    assert history.past(units, upto) == at_once
    assert len(at_once.units) == 5


def test_what_was_stored_after_the_mark_does_not_count(address: str, tmp_path: Path) -> None:
    """Neither another visit nor another judgement of one that was there."""
    history = kept(address, tmp_path, 1)
    upto = history.watermark()
    before = history.past(["van 0"], upto)
    more = judged_log(tmp_path, "late.csv", dated(HEALTHY_K, "2026-02-10", vehicle="van 0"))
    again = judged_log(tmp_path, "again.csv", dated(UNLIKE_K, DAYS[0], vehicle="van 0"), "heavy")
    history.add([*visits(more), *visits(again)])

    assert history.past(["van 0"], upto) == before
    assert len(history.past(["van 0"], history.watermark()).units["van 0"]) == 4


def test_a_job_of_after_the_mark_does_not_count_either(address: str, tmp_path: Path) -> None:
    history = kept(address, tmp_path, 1)
    upto = history.watermark()
    history.add_job(job_of_log(str(tmp_path / f"0-{DAYS[1]}.csv"), "slide_pin_seized", parts=("pins",)))

    assert len(history.past(["van 0"], upto).units["van 0"]) == 3
    assert len(history.past(["van 0"], history.watermark()).units["van 0"]) == 1  # what was driven since


def noted(address: str, folder: Path, day: str, *, more: str = "") -> list[str]:
    """What a check of a sound walk of that day tells of an earlier stop."""
    history = History.open(address)
    done = judged_log(folder, f"even-{day}.csv", more + dated(HEALTHY_K, day, vehicle="van 0"))
    cases = done.case(0)[0].readings.cases
    past = history.past(["van 0"], history.watermark())
    found = (stop_before(case, past) for case in cases)
    return [reason_text(one) for one in found if one is not None]


@pytest.mark.parametrize("drive", ["normal", "coast"])
def test_a_stop_is_noted_at_every_later_visit_until_parts_are_changed(
    address: str, tmp_path: Path, drive: str
) -> None:
    """What a technician wants told before he believes a cool walk."""
    history = kept(address, tmp_path, 1)
    walk = dated(HEALTHY_K, "2026-06-10", vehicle="van 0").replace("drive: normal", f"drive: {drive}")
    text = f"# seen: smoke\n{walk}"
    history.add(visits(judged_log(tmp_path, "stop.csv", text)))

    (note,) = noted(address, tmp_path, "2026-07-10")
    assert "2026-06-10 (smoke)" in note
    assert noted(address, tmp_path, "2026-05-20") == []  # before it
    assert noted(address, tmp_path, "2026-07-11", more="# repair: caliper replaced front left\n") == []

    history.add_job(job_of_log(str(tmp_path / "stop.csv"), "piston_stuck_on", parts=("caliper",)))
    assert noted(address, tmp_path, "2026-07-12") == []


def test_a_stopped_visit_judged_again_and_another_vehicle_note_nothing(address: str, tmp_path: Path) -> None:
    history = History.open(address, make=True)
    text = "# seen: soft pedal\n" + dated(HEALTHY_K, "2026-06-10", vehicle="van 0")
    done = judged_log(tmp_path, "stop.csv", text)
    history.add(visits(done))
    past = history.past(["van 0", "van 1"], history.watermark())
    other = judged_log(tmp_path, "other.csv", dated(HEALTHY_K, "2026-07-10", vehicle="van 1"))

    for run in (done, other):
        assert [stop_before(case, past) for case in run.case(0)[0].readings.cases] == [None]


def test_who_asks_can_be_another_process(address: str, tmp_path: Path) -> None:
    history = kept(address, tmp_path, 2)
    recall = pickle.loads(pickle.dumps(Recall.of(history)))  # noqa: S301 - our own
    cases = judged_log(tmp_path, "new.csv", dated(UNLIKE_K, "2026-07-10", vehicle="VAN  1")).case(0)[0]

    assert recall(cases.readings.cases).past.units == history.past(["van 1"], history.watermark()).units


def test_nobody_waits_twice_for_a_history_that_does_not_answer(tmp_path: Path) -> None:
    address = str(tmp_path / "depot.db")
    recall = Recall.of(kept(address, tmp_path, 1))
    cases = judged_log(tmp_path, "new.csv", dated(UNLIKE_K, "2026-07-10", vehicle="van 0")).case(0)[0]
    Path(address).unlink()
    told = []
    for _ in range(2):
        told.append(recall(cases.readings.cases).trouble)
        Path(address).write_bytes(b"")  # there again: it is not asked again
    assert "depot.db: no such history" in str(told[0])
    assert told[0] is told[1]


@pytest.mark.parametrize(("size", "jobs"), [(1, 1), (2, 2), (500, 1)])
def test_a_fleet_says_the_same_in_pieces_of_any_size(thermlog, monkeypatch, size: int, jobs: int) -> None:
    """Visits of a vehicle count for those of later days, wherever the pieces would part them."""
    from thermlog.fleet import fleetlist

    Path("logs").mkdir()
    for number in range(4):
        for day in DAYS:
            text = dated(UNLIKE_K, day, vehicle=f"van {number}")
            Path(f"logs/{day}-{number}.csv").write_text(text, encoding="utf-8")
    how = ("--history", "depot.db", "--format", "json", "--exit-zero")
    thermlog("fleet", f"logs/{DAYS[0]}-*.csv", *how)
    Path("same.db").write_bytes(Path("depot.db").read_bytes())
    whole = thermlog("fleet", "logs", *how)
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", size)
    how = ("--history", "same.db", "--format", "json", "--exit-zero")
    in_pieces = thermlog("fleet", "logs", *how, "--jobs", str(jobs))

    told, of_pieces = json.loads(whole.out), json.loads(in_pieces.out)
    for found in (told, of_pieces):  # the logs of a vehicle follow its first one where there are pieces
        found["logs"].sort(key=lambda one: one["log"]["file"])
    assert of_pieces == told
    assert [whole.out.count(f'"visits": {number}') for number in (1, 2, 3)] == [8, 8, 0]  # two questions each


def test_a_past_that_cannot_be_read_is_told_and_nothing_judged_without_it_is_stored(
    thermlog, monkeypatch
) -> None:
    from thermlog.cli import keeping

    Path("logs").mkdir()
    for number, day in enumerate(DAYS):
        Path(f"logs/{number}.csv").write_text(dated(UNLIKE_K, day, vehicle="van 0"), encoding="utf-8")
    thermlog("check", "logs/0.csv", "--history", "depot.db", "--exit-zero")
    recalling, others = keeping.Keeper.recalling, []
    monkeypatch.setenv("THERMLOG_HISTORY_WAIT", "0")

    def locked(keeper):
        known = recalling(keeper)
        others.append(sqlite3.connect("depot.db"))
        others[0].execute("BEGIN EXCLUSIVE")
        return known

    monkeypatch.setattr(keeping.Keeper, "recalling", locked)
    ran = thermlog("fleet", "logs/1.csv", "logs/2.csv", "--history", "depot.db")
    others[0].close()
    monkeypatch.setattr(keeping.Keeper, "recalling", recalling)

    assert ran.code == 3
    assert "2 drives of 1 unit judged" in ran.out
    assert "depot.db: locked: another program" in ran.err
    assert "2 of the drives above were judged without the earlier drives of their vehicles" in ran.err
    assert "2 checks were not stored" in ran.err
    again = thermlog("fleet", "logs/1.csv", "logs/2.csv", "--history", "depot.db", "--format", "json")
    assert "2 checks stored" in again.err
    assert '"visits": 1' in again.out


def test_what_grows_is_said_of_either_side_and_of_no_steady_difference() -> None:
    growing = [0.02, 0.05, 0.11, 0.16, 0.24]

    assert is_growing(growing)
    assert is_growing([-gap for gap in growing])
    assert not is_growing(growing[:3])  # three drives are too few
    assert not is_growing([0.5 * gap for gap in growing][:4])  # less than a tenth in all
    assert not is_growing(growing[::-1])
    assert not is_growing([0.3, 0.31, 0.29, 0.3, 0.33])
