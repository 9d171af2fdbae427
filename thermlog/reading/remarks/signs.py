"""Signs that are drawn and not written, beside a wheel or alone: a fire, a skull, a thumb pointing down."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Literal, TypeAlias

from thermlog.reading.cellwords import cell_words

Drawn: TypeAlias = Literal["danger", "other"]

_FIRST = "\u2300"  # below are marks of units, arrows and numbers
_BULLETS = range(0x2500, 0x2600)  # lines, boxes and the dots of a list


@lru_cache(maxsize=4096)
def drawn_in(text: str) -> Drawn | None:
    """The worst that signs in a text say; None where there are none, or none but those that all is well.

    Examples
    --------
    >>> drawn_in("RR 🔥"), drawn_in("👎"), drawn_in("👍 18 °C")
    ('danger', 'other', None)
    """
    if text.isascii():
        return None
    signs = {letter for letter in text if letter >= _FIRST and unicodedata.category(letter) == "So"}
    signs = {sign for sign in signs if ord(sign) not in _BULLETS} - cell_words().signs["fine"]
    if not signs:
        return None
    return "other" if signs.isdisjoint(cell_words().signs["danger"]) else "danger"


def is_marked(text: str) -> bool:
    """True for "RR!!!", "?" and "RR ⚠": whoever set the mark meant something by it.

    Examples
    --------
    >>> is_marked("RR!!!"), is_marked("?"), is_marked("RR"), is_marked("fine!")
    (True, True, False, False)
    """
    bare = text.strip()
    alone = bool(bare) and not bare.strip("!?‼⁉❗❓ ")
    return alone or bare.endswith(("!!", "??")) or drawn_in(text) is not None
