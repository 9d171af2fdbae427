"""Lines of a fleet's list: from a diagnosis, or straight from the numbers of a plainly even vehicle."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.fleet.fleetlist import FleetRow
from thermlog.words.estimates import Estimate
from thermlog.words.findings import AxleFinding, widest_axle
from thermlog.words.reasons import Reason, unique_reasons
from thermlog.words.vehicle import HUB_SPOT, split_corner

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.judging.judged import Judged
    from thermlog.words.findings import Answer, CornerFinding, Diagnosis, Verdict

_ODD = frozenset({"hot", "cold", "watch"})


def rows_of(diagnosis: Diagnosis) -> list[FleetRow]:
    """Lines of one diagnosis: one for every odd axle or hub, else one for the whole vehicle."""
    odd = [*_hot_hubs(diagnosis), *(axle for axle in diagnosis.axles if axle.verdict in _ODD)]
    return [_row(diagnosis, finding) for finding in odd or [_whole_vehicle(diagnosis)]]


def plain_row(judged: Judged, k: int) -> FleetRow:
    """Line of case `k`, which is plainly even: what `rows_of` gives for it, straight from the numbers."""
    told, case = judged.digest, judged.readings.cases[k]
    pairs = range(told.first[k], told.first[k + 1])
    widest = max(pairs, key=lambda pair: abs(gap.value) if (gap := told.difference_k[pair]) else 0.0)
    p_none = told.p_none[k]
    return FleetRow(
        unit=case.vehicle or case.log.file,
        file=case.log.file,
        drive=case.drive,
        finding=replace(told.axle_finding(widest, known=True), verdict="even"),
        members=(),
        pattern="none",
        p_fault=None if p_none is None else 1.0 - p_none,
        policy=judged.policies[k].name,
        axle_count=max(len(judged.vehicles[k].axles), *(told.axle[pair] for pair in pairs)),
        drag="no",
        idle="no",
        heat="no",
        p_drag=told.p_drag[k],
        p_idle=told.p_idle[k],
    )


def _hot_hubs(diagnosis: Diagnosis) -> list[AxleFinding]:
    """Hot hubs in the shape of axle findings; no interval, for hubs carry none."""
    hubs = {one.corner: one for one in diagnosis.corners if one.spot == HUB_SPOT}
    return [
        AxleFinding(
            axle=hub.axle,
            difference_k=_gap_k(hubs.get(f"{hub.axle}L"), hubs.get(f"{hub.axle}R")),
            verdict="hot",
            suspect=hub.corner,
            reasons=hub.reasons,
        )
        for hub in hubs.values()
        if hub.verdict == "hot"
    ]


def _gap_k(left: CornerFinding | None, right: CornerFinding | None) -> Estimate | None:
    if left is None or right is None or left.at_common_degc is None or right.at_common_degc is None:
        return None
    return Estimate(left.at_common_degc.value - right.at_common_degc.value)


def _whole_vehicle(diagnosis: Diagnosis) -> AxleFinding:
    """The whole vehicle in the shape of an axle finding, with the widest difference; axle 0 if none."""
    pattern = diagnosis.pattern
    return replace(
        widest_axle(diagnosis.axles) or AxleFinding(axle=0),
        verdict=_vehicle_verdict(diagnosis),
        suspect=pattern.corners[0] if len(pattern.corners) == 1 else None,
        reasons=pattern.reasons,
    )


def _row(diagnosis: Diagnosis, finding: AxleFinding) -> FleetRow:
    members, answers = diagnosis.pattern.corners, diagnosis.answers
    untold = [one for one in diagnosis.answers.each if one.answer == "cannot_tell"]
    if finding.verdict in _ODD and any(axle.verdict in _ODD for axle in diagnosis.axles):
        members = tuple(corner for corner in members if split_corner(corner)[0] == finding.axle)
    return FleetRow(
        unit=diagnosis.vehicle or diagnosis.log.file,
        file=diagnosis.log.file,
        drive=diagnosis.drive,
        finding=finding,
        members=members,
        pattern=diagnosis.pattern.kind,
        p_fault=diagnosis.p_fault,
        policy=diagnosis.policy.name,
        axle_count=diagnosis.axle_count,
        drag=answers.drag.answer,
        idle=answers.idle.answer,
        heat=answers.heat.answer,
        p_drag=answers.drag.p,
        p_idle=answers.idle.p,
        urgent=tuple(dict.fromkeys(one.code for one in diagnosis.urgent)),
        cannot_tell=unique_reasons([reason for one in untold for reason in one.reasons]),
        decides=_first_step(diagnosis, untold),
    )


def _vehicle_verdict(diagnosis: Diagnosis) -> Verdict:
    """Verdict of a vehicle none of whose axles is odd in itself: the most pressing answer."""
    answers = diagnosis.answers
    if "yes" in {answers.drag.answer, answers.heat.answer}:
        return "hot"
    if answers.idle.answer == "yes":
        return "cold"
    words = {one.answer for one in diagnosis.answers.each}
    if "watch" in words:
        return "watch"
    return "cannot_tell" if "cannot_tell" in words else "even"


def _first_step(diagnosis: Diagnosis, untold: Sequence[Answer]) -> Reason | None:
    """What to do first about what cannot be told; a drive only where nothing found speaks against one."""
    steps = [step for answer in untold for step in answer.decides]
    if not untold:
        return None
    if diagnosis.urgent:
        return Reason(code="clear_and_wait")
    from thermlog.advice.doing import doing
    from thermlog.words.reasons import DRIVES

    found = any(one.suspects for one in diagnosis.answers.each)
    hottest_degc = max((one.start_degc or -math.inf for one in diagnosis.corners), default=-math.inf)
    stays = found or hottest_degc >= doing().rule["no_drive_degc"]
    return next((step for step in steps if not (stays and step.code in DRIVES)), None)
