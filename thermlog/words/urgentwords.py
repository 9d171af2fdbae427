"""What is urgent in words: parts that ran too hot, and what was seen beside the readings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from thermlog.words.findings import UrgentCode
from thermlog.words.seenwords import SEEN_WORDS

PART_WORDS: Mapping[UrgentCode, str] = {
    "brake_hot": "brake",
    "hub_hot": "hub",
    "tyre_hot": "tyre",
    "rim_hot": "rim",
    "caliper_hot": "caliper",
    "hub_over_mate": "hub far above its mate",
    "hub_over_brake": "hub far above its brake",
}
HUB_GAPS: frozenset[UrgentCode] = frozenset({"hub_over_mate", "hub_over_brake"})  # their words say all
# Felt or heard at the pedal, smelt, or heard: nothing that eyes tell.
_NOTICED: frozenset[UrgentCode] = frozenset({"smell", "pedal", "air_loss", "grind"})


def seen_words(code: UrgentCode) -> str:
    """What was seen, or noticed otherwise."""
    return f"{SEEN_WORDS[code]} {'noticed' if code in _NOTICED else 'seen'}"


def stop_words(code: str) -> str:
    """What stopped a vehicle, as it was stored; a code that an earlier version knew stands for itself."""
    if code in SEEN_WORDS:
        return SEEN_WORDS[code]
    part = PART_WORDS.get(cast("UrgentCode", code))
    if part is None:
        return code.replace("_", " ")
    return part if code in HUB_GAPS else f"{part} too hot"
