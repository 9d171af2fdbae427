"""A database is asked for many keys in parts, for none takes any number of them in one question."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_Key = TypeVar("_Key")
_AT_ONCE = 400  # every database takes so many


def in_parts(keys: Sequence[_Key]) -> Iterator[list[_Key]]:
    """The keys, so many at a time as one question may hold.

    Examples
    --------
    >>> [len(some) for some in in_parts(range(900))]
    [400, 400, 100]
    """
    return (list(keys[start : start + _AT_ONCE]) for start in range(0, len(keys), _AT_ONCE))
