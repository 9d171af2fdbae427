"""Facts with some numbers of one axle replaced, for the tests of single rules."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from thermlog.judging.facts import CaseFacts


def with_sides(facts: CaseFacts, axle: int, left: Any = None, right: Any = None, **about: Any) -> CaseFacts:
    """Facts with some numbers of one axle's sides replaced."""
    numbers = facts.axles[axle]
    changed = replace(
        numbers,
        left=replace(numbers.left, **(left or {})),
        right=replace(numbers.right, **(right or {})),
        **about,
    )
    return replace(facts, axles={**facts.axles, axle: changed})
