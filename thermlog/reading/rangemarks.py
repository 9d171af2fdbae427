"""The gun's marks for over and under range in a cell that holds more than the mark: "84 OL", "HI/84"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, TypeAlias

from thermlog.reading.cellwords import bare_letters, cell_words, runs_of
from thermlog.reading.identities import without_identities
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from thermlog.words.errors import SetAsideCode

RangeMark: TypeAlias = Literal["over_range", "under_range"]

ABOVE_WORDS = (
    "[>≥]=?|over|above|more than|at least|beyond|exceeds|(?:ü|ue)ber|mehr als|mindestens|plus de|"
    "au[- ]dessus de|m[aá]s de|mais de|acima de|oltre|pi[uù] di|meer dan|boven|mer än|mere end|mer enn|ponad|"
    "nad|přes"
)
BELOW_WORDS = (
    "[<≤]=?|under|below|less than|unter|weniger als|moins de|menos de|abaixo de|sotto|meno di|onder|"
    "minder dan|mindre än|mindre end|mindre enn|poniżej|pod"
)
_WORDS = regular(r"[^\W\d_]+|\d[\d.,]*")
_ZERO_L = regular(r"(?<![\d.,])0\.?[Ll](?![^\W\d_])")  # a display writes O and 0 alike
_PAST = regular(rf"(?<![-=\w])(?:{ABOVE_WORDS})\s*[+-]?\d|\d\+(?!\s*[\d/-])", re.IGNORECASE)
_SHORT_OF = regular(rf"(?<!\w)(?:{BELOW_WORDS})(?!-)\s*[+-]?\d", re.IGNORECASE)
_PLAIN = regular(r"[\d.,+\s-]*")
_LONGEST = 4  # words of a mark: "out of range" has three
_CODE = 4  # letters of a code on a display; with an accent it is a word: "Öl"
# Marks that are words of other meaning, too: alone in a cell, or beside a figure, they are the gun's.
_EVERYDAY = frozenset({
    "OVER", "OR", "HI", "HIGH", "LO", "LOW", "UNDER", "OVERLOAD", "OVERFLOW", "TOOHIGH", "TOOLOW", "UBERLAUF",
    "UEBERLAUF", "ZUHOCH", "ZUNIEDRIG", "ZUTIEF", "TROPHAUT", "TROPBAS", "DEPASSEMENT", "DEMASIADOALTO",
    "DEMASIADOBAJO", "TROPPOALTO", "TROPPOBASSO", "TEHOOG", "TELAAG", "FORHOY", "FORHOG", "FORLAV", "FORLAG",
    "ZAWYSOKA", "ZANISKA", "PRILISVYSOKA", "PRILISNIZKA",
})  # fmt: skip


def range_mark(text: str) -> RangeMark | None:
    """What a mark of the gun's range says wherever it stands in a cell; over range where both do.

    Examples
    --------
    >>> range_mark("84 OL"), range_mark("HI/84"), range_mark("84 lo"), range_mark("84 (>500)")
    ('over_range', 'over_range', 'under_range', 'over_range')
    >>> range_mark("84 or 86"), range_mark("84, no OL"), range_mark("84 Öl"), range_mark("148 °C")
    (None, None, None, None)
    """
    if _PLAIN.fullmatch(text):
        return None
    if _PAST.search(text) or _ZERO_L.search(text):
        return "over_range"
    found = _marks(_WORDS.findall(text), beside_figure=any(map(str.isdigit, text)))
    if _SHORT_OF.search(text):
        found.append("under_range")
    return min(found, default=None)  # over range, where both do


def mark_in_words(text: str, *, everyday: bool) -> RangeMark | None:
    """The same of a remark in free words; `everyday`: words of other meaning, like "high", count too.

    Examples
    --------
    >>> mark_in_words("showed 0L", everyday=False), mark_in_words("7f0l3-x9ol2", everyday=False)
    ('over_range', None)
    """
    text = without_identities(text)
    if _ZERO_L.search(text):
        return "over_range"
    return min(_marks(_WORDS.findall(text), beside_figure=everyday), default=None)


def _marks(words: Sequence[str], *, beside_figure: bool) -> list[RangeMark]:
    tokens = [_token(word) for word in words]
    known, nothing = cell_words().no_temperature, cell_words().nothing
    found: list[RangeMark] = []
    for start, _, said in runs_of(tokens, _LONGEST):
        code: SetAsideCode | None = known.get(said)
        if code not in {"over_range", "under_range"} or (said in _EVERYDAY and not beside_figure):
            continue
        joins = said == "OR" and 0 < start < len(tokens) - 1  # "84 or so"
        if not joins and not (start and tokens[start - 1] in nothing):
            found.append("over_range" if code == "over_range" else "under_range")
    return found


def _token(word: str) -> str:
    token = bare_letters(word)
    return token if word.isascii() or len(token) > _CODE else ""
