"""A vehicle described in a few words before the walk, by the words that a log may have for it."""

from __future__ import annotations

from thermlog.reading.description import describe, unreadable
from thermlog.reading.files.comments import Comment
from thermlog.reading.statements import read_statements, unused_words
from thermlog.words.errors import WalkError
from thermlog.words.vehicle import Vehicle, default_vehicle

MOST_AXLES = 13  # one letter a wheel reaches so far


def described_vehicle(*, axles: str, brakes: str = "", weight: str = "") -> Vehicle:
    """The vehicle.

    Parameters
    ----------
    axles : str
        How many, or their roles from the front: ``2``, ``steer drive drive trailer``.
    brakes : str
        ``disc`` or ``drum``, one word or one an axle; empty: not said.
    weight : str
        ``light`` or ``heavy``; empty: not said.

    Raises
    ------
    WalkError
        A word says nothing known, or there are more axles than letters for their wheels.

    Examples
    --------
    >>> found = described_vehicle(axles="3", brakes="drum", weight="heavy")
    >>> [axle.role for axle in found.axles], found.weight_class, found.stated
    (['steer', 'axle', 'axle'], 'heavy', True)
    """
    if axles.isascii() and axles.isdigit():
        count = int(axles)
        roles = " ".join(axle.role for axle in default_vehicle(max(min(count, MOST_AXLES), 1)).axles)
    else:
        roles, count = axles, len(axles.split())
    if not 1 <= count <= MOST_AXLES:
        msg = f'"{axles}" axles cannot be entered; write 1 to {MOST_AXLES}, or their roles from the front'
        raise WalkError(msg)
    said = [("axles", roles), ("brakes", brakes), ("weight", weight)]
    comments = (Comment(line=k, text=f"{key}: {text}") for k, (key, text) in enumerate(said) if text)
    statements = read_statements(comments, file="")
    for unread, fault in unreadable(statements, axle_count=count).values():
        raise WalkError(unused_words(unread, fault))
    found = describe(statements, axle_count=count, drum=False, file="")
    return found if found is not None and (brakes or weight) else default_vehicle(count)
