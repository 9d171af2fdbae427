"""The moment in what is said of when a vehicle was parked, without words that do not touch it."""

from __future__ import annotations

import re

from thermlog.reading.cells import tidy
from thermlog.reading.times.cell import parse_time
from thermlog.reading.vocabulary import PARKING_PLACES, ROUGHLY
from thermlog.words.regular import regular

_LONGEST = 64  # characters; longer ones are no moment and its place
_BEFORE = regular(rf"^(?:at\s+)?(?:{ROUGHLY}\s*)?(?:at\s+)?", re.IGNORECASE)
_BEHIND = regular(
    r"[\s,;]*(?:"
    rf"[(\[]?\s*(?:(?:at|in|on|by|im|the)\s+)*(?:{PARKING_PLACES})(?:\s*(?:no\.?|nr\.?|#)?\s*\d{{1,3}})?\s*[)\]]?|"
    rf"\(?(?:{ROUGHLY}|or so|ish)\)?"
    r")\s*$",
    re.IGNORECASE,
)


def moment_alone(text: str) -> str:
    """The moment of a text that says besides no more than a place, or that it is a rough one; else the text.

    Nothing that may change the hour is dropped: with any other word the text stays as it stands.

    Examples
    --------
    >>> moment_alone("10:02 (yard)"), moment_alone("approx. 10:02 bay 3"), moment_alone("10:02 evening")
    ('10:02', '10:02', '10:02 evening')
    """
    if len(text) > _LONGEST or parse_time(text) or parse_time(text, ","):
        return text
    plain = tidy(text)
    plain = _BEHIND.sub("", _BEFORE.sub("", plain, count=1))
    cell = parse_time(plain)
    return text if cell is None or cell.style == "number" else plain
