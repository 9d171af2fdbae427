"""Work shared by processes: order, failures, helpers that die."""

from __future__ import annotations

import os
import signal
import sys
import time
from functools import partial
from pathlib import Path

import pytest

from thermlog.fleet import processes
from thermlog.fleet.processes import in_order, usual_jobs

PARENT = os.getpid()
FILES = Path("/proc/self/fd")
forked = pytest.mark.skipif(sys.platform != "linux", reason="helpers are forked on Linux only")
A_WHILE_S = 0.02  # long enough for every process to take some of the work


def doubled(item: int) -> int:
    return 2 * item


def who(item: int) -> tuple[int, int]:
    time.sleep(A_WHILE_S)
    return item, os.getpid()


def slow_in_a_helper(item: int) -> tuple[int, int]:
    time.sleep(A_WHILE_S if os.getpid() == PARENT else 20 * A_WHILE_S)
    return item, os.getpid()


def large(item: int) -> bytes:
    return bytes([item]) * 3_000_000  # more than a pipe holds


def refused_at(item: int, *, at: int) -> int:
    time.sleep(A_WHILE_S)
    if item == at:
        msg = f"no {item}"
        raise ValueError(msg)
    return item


def killed_in_a_helper(item: int) -> int:
    if os.getpid() != PARENT:
        os.kill(os.getpid(), signal.SIGKILL)
    time.sleep(A_WHILE_S)
    return item


@pytest.mark.parametrize("jobs", [1, 2, 3, 20])
def test_results_stand_in_the_order_of_the_items(jobs):
    assert list(in_order(doubled, range(11), jobs=jobs)) == list(range(0, 22, 2))


@pytest.mark.parametrize("jobs", [1, 4])
def test_no_items_no_results(jobs):
    assert list(in_order(doubled, [], jobs=jobs)) == []


@forked
def test_work_is_shared_this_process_among_them():
    done = list(in_order(who, range(12), jobs=3))
    assert len({process for _, process in done}) == 3
    assert PARENT in {process for _, process in done}


@forked
def test_every_item_is_done_once(tmp_path):
    """Taking a number and leaving the next for others is one step: standard input can be read but once."""
    with (tmp_path / "done").open("ab", buffering=0) as done:
        list(in_order(lambda item: done.write(b"%4d\n" % item), range(3000), jobs=4))
    lines = (tmp_path / "done").read_bytes().split()
    assert sorted(map(int, lines)) == list(range(3000))


@forked
def test_who_is_faster_does_more():
    done = list(in_order(slow_in_a_helper, range(20), jobs=2))
    assert [item for item, _ in done] == list(range(20))
    assert sum(process != PARENT for _, process in done) <= 2


def test_results_larger_than_a_pipe_arrive_whole():
    assert list(in_order(large, range(9), jobs=3)) == [large(item) for item in range(9)]


def large_one_after_the_other(item: int, *, done: Path) -> bytes:
    """Here only once a helper has done two items: the first, too large for the pipe, waits meanwhile."""
    give_up = time.monotonic() + 20.0
    while os.getpid() == PARENT and done.stat().st_size < 2 and time.monotonic() < give_up:
        time.sleep(A_WHILE_S)
    if os.getpid() != PARENT:
        with done.open("ab") as file:
            file.write(b".")
    assert os.getpid() != PARENT or done.stat().st_size >= 2
    return large(item)


@forked
def test_helper_does_the_next_item_while_its_result_waits_to_be_read(tmp_path):
    done = tmp_path / "done"
    done.touch()
    found = list(in_order(partial(large_one_after_the_other, done=done), range(3), jobs=2))
    assert found == [large(item) for item in range(3)]


def early_failure(item: int) -> int:
    time.sleep(0 if os.getpid() == PARENT else 10 * A_WHILE_S)
    if item == 1:
        msg = "no 1"
        raise ValueError(msg)
    return item


def endless_in_a_helper(item: int) -> int:
    time.sleep(A_WHILE_S if os.getpid() == PARENT else 3600)
    return item


@pytest.mark.parametrize("at", [0, 1, 4])
def test_failure_is_raised_here_after_the_results_before_it(at, capfd):
    results = in_order(partial(refused_at, at=at), range(6), jobs=3)
    assert [next(results) for _ in range(at)] == list(range(at))
    with pytest.raises(ValueError, match=f"no {at}"):
        next(results)
    assert capfd.readouterr().err == ""


def dawdling(monkeypatch, parent_s: float, helper_s: float) -> None:
    """Let one side wait before each item it takes."""
    take = processes._next_ticket

    def taken(tickets: int) -> int | None:
        time.sleep(parent_s if os.getpid() == PARENT else helper_s)
        return take(tickets)

    monkeypatch.setattr(processes, "_next_ticket", taken)


def test_failure_here_waits_for_a_result_before_it_from_a_helper(monkeypatch):
    dawdling(monkeypatch, A_WHILE_S, 0.0)  # the helper takes the first item
    results = in_order(early_failure, range(4), jobs=2)
    assert next(results) == 0
    with pytest.raises(ValueError, match="no 1"):
        next(results)


@forked
def test_helper_at_work_ends_with_who_asked(monkeypatch):
    dawdling(monkeypatch, 0.0, 5 * A_WHILE_S)  # the first items are done here
    results = in_order(endless_in_a_helper, range(100), jobs=2)
    assert [next(results) for _ in range(3)] == [0, 1, 2]
    time.sleep(10 * A_WHILE_S)  # meanwhile the helper takes one
    start_s = time.monotonic()
    results.close()
    assert time.monotonic() - start_s < 60


@forked
@pytest.mark.parametrize("call", ["fork", "memfd_create"])
def test_without_leave_to_share_all_is_done_here(monkeypatch, call):
    def refuse(*_):
        raise BlockingIOError

    monkeypatch.setattr(os, call, refuse)
    open_before = len(list(FILES.iterdir()))
    assert list(in_order(doubled, range(5), jobs=3)) == list(range(0, 10, 2))
    assert len(list(FILES.iterdir())) == open_before


def test_work_of_helpers_that_died_is_done_here():
    assert list(in_order(killed_in_a_helper, range(8), jobs=3)) == list(range(8))


@forked
def test_helpers_end_with_who_asked():
    results = in_order(who, range(100_000), jobs=2)
    helper = next(process for _, process in results if process != PARENT)
    results.close()
    with pytest.raises(ProcessLookupError):
        os.kill(helper, 0)


@forked
def test_no_file_stays_open():
    before = len(list(FILES.iterdir()))
    list(in_order(doubled, range(8), jobs=3))
    assert len(list(FILES.iterdir())) == before


def test_few_items_are_not_worth_a_helper():
    assert usual_jobs(199, fewest=100) == 1
    assert usual_jobs(10**6, fewest=100) >= 1
