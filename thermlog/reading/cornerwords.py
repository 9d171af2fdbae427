"""A word for a corner or an axle, as a log would have it, to the canonical codes that it names."""

from __future__ import annotations

from collections.abc import Collection

from thermlog.reading.positions.resolve import PositionRules, resolve_positions
from thermlog.reading.positions.words import take_spot, tokens_of
from thermlog.words.vehicle import Spot, corner_name

_SIDES = ("left", "right")
_NO_WHEEL = {"unknown", "ambiguous"}
_PLACES = PositionRules(traffic_side="right", driver_side="left", axle_count="combined")


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


def place_word(word: str) -> tuple[str, Spot | None] | None:
    """The words of a wheel or an axle, and of a spot; None where no log could have them.

    Examples
    --------
    >>> place_word("hinten links"), place_word("rear drum"), place_word("door")
    (('hinten links', None), ('rear', 'drum'), None)
    """
    spot, rest = take_spot(tokens_of(word), wheel_is_spot=False)
    plain = " ".join(rest).lower() if spot else word.strip()
    texts = [plain, *_both_sides(plain)]
    found = resolve_positions(texts, _PLACES)
    known = any(text in found.known or found.problems[text].code not in _NO_WHEEL for text in texts)
    return (plain, spot) if known else None


def _both_sides(word: str) -> list[str]:
    return [f"{word} {side}" for side in _SIDES]


def corners_of_word(
    word: str, *, texts: Collection[str], corners: Collection[str], rules: PositionRules
) -> tuple[tuple[str, ...], str]:
    """Corners that a word names in one log: two for an axle.

    Parameters
    ----------
    word : str
        As `place_word` gives it.
    texts : collection of str
        Position words of the log: "HL" is hinten links beside "VR".
    corners : collection of str
        Canonical corners of it.
    rules : PositionRules
        Of the log and the user.

    Returns
    -------
    tuple of str
        Empty where the word may mean several.
    str
        Why, and the cure; empty where corners are named.

    Examples
    --------
    >>> log = {"texts": ["VL", "HR"], "corners": ["1L", "2R"], "rules": PositionRules()}
    >>> corners_of_word("HL", **log), corners_of_word("rear", **log)
    ((('2L',), ''), (('2L', '2R'), ''))
    """
    for beside in (texts, corners):
        for asked in ([word], _both_sides(word)):
            found = resolve_positions([*beside, *asked], rules).known
            if all(text in found for text in asked):
                return tuple(corner_name(found[text].axle, found[text].side) for text in asked), ""
    both = _both_sides(word)
    problems = resolve_positions([*corners, word, *both], rules).problems
    sides = [problems[text] for text in both if text in problems and problems[text].code != "unknown"]
    return (), (sides[0] if sides else problems[word]).problem
