"""Work shared with helper processes; results come in the order of the work, however many share it."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")


def in_order(work: Callable[[_Item], _Result], items: Sequence[_Item], *, jobs: int) -> Iterator[_Result]:
    """Do the work on every item, shared by several processes.

    Parameters
    ----------
    work : callable
        A function of a module, or a `functools.partial` of one; its results can be pickled.
    items : sequence
    jobs : int
        Processes that share the work, this one among them; at least 1.

    Yields
    ------
    object
        One result an item, in their order. What a helper failed at is done here, and fails here.
    """
    jobs = min(jobs, len(items))
    if jobs < 2:
        yield from map(work, items)
        return
    import multiprocessing

    # a forked helper is ready at once; elsewhere forking is not safe, and a fresh interpreter must do
    linux = sys.platform == "linux"
    context = multiprocessing.get_context("fork") if linux else multiprocessing.get_context("spawn")
    pipes: dict[int, Connection] = {}
    helpers = []
    try:
        for share in range(1, jobs):
            pipes[share], far_end = context.Pipe(duplex=False)
            helper = context.Process(target=_help, args=(far_end, work, items[share::jobs]), daemon=True)
            helper.start()
            helpers.append(helper)
            far_end.close()
        for number, item in enumerate(items):
            done = _received(pipes[number % jobs]) if number % jobs else ()
            yield done[0] if done else work(item)
    finally:
        for helper in helpers:
            helper.terminate()
            helper.join()


def usual_jobs(items: int, *, fewest: int) -> int:
    """Processes worth their start: one a core, each with `fewest` items; one where forking is unsafe.

    Parameters
    ----------
    items : int
    fewest : int
        Items a process must have to gain more than its start costs.
    """
    cores = len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1
    return max(1, min(cores, items // fewest))


def _help(pipe: Connection, work: Callable[[_Item], object], items: Sequence[_Item]) -> None:
    """Send the result of every item; a helper that fails falls silent, and who asked does the work again."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked hears the interruption and ends the helpers
    sys.stderr = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - open until the process ends
    for item in items:
        pipe.send(work(item))


def _received(pipe: Connection) -> tuple[Any, ...]:
    """The next result in a one-tuple; nothing from a helper that is gone."""
    try:
        return (pipe.recv(),)
    except (EOFError, OSError):
        return ()
