"""Remarks told wholly in known words: that a wheel was passed over, the gun died, the vehicle was towed in.

A word that no list has leaves a remark alone, so that "rears from last month" is heard, and "rear tyres from
last month" is not.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.words.bundled import bundled
from thermlog.words.regular import regular

WholeMeaning: TypeAlias = Literal["reading", "spot", "alarm", "felt_hot"]

_PARTS = regular(r"[,;!|]|(?<!\b[Nn]o)\.|\s-\s|\b(?:but|aber|mais|pero|ma)\b")
DRAWN_BEHIND = "drawn_behind"  # the list of words by which another vehicle is drawn
_PLACES = {"place", "wheel"}  # lists beside which a wheel counts that is named
_WHEEL = "a wheel"
_TABLE = Path(__file__).with_name("wholewords.toml")
_LONGEST = 5  # tokens of the longest words of the table
_MOST = 14  # tokens of a part that is looked at


class _Rule(Struct, frozen=True, kw_only=True):
    """What a part says that has a word of each of `needs`, and none but words of `known`."""

    means: WholeMeaning
    needs: tuple[frozenset[str], ...]
    placed: tuple[bool, ...]
    known: frozenset[str]
    wheels: bool
    at_wheel: bool


@lru_cache(maxsize=1)
def _rules() -> Mapping[WholeMeaning, Sequence[_Rule]]:
    raw = bundled(_TABLE)
    found: dict[WholeMeaning, list[_Rule]] = {}
    for told in raw["told"]:
        needs = tuple(map(_words_of, told["needs"]))
        placed = tuple(not _PLACES.isdisjoint(names.split()) for names in told["needs"])
        known = frozenset().union(_words_of(told["beside"]), *needs)
        wheels = any(placed) or "place" in told["beside"].split()
        rule = _Rule(
            means=told["means"],
            needs=needs,
            placed=placed,
            known=known,
            wheels=wheels,
            at_wheel=told.get("at_wheel", False),
        )
        found.setdefault(rule.means, []).append(rule)
    return found


@lru_cache(maxsize=1)
def _lists() -> Mapping[str, frozenset[str]]:
    raw = bundled(_TABLE)
    own = {name: frozenset(words) for name, words in raw.items() if name not in {"schema", "told"}}
    return own | {f"alarm_{name}": words for name, words in cell_words().alarm.items()}


def _words_of(names: str) -> frozenset[str]:
    return frozenset().union(*(_lists()[name] for name in names.split()))


def wholly_told(text: str, means: WholeMeaning, *, at_wheel: bool = False) -> bool:
    """True where a part of a remark says so and nothing else.

    Parameters
    ----------
    text : str
    means : {"reading", "spot", "alarm", "felt_hot"}
        What was read is not of these brakes today; the gun saw another part; the vehicle is not as a drive
        left it, or something is amiss; a hand felt heat at a wheel.
    at_wheel : bool
        It stands beside one wheel, and need not name one.

    Examples
    --------
    >>> wholly_told("rears from last month", "reading"), wholly_told("rear tyres from last month", "reading")
    (True, False)
    >>> [wholly_told(text, "alarm") for text in ("parked since morning", "driven since morning")]
    [True, False]
    """
    return any(says_wholly(tokens_of(part), means, at_wheel=at_wheel) for part in _PARTS.split(text))


def made_of(text: str, *lists: str) -> bool:
    """True for a text of figures and words of some lists alone.

    Examples
    --------
    >>> made_of("three-axle lorry", "axles", "count", "vehicle"), made_of("next: 6 axles", "axles", "count")
    (True, False)
    """
    known = _lists()
    left = [one for one in tokens_of(text) if not (one[0].isdigit() or any(one in known[k] for k in lists))]
    return not left


def says_wholly(part: Sequence[str], means: WholeMeaning, *, at_wheel: bool) -> bool:
    """True where the tokens of a part say so and nothing else."""
    return _says(tuple(part), means, at_wheel=at_wheel) if part and len(part) <= _MOST else False


@lru_cache(maxsize=4096)
def _says(part: tuple[str, ...], means: WholeMeaning, *, at_wheel: bool) -> bool:
    return any(_holds(rule, part, at_wheel=at_wheel) for rule in _rules()[means])


def _holds(rule: _Rule, part: Sequence[str], *, at_wheel: bool) -> bool:
    said: set[str] = set()
    rest = tuple(part)
    while rest:
        word, taken = _first_of(rest, rule)
        if not taken:
            return False
        said.add(word)
        rest = rest[taken:]
    named = (at_wheel and rule.at_wheel) or _WHEEL in said
    met = (not need.isdisjoint(said) for need in rule.needs)
    return all(one or (placed and named) for one, placed in zip(met, rule.placed, strict=True))


def _first_of(rest: Sequence[str], rule: _Rule) -> tuple[str, int]:
    """The longest word of a rule that tokens begin with, a wheel or a figure, and how many tokens it has."""
    runs = [rest[:length] for length in range(min(_LONGEST, len(rest)), 0, -1)]
    for run in runs:
        if (word := "".join(run)) in rule.known:
            return word, len(run)
    wheels = (run for run in runs if rule.wheels and rule.known.isdisjoint(run[1:]))
    wheel = next((run for run in wheels if looks_like_position(" ".join(run))), ())
    return (_WHEEL, len(wheel)) if wheel else ("", int(rest[0].isdigit()))
