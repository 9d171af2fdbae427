"""What somebody commits to before the truth is told: finding, place, how sure, next check."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.cornerwords import corner_of_word
from thermlog.words.bounds import CornerName, Share
from thermlog.words.errors import OptionError
from thermlog.words.vehicle import SIDES, corner_name, split_corner

SeenFault: TypeAlias = Literal["drag", "idle", "hub", "nothing", "cannot_tell"]
Step: TypeAlias = Literal["again", "coast", "braking", "mark", "wheel", "clear", "keep"]
FINDINGS: tuple[SeenFault, ...] = ("drag", "idle", "hub", "nothing", "cannot_tell")
PLACED: frozenset[SeenFault] = frozenset({"drag", "idle", "hub"})
# Three grades with stated numbers: the probability that what is committed to is right.
SURE: Mapping[str, float] = {"guess": 0.5, "fairly": 0.75, "sure": 0.95}
STEPS: tuple[Step, ...] = ("again", "coast", "braking", "mark", "wheel", "clear", "keep")
_SYNONYMS = {
    "cannot": "cannot_tell",
    "cannot-tell": "cannot_tell",
    "unsure": "cannot_tell",
    "none": "nothing",
}


class Commitment(Struct, frozen=True, kw_only=True):
    """What is stated about one case.

    Attributes
    ----------
    finding : {"drag", "idle", "hub", "nothing", "cannot_tell"}
        A brake drags; a brake does not work; a hub is hot by itself; nothing is wrong; it cannot be told.
    corners : tuple of str
        Where, in order; empty for "nothing" and "cannot_tell".
    p : float
        Stated probability that this is right, 0 to 1.
    next_step : Step or None
        What would be done next; None if that was not said.
    """

    finding: SeenFault
    corners: tuple[CornerName, ...] = ()
    p: Share
    next_step: Step | None = None


def grade_of(p: float) -> str | None:
    """Name of the grade with this number; None for a number of one's own."""
    return next((name for name, value in SURE.items() if value == p), None)


def places_of_word(word: str, corners: tuple[str, ...]) -> tuple[str, ...]:
    """Corners that a word of an answer names.

    Parameters
    ----------
    word : str
        A corner in any word of a log without blanks (``1L``, ``RF``), an axle (``2``), several joined by a
        plus (``1L+2R``), or ``all``.
    corners : tuple of str
        Of the vehicle.

    Raises
    ------
    OptionError
        It names none of this vehicle.

    Examples
    --------
    >>> places_of_word("2", ("1L", "1R", "2L", "2R")), places_of_word("2r+1l", ("1L", "1R", "2L", "2R"))
    (('2L', '2R'), ('1L', '2R'))
    """
    found: set[str] = set()
    for part in word.split("+"):
        axle = {corner_name(int(part), side) for side in SIDES} if part.isdecimal() and part != "0" else set()
        one = corner_of_word(part, corners) if part and not axle else None
        named = set(corners) if part.lower() == "all" else axle or ({one} if one else set())
        if not named or not named <= set(corners):
            axles = ", ".join(dict.fromkeys(str(split_corner(corner)[0]) for corner in corners))
            msg = (
                f'"{part}" is no place of this vehicle; write a corner ({", ".join(corners)}), '
                f"an axle ({axles}), several joined by + or all"
            )
            raise OptionError(msg)
        found |= named
    return tuple(corner for corner in corners if corner in found)


def commitment_of_words(text: str, corners: tuple[str, ...]) -> Commitment:
    """An answer in one line: finding, place, how sure, next check.

    Parameters
    ----------
    text : str
        Such as ``drag 1L sure wheel``, ``idle 2 0.8`` or ``cannot_tell fairly again``.
    corners : tuple of str
        Of the vehicle.

    Returns
    -------
    Commitment

    Raises
    ------
    OptionError
        A word is not known, or one is missing or too many.

    Examples
    --------
    >>> commitment_of_words("drag RF sure", ("1L", "1R", "2L", "2R")).corners
    ('1R',)
    """
    words = text.split()
    finding = _finding(words.pop(0) if words else "")
    if finding in PLACED and not words:
        msg = f'"{text}": say where after "{finding}", as in "{finding} 1L sure"'
        raise OptionError(msg)
    places = places_of_word(words.pop(0), corners) if finding in PLACED else ()
    p = _sure(words.pop(0) if words else "")
    step = _step(words.pop(0)) if words else None
    if words:
        msg = f'"{words[0]}" is too much; an answer is: finding, place, how sure, next check'
        raise OptionError(msg)
    return Commitment(finding=finding, corners=places, p=p, next_step=step)


def _finding(word: str) -> SeenFault:
    plain = _SYNONYMS.get(word.lower(), word.lower())
    for one in FINDINGS:
        if plain == one:
            return one
    msg = f'"{word}" is no finding; write {", ".join(FINDINGS)}'
    raise OptionError(msg)


def _sure(word: str) -> float:
    if word.lower() in SURE:
        return SURE[word.lower()]
    try:
        p = float(word.replace(",", "."))
    except ValueError:
        p = -1.0
    if not 0.0 <= p <= 1.0:
        grades = ", ".join(f"{name} ({value:g})" for name, value in SURE.items())
        msg = f'"{word}" tells not how sure; write {grades} or a probability from 0 to 1'
        raise OptionError(msg)
    return p


def _step(word: str) -> Step:
    for one in STEPS:
        if word.lower() == one:
            return one
    msg = f'"{word}" is no next check; write {", ".join(STEPS)}'
    raise OptionError(msg)
