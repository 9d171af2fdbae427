"""What the answers to both questions share: gaps in words of reasons, and what was not seen."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason

_FEW = 2  # readings


def above(facts: CaseFacts, corners: Sequence[str]) -> dict[str, float]:
    """Mean rise of some corners over the mean of the others [K]."""
    here, there = [], []
    for axle in facts.axles.values():
        for side in axle.sides:
            if side.rise_k is not None:
                (here if side.corner in corners else there).append(side.rise_k)
    if not here or not there:
        return {}
    return {"above_k": sum(here) / len(here) - sum(there) / len(there)}


def unseen(facts: CaseFacts, p: float) -> Answer | None:
    """Nothing is cleared where a wheel was not read."""
    sight = facts.sight
    if not sight.reasons:
        return None
    return Answer(answer="cannot_tell", p=p, corners=tuple(sight.corners), reasons=sight.reasons)


def no_difference(facts: CaseFacts) -> tuple[Reason, ...]:
    """The widest gap of all, which is within what sound brakes show."""
    compared = [numbers for numbers in facts.axles.values() if numbers.difference_k is not None]
    if not compared:
        return (Reason(code="even"),)
    widest = max(compared, key=lambda numbers: abs(numbers.difference_k or 0.0))
    corners = tuple(side.corner for side in widest.hot_cold)
    return (Reason(code="even", corners=corners, numbers=widest.gap_numbers),)


def few_readings(facts: CaseFacts, corner: str) -> bool:
    """True where one or two readings stand behind a corner or its mate."""
    numbers = facts.axle_of(corner)
    return numbers is not None and min(side.used for side in numbers.sides) <= _FEW
