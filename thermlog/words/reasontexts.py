"""Sentences of reasons: the only place where a code becomes words. The patterns stand in `reasonpatterns`."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from typing import TypeAlias

from thermlog.words.reasonpatterns import TEXTS
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.sentences import Sentence, degc, kelvin, listed, named, sentence, whole_degrees
from thermlog.words.vehicle import split_corner

_Spoken: TypeAlias = Callable[[float], object]
_InWords: TypeAlias = Callable[[float], str]


# Words that agree with the number of corners: of one, of several.
AGREEING: dict[str, tuple[str, str]] = {
    "its": ("its", "their"),
    "it": ("it", "they"),
    "was": ("was", "were"),
    "changes": ("changes", "change"),
}
# Words that agree with the corners of a field.
AGREEING_WITH: dict[str, tuple[str, str, str]] = {
    "are_here": ("here", "is", "are"),
    "drag_here": ("here", "drags", "drag"),
    "do_there": ("there", "does", "do"),
}
# Codes that speak of corners on the axle of the first, and of others apart.
_SPLIT = frozenset(code for code, patterns in TEXTS.items() if any("{here}" in one for one in patterns))
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
    for literal, name, bare in _named_fields(pattern):
        text += literal
        if name is not None:
            text += "{}"
            fields.append((name, _spoken(name, bare=bare)))
    return text, tuple(fields)


def _named_fields(pattern: str) -> Iterator[tuple[str, str | None, bool]]:
    """Text, the name of the field behind it, and whether that goes without its unit.

    Braces are those of fields alone; the formatter of the library takes longer to load than a check to tell.

    Examples
    --------
    >>> [*_named_fields("{here} rose by {rise_k:bare}.")]
    [('', 'here', False), (' rose by ', 'rise_k', True), ('.', None, False)]
    """
    literal, *pieces = pattern.split("{")
    for piece in pieces:
        field, _, behind = piece.partition("}")
        name, _, spec = field.partition(":")
        yield literal, name, spec == "bare"
        literal = behind
    yield literal, None, False


def _part(name: str, reason: Reason, spoken: _Spoken) -> object:
    """What fills a field of a pattern: a finite number, the quoted word, or corners; else None."""
    if name in AGREEING:
        return AGREEING[name][len(reason.corners) > 1]
    if name in AGREEING_WITH:
        field, *forms = AGREEING_WITH[name]
        return forms[len(_corners(field, reason.corners)) > 1]
    value = reason.numbers.get(name)
    if value is not None:
        return spoken(value) if math.isfinite(value) else None
    if name == "quoted":
        return reason.quoted or None
    codes = _corners(name, reason.corners)
    return named(*codes) if codes else None


def reason_text(reason: Reason) -> str:
    """The same in kelvin, degrees Celsius and codes of corners, for no page: a fleet has ten a log."""
    numbers, corners = reason.numbers, reason.corners
    if not all(map(math.isfinite, numbers.values())):
        numbers = {name: value for name, value in numbers.items() if math.isfinite(value)}
    alike = tuple(corner in _corners("here", corners) for corner in corners) if reason.code in _SPLIT else ()
    form, in_words = _plain_form((reason.code, len(corners), alike, bool(reason.quoted)), tuple(numbers))
    said: Mapping[str, object] = numbers
    if in_words:
        said = {**numbers, **{name: spoken(numbers[name]) for name, spoken in in_words}}
    return form.format(*corners, *said.values(), reason.quoted)


@cache
def _plain_form(
    about: tuple[ReasonCode, int, tuple[bool, ...], bool], numbers: tuple[str, ...]
) -> tuple[str, tuple[tuple[str, _InWords], ...]]:
    """A form for all reasons of one code with so many corners and these numbers.

    It is filled by place: corners, numbers, the quoted word. With it the numbers that something puts into
    words. Of `about` the third tells of every corner whether it is on the axle of the first, empty where
    nothing asks for it; the last whether a word is quoted.
    """
    code, corners, alike, quoted = about
    places = {
        "corner": [*range(corners)][:1],
        "mate": [*range(corners)][1:2],
        "others": [*range(corners)][1:],
        "corners": [*range(corners)],
        "here": [k for k, same in enumerate(alike) if same],
        "there": [k for k, same in enumerate(alike) if not same],
    }
    fillings = {name: listed(f"{{{k}}}" for k in places[name]) for name in places if places[name]}
    fillings |= {name: words[corners > 1] for name, words in AGREEING.items()}
    fillings |= {name: forms[len(places[field]) > 1] for name, (field, *forms) in AGREEING_WITH.items()}
    place = {name: corners + n for n, name in enumerate(numbers)}
    in_words = {name: spoken for name in numbers if (spoken := _in_words(name))}
    fillings |= {name: f"{{{place[name]}}}" for name in in_words}
    if quoted:
        fillings["quoted"] = f"{{{corners + len(numbers)}}}"
    for pattern in TEXTS[code]:
        parts: list[str | None] = []
        for literal, name, bare in _named_fields(pattern):
            parts.append(literal.replace("{", "{{").replace("}", "}}"))
            if name in numbers and name not in fillings:
                parts.append(_plain_number(name, bare=bare).replace("{", f"{{{place[name]}", 1))
            elif name is not None:
                parts.append(fillings.get(name))
        if None not in parts:
            needed = tuple(one for one in in_words.items() if f"{{{one[0]}" in pattern)
            return "".join(map(str, parts)), needed
    msg = f"{code}: the last pattern needs a number"
    raise AssertionError(msg)


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
    return _in_words(name) or _plain_number(name, bare=bare).format


def _plain_number(name: str, *, bare: bool) -> str:
    """Format of a number of that name for no page."""
    if name.endswith(("_k", "_degc")):
        return whole_degrees(step=name.endswith("_k"), bare=bare)
    return "{:.1f} to 1" if name == "ratio" else "{:.0f}"


def _in_words(name: str) -> _InWords | None:
    """What puts a number of that name into words, where a format alone does not."""
    if name.startswith("share_"):
        return _share
    return _times if name == "times" else None


def _times(value: float) -> str:
    return f"{value:.1f} times" if value <= _TIMES_TOLD else f"more than {_TIMES_TOLD:.0f} times"


def _share(value: float) -> str:
    return "under 1 %" if 0.0 < value < 0.005 else f"{100.0 * value:.0f} %"
