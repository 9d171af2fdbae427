"""Words that stand where a temperature should, and words for what was seen: the table cellwords.toml."""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeAlias, cast

from msgspec import Struct

from thermlog.reading.positions.words import tokens_of, turned
from thermlog.words.bundled import bundled

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence

    from thermlog.words.errors import SetAsideCode
    from thermlog.words.seenwords import SeenCode

Felt: TypeAlias = Literal["hot", "warm", "cold"]
NoWheel: TypeAlias = Literal["summary", "quantity", "part"]

_LONGEST = 4  # tokens of the longest words of the table


class Together(Struct, frozen=True, kw_only=True):
    """What words near each other say was seen: a part of the vehicle, and what is said of it.

    With a word of `denied_by` it was not so; with one of `other_with` something else is meant; words of
    `fill` beside it say no more.
    """

    part: frozenset[str]
    says: Mapping[str, SeenCode]
    alone: SeenCode | None
    denied_by: frozenset[str]
    other_with: frozenset[str]
    fill: frozenset[str]


class CellWords(Struct, frozen=True, kw_only=True):
    """cellwords.toml, turned round for look-up by `bare_letters` words; a plain set has its name there."""

    no_temperature: Mapping[str, SetAsideCode]
    too_hot: tuple[str, ...]
    by_hand: Mapping[str, Felt]
    no_wheel: Mapping[str, NoWheel]
    no_wheel_fill: frozenset[str]
    seen: Mapping[str, SeenCode]
    together: tuple[Together, ...]
    between: frozenset[str]
    nothing: frozenset[str]
    deniable: frozenset[str]
    plain: frozenset[str]
    no_more: frozenset[str]
    now: frozenset[str]
    other_than: frozenset[str]
    degree: frozenset[str]
    looked: frozenset[str]
    not_asked: frozenset[str]
    things: frozenset[str]
    admits: frozenset[str]
    bare_not: frozenset[str]
    no_repair: frozenset[str]
    to_do: frozenset[str]
    address: frozenset[str]
    no_slip: frozenset[str]
    conjunctions: frozenset[str]
    harmless: frozenset[str]
    other_vehicle: frozenset[str]
    bystander: frozenset[str]
    fuels: frozenset[str]
    premises: frozenset[str]
    fine: frozenset[str]
    all_of_them: frozenset[str]
    no_obstacle: frozenset[str]
    dry: frozenset[str]
    only: frozenset[str]
    about: frozenset[str]
    highest: frozenset[str]
    average: frozenset[str]
    again: frozenset[str]
    missed: frozenset[str]
    same_vehicle: frozenset[str]
    spot_keys: frozenset[str]
    fitted: frozenset[str]
    title_fill: frozenset[str]
    alarm: Mapping[str, frozenset[str]]
    signs: Mapping[str, frozenset[str]]


@lru_cache(maxsize=1)
def cell_words() -> CellWords:
    """Return the table, loaded once."""
    raw = bundled(Path(__file__).with_name("cellwords.toml"))
    beside = raw["beside_seen"]
    too_hot = raw["no_temperature"]["too_hot"]
    no_wheel = {kind: words for kind, words in raw["no_wheel"].items() if kind != "fill"}
    no_wheel["summary"] = [*no_wheel["summary"], *raw["aimed"]["average"]]
    marks = {code: words for code, words in raw["no_temperature"].items() if words is not too_hot}
    lists = {**beside, **raw["aimed"], **raw["title"]}
    named = {name: frozenset(lists[name]) for name in CellWords.__struct_fields__ if name in lists}
    for first, second in (("banned", "ban"), ("painted", "paint"), ("smoked", "pane")):
        named["harmless"] |= {*_pairs(beside, first, second)}
    return CellWords(
        too_hot=tuple(too_hot),
        no_temperature=cast("Mapping[str, SetAsideCode]", turned(marks)),
        by_hand=cast("Mapping[str, Felt]", turned(raw["by_hand"])),
        no_wheel=cast("Mapping[str, NoWheel]", turned(no_wheel)),
        no_wheel_fill=frozenset(raw["no_wheel"]["fill"]),
        seen=cast("Mapping[str, SeenCode]", turned(raw["seen"])),
        together=tuple(map(_together, raw["seen_together"])),
        conjunctions=frozenset(beside["and"]),
        title_fill=frozenset(raw["title"]["fill"]),
        alarm={name: frozenset(words) for name, words in raw["alarm"].items()},
        signs={name: frozenset(marks) for name, marks in raw["signs"].items()},
        **named,
    )


def _pairs(beside: Mapping[str, Any], first: str, second: str) -> Iterator[str]:
    """Each word of one list with each of another behind it."""
    return map("".join, product(beside[first], beside[second]))


def _together(said: Mapping[str, Any]) -> Together:
    return Together(
        part=frozenset(said["part"]),
        says=cast("Mapping[str, SeenCode]", turned(said["says"])),
        alone=said.get("alone"),
        denied_by=frozenset(said.get("denied_by", ())),
        other_with=frozenset(said["other_with"]),
        fill=frozenset(said["fill"]),
    )


def bare_letters(text: str) -> str:
    """Letters and digits of a text alone, upper case, without accents.

    Examples
    --------
    >>> bare_letters("O.L"), bare_letters("zu heiß")
    ('OL', 'ZUHEISS')
    """
    return "".join(tokens_of(text))


def runs_of(tokens: Sequence[str], longest: int) -> Iterator[tuple[int, int, str]]:
    """Tokens side by side as one word, each with where it starts and ends.

    Examples
    --------
    >>> [word for _, _, word in runs_of(["OVER", "RANGE"], 4)]
    ['OVER', 'OVERRANGE', 'RANGE']
    """
    for start in range(len(tokens)):
        for stop in range(start + 1, min(start + longest, len(tokens)) + 1):
            yield start, stop, "".join(tokens[start:stop])


def within(part: Sequence[str], words: Collection[str]) -> Iterator[tuple[str, list[str]]]:
    """Words of a table that tokens side by side spell, each with the tokens left beside them."""
    for start, stop, said in runs_of(part, _LONGEST):
        if said in words:
            yield said, [*part[:start], *part[stop:]]


def no_wheel_word(text: str, *, whole: bool = False) -> NoWheel | None:
    """What a word says that stands where a wheel should and names a sum, another quantity or another part.

    Parameters
    ----------
    text : str
    whole : bool
        True: every word of the text is to be a sum or a part, or to say nothing more ("oil temperature");
        False: one is enough, as in a heading.

    Examples
    --------
    >>> no_wheel_word("Average"), no_wheel_word("pressure (bar)"), no_wheel_word("XY")
    ('summary', 'quantity', None)
    >>> no_wheel_word("engine oil", whole=True), no_wheel_word("engine left", whole=True)
    ('part', None)
    """
    table, tokens = cell_words().no_wheel, tokens_of(text)
    hits = [table[token] for token in tokens if token in table]
    if whole:
        named = {token for token in tokens if table.get(token) in {"summary", "part"} or token.isdigit()}
        only = cell_words().no_wheel_fill.issuperset({*tokens} - named)
        return ("part" if "part" in hits else hits[0]) if hits and only else None
    return hits[0] if hits else None
