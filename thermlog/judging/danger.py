"""What of a case is urgent: its hottest readings, its hubs, and what was seen beside them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from thermlog.advice.doing import doing
from thermlog.advice.logevidence import has_strong_gap
from thermlog.advice.urgency import (
    HotSpots,
    HottestReading,
    HubDifference,
    has_fluid,
    needs_distance,
    urgent_lines,
)
from thermlog.correcting.correct import ONE_SIDE
from thermlog.judging.asides import SAID_HOT
from thermlog.judging.hubs import HubNumbers
from thermlog.judging.judged import Judged
from thermlog.judging.nextsteps import Danger
from thermlog.words.findings import Answers, Urgent
from thermlog.words.vehicle import BRAKE_SPOTS

# A face of this emissivity or less is bright: engineering judgement, common practice, no source.
_BRIGHT = 0.5
# What was not understood may say so, and a hand that could not stay does.
_MAY_BE_HOT = SAID_HOT | {"over_range", "unread_sight"}


def urgent_of(judged: Judged, k: int, hubs: Mapping[str, HubNumbers]) -> tuple[Urgent, ...]:
    """Everything for which the vehicle stops, the most dangerous first.

    Parameters
    ----------
    judged : Judged
    k : int
    hubs : dict of str to HubNumbers

    Returns
    -------
    tuple of Urgent
    """
    case = judged.readings.cases[k]
    spots = HotSpots(
        readings=tuple(_hottest(judged, k)),
        hubs=tuple(_hot_hubs(hubs)),
        hydraulic=has_fluid(judged.vehicles[k]),
        ambient_degc=case.ambient_degc,
        over_range=tuple(one.corner for one in case.blind if one.code == "over_range"),
    )
    return urgent_lines(spots, case.seen, judged.policies[k])


def danger_of(judged: Judged, k: int, answers: Answers, urgent: tuple[Urgent, ...]) -> Danger:
    """What forbids to drive, or to work at a wheel, in order to find out.

    Parameters
    ----------
    judged : Judged
    k : int
    answers : Answers
    urgent : tuple of Urgent

    Returns
    -------
    Danger
    """
    blind = judged.readings.cases[k].blind
    in_others_unit = (one.value_degc for one in blind if one.code == "other_unit")
    values = (value for value in (hottest_brake_degc(judged, k), *in_others_unit) if value is not None)
    hot = max(values, default=-math.inf) >= doing().rule["no_drive_degc"]
    hot |= any(one.code in _MAY_BE_HOT for one in blind)
    distance = needs_distance(urgent) or _heats_standing(answers)
    no_drive = hot or distance or bool(urgent) or has_strong_gap(answers, judged.policies[k])
    return Danger(urgent=distance, no_drive=no_drive)


def _heats_standing(answers: Answers) -> bool:
    """True if a brake grew hotter and hotter while it stood: something may burn there."""
    return any(reason.code == "heats_standing" for answer in answers.each for reason in answer.reasons)


def hottest_brake_degc(judged: Judged, k: int) -> float | None:
    """Hottest reading at any brake spot of case `k` [°C]; None if no brake was read."""
    told = judged.digest
    values = (
        told.hottest_degc[side][pair]
        for pair in range(told.first[k], told.first[k + 1])
        if told.spot[pair] in BRAKE_SPOTS
        for side in (0, 1)
    )
    return max((value for value in values if value is not None), default=None)


def _hottest(judged: Judged, k: int) -> Iterator[HottestReading]:
    told, bright = judged.digest, _bright(judged, k)
    for pair in range(told.first[k], told.first[k + 1]):
        for side in (0, 1):
            value = told.hottest_degc[side][pair]
            if value is not None:
                yield HottestReading(
                    corner=told.corner[side][pair],
                    spot=told.spot[pair],
                    value_degc=value,
                    bright=(side, pair) in bright,
                )
    highest_degc = judged.policies[k].highest_reading_degc
    for blind in judged.readings.cases[k].blind:  # where nobody says of what: taken as a brake's
        if blind.code == "other_unit" or blind.value_degc is None:
            continue  # used as it was stated
        if blind.value_degc <= highest_degc:
            spot = blind.spot or "brake"
            yield HottestReading(corner=blind.corner, spot=spot, value_degc=blind.value_degc)


def _bright(judged: Judged, k: int) -> frozenset[tuple[int, int]]:
    """Side and pair of every place stated as bright whose readings stand as the gun showed them."""
    corrected, pairs = judged.corrected, judged.pairs
    if corrected is None:
        return frozenset()
    own = judged.rows_of(k)
    alone = corrected.emissivity_source[own] == ONE_SIDE
    rows = own[alone & (corrected.stated_emissivity[own] <= _BRIGHT)]
    return frozenset(zip(pairs.row_side[rows].tolist(), pairs.row_pair[rows].tolist(), strict=True))


def _hot_hubs(hubs: Mapping[str, HubNumbers]) -> Iterator[HubDifference]:
    for hub in hubs.values():
        if hub.hot is not None:
            # judged already, by marks and probability
            yield HubDifference(corner=hub.corner, over=hub.hot.over, difference_k=hub.hot.difference_k)
