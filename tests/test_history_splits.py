"""The same logs leave the same answers in a history, however they are shared out over commands."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest
from historycases import dated, job_of_log
from logs import DRAGGING_K, HEALTHY_K, log_text

from thermlog.history.store import History

# a van in the order of its days: sound, smoke, even, without braking, even, mended, even; no expected numbers
WALKS = (
    ("2026-01-10", "", {}),
    ("2026-02-10", "# seen: smoke at LR\n", {}),
    ("2026-03-10", "", {}),
    ("2026-03-20", "", {"drive": "coast"}),
    ("2026-04-10", "", {"rises": HEALTHY_K | {"2R": 1.4 * HEALTHY_K["2R"]}}),
    ("2026-05-10", "# repair: caliper replaced rear left\n", {}),
    ("2026-06-10", "", {"rises": DRAGGING_K}),
)


def written(folder: str = "logs") -> list[str]:
    """The walks as files, in the order of their days; their names stand in another order."""
    Path(folder).mkdir(exist_ok=True)
    files = []
    for number, (day, more, how) in enumerate(WALKS):
        text = more + dated(how.get("rises", HEALTHY_K), day)
        file = Path(folder) / f"{(3 * number) % 7}.csv"
        file.write_text(text.replace("normal", how.get("drive", "normal")), encoding="utf-8")
        files.append(str(file))
    return files


def answers_in(address: str) -> list[tuple[Any, ...]]:
    """What a history holds of every visit, in the order driven."""
    said = History.open(address).visits()
    return [(Path(one.file).name, one.drag, one.idle, one.heat, one.urgent, one.axles) for one in said]


def told_in(address: str) -> list[tuple[Any, ...]]:
    """The same with probabilities to six digits: fits end where those beside them in a block let them."""
    return [
        (name, *((one.answer, one.p and round(one.p, 6), one.corners) for one in answers), urgent, len(axles))
        for name, *answers, urgent, axles in answers_in(address)
    ]


def splits(count: int, cuts: int) -> Iterator[list[tuple[int, int]]]:
    """Ways to cut a row into runs, by at most so many cuts or at every place."""
    for several in (*range(cuts + 1), count - 1):
        for places in combinations(range(1, count), several):
            yield list(pairwise((0, *places, count)))


def test_any_split_into_runs_in_the_order_of_days_leaves_the_same_answers(thermlog) -> None:
    """Day by day is what is right: each drive then has before it what was driven before it."""
    files = written()
    for number, runs in enumerate(splits(len(files), 2)):
        for begin, end in runs:
            thermlog("fleet", *files[begin:end], "--history", f"{number}.db")
    day_by_day = told_in(f"{number}.db")
    words = [drag[0] for _, drag, *_ in day_by_day]
    assert words[2] == "cannot_tell"  # after the smoke, and nobody says what was mended
    for other in range(number):
        assert told_in(f"{other}.db") == day_by_day


@pytest.mark.parametrize(("size", "jobs"), [(1, 1), (2, 2), (3, 1)])
def test_so_it_is_in_pieces_of_any_size(thermlog, monkeypatch, size: int, jobs: int) -> None:
    from thermlog.fleet import fleetlist

    written()
    thermlog("fleet", "logs", "--history", "one.db")
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", size)
    thermlog("fleet", "logs", "--history", "other.db", "--jobs", str(jobs))
    assert told_in("other.db") == told_in("one.db")


def test_check_list_store_and_history_say_the_same_and_stay_with_it(thermlog) -> None:
    files = written()[:3]
    listed = json.loads(thermlog("fleet", *files, "--history", "one.db", "--format", "json").out)
    said = [one["answers"]["drag"]["answer"] for one in listed["logs"]]
    checked = json.loads(thermlog("check", *files, "--history", "two.db", "--format", "json").out)
    assert (
        [one["answers"]["drag"]["answer"] for one in checked] == said == ["no", "cannot_tell", "cannot_tell"]
    )

    for database in ("one.db", "two.db"):
        stored = answers_in(database)
        again = thermlog("fleet", *files, "--history", database)
        assert "0 checks stored, 3 stood there before\n" in again.err
        assert answers_in(database) == stored
        assert [drag.answer for _, drag, *_ in stored] == said
        assert thermlog("history", "van 7", "--history", database).code == 1


def test_a_drive_that_came_late_changes_the_answer_of_the_next_when_that_is_judged_again(
    address: str, thermlog
) -> None:
    """What is said is what is stored, of a walk that stood there before, too."""
    _, smoke, even, *_ = written()
    thermlog("check", even, "--history", address)
    assert [drag.answer for _, drag, *_ in answers_in(address)] == ["no"]
    late = thermlog("check", smoke, "--history", address)
    assert "were answered without them: give their logs once more" in late.err
    again = thermlog("check", even, "--history", address)

    assert "0 checks stored, 1 stood there before, 1 of them now with today's answers" in again.err
    assert [drag.answer for _, drag, *_ in answers_in(address)] == ["cannot_tell", "cannot_tell"]
    assert all(axles for *_, axles in answers_in(address))  # stored anew with the answers, and once
    assert "now with today's answers" not in thermlog("check", even, "--history", address).err


def test_of_two_drives_of_one_moment_neither_came_first(thermlog) -> None:
    """Nobody knows which; whichever is stored first, neither counts for the other, today and tomorrow."""
    Path("a.csv").write_text("# seen: smoke\n" + dated(HEALTHY_K, "2026-02-10"), encoding="utf-8")
    Path("b.csv").write_text(dated(DRAGGING_K, "2026-02-10"), encoding="utf-8")
    for database, runs in (("1.db", ["a.csv", "b.csv"]), ("2.db", ["b.csv", "a.csv"])):
        for file in (*runs, *runs):
            thermlog("check", file, "--history", database)
    thermlog("fleet", "a.csv", "b.csv", "--history", "3.db")
    assert sorted(told_in("1.db")) == sorted(told_in("2.db")) == sorted(told_in("3.db"))


def test_a_log_without_a_date_comes_after_all_that_have_one(thermlog) -> None:
    smoke = written()[1]
    for name, rises in (("x.csv", HEALTHY_K), ("y.csv", {k: v + 1 for k, v in HEALTHY_K.items()})):
        Path(name).write_text(log_text(rises), encoding="utf-8")
    thermlog("fleet", "x.csv", "y.csv", smoke, "--history", "one.db")
    stored = {name: drag.answer for name, drag, *_ in answers_in("one.db")}
    assert stored["x.csv"] == stored["y.csv"] == "cannot_tell"
    again = thermlog("fleet", "x.csv", "y.csv", "--history", "one.db")
    assert "0 checks stored, 2 stood there before\n" in again.err


def test_two_vehicles_in_one_log_bind_the_logs_of_both(thermlog, monkeypatch) -> None:
    from thermlog.fleet import fleetlist

    files = written()[1:3]
    both = [line for line in log_text(HEALTHY_K).splitlines() if not line.startswith(("# vehicle", "corner"))]
    rows = [f"{vehicle},{line}" for vehicle in ("van 7", "van 8") for line in both if line[0].isdigit()]
    head = ["# date: 2026-07-01", *(line for line in both if line.startswith("#"))]
    text = "\n".join([*head, "vehicle,corner,since_parked_s,temp_c", *rows, ""])
    Path("both.csv").write_text(text, encoding="utf-8")
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 1)
    thermlog("fleet", "both.csv", *files, "--history", "one.db")
    stored = {
        (name, one.unit): one.drag.answer
        for one in History.open("one.db").visits()
        for name in [Path(one.file).name]
    }
    assert stored["both.csv", "van 7"] == "cannot_tell"
    assert stored["both.csv", "van 8"] == "no"


def test_a_repair_known_to_a_job_holds_before_its_log_is_stored(thermlog) -> None:
    _, smoke, even, *_ = written()
    job = job_of_log(smoke, "piston_stuck_on", parts=("caliper",))
    History.open("one.db", make=True).add_job(job)
    thermlog("fleet", smoke, even, "--history", "one.db")
    assert [drag.answer for _, drag, *_ in answers_in("one.db")] == ["cannot_tell", "no"]


def test_logs_without_a_date_keep_the_order_of_the_commands_though_the_clock_stands(
    thermlog, monkeypatch
) -> None:
    """The second command began after the first: judged again its drive still has the other before it."""
    monkeypatch.setattr("time.time", lambda: 1.8e9)
    Path("x.csv").write_text("# seen: smoke\n" + log_text(HEALTHY_K), encoding="utf-8")
    Path("y.csv").write_text(log_text(DRAGGING_K), encoding="utf-8")
    for file in ("x.csv", "y.csv"):
        thermlog("check", file, "--history", "one.db")
    stored = told_in("one.db")
    again = thermlog("check", "y.csv", "--history", "one.db", "--format", "json")
    assert told_in("one.db") == stored
    reasons = [one["code"] for one in json.loads(again.out)["answers"]["drag"]["reasons"]]
    assert "stopped_before" in reasons


def test_files_are_bound_by_every_vehicle_that_they_share() -> None:
    """c holds v and w, which were two groups by then; d names nothing and stays alone."""
    from thermlog.fleet.fleetlist import in_pieces

    told = {"a": ("v",), "b": ("w",), "c": ("v", "w"), "e": ("w",), "f": ("x",)}

    class Told:
        def __call__(self, batch):
            return tuple((path, told[path]) for path in batch.paths if path in told)

    class Seen(Told):
        def __call__(self, batch):
            return batch.paths

    class Alone:
        def workers(self, logs):  # noqa: ARG002
            return 1

        def in_order(self, work, batches):
            return iter([work(one) for one in batches])

    from thermlog.fleet import fleetlist

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(fleetlist, "LOGS_PER_PIECE", 1)
        pieces = list(in_pieces("abcdef", Seen(), engine=Alone(), whole=Told()))
    assert pieces == [("a", "b", "c", "e"), ("d",), ("f",)]
