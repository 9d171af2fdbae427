"""How sure an answer is, in words that do not speak against the finding they stand beside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.wording import percent
from thermlog.words.chances import lesser_chances
from thermlog.words.vehicle import corner_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.words.findings import Answer
    from thermlog.words.reasons import Reason, ReasonCode

_EVEN_CHANCE = 0.5
_UNLIKELY = 0.1  # less is no reason to look: then the gap is
_FOR_THE_GAP: frozenset[ReasonCode] = frozenset({"gap_open", "gap_near", "gap_either_way"})


def chance_words(answer: Answer, axle_count: int) -> str:
    """How sure an answer is, in words; empty where it has no probability.

    The probability of an answer is that of any brake. Where several are named, the reason of an open gap
    tells how likely its own brake is, and so does this.

    Parameters
    ----------
    answer : Answer
    axle_count : int
    """
    if answer.p is None:
        return ""
    lesser = lesser_chances(answer).items()
    apart = (f"; {corner_words(corner, axle_count)} by itself {percent(p)}" for corner, p in lesser)
    sure = sure_words(answer.p, answer.reasons, called=answer.answer == "yes", told=answer.open)
    return sure + "".join(apart)


def sure_words(p: float, reasons: Iterable[Reason], *, called: bool, told: bool) -> str:
    """What a probability means beside what is called, watched or left open.

    A call of less than even chance, and a gap that is watched however improbable a fault is, are told as what
    they are: the number alone would speak against the finding that it stands beside.

    Parameters
    ----------
    p : float
        Of a fault, by the model of the whole vehicle.
    reasons : iterable of Reason
        Why it is said, the strongest first.
    called, told : bool
        It is called; it is no plain "no".
    """
    first = next(iter(reasons), None)
    gap = first is not None and "difference_k" in first.numbers
    if called and p < _EVEN_CHANCE:
        past = "; past the mark" if gap else ""
        return f"{round(10.0 * p)} in 10 by the model alone{past}"
    if told and p < _UNLIKELY and first is not None and first.code in _FOR_THE_GAP:
        return f"past the marks; by the model alone {percent(p)}"
    return f"probability {percent(p)}"
