"""Smoke, glow, flame or smell in the words of a log: what was seen, and where."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.remarks.bystanders import is_elsewhere
from thermlog.reading.remarks.measures import with_flat_tyres
from thermlog.reading.remarks.spelling import closed_up, is_spaced, put_right, swapped, words_of_sights
from thermlog.words.regular import regular
from thermlog.words.seenwords import SEEN_CHOICES

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from thermlog.words.seenwords import SeenCode

_PARTS = regular(r"[,;&+/.!|]|\b-\s|\s-\b")
_SIDE = regular(r"\b([no])/(s)(?:/([fr]))?\b", re.IGNORECASE)  # the side of a wheel, and not two things
_NIL = regular(r"[:=?]\s*(?:-+|0|nil)\s*$", re.IGNORECASE)
# Words of three letters that count in a remark, too: their spelling leaves no doubt.
_SHORT_SMOKE = regular(r"\b(?:rök|røg|d[yý]m)\b", re.IGNORECASE)
_LONGEST_RUN = 4  # tokens of the longest word in the table
_ALIKE = 0.75  # of the letters of two words, so that one may be a slip of the other
_SHORTEST_TOLD = 4  # letters; shorter words mean other things in a remark
_BURNING, _BESIDE = "BURNING", 2  # "burning rubber smell": so many words from what is smelt it is no flame
_STEM = 3  # letters by which most texts are seen to tell nothing
_DENIED_WITHIN = 4  # words from "no" to what was not seen; a wheel between them leaves half


class Sight(Struct, frozen=True, kw_only=True):
    """One thing seen, and the words for where; empty if nobody said."""

    code: SeenCode
    place: str = ""


class Sights(Struct, frozen=True, kw_only=True):
    """What a text says was seen, and its parts that say nothing of the kind."""

    found: tuple[Sight, ...] = ()
    strange: tuple[str, ...] = ()


SEEN_CURE = f"one or more of {SEEN_CHOICES}, with the wheel if known: smoke at RF"
SEEN_HINT = f"write {SEEN_CURE}"


@lru_cache(maxsize=4096)
def read_sights(text: str) -> Sights:
    """Meaning of a text that says what was seen.

    Parameters
    ----------
    text : str
        Several are parted by commas or "and"; a place alone belongs to what was named before it.

    Examples
    --------
    >>> read_sights("smoke at RF, smell").found
    (Sight(code='smoke', place='RF'), Sight(code='smell', place=''))
    >>> read_sights("mist").strange, read_sights("no smoke").found
    (('mist',), ())
    >>> read_sights("glowing red RF").found, read_sights("all ok").strange
    ((Sight(code='glow', place='RF'),), ())
    """
    found: list[Sight] = []
    strange: list[str] = ["?"] if "?" in text and not tokens_of(text) else []
    for tokens in _parts(text):
        codes, rest, denied = _taken(tokens, shortest=1)
        if not codes and denied and _leaves_doubt(rest):
            strange.append(" ".join(tokens).lower())
            continue
        if not codes and (denied or _denies(rest) or _is_fine(rest)):
            continue
        place = _place(rest)
        if codes and not looks_like_position(place):
            place = _place_told(rest) or place  # "red" is no part of the wheel in "glowing red RF"
        before = [sight.code for sight in found[-1:]]
        if before and not codes and not found[-1].place and looks_like_position(place):
            found.pop()  # "smoke!!! RF" is one sight, not a second one
        if not codes and not (before and place):
            strange.append(" ".join(tokens).lower())
        found += [Sight(code=code, place=place) for code in codes or before]
    return Sights(found=tuple(dict.fromkeys(found)), strange=tuple(strange))


def nearest_sight(words: str) -> SeenCode | None:
    """What was seen, if a strange word is a slip of a known one: a question for the writer, never an answer.

    Examples
    --------
    >>> nearest_sight("smoek at RF"), nearest_sight("puddle")
    ('smoke', None)
    """
    known = [word for word in cell_words().seen if len(word) >= _SHORTEST_TOLD]
    from difflib import get_close_matches  # only words nobody knows need it

    near = (get_close_matches(token, known, n=1, cutoff=_ALIKE) for token in tokens_of(words))
    return next((cell_words().seen[found[0]] for found in near if found), None)


def sees_nothing(text: str) -> bool:
    """True if a text that says what was seen says that there was nothing of the kind, anywhere.

    Examples
    --------
    >>> [sees_nothing(text) for text in ("nothing", "all ok", "nothing seen")]
    [True, True, True]
    >>> [sees_nothing(text) for text in ("no smoke", "nothing at RF", "n/a", "", "mist")]
    [False, False, False, False, False]
    """
    tokens, table = set(tokens_of(text)), cell_words()
    says = (table.nothing | table.fine) - table.not_asked
    return bool(tokens & says) and tokens <= says | table.between | table.looked


@lru_cache(maxsize=4096)
def told_sights(text: str) -> tuple[Sight, ...]:
    """What a remark in free words says was seen; what it says beside that is left alone.

    Examples
    --------
    >>> told_sights("new pads, smoke at RF"), told_sights("glow plug replaced, no smoke")
    ((Sight(code='smoke', place='RF'),), ())
    """
    text = with_flat_tyres(text)
    if text.isascii() and not _may_tell(text):
        return ()
    found = []
    for tokens in _parts(_SHORT_SMOKE.sub("smoke", _NIL.sub(" none", text))):
        codes, rest, _ = _taken(tokens, shortest=_SHORTEST_TOLD)
        if codes and not _all_fine(tokens):
            found += [Sight(code=code, place=_place_told(rest)) for code in codes]
    return tuple(dict.fromkeys(found))


def tells_no_more(text: str) -> bool:
    """True where every part of a remark is about what was seen, or says that nothing was.

    Examples
    --------
    >>> tells_no_more("smoke at RF"), tells_no_more("all ok, no smell"), tells_no_more("no smoke, tyres worn")
    (True, True, False)
    """
    return all(_tells_no_more(tokens) for tokens in _parts(text))


def _tells_no_more(tokens: list[str]) -> bool:
    codes, rest, denied = _taken(tokens, shortest=_SHORTEST_TOLD)
    return bool(codes) or denied or _is_fine(rest) or looks_like_position(_place(rest))


@lru_cache(maxsize=4096)
def unclear_denials(text: str) -> tuple[str, ...]:
    """Parts of a remark that speak of what is seen beside a "no" or "not" that denies something else.

    Examples
    --------
    >>> unclear_denials("no flames only smoke"), unclear_denials("no sign of smoke at RF")
    (('no flames only smoke',), ())
    """
    if text.isascii() and not _may_tell(text):
        return ()
    parts = list(_parts(text))
    admitted = any(cell_words().admits.issuperset(tokens) for tokens in parts)  # "not smoking now but did"
    found = []
    for tokens in parts:
        codes, rest, denied = _taken(tokens, shortest=_SHORTEST_TOLD)
        if denied and (admitted or (not codes and _leaves_doubt(rest))):
            found.append(" ".join(tokens).lower())
    return tuple(found)


def _leaves_doubt(rest: Sequence[str]) -> bool:
    """True where words beside a denial of what is seen are none that a plain denial has."""
    table = cell_words()
    known = table.nothing | table.plain | table.between | table.fine | table.now | table.no_more
    left = [token for token in rest if token not in known]
    return bool(left) and not looks_like_position(" ".join(left))


@lru_cache(maxsize=1)
def _stems() -> frozenset[str]:
    """How words for what is seen begin; also with their last letter of these and the next in one's place."""
    words = (*words_of_sights(), "ROJO")
    slips = (word[: _STEM - 1] + word[_STEM] for word in words if len(word) > _STEM)
    return frozenset((*(word[:_STEM] for word in words), *slips))


