"""How right the answers were, where somebody looked: counts, intervals, calibration, causes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.followup.jobrecord import NO_FAULT
from thermlog.history.seen import WORDS
from thermlog.words.estimates import Estimate

if TYPE_CHECKING:
    from thermlog.advice.evidence import Tends
    from thermlog.history.jobs import KeptJob
    from thermlog.history.rows import KeptVisit
    from thermlog.words.findings import AnswerWord

_BINS = (0.0, 0.05, 0.15, 0.30, 0.60, 1.0)  # of p: the lines of the bundled policies lie between them


class Counted(Struct, frozen=True, kw_only=True):
    """Drives of which one thing is common, and how many of them had a fault.

    Attributes
    ----------
    name : str
    drives, faulty : int
    share : Estimate or None
        Of drives with a fault, with its 95 % interval; None where there are none.
    said : float or None
        Mean probability that was said; None where none was.
    """

    name: str
    drives: int
    faulty: int
    share: Estimate | None
    said: float | None = None


class Outcomes(Struct, frozen=True, kw_only=True):
    """All that is known of how right a depot's answers were.

    Attributes
    ----------
    checked, known : int
        Drives with braking, and those of them of which it was found out what was wrong, if anything.
    answers : tuple of Counted
        By the most pressing of the answers about drag and idle brakes: faulty is any brake fault.
    drags : tuple of Counted
        By the probability of a drag: faulty is a fault that makes a brake drag; what may do
        either is left out.
    causes : tuple of (str, int)
        Causes that were found, the most frequent first.
    """

    checked: int
    known: int
    answers: tuple[Counted, ...]
    drags: tuple[Counted, ...]
    causes: tuple[tuple[str, int], ...]


def wilson(hits: int, count: int) -> Estimate | None:
    """A share with its 95 % interval after Wilson, by scipy; None for no trials.

    Parameters
    ----------
    hits, count : int

    References
    ----------
    Wilson, Probable inference, the law of succession, and statistical inference, J. Am. Stat. Assoc. 22
    (1927) 209.
    """
    if count == 0:
        return None
    from scipy.stats import binomtest

    ends = binomtest(hits, count).proportion_ci(confidence_level=0.95, method="wilson")
    return Estimate(hits / count, float(ends.low), float(ends.high))


def outcomes_of(visits: Sequence[KeptVisit], jobs: Sequence[KeptJob], tends: Mapping[str, Tends]) -> Outcomes:
    """Answers held against what was found.

    Parameters
    ----------
    visits : sequence of KeptVisit
    jobs : sequence of KeptJob
        The last one of a log counts.
    tends : mapping of str to Tends
        What each cause makes of a brake.

    Returns
    -------
    Outcomes
    """
    finding = {job.log_sha256: job.finding for job in jobs if job.finding is not None}
    braked = [visit for visit in visits if visit.drive != "coast"]
    known = [(visit, finding[visit.log_sha256]) for visit in braked if visit.log_sha256 in finding]
    drags = [
        (visit.drag.p, drag)
        for visit, found in known
        if visit.drag.p is not None and (drag := _drags(found, tends)) is not None
    ]
    return Outcomes(
        checked=len(braked),
        known=len(known),
        answers=tuple(
            _counted(word, known, lambda visit, word=word: most_pressing(visit) == word)  # type: ignore[misc]
            for word in WORDS
        ),
        drags=tuple(_binned(low, high, drags) for low, high in pairwise(_BINS)),
        causes=tuple(Counter(found for _, found in known if found != NO_FAULT).most_common()),
    )


def most_pressing(visit: KeptVisit) -> AnswerWord:
    """The most pressing of a visit's answers about its brakes."""
    said = {visit.drag.answer, visit.idle.answer}
    return next(word for word in WORDS if word in said)


def _drags(found: str, tends: Mapping[str, Tends]) -> bool | None:
    """True for a fault that makes a brake drag; None where it may do either."""
    if found == NO_FAULT:
        return False
    tend = tends.get(found)
    return {"hot": True, "cold": False, "hub_hot": False}.get(tend or "")


def _counted(
    name: str, known: Sequence[tuple[KeptVisit, str]], those: Callable[[KeptVisit], bool]
) -> Counted:
    found = [cause for visit, cause in known if those(visit)]
    faulty = sum(cause != NO_FAULT for cause in found)
    return Counted(name=name, drives=len(found), faulty=faulty, share=wilson(faulty, len(found)))


def _binned(low: float, high: float, drags: Sequence[tuple[float, bool]]) -> Counted:
    here = [(p, drag) for p, drag in drags if low <= p < high or p == high == 1.0]
    faulty = sum(drag for _, drag in here)
    said = sum(p for p, _ in here) / len(here) if here else None
    share = wilson(faulty, len(here))
    return Counted(name=f"{low:g} to {high:g}", drives=len(here), faulty=faulty, share=share, said=said)


def cause_shares(
    prior: Mapping[str, float], counts: Mapping[str, int], weight: float
) -> list[tuple[str, float, int, float]]:
    """Prior weights of causes with what was found added: a Dirichlet update.

    Parameters
    ----------
    prior : mapping of str to float
        Weights, above 0.
    counts : mapping of str to int
        Causes that were found.
    weight : float
        Findings that the prior counts as.

    Returns
    -------
    list of (cause, prior share, count, posterior share)
        Of those that were found, the most frequent first.
    """
    total, found = sum(prior.values()), sum(counts.get(cause, 0) for cause in prior)
    return [
        (cause, prior[cause] / total, count, (weight * prior[cause] / total + count) / (weight + found))
        for cause, count in sorted(counts.items(), key=lambda one: (-one[1], one[0]))
        if cause in prior
    ]
