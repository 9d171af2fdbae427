"""Work shared by processes: order, failures, helpers that die."""

from __future__ import annotations

import os
import signal
from functools import partial

import pytest

from thermlog.judging.jobs import in_order, usual_jobs

PARENT = os.getpid()


def doubled(item: int) -> int:
    return 2 * item


def who(item: int) -> tuple[int, int]:
    return item, os.getpid()


def refused_at(item: int, *, at: int) -> int:
    if item == at:
        msg = f"no {item}"
        raise ValueError(msg)
    return item


def killed_in_a_helper(item: int) -> int:
    if item == 3 and os.getpid() != PARENT:
        os.kill(os.getpid(), signal.SIGKILL)
    return item


@pytest.mark.parametrize("jobs", [1, 2, 3, 20])
def test_results_stand_in_the_order_of_the_items(jobs):
    assert list(in_order(lambda: doubled, range(11), jobs=jobs)) == list(range(0, 22, 2))


def test_no_items_no_results():
    assert list(in_order(lambda: doubled, [], jobs=4)) == []


def test_work_is_shared_this_process_among_them():
    done = list(in_order(lambda: who, range(6), jobs=3))
    assert len({process for _, process in done}) == 3
    assert {item for item, process in done if process == PARENT} == {0, 3}


@pytest.mark.parametrize("at", [0, 1, 4])
def test_failure_is_raised_here_after_the_results_before_it(at, capfd):
    results = in_order(lambda: partial(refused_at, at=at), range(6), jobs=3)
    assert [next(results) for _ in range(at)] == list(range(at))
    with pytest.raises(ValueError, match=f"no {at}"):
        next(results)
    assert capfd.readouterr().err == ""


def test_work_of_a_helper_that_died_is_done_here():
    assert list(in_order(lambda: killed_in_a_helper, range(8), jobs=2)) == list(range(8))


def test_each_process_prepares_once(tmp_path):
    def prepare():
        (tmp_path / f"{os.getpid()}").touch(exist_ok=False)
        return who

    done = list(in_order(prepare, range(6), jobs=3))
    assert {int(file.name) for file in tmp_path.iterdir()} == {process for _, process in done}


def test_failing_preparation_is_raised_here():
    def prepare():
        msg = "no"
        raise OSError(msg)

    with pytest.raises(OSError, match="no"):
        next(in_order(prepare, range(6), jobs=3))


def test_helpers_end_with_who_asked():
    results = in_order(lambda: who, range(100_000), jobs=2)
    _, (_, helper) = next(results), next(results)
    results.close()
    with pytest.raises(ProcessLookupError):
        os.kill(helper, 0)


def test_few_items_are_not_worth_a_helper():
    assert usual_jobs(199, fewest=100) == 1
    assert usual_jobs(10**6, fewest=100) >= 1
