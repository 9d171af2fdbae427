"""From the columns of a batch to the findings of one case, in words a mechanic can act on."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from thermlog.fitting.fit import RISING
from thermlog.judging.axlenumbers import AxleNumbers, SideNumbers
from thermlog.judging.curves import REASONS, curves_of
from thermlog.judging.digest import Digest
from thermlog.judging.judged import Judged
from thermlog.judging.explanations import KINDS
from thermlog.judging.verdict import AxleVerdict, judge_axle
from thermlog.words.findings import (
    AxleFinding,
    CornerFinding,
    Diagnosis,
    Interval,
    PatternFinding,
    PatternKind,
    PolicyMark,
    Verdict,
)
from thermlog.words.policy import Policy
from thermlog.words.sentences import degc, kelvin, named, sentence
from thermlog.words.vehicle import HUB_SPOT, SIDES, corner_name, split_corner

_WHOLE: dict[Verdict, str] = {
    "hot": "hot on every corner named, sides alike",
    "watch": "warmer on every corner named than such a drive usually leaves, sides alike",
}
_AMBIENT_PULL_SIGMAS = 3.0
_FEWEST_BESIDE_HUB = 2  # readings of a brake before its hub is judged by it: one can be a miss


def tell(judged: Judged, k: int, *, curves: bool = False) -> Diagnosis:
    """Findings of case `k`, with causes, next check, cautions, severity and notes.

    Parameters
    ----------
    judged : Judged
    k : int
    curves : bool
        True to add the curves a chart needs.

    Returns
    -------
    Diagnosis
    """
    # a fleet's rows do without these rooms and their tables
    from thermlog.advice.severity import SeverityCase, severities
    from thermlog.judging.clues import advice, evidence_of, hottest_of

    found, policy, told = tell_findings(judged, k), judged.policies[k], judged.digest
    span = range(told.first[k], told.first[k + 1])
    suspects, check, warned = advice(
        evidence_of(
            (found.pattern, found.axles, found.corners),
            hottest_of(told, span),
            (found.description, found.drive, policy),
        )
    )
    return replace(
        found,
        suspects=suspects,
        next_check=check,
        cautions=warned,
        notes=_notes(judged, k, span),
        curves=curves_of(judged, k) if curves else (),
        severity=severities(
            found.corners,
            found.axles,
            SeverityCase(vehicle=found.description, drive=found.drive, policy=policy),
        ),
    )


def tell_findings(judged: Judged, k: int) -> Diagnosis:
    """Corners, axles and pattern of case `k` without what follows from them: all that a fleet's row shows."""
    case, policy, told = judged.readings.cases[k], judged.policies[k], judged.digest
    span = range(told.first[k], told.first[k + 1])
    axles = {told.axle[p]: _axle(judged, k, p) for p in span if told.chosen[p]}
    hubs = _hub_verdicts(told, span, axles, policy)
    hot_hubs = {corner: why[0] for corner, (verdict, why) in hubs.items() if verdict == "hot"}
    known = case.ambient_degc is not None
    corners = tuple(
        _corner(told, (pair, side), _corner_verdict(told, (pair, side), axles, hubs), known=known)
        for pair in span
        for side in (0, 1)
        if told.readings[side][pair]
    )
    findings = tuple(axles[axle].finding for axle in sorted(axles))
    pattern, corners = _pattern(judged, k, corners, findings, hot_hubs)
    return Diagnosis(
        log=case.log,
        vehicle=case.vehicle,
        drive=case.drive,
        description=judged.vehicles[k],
        ambient_degc=case.ambient_degc,
        ambient_source=case.ambient_source,
        parked_known=case.parked_known,
        policy=PolicyMark(name=policy.name, sha256=policy.sha256),
        policy_note=judged.policy_notes[k],
        common_time_s=told.common_time_s[k],
        corners=corners,
        axles=findings,
        pattern=pattern,
        p_fault=_p_fault(judged, k),
    )


def _interval(low: float | None, high: float | None) -> Interval | None:
    return None if low is None or high is None else (low, high)


