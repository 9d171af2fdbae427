"""Wheel positions: from the words of a log to axle and side, decided by the file's whole set of words."""

from __future__ import annotations

from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.reading.positions.axles import NamedBy, named_by, number_axles
from thermlog.reading.positions.meanings import Meaning, Parsed
from thermlog.reading.positions.trailerletters import is_plain_code, trailer_letters
from thermlog.reading.positions.words import (
    SHORT_CODE,
    inner_spot,
    parse_all,
    parse_position,
    take_spot,
    tokens_of,
    word_table,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from thermlog.reading.vocabulary import AxleCount, VehicleSide
    from thermlog.words.vehicle import Side, Spot


class PositionRules(Struct, frozen=True, kw_only=True):
    """What the user told about position words.

    Attributes
    ----------
    traffic_side : {"left", "right"}, optional
        Side of the road traffic keeps to; the near side is that side.
    driver_side : {"left", "right"}, optional
        Side of the vehicle the driver sits on.
    language : str, optional
        One of the languages of `words.word_table`; its codes are then read whatever else is in the file.
    axle_count : {"combined", "per_unit"}, optional
        Whether trailer axles are counted on from the tractor's or start again at 1.
    traffic_by_words : bool
        Whether the words "nearside" and "offside" may tell `traffic_side`, or told it.
    """

    traffic_side: VehicleSide | None = None
    driver_side: VehicleSide | None = None
    language: str | None = None
    axle_count: AxleCount | None = None
    traffic_by_words: bool = False


class Position(Struct, frozen=True, kw_only=True):
    """One wheel end: axle number from the front of the whole combination, and the vehicle's own side.

    `leads` is true where the words speak of axles behind it, as "front left" does. `named_by` is "number"
    where the words count its axle as we do, "end" for front and rear of the only unit, else "other".
    """

    axle: int
    side: Side
    spot: Spot | None = None
    leads: bool = False
    note: str | None = None
    named_by: NamedBy = "other"


class PositionProblem(Struct, frozen=True, kw_only=True):
    """A position text that cannot be read without guessing.

    `problem` is one sentence with the cure; `code` a key of [refuse] in positions.toml, or ``"set"`` where
    the codes of the file are no set.
    """

    text: str
    problem: str
    code: str = "set"


class PositionSet(Struct, frozen=True, kw_only=True):
    """Every distinct position text of a file, read or refused.

    Attributes
    ----------
    known, problems : mapping from the text as given
        Each text is in exactly one of them.
    language : str or None
        Language that decided the codes; two joined by "or" where they agree; None if none was needed.
    notes : tuple of str
        What was decided, and why.
    """

    known: Mapping[str, Position]
    problems: Mapping[str, PositionProblem]
    language: str | None
    notes: tuple[str, ...]


def spot_of(text: str) -> Spot | None:
    """Spot named by a cell of a spot column; None if the words are not known.

    Examples
    --------
    >>> spot_of("rotor, inner face"), spot_of("Hub"), spot_of("door")
    ('rotor_inner', 'hub', None)
    """
    spot, rest = take_spot(tokens_of(text), wheel_is_spot=True)
    known = word_table().filler | word_table().duals.keys()
    return spot if known.issuperset(rest) else None


def looks_like_position(text: str) -> bool:
    """Whether the text alone could be a wheel position, in any language.

    Examples
    --------
    >>> looks_like_position("axle 3 left outer"), looks_like_position("VL"), looks_like_position("12")
    (True, True, False)
    """
    if text.strip().upper() in word_table().side_headings:
        return False
    return bool(parse_position(text, wheel_is_spot=False).meanings)


def resolve_positions(texts: Iterable[str], rules: PositionRules) -> PositionSet:
    """Read all position texts of one file together.

    Parameters
    ----------
    texts : iterable of str
        Position cells or column headings as written; repeats do no harm.
    rules : PositionRules
        What the user told.

    Returns
    -------
    PositionSet
        Nothing is guessed: a text with two meanings the file does not decide is among the problems.

    Examples
    --------
    >>> german = resolve_positions(["VL", "VR", "HL", "HR"], PositionRules())
    >>> german.language, german.known["HR"].axle, german.known["HR"].side
    ('german', 2, 'R')
    """
    return _resolve(tuple(sorted(set(texts))), rules)


class _Sheet(Struct, kw_only=True):
    """The texts of one file while they are decided."""

    rules: PositionRules
    parsed: dict[str, Parsed]
    languages: tuple[str, ...] = ()
    clash: str = ""
    chosen: dict[str, Meaning] = field(default_factory=dict)
    axles: dict[str, int] = field(default_factory=dict)
    by_road: set[str] = field(default_factory=set)  # words whose side hangs on the road, or on the driver
    problems: dict[str, PositionProblem] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def refuse(self, text: str, why: str) -> None:
        known = word_table().refuse
        self.chosen.pop(text, None)
        self.problems[text] = PositionProblem(
            text=text, problem=known.get(why, why), code=why if why in known else "set"
        )


@lru_cache(maxsize=1024)
def _resolve(texts: tuple[str, ...], rules: PositionRules) -> PositionSet:
    sheet = _Sheet(rules=rules, parsed=parse_all(texts))
    if not rules.language:
        letters, note = trailer_letters(sheet.parsed)
        sheet.parsed |= letters
        sheet.notes += note
    _decide_language(sheet)
    for text, parsed in sheet.parsed.items():
        _choose(sheet, text, parsed)
    _need_support(sheet)
    _settle_sides(sheet)
    _number_axles(sheet)
    _note_wheel(sheet)
    return PositionSet(
        known=MappingProxyType({text: _position(sheet, text) for text in sheet.chosen}),
        problems=MappingProxyType(sheet.problems),
        language=" or ".join(sheet.languages) or None,
        notes=tuple(sheet.notes),
    )


def _note_wheel(sheet: _Sheet) -> None:
    """How a bare "wheel" is read; beside a part that is named it says nothing."""
    bare = {text for text in sheet.chosen if word_table().spot_or_filler.intersection(tokens_of(text))}
    bare = {text for text in bare if parse_position(text, wheel_is_spot=False).spot is None}
    for spot, word in (("rim", "wheel"), ("hub", "wheel end")):
        if spot in {sheet.parsed[text].spot for text in bare}:
            sheet.notes.append(f'"{word}" is taken as the {spot}, because the file names other spots too')
    if bare and not any(p.spot for p in sheet.parsed.values()):
        sheet.notes.append('"wheel" is taken as part of the position: no other word of the file names a spot')


# ---- which language -------------------------------------------------------------------------------------


def _decide_language(sheet: _Sheet) -> None:
    """Accept a set of codes only as a whole."""
    table = word_table()
    codes = {p.code: _corners(p) for p in sheet.parsed.values() if any(m.language for m in p.meanings)}
    named = (sheet.rules.language or "").casefold()
    if named in table.languages:
        sheet.languages = (named,)
        sheet.notes.append(f"position codes are read as {named.title()}, as stated")
        return
    if named and named != "english":
        sheet.notes.append(f'language "{named}" has no codes here; known are {", ".join(table.languages)}')
    fits = tuple(name for name in table.languages if codes and all(name in c for c in codes.values()))
    foreign = [p.code for p in sheet.parsed.values() if is_plain_code(p)]
    sheet.clash = _clash(codes, fits, [] if named else foreign) if named != "english" else _not_english()
    if not sheet.clash:
        sheet.languages = fits
        _note_language(sheet, codes, fits)


def _corners(parsed: Parsed) -> dict[str, tuple[str, str]]:
    return {m.language: (m.end, m.side) for m in parsed.meanings if m.language}


def _not_english() -> str:
    return "no English position code; write FL, FR, RL or RR, or name its language with --language"


def _clash(codes: dict[str, dict[str, tuple[str, str]]], fits: tuple[str, ...], foreign: list[str]) -> str:
    """Why the codes are no set; empty if they are one."""
    short = [code for code in codes if len(code) <= SHORT_CODE]
    if not short:
        return ""
    if not fits or foreign:
        return _mixed({code: " or ".join(codes[code]) for code in codes}, foreign)
    unclear = [code for code in short if code in word_table().refuse_words["ambiguous"]]
    if len(unclear) > len(codes) - len(unclear):
        reading = f"{', '.join(unclear)} may mean other things than in {fits[0].title()}"
        return f"{reading}; write FL or 3R, or {_cure(fits)}"
    if any(len({c[name] for name in fits}) > 1 for c in codes.values()):
        return f"the codes fit {' and '.join(fits)}, which mean different wheels by them; {_cure(fits)}"
    return ""


def _mixed(languages: dict[str, str], foreign: list[str]) -> str:
    groups: dict[str, list[str]] = {}
    for code, names in languages.items():
        groups.setdefault(names.title().replace(" Or ", " or "), []).append(code)
    if foreign:
        groups["codes of any language"] = foreign
    parts = [f"{', '.join(members)} ({name})" for name, members in groups.items()]
    named = tuple(dict.fromkeys(name for names in languages.values() for name in names.split(" or ")))
    return f"the short codes of this file mix {' with '.join(parts)}; use one set, or {_cure(named)}"


def _cure(names: tuple[str, ...]) -> str:
    return "say " + " or ".join(f"--language {name}" for name in names)


def _note_language(
    sheet: _Sheet, codes: dict[str, dict[str, tuple[str, str]]], fits: tuple[str, ...]
) -> None:
    if not fits:
        return
    reading = ", ".join(codes)
    names = " and ".join(name.title() for name in fits)
    agree = ", which agree on them" if len(fits) > 1 else ""
    sheet.notes.append(f"{reading}: read as {names}{agree}; all short codes of the file belong to that set")


# ---- which meaning --------------------------------------------------------------------------------------


def _choose(sheet: _Sheet, text: str, parsed: Parsed) -> None:
    """Take the one meaning the file leaves, or refuse."""
    long_word = len(parsed.code) > SHORT_CODE
    left = [m for m in parsed.meanings if not m.language or long_word or m.language in sheet.languages]
    if len({replace(m, language="", dual="", style=()) for m in left}) == 1:
        sheet.chosen[text] = max(left, key=lambda m: (len(m.style), m.dual == _dual_here(sheet, text)))
        return
    sheet.refuse(text, _why_unread(sheet, parsed, several=bool(left)))


def _dual_here(sheet: _Sheet, text: str) -> str:
    """Which wheel 3LI means: the inner one beside a tyre or other wheels of pairs, else none."""
    if sheet.parsed[text].spot == "tyre_outer":
        return "inner"
    others = (p for other, p in sheet.parsed.items() if other != text)
    return "inner" if any(p.meanings and all(m.dual for m in p.meanings) for p in others) else ""


def _why_unread(sheet: _Sheet, parsed: Parsed, *, several: bool) -> str:
    words = word_table().refuse_words
    if parsed.code.isdigit():
        return "bare_number"
    if parsed.meanings and not several:
        named = f"is no {sheet.languages[0].title()} code; write FL, FR, RL or RR" if sheet.languages else ""
        return sheet.clash or named
    if parsed.code in words["compass"]:
        return "compass"
    if several or parsed.code in words["ambiguous"] or parsed.code in word_table().words:
        return "ambiguous"
    return "no_side" if parsed.sideless else "unknown"


def _need_support(sheet: _Sheet) -> None:
    """Refuse letters that count only beside others of the file, such as R1 without L1."""
    table = word_table()
    seen = {style for meaning in sheet.chosen.values() for style in meaning.style}
    for text, meaning in list(sheet.chosen.items()):
        for style in meaning.style:
            rule = table.support[style]
            if (
                rule["beside"]
                and rule["beside"] not in seen
                and not set(rule["languages"]) & set(sheet.languages)
            ):
                sheet.refuse(text, rule["refuse"])


_BY_WORDS = "as these words are used where traffic keeps left; where it keeps right give --country"
_OTHER = {"left": "right", "right": "left"}


def _settle_sides(sheet: _Sheet) -> None:
    """Turn near, off, driver and passenger side into left and right."""
    traffic, driver = sheet.rules.traffic_side, sheet.rules.driver_side
    sides = {"near": traffic, "off": _OTHER.get(traffic or ""), "driver": driver}
    sides["passenger"] = _OTHER.get(driver or "")
    used = set()
    for text, meaning in list(sheet.chosen.items()):
        if meaning.side in sides:
            side = sides[meaning.side]
            if side is None:
                sheet.refuse(text, "country" if meaning.side in {"near", "off"} else "driver")
            else:
                sheet.chosen[text] = replace(meaning, side=side)
                sheet.by_road.add(text)
                why = (
                    _BY_WORDS
                    if sheet.rules.traffic_by_words and meaning.side in {"near", "off"}
                    else "as stated"
                )
                used.add(f"the {meaning.side} side is {side}, {why}")
    sheet.notes.extend(sorted(used))


# ---- axles, and the result ------------------------------------------------------------------------------


def _number_axles(sheet: _Sheet) -> None:
    trailers = word_table().trailers
    strangers = any(
        one.code == "unknown" and not any(word in sheet.parsed[text].code for word in trailers)
        for text, one in sheet.problems.items()
    )
    numbers = number_axles(sheet.chosen, axle_count=sheet.rules.axle_count, strangers=strangers)
    for text, why in numbers.problems.items():
        sheet.refuse(text, why)
    sheet.axles = dict(numbers.axles)
    sheet.notes.extend(numbers.notes)


def _position(sheet: _Sheet, text: str) -> Position:
    meaning, parsed, axle = sheet.chosen[text], sheet.parsed[text], sheet.axles[text]
    side: Side = "L" if meaning.side == "left" else "R"
    spot = inner_spot(parsed.spot) if parsed.spot and meaning.dual == "inner" else parsed.spot
    return Position(
        axle=axle,
        side=side,
        spot=spot,
        leads=meaning.leads,
        note=_note(meaning.dual or parsed.dual, spot),
        named_by="other" if text in sheet.by_road else named_by(meaning, axle),
    )


def _note(dual: str, spot: Spot | None) -> str | None:
    """What is said of inner and outer where no spot word takes it up."""
    if not dual or spot in {"rotor_inner", "tyre_inner"}:
        return None
    return (
        f'"{dual}" is taken as one wheel of a pair: both share one brake, and the reading is of it; '
        f'a face of the disc is written "{dual} face", a tyre "{dual} tyre"'
    )
