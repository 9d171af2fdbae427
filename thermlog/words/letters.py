"""Text in letters: the name of a file, or what was typed, need not be any."""

from __future__ import annotations


def as_letters(text: str) -> str:
    """The text with ``?`` for each byte that is no letter: a file may be named in another encoding than ours.

    Examples
    --------
    >>> as_letters("van" + chr(0xDCFF) + " 12")
    'van? 12'
    """
    return text if text.isascii() else text.encode("utf-8", "replace").decode()
