"""Sentences of reasons: the only place where a code becomes words. The patterns stand in `reasonpatterns`."""

from __future__ import annotations

import math
from functools import cache
from string import Formatter

from thermlog.words.reasonpatterns import TEXTS
from thermlog.words.reasons import Reason
from thermlog.words.sentences import Sentence, degc, kelvin, named, sentence
from thermlog.words.vehicle import split_corner


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
    for pattern in TEXTS[reason.code]:
        positional, fields = _fields(pattern)
        parts = [_part(name, reason, spec) for name, spec in fields]
        if None not in parts:
            return sentence(positional, *parts)
    msg = f"{reason.code}: the last pattern needs a number"
    raise AssertionError(msg)


@cache
def _fields(pattern: str) -> tuple[str, tuple[tuple[str, str], ...]]:
    """A pattern with its fields by position, and the name and way of each."""
    text, fields = "", []
    for literal, name, spec, _ in Formatter().parse(pattern):
        text += literal
        if name is not None:
            text += "{}"
            fields.append((name, spec or ""))
    return text, tuple(fields)


def _part(name: str, reason: Reason, spec: str) -> object:
    """What fills a field of a pattern: a finite number, the quoted word, or corners; else None."""
    value = reason.numbers.get(name)
    if value is not None:
        return _number(name, value, bare=spec == "bare") if math.isfinite(value) else None
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


def _number(name: str, value: float, *, bare: bool) -> object:
    """A number as a part of a sentence."""
    if name.endswith("_k"):
        return kelvin(value, bare=bare)
    if name.endswith("_degc"):
        return degc(value, bare=bare)
    if name.startswith("share_"):
        return "under 1 %" if 0.0 < value < 0.005 else f"{100.0 * value:.0f} %"
    if name == "ratio":
        return f"{value:.1f} to 1"
    return f"{value:.1f} times" if name == "times" else f"{value:.0f}"
