"""Work shared by the workers of a dask.distributed scheduler; whatever becomes of them, nothing is lost.

Logs are read here and sent: a worker that sees other files, or none, under the same names could neither be
noticed nor be put right. What workers fail at, and all that is left when the scheduler is gone, is done here.
"""

from __future__ import annotations

import gc
import logging
import pickle
import re
import time
import warnings
from collections import deque
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec import Struct, field

from thermlog.fleet.batches import MOST_HELD_BYTES, read_ahead
from thermlog.fleet.identity import identity, unlike
from thermlog.fleet.processes import keep_memory
from thermlog.words.errors import ClusterError, OptionError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from thermlog.fleet.batches import Batch, Work

_Result = TypeVar("_Result")

_FILE = ".json"
_SCHEMES = ("tcp://", "tls://")
_EARLY_S = 5.0  # a scheduler and its first worker are waited for; engineering judgement
_ALONE_S = 60.0  # without any worker before the rest is done here; a worker that starts anew takes a few
_LOOK_S = 1.0
_COUNT_S = 5.0  # workers that came meanwhile are given work
_TRIES = 5  # to fetch a result from a worker that is there no more before its successor has it
_AHEAD = 2  # batches on the way for every thread that works, so that none waits for the next
_QUIET = ("distributed", "tornado", "asyncio")
_CLOSE_S = 2.0


class Cluster(Struct, kw_only=True, eq=False):
    """An `Engine`: the workers of a scheduler.

    Attributes
    ----------
    client : distributed.Client
        Connected.
    address : str
        As the user named it.
    tell : callable
        Takes a line about what went wrong and was done here instead.
    threads : int
        That work.
    gone : bool
        True once the scheduler or all workers are gone: the rest is done here.
    """

    client: Any
    address: str
    tell: Callable[[str], None]
    threads: int
    gone: bool = False
    told: set[str] = field(default_factory=set)
    counted_s: float = field(default_factory=time.monotonic)

    def workers(self, logs: int) -> int:  # noqa: ARG002 - whatever the number of logs
        """How many share the work on so many logs."""
        return 1 if self.gone else max(1, self.threads)

    def in_order(self, work: Work[_Result], batches: Sequence[Batch]) -> Iterator[_Result]:
        """Results in the order of the batches, one or several for each.

        Parameters
        ----------
        work : Work
            It and its results can be pickled; small, for it is sent with each batch: nothing on a worker has
            to last.
        batches : sequence of Batch

        Yields
        ------
        object
        """
        read = read_ahead(batches, MOST_HELD_BYTES)
        sent: deque[tuple[Batch, Any]] = deque()
        try:
            while True:
                if time.monotonic() - self.counted_s > _COUNT_S:
                    self._count()
                while len(sent) < self._most_sent() and (batch := next(read, None)) is not None:
                    sent.append((batch, self._sent(work, batch)))
                if not sent:
                    return
                batch, future = sent.popleft()
                found = self._received(future, len(batch.paths))
                yield work(batch) if found is None else found
        finally:
            with suppress(Exception):  # a scheduler that is gone has nothing to cancel
                self.client.cancel([future for _, future in sent if future is not None])

    def _most_sent(self) -> int:
        return 1 if self.gone else _AHEAD * self.threads + 1

    def _sent(self, work: Work[object], batch: Batch) -> Any:
        """Future of a result; None if there is nobody to send it to."""
        if self.gone:
            return None
        given = pickle.dumps(work.settled(batch)), pickle.dumps(batch), identity()
        try:
            return self.client.submit(_task(), *given, pure=False)
        except Exception:  # noqa: BLE001 - of a network, in many kinds
            self._leave("is gone")
            return None

    def _received(self, future: Any, logs: int) -> Any:
        """Result of a task; None if it has to be done here."""
        alone_since: float | None = None
        tries = _TRIES
        while future is not None and not self.gone:
            try:
                foreign, found = future.result(timeout=_LOOK_S)
            except TimeoutError:
                alone_since = self._alone(alone_since)
            except Exception as fault:  # noqa: BLE001 - of the network, or of the work, which then fails here
                if self.client.status != "running":
                    self._leave("is gone")
                    return None
                tries -= 1
                if future.status == "error" or not tries:  # else it was lost on the way, and is made anew
                    self._say(f"the workers failed at {logs} logs ({type(fault).__name__}): judged here")
                    return None
            else:
                if foreign is not None:
                    self._say(f"{foreign}; what it was given is judged here")
                return found
        return None

    def _alone(self, since: float | None) -> float | None:
        """Since when there has been no worker; after too long the rest is done here."""
        self._count()
        if self.threads:
            return None
        now = time.monotonic()
        if since is not None and now - since > _ALONE_S:
            self._leave(f"has had no worker for {_ALONE_S:.0f} s")
        return now if since is None else since

    def _count(self) -> None:
        """Ask how many threads work now: workers come and go."""
        self.counted_s = time.monotonic()
        if self.gone:
            return
        try:
            self.threads = sum(self.client.nthreads().values())
        except Exception:  # noqa: BLE001 - as above
            self._leave("is gone")

    def _leave(self, why: str) -> None:
        self.gone = True
        self._say(f"scheduler {self.address} {why}; the rest is judged here, nothing is lost")

    def _say(self, line: str) -> None:
        if line not in self.told:
            self.told.add(line)
            self.tell(line)


