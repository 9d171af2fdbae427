"""Headings that mean many things alone, told by the other headings of their row."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.reading.cells import unit_word
from thermlog.reading.cellwords import cell_words, no_wheel_word
from thermlog.reading.headings import Heading, figures_named, plain_words
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.vocabulary import BRAKE_PARTS, PLACES, ROLES, TIME_UNITS

_ALSO_LEAST = frozenset({"min"})  # the least reading of a shot, unless it leads the row
_BOTH = 2


def told_by_the_others(headings: list[Heading]) -> list[Heading]:
    """Headings that mean many things alone, where all else of the row leaves one: a bare unit, or "T".

    "C" or "deg F" is the temperature where there is no other, and "T" where something else is the time; "s"
    or "min" is the time, unless the largest or the mean stands beside it.
    """
    told = _one_position(headings)
    headings, roles = list(told), {heading.role for heading in told}
    placed = "position" in roles or {"axle", "side"} <= roles
    if placed and "temperature" in roles:  # "avg temp" is a mean there, not the front left of France
        told = [replace(one, role=None) if one.role == "wheel" and _is_extreme(one) else one for one in told]
    if placed and not roles & {"temperature", "wheel", "moment"} and (k := _bare_temperature(headings)) >= 0:
        unit = unit_word(headings[k].text)
        told[k] = replace(headings[k], role="temperature", unit=unit, strange_unit="")
    told = _without_seconds(told)
    roles = {heading.role for heading in told}
    if (placed or "wheel" in roles) and not roles & {"time", "lap"} and (k := _bare_time(headings)) >= 0:
        unit_s = TIME_UNITS[plain_words(headings[k].text)]
        told[k] = replace(headings[k], role="time", time_unit=unit_s, strange_unit="")
    return told


def _one_position(headings: list[Heading]) -> list[Heading]:
    """The headings with one column of wheels, where the words of several leave one.

    A column of places ("Stelle", "point") beside one of wheels says where on the wheel end was aimed. "brake"
    beside "wheel" is the temperature, where nothing else is; and what says more than a wheel ("brake pads
    mm", "wheel pressure", "wheel nuts") is of something else.
    """
    told = list(headings)
    both = [k for k, one in enumerate(headings) if one.role == "position"]
    placed = {"axle", "side"} <= {one.role for one in headings}
    loose = [k for k in both if plain_words(headings[k].text) in PLACES]
    if len(loose) < len(both) == _BOTH and loose and all(one.role != "spot" for one in headings):
        told[loose[0]] = replace(told[loose[0]], role="spot")
        return told
    plain = [k for k in both if plain_words(headings[k].text) in ROLES]
    wheels = [k for k in plain if plain_words(headings[k].text) not in BRAKE_PARTS]
    if len(both) > 1 and len(wheels or plain) == 1:
        read = any(one.role == "temperature" for one in headings)
        for k in {*both} - {*(wheels or plain)}:
            heated = k in plain and not read
            told[k] = replace(told[k], role="temperature" if heated else None)
    elif placed or len(both) > 1:
        for k in both:
            if (placed and k not in plain) or no_wheel_word(headings[k].text) == "quantity":
                told[k] = replace(told[k], role=None)
    return told


def _without_seconds(headings: list[Heading]) -> list[Heading]:
    """The headings where "repeat reading" beside a column of temperatures is the brake read once more."""
    temps = [k for k, one in enumerate(headings) if one.role == "temperature"]
    more = {k for k in temps if figures_named(headings[k].text) in {"most", "mean", "again"}}
    if not more or len(more) == len(temps):
        return headings
    return [replace(one, role=None) if k in more else one for k, one in enumerate(headings)]


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
    table = cell_words()
    return not (table.highest | table.average).isdisjoint(tokens_of(heading.text))


def _bare_time(headings: list[Heading]) -> int:
    """The one column headed by a unit of time alone; -1 for none."""
    if any(map(_is_extreme, headings)):
        return -1
    open_ = {k: plain_words(one.text) for k, one in enumerate(headings) if one.role is None}
    units = [k for k, words in open_.items() if words in TIME_UNITS]
    alone = len(units) == 1 and (units[0] == 0 or open_[units[0]] not in _ALSO_LEAST)
    return units[0] if alone else -1
