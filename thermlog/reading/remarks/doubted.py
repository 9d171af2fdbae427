"""Remarks that a reading is not its brake's: another wheel's or part's, made up, or of a gun on hold."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Literal, TypeAlias

from thermlog.reading.cells import unit_word
from thermlog.reading.cellwords import cell_words, within
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.remarks.answered import answer_told
from thermlog.reading.remarks.measures import is_from_afar
from thermlog.reading.remarks.wholesaid import wholly_told
from thermlog.words.bundled import bundled
from thermlog.words.regular import regular
from thermlog.words.units import Unit

DoubtedPart: TypeAlias = Literal["reading", "spot"]

_PARTS = regular(r"[,;!|]|(?<!\b[Nn]o)\.|\s-\s|\b(?:but|aber|mais|pero|ma)\b")
# A figure between 0 and 1 that is no length, time or share. Most guns are fixed to 0.95 or set to it.
_SETTING = regular(r"(?<![\d.,:])0?[.,](?P<digits>\d{1,3})(?![\d.,:]|\s*(?:mm?|cm|s|min|h|%)\b)")
_LEAST_USUAL = 0.85  # judgement


@lru_cache(maxsize=1)
def _words() -> Mapping[str, frozenset[str]]:
    raw = bundled(Path(__file__).with_name("doubtwords.toml"))
    return {name: frozenset(words) for name, words in raw.items() if name != "schema"}


@lru_cache(maxsize=4096)
def doubt_told(text: str, *, at_wheel: bool = False) -> DoubtedPart | None:
    """What a remark says is wrong with a reading: the reading itself, or the part of the wheel it is of.

    Parameters
    ----------
    text : str
    at_wheel : bool
        It stands beside one wheel, and need not name one.

    Examples
    --------
    >>> doubt_told("RR and RL mixed up"), doubt_told("RR read on the tyre"), doubt_told("swapped pads RR")
    ('reading', 'spot', None)
    >>> doubt_told("not the disc", at_wheel=True), doubt_told("not sure why it squeals", at_wheel=True)
    ('spot', None)
    """
    found = [_doubt(tokens_of(part), at_wheel=at_wheel) for part in _PARTS.split(text)]
    tokens, ends = tokens_of(text), text.strip()
    asked = at_wheel and ends.endswith("?") and (_names_wheels(tokens) or not tokens)
    asked = asked or (ends.endswith("??") and _names_wheels(tokens))
    asked = asked or is_from_afar(text, at_wheel=at_wheel)
    asked = asked or answer_told(text, at_wheel=at_wheel) == "read"
    if asked or wholly_told(text, "reading", at_wheel=at_wheel):
        return "reading"
    spot: DoubtedPart | None = "spot" if wholly_told(text, "spot", at_wheel=at_wheel) else None
    return next(filter(None, found), spot)


def names_other_spot(text: str) -> bool:
    """True where words name a part of the wheel end that is no friction face.

    Examples
    --------
    >>> names_other_spot("hub 130"), names_other_spot("disc 130")
    (True, False)
    """
    return any(within(tokens_of(text), _words()["other_spot"]))


def gun_unit(text: str) -> Unit | None:
    """Unit in which the gun is said to have shown.

    Examples
    --------
    >>> gun_unit("gun was set to F"), gun_unit("gun set to 0.95"), gun_unit("walk round F")
    ('F', None, None)
    """
    words, tokens = _words(), tokens_of(text)
    if words["gun"].isdisjoint(tokens) or words["set_to"].isdisjoint(tokens):
        return None
    last = max(k for k, token in enumerate(tokens) if token in words["gun"])
    return next(filter(None, (unit_word(token) for token in tokens[last + 1 :])), None)


def odd_setting(text: str) -> bool:
    """True where the gun is said to be set to an emissivity that few surfaces of a brake have.

    A remark does not say whether it is that of the gun, which then shows too much, or of the surface, which
    then is hotter than shown.

    Examples
    --------
    >>> [odd_setting(text) for text in ("gun set to 0.3", "emiss .45", "emissivity: 0.3", "gun on 0.3 m")]
    [True, True, False, False]
    """
    found = _SETTING.search(text)
    if found is None or float(f"0.{found['digits']}") >= _LEAST_USUAL:  # as most lines
        return False
    words, tokens = _words(), frozenset(tokens_of(text))
    key, mark, _ = text.replace("=", ":").partition(":")
    if mark and words["emissivity"].issuperset(tokens_of(key)):
        return False  # a statement, and of a surface
    of_gun = not words["gun"].isdisjoint(tokens) and not words["set_to"].isdisjoint(tokens)
    return of_gun or not words["emissivity"].isdisjoint(tokens)


def _doubt(part: Sequence[str], *, at_wheel: bool) -> DoubtedPart | None:
    if not _words()["of_else"].isdisjoint(part) and not _gun_unfit(part):
        return None
    if any(rule(part, at_wheel=at_wheel) for rule in (_mixed, _hedged, _unsure, _made_up, _copied, _on_hold)):
        return "reading"
    if not cell_words().alarm["mended"].isdisjoint(part):
        return None
    return (
        "spot" if any(rule(part, at_wheel=at_wheel) for rule in (_not_seen, _not_face, _elsewhere)) else None
    )


def _mixed(part: Sequence[str], *, at_wheel: bool) -> bool:
    """One for another; a part that was swapped is work, unless two wheels or readings are meant."""
    words = _words()
    if any(map(_calm, _rests(part, "mixed"))):
        return True
    return words["swappable"].isdisjoint(part) and any(
        _calm(rest) and (_means_two(part) or (at_wheel and _says_no_more(rest)))
        for rest in _rests(part, "swapped")
    )


def _means_two(part: Sequence[str]) -> bool:
    """True for two wheels, for readings, and for two halves of the vehicle whose wheels were not changed."""
    words = _words()
    halves = words["wheel"].isdisjoint(part) and len(words["halves"].intersection(part)) > 1
    return _wheels(part) > 1 or halves or not words["reading"].isdisjoint(part)


def _hedged(part: Sequence[str], *, at_wheel: bool) -> bool:
    """True for "maybe RL" and "not RR": another wheel may be meant."""
    if any(map(_names_wheels, _rests(part, "hedged"))):
        return True
    words = _words()
    left = [token for token in part if token not in words["bare_not"]]
    return at_wheel and len(left) < len(part) and words["at"].isdisjoint(part) and _names_wheels(left)


def _unsure(part: Sequence[str], *, at_wheel: bool) -> bool:
    about = _words()["reading"] | _words()["wheel"]
    return any(
        _says_no_more(rest) and (at_wheel or _wheels(rest) or not about.isdisjoint(rest))
        for rest in _rests(part, "unsure")
    )


def _made_up(part: Sequence[str], *, at_wheel: bool) -> bool:
    """Guessed, or to be passed over; and a shot that missed."""
    rests = (*_rests(part, "guessed"), *_rests(part, "bad"))
    if any(_calm(rest) and _of_readings(rest, at_wheel=at_wheel) for rest in rests):
        return True
    if any(
        _calm(rest) and _says_no_more(rest) for name in ("guessed", "again") for rest in _rests(part, name)
    ):
        return True
    known = _words()["reading"] | _words()["face"] | _words()["filler"]
    missed = not cell_words().missed.isdisjoint(part) and not _words()["reading"].isdisjoint(part)
    return at_wheel and missed and _calm(part) and known | cell_words().missed >= set(part)


def _copied(part: Sequence[str], *, at_wheel: bool) -> bool:
    before = any(within(part, _words()["former"]))
    if any(_calm(rest) and _names_round(rest) for rest in (*_rests(part, "copied"), *_rests(part, "same"))):
        return True
    return any(
        _calm(rest) and (before or _wheels(rest) or (at_wheel and _says_no_more(rest)))
        for rest in _rests(part, "copied")
    )


def _names_round(rest: Sequence[str]) -> bool:
    """True where a round of the log is named by its number: "round 2", "erste Runde"."""
    rounds = [k for k, token in enumerate(rest) if token in _words()["round"]]
    beside = {token for k in rounds for token in rest[max(k - 1, 0) : k + 2]}
    return any(token.isdigit() or token in _words()["ordinal"] for token in beside)


def _on_hold(part: Sequence[str], *, at_wheel: bool) -> bool:
    if _gun_unfit(part):
        return True
    return at_wheel and any(_calm(rest) and _says_no_more(rest) for rest in _rests(part, "held_alone"))


def _gun_unfit(part: Sequence[str]) -> bool:
    """True where the gun, by name, is said to be held, dirty, wet, cold or low on its battery."""
    named = not _words()["gun"].isdisjoint(part) and _words()["gun_case"].isdisjoint(part)
    return named and any(map(_calm, _rests(part, "held")))


def _not_seen(part: Sequence[str], *, at_wheel: bool) -> bool:
    """A brake that could not be seen; "no leaks visible" denies something else."""
    words, table = _words(), cell_words()
    if not (table.deniable - words["face"]).isdisjoint(part) or not table.seen.keys().isdisjoint(part):
        return False
    spots = words["face"] | words["other_spot"]
    return any(
        not words["face"].isdisjoint(rest) or ((at_wheel or _wheels(rest)) and _says_no_more(rest, spots))
        for rest in _rests(part, "hidden")
    )


def _not_face(part: Sequence[str], *, at_wheel: bool) -> bool:
    """True for "not the disc": something else was read."""
    words = _words()
    others = words["other_spot"] | words["aim"] | words["face"]
    named = (
        at_wheel
        or _wheels(part)
        or (not words["aim"].isdisjoint(part) and any(within(part, words["other_spot"])))
    )
    denied = any(
        one in words["bare_not"] and not words["face"].isdisjoint(part[k + 1 : k + 4])
        for k, one in enumerate(part)
    )
    return bool(named) and denied and _says_no_more(part, others | words["bare_not"])


def _elsewhere(part: Sequence[str], *, at_wheel: bool) -> bool:
    """Another part of the wheel was aimed at, or hit."""
    words = _words()
    if not _calm(part):
        return False
    if at_wheel and any(_says_no_more(rest, cell_words().about) for rest in _rests(part, "bare")):
        return True
    hit = any(within(part, words["other_spot"]))
    wheel = not words["through"].isdisjoint(part) and not words["wheel"].isdisjoint(part)
    aimed = not words["aim"].isdisjoint(part) and (hit or wheel)
    known = words["other_spot"] | words["aim"] | words["reading"] | words["gun"]
    told = (
        hit and not words["links"].isdisjoint(part) and not words["reading"].isdisjoint(part)
    )  # "these are rim temps"
    return (aimed and (at_wheel or _wheels(part) > 0)) or ((aimed or told) and _says_no_more(part, known))


def _rests(part: Sequence[str], name: str) -> Iterator[list[str]]:
    """What stands beside each word of a list."""
    return (rest for _, rest in within(part, _words()[name]))


def _calm(rest: Collection[str]) -> bool:
    """True where nothing is denied."""
    return cell_words().nothing.isdisjoint(rest)


def _of_readings(rest: Sequence[str], *, at_wheel: bool) -> bool:
    """True where a reading is meant: at a wheel, of one, or by its name."""
    return at_wheel or _wheels(rest) > 0 or not _words()["reading"].isdisjoint(rest)


def _says_no_more(rest: Collection[str], known: Collection[str] = frozenset()) -> bool:
    """True where nothing is left beside wheels and words that say no more."""
    fill = _words()["filler"] | _words()["reading"] | cell_words().between | cell_words().only
    return all(token in fill or token in known or looks_like_position(token) for token in rest)


def _wheels(part: Collection[str]) -> int:
    """How many wheels are named by one word each."""
    fill = _words()["filler"] | cell_words().between
    return sum(token not in fill and looks_like_position(token) for token in part)


def _names_wheels(rest: Sequence[str]) -> bool:
    """True where a wheel is named, and nothing else."""
    left = [token for token in rest if token not in _words()["filler"] | cell_words().between]
    return bool(left) and (looks_like_position(" ".join(left)) or _wheels(left) == len(left))
