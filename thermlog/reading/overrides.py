"""Where an option and the log say different things: refused by line, or the option by name with a note."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from thermlog.reading.readoptions import Overridable, ReadOptions
from thermlog.words.errors import LogRefusedError
from thermlog.words.units import Unit

UNIT_WORDS: dict[Unit, str] = {"C": "°C", "F": "°F", "K": "K"}


class StatedUnit(Struct, frozen=True, kw_only=True):
    """One place of a log that states a temperature unit.

    Attributes
    ----------
    line : int or None
    column : str
        Heading or key as written.
    value : str or None
        The cell as written; None for a heading.
    unit : {"C", "F", "K"}
    """

    line: int | None
    column: str
    value: str | None
    unit: Unit


def settle_unit(options: ReadOptions, stated: Iterable[StatedUnit], *, file: str) -> list[str]:
    """Notes on places that state another unit than the option.

    Parameters
    ----------
    options : ReadOptions
    stated : iterable of StatedUnit
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        A place states another unit, and the option was not told to override.

    Examples
    --------
    >>> here = StatedUnit(line=4, column="temp", value="80 C", unit="C")
    >>> settle_unit(ReadOptions(unit="F", override=("unit",)), [here], file="log.csv")
    ['--unit F taken instead of °C, which the log states in line 4']
    >>> settle_unit(ReadOptions(unit="F"), [here], file="log.csv")
    Traceback (most recent call last):
    ...
    thermlog.words.errors.LogRefusedError: log.csv, line 4, column "temp", found "80 C": the log states °C, \
and --unit says F; leave out --unit, or add --override unit
    """
    if options.unit is None:
        return []
    other = next((place for place in stated if place.unit != options.unit), None)
    if other is None:
        return []
    said = UNIT_WORDS[other.unit]
    if "unit" in options.override:
        where = "" if other.line is None else f" in line {other.line}"
        return [f"--unit {options.unit} taken instead of {said}, which the log states{where}"]
    problem = f"the log states {said}, and --unit says {options.unit}; {override_cure('unit')}"
    raise LogRefusedError(
        problem, code="unit_contradicted", file=file, line=other.line, column=other.column, value=other.value
    )


def override_cure(name: Overridable) -> str:
    """What to do where an option and the log differ."""
    return f"leave out --{name}, or add --override {name}"
