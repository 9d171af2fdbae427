"""Position texts of a file to wheels, once for each distinct set of texts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.air import is_air_word
from thermlog.reading.cells import shown
from thermlog.reading.cellwords import no_wheel_word
from thermlog.reading.cornerwords import corners_of_word
from thermlog.reading.description import axles_stated
from thermlog.reading.positions.resolve import (
    PositionProblem,
    PositionRules,
    PositionSet,
    looks_like_position,
    resolve_positions,
)
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.scale import Asked
from thermlog.words.errors import LogRefusedError, SetAsideCode
from thermlog.words.regular import regular
from thermlog.words.tables import Ints
from thermlog.words.vehicle import SIDES, SPOTS, OwnWords, corner_name

AIR_ROW = -2
BAD = -1
BRAKE = SPOTS.index("brake")
_BY_THE_KERB = regular("KERB|CURB|ROAD|STREET")
_NO_WHEEL = "no wheel named in this row; write one like FL or 2R"
_IN_DOUBT = "a question mark stands at the wheel: it may be another; read it again, or write the wheel alone"
_DOUBT = regular(r"(?<!\w)[?¿]|\?(?!\w)")  # "arri?re" has lost a letter
_OTHER_PART = "names no wheel and no brake but something else that was read; not a reading of a wheel"
_LONGEST_NAME = 40
_SUMMARY = "names no wheel but a figure made from readings; not a reading"


class WheelCodes(Struct, frozen=True, kw_only=True, eq=False):
    """The wheels of one file.

    Attributes
    ----------
    of : mapping
        Position text -> row of the arrays below; `BAD` if it names no wheel, `AIR_ROW` if it names the air.
        Texts that mean the same wheel and spot have the same row.
    axle, side, spot : int array
        As in the readings table.
    axles_least : int array
        Axles that a vehicle with this wheel has at least, by its words: "front left" speaks of a rear.
    problems : mapping
        Text -> why it names no wheel, for programs and for people.
    doubted : frozenset of str
        Those of them that name a wheel known here, with a question mark.
    clean : bool
        True if every text names a wheel.
    called : mapping
        Text -> what it calls its corner, where a page may call it otherwise.
    notes : tuple of str
    """

    of: Mapping[str, int]
    axle: Ints
    side: Ints
    spot: Ints
    axles_least: Ints
    problems: Mapping[str, tuple[SetAsideCode, str]]
    doubted: frozenset[str]
    clean: bool
    called: Mapping[str, OwnWords]
    notes: tuple[str, ...]

    def corner(self, code: int) -> str | None:
        """Canonical corner of a row of the arrays; None for `BAD` and `AIR_ROW`."""
        return corner_name(int(self.axle[code]), SIDES[self.side[code]]) if code >= 0 else None


def called_here(codes: WheelCodes, texts: Collection[str]) -> tuple[OwnWords, ...]:
    """What some rows of a file call their corners: of several words those of these rows, the shortest.

    Parameters
    ----------
    codes : WheelCodes
        Of the whole file; its words stand in for corners that these rows do not name.
    texts : collection of str
        Position texts of the rows.
    """
    found: dict[str, OwnWords] = {}
    for text in sorted(codes.called, key=lambda text: (text not in texts, len(text), text)):
        found.setdefault(codes.called[text].corner, codes.called[text])
    return tuple(found[corner] for corner in sorted(found))


def position_rules(asked: Asked) -> PositionRules:
    """What the user and the log tell about position words."""
    options, said = asked.options, asked.statements
    return PositionRules(
        traffic_side=options.traffic_side or said.traffic,
        driver_side=options.driver_side or said.driver_side,
        language=options.language or said.language,
        axle_count=options.axle_count or said.axle_count,
    )


def corners_named(codes: WheelCodes, asked: Asked) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Corners that the options name by words, by the words of this file.

    Raises
    ------
    LogRefusedError
        A word may mean several here.
    """
    if not asked.options.places:
        return ()
    corners_of = {text: corner for text, code in codes.of.items() if (corner := codes.corner(code))}
    own = {text.strip().casefold(): corner for text, corner in corners_of.items()}
    found: list[tuple[str, tuple[str, ...]]] = []
    for word in asked.options.places:
        if corner := own.get(word.casefold()):
            found.append((word, (corner,)))
            continue
        named, why = corners_of_word(
            word, texts=corners_of, corners=frozenset(corners_of.values()), rules=position_rules(asked)
        )
        if why:
            raise LogRefusedError(
                why, code="unclear_wheel", file=asked.file, column="--surface", value=shown(word)
            )
        found.append((word, named))
    return tuple(found)


