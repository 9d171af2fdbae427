"""Work shared by the workers of a scheduler: the same to the last digit, and nothing lost whoever dies."""

from __future__ import annotations

import io
import pickle
import random
import re
import shlex
import sys
from collections.abc import Iterator
from pathlib import Path

import fsspec
import pandas as pd
import pytest
from distributed.cli.dask_scheduler import main as scheduler_command
from distributed.cli.dask_worker import main as worker_command
from logs import DRAGGING_K, HEALTHY_K, depot, log_text, write_log
from machines import Machines
from rounding import rounded

import thermlog as package
from thermlog.fleet import cluster, fleetlist
from thermlog.fleet.batches import Batch
from thermlog.fleet.cluster import Cluster, joined
from thermlog.fleet.fleetlist import FleetList, in_pieces
from thermlog.fleet.identity import identity
from thermlog.fleet.lister import Lister
from thermlog.fleet.processes import Processes
from thermlog.fleet.worklist import work_list
from thermlog.history.recall import Recall
from thermlog.history.store import History
from thermlog.judging.settings import Settings
from thermlog.reports.fleetcolumns import fleet_csv
from thermlog.reports.report_fleet import fleet_text
from thermlog.reports.report_json import fleet_closing
from thermlog.words.errors import ClusterError, LogRefusedError, OptionError

HERE = Path()


@pytest.fixture(scope="module")
def machines(tmp_path_factory) -> Iterator[Machines]:
    """A scheduler with two workers, for all tests that leave them alive."""
    made = Machines(tmp_path_factory.mktemp("machines"))
    try:
        made.add(2)
        yield made
    finally:
        made.end()


def yard(count: int = 70) -> list[str]:
    """Logs of a depot, the last of them dragging, one a copy, one that cannot be read."""
    paths = []
    for unit in range(count):
        rises_k = DRAGGING_K if unit == count - 1 else HEALTHY_K
        one = {corner: rise_k + 0.2 * unit for corner, rise_k in rises_k.items()}
        paths.append(write_log(HERE, f"yard/{unit:03d}.csv", one, vehicle=f"v {unit}"))
    paths.append(write_log(HERE, "yard/copy.csv", HEALTHY_K, vehicle="v 0"))
    Path("yard/empty.csv").write_bytes(b"")
    return [*paths, "yard/empty.csv"]


FORMS = ("text", "csv", "json")


@pytest.mark.parametrize("form", FORMS)
def test_one_process_two_and_a_cluster_print_the_same(thermlog, machines, form):
    yard()
    one = thermlog("fleet", "yard", "gone.csv", "--format", form, "--jobs", "1")
    two = thermlog("fleet", "yard", "gone.csv", "--format", form, "--jobs", "2")
    many = thermlog("fleet", "yard", "gone.csv", "--format", form, "--cluster", machines.address)

    assert (one.code, "v 69" in one.out, "gone.csv" in one.out) == (1, True, True)
    assert two == one
    assert many == one


@pytest.mark.usefixtures("thermlog")
@pytest.mark.parametrize("size", [1, 7, 500])
def test_size_and_order_change_nothing_that_is_written(machines, monkeypatch, size):
    paths = [path for path in yard(24) if "copy" not in path]  # which of two copies is judged hangs on order
    whole = _written(_kept(paths, Processes(jobs=1)))
    random.Random(size).shuffle(paths)
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", size)
    with joined(machines.address, tell=pytest.fail) as engine:
        assert _written(_kept(paths, engine)) == whole
    assert _written(_kept(paths, Processes(jobs=2))) == whole
    assert "yard/023.csv" in whole


def _written(kept: FleetList) -> str:
    """Every cell of every format."""
    work = work_list(kept)
    return fleet_csv(work) + fleet_text(work, show="C", quiet=False, width=100) + fleet_closing(work)


def _kept(paths: list[str], engine: Processes | Cluster) -> FleetList:
    kept = FleetList()
    for piece in in_pieces(paths, Lister(settings=Settings()), engine=engine):
        kept.add(piece)
    return kept


def test_a_depot_a_history_a_filing_and_a_scheduler_file(thermlog, machines):
    """Words of a unit are read again from what was sent; only the client writes."""
    text = log_text(HEALTHY_K).replace("1L", "links").replace("1R", "rechts").replace("van 7", "own words")
    Path("own.csv").write_text(text, encoding="utf-8")
    Path("depot.toml").write_text(
        '[[units]]\nid = "own words"\npositions = {links = "1L", rechts = "1R"}\n', encoding="utf-8"
    )
    depot()
    how = ("fleet", "own.csv", "depot", "--depot", "depot.toml")
    one = thermlog(*how, "--history", "one.db", "--filing", "one.json")
    many = thermlog(*how, "--history", "many.db", "--filing", "many.json", "--cluster", str(machines.file))
    again = thermlog(*how, "--history", "many.db", "--cluster", str(machines.file))

    assert "own words" in one.out
    assert many.out == one.out
    assert many.err.replace("many", "one") == one.err
    assert Path("many.json").read_text() == Path("one.json").read_text()
    assert "0 checks stored, 5 stood there before" in again.err
    assert thermlog("history", "--history", "many.db").out == thermlog("history", "--history", "one.db").out


