"""A line beside the rows that says what all readings below it are of: the hubs, the tyres, the rims."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.words import take_spot, tokens_of
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from thermlog.words.vehicle import Spot

_TEMPERATURES = regular(r"TEMPERAT(?:UR|UREN|UUR|URA|URAS|URE|URES)$")


@lru_cache(maxsize=4096)
def titled_spot(text: str) -> Spot | None:
    """Spot that a line beside the rows says all readings below it are of: "Hub readings", "spot: tyre".

    "Wheel" alone is no spot here: it is what people call the brake of a wheel.

    Examples
    --------
    >>> titled_spot("tyre temperatures"), titled_spot("aimed at: hubs"), titled_spot("Reifentemperaturen")
    ('tyre_outer', 'hub', 'tyre_outer')
    >>> titled_spot("wheel temperatures"), titled_spot("tyres: 315/80"), titled_spot("alloy wheels")
    (None, None, None)
    """
    words = cell_words()
    key, _, value = text.rpartition(":" if ":" in text else "=")
    if key and "".join(tokens_of(key)) not in words.spot_keys:
        return None
    tokens = [_TEMPERATURES.sub("", token) for token in tokens_of(value)]
    if not key and words.fitted.issuperset(tokens):
        return None
    skip = words.between | words.only | words.about | words.title_fill | {""}
    left = [token for token in tokens if token not in skip]
    for ending in ("", "S", "N"):
        spot, rest = take_spot([token.removesuffix(ending) for token in left], wheel_is_spot=False)
        if spot is not None and not rest:
            return spot
    return None
