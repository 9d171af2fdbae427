"""Lines of a fleet's list: from a diagnosis, or straight from the numbers of a plainly even vehicle."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.advice.urgency import SEEN_CODES
from thermlog.fleet.place import SaidThere, said_there
from thermlog.fleet.workrow import FleetRow, Hottest
from thermlog.words.estimates import Estimate
from thermlog.words.findings import STANDING_OUT, AxleFinding, widest_axle
from thermlog.words.kinds import fault_kind
from thermlog.words.reasons import Reason, unique_reasons
from thermlog.words.vehicle import HUB_SPOT, SIDES, SPOTS, corner_name, split_corner

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.advice.errand import Errand
    from thermlog.judging.digest import Digest
    from thermlog.judging.judged import Judged
    from thermlog.words.findings import Answer, CornerFinding, Diagnosis, Verdict
    from thermlog.words.parts import PartAbove
    from thermlog.words.vehicle import Spot

_BY_ITSELF = frozenset(SEEN_CODES) | {"hub_over_mate", "hub_over_brake"}  # no reading past a line


def rows_of(
    diagnosis: Diagnosis, *, errand: Errand | None = None, hottest: Sequence[Hottest] = ()
) -> list[FleetRow]:
    """Lines of one diagnosis: what stops the vehicle, every odd axle or hub; else one for the whole vehicle.

    Parameters
    ----------
    diagnosis : Diagnosis
    errand : Errand, optional
        What to do next.
    hottest : sequence of Hottest
        Of every corner and spot that was read, and of wheels above the gun's range.
    """
    odd = [_row(diagnosis, hub, of_brakes=False) for hub in _hot_hubs(diagnosis)]
    odd += [_row(diagnosis, axle) for axle in diagnosis.axles if axle.verdict in STANDING_OUT]
    parts = [_part_row(diagnosis, part) for part in diagnosis.parts_above]
    rows = [*odd, *parts] or [_row(diagnosis, _whole_vehicle(diagnosis))]
    if diagnosis.urgent:
        # beside the line that stops it a hub, or a whole vehicle, is not told twice
        place = {one.corner for one in diagnosis.urgent}
        others = [row for row in rows if (odd or parts) and row.finding.suspect not in place]
        rows = [replace(_stopping(diagnosis, rows), stops=True), *others]
    decides = (
        _step_of(diagnosis, errand) if errand is not None and rows[0].group == "again" else rows[0].decides
    )
    return [
        replace(row, errand=errand, decides=decides, hottest=_hottest_there(row, hottest)) for row in rows
    ]


def _part_row(diagnosis: Diagnosis, part: PartAbove) -> FleetRow:
    """The line of a part beside a brake that is watched, in the shape of its axle."""
    here = {one.side: one for one in diagnosis.corners if (one.axle, one.spot) == _axle_and_spot(part)}
    found = diagnosis.corner(part.corner, part.spot)
    finding = AxleFinding(
        axle=split_corner(part.corner)[0],
        difference_k=_gap_k(here.get("L"), here.get("R")),
        verdict="watch",
        suspect=part.corner,
        reasons=() if found is None else found.reasons,
    )
    return replace(_row(diagnosis, finding, of_brakes=False), members=(), part=part)


def _axle_and_spot(part: PartAbove) -> tuple[int, Spot]:
    return split_corner(part.corner)[0], part.spot


def _step_of(diagnosis: Diagnosis, errand: Errand) -> Reason | None:
    """The step that the next check is made of, with its numbers."""
    steps = (step for answer in diagnosis.answers.each for step in answer.decides)
    return next((step for step in steps if step.code == errand.id), None)


def hottest_readings(judged: Judged, k: int) -> list[Hottest]:
    """The hottest reading of every corner and spot of case `k`; of wheels above the range without a value.

    Parameters
    ----------
    judged : Judged
    k : int
    """
    readings, own = judged.readings, judged.rows_of(k)
    columns = (readings.axle, readings.side, readings.spot, readings.indicated_degc, readings.line)
    found: dict[tuple[str | None, Spot], Hottest] = {}
    for axle, side, spot, degc, line in zip(*(column[own].tolist() for column in columns), strict=True):
        place = (corner_name(axle, SIDES[side]), SPOTS[spot])
        known = found.get(place)
        if known is None or known.degc is None or degc > known.degc:
            found[place] = Hottest(degc=degc, corner=place[0], spot=place[1], line=line)
    for blind in readings.cases[k].blind:
        if blind.code == "over_range":
            spot_read = blind.spot or "brake"
            found[blind.corner, spot_read] = Hottest(
                degc=None, corner=blind.corner, spot=spot_read, line=blind.line
            )
    return list(found.values())


def _stopping(diagnosis: Diagnosis, rows: Sequence[FleetRow]) -> FleetRow:
    """The line of what stops the vehicle: with the finding of that axle, if there is one."""
    worst = diagnosis.urgent[0].corner
    mine = (row for row in rows if row.finding.suspect is not None and row.finding.suspect == worst)
    axle = None if worst is None else diagnosis.axle(split_corner(worst)[0])
    return next(mine, None) or _row(diagnosis, axle or _whole_vehicle(diagnosis))


def _hottest_there(row: FleetRow, hottest: Sequence[Hottest]) -> Hottest | None:
    """Of the spot past the line that stops the vehicle; else of the odd corner or hub, axle, or vehicle.

    Stopped for what was seen, or for a hub beside another one, the whole vehicle counts: whoever walks up to
    a vehicle that smokes must not be told of the one brake that is cold.
    """
    worst = row.urgent[0] if row.stops else None
    if worst is not None:
        there = [one for one in hottest if one.corner == worst.corner and worst.spot in {None, one.spot}]
        here = [] if worst.code in _BY_ITSELF else there
    elif row.finding.suspect is not None:
        corner = [one for one in hottest if one.corner == row.finding.suspect]
        if row.part is not None:
            corner = [one for one in corner if one.spot == row.part.spot] or corner
        of_hub = row.finding.verdict == "hot" and fault_kind(row.pattern).shown_by == "hub"
        here = [one for one in corner if not of_hub or one.spot == HUB_SPOT] or corner
    elif row.members:
        here = [one for one in hottest if one.corner in row.members]
    elif row.finding.verdict in STANDING_OUT and row.finding.axle:
        here = [one for one in hottest if one.corner and split_corner(one.corner)[0] == row.finding.axle]
    else:
        here = []
    found = max(here or hottest, key=_heat, default=None)
    # where nothing was found there is no reading to look at first
    return replace(found, line=None) if found is not None and row.group == "nothing" else found


def _heat(one: Hottest) -> tuple[float, str, str]:
    """The hottest first; of equal ones always the same, whatever the order of the readings."""
    return math.inf if one.degc is None else one.degc, one.corner or "", one.spot


def plain_row(judged: Judged, k: int) -> FleetRow:
    """Line of case `k`, which is plainly even: what `rows_of` gives for it, straight from the numbers."""
    told, case = judged.digest, judged.readings.cases[k]
    pairs = range(told.first[k], told.first[k + 1])
    widest = max(pairs, key=lambda pair: abs(gap.value) if (gap := told.difference_k[pair]) else 0.0)
    p_none = told.p_none[k]
    return FleetRow(
        unit=case.vehicle or case.log.file,
        file=case.log.file,
        sha256=case.log.sha256,
        taken=case.taken_at,
        repair=case.taken.repair if case.taken else None,
        drive=case.drive,
        finding=replace(
            told.axle_finding(widest, known=True),
            verdict="even",
            marks_k=told.marks_k[widest],
        ),
        members=(),
        pattern="none",
        p_fault=None if p_none is None else 1.0 - p_none,
        policy=judged.policies[k].name,
        weight_class=judged.vehicles[k].weight_class,
        axle_count=max(len(judged.vehicles[k].axles), *(told.axle[pair] for pair in pairs)),
        drag="no",
        idle="no",
        heat="no",
        p_drag=told.p_drag[k],
        p_idle=told.p_idle[k],
        hottest=_hottest_of(told, slice(pairs.start, pairs.stop)),
        remarks=len(case.unweighed),
    )


def _hottest_of(told: Digest, own: slice) -> Hottest:
    """Hottest reading of a vehicle of which every wheel was read."""
    columns = ([*left[own], *right[own]] for left, right in (told.hottest_degc, told.corner))
    degc, corner, spot = max(zip(*columns, 2 * told.spot[own], strict=True))  # of equal ones as by `_heat`
    return Hottest(degc=degc, corner=corner, spot=spot, line=None)


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


def _row(diagnosis: Diagnosis, finding: AxleFinding, *, of_brakes: bool = True) -> FleetRow:
    members, answers = diagnosis.pattern.corners, diagnosis.answers
    untold = [one for one in diagnosis.answers.each if one.answer == "cannot_tell"]
    of_axle = finding.verdict in STANDING_OUT and any(
        axle.verdict in STANDING_OUT for axle in diagnosis.axles
    )
    there = said_there(answers, finding, of_axle=of_axle) if of_brakes else SaidThere()
    members = there.corners or members
    if of_axle:
        members = tuple(corner for corner in members if split_corner(corner)[0] == finding.axle)
    return FleetRow(
        unit=diagnosis.vehicle or diagnosis.log.file,
        file=diagnosis.log.file,
        sha256=diagnosis.log.sha256,
        taken=diagnosis.taken_at,
        repair=diagnosis.taken.repair if diagnosis.taken else None,
        drive=diagnosis.drive,
        finding=finding,
        members=tuple(dict.fromkeys(members)),
        pattern=diagnosis.pattern.kind,
        p_fault=diagnosis.p_fault,
        policy=diagnosis.policy.name,
        weight_class=diagnosis.description.weight_class,
        axle_count=diagnosis.axle_count,
        drag=answers.drag.answer,
        idle=answers.idle.answer,
        heat=answers.heat.answer,
        p_drag=answers.drag.p,
        p_idle=answers.idle.p,
        urgent=diagnosis.urgent,
        cannot_tell=unique_reasons([reason for one in untold for reason in one.reasons]),
        decides=_first_step(diagnosis, untold),
        watched=bool(diagnosis.parts_above),
        remarks=len(diagnosis.unweighed),
        of_brakes=tuple(one for one in diagnosis.unweighed if one.of_brakes),
        drags=there.drags,
        idles=there.idles,
        heats=there.heats,
        p=there.p,
        called=diagnosis.called,
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
