"""Words of wheel positions: one text taken apart into every meaning it may have, before the file decides."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.positions.meanings import Meaning, Parsed
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
# Parts named beside each other of which one tells where on the other: "rotor hat", "rim hub".
_LAST_WORD: Mapping[tuple[str, ...], str] = {
    ("rim", "hub"): "hub", ("rim", "tyre"): "tyre", ("rim", "drum"): "drum", ("rim", "rotor"): "rotor",
    ("rotor", "hat"): "hat", ("hat", "rotor"): "hat", ("rotor", "caliper"): "caliper",
}  # fmt: skip
_SIDES = {"L": "left", "R": "right"}


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
    faces: frozenset[str]
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
        faces=frozenset(raw["filler"]["faces"]),
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
    """Take the words for a part of the wheel end out.

    Parameters
    ----------
    tokens : sequence of str
        As `tokens_of` gives them.
    wheel_is_spot : bool
        Whether "wheel" names the rim, and "wheel end" the hub; otherwise they say nothing.

    Returns
    -------
    Spot or None, list of str
        The spot, and the tokens that are no part of it. "Wheel" gives way to "brake", this to a face, and a
        face to any other part: "wheel hub" is a hub. Unlike parts beside each other are no spot.

    Examples
    --------
    >>> take_spot(["FL", "WHEEL", "HUB"], wheel_is_spot=True), take_spot(["HUB", "RIM"], wheel_is_spot=True)
    (('hub', ['FL']), (None, ['HUB', 'RIM']))
    """
    words, rest = _part_words(tokens)
    firmest = max(map(_firmness, words), default=0)
    told = [word_table().spots[word] for word in words if _firmness(word) == firmest]
    if not words or (not firmest and not wheel_is_spot):
        return None, list(tokens)
    by_part = {spot.partition("_")[0]: spot for spot in told}
    part = next(iter(by_part)) if len(by_part) == 1 else _LAST_WORD.get(tuple(by_part))
    if part is None:
        return None, list(tokens)
    inner = any(word_table().duals.get(token) == "inner" for token in rest)
    inner |= any(word_table().spots[word].endswith("inner") for word in words)
    return (inner_spot(by_part[part]) if inner else by_part[part]), rest


def _firmness(word: str) -> int:
    """How firmly a word names its part: "wheel" hardly, "brake" and a face of something more, a part most."""
    table = word_table()
    if word in table.spot_or_filler:
        return 0
    return 1 if table.spots[word] == "brake" else 2 if word in table.faces else 3


def unlike_parts(text: str) -> bool:
    """True where words name several parts of which none tells where on the other: "hub rim".

    Examples
    --------
    >>> unlike_parts("hub rim"), unlike_parts("rim hub"), unlike_parts("door hub")
    (True, False, False)
    """
    tokens = tokens_of(text)
    return len(_part_words(tokens)[0]) > 1 and take_spot(tokens, wheel_is_spot=True)[0] is None


def inner_spot(spot: Spot) -> Spot:
    """Spot meant when "inner" is said beside its word; the same spot if it has no inner side.

    Examples
    --------
    >>> inner_spot("rotor_outer"), inner_spot("hub")
    ('rotor_inner', 'hub')
    """
    inner: dict[Spot, Spot] = {"rotor_outer": "rotor_inner", "tyre_outer": "tyre_inner"}
    return inner.get(spot, spot)


def _part_words(tokens: Sequence[str]) -> tuple[list[str], list[str]]:
    """Words for parts in their order, of up to three tokens each, and the tokens that are none."""
    known, words, rest = word_table().spots, list[str](), list[str]()
    left = [part for token in tokens for part in _off_wheel(token)]
    while left:
        count = next((n for n in (3, 2, 1) if "".join(left[:n]) in known), 0)
        if count:
            words.append("".join(left[:count]))
        else:
            rest.append(left[0])
        left = left[count or 1 :]
    return words, rest


def _off_wheel(token: str) -> tuple[str, ...]:
    """A token of one part; "wheelhub" is two words, as "wheelbearing", which the table has, is not."""
    known = word_table().spots
    two = next((word for word in word_table().spot_or_filler if token.startswith(word)), "")
    return (two, token[len(two) :]) if two and token not in known and token[len(two) :] in known else (token,)


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


def parse_all(texts: Sequence[str]) -> dict[str, Parsed]:
    """Every text of a file taken apart.

    "Wheel" names the rim only in a file that names other spots too, or the same place without the word.
    """
    bare = {text: parse_position(text, wheel_is_spot=False) for text in texts}
    loose = {text for text in texts if word_table().spot_or_filler.intersection(tokens_of(text))}
    plain = {one.meanings for text, one in bare.items() if text not in loose} - {()}
    if any(one.spot for one in bare.values()) or any(bare[text].meanings in plain for text in loose):
        return {text: parse_position(text, wheel_is_spot=True) for text in texts}
    return bare


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