def _may_tell(text: str) -> bool:
    """False where no word begins like one for what is seen, or like a slip of one."""
    stems, heads = _stems(), {token[:_STEM] for token in tokens_of(text)}
    return any(one in stems for head in heads for one in (head, *swapped(head))) or is_spaced(text)


def _parts(text: str) -> Iterator[list[str]]:
    joined = closed_up(text)
    if "/" in joined:
        joined = _SIDE.sub(r"\1\2\3", joined)
    for piece in _PARTS.split(joined):
        part: list[str] = []
        for token in put_right(tokens_of(piece)):
            if token not in cell_words().conjunctions:
                part.append(token)
            elif part:
                yield part
                part = []
        if part:
            yield part


def _place(tokens: list[str]) -> str:
    """The tokens without "at the" before them; the last may be a wheel: LA, DE."""
    while len(tokens) > 1 and tokens[0] in cell_words().between:
        tokens = tokens[1:]
    return " ".join(tokens)


def _place_told(tokens: Sequence[str]) -> str:
    """The first words of a remark that could be a wheel, longest first."""
    left = [token for token in tokens if token not in cell_words().between]
    runs = (
        " ".join(left[start : start + length])
        for length in range(_LONGEST_RUN, 0, -1)
        for start in range(len(left) - length + 1)
    )
    return next(filter(looks_like_position, runs), "")