def test_what_a_history_tells_is_asked_here(thermlog):
    """Work that is sent needs no way to the history: it may be gone, or another of that name lie there."""
    for week in (1, 2):
        write_log(HERE, f"a{week}.csv", {corner: k + week for corner, k in HEALTHY_K.items()}, vehicle="a")
    thermlog("fleet", "a1.csv", "--history", "kept.db")
    lister = Lister(settings=Settings(), recall=Recall.of(History.open("kept.db")))
    (batch,) = Batch(paths=("a2.csv",)).read_here(1000)
    before = lister(batch)
    sent = pickle.loads(pickle.dumps(lister.settled(batch)))  # noqa: S301 - our own
    Path("kept.db").unlink()
    assert sent(batch) == before
    assert lister(batch).unremembered is not None


@pytest.mark.usefixtures("unset")
def test_from_python_the_table_is_the_same(machines):
    yard(5)
    one = package.fleet_table("yard", jobs=1)
    many = package.fleet_table("yard", cluster=machines.address)
    pd.testing.assert_frame_equal(many, one)
    assert many.attrs == one.attrs
    with pytest.raises(OptionError, match="both say who works"):
        package.fleet_table("yard", cluster=machines.address, jobs=2)


def test_standard_input_is_read_here(thermlog, machines, monkeypatch):
    class Typed:
        buffer = io.BytesIO(log_text(DRAGGING_K, vehicle="typed").encode())

    monkeypatch.setattr(sys, "stdin", Typed())
    assert "typed" in thermlog("fleet", "-", "--cluster", machines.address).out


def test_what_only_the_client_can_reach_is_judged_all_the_same(thermlog, machines):
    """A file system in the memory of this process: no worker sees it."""
    memory = fsspec.filesystem("memory")
    memory.pipe({f"/yard/{name}.csv": log_text(DRAGGING_K, vehicle=name).encode() for name in "ab"})
    try:
        one = thermlog("fleet", "memory://yard", "memory://none.csv")
        many = thermlog("fleet", "memory://yard", "memory://none.csv", "--cluster", machines.address)
    finally:
        memory.rm("/", recursive=True)
    assert "2 drives of 2 units" in one.out
    assert many == one


def test_a_large_log_is_a_batch_of_its_own(monkeypatch):
    write_log(HERE, "a.csv", HEALTHY_K)
    write_log(HERE, "b.csv", HEALTHY_K, rounds=200)
    write_log(HERE, "c.csv", HEALTHY_K)
    paths = ("a.csv", "gone.csv", "b.csv", "c.csv")
    sent = list(Batch(paths=paths).read_here(2000))

    assert [one.paths for one in sent] == [("a.csv", "gone.csv"), ("b.csv",), ("c.csv",)]
    monkeypatch.chdir("/")
    for one in pickle.loads(pickle.dumps(sent)):  # noqa: S301 - our own
        for path in one.paths:
            if path != "gone.csv":
                assert one.content_of(path).startswith(b"# ambient")
    with pytest.raises(LogRefusedError, match=r"gone\.csv: no such file") as refused:
        sent[0].content_of("gone.csv")
    assert refused.value.code == "no_file"


def test_commands_of_the_page_run(thermlog, machines):
    page = (Path(__file__).parent.parent / "docs" / "machines.md").read_text(encoding="utf-8")
    lines = re.findall(r"```sh\n(.*?)```", page, re.DOTALL)[1].splitlines()
    scheduler, worker, fleet = map(shlex.split, lines)
    depot()
    assert scheduler[:2] == ["dask", "scheduler"]
    assert worker[:3] == ["dask", "worker", fleet[-1]]
    for line, command in ((scheduler, scheduler_command), (worker, worker_command)):
        known = {name for one in command.params for name in one.opts}
        assert {word for word in line if word.startswith("--")} <= known
    ran = thermlog(*fleet[1:-1], machines.address)
    assert (ran.code, "4 drives of 4 units judged" in ran.out) == (1, True)


# ---- what may go wrong ------------------------------------------------------------------------------------


@pytest.mark.usefixtures("thermlog")
def listed(pieces):
    """What pieces of any size come to."""
    kept = FleetList()
    for piece in pieces:
        kept.add(piece)
    return rounded([*work_list(kept).drives]), kept.judged, kept.flagged, kept.unreadable