def _axle(judged: Judged, k: int, pair: int) -> AxleVerdict:
    case, vehicle, told = judged.readings.cases[k], judged.vehicles[k], judged.digest
    axle = told.axle[pair]
    numbers = AxleNumbers(
        axle=axle,
        left=_side(told, pair, 0),
        right=_side(told, pair, 1),
        difference_k=told.difference_k[pair],
        difference_interval_k=_interval(told.difference_low_k[pair], told.difference_high_k[pair]),
        ratio=told.ratio[pair],
        ratio_interval=_interval(told.ratio_low[pair], told.ratio_high[pair]),
        log_tau_sigmas=told.log_tau_sigmas[pair] or 0.0,
        ambient_known=case.ambient_degc is not None,
        coast=case.drive == "coast",
        coast_rises_k=_coast_rises(told, k, axle),
        others_warm=_others_warm(told, k, pair, judged.policies[k].minimum_rise_k),
        lifted=vehicle.axle(axle).lifted,
    )
    verdict = judge_axle(numbers, judged.policies[k])
    finding = replace(
        verdict.finding,
        surface_difference_k=told.surface_k[pair],
        surface_difference_interval_k=_interval(told.surface_low_k[pair], told.surface_high_k[pair]),
        surface_known=told.surface_known[pair],
    )
    return replace(verdict, finding=finding)


def _coast_rises(told: Digest, k: int, axle: int) -> tuple[float, float] | None:
    """Rises left and right of an axle after the drive without braking that goes with this one."""
    coast = told.coast_case[k]
    if coast is None:
        return None
    for pair in range(told.first[coast], told.first[coast + 1]):
        left, right = told.rise_k[0][pair], told.rise_k[1][pair]
        if told.axle[pair] == axle and told.chosen[pair] and left is not None and right is not None:
            return left, right
    return None


def _others_warm(told: Digest, k: int, pair: int, least_k: float) -> bool:
    """True if another axle of the case carries enough heat to judge by."""
    others = (
        p
        for p in range(told.first[k], told.first[k + 1])
        if told.axle[p] != told.axle[pair] and told.chosen[p]
    )
    return any((told.rise_k[side][p] or 0.0) >= least_k for p in others for side in (0, 1))


def _side(told: Digest, pair: int, side: int) -> SideNumbers:
    return SideNumbers(
        corner=told.corner[side][pair],
        rise_k=told.rise_k[side][pair],
        rise_high_k=told.rise_high_k[side][pair],
        p_hot=told.p_hot[side][pair] or 0.0,
        p_cold=told.p_cold[side][pair] or 0.0,
        readings=told.readings[side][pair],
        used=told.used[side][pair],
        rising=told.state[side][pair] == RISING,
        unchanged=told.unchanged[side][pair],
        tau_s=told.tau_s[side][pair],
    )


def _hub_verdicts(
    told: Digest, span: range, axles: dict[int, AxleVerdict], policy: Policy
) -> dict[str, tuple[Verdict, tuple[str, ...]]]:
    """Verdict of every hub that was read: beside its mate, then beside its own brake."""
    brakes = {told.axle[pair]: pair for pair in span if told.chosen[pair]}
    found: dict[str, tuple[Verdict, tuple[str, ...]]] = {}
    for pair in (pair for pair in span if told.spot[pair] == HUB_SPOT):
        brake, axle = brakes.get(told.axle[pair]), axles.get(told.axle[pair])
        for side in (0, 1):
            idle = axle is not None and (axle.left, axle.right)[side] == "cold"
            why = _over_mate(told, (pair, side), policy.hub_over_mate_k)
            if why is None and brake is not None and not idle:
                why = _over_brake(told, (pair, side), brake, policy.hub_stop_k)
            if told.readings[side][pair]:
                corner = told.corner[side][pair]
                found[corner] = ("hot", (why,)) if why else _hub_without_finding(told, pair, brake)
    return found


def _over_mate(told: Digest, place: tuple[int, int], mark_k: float) -> str | None:
    pair, side = place
    difference, sigma = told.difference_k[pair], told.difference_sigma_k[pair]
    if difference is None or sigma is None:
        return None
    over = difference if side == 0 else -difference
    if over < max(mark_k, 2.0 * sigma):
        return None
    pattern = "hub {} above its mate (mark {}): points to the bearing"
    return sentence(pattern, kelvin(over), kelvin(mark_k))