# English, and no anteriore sinistra.
_JUST_AS = regular(
    r"\b(?:same|just|such|so|well|far|long|soon|much) as\b|"
    r"\bas (?:last|before|usual|always|above|normal|is|it|if|the|well|said|noted|found|per|expected|ever)\b",
    re.IGNORECASE,
)


def places_told(text: str) -> tuple[str, ...]:
    """Words that could be a wheel, of each part of a remark that tells of nothing seen.

    Examples
    --------
    >>> places_told("hubs RL and RR too hot to hold"), places_told("smoke at LF, RR too hot to touch")
    (('RL', 'RR'), ('RR',))
    >>> places_told("drive as last time"), places_told("AS frena male")
    ((), ('AS',))
    """
    silent = (part for part in _parts(_without_as(text)) if not _taken(part, shortest=_SHORTEST_TOLD)[0])
    return tuple(dict.fromkeys(filter(None, map(_place_told, silent))))


def _without_as(text: str) -> str:
    return _JUST_AS.sub(" ", text) if "as" in text.casefold() else text


def _is_fine(tokens: Sequence[str]) -> bool:
    """True for "ok" and "RF normal": nothing was seen."""
    table = cell_words()
    rest = [token for token in tokens if token not in table.fine | table.dry]
    blank, wheel = set(rest) <= table.between, looks_like_position(_place(rest))
    return (blank or wheel) if len(rest) < len(tokens) else (blank and not wheel)


def _all_fine(tokens: Sequence[str]) -> bool:
    """True for "smoke: all ok": what follows the last word for what is seen says that it is not."""
    table = cell_words()
    last = max((k for k, token in enumerate(tokens) if token in table.seen), default=len(tokens))
    return last + 1 < len(tokens) and table.fine.issuperset(tokens[last + 1 :])


def _denies(tokens: Sequence[str]) -> bool:
    """True for "nothing at RF" and "no complaints"; "does not brake" denies nothing, but tells a fault."""
    table = cell_words()
    if table.nothing.isdisjoint(tokens):
        return False
    things = frozenset() if "HOT" in tokens else table.things
    calm = table.nothing | table.deniable | (table.plain - things) | table.between | table.fine | table.now
    left = [token for token in tokens if token not in calm | table.no_more | table.looked]
    return not left or (things.isdisjoint(left) and looks_like_position(" ".join(left)))


def _taken(tokens: Sequence[str], *, shortest: int) -> tuple[list[SeenCode], list[str], bool]:
    """What was seen, longest words first; the tokens left; whether anything was said not to be seen."""
    table, places = cell_words(), list(range(len(tokens)))
    found: list[tuple[int, SeenCode]] = []
    own: set[int] = set()  # "does not turn" denies nothing by its own "not"
    for length in range(_LONGEST_RUN, 0, -1):
        start = 0
        while start + length <= len(places):
            word = "".join(tokens[k] for k in places[start : start + length])
            if word in table.seen and len(word) >= shortest:
                found.append((places[start], table.seen[word]))
                own.update(places[start : start + length])
            elif word not in table.harmless:
                start += 1
                continue
            del places[start : start + length]
    smelt = _only_smelt(tokens, found)
    seen = [(k, code) for k, code in found if k not in smelt and not is_elsewhere(tokens, code)]
    others = ["" if k in own and token in table.nothing else token for k, token in enumerate(tokens)]
    codes = [code for place, code in seen if not _denied(others, place)]
    together, left, not_so = _said_together(tokens, places)
    denied = not_so or len(codes) < len(seen)
    return [*codes, *together], [tokens[k] for k in left], denied


