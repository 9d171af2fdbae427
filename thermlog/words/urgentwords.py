"""What is urgent in words: parts that ran too hot, and what was seen beside the readings."""

from __future__ import annotations

from collections.abc import Mapping

from thermlog.words.findings import UrgentCode

PART_WORDS: Mapping[UrgentCode, str] = {
    "brake_hot": "brake",
    "hub_hot": "hub",
    "tyre_hot": "tyre",
    "rim_hot": "rim",
    "caliper_hot": "caliper",
    "hub_over_mate": "hub far above its mate",
    "hub_over_brake": "hub far above its brake",
}
_SEEN: Mapping[UrgentCode, str] = {
    "burst": "burst tyre",
    "grease": "grease thrown out",
    "leak": "fluid leak",
    "locked": "locked wheel",
}


def seen_words(code: UrgentCode) -> str:
    """What was seen, or noticed by its smell."""
    return f"{_SEEN.get(code, code)} {'noticed' if code == 'smell' else 'seen'}"