def _over_brake(told: Digest, place: tuple[int, int], brake: int, mark_k: float) -> str | None:
    """Hub above the brake beside it; the mark is wide because their surfaces are unlike."""
    pair, side = place
    hub, beside = told.at_common_degc[side][pair], told.at_common_degc[side][brake]
    if hub is None or beside is None or hub - beside < mark_k or told.used[side][brake] < _FEWEST_BESIDE_HUB:
        return None
    pattern = "hub {} above the brake beside it (mark {}): points to the bearing"
    return sentence(pattern, kelvin(hub - beside), kelvin(mark_k))


def _hub_without_finding(told: Digest, pair: int, brake: int | None) -> tuple[Verdict, tuple[str, ...]]:
    if told.difference_k[pair] is None and brake is None:
        return "cannot_tell", ("the hub of the other side was not read: read both hubs",)
    return "even", ()


def _corner(
    told: Digest, place: tuple[int, int], verdict: tuple[Verdict, tuple[str, ...]], *, known: bool
) -> CornerFinding:
    """One corner; rise and probabilities only where the ambient is `known`."""
    pair, side = place
    return CornerFinding(
        corner=told.corner[side][pair],
        axle=told.axle[pair],
        side=SIDES[side],
        spot=told.spot[pair],
        readings=told.readings[side][pair],
        readings_used=told.used[side][pair],
        start_degc=told.start_degc[side][pair],
        tau_s=told.tau_s[side][pair],
        tau_interval_s=_interval(told.tau_low_s[side][pair], told.tau_high_s[side][pair]),
        at_common_degc=told.at_common_degc[side][pair],
        interval_degc=_interval(told.low_degc[side][pair], told.high_degc[side][pair]),
        rise_k=told.rise_k[side][pair] if known else None,
        p_hot=told.p_hot[side][pair] if known else None,
        p_cold=told.p_cold[side][pair] if known else None,
        verdict=verdict[0],
        why=verdict[1],
    )


def _corner_verdict(
    told: Digest,
    place: tuple[int, int],
    axles: dict[int, AxleVerdict],
    hubs: dict[str, tuple[Verdict, tuple[str, ...]]],
) -> tuple[Verdict, tuple[str, ...]]:
    """A hub has a verdict of its own; every other spot that of its brake."""
    pair, side = place
    if told.spot[pair] == HUB_SPOT:
        return hubs[told.corner[side][pair]]
    axle = axles.get(told.axle[pair])
    if axle is None:
        return "cannot_tell", ("no brake was read on both sides of this axle",)
    verdict = axle.left if side == 0 else axle.right
    return verdict, axle.finding.why if verdict != "even" else ()


def _p_fault(judged: Judged, k: int) -> float | None:
    none = judged.digest.p_none[k]
    return None if judged.readings.cases[k].ambient_degc is None or none is None else 1.0 - none


def _pattern(
    judged: Judged,
    k: int,
    corners: tuple[CornerFinding, ...],
    axles: tuple[AxleFinding, ...],
    hot_hubs: dict[str, str],
) -> tuple[PatternFinding, tuple[CornerFinding, ...]]:
    """The pattern, and the corners again: a pattern of the whole vehicle marks all its corners."""
    called = [axle for axle in axles if axle.verdict in {"hot", "cold"}]
    p_fault = _p_fault(judged, k)
    kind, p = KINDS[judged.digest.best_kind[k]], judged.digest.p_best[k]
    members = tuple(corner_name(axle, SIDES[side]) for axle, side in judged.patterns.members[k])
    if hot_hubs and not called:
        return PatternFinding(kind="hub_hot", corners=tuple(hot_hubs), why=tuple(hot_hubs.values())), corners
    if called:
        return _called_pattern(called, kind, p, members), corners
    whole = _whole_vehicle(kind, p_fault or 0.0, judged.policies[k])
    if whole is not None:
        why = (f"{_WHOLE[whole]}: left against right alone would pass this vehicle",)
        marked = tuple(
            _marked(corner, whole, why) if corner.corner in members and corner.spot != HUB_SPOT else corner
            for corner in corners
        )
        return PatternFinding(kind=kind, corners=members, p=p, why=why), marked
    if (
        any(axle.verdict == "watch" for axle in axles)
        and (p_fault or 0.0) >= judged.policies[k].watch_probability
    ):
        return PatternFinding(kind=kind, corners=members, p=p, why=("possible, not enough to call",)), corners
    if not axles or any(axle.verdict == "cannot_tell" for axle in axles):
        return PatternFinding(kind="cannot_tell"), corners
    return PatternFinding(kind="none", p=None if p_fault is None else 1.0 - p_fault), corners


