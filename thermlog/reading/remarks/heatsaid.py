"""Temperatures and over-range marks that remarks in free words state: "hub 130", "first 190 then 84"."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, TypeAlias

from thermlog.reading.cells import unit_word
from thermlog.reading.cellwords import bare_letters, cell_words
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.rangemarks import mark_in_words
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from thermlog.words.units import Unit

# A figure, and the unit written beside it.
StatedHeat: TypeAlias = "tuple[float, Unit | None]"

_PARTS = regular(r",\s|[;!|]|\.\s")
_UNIT = (
    r"°\s?[CFK]?(?![^\W\d_])|º\s?[CF]?|deg(?:rees)?\.?\s?[CF]?(?![^\W\d_])|grad|celsius|fahrenheit|"
    r"[CFK](?![^\W\d_])"
)
_WITH_UNIT = regular(rf"(?<![\w.,:])(\d{{2,4}}(?:[.,]\d+)?)\s*({_UNIT})", re.IGNORECASE)
_BARE = regular(
    r"(?:([^\W\d_]+)[\s:]+)?(?<![\w.,:/#+-])(\d{2,3}(?:[.,]\d)?)(?![\d%/:*×\"'°º]|[.,]\d|-\w)(?=\s*([^\W\d_]*))"
)
_SIZE = 150.0  # a bare figure from here on at a tyre or a wheel is its size


@lru_cache(maxsize=4096)
def heat_said(text: str) -> tuple[StatedHeat, ...]:
    """Temperatures that a remark states, of what is beside the wheel or what the gun showed there.

    A figure with a unit of temperature is one; without, where the words beside it name a part of the wheel
    end or a shot of the gun, and no other unit, quantity or date.

    Examples
    --------
    >>> heat_said("hub 130"), heat_said("tyre 95 C"), heat_said("first 190 then 84")
    (((130.0, None),), ((95.0, 'C'),), ((190.0, None), (84.0, None)))
    >>> [heat_said(text) for text in ("tyre 315/80", "torque 130 Nm", "disc 330 mm", "engine 95 C")]
    [(), (), (), ()]
    """
    if not any(map(str.isdigit, text)):
        return ()
    return tuple(dict.fromkeys(one for part in _PARTS.split(text) for one in _of_part(part)))


def over_said(text: str) -> bool:
    """True for a remark that is a mark of over range, or that says that the gun showed one.

    Words of other meaning count alone, or beside a word for the gun.

    Examples
    --------
    >>> over_said("gun showed OL"), over_said("first shot over range"), over_said("high mileage, over 3 mm")
    (True, True, False)
    """
    whole = bare_letters(text)
    if whole != "OR" and cell_words().no_temperature.get(whole) == "over_range":
        return True
    gun = cell_words().alarm["gun"]
    parts = ((part, not gun.isdisjoint(tokens_of(part))) for part in _PARTS.split(text))
    return any(mark_in_words(part, everyday=everyday) == "over_range" for part, everyday in parts)


def gun_showed_over(text: str) -> bool:
    """True for a line that says so of the gun by name; a legend ("OL = over range") does not."""
    named = not cell_words().alarm["gun"].isdisjoint(tokens_of(text))
    return named and "=" not in text and over_said(text)


def _of_part(part: str) -> list[StatedHeat]:
    words, said = cell_words().alarm, set(tokens_of(part))
    of_wheel = not said.isdisjoint(words["heat_part"])
    quantity = any(cell_words().no_wheel.get(token) in {"quantity", "part"} for token in said)
    if quantity and not of_wheel:
        return []
    found = [(_value(figure), unit_word(unit)) for figure, unit in _WITH_UNIT.findall(part)]
    beside = of_wheel or not said.isdisjoint(words["gun"] | words["shot"])
    if quantity or not beside or not said.isdisjoint(words["no_heat"] | words["fastener"] | words["mended"]):
        return found
    sized = not said.isdisjoint(words["sized"])
    for before, figure, after in _BARE.findall(_WITH_UNIT.sub(" ", part)):
        value = _value(figure)
        if not _is_of_other(before, after) and not (sized and value >= _SIZE):
            found.append((value, None))
    return found


def _is_of_other(before: str, after: str) -> bool:
    """True where the word in front, or the unit behind a figure, makes it no temperature."""
    words, lead, unit = cell_words().alarm, "".join(tokens_of(before)), "".join(tokens_of(after))
    return lead in words["counts"] or unit in words["unit"]


def _value(figure: str) -> float:
    return float(figure.replace(",", "."))