def _only_smelt(tokens: Sequence[str], found: Sequence[tuple[int, SeenCode]]) -> set[int]:
    """Places where "burning" is that of a smell, and no flame."""
    burned = [place for place, code in found if code == "smell"]
    return {
        place
        for place, code in found
        if code != "smell"
        and tokens[place] == _BURNING
        and any(abs(place - one) <= _BESIDE for one in burned)
    }


def _said_together(tokens: Sequence[str], places: list[int]) -> tuple[list[SeenCode], list[int], bool]:
    """What parts of the vehicle do by words beside them: a pedal that sinks, a lamp that is lit, a pull.

    Returns
    -------
    codes, places, denied
        What was seen; the places left; whether anything was said not to be so.
    """
    codes: list[SeenCode] = []
    denied = False
    for one in cell_words().together:
        part = next((k for k in places if tokens[k] in one.part), None)
        if part is None or not one.other_with.isdisjoint(tokens):
            continue
        wrong = next((k for k in places if tokens[k] in one.says), part)
        code = one.says.get(tokens[wrong], one.alone)
        if _not_fine(tokens, one.denied_by):
            code, not_so = code or next(iter(one.says.values())), False
        else:
            not_so = _denied(tokens, wrong) or not one.denied_by.isdisjoint(tokens)
        if code is None and (not not_so or (wrong == part and one.denied_by.isdisjoint(tokens))):
            continue  # "no air": it is the part itself that is missing
        denied |= not_so
        codes += [] if code is None or not_so else [code]
        more = one.part | one.denied_by | one.fill | (cell_words().nothing if codes else frozenset())
        places = [k for k in places if k != wrong and tokens[k] not in more]
    return codes, places, denied


def _not_fine(tokens: Sequence[str], fine: Collection[str]) -> bool:
    """True for "pedal not firm" and "lamp not out": the denial of what would deny it."""
    return any(first in cell_words().nothing and second in fine for first, second in pairwise(tokens))


def _denied(tokens: Sequence[str], place: int) -> bool:
    """True if the word at a place is one of what was not seen: "no sign of smoke", "smoke: none"."""
    for k, token in enumerate(tokens):
        if token not in cell_words().nothing or _was_before(tokens, k, place):
            continue
        if _a_little(tokens, k, place):
            continue
        wheel = any(map(looks_like_position, tokens[min(k, place) + 1 : max(k, place)]))
        if k < place and place - k <= (_DENIED_WITHIN // 2 if wheel else _DENIED_WITHIN):
            return True
        if k > place and tokens[k + 1 : k + 2] and tokens[k + 1] in cell_words().seen:
            continue  # "smoke without fire"
        if k > place and (not wheel or k + 1 == len(tokens)):
            return True
    return False


def _a_little(tokens: Sequence[str], k: int, place: int) -> bool:
    """True for "nothing except smoke" and "not much smoke": it was seen."""
    table = cell_words()
    much = not table.degree.isdisjoint(tokens[k + 1 : k + 1 + _DENIED_WITHIN])
    return (much and tokens[k] in table.bare_not) or not table.other_than.isdisjoint(tokens[k + 1 : place])


def _was_before(tokens: Sequence[str], k: int, place: int) -> bool:
    """True for "no longer smoking" and "smoked earlier, not now": it is denied of this moment only."""
    table, behind = cell_words(), set(tokens[k + 1 : k + 1 + _DENIED_WITHIN])
    return not table.no_more.isdisjoint(behind) or (k > place and not table.now.isdisjoint(behind))
