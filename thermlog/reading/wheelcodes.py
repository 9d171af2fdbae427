"""Position texts of a file to wheels, once for each distinct set of texts."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.reading.air import is_air_word
from thermlog.reading.positions import PositionRules, resolve_positions
from thermlog.reading.readoptions import AxleCount, VehicleSide
from thermlog.reading.scale import Asked
from thermlog.words.tables import Ints
from thermlog.words.vehicle import SIDES, SPOTS

AIR = -2
BAD = -1
BRAKE = SPOTS.index("brake")
_NO_WHEEL = "no wheel named in this row; write one like FL or 2R"


class WheelCodes(Struct, frozen=True, kw_only=True, eq=False):
    """The wheels of one file.

    Attributes
    ----------
    of : mapping
        Position text -> row of the arrays below; `BAD` if it names no wheel, `AIR` if it names the air.
        Texts that mean the same wheel and spot have the same row.
    axle, side, spot : int array
        As in the readings table.
    problems : mapping
        Text -> why it names no wheel.
    clean : bool
        True if every text names a wheel.
    notes : tuple of str
    """

    of: Mapping[str, int]
    axle: Ints
    side: Ints
    spot: Ints
    problems: Mapping[str, str]
    clean: bool
    notes: tuple[str, ...]


def wheel_codes(texts: frozenset[str], asked: Asked) -> WheelCodes:
    """Wheels of all position texts of a file, decided together.

    Parameters
    ----------
    texts : frozenset of str
        As written.
    asked : Asked
        For the user's rules and own words.
    """
    options, said = asked.options, asked.statements
    own = options.column_map.positions if options.column_map is not None else {}
    return _decided(
        texts,
        (options.traffic_side or said.traffic, options.driver_side or said.driver_side),
        options.language or said.language,
        options.axle_count or said.axle_count,
        tuple(sorted(own.items())),
    )


@lru_cache(maxsize=256)
def _decided(
    texts: frozenset[str],
    sides: tuple[VehicleSide | None, VehicleSide | None],
    language: str | None,
    axle_count: AxleCount | None,
    own_words: tuple[tuple[str, str], ...],
) -> WheelCodes:
    rules = PositionRules(
        traffic_side=sides[0], driver_side=sides[1], language=language, axle_count=axle_count
    )
    words = dict(own_words)
    named = {text: words.get(text.strip(), text) for text in texts if text.strip()}
    air = {text for text in named if is_air_word(text)}
    found = resolve_positions([known for text, known in named.items() if text not in air], rules)
    of = dict.fromkeys(texts, BAD) | dict.fromkeys(air, AIR)
    problems = {text: _NO_WHEEL for text in texts if not text.strip()}
    rows: dict[tuple[int, int, int], int] = {}
    for text, known in named.items():
        if (position := found.known.get(known)) is not None:
            row = (position.axle, SIDES.index(position.side), SPOTS.index(position.spot or "brake"))
            of[text] = rows.setdefault(row, len(rows))
        elif text not in air:
            problems[text] = found.problems[known].problem
    table = np.array(
        [*rows, (0, 0, BRAKE), (0, 0, BRAKE)], dtype=np.int64
    )  # the last two: what AIR, BAD meet
    return WheelCodes(
        of=of,
        axle=table[:, 0].copy(),
        side=table[:, 1].copy(),
        spot=table[:, 2].copy(),
        problems=problems,
        clean=not problems and not air,
        notes=found.notes,
    )
