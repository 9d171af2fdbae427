"""One column heading: what its words and its unit say."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.cells import tidy, unit_word
from thermlog.reading.positions import looks_like_position
from thermlog.words.units import Unit

Role: TypeAlias = Literal[
    "time", "date", "position", "axle", "side", "vehicle_part", "temperature", "unit", "vehicle", "drive",
    "spot", "ambient", "emissivity", "distance", "round", "note", "seen", "who", "wheel", "moment",
]  # fmt: skip
TimeUnit: TypeAlias = Literal["s", "min", "h"]

# Words of seven languages: common practice, no source.
_ROLE_WORDS: dict[Role, str] = {
    "time": "time|t|elapsed|elapsed time|seconds|second|sec|secs|minutes|minute|clock|clock time|time of day|"
    "timestamp|time stamp|datetime|date time|date and time|local time|zeit|uhrzeit|zeitpunkt|zeitstempel|"
    "sekunden|minuten|temps|heure|horodatage|hora|tiempo|tempo|ora|orario|tijd|tijdstip|tid|klokkeslett|"
    "czas|godzina|cas|measured at|taken at|read at|when|hh mm ss|mm ss|hh mm|h mm|m ss",
    "date": "date|day|datum|tag|fecha|data|dato|jour|dia|giorno|dzien",
    "position": "position|pos|wheel|wheel position|corner|location|place|wheel end|wheelend|where|point|rad|"
    "radposition|roue|rueda|ruota|roda|wiel|hjul|kolo|posicion|posizione|posicao|pozycja|stelle|"
    "emplacement|brake|brake position|bremse|frein|freno|freio|measuring point|messpunkt|messstelle",
    "axle": "axle|axle no|axle number|ax|achse|essieu|eje|asse|eixo|aksel|axel|axle nr|end",
    "side": "side|seite|cote|lado|lato|kant|side of vehicle|hand|left right|l r|strona|strana|zijde",
    "vehicle_part": "part|vehicle part|tractor trailer|part of combination|vehicle unit|section",
    "temperature": "temperature|temp|reading|value|ir|indicated|celsius|fahrenheit|kelvin|degc|degf|"
    "temperatur|temperatura|messwert|wert|valeur|valor|valore|mesure|measured|result|heat|temperatuur|teplota|temper",
    "unit": "unit|units|einheit|unite|unidad|unita|unidade|eenheid|enhet|scale|temp unit|temperature unit",
    "vehicle": "vehicle|vehicle id|vehicle name|truck|car|van|bus|fleet no|fleet number|registration|plate|"
    "fahrzeug|kennzeichen|vehicule|vehiculo|veicolo|veiculo|voertuig|kjoretoy|fordon|pojazd|vozidlo",
    "drive": "drive|run|drive type|test drive|drive kind|fahrt|trajet|recorrido|prova|rit|test|phase",
    "spot": "spot|target|surface|component|aimed at|aim|part of brake|messfleck|bauteil|cible|objetivo",
    "ambient": "ambient|ambient temperature|ambient temp|air|air temperature|air temp|outside|outside temp|"
    "outside temperature|shop temperature|umgebung|umgebungstemperatur|aussentemperatur|luft|ambiante|"
    "temperature ambiante|ambiente|temperatura ambiente|omgeving|omgivelse|omgivning|otoczenie|okoli|t amb",
    "emissivity": "emissivity|emiss|epsilon|emissionsgrad|emissivite|emisividad|emissivita",
    "distance": "distance|range|abstand|distancia|distanza|afstand|gun distance",
    "round": "round|lap|pass|walk|runde|tour|vuelta|giro|ronde|series|no|nr|number|index|row|#|n|seq",
    "note": "note|notes|comment|comments|remark|remarks|bemerkung|remarque|nota|notas|notiz|opmerking",
    "seen": "seen|observed|observation|observations|gesehen|beobachtung|vu|observe|visto|observado|gezien|"
    "sett|widziane|videno",
    "who": "by|technician|operator|user|gun|device|battery",
}
_ROLES: dict[str, Role] = {word: role for role, words in _ROLE_WORDS.items() for word in words.split("|")}
_TIME_UNITS: dict[str, TimeUnit] = {
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "sekunden": "s", "secondes": "s",
    "min": "min", "mins": "min", "minute": "min", "minutes": "min", "minuten": "min",
    "h": "h", "hr": "h", "hrs": "h", "hours": "h", "hour": "h", "stunden": "h",
}  # fmt: skip
_STYLES: dict[str, TimeUnit] = {"hh mm": "h", "h mm": "h", "mm ss": "min", "m ss": "min"}
_CLOCK_WORDS = frozenset(
    ("clock", "clock time", "time of day", "local time", "uhrzeit", "heure", "klokkeslett", "godzina", "hora",
     "orario", "tijdstip")
)  # fmt: skip
_LENGTH_TO_M = {
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "in": 0.0254,
    "ft": 0.3048,
}  # inch and foot exact, NIST SP 811
_BRACKETS = re.compile(r"[(\[{]([^)\]}]*)[)\]}]?")
_SEPARATORS = re.compile(r"[\s_./,:;\-–]+")
_SINCE_PARKED = re.compile(
    r"\b(?:since|after|from) (?:the )?(?:parked|parking|stop|stopping|stopped|standstill)\b|"
    r"\bseit (?:dem )?(?:abstellen|halt|stillstand)\b|\bt parked\b|\bparked for\b"
)
_TEMP_TOKEN = re.compile(r"\b(?:temp(?:erature|eratur|eratura|eratuur)?|reading|ir|value)\b")
_TIME_TOKEN = re.compile(r"\b(?:time|t|zeit|uhrzeit|temps|heure|hora|tijd|tid|clock|elapsed)\b")
_MOMENT = re.compile(
    r"(?:t ?=? ?|after |at |\+)?"
    r"(?P<moment>(?:\d{4}-\d{2}-\d{2}[t ])?\d{1,2}:\d{2}(?::\d{2})?(?: ?[ap]m)?|\d+(?:[.,]\d+)?)"
    r"(?: ?(?P<unit>s|sec|secs|seconds|min|mins|minutes|h|hours))?"
)
_ROUND = re.compile(
    r"(?:round|runde|tour|pass|lap|walk|reading|temp|temperature|temperatur|temperatura|measurement|mesure|"
    r"messung|test|no|nr|#|t) ?(?P<number>\d{1,2})|(?P<ordinal>\d{1,2})(?:st|nd|rd|th)(?: round| reading)?"
)
_TIME_ROUND = re.compile(r"(?:time|zeit|temps|hora|tijd|tid|t) ?(?P<number>\d{1,2})")


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
    time_unit : {"s", "min", "h"} or None
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


@lru_cache(maxsize=4096)
def plain_words(text: str) -> str:
    """Lower case, without accents, separators as single spaces.

    Examples
    --------
    >>> plain_words("Température_(°C)")
    'temperature (°c)'
    """
    text = tidy(text).lower().replace("ß", "ss").replace("ø", "o").replace("ł", "l")
    parts = unicodedata.normalize("NFD", text)
    plain = "".join(letter for letter in parts if not unicodedata.combining(letter))
    return _SEPARATORS.sub(" ", plain).strip()


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
    found = _unit_stated(Heading(text=text), plain)
    words = _without_units(plain)
    return _with_role(found, words, plain)


def _unit_stated(heading: Heading, plain: str) -> Heading:
    """Units in brackets, or as the last word of several."""
    inside = [part.strip() for part in _BRACKETS.findall(plain)]
    rest = _BRACKETS.sub(" ", plain).split()
    candidates = inside + ([rest[-1]] if len(rest) > 1 else [])
    if len(rest) > 1 and rest[-2] in {"deg", "degrees", "grad", "in"}:
        candidates.append(f"deg {rest[-1]}")
    for word in candidates:
        heading = replace(
            heading,
            unit=unit_word(word) or heading.unit,
            time_unit=_TIME_UNITS.get(word) or _STYLES.get(word) or heading.time_unit,
            metres=_LENGTH_TO_M.get(word) or heading.metres,
        )
    whole = _TIME_UNITS.get(plain) if len(plain) > 2 else None
    return replace(heading, time_unit=whole or _STYLES.get(plain) or heading.time_unit)


def _without_units(plain: str) -> str:
    tokens = _BRACKETS.sub(" ", plain).split()
    while len(tokens) > 1 and _is_unit(tokens[-1]):
        tokens.pop()
        if len(tokens) > 1 and tokens[-1] in {"deg", "degrees", "grad", "in"}:
            tokens.pop()
    return " ".join(tokens)


def _is_unit(token: str) -> bool:
    return unit_word(token) is not None or token in _TIME_UNITS or token in _LENGTH_TO_M


def _with_role(heading: Heading, words: str, plain: str) -> Heading:
    if words in _ROLES:
        return _known_role(heading, _ROLES[words], words)
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
    if moment := _MOMENT.fullmatch(_BRACKETS.sub("", heading.text.lower()).strip()):
        unit = _TIME_UNITS.get(moment["unit"] or "") or heading.time_unit
        return replace(heading, role="moment", moment=moment["moment"], time_unit=unit)
    return None


def _known_role(heading: Heading, role: Role, words: str) -> Heading:
    if role == "unit" and heading.unit:  # "unit (C)" says nothing sure
        return replace(heading, role="unit", unit=None)
    if role == "temperature" and heading.unit is None:
        return replace(heading, role=role, unit=unit_word(words))
    return replace(heading, role=role, of_day=words in _CLOCK_WORDS)


def _wheel_or_phrase(heading: Heading, words: str) -> Heading:
    """A wheel, a wheel's own time column, or a phrase that holds a known word."""
    without_temp = _TEMP_TOKEN.sub(" ", words).strip()
    if without_temp and looks_like_position(without_temp):
        return replace(heading, role="wheel", wheel=" ".join(without_temp.split()))
    without_time = _TIME_TOKEN.sub(" ", words).strip()
    if without_time and without_time != words and looks_like_position(without_time):
        return replace(heading, role="time", wheel=" ".join(without_time.split()))
    return replace(heading, role=_role_in_phrase(words))


_PHRASE_ROLES: tuple[Role, ...] = (
    "ambient",
    "emissivity",
    "distance",
    "temperature",
    "time",
    "position",
    "vehicle",
)


def _role_in_phrase(words: str) -> Role | None:
    tokens = set(words.split())
    long_words = {token for token in tokens if len(token) > 3 or token in {"temp", "air"}}
    roles = {_ROLES[token] for token in long_words if token in _ROLES}
    if "ambient" in roles:
        return "ambient"
    roles -= {"note", "who"}
    hits = [role for role in _PHRASE_ROLES if role in roles]
    return hits[0] if hits and not (tokens & {"set", "max", "min", "mean", "average", "delta"}) else None
