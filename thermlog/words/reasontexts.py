"""Sentences of reasons: the only place where a code becomes words. The patterns stand in `reasonpatterns`."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache, partial
from string import Formatter
from typing import TypeAlias

from thermlog.words.reasonpatterns import TEXTS
from thermlog.words.reasons import Reason
from thermlog.words.sentences import Sentence, degc, kelvin, named, plain, sentence
from thermlog.words.vehicle import split_corner

_Spoken: TypeAlias = Callable[[float], object]


_TIMES_TOLD = 10.0  # beyond it is a ratio to next to nothing


def reason_sentence(reason: Reason) -> Sentence:
    """A reason in words, for any page.

    Parameters
    ----------
    reason : Reason
        A number that is not finite counts as absent; one without a field is not spoken.

    Returns
    -------
    Sentence
        A clause where the code says why, a whole sentence where it says what to do.

    Examples
    --------
    >>> print(reason_sentence(Reason(code="rising", corners=("1L",), numbers={"rise_k": 6.2})))
    1L still rose by 6 K while it was read: its heat had not come out yet
    >>> print(reason_sentence(Reason(code="rising")))
    still rising while it was read: the heat had not come out yet
    """
    pattern, parts = _filled(reason)
    return sentence(pattern, *parts)


def reason_text(reason: Reason) -> str:
    """The same in kelvin, degrees Celsius and codes of corners, for no page."""
    return plain(*_filled(reason))


def _filled(reason: Reason) -> tuple[str, list[object]]:
    """The first pattern that finds all its numbers, with what fills its fields."""
    for pattern in TEXTS[reason.code]:
        positional, fields = _fields(pattern)
        parts = [_part(name, reason, spoken) for name, spoken in fields]
        if None not in parts:
            return positional, parts
    msg = f"{reason.code}: the last pattern needs a number"
    raise AssertionError(msg)


@cache
def _fields(pattern: str) -> tuple[str, tuple[tuple[str, _Spoken], ...]]:
    """A pattern with its fields by position; for each its name and how a number of that name is spoken."""
    text, fields = "", []
    for literal, name, spec, _ in Formatter().parse(pattern):
        text += literal
        if name is not None:
            text += "{}"
            fields.append((name, _spoken(name, bare=spec == "bare")))
    return text, tuple(fields)


def _part(name: str, reason: Reason, spoken: _Spoken) -> object:
    """What fills a field of a pattern: a finite number, the quoted word, or corners; else None."""
    value = reason.numbers.get(name)
    if value is not None:
        return spoken(value) if math.isfinite(value) else None
    if name == "quoted":
        return reason.quoted or None
    codes = _corners(name, reason.corners)
    return named(*codes) if codes else None


def _corners(name: str, corners: tuple[str, ...]) -> tuple[str, ...]:
    """The corners that a field speaks of."""
    match name:
        case "corner":
            return corners[:1]
        case "mate":
            return corners[1:2]
        case "others":
            return corners[1:]
        case "corners":
            return corners
        case "here" | "there":
            axles = [split_corner(code)[0] for code in corners]
            same = name == "here"
            return tuple(
                code for code, axle in zip(corners, axles, strict=True) if (axle == axles[0]) is same
            )
        case _:
            return ()


def _spoken(name: str, *, bare: bool) -> _Spoken:
    """How a number of that name becomes a part of a sentence."""
    if name.endswith("_k"):
        return partial(kelvin, bare=bare)
    if name.endswith("_degc"):
        return partial(degc, bare=bare)
    if name.startswith("share_"):
        return _share
    if name == "times":
        return _times
    return ("{:.1f} to 1" if name == "ratio" else "{:.0f}").format


def _times(value: float) -> str:
    return f"{value:.1f} times" if value <= _TIMES_TOLD else f"more than {_TIMES_TOLD:.0f} times"


def _share(value: float) -> str:
    return "under 1 %" if 0.0 < value < 0.005 else f"{100.0 * value:.0f} %"
