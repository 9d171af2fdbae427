"""What a log states of the repair before it: work done on a part that can be the cause, and where."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reading.cellwords import cell_words
from thermlog.reading.cornerwords import corners_of_word, place_word
from thermlog.reading.positions.resolve import PositionRules, looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.words.bounds import LONGEST_REPAIR
from thermlog.words.bundled import bundled
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from thermlog.reading.vocabulary import VehicleSide

_ENDS = regular(r"[,;.!|]|\s-\s")
_JOINED = regular(r"[&+]")
_YEAR = regular(r"(?:19|20)\d\d")
_LONGEST_PLACE = 4  # tokens
_SIDE = frozenset({"SIDE"})  # what makes a side of "near", "off", "kerb", "driver"
_NO_PLACE = frozenset({"DRIVE"})  # an axle beside "axle" only


class Mending(Struct, frozen=True, kw_only=True):
    """One thing done; `places` are the words of its wheels and axles, empty where none is named."""

    places: tuple[str, ...] = ()
    shared: bool = False


class _RepairWords(Struct, frozen=True, kw_only=True):
    part: frozenset[str]
    shared: frozenset[str]
    work: frozenset[str]
    new: frozenset[str]
    adjusted: frozenset[str]
    beside_new: frozenset[str]
    side: frozenset[str]
    looked: frozenset[str]
    other: frozenset[str]
    undone: frozenset[str]
    result: frozenset[str]


@lru_cache(maxsize=1)
def _words() -> _RepairWords:
    raw = bundled(Path(__file__).with_name("repairwords.toml"))
    return _RepairWords(**{name: frozenset(raw[name]) for name in _RepairWords.__struct_fields__})


def repair_explains(
    text: str,
    corner: str | None,
    corners: Collection[str],
    *,
    traffic_side: VehicleSide | None = None,
    driven_year: int | None = None,
) -> bool:
    """True if a text states work done on a part that can be the cause of what one wheel did.

    Parameters
    ----------
    text : str
        What a log says was found and mended.
    corner : str or None
        Canonical corner; None where nobody said at which wheel.
    corners : collection of str
        Canonical corners of the vehicle.
    traffic_side : {"left", "right"}, optional
        The near side; without it near and off side name no wheel.
    driven_year : int, optional
        Of the drive after it: work of an earlier year explains nothing, nor of any where this is not known.

    Examples
    --------
    >>> wheels = ["1L", "1R", "2L", "2R"]
    >>> [repair_explains(said, "2R", wheels) for said in ("new caliper RR", "rear pads renewed", "new hose")]
    [True, True, True]
    >>> [repair_explains(said, "2R", wheels) for said in ("new caliper FL", "RR caliper ordered", "washed")]
    [False, False, False]
    """
    if _is_dated_before(text, driven_year):
        return False
    rules = PositionRules(traffic_side=traffic_side)
    return any(_is_at(work, corner, corners, rules) for work in works_of(text))


def _is_dated_before(text: str, year: int | None) -> bool:
    """True for work of an earlier year."""
    years = (int(token) for token in tokens_of(text) if _YEAR.fullmatch(token))
    return any(year is None or one < year for one in years)


def _is_at(work: Mending, corner: str | None, corners: Collection[str], rules: PositionRules) -> bool:
    if corner is None or work.shared or not work.places:
        return True
    known = sorted({*corners, corner})
    return any(
        corner in corners_of_word(place, texts=known, corners=known, rules=rules)[0] for place in work.places
    )


@lru_cache(maxsize=256)
def works_of(text: str) -> tuple[Mending, ...]:
    """What a text positively states was done; nothing where any of it is planned, denied or in doubt.

    Examples
    --------
    >>> works_of("new caliper rear right"), works_of("caliper RR replaced, cause not found")
    ((Mending(places=('rear right',), shared=False),), ())
    """
    parts = list(_parts(text))
    if "?" in text or len(text) >= LONGEST_REPAIR or any(map(_leaves_open, parts)):
        return ()
    told = tuple(place for part in parts for place in _places(part))  # "RR: pads out, new caliper"
    return tuple(
        Mending(places=tuple(_places(part)) or told, shared=not _words().shared.isdisjoint(part))
        for part in parts
        if _is_work(part)
    )


def _parts(text: str) -> Iterator[list[str]]:
    """Tokens between commas and "and"; "left and right" is both sides of what is beside it."""
    for piece in _ENDS.split(_JOINED.sub(" and ", text)):
        part: list[str] = []
        tokens = _with_sides(tokens_of(piece))
        while tokens:
            if len(tokens) > 2 and _both_sides(tokens[:3]):
                del tokens[:3]
            elif tokens[0] in cell_words().conjunctions and tokens[0] != "BUT":
                yield part
                part = tokens[:0]
                del tokens[0]
            else:
                part.append(tokens.pop(0))
        yield part


def _with_sides(tokens: Sequence[str]) -> list[str]:
    """Tokens with "near side" as one: it names a side, and nothing that is near."""
    whole: list[str] = []
    for token in tokens:
        if token in _SIDE and whole and whole[-1] + token in _words().side:
            whole[-1] += token
        else:
            whole.append(token)
    return whole


def _both_sides(tokens: Sequence[str]) -> bool:
    first, joint, last = tokens
    return {first, last} <= _words().side and first != last and joint in cell_words().conjunctions


def _leaves_open(part: Sequence[str]) -> bool:
    """True for what was not done or is not known; "no smoke now" is what came of the work."""
    if not _words().undone.isdisjoint(part):
        return True
    denied = not cell_words().nothing.isdisjoint(part)
    return denied and (_words().result.isdisjoint(part) or not _words().work.isdisjoint(part))


def _is_work(part: Sequence[str]) -> bool:
    """True for work on a part; of what is said to be a repair, for a part and its wheel: "caliper LF"."""
    table = _words()
    if not (table.looked | table.other).isdisjoint(part) or not cell_words().nothing.isdisjoint(part):
        return False
    placed = {token for place in _places(part) for token in tokens_of(place)}
    known = table.part | table.new | table.beside_new | table.side | cell_words().between | placed
    left = {one for one in part if not one.isdigit() and one not in known}
    if table.part.isdisjoint(part):
        return bool(placed) and bool(left) and table.adjusted >= left
    if not table.work.isdisjoint(part):
        return True
    return not left and (bool(placed) or not table.new.isdisjoint(part))


def _places(part: Sequence[str]) -> list[str]:
    """Words of wheels and axles, longest first; a side alone is a place that nobody can find."""
    known = _words().part | _words().work | _words().new | cell_words().between
    left, found = [token for token in part if token not in known], []
    for length in range(_LONGEST_PLACE, 0, -1):
        start = 0
        while start + length <= len(left):
            run = left[start : start + length]
            if _is_place(run):
                found.append(" ".join(run).lower())
                del left[start : start + length]
            else:
                start += 1
    return found


def _is_place(run: Sequence[str]) -> bool:
    said = " ".join(run)
    if len(run) == 1 and (said in _words().side or said in _NO_PLACE or said.isdigit() or len(said) == 1):
        return said in _words().side
    return looks_like_position(said) or place_word(said) is not None