def _whole_vehicle(kind: PatternKind, p_fault: float, policy: Policy) -> Verdict | None:
    """Verdict on patterns that no comparison of left with right can show."""
    if kind not in {"all_hot", "circuit_hot"} or p_fault < policy.watch_probability:
        return None
    return "hot" if p_fault >= policy.flag_probability else "watch"


def _marked(corner: CornerFinding, level: Verdict, why: tuple[str, ...]) -> CornerFinding:
    return replace(corner, verdict=level, why=why) if corner.verdict in {"even", "watch"} else corner


def _called_pattern(
    called: Sequence[AxleFinding], kind: PatternKind, p: float | None, members: tuple[str, ...]
) -> PatternFinding:
    """Pattern of called axles: the best supported kind if it names them, else what was called."""
    axles = {axle.axle for axle in called}
    if {split_corner(corner)[0] for corner in members} == axles:
        return PatternFinding(kind=kind, corners=members, p=p)
    suspects = tuple(axle.suspect for axle in called if axle.suspect)
    if len(called) > 1:
        return PatternFinding(kind="several", corners=suspects)
    only = called[0]
    both = (corner_name(only.axle, "L"), corner_name(only.axle, "R"))
    if only.suspect is None:
        return PatternFinding(kind="axle_hot" if only.verdict == "hot" else "axle_cold", corners=both)
    return PatternFinding(kind="corner_hot" if only.verdict == "hot" else "corner_cold", corners=suspects)


def _notes(judged: Judged, k: int, span: range) -> tuple[str, ...]:
    case = judged.readings.cases[k]
    notes = _left_out_notes(judged, k)
    shift = judged.digest.ambient_shift_k[k] or 0.0
    sigma = case.ambient_sigma_k or judged.policies[k].ambient_sigma_k
    settles = _settling_notes(judged, span)
    if case.ambient_degc is not None and abs(shift) > _AMBIENT_PULL_SIGMAS * sigma and not settles:
        towards = case.ambient_degc + shift
        notes.append(
            sentence(
                "the curves settle towards {} rather than the stated {}: check the ambient reading; "
                "every interval here assumes it right within {}",
                degc(towards),
                degc(case.ambient_degc),
                kelvin(sigma),
            )
        )
    fitted = any(judged.digest.used[side][pair] for pair in span for side in (0, 1))
    if fitted and not judged.fits.converged[k]:
        notes.append("the fit did not settle: treat every number of this vehicle with doubt")
    return (*judged.case_notes[k], *notes, *settles)


def _settling_notes(judged: Judged, span: range) -> list[str]:
    settles = judged.settling
    if not settles.unlike_ambient[:, span.start : span.stop].any():
        return []
    notes: list[str] = []
    for pair in span:
        stated = judged.fits.ambient_degc[judged.pairs.case[pair]]
        for side in (0, 1):
            if settles.unlike_ambient[side, pair]:
                level, tau_s = settles.level_degc[side, pair], settles.tau_s[side, pair]
                notes.append(
                    sentence(
                        "{} does not settle towards the stated {}: by itself it would settle at {}, time "
                        "constant {} s; the cooling law or the ambient does not fit it",
                        named(judged.digest.corner[side][pair]),
                        degc(float(stated)),
                        degc(float(level)),
                        f"{tau_s:.0f}",
                    )
                )
    return notes


def _left_out_notes(judged: Judged, k: int) -> list[str]:
    """Readings kept in the file and on the chart that do not vote."""
    readings = judged.readings
    notes: list[str] = []
    of = "" if judged.corrected is None else " of the metal"
    for row in judged.digest.left_out.get(k, []):
        corner = corner_name(int(readings.axle[row]), SIDES[readings.side[row]])
        reason = REASONS[int(judged.fits.left_out[row])]
        shown = degc(float(readings.indicated_degc[row]), digits=1)
        pattern = "line {}: {} {}{} does not vote: {}"
        notes.append(sentence(pattern, readings.line[row], named(corner), shown, of, reason))
    return notes
