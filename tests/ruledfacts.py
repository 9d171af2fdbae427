"""Facts with some numbers of one axle replaced, for the tests of single rules."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from thermlog.judging.facts import CaseFacts
from thermlog.words.estimates import Estimate


def with_sides(facts: CaseFacts, axle: int, left: Any = None, right: Any = None, **about: Any) -> CaseFacts:
    """Facts with some numbers of one axle's sides replaced; a difference as a number, with its interval."""
    numbers = facts.axles[axle]
    if "difference_k" in about:
        ends = about.pop("difference_interval_k", None) or (None, None)
        value = about.pop("difference_k")
        about["difference_k"] = None if value is None else Estimate(value, *ends)
    changed = replace(
        numbers,
        left=replace(numbers.left, **(left or {})),
        right=replace(numbers.right, **(right or {})),
        **about,
    )
    return replace(facts, axles={**facts.axles, axle: changed})
