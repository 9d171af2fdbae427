"""Words for what is seen that were spelt letter by letter, or with two letters in each other's place."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.words.regular import regular

if TYPE_CHECKING:
    import re
    from collections.abc import Iterator, Sequence

_LETTERS = regular(r"\b[^\W\d_](?:[ .\-_]{1,2}[^\W\d_]){4,}\b")
_SHORTEST, _LONGEST = 5, 12  # letters; in shorter words a slip makes another word


def put_right(tokens: Sequence[str]) -> list[str]:
    """Tokens, those that are a slip of a word for what is seen in its spelling.

    Examples
    --------
    >>> put_right(["RR", "SMKOE"]), put_right(["SMOCK"])
    (['RR', 'SMOKE'], ['SMOCK'])
    """
    return [slip_of(token) or token for token in tokens]


def closed_up(text: str) -> str:
    """Text, a word for what is seen written together that was spaced out.

    Examples
    --------
    >>> closed_up("S M O K E at RR"), closed_up("F L, R R")
    ('SMOKE at RR', 'F L, R R')
    """
    return _LETTERS.sub(_word_in, text)


def is_spaced(text: str) -> bool:
    """True where letters stand apart that may be a word."""
    return _LETTERS.search(text) is not None


def _word_in(match: re.Match[str]) -> str:
    letters = [one for one in match.group() if one.isalpha()]
    for length in range(min(len(letters), _LONGEST), _SHORTEST - 1, -1):
        for start in range(len(letters) - length + 1):
            word = "".join(letters[start : start + length])
            if word.upper() in cell_words().seen or slip_of(word.upper()):
                return " ".join([*letters[:start], word, *letters[start + length :]])
    return match.group()


def slip_of(token: str) -> str | None:
    """The word for what is seen that a token would be, were two neighbouring letters in each other's place.

    Examples
    --------
    >>> slip_of("SMKOE"), slip_of("SMOKE"), slip_of("DOORS")
    ('SMOKE', None, None)
    """
    if token in _words() or token in _no_slips():
        return None
    word = next(filter(_words().__contains__, swapped(token)), None)
    return None if word is None or looks_like_position(token) else word


@lru_cache(maxsize=1)
def _words() -> frozenset[str]:
    words = words_of_sights()
    return frozenset(word for word in words if _SHORTEST <= len(word) <= _LONGEST)


@lru_cache(maxsize=1)
def _no_slips() -> frozenset[str]:
    table = cell_words()
    return table.between | table.nothing | table.fine | table.plain | table.harmless | table.no_slip


def words_of_sights() -> Iterator[str]:
    """All words that say what was seen, or a part of it."""
    yield from cell_words().seen
    for one in cell_words().together:
        yield from one.part


def swapped(word: str) -> Iterator[str]:
    """The word with each two unlike neighbouring letters in each other's place."""
    for k in range(len(word) - 1):
        if word[k] != word[k + 1]:
            yield word[:k] + word[k + 1] + word[k] + word[k + 2 :]
