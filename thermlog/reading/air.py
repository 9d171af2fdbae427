"""Air temperature of a log: from the option, a header comment, a column or rows of their own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from thermlog.reading.cells import DecimalMark, Measured, measured
from thermlog.reading.headings import Heading, plain_words
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.scale import UNIT_WORDS, Temperatures
from thermlog.reading.statements import Statements
from thermlog.reading.vocabulary import AIR
from thermlog.words.sentences import degc, sentence
from thermlog.words.tables import AmbientSource
from thermlog.words.units import Unit, difference_from_k, to_degc

AIR_WORDS = frozenset(AIR.split("|"))
_SAME_K = 0.05  # figures typed with one decimal differ by rounding only


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


def air_notes(statements: Statements, options: ReadOptions, unit: Unit | None) -> list[str]:
    """What was assumed about the stated air temperature."""
    said = statements.ambient
    if said is None:
        return []
    own = said.unit or unit
    if own is None:
        return ["the stated ambient has no unit and is not used; write it like 18 C"]
    log_degc = to_degc(said.value, own)
    if options.ambient_degc is not None and abs(log_degc - options.ambient_degc) > _SAME_K:
        pattern = "ambient {} taken from the option; the log states {}"
        return [sentence(pattern, degc(options.ambient_degc, digits=None), degc(log_degc, digits=None))]
    if options.ambient_degc is None and said.unit is None:
        return [f"ambient taken in the unit of the readings, {UNIT_WORDS[own]}"]
    return []


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
    ordered, count = sorted(values_degc), len(values_degc)
    middle = 0.5 * (ordered[(count - 1) // 2] + ordered[count // 2])
    low, high = min(values_degc), max(values_degc)
    many = "one value" if len(values_degc) == 1 else f"the median of {len(values_degc)} values"
    note = sentence("ambient {}, {} {}", degc(middle, digits=None), many, where)
    if high - low > 1.0:
        ends = degc(low, digits=None, bare=True), degc(high, digits=None)
        note = sentence("{} between {} and {}", note, *ends)
    return Air(degc=middle, source="log"), [note]
