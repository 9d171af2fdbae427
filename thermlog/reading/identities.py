"""Keys, numbers of parts, names of files and sizes of tyres: letters in them are no words."""

from __future__ import annotations

import re

from thermlog.words.regular import regular

_FILES = "jpe?g|png|heic|gif|bmp|pdf|csv|txt|xlsx?|mp4|mov"
_PATTERNS = (
    r"[\w.-]+@\d{4}-\d\d-\d\dT\S*",  # an entry of a walk that was typed in
    rf"[\w./\\-]+\.(?:{_FILES})",
    r"(?=[\w-]*\d)\w+(?:-\w+){3,}",  # four groups and more, as of keys made by chance
    r"(?=[\w-]*[^\W\d_])[\w-]*\d{4,}[\w-]*",  # a figure longer than any temperature, with letters
    # letters and figures by turns; "T1L" is a wheel, "RR84OL" a reading
    r"[\w-]*(?:\d[^\W\d_]+\d+[^\W\d_]|[^\W\d_]\d+[^\W\d_]+\d)[\w-]*",
    r"(?=\w{8})\w*(?:\d[^\W\d_]+\d|[^\W\d_]\d+[^\W\d_])\w*",
    # a tyre: 315/80 R22.5, 205/55 R16 91V
    r"\d{3}/\d{2,3}\s?(?:Z?R)?\s?\d{2}(?:[.,]5)?(?:\s\d{2,3}(?:/\d{2,3})?\s?[A-Z])?",
)
_ONE = regular(rf"(?<![\w.])(?:{'|'.join(_PATTERNS)})(?!\w)", re.IGNORECASE)


def without_identities(text: str) -> str:
    """The text without what was made by a machine or a rule, and holds no words.

    Examples
    --------
    >>> without_identities("7f0l3x-a9ol2k"), without_identities("WO-32922OL, RR squeals")
    ('', ', RR squeals')
    >>> without_identities("photo ol7.jpg"), without_identities("tyres 205/55 R16 91V")
    ('photo', 'tyres')
    >>> [without_identities(text) for text in ("84OL", "RR84OL", "T1L 84", "seen 2026-11-30")]
    ['84OL', 'RR84OL', 'T1L 84', 'seen 2026-11-30']
    """
    if not any(map(str.isdigit, text)):
        return text
    return text.strip() if _is_plain(text) else _ONE.sub("", text).strip()


def _is_plain(text: str) -> bool:
    """True for words of letters alone and figures alone, as most comments hold: each pattern wants more."""
    words = (word.strip(",:;()") for word in text.split())
    return "/" not in text and all(word.isalpha() or word.replace(".", "").isdecimal() for word in words)
