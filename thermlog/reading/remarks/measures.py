"""What a remark states by a figure and its unit: how far, how late, after how long a drive, a flat tyre."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.cellwords import cell_words, within
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.words.bundled import bundled
from thermlog.words.estimates import median
from thermlog.words.regular import regular

_Quantity: TypeAlias = Literal["metres", "hours", "bar"]
_QUANTITIES: tuple[_Quantity, ...] = ("metres", "hours", "bar")

_PARTS = regular(r"[;!|]|[,.](?!\d)|\s-\s|\b(?:and|but|und|aber|et|mais|y|pero|e|ma)\b", re.IGNORECASE)
# A figure, with its unit behind it or in a word of its own; tokens know no decimal mark.
_FIGURE = regular(r"(?<![\w.,])(\d+)[.,](\d+)(?![\d.,])")
_JOINED = regular(r"(?<![^\W\d_])(\d+(?:POINT\d+)?)([A-Z]+)")
_CLOCK = regular(r"(?<!\d)(\d{1,2}):(\d\d)\s?(?=h\b|hrs?\b|hours?\b|std\b|stunden\b)", re.IGNORECASE)
_PLAIN = regular(r"\d+(?:\.\d+)?")
_QUANTITY = regular(r"(?<![\w.,])(\d+(?:[.,]\d+)?)\s?([^\W\d_]+)\b")
_POINT = "POINT"
# From there a gun of 12:1 sees more beside the face of a disc than of it, see correcting/metal.py.
_FARTHEST_M = 1.8
# The later of the two limits of the policies: own judgement, common practice, no source.
_LATEST_H = 1.0
# Below these no brake warms as on the road: own judgement, common practice, no source.
_SHORTEST_DRIVE: Mapping[_Quantity, float] = {"metres": 1000.0, "hours": 2.5 / 60.0}
# Less is a flat tyre on any road vehicle, and so is less than this part of all others: own judgement.
_FLAT_BAR, _FLAT_PART = 1.0, 0.5
_FEWEST_PRESSURES = 4
_FLAT = "flat tyre"


class _Words(Struct, frozen=True, kw_only=True):
    number: Mapping[str, float]
    units: Mapping[str, tuple[_Quantity, float]]
    words: Mapping[str, frozenset[str]]


class _Measure(Struct, frozen=True, kw_only=True):
    """A figure with its unit among the tokens of a part, from `start` to before `stop`."""

    quantity: _Quantity
    value: float
    start: int
    stop: int


@lru_cache(maxsize=1)
def _words() -> _Words:
    raw = bundled(Path(__file__).with_name("measurewords.toml"))
    return _Words(
        number={word: float(value) for value, words in raw["number"].items() for word in words},
        units={
            word: (quantity, float(factor))
            for quantity in _QUANTITIES
            for factor, words in raw[quantity].items()
            for word in words
        },
        words={name: frozenset(words) for name, words in raw["words"].items()},
    )


@lru_cache(maxsize=4096)
def without_quantities(text: str) -> str:
    """The text without figures that have a unit of length, time, pressure or the like behind them.

    Examples
    --------
    >>> without_quantities("test drive 20 min, 10 stops"), without_quantities("LF 84 C")
    ('test drive min, stops', 'LF 84 C')
    """
    return _QUANTITY.sub(_without_figure, text)


def _without_figure(found: re.Match[str]) -> str:
    known = found[2].upper() in _words().units or found[2].upper() in cell_words().alarm["unit"]
    return found[2] if known and not looks_like_position(found[2]) else found[0]


def is_other_quantity(text: str) -> bool:
    """True for a text that begins with a length, a pressure, or a time that is told with more words.

    Examples
    --------
    >>> [is_other_quantity(text) for text in ("5 m from the wall", "8 bar", "3 h ago", "30 s", "10:02 yard")]
    [True, True, True, False, False]
    """
    found = _QUANTITY.match(text)
    kind, _ = _words().units.get(found[2].upper(), (None, 0.0)) if found else (None, 0.0)
    return kind in {"metres", "bar"} or (kind == "hours" and bool(found and text[found.end() :].strip()))


@lru_cache(maxsize=4096)
def is_from_afar(text: str, *, at_wheel: bool = False) -> bool:
    """True where the gun is said to have been so far away that it saw more than the brake.

    Examples
    --------
    >>> is_from_afar("read from 5 m away"), is_from_afar("read from 0.5 m"), is_from_afar("parked 5 m away")
    (True, False, False)
    >>> is_from_afar("from 4 metres"), is_from_afar("from 4 metres", at_wheel=True)
    (False, True)
    """
    words = _words().words
    for part in _tokens_of_parts(text):
        if not words["no_aim"].isdisjoint(part):
            continue
        for one in _measures(part, "metres"):
            rest = [*part[: one.start], *part[one.stop :]]
            aimed = not words["read"].isdisjoint(part) or (at_wheel and _says_no_more(rest))
            stated = not words["afar"].isdisjoint(rest) and (words["afar"] | words["near"]).issuperset(rest)
            if one.value >= _FARTHEST_M and (stated or (aimed and _stands_off(part, one))):
                return True
    return False


def _stands_off(part: Sequence[str], one: _Measure) -> bool:
    """True where a length is how far away something was: "from 5 m", "5 m away"."""
    words = _words().words
    before = [token for token in part[: one.start] if token not in words["about"]]
    away = any(within(part, words["behind_length"]))
    return away or (bool(before) and before[-1] in words["before_length"])


def _says_no_more(rest: Sequence[str]) -> bool:
    words = _words().words
    fill = words["before_length"] | words["behind_length"] | words["about"]
    return all(token in fill or looks_like_position(token) for token in rest)


@lru_cache(maxsize=4096)
def is_long_wait(text: str) -> bool:
    """True where the brakes are said to have stood for an hour or more before they were read.

    Examples
    --------
    >>> [is_long_wait(text) for text in ("read after 2 h standing", "nach 90 min Stand gemessen")]
    [True, True]
    >>> [is_long_wait(text) for text in ("2 days after the drive", "read at once after 2 h drive")]
    [True, False]
    >>> [is_long_wait(text) for text in ("stood 2 h before the drive", "read after 10 min", "drove 2 h")]
    [False, False, False]
    """
    return any(_is_late(part) for part in _tokens_of_parts(text))


def _is_late(part: Sequence[str]) -> bool:
    words = _words().words
    long = [one for one in _measures(part, "hours") if one.value >= _LATEST_H]
    if any(_after_drive(part[one.stop :]) for one in long):
        return True
    if not words["no_wait"].isdisjoint(part):
        return False
    first = next((k for k, token in enumerate(part) if token in words["before"]), len(part))
    if first < len(part) and words["read"].isdisjoint(part[first:]):
        return False
    read_after = not words["read"].isdisjoint(part) and not words["after"].isdisjoint(part)
    return bool(long) and (read_after or not words["stood"].isdisjoint(part))


def _after_drive(behind: Sequence[str]) -> bool:
    """True for "after the drive" behind a time: it was waited for so long, and not driven."""
    words = _words().words
    if not behind or behind[0] not in words["after"]:
        return False
    rest = [token for token in behind[1:] if token not in words["beside_drive"]]
    return bool(rest) and rest[0] in words["drive"]


@lru_cache(maxsize=4096)
def is_short_drive(text: str) -> bool:
    """True for "drive: 100 m" and "drove for one minute": what was read is not the heat of that drive.

    Examples
    --------
    >>> is_short_drive("drive: 100 m"), is_short_drive("drove only 200 yards"), is_short_drive("2 min drive")
    (True, True, True)
    >>> is_short_drive("drive 12 km"), is_short_drive("read 30 s after the drive")
    (False, False)
    """
    for part in _tokens_of_parts(text):
        found = [*_measures(part, "metres")] or [*_measures(part, "hours")]
        short = bool(found) and all(one.value < _SHORTEST_DRIVE[one.quantity] for one in found)
        if short and any(_is_of_drive(part, one) for one in found):
            return True
    return False


def _is_of_drive(part: Sequence[str], one: _Measure) -> bool:
    """True where nothing but fill stands between a figure and a word for a drive."""
    words = _words().words
    fill = words["beside_drive"] | words["about"]
    before = [token for token in part[: one.start] if token not in fill]
    behind = [token for token in part[one.stop :] if token not in fill]
    if before and before[-1] in words["drive"]:
        return before[-2:-1] == [] or before[-2] not in words["after"]
    return bool(behind) and behind[0] in words["drive"]


@lru_cache(maxsize=4096)
def with_flat_tyres(text: str) -> str:
    """The text with the words of a flat tyre behind a pressure that is none: "tyre psi 0".

    Examples
    --------
    >>> with_flat_tyres("RR tyre 0.3 bar"), with_flat_tyres("tyres 2.4 bar")
    ('RR tyre 0.3 bar flat tyre', 'tyres 2.4 bar')
    >>> with_flat_tyres("tyre 0.2 bar low")
    'tyre 0.2 bar low'
    """
    if not any(map(str.isdigit, text)) or not any(map(_is_flat, _tokens_of_parts(text))):
        return text
    return f"{text.rstrip(' .:=')} {_FLAT}"


def _is_flat(part: Sequence[str]) -> bool:
    words = _words().words
    if not words["change"].isdisjoint(part):
        return False
    for one in _measures(part, "bar"):
        rest = [*part[: one.start], *part[one.stop :]]
        named = not words["tyre"].isdisjoint(part) or all(map(looks_like_position, rest))
        if named and one.value < _FLAT_BAR:
            return True
    return False


def flat_told(heading: str, cells: Sequence[str]) -> dict[str, str]:
    """What cells of a column of tyre pressures say of a flat tyre, cell by cell.

    Examples
    --------
    >>> flat_told("tyre psi", ["36", "35", "0", "36"])
    {'0': 'tyre psi 0, flat tyre'}
    >>> flat_told("tyre pressure", ["2.4", "2.4", "2.2", "1.0"]), flat_told("tyre temp", ["30", "0"])
    ({'1.0': 'tyre pressure 1.0, flat tyre'}, {})
    """
    tokens, words = tokens_of(heading), _words().words
    known = [_words().units[token] for token in tokens if token in _words().units]
    units = [factor for quantity, factor in known if quantity == "bar"]
    if (words["tyre"] | words["wheel"]).isdisjoint(tokens) or not (
        units or not words["pressure"].isdisjoint(tokens)
    ):
        return {}
    told = {cell: value for cell in cells if (value := _figure_of(cell)) is not None}
    if not told:
        return {}
    least = _FLAT_BAR / units[0] if units else 0.0
    if sum(cell in told for cell in cells) >= _FEWEST_PRESSURES:
        least = max(least, _FLAT_PART * median([told[cell] for cell in cells if cell in told]))
    flat = (cell for cell, value in told.items() if value < least or value == 0)
    return {cell: f"{heading} {cell.strip()}, {_FLAT}" for cell in flat}


def _figure_of(cell: str) -> float | None:
    try:
        return float(cell.strip().replace(",", "."))
    except ValueError:
        return None


def _tokens_of_parts(text: str) -> Iterator[list[str]]:
    """Tokens of each part of a text that holds a figure; a figure and its unit are two."""
    for part in _PARTS.split(_CLOCK.sub(_in_hours, text)):
        tokens = tokens_of(_FIGURE.sub(rf"\1{_POINT}\2", part))
        yield [one for token in tokens for one in _unjoined(token)]


def _in_hours(found: re.Match[str]) -> str:
    return f"{int(found[1]) + int(found[2]) / 60.0:.2f} "


def _unjoined(token: str) -> Iterator[str]:
    found = _JOINED.fullmatch(token)
    if found is not None and found[2] in _words().units:
        yield from found.groups()
    else:
        yield token


def _measures(part: Sequence[str], quantity: _Quantity) -> Iterator[_Measure]:
    """Figures of a part with a unit of one kind behind them, or before a pressure: "psi 0"."""
    units = _words().units
    for k, token in enumerate(part):
        kind, factor = units.get(token, (None, 0.0))
        if kind != quantity:
            continue
        before = _value(part[k - 1]) if k else None
        if before is not None:
            yield _Measure(quantity=quantity, value=before * factor, start=k - 1, stop=k + 1)
        elif quantity == "bar" and k + 1 < len(part) and (behind := _value(part[k + 1])) is not None:
            yield _Measure(quantity=quantity, value=behind * factor, start=k, stop=k + 2)


def _value(token: str) -> float | None:
    """The number of a figure, or of a word for it."""
    if token in _words().number:
        return _words().number[token]
    figure = token.replace(_POINT, ".")
    return float(figure) if figure[:1].isdigit() and _PLAIN.fullmatch(figure) else None
