"""Work shared with helper processes; results come in the order of the work, however many share it."""

from __future__ import annotations

import os
import pickle
import select
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from threading import Thread
from typing import TYPE_CHECKING, Any, BinaryIO, TypeVar

from msgspec import Struct, field

from thermlog.fleet.batches import MOST_HELD_BYTES, read_ahead
from thermlog.reading.files.addresses import is_address

if TYPE_CHECKING:
    from thermlog.fleet.batches import Batch, Work

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")
# A forked helper is ready at once. Elsewhere forking is unsafe or unknown, and a fresh interpreter would take
# longer to start than most fleets take to read.
_CAN_FORK = sys.platform == "linux" and hasattr(os, "memfd_create")
_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3  # malloc.h of the GNU C library
_KEPT_BYTES = 1 << 26
_NUMBER_BYTES = 8
_LOGS_WORTH_A_PROCESS = 200  # measured: fewer take less time than a helper spends on loading what it needs
_PIPE_BYTES = 1 << 20  # what Linux grants anybody; holds the rows of some thousand logs


class _Helper(Struct, kw_only=True):
    """A forked process and the pipe its results come from; `open` until it has nothing more to send."""

    process: int
    pipe: int
    open: bool = True

    def fileno(self) -> int:
        """For `select`."""
        return self.pipe

    def end(self) -> None:
        os.close(self.pipe)
        with suppress(ProcessLookupError):
            os.kill(self.process, signal.SIGKILL)
        os.waitpid(self.process, 0)


class _Shared(Struct, kw_only=True):
    """Work on the way: who helps, which items nobody has begun, what is done and not yet handed on."""

    helpers: list[_Helper] = field(default_factory=list)
    tickets: int
    done: dict[int, Any] = field(default_factory=dict)


class Processes(Struct, frozen=True, kw_only=True):
    """An `Engine`: processes of this computer.

    Attributes
    ----------
    jobs : int or None
        How many; what follows from the number of logs and cores if None.
    """

    jobs: int | None = None

    def workers(self, logs: int) -> int:
        """How many share the work on so many logs."""
        return self.jobs or usual_jobs(logs, fewest=_LOGS_WORTH_A_PROCESS)

    def in_order(self, work: Work[_Result], batches: Sequence[Batch]) -> Iterator[_Result]:
        """Results in the order of the batches, one or several for each.

        Logs at addresses are read by this process, which then does all the work: the network takes longer
        than judging, and who reaches servers cannot safely be forked.
        """
        if any(is_address(path) for batch in batches for path in batch.paths):
            yield from map(work, read_ahead(batches, MOST_HELD_BYTES))
            return
        jobs = self.workers(sum(len(batch.paths) for batch in batches))
        yield from in_order(work, batches, jobs=jobs)


def in_order(work: Callable[[_Item], _Result], items: Sequence[_Item], *, jobs: int) -> Iterator[_Result]:
    """Do the work on every item, shared by several processes: who is free takes the next one.

    Parameters
    ----------
    work : callable
        Its results can be pickled.
    items : sequence
    jobs : int
        Processes that share the work, this one among them; one does it all where forking is unsafe.

    Yields
    ------
    object
        One result an item, in their order. What a helper failed at is done here, and fails here.
    """
    keep_memory()
    helpers = min(jobs, len(items)) - 1 if _CAN_FORK else 0
    tickets = _tickets(len(items)) if helpers > 0 else None
    if tickets is None:
        yield from map(work, items)
        return
    shared = _Shared(tickets=tickets)
    try:
        with suppress(OSError):  # as many as the system grants
            for _ in range(helpers):
                shared.helpers.append(_helper(work, items, shared.tickets))
        for number in range(len(items)):
            while number not in shared.done:
                _do_some(work, items, number, shared)
            yield shared.done.pop(number)
    finally:
        for helper in shared.helpers:
            helper.end()
        os.close(shared.tickets)


def keep_memory() -> None:
    """Let the C library keep what arrays leave, if it can be told so.

    It would give the memory of every large array back to the system and take it anew for the next one, page
    by page: a tenth of the processor time of a fleet.
    """
    import ctypes  # numpy has it anyway

    with suppress(AttributeError, OSError):  # such as outside Linux
        tell = ctypes.CDLL(None).mallopt
        for option in (_TRIM_THRESHOLD, _MMAP_THRESHOLD):
            tell(option, _KEPT_BYTES)


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