def done(work: bytes, batch: bytes) -> object:
    """The work that was sent, done on a worker with what makes it quick in a process of our own."""
    keep_memory()
    gc.disable()  # records hold no circles
    try:
        return pickle.loads(work)(pickle.loads(batch))  # noqa: S301 - from who may send code anyway
    finally:
        gc.enable()


def _task() -> Callable[[bytes, bytes, dict[str, str]], tuple[str | None, object]]:
    """What a worker does; sent by value, so that neither scheduler nor older workers stumble over it."""

    def judged(work: bytes, batch: bytes, asked: dict[str, str]) -> tuple[str | None, object]:
        try:
            from thermlog.fleet.cluster import done
            from thermlog.fleet.identity import identity, unlike
        except ImportError:
            return "a worker has no thermlog, or an older one", None
        if foreign := unlike(identity(), asked):
            return f"a worker has {foreign}", None
        return None, done(work, batch)

    return judged


# ---- joining ----------------------------------------------------------------------------------------------


@contextmanager
def joined(address: str, *, tell: Callable[[str], None]) -> Iterator[Cluster]:
    """A cluster to work on, left again whatever happens.

    Parameters
    ----------
    address : str
        ``tcp://HOST:PORT``, ``tls://HOST:PORT``, or a scheduler file (.json).
    tell : callable
        As for `Cluster`.

    Raises
    ------
    OptionError
        dask.distributed is not installed, or that is no address.
    ClusterError
        No scheduler answers there, it has no worker, or a worker judges with something else.
    """
    where = _where(address)
    try:
        from distributed import Client
    except ImportError:
        msg = 'a cluster needs dask.distributed: python -m pip install ".[cluster]"; --jobs does without'
        raise OptionError(msg) from None
    import dask

    for name in logging.root.manager.loggerDict:
        if name.startswith(_QUIET):  # what matters is told in one line
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    gc.enable()  # unlike our records those of a network hold circles
    with dask.config.set({"distributed.admin.large-graph-warning-threshold": "1GB"}):
        client = _connected(Client, address, where)
        try:
            yield Cluster(client=client, address=address, tell=tell, threads=_threads_alike(client, address))
        finally:
            with suppress(Exception):
                client.close(timeout=_CLOSE_S)


def _where(address: str) -> dict[str, str]:
    """How the client is told of the scheduler."""
    if address.endswith(_FILE):
        if not Path(address).is_file():
            msg = (
                f"{address}: no such file; a scheduler writes one with: dask scheduler --scheduler-file FILE"
            )
            raise ClusterError(msg)
        return {"scheduler_file": address}
    if not address.startswith(_SCHEMES) or re.search(r":\d+/?$", address) is None:
        msg = (
            f'"{address}" is no address of a scheduler; write tcp://HOST:PORT, tls://HOST:PORT or the name '
            "of a scheduler file (.json)"
        )
        raise OptionError(msg)
    return {"address": address}


def _connected(client: Callable[..., Any], address: str, where: dict[str, str]) -> Any:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # versions are compared below, and refused by name
            return client(**where, timeout=_EARLY_S, set_as_default=False, name="thermlog")
    except Exception as fault:
        why = str(fault).splitlines()[0].rstrip(".") if str(fault) else type(fault).__name__
        msg = (
            f"{address}: no scheduler answers ({why}); start one with: dask scheduler --host HOST, "
            "and workers with: dask worker ADDRESS --nthreads 1"
        )
        raise ClusterError(msg) from fault


def _threads_alike(client: Any, address: str) -> int:
    """Threads of all workers, after each has shown that it judges with the same."""
    try:
        client.wait_for_workers(1, timeout=_EARLY_S)
        found = client.run(_asked(), on_error="return")
        threads: int = sum(client.nthreads().values())
    except TimeoutError:
        where = f"--scheduler-file {address}" if address.endswith(_FILE) else address
        msg = f"{address}: the scheduler has no worker; start some with: dask worker {where} --nthreads 1"
        raise ClusterError(msg) from None
    except Exception as fault:
        msg = f"{address}: the scheduler went away at once ({type(fault).__name__}); look at what it printed"
        raise ClusterError(msg) from fault
    for worker, theirs in sorted(found.items()):
        foreign = unlike(theirs if isinstance(theirs, dict) else {}, identity())
        if foreign is not None:
            msg = (
                f"{address}: worker {worker} has {foreign}; results would not be the same: install the "
                "same on both, or end that worker"
            )
            raise ClusterError(msg)
    return threads


def _asked() -> Callable[[], dict[str, str]]:
    """What every worker is asked first; sent by value, as `_task` is."""

    def who() -> dict[str, str]:
        try:
            from thermlog.fleet.identity import identity

            return identity()
        except ImportError:
            pass
        try:
            from thermlog.words.version import __version__
        except ImportError:
            return {}
        return {"thermlog": __version__}

    return who
