"""What can be seen or noticed beside the readings, by the words it is called and may be stated by."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias

from thermlog.words.vehicle import Side

SeenCode: TypeAlias = Literal[
    "smoke", "glow", "flame", "smell", "sparks", "steam", "burst", "melted", "grease", "leak", "locked",
    "loose", "pedal", "air_loss", "grind", "brake_lamp", "abs_lamp", "pull_left", "pull_right", "pull",
]  # fmt: skip
# Noticed of the vehicle, not of one wheel.
OF_VEHICLE: frozenset[SeenCode] = frozenset(
    {"pedal", "brake_lamp", "abs_lamp", "pull_left", "pull_right", "pull"}
)
# The brakes of the vehicle may fail, whatever their heat.
OF_SUPPLY: frozenset[Literal["pedal", "air_loss", "leak", "brake_lamp"]] = frozenset(
    {"pedal", "air_loss", "leak", "brake_lamp"}
)
# The side a vehicle pulls to; None where only that it does is said.
PULLS: dict[SeenCode, Side | None] = {"pull_left": "L", "pull_right": "R", "pull": None}
SEEN_WORDS: Mapping[str, str] = {
    "smoke": "smoke",
    "glow": "glow",
    "flame": "flame",
    "sparks": "sparks",
    "steam": "steam",
    "burst": "burst tyre",
    "melted": "melted part",
    "grease": "grease thrown out",
    "leak": "fluid leak",
    "locked": "locked wheel",
    "loose": "loose wheel",
    "smell": "smell",
    "pedal": "soft pedal",
    "air_loss": "hissing air",
    "grind": "grinding",
    "brake_lamp": "brake warning lamp",
    "abs_lamp": "ABS lamp",
    "pull_left": "pulls left",
    "pull_right": "pulls right",
    "pull": "pulls to a side",
}
SEEN_CHOICES = ", ".join(SEEN_WORDS.values())
