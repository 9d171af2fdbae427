"""Headings that mean many things alone, told by the other headings of their row."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.reading.cells import unit_word
from thermlog.reading.headings import Heading, plain_words, spot_beside_wheel
from thermlog.reading.vocabulary import TIME_UNITS

_ALSO_LEAST = frozenset({"min"})  # the least reading of a shot, unless it leads the row
_EXTREMES = frozenset({"max", "maximum", "avg", "average", "mean", "mittel", "moyenne", "media"})


def told_by_the_others(headings: list[Heading]) -> list[Heading]:
    """Headings that mean many things alone, where all else of the row leaves one: a bare unit, or "T".

    "C" or "deg F" is the temperature where there is no other, and "T" where something else is the time; "s"
    or "min" is the time, unless the largest or the mean stands beside it.
    """
    told = spot_beside_wheel(headings)
    headings, roles = list(told), {heading.role for heading in told}
    placed = "position" in roles or {"axle", "side"} <= roles
    if placed and "temperature" in roles:  # "avg temp" is a mean there, not the front left of France
        told = [replace(one, role=None) if one.role == "wheel" and _is_extreme(one) else one for one in told]
    if placed and not roles & {"temperature", "wheel", "moment"} and (k := _bare_temperature(headings)) >= 0:
        unit = unit_word(headings[k].text)
        told[k] = replace(headings[k], role="temperature", unit=unit, strange_unit="")
    roles = {heading.role for heading in told}
    if (placed or "wheel" in roles) and not roles & {"time", "lap"} and (k := _bare_time(headings)) >= 0:
        unit_s = TIME_UNITS[plain_words(headings[k].text)]
        told[k] = replace(headings[k], role="time", time_unit=unit_s, strange_unit="")
    return told


def _bare_temperature(headings: list[Heading]) -> int:
    """The one column headed by a unit of temperature, or by "T" beside a time; -1 for none."""
    units = [k for k, one in enumerate(headings) if one.role is None and unit_word(one.text)]
    if units:
        return units[0] if len(units) == 1 else -1
    clocks = [k for k, one in enumerate(headings) if one.role == "time"]
    letters = [k for k in clocks if plain_words(headings[k].text) == "t"]
    if len(letters) > 1:  # as in physics: t the time, T the temperature
        letters = [k for k in letters if headings[k].text == "T"]
    timed = len(clocks) > len(letters) or _bare_time(headings) >= 0
    return letters[0] if len(letters) == 1 and timed else -1


def _is_extreme(heading: Heading) -> bool:
    return not _EXTREMES.isdisjoint(plain_words(heading.text).split())


def _bare_time(headings: list[Heading]) -> int:
    """The one column headed by a unit of time alone; -1 for none."""
    if any(map(_is_extreme, headings)):
        return -1
    open_ = {k: plain_words(one.text) for k, one in enumerate(headings) if one.role is None}
    units = [k for k, words in open_.items() if words in TIME_UNITS]
    alone = len(units) == 1 and (units[0] == 0 or open_[units[0]] not in _ALSO_LEAST)
    return units[0] if alone else -1