def wheel_codes(texts: frozenset[str], asked: Asked) -> WheelCodes:
    """Wheels of all position texts of a file, decided together.

    Parameters
    ----------
    texts : frozenset of str
        As written.
    asked : Asked
        For the user's rules and own words.
    """
    own = dict(asked.options.positions)
    if asked.options.column_map is not None:
        own |= asked.options.column_map.positions
    if axles_stated(asked.statements) == 1:
        own = sides_of_only_axle(texts) | own
    rules = position_rules(asked)
    stated = "traffic" in asked.statements.said or rules.driver_side == "left"
    return _decided(texts, replace(rules, traffic_by_words=not stated), tuple(sorted(own.items())))


def sides_of_only_axle(texts: Iterable[str]) -> dict[str, str]:
    """Words that name a side alone, in full: of a trailer with one axle nobody says which axle it is.

    Parameters
    ----------
    texts : iterable of str
        All position texts of the file.

    Returns
    -------
    dict of str to str
        Empty where any of them names an axle itself.

    Examples
    --------
    >>> sides_of_only_axle({"L", "right hub"}) == {"L": "axle 1 L", "right hub": "axle 1 right hub"}
    True
    >>> sides_of_only_axle({"L", "2R"}), sides_of_only_axle({"door"})
    ({}, {})
    """
    named = {text.strip() for text in texts if text.strip() and not is_air_word(text)}
    if any(looks_like_position(text) for text in named):
        return {}
    full = {text: f"axle 1 {text}" for text in sorted(named)}
    return {text: words for text, words in full.items() if looks_like_position(words)}


@lru_cache(maxsize=256)
def _decided(
    texts: frozenset[str], rules: PositionRules, own_words: tuple[tuple[str, str], ...]
) -> WheelCodes:
    words = dict(own_words)
    named = {text: words.get(text.strip(), text) for text in texts if text.strip()}
    air = {text for text in named if is_air_word(text)}
    found = _resolved([known for text, known in named.items() if text not in air], rules)
    of = dict.fromkeys(texts, BAD) | dict.fromkeys(air, AIR_ROW)
    problems: dict[str, tuple[SetAsideCode, str]] = {
        text: ("no_wheel", _NO_WHEEL) for text in texts if not text.strip()
    }
    doubted: set[str] = set()
    rows: dict[tuple[int, int, int], int] = {}
    least: dict[int, int] = {}
    called: dict[str, OwnWords] = {}
    for text, known in named.items():
        if (position := found.known.get(known)) is not None and _DOUBT.search(text):
            problems[text] = "unclear_wheel", _IN_DOUBT
            doubted.add(text)
        elif position is not None:
            row = (position.axle, SIDES.index(position.side), SPOTS.index(position.spot or "brake"))
            of[text] = rows.setdefault(row, len(rows))
            least[of[text]] = max(least.get(of[text], 0), position.axle + position.leads)
            if (mapped := not known.endswith(text.strip())) or position.named_by != "number":
                called[text] = OwnWords(
                    corner=corner_name(position.axle, position.side),
                    words=shown(text.strip(), _LONGEST_NAME),
                    by_end=position.named_by == "end" and not mapped,
                )
        elif text not in air:
            problems[text] = _problem(text, found.problems[known], found, rules)
    table = np.array(
        [*rows, (0, 0, BRAKE), (0, 0, BRAKE)], dtype=np.int64
    )  # the last two: what AIR_ROW, BAD meet
    return WheelCodes(
        of=of,
        axle=table[:, 0].copy(),
        side=table[:, 1].copy(),
        spot=table[:, 2].copy(),
        axles_least=np.array([*least.values(), 0, 0], dtype=np.int64),
        problems=problems,
        doubted=frozenset(doubted),
        clean=not problems and not air,
        called=called,
        notes=(*found.notes, *dict.fromkeys(one.note for one in found.known.values() if one.note)),
    )


def _resolved(texts: Sequence[str], rules: PositionRules) -> PositionSet:
    """The positions; nearside and offside are words of where traffic keeps left, kerb side is not."""
    may, rules = rules.traffic_by_words, replace(rules, traffic_by_words=False)
    found = resolve_positions(texts, rules)
    asked = [text for text, one in found.problems.items() if one.code == "country"]
    if not (may and asked) or any(_BY_THE_KERB.search("".join(tokens_of(text))) for text in asked):
        return found
    return resolve_positions(texts, replace(rules, traffic_side="left", traffic_by_words=True))


def _problem(
    text: str, found: PositionProblem, others: PositionSet, rules: PositionRules
) -> tuple[SetAsideCode, str]:
    said = no_wheel_word(text, whole=True)
    if said == "summary":
        return "summary", _SUMMARY
    if said == "part" and found.code == "unknown":
        return "other_part", _OTHER_PART
    if found.code != "unknown":
        return "unclear_wheel", found.problem
    from thermlog.reading.positions.nearest import nearest_wheel  # only words nobody knows need it

    guess = nearest_wheel(text, others, rules.language)
    meant = f"did you mean {guess}? Else " if guess else ""
    return (
        "unknown_wheel",
        f'"{shown(text.strip(), 40)}" is no wheel position known here; {meant}{found.problem}',
    )
