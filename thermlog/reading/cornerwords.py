"""A word for a corner, as a log would have it, to the canonical code beside the corners that are known."""

from __future__ import annotations

from collections.abc import Collection

from thermlog.reading.positions.resolve import PositionRules, resolve_positions
from thermlog.words.vehicle import corner_name


def corner_of_word(word: str, corners: Collection[str]) -> str | None:
    """Canonical corner that a word names.

    Parameters
    ----------
    word : str
        ``2R``, ``RR``, ``rear right`` or any other word that a log may have.
    corners : collection of str
        Canonical corners of the vehicle: they decide which axle "rear" is.

    Returns
    -------
    str or None
        None where the word names no corner of these, or more than one.

    Examples
    --------
    >>> corner_of_word("front left", ["1L", "1R", "2L", "2R"]), corner_of_word("2r", ["1L", "2R"])
    ('1L', '2R')
    >>> corner_of_word("rear left", ["1L", "2L", "3L"]) is None
    True
    """
    if word.upper() in corners:
        return word.upper()
    position = resolve_positions([*corners, word], PositionRules()).known.get(word)
    named = None if position is None else corner_name(position.axle, position.side)
    return named if named in corners else None
