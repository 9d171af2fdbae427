"""One cell of a log: numbers in either decimal mark, units written into cells, marks that mean no reading."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.cellwords import bare_letters, cell_words
from thermlog.reading.rangemarks import ABOVE_WORDS, BELOW_WORDS, RangeMark, range_mark
from thermlog.words.errors import SetAsideCode
from thermlog.words.regular import regular
from thermlog.words.units import Unit

DecimalMark: TypeAlias = Literal[".", ","]

_NUMBER = {
    ".": regular(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,2})?", re.ASCII),
    ",": regular(r"[+-]?(?:\d+(?:,\d*)?|,\d+)(?:[eE][+-]?\d{1,2})?", re.ASCII),
}
_GROUPED = {
    ".": regular(r"[+-]?\d{1,3}(?:,\d{3})+\.\d+", re.ASCII),
    ",": regular(r"[+-]?\d{1,3}(?:\.\d{3})+,\d+", re.ASCII),
}
_UNIT_WORDS: dict[str, Unit] = {
    "c": "C", "°c": "C", "ºc": "C", "℃": "C", "degc": "C", "deg c": "C", "celsius": "C", "cel": "C",
    "degrees c": "C", "° c": "C", "grad c": "C", "˚c": "C", "centigrade": "C", "degrees celsius": "C",
    "f": "F", "°f": "F", "ºf": "F", "℉": "F", "degf": "F", "deg f": "F", "fahrenheit": "F", "[degf]": "F",
    "degrees f": "F", "° f": "F", "˚f": "F", "degrees fahrenheit": "F",
    "k": "K", "°k": "K", "kelvin": "K", "degk": "K", "deg k": "K",
}  # fmt: skip
# The same with more letters, in the languages of the positions: "deg. Celsius", "grados C", "C°".
_UNIT_PHRASE = regular(
    r"(?:°|º|˚|deg(?:s|rees?)?|grad(?:os|i|en|er)?|degr[eé]s?|stopni[ea]?|stup(?:en|eň|ne|ně|nu|ňů))?\.? ?"
    r"(?:(?P<letter>[cfk])|(?P<name>celsius|celsjusza|celsia|cent[ií]grad(?:e|es|os|i)|fahrenheita?|kelvina?))\.?|"
    r"(?P<first>[cfk]) ?[°º˚]|(?P<typed>oc)"
)
_LONGEST_UNIT = 24  # signs
_DEGREES = frozenset(
    {"°", "º", "˚", "deg", "deg.", "degs", "degree", "degrees", "grad", "grados", "degres", "degrés", "gradi"}
)
_CELL = regular(r"(?P<number>[+-]?[\d.,]+(?:[eE][+-]?\d{1,2})?)\s*(?P<unit>[^\d.,\s].*)?", re.ASCII)
_OR_MORE = (
    r"\+|plus|(?:or|and) (?:more|over|above)|(?:und|oder) mehr|(?:et|ou) plus|[oy] m[aá]s|ou mais|o pi[uù]|"
    "e oltre|of meer|eller mer"
)
_BEYOND: dict[SetAsideCode, re.Pattern[str]] = {
    "over_range": regular(
        rf"(?:{ABOVE_WORDS})\s*(?P<figure>[+-]?\d.*)|(?P<before>[+-]?\d[\d.,]*\s*(?:°?\s*[CFK])?)\s*(?:{_OR_MORE})"
        r"(?P<unit>\s*°?\s*[CFK])?",
        re.IGNORECASE | re.DOTALL,
    ),
    "under_range": regular(rf"(?:{BELOW_WORDS})\s*(?P<figure>[+-]?\d.*)", re.IGNORECASE | re.DOTALL),
}
_BELOW_ZERO = regular(r"-\s*[A-Za-z]")
_NARROW = regular(r"#{2,}")
_NO_READING = regular(r"[-–—_.?x/]{1,8}|e(?:rr?)?[ -]?\d{1,3}", re.IGNORECASE)
NO_TEMPERATURE: dict[SetAsideCode, str] = {
    "over_range": "above the gun's range: may be the hottest wheel; keep clear, let it cool, read again",
    "under_range": "below the gun's range, no figure; use a gun that reaches lower",
    "no_value": "no reading here: this wheel was not measured",
}
_MARKED: dict[RangeMark, str] = {
    "over_range": "a mark for over range counts, whatever figure stands beside it: may be the hottest wheel; "
    "keep clear, let it cool, read again",
    "under_range": "a mark for under range counts, whatever figure stands beside it; use a gun that reaches "
    "lower",
}
_TOO_HOT = "said to be too hot: may be the hottest wheel; keep clear, let it cool, read again"
_FORMULA = ("=", "@", "\t=", "'=", "'@")
_LONGEST = 60  # characters of a temperature with unit and uncertainty, generously
_SPACES = dict.fromkeys(map(ord, "\ufeff\u200b\u200c\u200d\u2060"), None) | dict.fromkeys(
    map(ord, "\u00a0\u2007\u202f\t"), " "
)
_PLUS_MINUS = regular(r"\s*(?:±|\+/-|\+-)\s*")


class Measured(Struct, frozen=True, kw_only=True):
    """A temperature as written in a cell.

    Attributes
    ----------
    value : float
        In the unit of the cell or of its column; NaN if the cell holds no reading.
    unit : Unit or None
        Unit written in the cell itself.
    problem : str or None
        Why the cell holds no reading.
    code : SetAsideCode
        The same for programs; means nothing without a problem.
    sigma : float or None
        Uncertainty written after a plus-minus sign, in the same unit.
    """

    value: float
    unit: Unit | None = None
    problem: str | None = None
    code: SetAsideCode = "not_a_number"
    sigma: float | None = None


def tidy(cell: str) -> str:
    r"""Cell without blanks at its ends, invisible characters and no-break spaces.

    Examples
    --------
    >>> tidy("\ufeff FL\u00a0 ")
    'FL'
    """
    return cell.translate(_SPACES).strip()


def shown(text: str, longest: int = 80) -> str:
    r"""Text of a log fit for one line of a message: no line ends, no control characters, not too long.

    Examples
    --------
    >>> shown("a\nb\x00")
    'a\\nb\\x00'
    """
    if not text.isprintable():
        text = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)
    return text if len(text) <= longest else text[: longest - 3] + "..."


def count_words(count: int, noun: str) -> str:
    """A number of things for people.

    Examples
    --------
    >>> count_words(1, "cell"), count_words(3, "cell")
    ('one cell', '3 cells')
    """
    return f"one {noun}" if count == 1 else f"{count} {noun}s"


def unit_word(text: str) -> Unit | None:
    """Temperature unit a word stands for, or None.

    Examples
    --------
    >>> unit_word("°F"), unit_word("deg. Celsius"), unit_word("C°"), unit_word("bar"), unit_word("ok")
    ('F', 'C', 'C', None, None)
    """
    word = " ".join(tidy(text).lower().split())
    return _UNIT_WORDS.get(word) or (_unit_told(word) if word and len(word) <= _LONGEST_UNIT else None)


def _unit_told(word: str) -> Unit | None:
    found = _UNIT_PHRASE.fullmatch(word)
    letter = next(filter(None, found.groups()), "")[0] if found else ""
    units: dict[str, Unit] = {"c": "C", "f": "F", "k": "K", "o": "C"}
    return units.get(letter)


_SCALED = regular(
    r"(?:x ?)?(?:0[.,]1|1/10|tenths?(?: of)?|zehntel(?: ?grad)?|dixiemes?|decimas?) ?(?P<unit>[^0-9]+)|"
    r"(?P<unit2>[^0-9/*x]+?) ?(?:[*x×] ?10|/ ?10)"
)


_OF_SCALE = ("1", "tenth", "zehntel", "dixieme", "decima")  # one of which stands in whatever is scaled
_DECI: dict[str, Unit] = {"dc": "C", "d°c": "C", "df": "F", "d°f": "F", "dk": "K"}


def scaled_unit(text: str) -> tuple[Unit | None, float]:
    """Temperature unit in a heading, and what one of its numbers is worth: tenths of a degree are.

    Examples
    --------
    >>> scaled_unit("0.1 °C"), scaled_unit("°F"), scaled_unit("C x10"), scaled_unit("bar")
    (('C', 0.1), ('F', 1.0), ('C', 0.1), (None, 1.0))
    """
    word = " ".join(tidy(text).lower().split())
    if unit := unit_word(word):
        return unit, 1.0
    if word in _DECI:
        return _DECI[word], 0.1
    part = _SCALED.fullmatch(word) if any(sign in word for sign in _OF_SCALE) else None
    unit = unit_word(part["unit"] or part["unit2"]) if part else None
    return unit, 0.1 if unit else 1.0


def plain_numbers(cells: Sequence[str]) -> list[float] | None:
    """All cells as numbers with a decimal point, or None if one is anything else."""
    try:
        numbers = list(map(float, cells))
    except ValueError:
        return None
    # float() also takes "1_000", "nan" and "infinity", which nobody writes for a temperature
    if not math.isfinite(sum(numbers)) or "_" in "".join(cells):
        return None
    return numbers


def number(text: str, decimal: DecimalMark = ".") -> float | None:
    """Number in a cell, or None.

    Thousands marks are taken only where a decimal mark follows them: ``1.234`` never changes its size.

    Examples
    --------
    >>> number("85,5", ","), number("1.234,5", ","), number("85.5", ","), number("−3")
    (85.5, 1234.5, None, -3.0)
    """
    text = tidy(text).replace("−", "-")
    if _NUMBER[decimal].fullmatch(text):
        return float(text.replace(",", "."))
    if _GROUPED[decimal].fullmatch(text):
        thousands = "," if decimal == "." else "."
        return float(text.replace(thousands, "").replace(",", "."))
    return None


@lru_cache(maxsize=4096)
def measured(cell: str, decimal: DecimalMark = ".") -> Measured:
    """Temperature in a cell: ``148``, ``148,5 °C``, ``18 ± 2 C``; or why it is none.

    Examples
    --------
    >>> measured("148 °F").unit, measured("OL").code
    ('F', 'over_range')
    """
    text = tidy(cell).replace("−", "-")
    if plain := _with_unit(text, decimal):
        return plain
    if none := _no_reading(text):
        return none
    head, *rest = _PLUS_MINUS.split(text, maxsplit=1)
    if rest:
        return _with_sigma(head, rest[0], decimal)
    found = _CELL.fullmatch(text)
    value = number(found["number"], decimal) if found else None
    if found is None or value is None or not math.isfinite(value):
        return _none(_not_a_number(text, decimal))
    unit = unit_word(found["unit"]) if found["unit"] else None
    if found["unit"] and unit is None and found["unit"].strip().lower() not in _DEGREES:
        return _none("not a temperature; write a number, with °C, °F or K behind it if need be", "unit")
    return Measured(value=value, unit=unit)


def _with_unit(text: str, decimal: DecimalMark) -> Measured | None:
    """A figure, a blank and a unit, as most write them: in these no mark can be."""
    figure, _, word = text.partition(" ")
    if len(text) > _LONGEST or not (unit := unit_word(word)):
        return None
    value = number(figure, decimal)
    return None if value is None else Measured(value=value, unit=unit)


def _none(problem: str, code: SetAsideCode = "not_a_number") -> Measured:
    return Measured(value=math.nan, problem=problem, code=code)


def _with_sigma(head: str, tail: str, decimal: DecimalMark) -> Measured:
    value, sigma = measured(head, decimal), measured(tail, decimal)
    if value.problem or sigma.problem:
        return value if value.problem else sigma
    return Measured(value=value.value, unit=value.unit or sigma.unit, sigma=abs(sigma.value))


def _no_reading(text: str) -> Measured | None:
    if not text:
        return _none("no temperature in this row", "no_value")
    if marked := _marked(text):
        return marked
    if len(text) > _LONGEST:
        return _none("too long for a temperature")
    if bare_letters(text).startswith(cell_words().too_hot):
        return _none(_TOO_HOT, "over_range")
    if felt := cell_words().by_hand.get(bare_letters(text)):
        return _none(f"said to be {felt}, no figure; read it with the gun and write the figure", "by_hand")
    return _none(problem) if (problem := _no_plain_cell(text)) else None


def _marked(text: str) -> Measured | None:
    """A cell that is a mark for no reading, or holds one for over or under range beside whatever else."""
    if len(text) <= _LONGEST and (code := _mark_of(text)):
        return _none(NO_TEMPERATURE[code], code)
    mark = None if text.startswith(_FORMULA) else range_mark(text)
    return None if mark is None else _none(_MARKED[mark], mark)


def _no_plain_cell(text: str) -> str | None:
    if _NARROW.fullmatch(text):
        return "the cell was too narrow to show its figure; widen the column and export the log again"
    if "\x00" in text:
        return "NUL byte in the cell; export the file again"
    if text.startswith(_FORMULA):
        return "spreadsheet formula, never computed here; paste its value instead"
    if text.startswith("'"):
        return "text guard in front of the cell; store it as a number"
    return None


def _mark_of(text: str) -> SetAsideCode | None:
    """What a mark or word means that stands where the gun showed no figure."""
    for beyond, pattern in _BEYOND.items():
        if pattern.fullmatch(text):
            return beyond
    if _NO_READING.fullmatch(text):
        return "no_value"
    words, known = text, cell_words().no_temperature
    if text[-1] in "CFKcfk" and unit_word(text.rpartition(" ")[2]):  # "OL °C"
        words = text.rpartition(" ")[0]
    code = known.get(bare_letters(words)) if not words[:1].isdigit() else None
    return "under_range" if code == "over_range" and _BELOW_ZERO.match(text) else code


def beyond_figure(text: str) -> str:
    """The figure, with its unit if any, of a cell that says what the reading lies beyond; else empty.

    Examples
    --------
    >>> beyond_figure("> 500 °C"), beyond_figure("450+"), beyond_figure("OL")
    ('500 °C', '450', '')
    """
    text = tidy(text)
    found = next((match for one in _BEYOND.values() if (match := one.fullmatch(text))), None)
    if found is None:
        return ""
    parts = found.groupdict()
    return (parts["figure"] or (parts.get("before") or "") + (parts.get("unit") or "")).strip()


def _not_a_number(text: str, decimal: DecimalMark) -> str:
    other: DecimalMark = "," if decimal == "." else "."
    if number(text, other) is not None:
        return f'not a number with decimal mark "{decimal}"; use one mark in the whole file'
    return "not a number; write the temperature in figures"


def decimal_of(cells: Iterable[str]) -> DecimalMark | Literal["both"] | None:
    """Decimal mark that a column's cells use; None if no cell shows one, ``"both"`` if they contradict.

    Examples
    --------
    >>> decimal_of(["85,5", "80"]), decimal_of(["85.5"]), decimal_of(["85"]), decimal_of(["85,5", "85.5"])
    (',', '.', None, 'both')
    """
    seen: set[DecimalMark] = set()
    for cell in cells:
        mark = _mark_in(cell)
        if mark is not None:
            seen.add(mark)
    if len(seen) > 1:
        return "both"
    return seen.pop() if seen else None


_MARKS = regular(r"\d([.,])\d|^\s*[+-]?([.,])\d", re.ASCII)


def _mark_in(cell: str) -> DecimalMark | None:
    marks = [a or b for a, b in _MARKS.findall(cell)]
    if not marks or (len(marks) > 1 and marks[-1] == marks[-2]):  # 12.05.2031 is a date, 1.234.567 a count
        return None
    return "," if marks[-1] == "," else "."
