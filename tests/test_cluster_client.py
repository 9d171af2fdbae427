"""What is sent to workers, fetched from them and done in place of them, on a client that is made up."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
from logs import HEALTHY_K, write_log

from thermlog.fleet import cluster, fleetlist
from thermlog.fleet.batches import Batch
from thermlog.fleet.cluster import Cluster
from thermlog.fleet.fleetlist import in_pieces
from thermlog.fleet.lister import Lister
from thermlog.fleet.processes import Processes
from thermlog.history.recall import Recall
from thermlog.history.store import History
from thermlog.judging.settings import Settings
from thermlog.pipeline.recalled import Recalled

HERE = Path()


class Paths:
    """Names the logs of a batch."""

    def __call__(self, batch: Batch) -> tuple[str, ...]:
        return batch.paths

    def settled(self, _: Batch) -> Paths:
        return self


class Nobody:
    """A client of a scheduler whose workers are all gone; what it is given is kept."""

    status = "running"

    def __init__(self) -> None:
        self.given: list[tuple[bytes, bytes]] = []
        self.cancelled = 0

    def submit(self, _: object, work: bytes, batch: bytes, *__, **___) -> Nobody:
        self.given.append((work, batch))
        return self

    def result(self, **_) -> None:
        raise TimeoutError

    def nthreads(self) -> dict[str, int]:
        return {}

    def cancel(self, futures: list[object]) -> None:
        assert all(one is self for one in futures)
        self.cancelled += len(futures)


@pytest.mark.usefixtures("thermlog")
def test_without_workers_the_rest_is_done_here_after_a_while(monkeypatch):
    monkeypatch.setattr(cluster, "_ALONE_S", 0.0)
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 1)
    told: list[str] = []
    alone = Cluster(client=Nobody(), address="tcp://here:1", tell=told.append, threads=2)
    paths = [write_log(HERE, f"{name}.csv", HEALTHY_K, vehicle=name) for name in "abc"]
    lister = Lister(settings=Settings())
    assert [*in_pieces(paths, lister, engine=alone)] == [*in_pieces(paths, lister, engine=Processes(jobs=1))]
    assert told == [
        "scheduler tcp://here:1 has had no worker for 0 s; the rest is judged here, nothing is lost"
    ]


def test_what_is_sent_holds_all_that_a_worker_needs(thermlog, monkeypatch):
    """Contents of the logs, and what a history tells of them; never the way to it."""
    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 1)
    paths = [write_log(HERE, f"{name}.csv", HEALTHY_K, vehicle=name) for name in "abcdefg"]
    thermlog("fleet", *paths, "--history", "kept.db")
    client = Nobody()
    lister = Lister(settings=Settings(), recall=Recall.of(History.open("kept.db")))
    engine = Cluster(client=client, address="tcp://here:1", tell=pytest.fail, threads=1)
    monkeypatch.setattr(client, "result", lambda **_: (None, "found"), raising=False)
    results = engine.in_order(lister, [Batch(paths=(path,)) for path in paths])
    assert next(results) == "found"
    assert len(client.given) == 3  # two for each thread, and one for when it is through
    for work, batch in client.given:
        assert isinstance(pickle.loads(work).recall, Recalled)  # noqa: S301 - our own
        assert all(pickle.loads(batch).held.values())  # noqa: S301
        assert b"kept.db" not in work
    results.close()
    assert client.cancelled == 2


def test_workers_that_come_later_are_given_work(monkeypatch):
    client = Nobody()
    monkeypatch.setattr(cluster, "_COUNT_S", 0.0)
    monkeypatch.setattr(client, "result", lambda **_: (None, "found"), raising=False)
    monkeypatch.setattr(client, "nthreads", lambda: {"a": 4, "b": 1})
    engine = Cluster(client=client, address="tcp://here:1", tell=pytest.fail, threads=1)
    results = engine.in_order(Paths(), [Batch(paths=(str(k),), held={str(k): b""}) for k in range(30)])
    next(results)
    assert (engine.threads, len(client.given)) == (5, 11)
    results.close()


def test_a_result_lost_on_the_way_is_fetched_again_and_given_up_at_last(monkeypatch):
    client, told = Nobody(), []
    engine = Cluster(client=client, address="tcp://here:1", tell=told.append, threads=1)
    batch = Batch(paths=("a",), held={"a": b""})
    answers = iter([OSError("lost"), OSError("lost"), (None, "found")])

    def next_answer(**_: object) -> object:
        answer = next(answers)
        if isinstance(answer, Exception):
            raise answer
        return answer

    monkeypatch.setattr(client, "result", next_answer, raising=False)
    monkeypatch.setattr(client, "status", "running")
    assert list(engine.in_order(Paths(), [batch])) == ["found"]
    assert told == []
    answers = iter([OSError("lost")] * 9)
    assert list(engine.in_order(Paths(), [batch])) == [("a",)]
    assert told == ["the workers failed at 1 logs (OSError): judged here"]
    assert len(list(answers)) == 4
