"""Words of wheel positions: one text taken apart into every meaning it may have, before the file decides."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from thermlog.words.bundled import bundled
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from thermlog.words.vehicle import Spot

SHORT_CODE = 3  # longest code whose meaning depends on the other codes of the file
_LONGEST = 48  # letters and digits; no position is longer, and the search stays small
_MOST_AXLES = 20  # longest road combinations stay below: common practice, no source
_NOT_DECOMPOSED = str.maketrans({"Ø": "O", "Ł": "L", "Æ": "AE", "Đ": "D"})
_TRAILER = regular(r"(?<![A-Z])T|\d[LR]T$|^[LR]T\d")
_ENDS = {"F": "front", "R": "rear"}
_OF_PAIR = ("left", "right")
_SIDES = {"L": "left", "R": "right"}


class Meaning(Struct, frozen=True, kw_only=True):
    """One way to read a text.

    Attributes
    ----------
    side : {"left", "right", "near", "off", "driver", "passenger", ""}
    axle : int or None
        Number as written.
    end : {"front", "middle", "rear", ""}
    unit, role, dual : str
        Keys of the tables of that name in positions.toml, or "".
    language : str
        The only language this meaning is read in; "" for all.
    style : tuple of str
        Keys of [support] in positions.toml met in the text.
    """

    side: str = ""
    axle: int | None = None
    end: str = ""
    unit: str = ""
    role: str = ""
    dual: str = ""
    language: str = ""
    style: tuple[str, ...] = ()

    @property
    def leads(self) -> bool:
        """True where the words speak of an axle behind in the same unit, as "front" and "steer" do."""
        return self.end == "front" or self.role == "steer"


class Parsed(Struct, frozen=True, kw_only=True):
    """One text taken apart.

    Attributes
    ----------
    code : str
        Letters and digits left when spot and filler are taken away.
    meanings : tuple of Meaning
        Empty if the text is no position.
    sideless : bool
        True if only a side is missing.
    spot : Spot or None
    dual : {"inner", "outer", ""}
        Which wheel of a pair, if a word of its own says so.
    """

    code: str
    meanings: tuple[Meaning, ...] = ()
    sideless: bool = False
    spot: Spot | None = None
    dual: str = ""


class WordTable(Struct, frozen=True, kw_only=True):
    """positions.toml, turned round for look-up."""

    codes: Mapping[str, tuple[Meaning, ...]]
    words: Mapping[str, tuple[tuple[str, str], ...]]  # word -> its (kind, value) pairs
    by_first: Mapping[str, tuple[str, ...]]
    spots: Mapping[str, Spot]
    duals: Mapping[str, str]
    styles: Mapping[str, str]
    support: Mapping[str, Mapping[str, Any]]
    roles: tuple[str, ...]
    units: tuple[str, ...]
    trailers: tuple[str, ...]
    languages: tuple[str, ...]
    spelled: Mapping[str, str]
    apart: Mapping[str, str]
    filler: frozenset[str]
    spot_or_filler: frozenset[str]
    side_headings: frozenset[str]
    name_headings: frozenset[str]
    elsewhere: frozenset[str]
    single_track: frozenset[str]
    bare_axles: frozenset[str]
    refuse: Mapping[str, str]
    refuse_words: Mapping[str, frozenset[str]]


@lru_cache(maxsize=1)
def word_table() -> WordTable:
    """Return the table, loaded once."""
    raw = bundled(Path(__file__).with_name("positions.toml"))
    words = _words(raw)
    return WordTable(
        codes=_codes(raw),
        words=words,
        by_first={first: tuple(w for w in words if w[0] == first) for first in {w[0] for w in words}},
        spots=turned(raw["spot"]),
        duals=turned(raw["dual"]),
        styles=turned(raw["style"]),
        support=raw["support"],
        roles=tuple(raw["role"]),
        units=tuple(raw["unit"]),
        trailers=tuple(word for word in raw["unit"]["trailer"] if len(word) > 1),
        languages=tuple(raw["sets"]),
        spelled=turned(raw["spelled"]),
        apart=turned(raw["apart"]),
        filler=frozenset(raw["filler"]["words"]),
        spot_or_filler=frozenset(raw["filler"]["spot_if_others_name_spots"]),
        side_headings=frozenset(raw["heading"]["side"]),
        name_headings=frozenset(raw["heading"]["names"]),
        elsewhere=frozenset(raw["elsewhere"]["words"]),
        single_track=frozenset(raw["single_track"]["vehicles"]),
        bare_axles=frozenset(raw["single_track"]["axles"]),
        refuse=raw["refuse"],
        refuse_words={kind: frozenset(names) for kind, names in raw["refuse_words"].items()},
    )


def turned(lists: Mapping[str, Sequence[str]]) -> dict[str, Any]:
    """Word -> what it stands under, from the lists of words of a TOML file."""
    return {word: value for value, names in lists.items() for word in names}


def _codes(raw: Mapping[str, Any]) -> dict[str, tuple[Meaning, ...]]:
    """Whole codes, each with all its meanings."""
    codes: dict[str, tuple[Meaning, ...]] = {}
    for names, meaning in _code_lists(raw):
        for name in names:
            codes[name] = (*codes.get(name, ()), meaning)
    return codes


def _code_lists(raw: Mapping[str, Any]) -> Iterator[tuple[Sequence[str], Meaning]]:
    for language, corners in {"": raw["always"], **raw["sets"]}.items():
        for corner, names in corners.items():
            yield names, Meaning(end=_ENDS[corner[0]], side=_SIDES[corner[1]], language=language)
    for key, names in {**raw["needs_country"], **raw["needs_driver_side"]}.items():
        side, _, end = key.partition("_")
        yield names, Meaning(end=end, side=side)


def _words(raw: Mapping[str, Any]) -> dict[str, tuple[tuple[str, str], ...]]:
    """Words a position may be put together from."""
    kinds = {kind: raw[kind] for kind in ("side", "end", "unit", "role", "dual", "axle_word")}
    return {
        name: ((kind, value),)
        for kind, lists in kinds.items()
        for value, names in lists.items()
        for name in names
    }


_NUMBER_SIGN = regular(r"\bNO\.?\s?(?=\d+\b)")  # "wheel no 4" denies nothing


def tokens_of(text: str) -> list[str]:
    """Runs of letters and digits, upper case, without accents.

    Examples
    --------
    >>> tokens_of("Vänster-fram"), tokens_of("driver's side, front")
    (['VANSTER', 'FRAM'], ['DRIVER', 'SIDE', 'FRONT'])
    """
    upper = text.upper().translate(_NOT_DECOMPOSED)
    if "'" in upper or "’" in upper:
        upper = re.sub(r"['’]S\b", "", upper)
    if "NO" in upper:
        upper = _NUMBER_SIGN.sub("NR ", upper)
    if not upper.isascii():
        upper = "".join(c for c in unicodedata.normalize("NFKD", upper) if not unicodedata.combining(c))
    return re.findall(r"[A-Z0-9]+", upper)


def take_spot(tokens: Sequence[str], *, wheel_is_spot: bool) -> tuple[Spot | None, list[str]]:
    """Take the most telling spot words out.

    Parameters
    ----------
    tokens : sequence of str
        As `tokens_of` gives them.
    wheel_is_spot : bool
        Whether "wheel" names the rim; otherwise it says nothing.

    Returns
    -------
    Spot or None, list of str
        The spot, and the tokens that are no part of it. "Brake" gives way to any other spot.
    """
    spot, rest = _take_run(tokens, wheel_is_spot=wheel_is_spot)
    if spot is None:
        return None, rest
    second, rest = _take_run(rest, wheel_is_spot=wheel_is_spot)
    duals = {word_table().duals.get(token) for token in rest}
    named = second if second and spot == "brake" else spot
    return (inner_spot(named) if "inner" in duals else named), rest


def inner_spot(spot: Spot) -> Spot:
    """Spot meant when "inner" is said beside its word; the same spot if it has no inner side.

    Examples
    --------
    >>> inner_spot("rotor_outer"), inner_spot("hub")
    ('rotor_inner', 'hub')
    """
    inner: dict[Spot, Spot] = {"rotor_outer": "rotor_inner", "tyre_outer": "tyre_inner"}
    return inner.get(spot, spot)


def _take_run(tokens: Sequence[str], *, wheel_is_spot: bool) -> tuple[Spot | None, list[str]]:
    """Take the longest run of up to three tokens that names a spot."""
    table = word_table()
    count = len(tokens)
    for length in (3, 2, 1):
        for start in range(count - length + 1):
            word = "".join(tokens[start : start + length])
            if word in table.spots and (wheel_is_spot or word not in table.spot_or_filler):
                return table.spots[word], [*tokens[:start], *tokens[start + length :]]
    return None, list(tokens)


@lru_cache(maxsize=4096)
def parse_position(text: str, *, wheel_is_spot: bool) -> Parsed:
    """Take one position text apart.

    Parameters
    ----------
    text : str
        As written in the log.
    wheel_is_spot : bool
        Whether "wheel" names the rim in this file.

    Returns
    -------
    Parsed
        Never refuses; what the meanings are worth is decided by the file.
    """
    table = word_table()
    spot, tokens = take_spot(tokens_of(text)[:_LONGEST], wheel_is_spot=wheel_is_spot)
    spot = None if spot == "brake" else spot
    if sum(token not in table.filler for token in tokens) > 1:
        tokens = [table.spelled.get(token, token) for token in tokens]
    bare = [token for token in tokens if token not in table.filler]
    sides_only = [token for token in bare if token not in table.duals]
    dual = next((table.duals[token] for token in bare if token in table.duals), "")
    sideless = False
    for attempt in (tokens, bare, sides_only, sides_only[::-1]):
        code = "".join(attempt)
        meanings, lacks_side = _meanings(code, trailer="T" in attempt or _trailer_in(code))
        sideless = sideless or lacks_side
        if meanings:
            return Parsed(code=code, meanings=meanings, spot=spot, dual=dual)
    if meanings := _beside_unit(bare) or _spelled_out(bare):
        return Parsed(code="".join(bare), meanings=meanings, spot=spot, dual=dual)
    return Parsed(code="".join(bare), sideless=sideless, spot=spot)


def _beside_unit(tokens: Sequence[str]) -> tuple[Meaning, ...]:
    """Meanings of a whole code of any language beside a word for a vehicle: "van LF", "N/S/R box trailer"."""
    for count in (2, 1):
        for word, rest in (
            (tokens[:count], tokens[count:]),
            (tokens[-count:], tokens[:-count]),
        ):
            unit = dict(word_table().words.get("".join(word), ())).get("unit") if rest else None
            if unit and len("".join(word)) >= SHORT_CODE:
                whole = _whole_code("".join(rest))
                return tuple(replace(m, unit=unit) for m in whole if not m.language)
    return ()


def _spelled_out(tokens: Sequence[str]) -> tuple[Meaning, ...]:
    """Meanings with letters that stand apart taken for sides; never beside a number, which may count them."""
    text = " ".join(tokens)
    if any(map(str.isdigit, text)):
        return ()
    for letters in ("N S", "O S", "L H", "R H"):
        if letters in text:
            text = re.sub(rf"\b{letters}\b", letters.replace(" ", ""), text)
    apart = word_table().apart
    full = [apart.get(token, token) for token in text.split()]
    attempts = (_meanings("".join(one), trailer=_trailer_in("".join(one)))[0] for one in (full, full[::-1]))
    return next(filter(None, attempts), ()) if full != list(tokens) else ()


def _whole_code(code: str) -> tuple[Meaning, ...]:
    """What a whole code says; "LRO" is the outer wheel of the pair at LR."""
    table = word_table()
    if hit := table.codes.get(code):
        return hit
    dual = {"I": "inner", "O": "outer"}.get(code[-1:])
    pair = table.codes.get(code[:-1], ()) if dual and len(code) == SHORT_CODE else ()
    return tuple(replace(m, dual=dual) for m in pair if dual and not m.language and m.side in _OF_PAIR)


def _trailer_in(code: str) -> bool:
    """Whether a trailer is named: by a word, or a T that begins a run of letters or follows a side's."""
    return _TRAILER.search(code) is not None or any(word in code for word in word_table().trailers)


