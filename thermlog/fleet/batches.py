"""Some logs that are read and judged together: where they lie, or what they hold; and who may do the work."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, TypeVar

from msgspec import Struct

from thermlog.reading.files.addresses import is_address
from thermlog.reading.files.rawtext import read_bytes
from thermlog.words.errors import LogRefusedError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

_Result = TypeVar("_Result")
_Made_co = TypeVar("_Made_co", covariant=True)

MOST_HELD_BYTES = 8 * 1024**2  # of one batch, unless one log is larger
_AT_ONCE = 16  # addresses that are asked for together; each log has its own limit


class Batch(Struct, frozen=True, kw_only=True):
    """Some logs of a fleet.

    Attributes
    ----------
    paths : tuple of str
        As the user named them.
    held : mapping of str to bytes or LogRefusedError, or None
        What each path holds, or why it cannot be read; None: whoever does the work reads it.
    """

    paths: tuple[str, ...]
    held: Mapping[str, bytes | LogRefusedError] | None = None

    def content_of(self, path: str) -> bytes:
        """Bytes of one of the logs.

        Raises
        ------
        LogRefusedError
            It cannot be read.
        """
        if self.held is None:
            return read_bytes(path)
        found = self.held[path]
        if isinstance(found, LogRefusedError):
            raise found
        return found

    def read_here(self, most_bytes: int) -> Iterator[Batch]:
        """The same logs with what they hold, so that nobody else needs to see the files.

        Parameters
        ----------
        most_bytes : int
            That one batch holds, unless one log alone is larger.

        Yields
        ------
        Batch
            One, or several in the order of the paths.
        """
        held: dict[str, bytes | LogRefusedError] = {}
        size = 0
        for path, content in self._contents():
            more = len(content) if isinstance(content, bytes) else 0
            if held and size + more > most_bytes:
                yield Batch(paths=tuple(held), held=held)
                held, size = {}, 0
            held[path] = content
            size += more
        if held:
            yield Batch(paths=tuple(held), held=held)

    def _contents(self) -> Iterator[tuple[str, bytes | LogRefusedError]]:
        """What each path holds, in order; answers of servers are waited for together, archives are not."""
        remote = [path for path in self.paths if is_address(path)]
        if self.held is not None or not remote or any("::" in path for path in remote):
            yield from ((path, self._content_or_refusal(path)) for path in self.paths)
            return
        from concurrent.futures import ThreadPoolExecutor

        with ThreadPoolExecutor(_AT_ONCE) as pool:
            for start in range(0, len(self.paths), _AT_ONCE):
                some = self.paths[start : start + _AT_ONCE]
                yield from zip(some, pool.map(self._content_or_refusal, some), strict=True)

    def _content_or_refusal(self, path: str) -> bytes | LogRefusedError:
        try:
            return self.content_of(path)
        except LogRefusedError as refusal:
            return refusal.with_traceback(None)


def read_ahead(batches: Iterable[Batch], most_bytes: int) -> Iterator[Batch]:
    """All batches with what they hold; `most_bytes` as for `Batch.read_here`."""
    return (some for batch in batches for some in batch.read_here(most_bytes))


class Work(Protocol[_Made_co]):
    """What is done with a batch."""

    def __call__(self, batch: Batch) -> _Made_co:
        """Do it."""
        ...

    def settled(self, batch: Batch) -> Work[_Made_co]:
        """The same for one batch whose contents are held, able to be done on another computer."""
        ...


class Engine(Protocol):
    """Who does the work on many batches: processes of this computer, or of others."""

    def workers(self, logs: int) -> int:
        """How many share the work on so many logs."""
        ...

    def in_order(self, work: Work[_Result], batches: Sequence[Batch]) -> Iterator[_Result]:
        """Results in the order of the batches, at least one for each; none is lost whoever fails."""
        ...
