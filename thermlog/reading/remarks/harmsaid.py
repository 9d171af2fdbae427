"""Remarks that tell harm of a wheel, a brake, a reading or the drive by one word, in a sentence of any shape.

Other rules know whole sayings, and what they mean. Here one word of harm beside one word for what is meant is
enough, unless it is denied or mended; and so is a "not" that denies nothing known to be bad.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reading.cellwords import cell_words, runs_of
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.remarks.alarms import is_mended
from thermlog.reading.remarks.sights import places_told
from thermlog.words.bundled import bundled
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

_PARTS = regular(r"[,;!|()]|(?<!\b[Nn]o)\.(?!\d)|\s-\s|\b(?:but|aber|mais|pero|ma)\b")
_LONGEST = 5  # tokens of the longest words of the table
_SHORT = 2  # letters of words for a wheel that are also everyday words: "as", "de"
_DENIES = 4  # tokens from "no" to what it denies
_CARRIED = 3  # tokens from "on" to what carries: "on the back of"
# Lists of `cellwords.toml`: parts of a wheel end, what is bad and may be denied, what is of other things.
_PARTS_NAMED = ("undone_part", "held_by", "stuck_part", "worn_part", "worn_disc")
_BAD = (
    "stuck",
    "binds",
    "loose",
    "amiss",
    "condemned",
    "undone",
    "cracked",
    "wet",
    "worn_due",
    "side_hotter",
)
_ELSEWHERE = ("elsewhere", "not_of_brake", "fastener")


class _Words(Struct, frozen=True, kw_only=True):
    """Words by what they do in a remark.

    `of_part` harms beside one of `parts`, `of_reading` beside one of `readings`, `of_vehicle` anywhere but
    before one of `own_load`, one of `carriers` behind one of `carried_by`;
    `not_so` denies, and is harmless beside one of `bad`; what a brake cannot do without is `needed`.
    """

    parts: frozenset[str]
    readings: frozenset[str]
    of_part: frozenset[str]
    of_reading: frozenset[str]
    of_vehicle: frozenset[str]
    carriers: frozenset[str]
    carried_by: frozenset[str]
    own_load: frozenset[str]
    not_so: frozenset[str]
    needed: frozenset[str]
    lacks: frozenset[str]
    bad: frozenset[str]
    aside: frozenset[str]
    ahead: frozenset[str]
    firm: frozenset[str]


@lru_cache(maxsize=1)
def _words() -> _Words:
    raw = bundled(Path(__file__).with_name("harmwords.toml"))
    own = {name: frozenset(words.split()) for name, words in raw.items() if name != "schema"}
    table, alarm = cell_words(), cell_words().alarm
    parts = own["parts"].union(*(alarm[name] for name in _PARTS_NAMED))
    aside = own["aside"].union(*(alarm[name] for name in _ELSEWHERE))
    bad = own["well_denied"].union(table.deniable, table.seen, own["of_part"])
    whole = own | {
        "parts": parts,
        "bad": bad.union(*(alarm[name] for name in _BAD)),
        "aside": aside,
        "ahead": own["ahead"].union(alarm["hereafter"], alarm["ahead"]),
        "firm": parts - aside - own["beside_aside"],
    }
    return _Words(**{name: whole[name] for name in _Words.__struct_fields__})


def harm_said(text: str, *, at_wheel: bool = False) -> bool:
    """True for a remark with a word of harm, or a denial, about a wheel, its brake, a reading or the drive.

    Parameters
    ----------
    text : str
    at_wheel : bool
        It stands beside one wheel, and need not name one.

    Examples
    --------
    >>> [harm_said(text) for text in ("RR growls", "the rest invented", "towed the last stretch home")]
    [True, True, True]
    >>> [harm_said(text) for text in ("radio growls", "RR does not growl", "RR growled, bearing replaced")]
    [False, False, False]
    >>> harm_said("pads not touching"), harm_said("wheels not wet"), harm_said("office not open")
    (True, False, False)
    >>> harm_said("home on a flatbed"), harm_said("flatbed with crane"), harm_said("towed trailer weight 2 t")
    (True, False, False)
    """
    parts = [_without_harmless(tokens_of(part)) for part in _PARTS.split(text)]
    if any(map(is_mended, parts)):
        return False
    wheel = at_wheel or any(len(one) > _SHORT or one.isupper() for one in places_told(text))
    said = frozenset(token for tokens in parts for token in tokens)
    brake, reading = wheel or not _words().parts.isdisjoint(said), not _words().readings.isdisjoint(said)
    return any(_harms(tokens, brake=brake, reading=reading) for tokens in parts)


def _harms(tokens: Sequence[str], *, brake: bool, reading: bool) -> bool:
    words = _words()
    if not words.aside.isdisjoint(tokens) and words.firm.isdisjoint(tokens):
        return False
    if words.ahead.isdisjoint(tokens) and _was_moved(tokens):
        return True
    if not brake and not reading:
        return False
    if (brake and any(_undenied(tokens, words.of_part))) or any(_undenied(tokens, words.of_reading)):
        return True
    return _denies_no_harm(tokens)


def _was_moved(tokens: Sequence[str]) -> bool:
    """True where something else moved the vehicle; what it pulls itself, or carries, does not count."""
    words = _words()
    pulled = (
        words.own_load.isdisjoint(tokens[stop : stop + 1]) for _, stop in _undenied(tokens, words.of_vehicle)
    )
    befores = (tokens[max(start - _CARRIED, 0) : start] for start, _ in _undenied(tokens, words.carriers))
    return any(pulled) or any(not words.carried_by.isdisjoint(before) for before in befores)


def _undenied(tokens: Sequence[str], harm: Collection[str]) -> Iterator[tuple[int, int]]:
    """Where a word of harm starts and ends, no denial close before it and no "nicht" right behind it."""
    nothing, behind = cell_words().nothing, cell_words().bare_not
    for start, stop, word in runs_of(tokens, _LONGEST):
        denied = not nothing.isdisjoint(tokens[max(start - _DENIES, 0) : start])
        if word in harm and not denied and behind.isdisjoint(tokens[stop : stop + 1]):
            yield start, stop


def _without_harmless(tokens: Sequence[str]) -> list[str]:
    """The tokens that are no part of a saying known to mean no harm: "grinding disc"."""
    known = [range(a, b) for a, b, word in runs_of(tokens, _LONGEST) if word in cell_words().harmless]
    return [token for k, token in enumerate(tokens) if not any(k in one for one in known)]


def _denies_no_harm(tokens: Sequence[str]) -> bool:
    """True for "does not come back" and "makes no heat": nothing bad, or fine to lack, stands beside it."""
    words, found = _words(), [*runs_of(tokens, _LONGEST)]
    bad = [start for start, _, word in found if word in words.bad]
    denied = [(start, stop) for start, stop, word in found if word in words.not_so]
    if any(all(not start - _DENIES < one < stop + _DENIES for one in bad) for start, stop in denied):
        return True
    lacking = [stop for _, stop, word in found if word in words.lacks]
    behind = (tokens[stop : stop + 2] for stop in lacking if stop < len(tokens))
    return any(needed in words.needed and words.bad.isdisjoint(rest) for needed, *rest in behind)
