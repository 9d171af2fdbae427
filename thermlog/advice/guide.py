"""The road test and the walk round, step by step, with the numbers of a policy filled in."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.doing import doing
from thermlog.words.errors import EvidenceError
from thermlog.words.sentences import Sentence, degc, sentence
from thermlog.words.tomlfile import read_toml

if TYPE_CHECKING:
    from thermlog.words.policy import Policy
    from thermlog.words.vehicle import WeightClass

_TABLE = Path(__file__).with_name("guide.toml")
# Minutes of a normal drive and of the first round: common practice, no source; of a coast drive: doing.toml.
_MINUTES: dict[WeightClass, dict[str, str]] = {
    "light": {"normal_minutes": "15 to 20", "lap_minutes": "2"},
    "heavy": {"normal_minutes": "30 or more", "lap_minutes": "4"},
}


class GuidePoint(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One thing to do or to know, and where it comes from."""

    text: str
    source: str


class GuidePart(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One step; `stop` marks the one that ends everything."""

    title: str
    point: tuple[GuidePoint, ...]
    stop: bool = False


class _GuideFile(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    part: tuple[GuidePart, ...]


@lru_cache(maxsize=1)
def guide_parts() -> tuple[GuidePart, ...]:
    """The table as it is written, with its braces."""
    table = read_toml(_TABLE, refusal=EvidenceError, cure="install thermlog again")
    return msgspec.convert(table, _GuideFile).part


def guide_of(policy: Policy, weight: WeightClass) -> tuple[GuidePart, ...]:
    """The guide for a class of vehicle.

    Parameters
    ----------
    policy : Policy
        Its urgent lines are those of "When to stop".
    weight : {"light", "heavy"}

    Returns
    -------
    tuple of GuidePart
        Texts with temperatures are sentences; put them on a page with `words.sentences.on_page`.
    """
    lines = {
        "brake": policy.urgent_brake_degc, "hub": policy.urgent_hub_degc, "rim": policy.urgent_rim_degc,
        "caliper": policy.urgent_caliper_degc, "tyre": policy.urgent_tyre_degc,
    }  # fmt: skip
    rule = doing().rule
    coast = f"{rule[f'coast_low_{weight}']:.0f} to {rule[f'coast_high_{weight}']:.0f}"
    words = _MINUTES[weight] | {"coast_minutes": coast, "policy": policy.name}

    def filled(point: GuidePoint) -> GuidePoint:
        return replace(point, text=_filled(point.text, lines, words))

    return tuple(replace(part, point=tuple(map(filled, part.point))) for part in guide_parts())


def _filled(text: str, lines: dict[str, float], words: dict[str, str]) -> str | Sentence:
    """A text with its braces filled; temperatures stay numbers until a page asks for them."""
    for name, word in words.items():
        text = text.replace(f"{{{name}}}", word)
    asked = sorted(
        (name for name in lines if f"{{{name}}}" in text), key=lambda name: text.index(f"{{{name}}}")
    )
    for name in asked:
        text = text.replace(f"{{{name}}}", "{}")
    return sentence(text, *(degc(lines[name]) for name in asked)) if asked else text