def _do_some(work: Callable[[_Item], _Result], items: Sequence[_Item], wanted: int, shared: _Shared) -> None:
    """Receive what is ready, else do the next item, else wait for a helper, else do what a helper left."""
    if _receive(shared, wait=False):
        return
    ticket = _next_ticket(shared.tickets)
    if ticket is None and _receive(shared, wait=True):
        return
    if ticket is None or ticket == wanted:
        shared.done[wanted] = work(items[wanted])
        return
    with suppress(Exception):  # fails again in its turn, after the results before it
        shared.done[ticket] = work(items[ticket])


# ---- tickets: a file in memory whose place all processes share, so that each number is read once ----------


def _tickets(count: int) -> int | None:
    """The numbers of all items; None if the system grants no such file."""
    try:
        tickets = os.memfd_create("tickets")
    except OSError:
        return None
    with os.fdopen(os.dup(tickets), "wb") as file:
        file.writelines(number.to_bytes(_NUMBER_BYTES, "little") for number in range(count))
    os.lseek(tickets, 0, os.SEEK_SET)
    return tickets


def _next_ticket(tickets: int) -> int | None:
    """An item nobody has begun; None if there is none.

    Locked: reading a file in memory and moving its place on are two steps, between which another may read.
    """
    import fcntl  # exists where helpers do

    fcntl.lockf(tickets, fcntl.LOCK_EX)
    try:
        read = os.read(tickets, _NUMBER_BYTES)
    finally:
        fcntl.lockf(tickets, fcntl.LOCK_UN)
    return int.from_bytes(read, "little") if read else None


# ---- helpers ----------------------------------------------------------------------------------------------


def _helper(work: Callable[[_Item], object], items: Sequence[_Item], tickets: int) -> _Helper:
    """Start a process that sends the number and result of every item it does; if it fails it falls silent."""
    near, far = _wide_pipe()
    try:
        process = os.fork()
    except OSError:
        os.close(near)
        os.close(far)
        raise
    if process:
        os.close(far)
        return _Helper(process=process, pipe=near)
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked hears the interruption and ends its helpers
        os.close(near)
        with os.fdopen(far, "wb") as pipe:
            sender = _Sender(pipe=pipe)
            while (number := _next_ticket(tickets)) is not None:
                sender.send(pickle.dumps((number, work(items[number])), pickle.HIGHEST_PROTOCOL))
            sender.wait()
    finally:
        os._exit(0)  # nothing of the parent's is closed or flushed twice


class _Sender(Struct, kw_only=True):
    """Writes one result while its process does the next item: who asked reads only between items."""

    pipe: BinaryIO
    thread: Thread | None = None
    fault: OSError | None = None

    def send(self, result: bytes) -> None:
        self.wait()
        self.thread = Thread(target=self._write, args=(result,))
        self.thread.start()

    def wait(self) -> None:
        """Until the last result is on its way; who asked may have gone."""
        if self.thread is not None:
            self.thread.join()
        if self.fault is not None:
            raise self.fault

    def _write(self, result: bytes) -> None:
        try:
            self.pipe.write(len(result).to_bytes(_NUMBER_BYTES, "little") + result)
            self.pipe.flush()
        except OSError as fault:
            self.fault = fault


def _wide_pipe() -> tuple[int, int]:
    """A pipe that holds some results, so that a helper need not wait for who is at work on an item itself."""
    import fcntl  # exists where helpers do

    near, far = os.pipe()
    with suppress(OSError):  # the system may grant less
        fcntl.fcntl(far, fcntl.F_SETPIPE_SZ, _PIPE_BYTES)
    return near, far


def _receive(shared: _Shared, *, wait: bool) -> bool:
    """Take in the next result of every helper that has one; False if there was nothing to take."""
    busy = [helper for helper in shared.helpers if helper.open]
    if not busy:
        return False
    ready, _, _ = select.select(busy, [], [], None if wait else 0)
    for helper in ready:
        try:
            size = int.from_bytes(_exactly(helper.pipe, _NUMBER_BYTES), "little")
            number, result = pickle.loads(_exactly(helper.pipe, size))  # noqa: S301 - from a process of our own
        except EOFError:
            helper.open = False
        else:
            shared.done[number] = result
    return bool(ready)


def _exactly(pipe: int, count: int) -> bytearray:
    parts = bytearray()
    while len(parts) < count:
        part = os.read(pipe, count - len(parts))
        if not part:
            raise EOFError
        parts += part
    return parts
