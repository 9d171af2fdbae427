"""What can be seen or noticed beside the readings, by the words it is called and may be stated by."""

from __future__ import annotations

from collections.abc import Mapping

SEEN_WORDS: Mapping[str, str] = {
    "smoke": "smoke",
    "glow": "glow",
    "flame": "flame",
    "sparks": "sparks",
    "steam": "steam",
    "burst": "burst tyre",
    "grease": "grease thrown out",
    "leak": "fluid leak",
    "locked": "locked wheel",
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
