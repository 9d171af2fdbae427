"""One comment taken apart: a key that thermlog knows and what is said of it.

``air: 14 C``, ``air 14 C``, ``14 C outside``; ``parked: 10:02``, ``parked at 10:02``, ``10:02 parked``;
``date 2031-05-04``; ``start 10:00``.
"""

from __future__ import annotations

from functools import lru_cache

from msgspec import Struct

from thermlog.reading.cells import tidy, unit_word
from thermlog.reading.headings import plain_words, without_accents
from thermlog.reading.remarks.measures import is_other_quantity
from thermlog.reading.vocabulary import KEY_WORDS, KEYS, Key
from thermlog.words.regular import regular
from thermlog.words.units import Unit

_PAIR = regular(
    r"\s*(?P<key>[^:=]{2,40}?)\s*(?:\((?P<unit>[^)]*)\)|\[(?P<unit2>[^\]]*)\])?\s*[:=]\s*(?P<value>.+)"
)
_BARE_KEYS: tuple[Key, ...] = ("ambient", "parked")
BARE_WORDS = "|".join(
    sorted("|".join(KEY_WORDS[key] for key in _BARE_KEYS).split("|"), key=len, reverse=True)
)
BESIDE_KEY = (
    r"temp(?:erature)?|is|was|at|about|ca|approx|um|a|alle"  # between word and value, and says nothing
)
_BARE = regular(
    rf"(?P<key>{BARE_WORDS}) (?:(?:{BESIDE_KEY})\.? )*"
    r"(?P<value>[-+~]?[0-9].*)"
)
# The value first: "14 C outside", "10:02 parked". Words for a stop are not among them: it may be on the way.
_PARKED_AFTER = (
    "parked|geparkt|abgestellt|stationne|estacionado|parcheggiato|geparkeerd|zaparkowano|zaparkovano"
)
DATE_WORDS = "date|datum|fecha|dato"  # with which a date needs no mark; other words mean more
_DATED = regular(
    rf"(?P<key>{DATE_WORDS}) "
    r"(?P<value>[0-9]{1,4}[-./][0-9]{1,2}[-./][0-9]{1,4}|[0-9]{1,2}\.? [a-z]{3,} [0-9]{4})"
)
_CLOCK = r"[0-9]{1,2}[:.][0-9]{2}(?:[:.][0-9]{2})?(?: ?[ap]\.?m\.?)?"
# When the walk began; "begin" and the like may begin anything, and "time" may be that of any reading.
START_WORDS = "start|started|start time|started at|beginn|debut|inicio|inizio"
_STARTED = regular(rf"(?P<key>{START_WORDS}) (?:um )?(?P<value>{_CLOCK})")
_FIRST_WORDS = frozenset(
    words.split()[0] for words in f"{BARE_WORDS}|{DATE_WORDS}|{START_WORDS}".split("|")
)  # what begins with none of them need not be held against the whole lists
_AFTER = regular(
    r"(?P<air>[-+~]?[0-9]+(?:[.,][0-9]+)? ?(?:[°º]|deg(?:rees)?)? ?(?:c|f|k|celsius|fahrenheit|kelvin)) "
    rf"(?:in the )?(?P<key>{KEY_WORDS['ambient']})|"
    rf"(?P<time>{_CLOCK}) (?P<key2>{_PARKED_AFTER})"
)
_FIGURE_AHEAD = frozenset("-+~0123456789")  # what that may begin with


class Pair(Struct, frozen=True, kw_only=True):
    """A comment taken apart; `key` is None if thermlog knows no such key."""

    key: Key | None
    name: str
    text: str
    unit: Unit | None


@lru_cache(maxsize=4096)
def pair_in(comment: str) -> Pair | None:
    """Key and value of a comment; None if it reads like none.

    Examples
    --------
    >>> [pair.text for pair in map(pair_in, ("air: 14 C", "14 °C outside", "10:02 parked")) if pair]
    ['14 C', '14 °c', '10:02']
    """
    pair = _PAIR.fullmatch(comment)
    if pair is None or _key_of(pair["key"])[0] is None:
        plain = plain_blanks(comment)
        if plain.partition(" ")[0] in _FIRST_WORDS:
            bare = _BARE.fullmatch(plain)
            if bare and is_other_quantity(bare["value"]):
                return None  # "parked 5 m from the wall", "air 8 bar"
            if bare := bare or _DATED.fullmatch(plain) or _STARTED.fullmatch(plain):
                return _bare_pair(bare["key"], bare["value"])
        elif plain[:1] in _FIGURE_AHEAD and (after := _AFTER.fullmatch(plain)):
            return _bare_pair(after["key"] or after["key2"], after["air"] or after["time"])
    if pair is None:
        return None
    key, unit = _key_of(pair["key"])
    unit = unit_word(pair["unit"] or pair["unit2"] or "") or unit
    return Pair(key=key, name=pair["key"], text=tidy(pair["value"]).strip("\",;\t '"), unit=unit)


def _bare_pair(word: str, value: str) -> Pair:
    return Pair(key=KEYS[word], name=word, text=value.lstrip("~"), unit=None)


def is_dated(text: str) -> bool:
    """True for a date behind its word, without a mark between."""
    return _DATED.fullmatch(plain_blanks(text)) is not None


def is_started(text: str) -> bool:
    """True for the moment of a walk behind its word, without a mark between."""
    return _STARTED.fullmatch(plain_blanks(text)) is not None


def plain_blanks(text: str) -> str:
    """Lower case without accents and with single blanks, but with its marks."""
    return " ".join(without_accents(tidy(text).lower()).split())


def _key_of(text: str) -> tuple[Key | None, Unit | None]:
    words = plain_words(text)
    if words in KEYS:
        return KEYS[words], None
    head, _, last = words.rpartition(" ")
    unit = unit_word(last)
    return (KEYS.get(head.removesuffix(" deg")), unit) if unit else (None, None)
