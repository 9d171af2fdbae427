"""A brake that was taken apart is put together before it is put on or its wheel turned: said with the check.

Pistons come out of a caliper or a cylinder that has nothing to press against, and an S-cam turns over.
"""

from __future__ import annotations

from collections.abc import Collection

from msgspec.structs import replace

from thermlog.advice.candidates import Candidate
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation
from thermlog.words.sentences import capital, listed, sentence

_ON_FIRST = "{} back on first, as they were{}, nobody at the brake before. {}"
_WHEEL = ", the wheel too, its nuts tight"
_CAUTION = (
    "Drum, pads, caliper, rod and chamber, whatever was off, is on again before the brake is put on: "
    "pistons come out, a cam turns over."
)


def put_together(one: Candidate, situation: Situation, reached: Collection[str]) -> Candidate:
    """The check as it is asked after the brake was taken apart: first it is put together.

    Parameters
    ----------
    one : Candidate
    situation : Situation
    reached : collection of str
        "apart" while the brake is, "wheel_off" while the wheel is off.
    """
    turned = "turns" in one.asked.needs and "wheel_off" in reached
    if not one.asked.closed or not (turned or "apart" in reached):
        return one
    parts = listed(_parts(situation))
    ask = sentence(_ON_FIRST, capital(parts), _WHEEL if turned else "", one.asked.ask)
    return replace(one, asked=replace(one.asked, ask=ask, safety=f"{_CAUTION} {one.asked.safety}"))


def _parts(situation: Situation) -> list[str]:
    """What may be off, by the kind of brake it may be."""
    drum = situation.share_of(evidence_table().drums) > 0.0
    disc = any(share > 0.0 and kind not in evidence_table().drums for kind, share in situation.shares)
    return [*["drum and shoes"] * drum, *["pads and caliper"] * disc]
