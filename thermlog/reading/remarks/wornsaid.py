"""Remarks that say of a pad, a shoe or a lining that it is worn out, or how little of it is left."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from thermlog.reading.cellwords import cell_words, within
from thermlog.reading.positions.words import tokens_of
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Iterator

_THIN_MM = 2.0  # a lining this thin is renewed, or looked up: common practice, no source
_MM_OF_32NDS = 25.4 / 32.0
_PARTS = regular(r"[;!|()]|,(?!\d)|\.(?!\d)|\s-\s|\b(?:and|but|und|et)\b", re.IGNORECASE)
_FIGURE = r"\d+(?:[.,]\d+)?"
_IN_MM = regular(
    rf"([^\W\d_]*)[\s.:<>=≤~]*({_FIGURE}(?:\s*[-–/+&]\s*{_FIGURE})*)\s*mm(?![^\W\d_])", re.IGNORECASE
)
_UNIT_AHEAD = regular(r"(?<![^\W_])mm(?![^\W_])", re.IGNORECASE)
_IN_32NDS = regular(r"(?<![\d/.,])(\d{1,2})\s*/\s*32(?!\d)")
_ONE = regular(rf"(?<![\w.,])({_FIGURE})(?![\w]|[.,]\d)")


@lru_cache(maxsize=4096)
def worn_said(text: str) -> bool:
    """True for a remark that a pad, a shoe or a lining is worn out, due, or no thicker than 2 mm.

    Examples
    --------
    >>> [worn_said(text) for text in ("pads at 6mm", "LF pads 1.5 mm", "front pads 8 mm, rear 2 mm")]
    [False, True, True]
    >>> [worn_said(text) for text in ("brake pads need replacing", "pads not worn", "tread 2 mm")]
    [True, False, False]
    """
    words, said = cell_words().alarm, frozenset(tokens_of(text))
    if said.isdisjoint(words["worn_part"] | words["worn_disc"]) or not said.isdisjoint(words["mended"]):
        return False
    lining = False
    for part in _PARTS.split(text):
        tokens = frozenset(tokens_of(part))
        lining = lining or not words["worn_part"].isdisjoint(tokens)
        of_disc = not words["worn_disc"].isdisjoint(tokens)
        other = not words["worn_other"].isdisjoint(tokens)
        if (lining or of_disc) and not other and (_is_due(part) or (not of_disc and _is_thin(part))):
            return True
    return False


def _is_due(part: str) -> bool:
    """True for words that it has to be renewed, with no word beside them that says that it has not."""
    calm = cell_words().nothing
    return any(calm.isdisjoint(rest) for _, rest in within(tokens_of(part), cell_words().alarm["worn_due"]))


def _is_thin(part: str) -> bool:
    """True where a figure in millimetres, or in 32nds of an inch, is that of a lining that is spent."""
    calm = cell_words().nothing
    return calm.isdisjoint(tokens_of(part)) and any(mm <= _THIN_MM for mm in _figures_mm(part))


def _figures_mm(part: str) -> Iterator[float]:
    for ahead, figures in _IN_MM.findall(part):
        if not cell_words().alarm["worn_limit"].isdisjoint(tokens_of(ahead)):
            continue
        yield from (float(one.replace(",", ".")) for one in _ONE.findall(figures))
    yield from (int(one) * _MM_OF_32NDS for one in _IN_32NDS.findall(part))
    unit = _UNIT_AHEAD.search(part)
    if unit is not None and not _ONE.search(part[: unit.start()]):
        yield from (float(one.replace(",", ".")) for one in _ONE.findall(part[unit.end() :]))
