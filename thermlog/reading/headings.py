"""One column heading: what its words and its unit say."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.cells import scaled_unit, tidy, unit_word
from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.resolve import looks_like_position, spot_of
from thermlog.reading.vocabulary import (
    BRAKE_PARTS,
    CLOCK_WORDS,
    COUNTDOWN_WORDS,
    DIGIT_STYLES,
    HARMLESS_IN_TIME,
    HEADINGS,
    ROLES,
    SINCE,
    STYLES,
    TIME_UNITS,
    TWO_MEANINGS_OF_TIME,
    FiguresOf,
    TimeUnit,
)
from thermlog.words.columns import PHRASES, Role
from thermlog.words.regular import regular
from thermlog.words.units import Unit
from thermlog.words.vehicle import Spot

_TELLING_PARTS: frozenset[Spot | None] = frozenset({"hub", "rim", "caliper"})  # of a tyre: its pressure
_OF_UNIT = frozenset({"deg", "degrees", "grad", "in"})  # before a letter that is a unit
_LENGTH_TO_M = {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048}  # exact, NIST SP 811
_BRACKETS = regular(r"[(\[{]([^)\]}]*)[)\]}]?")
_SEPARATORS = regular(r"[\s_./,:;\-–]+")
_SINCE_PARKED = regular(
    r"\b(?:since|after|from) (?:the )?(?:parked|parking|stop|stopping|stopped|standstill)\b|"
    r"\bseit (?:dem )?(?:abstellen|halt|stillstand)\b|\bt parked\b|\bparked for\b"
)
_PART_OF_SECOND = regular(r"(?:x ?)?(?P<part>0[.,]0{0,2}1|1/1000?|1/10) ?(?:s|secs?|seconds?|sek|sekunden)")
_TENTHS = regular(r"(?:\bx ?|[*×] ?)10\b|\btenths?\b|\bzehntel")
_PARTS: dict[str, TimeUnit] = {
    "0.1": "ds", "0,1": "ds", "1/10": "ds", "0.01": "cs", "0,01": "cs", "1/100": "cs", "0.001": "ms",
    "0,001": "ms", "1/1000": "ms",
}  # fmt: skip
_NO_TEMPERATURE_UNIT = frozenset(
    ["r", "°r", "ra", "rankine", "re", "reaumur", "mv", "uv", "v", "volt", "raw", "counts", "adc"]
)


def _one_of(words: Iterable[str]) -> str:
    """Pattern of any of these words, the longest first."""
    return "|".join(sorted(map(re.escape, words), key=len, reverse=True))


_MOMENT = regular(
    r"(?:t ?=? ?|after |at |\+)?"
    r"(?P<moment>(?:\d{4}-\d{2}-\d{2}[t ])?\d{1,2}:\d{2}(?::\d{2})?(?: ?[ap]m)?|\d+(?:[.,]\d+)?)"
    rf"(?: ?(?P<unit>{_one_of(word for word, unit in TIME_UNITS.items() if unit in {'s', 'min', 'h'})}))?"
)
_SPOKEN = 3  # letters of a word that is no sign
_TEMP_WORDS, _TIME_WORDS = (_one_of(HEADINGS[role].split("|")) for role in ("temperature", "time"))
# "n1", "no 2" and "#3" number anything, and rounds the least often.
_ROUND_WORDS = _one_of(word for word in HEADINGS["round"].split("|") if len(word) >= _SPOKEN)
_ROUND = regular(
    rf"(?:{_ROUND_WORDS}|measurement|messung|test|t|{_TEMP_WORDS}) ?"
    r"(?P<number>\d{1,2})|"
    r"(?P<ordinal>\d{1,2})(?:st|nd|rd|th)(?: round| reading)?"
)
_TEMP_TOKEN = regular(rf"\b(?:{_TEMP_WORDS})\b")
_TEMP_STEM = "temperat"
_TEMP_ENDING = regular(rf"(?<=\w{{3}}){_TEMP_STEM}(?:ur|uur|ura|ure|uren)$")
_TIME_TOKEN = regular(rf"\b(?:{_TIME_WORDS})\b")
_TIME_ROUND = regular(rf"(?:{_TIME_WORDS}) ?(?P<number>\d{{1,2}})")


class Heading(Struct, frozen=True, kw_only=True):
    """What one column heading says.

    Attributes
    ----------
    text : str
        As written, tidied.
    role : Role or None
        None if no rule knows the words. ``"wheel"``: the column is one wheel; ``"moment"``: one time or
        round of several wheels.
    unit : Unit or None
        Temperature unit stated.
    time_unit : TimeUnit or None
        Time unit stated.
    metres : float or None
        Length of the distance unit stated [m].
    wheel : str
        Position words of a wheel column, or of a time column that belongs to a wheel.
    moment : str or None
        Time written in the heading of a moment column.
    number : int or None
        Round number written in the heading.
    since_parked : bool
        True if the heading says that time counts from the stop.
    of_day : bool
        True if the heading says that times are times of day.
    digits : bool
        True if they are written in digits alone: 140310.
    countdown : bool
        True if the heading says that time runs down.
    strange_unit : str
        Where a unit should stand and none is known.
    factor : float
        What one of the numbers is worth in `unit`.
    """

    text: str
    role: Role | None = None
    unit: Unit | None = None
    time_unit: TimeUnit | None = None
    metres: float | None = None
    wheel: str = ""
    moment: str | None = None
    number: int | None = None
    since_parked: bool = False
    of_day: bool = False
    digits: bool = False
    countdown: bool = False
    strange_unit: str = ""
    factor: float = 1.0


@lru_cache(maxsize=4096)
def plain_words(text: str) -> str:
    """Lower case, without accents, separators as single spaces.

    Examples
    --------
    >>> plain_words("Température_(°C)")
    'temperature (°c)'
    """
    return _SEPARATORS.sub(" ", without_accents(tidy(text).lower())).strip()


def without_accents(text: str) -> str:
    """Lower case text without accents, its marks kept.

    Examples
    --------
    >>> without_accents("température außen")
    'temperature aussen'
    """
    if text.isascii():
        return text
    text = text.replace("ß", "ss").replace("ø", "o").replace("ł", "l").replace("ı", "i")
    parts = unicodedata.normalize("NFD", text)
    return "".join(letter for letter in parts if not unicodedata.combining(letter))


@lru_cache(maxsize=4096)
def read_heading(cell: str) -> Heading:
    """Meaning of one heading.

    Examples
    --------
    >>> read_heading("temp_degc").role, read_heading("temp_degc").unit
    ('temperature', 'C')
    >>> read_heading("Zeit [min]").time_unit, read_heading("Front left (°F)").wheel
    ('min', 'front left')
    """
    text = tidy(cell)
    if not text or len(text) > 120:
        return Heading(text=text)
    plain = plain_words(text)
    found = _unit_stated(Heading(text=text), text.lower(), plain)
    words = _without_units(plain)
    return _told(_with_role(found, words, plain), words, plain)


@lru_cache(maxsize=1024)
def part_named(cell: str) -> Spot | None:
    """Part of a wheel end that a heading of temperatures names; None if it names none, or says more.

    Examples
    --------
    >>> part_named("tyre temp (C)"), part_named("hub_c"), part_named("Reifentemperatur [°C]")
    ('tyre_outer', 'hub', 'tyre_outer')
    >>> part_named("temp_c")
    """
    words = _beside_temperature(cell)
    tokens = [_TEMP_ENDING.sub("", word) if _TEMP_STEM in word else word for word in words]
    return spot_of(" ".join(tokens)) or spot_of(" ".join(token[:-1] for token in tokens)) if tokens else None


@lru_cache(maxsize=1024)
def side_named(cell: str) -> str:
    """Words of a heading of temperatures that name a side of an axle and no axle; empty for any other.

    Examples
    --------
    >>> side_named("left_c"), side_named("rechts [°C]"), side_named("front left"), side_named("hub_c")
    ('left', 'rechts', '', '')
    """
    words = " ".join(_beside_temperature(cell))
    known = bool(words) and looks_like_position(f"1 {words}") and not looks_like_position(words)
    return words if known and not any(map(str.isdigit, words)) else ""


def figures_named(cell: str) -> FiguresOf | None:
    """What the figures of a column beside that of the temperatures are: "max (C)", "corrected", "hub".

    Examples
    --------
    >>> figures_named("max (C)"), figures_named("average temp"), figures_named("corrected")
    ('most', 'mean', 'again')
    >>> figures_named("Nabe"), figures_named("tyre"), figures_named("max allowed (C)")
    ('part', None, None)
    """
    words, table = {word.upper() for word in _beside_temperature(cell)}, cell_words()
    kinds: dict[FiguresOf, frozenset[str]] = {
        "most": table.highest,
        "mean": table.average,
        "again": table.again,
    }
    named = (kind for kind, known in kinds.items() if words and words <= known)
    return next(named, "part" if part_named(cell) in _TELLING_PARTS else None)


def _beside_temperature(cell: str) -> list[str]:
    """Words of a heading without its unit and the words for a temperature."""
    words = _without_units(plain_words(tidy(cell)))
    return [] if ROLES.get(words) == "temperature" else _TEMP_TOKEN.sub(" ", words).split()


def _unit_stated(heading: Heading, text: str, plain: str) -> Heading:
    """Units in brackets, or as the last word of several."""
    inside = [part.strip() for part in _BRACKETS.findall(text)]
    rest = _BRACKETS.sub(" ", plain).split()
    candidates = inside + ([rest[-1]] if len(rest) > 1 else [])
    if len(rest) > 1 and rest[-2] in _OF_UNIT:
        candidates.append(f"deg {rest[-1]}")
    for word in candidates:
        unit, factor = scaled_unit(word)
        heading = replace(
            heading,
            unit=unit or heading.unit,
            factor=factor if unit else heading.factor,
            time_unit=_time_unit(word) or heading.time_unit,
            metres=_LENGTH_TO_M.get(word) or heading.metres,
        )
    if heading.unit and _TENTHS.search(_BRACKETS.sub(" ", plain)):
        heading = replace(heading, factor=0.1)
    since = len(rest) > 1 and rest[1] in SINCE
    first = TIME_UNITS.get(rest[0]) if since else None
    whole = TIME_UNITS.get(plain) if len(plain) > 2 and plain not in TWO_MEANINGS_OF_TIME else None
    strange = next((w for w in inside if _says_nothing_known(w)), "")
    return replace(
        heading,
        time_unit=whole or STYLES.get(plain) or first or heading.time_unit,
        digits=not DIGIT_STYLES.isdisjoint([plain.replace(" ", ""), *inside, *rest]),
        strange_unit=strange,
    )


def _time_unit(text: str) -> TimeUnit | None:
    """Unit of time a word stands for: ms, [ms], 0.1 s, hh:mm."""
    if "1" in text and (part := _PART_OF_SECOND.fullmatch(text)):
        return _PARTS[part["part"]]
    word = plain_words(text)
    word = word.removeprefix("in ").removeprefix("en ")
    return TIME_UNITS.get(word) or STYLES.get(word)


def _says_nothing_known(text: str) -> bool:
    word = plain_words(text)
    known = _time_unit(text) or scaled_unit(text)[0] or word in HARMLESS_IN_TIME or word in _LENGTH_TO_M
    return not (known or not word or set(word.split()) <= HARMLESS_IN_TIME)


def _without_units(plain: str) -> str:
    tokens = _BRACKETS.sub(" ", plain).split()
    if " ".join(tokens) in ROLES:
        return " ".join(tokens)
    while len(tokens) > 1 and _is_unit(tokens[-1]):
        tokens.pop()
        if len(tokens) > 1 and tokens[-1] in _OF_UNIT:
            tokens.pop()
    return " ".join(tokens)


def _is_unit(token: str) -> bool:
    return unit_word(token) is not None or token in TIME_UNITS or token in _LENGTH_TO_M


def _told(heading: Heading, words: str, plain: str) -> Heading:
    """What else a heading of times or temperatures says."""
    if heading.role == "temperature":
        odd = next(
            (w for w in (heading.strange_unit, plain.rsplit(maxsplit=1)[-1]) if w in _NO_TEMPERATURE_UNIT), ""
        )
        return replace(heading, strange_unit="" if heading.unit else odd)
    if heading.role != "time":
        return replace(heading, strange_unit="")
    if heading.unit and not heading.time_unit and words == "t":  # T (°C)
        return replace(heading, role="temperature", strange_unit="")
    countdown = not COUNTDOWN_WORDS.isdisjoint([*plain.split(), words])
    free = heading.wheel or heading.number or heading.since_parked
    strange = heading.strange_unit or ("" if free else _strange_words(words))
    known = heading.time_unit is not None or countdown
    return replace(heading, countdown=countdown, strange_unit="" if known else strange)


def _strange_words(words: str) -> str:
    """Words of a time heading that may be a unit nobody knows."""
    if words in ROLES:
        return ""
    left = [
        token
        for token in words.split()
        if ROLES.get(token) != "time" and token not in HARMLESS_IN_TIME and not token.isdigit()
    ]
    return " ".join(left)


def _with_role(heading: Heading, words: str, plain: str) -> Heading:
    if words in ROLES:
        return _known_role(heading, ROLES[words], words)
    if _SINCE_PARKED.search(plain):
        return replace(heading, role="time", since_parked=True)
    if numbered := _numbered(heading, words):
        return numbered
    if len(words) > 1 and (unit := unit_word(words)):
        return replace(heading, role="temperature", unit=unit)
    return _wheel_or_phrase(heading, words)


def _numbered(heading: Heading, words: str) -> Heading | None:
    """A column of one round or one time of a file with a row a wheel, or the times of one round."""
    time = _TIME_ROUND.fullmatch(words)
    if time and (heading.time_unit or (not words.startswith("t ") and len(words) > 3)):
        return replace(heading, role="time", number=int(time["number"]))
    if round_ := _ROUND.fullmatch(words):
        return replace(heading, role="moment", number=int(round_["number"] or round_["ordinal"]))
    if moment := _MOMENT.fullmatch(_BRACKETS.sub("", without_accents(heading.text.lower())).strip()):
        unit = TIME_UNITS.get(moment["unit"] or "") or heading.time_unit
        return replace(heading, role="moment", moment=moment["moment"], time_unit=unit)
    return None


def _known_role(heading: Heading, role: Role, words: str) -> Heading:
    if role == "unit" and heading.unit:  # "unit (C)" says nothing sure
        return replace(heading, role="unit", unit=None)
    if role == "temperature" and heading.unit is None:
        return replace(heading, role=role, unit=unit_word(words))
    if role == "position" and heading.unit and words in BRAKE_PARTS:  # "brake (C)" holds no wheels
        return replace(heading, role="temperature")
    return replace(heading, role=role, of_day=words in CLOCK_WORDS)


def _wheel_or_phrase(heading: Heading, words: str) -> Heading:
    """A wheel, a wheel's own time column, or a phrase that holds a known word."""
    without_temp = _TEMP_TOKEN.sub(" ", words).strip()
    if without_temp and looks_like_position(without_temp):
        return replace(heading, role="wheel", wheel=" ".join(without_temp.split()))
    without_time = _TIME_TOKEN.sub(" ", words).strip()
    if without_time and without_time != words and looks_like_position(without_time):
        return replace(heading, role="time", wheel=" ".join(without_time.split()))
    return replace(heading, role=_role_in_phrase(words))


def _role_in_phrase(words: str) -> Role | None:
    tokens = set(words.split())
    long_words = {token for token in tokens if len(token) > 3 or token in {"temp", "air"}}
    roles = {ROLES[token] for token in long_words if token in ROLES}
    if "ambient" in roles:
        return "ambient"
    roles -= {"note", "who", "gun"}
    hits = [role for role in PHRASES if role in roles]
    return hits[0] if hits and not (tokens & {"set", "max", "min", "mean", "average", "delta"}) else None