def test_workers_and_the_scheduler_may_die_in_mid_run(thermlog, tmp_path_factory, monkeypatch):
    """First nobody works, then two do, of whom one is killed; then the scheduler is."""
    monkeypatch.setattr(cluster, "_EARLY_S", 4.0)  # a busy machine answers later than at once
    paths = yard(40)
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 3)
    whole = list(in_pieces(paths, Lister(settings=Settings()), engine=Processes(jobs=1)))
    ours = Machines(tmp_path_factory.mktemp("ours"))
    try:
        nobody = thermlog("fleet", "yard", "--cluster", ours.address)
        assert (nobody.code, nobody.out) == (3, "")
        assert f"{ours.address}: the scheduler has no worker; start some with: dask worker" in nobody.err
        nobody = thermlog("fleet", "yard", "--cluster", str(ours.file))
        assert f"start some with: dask worker --scheduler-file {ours.file}" in nobody.err
        ours.add(2)
        told: list[str] = []
        with joined(ours.address, tell=told.append) as engine:
            pieces = in_pieces(paths, Lister(settings=Settings()), engine=engine)
            found = [next(pieces)]
            ours.kill_worker()
            found += list(pieces)
            assert listed(found) == listed(whole)
            assert told == []

            pieces = in_pieces(paths, Lister(settings=Settings()), engine=engine)
            found = [next(pieces)]
            ours.kill_scheduler()
            found += list(pieces)
            assert listed(found) == listed(whole)
            gone = f"scheduler {ours.address} is gone; the rest is judged here, nothing is lost"
            assert told == [gone]
            assert len(list(in_pieces(paths[:3], Lister(settings=Settings()), engine=engine))) == 1
    finally:
        ours.end()


def test_another_thermlog_is_refused_by_name_and_one_that_comes_later_does_nothing(
    thermlog, machines, monkeypatch
):
    write_log(HERE, "a.csv", HEALTHY_K)
    other = identity() | {"thermlog": "0.0.9"}
    told: list[str] = []
    with joined(machines.address, tell=told.append) as engine:
        monkeypatch.setattr(cluster, "identity", lambda: other)
        (piece,) = in_pieces(["a.csv"], Lister(settings=Settings()), engine=engine)
    assert (len(piece.judged), told) == (
        1,
        ["a worker has thermlog 0.1.0, here 0.0.9; what it was given is judged here"],
    )
    ran = thermlog("fleet", "a.csv", "--cluster", machines.address)
    assert (ran.code, ran.out) == (3, "")
    assert "has thermlog 0.1.0, here 0.0.9; results would not be the same: install the same" in ran.err
    monkeypatch.setattr(cluster, "identity", lambda: identity() | {"numpy": "1.0"})
    with pytest.raises(ClusterError, match="numpy"), joined(machines.address, tell=pytest.fail):
        pass


class Named:
    """Names the logs of a batch, but one."""

    def __init__(self, at: str | None) -> None:
        self.at = at

    def __call__(self, batch: Batch) -> tuple[str, ...]:
        if self.at in batch.paths:
            msg = f"no {self.at}"
            raise ValueError(msg)
        return batch.paths

    def settled(self, _: Batch) -> Named:
        return self


def test_what_workers_fail_at_is_done_here_and_fails_here(machines):
    """Workers know nothing of this module, so they cannot even unpack the work."""
    batches = [Batch(paths=("a",), held={"a": b""}), Batch(paths=("b",), held={"b": b""})]
    told: list[str] = []
    with joined(machines.address, tell=told.append) as engine:
        assert list(engine.in_order(Named(None), batches)) == [("a",), ("b",)]
        assert told == ["the workers failed at 1 logs (ModuleNotFoundError): judged here"]
        results = engine.in_order(Named("b"), batches)
        assert next(results) == ("a",)
        with pytest.raises(ValueError, match="no b"):
            next(results)


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("tcp://127.0.0.1:9", "tcp://127.0.0.1:9: no scheduler answers"),
        ("nowhere", '"nowhere" is no address of a scheduler; write tcp://HOST:PORT'),
        ("http://127.0.0.1:9", "is no address of a scheduler"),
        ("tcp://127.0.0.1", "is no address of a scheduler"),
        ("none.json", "none.json: no such file; a scheduler writes one"),
    ],
)
def test_no_scheduler_there(thermlog, monkeypatch, address, said):
    monkeypatch.setattr(cluster, "_EARLY_S", 0.5)
    write_log(HERE, "a.csv", HEALTHY_K)
    ran = thermlog("fleet", "a.csv", "--cluster", address)
    assert (ran.code, ran.out, len(ran.err.splitlines())) == (3, "", 1)
    assert said in ran.err


def test_without_the_extra_it_is_named(thermlog, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    ran = thermlog("fleet", "a.csv", "--cluster", "tcp://127.0.0.1:9")
    assert (ran.code, ran.out) == (3, "")
    assert 'needs dask.distributed: python -m pip install ".[cluster]"' in ran.err


def test_jobs_and_a_cluster_are_one_too_many(thermlog):
    ran = thermlog("fleet", "a.csv", "--cluster", "tcp://127.0.0.1:9", "--jobs", "2")
    assert (ran.code, ran.out) == (2, "")
    assert "--jobs and --cluster both say who works" in ran.err
