"""The known wheel that an unknown word comes nearest to: a question for the writer, never an answer."""

from __future__ import annotations

from itertools import islice, product
from typing import TYPE_CHECKING

from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import SHORT_CODE, tokens_of, word_table
from thermlog.words.vehicle import corner_name, mate_of, split_corner

if TYPE_CHECKING:
    from thermlog.reading.positions.resolve import PositionSet

_ALIKE = 0.5  # half of the letters: one of the two of a short code
_SLIP_ALIKE = 0.75  # of a longer word, of which more than a letter must be right
_WORD_ALIKE = 0.6
_SHORTEST_WORD = 3
_MOST_GUESSES = 30
_LONGEST = 24  # letters; what is longer is a sentence
_SHORT: dict[tuple[str, str], str] = {
    ("front", "left"): "FL", ("front", "right"): "FR", ("rear", "left"): "RL", ("rear", "right"): "RR",
}  # fmt: skip
_AXLES = {1: "front", 2: "rear"}


def nearest_wheel(text: str, others: PositionSet, language: str | None = None) -> str | None:
    """Best guess at the wheel a word may mean: the nearest word, else the one wheel nobody read; or None.

    Parameters
    ----------
    text : str
        As written.
    others : PositionSet
        The other words of the file: of several guesses one in their language, and one that stands for no
        wheel read already, goes first.
    language : str, optional
        Language named by the user.

    Examples
    --------
    >>> from thermlog.reading.positions.resolve import PositionRules, resolve_positions
    >>> nearest_wheel("lefft front", resolve_positions(["FR"], PositionRules()))
    'FL'
    """
    tokens = tokens_of(text)
    word = "".join(tokens)
    if not word_table().elsewhere.isdisjoint(tokens):
        return None
    named = [token for token in tokens if looks_like_position(token)] if len(tokens) > 1 else []
    if len(named) == 1:
        return named[0]
    guess = None
    if word and len(word) <= _LONGEST:
        numbered = any(map(str.isdigit, word))
        guess = _by_word(tokens) if numbered else _by_code(word, others, language)
    known = any(token in word_table().words for token in tokens if len(token) >= _SHORTEST_WORD)
    return guess or (None if known else _left_over(others))


def _left_over(others: PositionSet) -> str | None:
    """The one wheel that misses beside those read, if it is one."""
    read = {corner_name(p.axle, p.side) for p in others.known.values()}
    missing = {mate_of(corner) for corner in read} - read
    if len(missing) != 1:
        return None
    axle, side = split_corner(missing.pop())
    end = _AXLES.get(axle, "") if len({corner[:-1] for corner in read}) == len(_AXLES) else ""
    return _SHORT.get((end, "left" if side == "L" else "right"), corner_name(axle, side))


def _by_word(tokens: list[str]) -> str | None:
    """With an axle number: each strange word becomes the nearest known one."""
    from difflib import get_close_matches  # most logs have no strange word

    known = word_table().words
    words = [word for word in known if len(word) >= _SHORTEST_WORD]
    choices = [
        [token]
        if token in known or not token.isalpha()
        else get_close_matches(token, words, cutoff=_WORD_ALIKE) or [token]
        for token in tokens
    ]
    guesses = (" ".join(one).lower() for one in islice(product(*choices), _MOST_GUESSES))
    return next((guess for guess in guesses if looks_like_position(guess)), None)


def _by_code(code: str, others: PositionSet, language: str | None) -> str | None:
    from difflib import SequenceMatcher

    named = (language or others.language or "").split(" or ")
    read = {(_AXLES.get(p.axle, ""), "left" if p.side == "L" else "right") for p in others.known.values()}
    least = _ALIKE if len(code) <= SHORT_CODE else _SLIP_ALIKE
    best: tuple[tuple[float, bool, bool], str] | None = None
    for word, meanings in word_table().codes.items():
        likeness = SequenceMatcher(None, code, word).ratio()
        for meaning in meanings if likeness >= least else ():
            corner = _SHORT.get((meaning.end, meaning.side))
            if corner is None or (meaning.language and meaning.language not in named):
                continue
            if likeness < _SLIP_ALIKE and (meaning.end, meaning.side) in read:
                continue  # half a code of a wheel that has its own
            rank = (round(likeness, 2), (meaning.end, meaning.side) not in read, bool(meaning.language))
            if best is None or rank > best[0]:
                best = rank, word if len(word) <= SHORT_CODE else corner
    return best[1] if best else None
