"""Remarks that are no sight and clear nothing: too hot to touch, cooled with water, a wheel that is loose."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.words.regular import regular

_PARTS = regular(r"[,;.!|]|\s-\s|\b(?:and|but|und|et)\b")
_LONGEST = 4  # tokens of the longest words for too hot


@lru_cache(maxsize=4096)
def alarms_of(text: str) -> tuple[str, ...]:
    """What a remark in free words says that leaves no brake cleared, each in its own words.

    A wheel cooled with water is no longer as the drive left it, and a hand that could not hold tells of heat
    that the gun may have missed.

    Examples
    --------
    >>> alarms_of("wheel too hot to touch, RL"), alarms_of("very hot day"), alarms_of("wheel nuts not loose")
    (('wheel too hot to touch, RL',), (), ())
    """
    parts = (tokens_of(part) for part in _PARTS.split(text))
    return (text.strip(),) if any(map(_alarms, parts)) else ()


@lru_cache(maxsize=4096)
def felt_hot(text: str) -> bool:
    """True for a remark that alarms by nothing but heat that a hand felt.

    Examples
    --------
    >>> felt_hot("RR too hot to touch"), felt_hot("RR too hot to touch, cooled with water")
    (True, False)
    """
    parts = [part for part in map(tokens_of, _PARTS.split(text)) if _alarms(part)]
    return bool(parts) and all(map(_too_hot, parts))


def _alarms(part: Sequence[str]) -> bool:
    words, said = cell_words().alarm, set(part)
    if not words["elsewhere"].isdisjoint(said):
        return False
    if _too_hot(part):
        return True
    if not cell_words().nothing.isdisjoint(said):
        return False
    cooled = not words["cooled"].isdisjoint(said) and not words["water"].isdisjoint(said)
    return cooled or (not words["loose"].isdisjoint(said) and not words["held_by"].isdisjoint(said))


def _too_hot(part: Sequence[str]) -> bool:
    """True for words of a cell that is too hot, of a wheel or a part that a hand would touch."""
    too_hot = frozenset(cell_words().too_hot)
    for start in range(len(part)):
        for stop in range(start + 1, min(start + _LONGEST, len(part)) + 1):
            if "".join(part[start:stop]) not in too_hot:
                continue
            rest = [*part[:start], *part[stop:]]
            felt = not cell_words().alarm["felt"].isdisjoint(part) or any(map(looks_like_position, rest))
            return felt and cell_words().nothing.isdisjoint(rest)
    return False