def _meanings(code: str, *, trailer: bool) -> tuple[tuple[Meaning, ...], bool]:
    """All readings of a code, and whether only its side is missing."""
    if hit := _whole_code(code):
        return hit, False
    if not code or len(code) > _LONGEST:
        return (), False
    cuts = _cuts(code, {}, has_number=any(c.isdigit() for c in code))
    told = (m for m in map(_meaning_of, cuts) if trailer or m.unit != "trailer")
    placed = [m for m in told if m.axle or m.end or m.unit or m.role]
    possible = [m for m in placed if m.axle is None or 1 <= m.axle <= _MOST_AXLES]
    sided = tuple(dict.fromkeys(m for m in possible if m.side))
    return sided, bool(possible) and not sided


def _cuts(rest: str, slots: dict[str, str], *, has_number: bool) -> Iterator[dict[str, str]]:
    """Every way to cut the text into known words, each kind once."""
    if not rest:
        yield slots
        return
    for length, pairs in _heads(rest, has_number=has_number):
        if any(kind in slots for kind, _ in pairs):
            continue
        style = word_table().styles.get(("n" if "axle" in slots else "") + rest[:length])
        styled = {style: ""} if style else {}
        yield from _cuts(rest[length:], {**slots, **dict(pairs), **styled}, has_number=has_number)


def _heads(rest: str, *, has_number: bool) -> Iterator[tuple[int, tuple[tuple[str, str], ...]]]:
    """Words the text may begin with, and their lengths."""
    if number := re.match(r"([0-9]{1,2})(?![0-9])(ST|ND|RD|TH)?", rest):
        yield number.end(1), (("axle", number[1]),)
        if number[2]:
            yield number.end(), (("axle", number[1]),)
        return
    table = word_table()
    for word in table.by_first.get(rest[0], ()):
        if rest.startswith(word) and (has_number or len(word) > 2):
            yield len(word), table.words[word]
    if has_number and rest[0] in _SIDES and rest[1:2] in {"I", "O"}:
        yield 2, (("side", _SIDES[rest[0]]), ("dual", "inner" if rest[1] == "I" else "outer"))


def _meaning_of(slots: Mapping[str, str]) -> Meaning:
    support = word_table().support
    return Meaning(
        side=slots.get("side", ""),
        axle=int(slots["axle"]) if "axle" in slots else None,
        end=slots.get("end", ""),
        unit=slots.get("unit", ""),
        role=slots.get("role", ""),
        dual=slots.get("dual", ""),
        style=tuple(style for style in slots if style in support),
    )
