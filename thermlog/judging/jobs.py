"""Work shared with helper processes; results come in the order of the work, however many share it."""

from __future__ import annotations

import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import Any, BinaryIO, TypeVar

from msgspec import Struct

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")
# A forked helper is ready at once. Elsewhere forking is unsafe or unknown, and a fresh interpreter would take
# longer to start than most fleets take to read.
_CAN_FORK = sys.platform == "linux"


class _Helper(Struct, frozen=True, kw_only=True):
    """A forked process and the end of the pipe its results come from."""

    process: int
    results: BinaryIO

    def end(self) -> None:
        self.results.close()
        with suppress(ProcessLookupError):
            os.kill(self.process, signal.SIGKILL)
        os.waitpid(self.process, 0)


def in_order(
    prepare: Callable[[], Callable[[_Item], _Result]], items: Sequence[_Item], *, jobs: int
) -> Iterator[_Result]:
    """Do the work on every item, shared by several processes.

    Parameters
    ----------
    prepare : callable
        Gives the work, whose results can be pickled. Called once in every process that has something to do.
    items : sequence
    jobs : int
        Processes that share the work, this one among them; one does it all where forking is unsafe.

    Yields
    ------
    object
        One result an item, in their order. What a helper failed at is done here, and fails here.
    """
    shares = range(1, min(jobs, len(items)) if _CAN_FORK else 1)
    helpers: dict[int, _Helper] = {}
    try:
        for share in shares:
            helpers[share] = _helper(prepare, items[share :: len(shares) + 1])
        work = None
        for number, item in enumerate(items):
            helper = helpers.get(number % (len(shares) + 1))
            done = () if helper is None else _received(helper)
            if not done:
                work = work or prepare()
                done = (work(item),)
            yield done[0]
    finally:
        for helper in helpers.values():
            helper.end()


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


def _helper(prepare: Callable[[], Callable[[_Item], object]], items: Sequence[_Item]) -> _Helper:
    """Start a process that sends the result of every item; if it fails it falls silent."""
    near, far = os.pipe()
    process = os.fork()
    if process:
        os.close(far)
        return _Helper(process=process, results=os.fdopen(near, "rb"))
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked hears the interruption and ends its helpers
        os.close(near)
        work = prepare()
        with os.fdopen(far, "wb") as pipe:
            for item in items:
                pickle.dump(work(item), pipe, pickle.HIGHEST_PROTOCOL)
                pipe.flush()
    finally:
        os._exit(0)  # nothing of the parent's is closed or flushed twice


def _received(helper: _Helper) -> tuple[Any, ...]:
    """The next result in a one-tuple; nothing from a helper that is gone."""
    try:
        return (pickle.load(helper.results),)  # noqa: S301 - from a process of our own
    except (EOFError, pickle.UnpicklingError):
        return ()
