"""Comments that say several things in one line: "van 12, air 14 °C, parked 10:02".

Each thing is taken as if it stood in a line of its own. Taken off is only what is a statement by itself and
can be read; the words of a remark, a name or a repair stay together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from thermlog.reading.files.comments import Comment
from thermlog.reading.keyvalue import BARE_WORDS, BESIDE_KEY, DATE_WORDS, START_WORDS, is_dated, is_started
from thermlog.reading.statements import readable_pair
from thermlog.reading.vocabulary import PARKING_PLACES, Key
from thermlog.words.regular import regular

_BETWEEN = regular(r"[;,|]\s+|\s+[/–-]\s+(?=[^\W\d])")  # before a figure it may be a minus, or "to"
_MARKS = frozenset(";,|/–-")  # of these
# Where no mark stands between them: a word that begins a statement, and where it was parked, after a figure.
_BEGINS = regular(
    rf"\s(?=(?:{BARE_WORDS}|{DATE_WORDS}|{START_WORDS})(?: (?:{BESIDE_KEY})\.?){{0,3}}[\s:=~+-]{{1,4}}\d|"
    rf"(?:at|in|on|im) (?:the )?(?:{PARKING_PLACES})\b)",
    re.IGNORECASE,
)
_TWO_THINGS = regular(r"\d\S{0,12}\s(?:[°º]?[CFK]\s)?\s*[^\W\d]{2,}", re.IGNORECASE)
_WITH_UNIT = regular(r"\d\s{0,2}(?:[°º]|deg|[CFK]\b)", re.IGNORECASE)
LONGEST_LINE = 500  # characters of a line that somebody wrote; longer ones would be searched over and over
_MOMENT = regular(r"(?:.*[t ])?\d{1,2}[:.h]\d{2}(?:[:.]\d{2})?(?: ?[ap]\.?m\.?)?")
# Words that any text may follow say nothing by themselves; of these two what follows is something else.
_FREE: frozenset[Key] = frozenset({"vehicle", "language"})
_CLOSED: frozenset[Key] = frozenset({"ambient", "parked"})


def each_said(comments: Iterable[Comment]) -> list[Comment]:
    """The comments, those that say several things in as many."""
    return [Comment(line=one.line, text=text) for one in comments for text in things_said(one.text)]


def things_said(text: str) -> list[str]:
    """What one line says, thing by thing.

    Examples
    --------
    >>> things_said("van 12, air 14 °C, parked 10:02")
    ['van 12', 'air 14 °C', 'parked 10:02']
    >>> things_said("van 12 air 14 C parked 10:02 at depot"), things_said("tyre air 8 parked 10:02")
    (['van 12', 'air 14 C', 'parked 10:02', 'at depot'], ['tyre air 8', 'parked 10:02'])
    >>> things_said("vehicle: van 12, blue"), things_said("new hose, FR, parked brake free")
    (['vehicle: van 12, blue'], ['new hose, FR, parked brake free'])
    """
    if len(text) > LONGEST_LINE:
        return [text]
    parted = not _MARKS.isdisjoint(text) and _BETWEEN.search(text)
    if not parted and not _TWO_THINGS.search(text):
        return [text]
    return list(_things(text))


def _things(text: str) -> Iterator[str]:
    begin, start, before = 0, 0, None
    marked = [(match.start(), match.end()) for match in _BETWEEN.finditer(text)]
    after = {start for _, start in marked}
    bare = ((match.start(), match.end()) for match in _BEGINS.finditer(text) if match.end() not in after)
    for end, following in (*sorted((*marked, *bare)), (len(text), len(text))):
        key = own_key(text[start:end])
        if key == "ambient" and start and start not in after and not _WITH_UNIT.search(text[start:end]):
            key = None  # "tyre air 8" is a pressure
        # "air 14, 16 C": neither is meant alone
        second = before == "ambient" and text[start : start + 1].isdigit()
        if start and (key or (before in _CLOSED and not second)):
            yield text[begin:start].rstrip(" ,;|/–-")
            begin = start
        before, start = key, following
    yield text[begin:]


def own_key(piece: str) -> Key | None:
    """Key of a piece that is a statement by itself."""
    if is_dated(piece):
        return "date"
    if is_started(piece):
        return "started"
    pair = readable_pair(piece)
    if pair is None or pair.key in _FREE:
        return None
    return None if pair.key == "parked" and not _MOMENT.fullmatch(pair.text.lower()) else pair.key
