"""How right the answers were, where somebody looked: counts, intervals, calibration, causes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.followup.jobrecord import NO_FAULT
from thermlog.history.seen import PRIOR_FINDINGS, WORDS
from thermlog.words.estimates import Estimate

if TYPE_CHECKING:
    from thermlog.advice.evidence import Tends
    from thermlog.history.jobs import KeptJob
    from thermlog.history.rows import KeptVisit
    from thermlog.words.findings import AnswerWord

_BINS = (0.0, 0.05, 0.15, 0.30, 0.60, 1.0)  # of p: the lines of the bundled policies lie between them


class AnswerCount(Struct, frozen=True, kw_only=True):
    """Drives that were answered alike, and how many of them had a fault.

    Attributes
    ----------
    answer : AnswerWord
        The most pressing of the answers about drag and idle brakes.
    drives, faulty : int
    share : Estimate or None
        Of drives with a fault, with its 95 % interval; None where there are none.
    """

    answer: AnswerWord
    drives: int
    faulty: int
    share: Estimate | None


class DragCount(Struct, frozen=True, kw_only=True):
    """Drives of about one probability of a drag, and on how many a brake did drag.

    Attributes
    ----------
    p_from, p_below : float
        What was said lies between; 1 is among the last.
    drives, dragged : int
    share : Estimate or None
        Of drives on which one did, with its 95 % interval; None where there are none.
    said : float or None
        Mean probability that was said; None where none was.
    """

    p_from: float
    p_below: float
    drives: int
    dragged: int
    share: Estimate | None
    said: float | None


class MissedFault(Struct, frozen=True, kw_only=True):
    """A drive that was answered "no", and on which a fault was found.

    Attributes
    ----------
    unit : str or None
        Key of the vehicle.
    file, log_sha256 : str
        Its log.
    taken_at : str or None
        When, as the log states it.
    cause : str
        What was found.
    p_drag, p_idle : float or None
        What was said.
    """

    unit: str | None
    file: str
    log_sha256: str
    taken_at: str | None
    cause: str
    p_drag: float | None
    p_idle: float | None


class FoundCause(Struct, frozen=True, kw_only=True):
    """A cause that was found.

    Attributes
    ----------
    cause : str
    count : int
    table, together : float
        Its share by the table of causes, and with what was found added.
    """

    cause: str
    count: int
    table: float
    together: float


class Outcomes(Struct, frozen=True, kw_only=True):
    """All that is known of how right a depot's answers were.

    Attributes
    ----------
    checked, known : int
        Drives with braking, and those of them of which it was found out what was wrong, if anything.
    answers : tuple of AnswerCount
        By the most pressing of the answers about drag and idle brakes: faulty is any brake fault.
    drags : tuple of DragCount
        By the probability of a drag: faulty is a fault that makes a brake drag; what may do
        either is left out.
    causes : tuple of FoundCause
        The most frequent first.
    missed : tuple of MissedFault
        In the order driven.
    """

    checked: int
    known: int
    answers: tuple[AnswerCount, ...]
    drags: tuple[DragCount, ...]
    causes: tuple[FoundCause, ...]
    missed: tuple[MissedFault, ...]


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


def outcomes_of(
    visits: Sequence[KeptVisit],
    jobs: Sequence[KeptJob],
    tends: Mapping[str, Tends],
    prior: Mapping[str, float],
) -> Outcomes:
    """Answers held against what was found.

    Parameters
    ----------
    visits : sequence of KeptVisit
    jobs : sequence of KeptJob
        The last one of a log counts.
    tends : mapping of str to Tends
        What each cause makes of a brake.
    prior : mapping of str to float
        Weights of the table of causes, above 0.

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
        answers=tuple(_answered(word, known) for word in WORDS),
        drags=tuple(_binned(low, high, drags) for low, high in pairwise(_BINS)),
        causes=cause_shares(prior, Counter(found for _, found in known if found != NO_FAULT)),
        missed=tuple(
            _missed(visit, found)
            for visit, found in known
            if found != NO_FAULT and most_pressing(visit) == "no"
        ),
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


def _answered(word: AnswerWord, known: Sequence[tuple[KeptVisit, str]]) -> AnswerCount:
    found = [cause for visit, cause in known if most_pressing(visit) == word]
    faulty = sum(cause != NO_FAULT for cause in found)
    return AnswerCount(answer=word, drives=len(found), faulty=faulty, share=wilson(faulty, len(found)))


def _binned(low: float, high: float, drags: Sequence[tuple[float, bool]]) -> DragCount:
    here = [(p, drag) for p, drag in drags if low <= p < high or p == high == 1.0]
    dragged = sum(drag for _, drag in here)
    return DragCount(
        p_from=low,
        p_below=high,
        drives=len(here),
        dragged=dragged,
        share=wilson(dragged, len(here)),
        said=sum(p for p, _ in here) / len(here) if here else None,
    )


def _missed(visit: KeptVisit, cause: str) -> MissedFault:
    return MissedFault(
        unit=visit.unit,
        file=visit.file,
        log_sha256=visit.log_sha256,
        taken_at=visit.taken_at,
        cause=cause,
        p_drag=visit.drag.p,
        p_idle=visit.idle.p,
    )


def cause_shares(prior: Mapping[str, float], counts: Mapping[str, int]) -> tuple[FoundCause, ...]:
    """Shares of causes by the table, and with what was found added: a Dirichlet update.

    Parameters
    ----------
    prior : mapping of str to float
        Weights, above 0; they count as `PRIOR_FINDINGS` findings.
    counts : mapping of str to int
        Causes that were found.

    Returns
    -------
    tuple of FoundCause
        Those that were found, the most frequent first; a cause that the table does not know is left out.
    """
    total, found = sum(prior.values()), sum(counts.get(cause, 0) for cause in prior)
    return tuple(
        FoundCause(
            cause=cause,
            count=count,
            table=prior[cause] / total,
            together=(PRIOR_FINDINGS * prior[cause] / total + count) / (PRIOR_FINDINGS + found),
        )
        for cause, count in sorted(counts.items(), key=lambda one: (-one[1], one[0]))
        if cause in prior
    )
