"""A check made twice: how its second answer is named, and how much the two tell together.

The second time is the same person with the same idea at the same wheel, so it is no independent witness: what
a cause shows there it shows again, and part of the slips come again, too.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # a wheel is built where there is no numpy
    import numpy as np
    from numpy.typing import NDArray

AGAIN = "_again"
AnswerPairs = Iterable[tuple[str, str]]


def is_again(check: str) -> bool:
    """True for the second time a check was made."""
    return check.endswith(AGAIN)


def first_time(check: str) -> str:
    """The check that was made again; a check of the first time as it is."""
    return check.removesuffix(AGAIN)


def differing(told: AnswerPairs) -> tuple[str, ...]:
    """Checks that were made twice and had two answers."""
    known = dict(told)
    return tuple(check for check in known if known[check] != known.get(check + AGAIN, known[check]))


def made_twice(told: AnswerPairs) -> frozenset[str]:
    """Checks that were made twice."""
    return frozenset(first_time(check) for check, _ in told if is_again(check))


def agreed_pairs(told: AnswerPairs) -> tuple[tuple[str, str], ...]:
    """Every check once, without those whose two answers differ: they speak for nothing."""
    known = dict(told)
    unsure = {*differing(known.items())}
    return tuple(pair for pair in known.items() if not is_again(pair[0]) and pair[0] not in unsure)


def latest(told: AnswerPairs) -> dict[str, str]:
    """The last answer to every check."""
    known = dict(told)
    return {check: known.get(check + AGAIN, answer) for check, answer in known.items() if not is_again(check)}


def answer_names(told: AnswerPairs) -> set[str]:
    """Answers as the evidence file names them, ``check=answer``."""
    return {f"{check}={answer}" for check, answer in told}


def second_p(p: NDArray[np.float64], first: int, *, slip: float, comes_again: float) -> NDArray[np.float64]:
    """Probability of every second answer, given the first one and the cause.

    What a cause shows is the same both times. A slip may be any answer of the card; a part of the slips comes
    again as it was, the others are made each time anew.

    Parameters
    ----------
    p : array, (answers, causes)
        What each cause shows, summing to one over the answers.
    first : int
        The first answer.
    slip : float
        Share of answers that are slips, the same both times.
    comes_again : float
        Share of the slips that are made the second time just as the first.

    Returns
    -------
    array, (answers, causes)
        Summing to one over the answers.
    """
    count = len(p)
    same = slip * comes_again
    apart = slip * (1.0 - comes_again) / (1.0 - same)
    each = apart / count
    both = (1.0 - apart) * each * (p + p[first]) + each**2
    both[first] += (1.0 - apart) ** 2 * p[first]
    both *= 1.0 - same
    both[first] += same / count
    found: NDArray[np.float64] = both / both.sum(axis=0)
    return found
