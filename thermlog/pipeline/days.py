"""Drives of one vehicle that are judged together, each beside what was driven before it.

A history remembers a drive for those that follow. What is given in one go is no different: the drives of
earlier days count as if they had been stored on their days.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.judging.plainly_even import plainly_even
from thermlog.judging.tell import tell_findings
from thermlog.pipeline.keeping import axles_of
from thermlog.words.vehicle import unit_key
from thermlog.words.visits import AnswerThen, AxleVisit, Driven, PastVisit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.judging.judged import Judged
    from thermlog.words.tables import Case
    from thermlog.words.visits import Past


def beside_each_other(batches: Sequence[Judged], past: Past) -> Past:
    """What was driven before some cases: in a history, and among themselves.

    Parameters
    ----------
    batches : sequence of Judged
        As they were judged beside `past` or beside more.
    past : Past
        What the history tells of their vehicles.

    Returns
    -------
    Past
        `past` itself where no vehicle was driven on several days.
    """
    several = _driven_on_several_days([case for judged in batches for case in judged.readings.cases])
    if not several:
        return past
    return past.beside([one for judged in batches for one in _driven(judged, several)])


def _driven_on_several_days(cases: Sequence[Case]) -> frozenset[str]:
    """Vehicles with logs of unlike moments, at least one of which is known."""
    moments: dict[str, set[float | None]] = {}
    for case in cases:
        if case.vehicle is not None:
            moments.setdefault(unit_key(case.vehicle), set()).add(case.taken_s)
    return frozenset(unit for unit, mine in moments.items() if len(mine) > 1)


def _driven(judged: Judged, units: frozenset[str]) -> Iterator[Driven]:
    """Dated drives of some vehicles as they will be remembered."""
    for k, even in enumerate(plainly_even(judged)):
        case = judged.readings.cases[k]
        if case.vehicle is None or case.taken_s is None or (unit := unit_key(case.vehicle)) not in units:
            continue
        urgent, idle = _told(judged, k, even=even)
        yield Driven(
            unit=unit,
            visit=PastVisit(
                when=(case.taken_s, 0),
                log_sha256=case.log.sha256,
                axles=tuple(map(_remembered, axles_of(judged, k))),
                urgent=urgent,
                idle=idle,
            ),
            braked=case.drive != "coast",
        )


def _told(judged: Judged, k: int, *, even: bool) -> tuple[tuple[str, ...], AnswerThen]:
    """What stopped the vehicle, and whether every brake worked."""
    if even:
        return (), AnswerThen(answer="no")
    found = tell_findings(judged, k)
    idle = found.answers.idle
    urgent = tuple(dict.fromkeys(one.code for one in found.urgent))
    return urgent, AnswerThen(answer=idle.answer, corners=idle.corners)


def _remembered(one: AxleVisit) -> AxleVisit:
    """What counts of an axle on a later day."""
    return AxleVisit(axle=one.axle, rise_k=one.rise_k, variance_k2=one.variance_k2, of_metal=one.of_metal)
