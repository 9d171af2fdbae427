"""Regular expressions that are compiled when they are used first: most logs need few of the hundred."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, cast

if TYPE_CHECKING:
    from typing import Any


class _Regular:
    """Stands for a compiled expression; a method that was asked for once is its own from then on."""

    def __init__(self, text: str, flags: int) -> None:
        self._text, self._flags = text, flags

    def __getattr__(self, name: str) -> Any:
        method = getattr(re.compile(self._text, self._flags), name)  # compiled once: `re` keeps it
        setattr(self, name, method)
        return method


def regular(text: str, flags: int = 0) -> re.Pattern[str]:
    r"""An expression as `re.compile` makes it, except that a mistake in it shows when it is used.

    Parameters
    ----------
    text : str
    flags : int
        Of `re`.

    Examples
    --------
    >>> regular(r"\d+").fullmatch("17")[0]
    '17'
    """
    return cast("re.Pattern[str]", _Regular(text, flags))
