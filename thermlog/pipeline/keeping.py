"""What is kept of a judged batch for the history of a depot: one visit a case."""

from __future__ import annotations

import hashlib
import math
from typing import TYPE_CHECKING

import numpy as np
from msgspec.structs import replace

from thermlog.fitting.fit import FITTED
from thermlog.words.estimates import Estimate
from thermlog.words.findings import PolicyMark
from thermlog.words.visits import AnswerThen, AxleVisit, Two, Visit

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from thermlog.judging.judged import Judged
    from thermlog.judging.settings import Settings
    from thermlog.words.findings import Answer, Diagnosis
    from thermlog.words.tables import Floats, Readings


def visits_of(
    judged: Judged, settings: Settings, told: Iterable[tuple[int, Diagnosis | None]]
) -> Iterator[Visit]:
    """Visits of all cases, in order.

    Parameters
    ----------
    judged : Judged
    settings : Settings
        What they were judged with.
    told : iterable of (int, Diagnosis or None)
        Of every case its number within its log, and its findings; None where every answer is plainly "no".

    Yields
    ------
    Visit
    """
    key, apart = settings_key(settings), _apart(judged.as_read)
    for k, (number, found) in enumerate(told):
        case, policy = judged.readings.cases[k], judged.policies[k]
        yield Visit(
            case=case,
            number=number,
            readings=next(apart),
            policy=PolicyMark(name=policy.name, sha256=policy.sha256),
            settings_key=key,
            common_time_s=judged.digest.common_time_s[k],
            axles=tuple(axles_of(judged, k)),
            drag=_said(found.answers.drag) if found else AnswerThen(answer="no", p=judged.digest.p_drag[k]),
            idle=_said(found.answers.idle) if found else AnswerThen(answer="no", p=judged.digest.p_idle[k]),
            heat=_said(found.answers.heat) if found else AnswerThen(answer="no", p=judged.digest.p_heat[k]),
            urgent=tuple(dict.fromkeys(one.code for one in found.urgent)) if found else (),
            parts_above=found.parts_above if found else (),
        )


def settings_key(settings: Settings) -> str:
    """Digest of what answers hang on besides the readings and the policy.

    Parameters
    ----------
    settings : Settings

    Returns
    -------
    str
        Hexadecimal.
    """
    parts = (settings.law, settings.gun, settings.catalogue, settings.surfaces, settings.vehicle)
    return hashlib.sha256(repr(parts).encode()).hexdigest()


def _said(answer: Answer) -> AnswerThen:
    return AnswerThen(answer=answer.answer, p=answer.p, corners=answer.corners)


def _apart(readings: Readings) -> Iterator[Readings]:
    """Readings of every case alone, in order of the cases."""
    order = np.argsort(readings.case, kind="stable")
    first = np.searchsorted(readings.case[order], np.arange(len(readings.cases) + 1))
    for k, case in enumerate(readings.cases):
        rows = order[first[k] : first[k + 1]]
        yield replace(readings.take(rows), cases=(case,), case=np.zeros(rows.size, dtype=np.int64))


def axles_of(judged: Judged, k: int) -> Iterator[AxleVisit]:
    """What a history keeps of the axles of one case, in order.

    Parameters
    ----------
    judged : Judged
    k : int
    """
    told, comparison, gaps = judged.digest, judged.comparison, judged.gaps
    known = judged.readings.cases[k].ambient_degc is not None
    for pair in range(told.first[k], told.first[k + 1]):
        if not told.chosen[pair]:
            continue
        yield AxleVisit(
            axle=told.axle[pair],
            rise_k=_two(_fitted(judged, comparison.state.rise_k), pair) if known else (None, None),
            variance_k2=_two(_fitted(judged, comparison.state.own_variance), pair),
            difference_k=_estimate(gaps.gap_k[pair], gaps.half_k[pair]),
            rise_ratio=told.ratio[pair] if known else None,
            p_hot=(told.p_hot[0][pair], told.p_hot[1][pair]) if known else (None, None),
            p_cold=(told.p_cold[0][pair], told.p_cold[1][pair]) if known else (None, None),
            of_metal=told.surface_known[pair],
        )


def _fitted(judged: Judged, values: Floats) -> Floats:
    return np.where(judged.fits.state == FITTED, values, np.nan)


def _two(values: Floats, pair: int) -> Two:
    return _number(values[0, pair]), _number(values[1, pair])


def _estimate(value: float, half: float) -> Estimate | None:
    if not math.isfinite(value):
        return None
    middle = float(value)
    return (
        Estimate(middle, middle - float(half), middle + float(half))
        if math.isfinite(half)
        else Estimate(middle)
    )


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
