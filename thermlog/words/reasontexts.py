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
    known = _known(reason)
    for pattern in TEXTS[reason.code]:
        positional, fields = _fields(pattern)
        if all(name in known for name, _ in fields):
            return sentence(positional, *(_part(name, known[name], spec) for name, spec in fields))
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


def _known(reason: Reason) -> dict[str, object]:
    """Everything that can fill a field: corners, the quoted word, finite numbers."""
    corners = reason.corners
    same = [code for code in corners if split_corner(code)[0] == split_corner(corners[0])[0]]
    groups = {
        "corner": corners[:1],
        "mate": corners[1:2],
        "others": corners[1:],
        "corners": corners,
        "here": tuple(same),
        "there": tuple(code for code in corners if code not in same),
    }
    known: dict[str, object] = {name: named(*codes) for name, codes in groups.items() if codes}
    if reason.quoted:
        known["quoted"] = reason.quoted
    return known | {name: value for name, value in reason.numbers.items() if math.isfinite(value)}


def _part(name: str, value: object, spec: str) -> object:
    """A field's value as a part of a sentence."""
    if not isinstance(value, int | float):
        return value
    bare = spec == "bare"
    if name.endswith("_k"):
        return kelvin(value, bare=bare)
    if name.endswith("_degc"):
        return degc(value, bare=bare)
    if name.startswith("share_"):
        return "under 1 %" if 0.0 < value < 0.005 else f"{100.0 * value:.0f} %"
    said = {"ratio": f"{value:.1f} to 1", "times": f"{value:.1f} times"}
    return said.get(name, f"{value:.0f}")
