"""Many marked cases in a few numbers: right place, false alarms, overconfidence, and how that changes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from thermlog.practice.commitment import SURE, Commitment
from thermlog.practice.marking import Mark
from thermlog.practice.scorefile import ScoredCase
from thermlog.words.bounds import Count, Share

_BLOCK = 10  # cases in one step of the progress


class OutOf(Struct, frozen=True, kw_only=True):
    """So many of so many.

    Attributes
    ----------
    count : int
        How many.
    of : int
        Of how many.
    """

    count: Count
    of: Count


class Tally(Struct, frozen=True, kw_only=True):
    """Of one person, or of the tool, over some cases.

    Attributes
    ----------
    right : OutOf
        Right of all cases.
    found : OutOf
        Right place of the vehicles with a fault, those included that no log like this shows.
    false_alarms : OutOf
        A fault named, of the healthy vehicles.
    open_rightly : OutOf
        "Cannot tell" where that is so, of all times it was said.
    sure_right : OutOf
        Right of all times "sure" or more was said.
    brier : float or None
        Mean Brier score, 0 best, 0.25 a coin; None without a case.
    overconfidence : float or None
        Mean stated probability minus share right: above zero says more than it knows.
    """

    right: OutOf
    found: OutOf
    false_alarms: OutOf
    open_rightly: OutOf
    sure_right: OutOf
    brier: Share | None
    overconfidence: float | None


class Step10(Struct, frozen=True, kw_only=True):
    """Up to ten cases on the way.

    Attributes
    ----------
    first, last : int
        Numbers of the first and the last of them.
    right : int
        How many of them were right.
    brier : float
        Their mean Brier score.
    """

    first: Count
    last: Count
    right: Count
    brier: Share


class Progress(Struct, frozen=True, kw_only=True):
    """A person and the tool on the same cases.

    Attributes
    ----------
    cases : int
        How many.
    person, tool : Tally
        Of the two.
    steps_agree : OutOf
        Next checks that the tool would do, too, of those that were named.
    by_ten : tuple of Step10
        In order of time.
    """

    cases: Count
    person: Tally
    tool: Tally
    steps_agree: OutOf
    by_ten: tuple[Step10, ...]


def progress_of(cases: Sequence[ScoredCase]) -> Progress:
    """What some cases come to.

    Parameters
    ----------
    cases : sequence of ScoredCase
        In order of time.

    Returns
    -------
    Progress
    """
    said = [one.step_agrees for one in cases if one.step_agrees is not None]
    return Progress(
        cases=len(cases),
        person=_tally(cases, [(one.committed, one.mark) for one in cases]),
        tool=_tally(cases, [(one.tool, one.tool_mark) for one in cases]),
        steps_agree=OutOf(count=sum(said), of=len(said)),
        by_ten=tuple(_step(cases[begin : begin + _BLOCK], begin) for begin in range(0, len(cases), _BLOCK)),
    )


def _step(cases: Sequence[ScoredCase], begin: int) -> Step10:
    return Step10(
        first=begin + 1,
        last=begin + len(cases),
        right=sum(one.mark.right for one in cases),
        brier=_mean([one.mark.brier for one in cases]) or 0.0,
    )


def _tally(cases: Sequence[ScoredCase], marks: Sequence[tuple[Commitment, Mark]]) -> Tally:
    rows = list(zip((one.truth for one in cases), marks, strict=True))
    stated, share = _mean([said.p for said, _ in marks]), _mean([float(mark.right) for _, mark in marks])
    return Tally(
        right=_part(mark.right for _, mark in marks),
        found=_part(mark.word == "right" for truth, (_, mark) in rows if truth.finding != "nothing"),
        false_alarms=_part(
            mark.word == "false_alarm" for truth, (_, mark) in rows if truth.finding == "nothing"
        ),
        open_rightly=_part(mark.right for said, mark in marks if said.finding == "cannot_tell"),
        sure_right=_part(mark.right for said, mark in marks if said.p >= SURE["sure"]),
        brier=_mean([mark.brier for _, mark in marks]),
        overconfidence=None if stated is None or share is None else round(stated - share, 4),
    )


def _part(hits: Iterable[bool]) -> OutOf:
    told = list(hits)
    return OutOf(count=sum(told), of=len(told))


def _mean(values: Sequence[float]) -> float | None:
    return round(sum(values) / len(values), 4) if values else None
