"""Comments that state one thing in the plainest form, and so say nothing of a brake beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.remarks.sights import places_told, told_sights
from thermlog.reading.vocabulary import DRIVES_BY_WORD, KEYS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from thermlog.reading.vocabulary import Key

MADE_UP = frozenset({"simulated", "scenario"})  # of a log that nobody took: it tells what was simulated
_LONGEST = 6  # signs of a figure
# What an axle or a vehicle is, and never how it is.
_WORDS = frozenset({"axle", "disc", "drive", "drum", "heavy", "light", "steer", "trailer"})
_HEARD = "brake split"  # the one key that is heard as words of a brake: "brake ... rear"
_SPLITS = frozenset({"diagonal", "front rear"})


def says_no_more(text: str) -> bool:
    """True for a kind of drive in one word, air, a number, a name, a bare description, or what was made up.

    What is made up still tells what it says was seen, and words beside a name may name a wheel.
    `beheld.told_apart` would find nothing in any of these.

    Examples
    --------
    >>> [says_no_more(text) for text in ("drive: normal", "ambient: 18.0 C", "seed: 101", "simulated: drag")]
    [True, True, True, True]
    >>> [says_no_more(text) for text in ("drive: 100 m", "air 18 C", "weather: hot", "simulated: smoke")]
    [False, False, False, False]
    >>> says_no_more("vehicle: delivery van 12"), says_no_more("vehicle: van 12 RR hot")
    (True, False)
    """
    key, _, said = text.lower().partition(": ")
    if key in MADE_UP:
        return bool(said) and not told_sights(text)
    rule = None if key == _HEARD else _PLAIN.get(KEYS.get(key))
    return rule is not None and rule(said)


def _is_name(said: str) -> bool:
    plain = all(word.replace("-", "").isalnum() for word in said.split())
    return plain and not (told_sights(said) or places_told(said))


def _is_drive(said: str) -> bool:
    """True for one word; "no braking" is not of the drive alone."""
    return said in DRIVES_BY_WORD and " " not in said


def _is_figure(said: str) -> bool:
    return len(said) <= _LONGEST and said.replace(".", "", 1).isdecimal()


def _is_described(said: str) -> bool:
    return _WORDS.issuperset(said.split())


_PLAIN: Mapping[Key | None, Callable[[str], bool]] = {
    "vehicle": _is_name,
    "drive": _is_drive,
    "ambient": lambda said: _is_figure(said.rstrip("cfk").rstrip().removeprefix("-")),
    "label": str.isdecimal,
    "axles": _is_described,
    "brakes": _is_described,
    "weight": _is_described,
    "split": _SPLITS.__contains__,
    "parking_brake": str.isdecimal,
    "tyre_radius": lambda said: _is_figure(said.removesuffix(" m")),
}
