"""How likely each brake that an answer names is to be so: the answer's probability is that of any brake."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from thermlog.words.findings import Answer
    from thermlog.words.reasons import Reason

_LESSER = 0.5  # of the probability of an answer: a brake that is named for its own gap alone


def lesser_chances(answer: Answer) -> dict[str, float]:
    """Of brakes beside others, named for a gap that makes them far less likely than the answer is.

    Parameters
    ----------
    answer : Answer
    """
    if answer.p is None or len(answer.suspected) < 2:
        return {}
    own = _own_chances(answer.reasons)
    return {one: p for one, p in own.items() if one in answer.suspected and p < _LESSER * answer.p}


def chance_of(answer: Answer, corners: Collection[str]) -> float | None:
    """Probability that an answer gives to some of the brakes that it names.

    Parameters
    ----------
    answer : Answer
    corners : collection of str

    Returns
    -------
    float or None
        That of any brake, unless every one of them is far less likely by its own gap: then of the likeliest.
    """
    lesser = lesser_chances(answer)
    own = [lesser[corner] for corner in corners if corner in lesser]
    return max(own) if own and len(own) == len(corners) else answer.p


def _own_chances(reasons: Iterable[Reason]) -> dict[str, float]:
    """How likely the hotter side of a gap that is open drags, and the cooler one does too little."""
    found: dict[str, float] = {}
    for reason in reasons:
        if reason.code == "gap_open":
            both = zip(reason.corners, ("share_drag", "share_idle"), strict=False)
            found |= {corner: reason.numbers[name] for corner, name in both if name in reason.numbers}
    return found
