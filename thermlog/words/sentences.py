"""Sentences with temperatures in them, which a report can put into the unit it shows."""

from __future__ import annotations

from operator import is_
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from thermlog.words.units import Unit, difference_from_k, from_degc

_Thing = TypeVar("_Thing")


class Degrees(Struct, frozen=True, kw_only=True):
    """A temperature or a difference inside a sentence.

    Attributes
    ----------
    value : float
        [°C], or [K] if `step`.
    step : bool
        True for a difference.
    digits : int or None
        Behind the decimal point; None: four significant digits.
    signed, bare : bool
        With its sign also where positive; without its unit.
    """

    value: float
    step: bool
    digits: int | None = 0
    signed: bool = False
    bare: bool = False

    def text(self, unit: Unit | None) -> str:
        """In a unit; None: kelvin for differences, degrees Celsius for temperatures."""
        of = unit or "C"
        value = difference_from_k(self.value, of) if self.step else from_degc(self.value, of)
        sign = "+" if self.signed else ""
        if self.digits is None:
            number = format(value, f"{sign}.4g")
        else:
            number = format(round(value, self.digits) + 0.0, f"{sign}.{self.digits}f")  # no -0
        if self.bare:
            return number
        return f"{number} K" if of == "K" or (unit is None and self.step) else f"{number} °{of}"


def degc(value: float, *, digits: int | None = 0, bare: bool = False) -> Degrees:
    """A temperature for a sentence [°C]."""
    return Degrees(value=value, step=False, digits=digits, bare=bare)


def kelvin(value: float, *, signed: bool = False, bare: bool = False) -> Degrees:
    """A temperature difference for a sentence [K]."""
    return Degrees(value=value, step=True, signed=signed, bare=bare)


class Sentence(str):
    """Text that knows its temperatures; by itself it speaks kelvin and degrees Celsius. See `sentence`."""

    pattern: str
    parts: tuple[object, ...]


def sentence(pattern: str, *parts: object) -> Sentence:
    """Put parts into the ``{}`` of a pattern.

    Parameters
    ----------
    pattern : str
    parts : object
        `Degrees`, sentences, or anything else with a text.

    Examples
    --------
    >>> gap = sentence("{} is {} above {}", "1L", kelvin(81.4), "1R")
    >>> print(gap, "|", in_unit(gap, "F"), "|", in_unit(gap, "C"))
    1L is 81 K above 1R | 1L is 147 °F above 1R | 1L is 81 °C above 1R
    """
    return _made(pattern, parts, None)


def capital(text: str) -> str:
    """The same text with a capital first letter.

    Examples
    --------
    >>> capital(sentence("{}: read again", sentence("not enough heat"))), capital("1L")
    ('Not enough heat: read again', '1L')
    """
    if not isinstance(text, Sentence):
        return text[:1].upper() + text[1:]
    first = text.parts[0] if text.parts else None
    if text.pattern.startswith("{}") and isinstance(first, str):
        return sentence(text.pattern, capital(first), *text.parts[1:])
    return sentence(text.pattern[:1].upper() + text.pattern[1:], *text.parts)


def in_unit(thing: _Thing, unit: Unit) -> _Thing:
    """A text, or a record or tuple of texts, with every `Sentence` in it put into a unit.

    Parameters
    ----------
    thing : object
        Whatever holds no sentence is given back as it is.
    unit : {"C", "F", "K"}
    """
    shown: object = thing
    if isinstance(thing, Sentence):
        shown = str(_made(thing.pattern, thing.parts, unit))
    elif isinstance(thing, tuple):
        ones = tuple(in_unit(one, unit) for one in thing)
        shown = thing if all(map(is_, ones, thing)) else ones
    elif isinstance(thing, Struct):
        fields = {name: getattr(thing, name) for name in thing.__struct_fields__}
        changed = {name: new for name, old in fields.items() if (new := in_unit(old, unit)) is not old}
        shown = replace(thing, **changed) if changed else thing
    return shown  # type: ignore[return-value]  # of the kind that came in


def _made(pattern: str, parts: tuple[object, ...], unit: Unit | None) -> Sentence:
    made = Sentence(pattern.format(*(_part(part, unit) for part in parts)))
    made.pattern, made.parts = pattern, parts
    return made


def _part(part: object, unit: Unit | None) -> str:
    if isinstance(part, Degrees):
        return part.text(unit)
    return str(part) if unit is None else str(in_unit(part, unit))
