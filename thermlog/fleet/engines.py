"""Who does the work of a fleet: processes of this computer, or a cluster."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from thermlog.fleet.batches import Engine


@contextmanager
def engine(jobs: int | None, cluster: str | None, *, tell: Callable[[str], None]) -> Iterator[Engine]:
    """Who does the work; a cluster is left again whatever happens.

    Parameters
    ----------
    jobs : int or None
        Processes; what follows from the number of logs and cores if None.
    cluster : str or None
        Address of a scheduler, as `cluster.joined` takes it, in place of processes.
    tell : callable
        Takes a line about what went wrong in a cluster and was done here instead.

    Raises
    ------
    OptionError, ClusterError
        As for `cluster.joined`.
    """
    if cluster is None:
        from thermlog.fleet.processes import Processes

        yield Processes(jobs=jobs)
        return
    from thermlog.fleet.cluster import joined  # most fleets do without it

    with joined(cluster, tell=tell) as found:
        yield found
