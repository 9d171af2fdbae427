"""Air temperature of a log: from the option, a header comment, a column or rows of their own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from thermlog.reading.cells import DecimalMark, Measured, measured, shown
from thermlog.reading.headings import Heading, plain_words
from thermlog.reading.overrides import UNIT_WORDS, override_cure
from thermlog.reading.readoptions import COLDEST_AIR_DEGC, HOTTEST_AIR_DEGC, ReadOptions
from thermlog.reading.scale import Asked, Temperatures
from thermlog.reading.statements import SAME_AIR_K, Statements
from thermlog.reading.vocabulary import AIR
from thermlog.words.errors import LogRefusedError
from thermlog.words.estimates import median
from thermlog.words.sentences import degc, sentence
from thermlog.words.tables import AmbientSource
from thermlog.words.units import Unit, difference_from_k, to_degc

AIR_WORDS = frozenset(AIR.split("|"))


class Air(Struct, frozen=True, kw_only=True):
    """Air temperature of one case [°C], its stated uncertainty [K], and who stated it."""

    degc: float | None = None
    sigma_k: float | None = None
    source: AmbientSource | None = None


def is_air_word(text: str) -> bool:
    """True if a position cell says that the row holds the air temperature.

    Examples
    --------
    >>> is_air_word("Ambient"), is_air_word("FL")
    (True, False)
    """
    return plain_words(text) in AIR_WORDS


def refuse_no_air(asked: Asked, air_degc: float, *, line: int, column: str, value: str) -> None:
    """Refuse an air temperature in which nobody works on a vehicle: a unit was mixed up.

    Raises
    ------
    LogRefusedError
        It is one, and no option states another.
    """
    if asked.options.ambient_degc is not None or COLDEST_AIR_DEGC <= air_degc <= HOTTEST_AIR_DEGC:
        return
    ends = degc(COLDEST_AIR_DEGC, digits=None, bare=True), degc(HOTTEST_AIR_DEGC, digits=None)
    cure = "write it with its unit, like 18 C or 64 F, or give --ambient"
    problem = sentence("{} is no air temperature ({} to {}); " + cure, degc(air_degc, digits=None), *ends)
    raise LogRefusedError(problem, code="no_air", file=asked.file, line=line, column=column, value=value)


def refuse_bare_option(asked: Asked, unit: Unit | None) -> None:
    """Refuse a bare number for the air beside readings in °F.

    Raises
    ------
    LogRefusedError
        It may be of either unit.
    """
    options = asked.options
    if options.ambient_bare and options.ambient_degc is not None and unit == "F":
        given = f"{options.ambient_degc:g}"
        problem = f"--ambient {given} has no unit, and the readings are in °F; write {given}F or {given}C"
        raise LogRefusedError(problem, code="no_air", file=asked.file)


def refuse_stated_no_air(asked: Asked, unit: Unit | None) -> None:
    """The same for what a line of the header states.

    Parameters
    ----------
    asked : Asked
    unit : Unit or None
        Unit of the readings, where it is known, for a line that states none.

    Raises
    ------
    LogRefusedError
        It is no air temperature.
    """
    said = asked.statements.ambient
    own = None if said is None else said.unit or unit
    if said is None or own is None:
        return
    written = asked.statements.said["ambient"]
    place = {"column": f"# {written.key}", "value": shown(written.text)}
    refuse_no_air(asked, to_degc(said.value, own), line=written.line, **place)


def stated_air(statements: Statements, options: ReadOptions, unit: Unit | None) -> Air:
    """Air temperature from the option, else from the header comment.

    Parameters
    ----------
    statements : Statements
    options : ReadOptions
    unit : Unit or None
        Unit of the readings, for a comment that states none.
    """
    said = statements.ambient
    if options.ambient_degc is not None:
        return Air(degc=options.ambient_degc, sigma_k=options.ambient_sigma_k, source="option")
    own = said.unit or unit if said is not None else None
    if said is None or own is None:
        return Air()
    return _as_air(said, own, options)


def _as_air(said: Measured, unit: Unit, options: ReadOptions) -> Air:
    sigma_k = options.ambient_sigma_k
    if sigma_k is None and said.sigma is not None:
        sigma_k = said.sigma / difference_from_k(1.0, unit)
    return Air(degc=to_degc(said.value, unit), sigma_k=sigma_k, source="log")


def air_notes(asked: Asked, unit: Unit | None) -> list[str]:
    """What was assumed about the stated air temperature.

    Raises
    ------
    LogRefusedError
        The option states another one and was not told to override.
    """
    statements, options = asked.statements, asked.options
    said = statements.ambient
    if said is None:
        return []
    own = said.unit or unit
    if own is None:
        return ["the stated ambient has no unit and is not used; write it like 18 C"]
    refuse_stated_no_air(asked, unit)
    log_degc = to_degc(said.value, own)
    if options.ambient_degc is not None:
        written = statements.said["ambient"]
        return settle_air(
            asked, log_degc, line=written.line, column=f"# {written.key}", value=shown(written.text)
        )
    if said.unit is None:
        return [f"ambient taken in the unit of the readings, {UNIT_WORDS[own]}"]
    return []


def settle_air(asked: Asked, log_degc: float, *, line: int, column: str, value: str) -> list[str]:
    """Note on a place of the log that states another air temperature than the option.

    Raises
    ------
    LogRefusedError
        It does, and the option was not told to override.
    """
    option_degc = asked.options.ambient_degc
    if option_degc is None or abs(log_degc - option_degc) <= SAME_AIR_K:
        return []
    both = degc(option_degc, digits=None), degc(log_degc, digits=None)
    if "ambient" in asked.options.override:
        return [sentence("ambient {} taken from the option; the log states {}", *both)]
    problem = sentence("--ambient says {}, and the log states {}; " + override_cure("ambient"), *both)
    raise LogRefusedError(
        problem, code="ambient_contradicted", file=asked.file, line=line, column=column, value=value
    )


def column_air(
    cells: Sequence[str], found: Temperatures, heading: Heading, decimal: DecimalMark
) -> Mapping[int, float]:
    """Air temperature of each row that has one in the ambient column [°C]."""
    air = {}
    for row, cell in enumerate(cells):
        if not cell.strip():
            continue
        value = measured(cell, decimal)
        unit = value.unit or heading.unit or found.base
        if not value.problem and unit is not None:
            air[row] = to_degc(value.value * heading.factor, unit)
    return air


def measured_air(values_degc: Sequence[float], where: str) -> tuple[Air, list[str]]:
    """Air temperature of a case from several measured values, and a note about it.

    Parameters
    ----------
    values_degc : sequence of float
        Not empty [°C].
    where : str
        Where they stood, for the note.
    """
    middle = median(values_degc)
    low, high = min(values_degc), max(values_degc)
    many = "one value" if len(values_degc) == 1 else f"the median of {len(values_degc)} values"
    note = sentence("ambient {}, {} {}", degc(middle, digits=None), many, where)
    if high - low > 1.0:
        ends = degc(low, digits=None, bare=True), degc(high, digits=None)
        note = sentence("{} between {} and {}", note, *ends)
    return Air(degc=middle, source="log"), [note]
