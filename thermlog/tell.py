"""From the columns of a batch to the findings of one case, in words a mechanic can act on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from thermlog.curves import REASONS, curves_of
from thermlog.findings import (
    AxleFinding,
    CornerFinding,
    Diagnosis,
    Interval,
    PatternFinding,
    PatternKind,
    PolicyMark,
    Verdict,
)
from thermlog.fit import FITTED, RISING
from thermlog.judged import Judged
from thermlog.pattern import KINDS
from thermlog.stack import VOTES
from thermlog.tables import Case
from thermlog.vehicle import HUB_SPOT, SIDES, SPOTS, axle_words, corner_name
from thermlog.verdict import AxleNumbers, AxleVerdict, SideNumbers, judge_axle

_HUB = SPOTS.index(HUB_SPOT)
_AMBIENT_PULL_SIGMAS = 3.0


def tell(judged: Judged, k: int, *, curves: bool = False) -> Diagnosis:
    """Findings of case `k`.

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
    case, policy = judged.readings.cases[k], judged.policies[k]
    span = range(int(judged.pairs.first[k]), int(judged.pairs.first[k + 1]))
    axles = {int(judged.pairs.axle[p]): _axle(judged, p) for p in span if judged.comparison.chosen[p]}
    hubs = [p for p in span if judged.pairs.spot[p] == _HUB]
    hot_hubs = {corner: why for p in hubs for corner, why in _hot_hubs(judged, p).items()}
    corners = tuple(
        _corner(judged, p, side, axles, hot_hubs)
        for p in span
        for side in (0, 1)
        if judged.pairs.readings[side, p]
    )
    findings = tuple(verdict.finding for _, verdict in sorted(axles.items()))
    common = judged.comparison.common_time_s[k]
    pattern, corners, findings = _pattern(judged, k, corners, findings, hot_hubs)
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
        common_time_s=_number(common),
        corners=corners,
        axles=findings,
        pattern=pattern,
        p_fault=_p_fault(judged, k, case),
        notes=_notes(judged, k, span),
        curves=curves_of(judged, k) if curves else (),
    )


def _number(value: float) -> float | None:
    """A plain number, or None where there is none."""
    number = float(value)
    return number if math.isfinite(number) else None


def _interval(middle: float, half: float) -> Interval | None:
    low, high = float(middle - half), float(middle + half)
    return (low, high) if math.isfinite(low) and math.isfinite(high) else None


def _axle(judged: Judged, pair: int) -> AxleVerdict:
    pairs, found = judged.pairs, judged.comparison
    case_index = int(pairs.case[pair])
    case, vehicle = judged.readings.cases[case_index], judged.vehicles[case_index]
    axle, quantile = int(pairs.axle[pair]), found.quantile[case_index]
    ratio = _number(found.ratio[pair])
    low, high = _number(found.ratio_low[pair]), _number(found.ratio_high[pair])
    sigma = found.log_tau_difference_sigma[pair]
    numbers = AxleNumbers(
        axle=axle,
        name=axle_words(axle, len(vehicle.axles)),
        left=_side(judged, pair, 0),
        right=_side(judged, pair, 1),
        difference_k=_number(found.difference_k[pair]),
        difference_interval_k=_interval(found.difference_k[pair], quantile * found.difference_sigma_k[pair]),
        ratio=ratio,
        ratio_interval=None if low is None or high is None else (low, high),
        log_tau_sigmas=abs(float(found.log_tau_difference[pair] / sigma)) if sigma > 0 else 0.0,
        ambient_known=case.ambient_degc is not None,
        coast=case.drive == "coast",
        lifted=axle <= len(vehicle.axles) and vehicle.axles[axle - 1].lifted,
    )
    return judge_axle(numbers, judged.policies[case_index])


def _side(judged: Judged, pair: int, side: int) -> SideNumbers:
    fits, state = judged.fits, judged.comparison.state
    quantile = judged.comparison.quantile[judged.pairs.case[pair]]
    rise = state.rise_k[side, pair]
    return SideNumbers(
        corner=corner_name(int(judged.pairs.axle[pair]), SIDES[side]),
        rise_k=_number(rise),
        rise_high_k=_number(rise + quantile * np.sqrt(state.rise_variance[side, pair])),
        p_hot=_number(judged.patterns.p_hot[side, pair]) or 0.0,
        p_cold=_number(judged.patterns.p_cold[side, pair]) or 0.0,
        readings=int(judged.pairs.readings[side, pair]),
        used=int(fits.used[side, pair]),
        rising=bool(fits.state[side, pair] == RISING),
        tau_s=_number(np.exp(fits.log_tau[side, pair])),
    )


def _hot_hubs(judged: Judged, pair: int) -> dict[str, str]:
    """Hubs clearly hotter than their mate: corner -> why."""
    found, case = judged.comparison, int(judged.pairs.case[pair])
    difference, sigma = found.difference_k[pair], found.difference_sigma_k[pair]
    mark = judged.policies[case].hub_over_mate_k
    if not np.isfinite(difference) or abs(difference) < mark or abs(difference) < 2.0 * sigma:
        return {}
    side = 0 if difference > 0 else 1
    corner = corner_name(int(judged.pairs.axle[pair]), SIDES[side])
    return {corner: f"hub {abs(difference):.0f} K above its mate (mark {mark:.0f} K): points to the bearing"}


def _corner(
    judged: Judged, pair: int, side: int, axles: dict[int, AxleVerdict], hot_hubs: dict[str, str]
) -> CornerFinding:
    pairs, fits, found = judged.pairs, judged.fits, judged.comparison
    case, axle = int(pairs.case[pair]), int(pairs.axle[pair])
    corner, spot = corner_name(axle, SIDES[side]), SPOTS[pairs.spot[pair]]
    verdict, why = _corner_verdict(axles.get(axle), side, corner, spot, hot_hubs)
    quantile = found.quantile[case]
    fitted = fits.state[side, pair] == FITTED
    finding = CornerFinding(
        corner=corner,
        axle=axle,
        side=SIDES[side],
        spot=spot,
        readings=int(pairs.readings[side, pair]),
        readings_used=int(fits.used[side, pair]),
        verdict=verdict,
        why=why,
    )
    if not fitted:
        return finding
    known = judged.readings.cases[case].ambient_degc is not None
    temperature = found.state.temperature_degc[side, pair]
    half = quantile * np.sqrt(found.state.temperature_variance[side, pair])
    log_tau, spread = fits.log_tau[side, pair], np.sqrt(fits.covariance[2 * side + 1, 2 * side + 1, pair])
    ambient = fits.ambient_degc[case] + fits.ambient_shift_k[case]
    return replace(
        finding,
        start_degc=_number(ambient + fits.amplitude_k[side, pair]),
        tau_s=_number(np.exp(log_tau)),
        tau_interval_s=_log_interval(log_tau, quantile * spread),
        at_common_degc=_number(temperature),
        interval_degc=_interval(temperature, half),
        rise_k=_number(found.state.rise_k[side, pair]) if known else None,
        p_hot=_number(judged.patterns.p_hot[side, pair]) if known else None,
        p_cold=_number(judged.patterns.p_cold[side, pair]) if known else None,
    )


def _log_interval(middle: float, half: float) -> Interval | None:
    interval = _interval(middle, half)
    return None if interval is None else (math.exp(interval[0]), math.exp(interval[1]))


def _corner_verdict(
    axle: AxleVerdict | None, side: int, corner: str, spot: str, hot_hubs: dict[str, str]
) -> tuple[Verdict, tuple[str, ...]]:
    if spot == HUB_SPOT:
        return ("hot", (hot_hubs[corner],)) if corner in hot_hubs else ("even", ())
    if axle is None:
        return "cannot_tell", ("no brake was read on both sides of this axle",)
    verdict = axle.left if side == 0 else axle.right
    return verdict, axle.finding.why if verdict != "even" else ()


def _p_fault(judged: Judged, k: int, case: Case) -> float | None:
    if case.ambient_degc is None:
        return None
    none = _number(judged.patterns.p_kind[k, KINDS.index("none")])
    return None if none is None else 1.0 - none


def _pattern(
    judged: Judged,
    k: int,
    corners: tuple[CornerFinding, ...],
    axles: tuple[AxleFinding, ...],
    hot_hubs: dict[str, str],
) -> tuple[PatternFinding, tuple[CornerFinding, ...], tuple[AxleFinding, ...]]:
    """The pattern, and the corners again: a pattern of the whole vehicle marks all its corners."""
    called = [axle for axle in axles if axle.verdict in {"hot", "cold"}]
    p_fault = _p_fault(judged, k, judged.readings.cases[k])
    kind, p = _best_kind(judged, k)
    members = tuple(corner_name(axle, SIDES[side]) for axle, side in judged.patterns.members[k])
    if hot_hubs and not called:
        why = tuple(hot_hubs.values())
        return PatternFinding(kind="hub_hot", corners=tuple(hot_hubs), why=why), corners, axles
    if called:
        return _called_pattern(called, kind, p, members), corners, axles
    sure = p_fault is not None and p_fault >= judged.policies[k].flag_probability
    if sure and kind in {"all_hot", "circuit_hot"}:
        why = ("hot on every corner named, sides alike: left against right alone would pass this vehicle",)
        marked = tuple(replace(c, verdict="hot", why=why) if c.corner in members else c for c in corners)
        return PatternFinding(kind=kind, corners=members, p=p, why=why), marked, axles
    if not axles or any(axle.verdict == "cannot_tell" for axle in axles):
        return PatternFinding(kind="cannot_tell"), corners, axles
    return PatternFinding(kind="none", p=None if p_fault is None else 1.0 - p_fault), corners, axles


def _best_kind(judged: Judged, k: int) -> tuple[PatternKind, float | None]:
    """The best supported kind of fault, the healthy vehicle apart."""
    support = judged.patterns.p_kind[k].copy()
    if not np.isfinite(support).all():
        return "cannot_tell", None
    support[KINDS.index("none")] = -1.0
    return KINDS[int(support.argmax())], float(support.max())


def _called_pattern(
    called: Sequence[AxleFinding], kind: PatternKind, p: float | None, members: tuple[str, ...]
) -> PatternFinding:
    """Pattern of a vehicle with called axles: the best supported kind if it names them, else what was called."""
    axles = {axle.axle for axle in called}
    if {int(corner[:-1]) for corner in members} == axles:
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
    fits, case = judged.fits, judged.readings.cases[k]
    notes = list(_left_out_notes(judged, k))
    shift = float(fits.ambient_shift_k[k])
    sigma = case.ambient_sigma_k or judged.policies[k].ambient_sigma_k
    settles = _settling_notes(judged, span)
    if case.ambient_degc is not None and abs(shift) > _AMBIENT_PULL_SIGMAS * sigma and not settles:
        towards = case.ambient_degc + shift
        notes.append(
            f"the curves settle towards {towards:.0f} °C rather than the stated {case.ambient_degc:.0f} °C: "
            "check the ambient reading; every interval here assumes it right within "
            f"{sigma:.0f} K"
        )
    if not fits.converged[k] and len(span):
        notes.append("the fit did not settle: treat every number of this vehicle with doubt")
    return (*notes, *settles)


def _settling_notes(judged: Judged, span: range) -> list[str]:
    notes = []
    for pair in span:
        for side in (0, 1):
            if judged.settling.unlike_ambient[side, pair]:
                corner = corner_name(int(judged.pairs.axle[pair]), SIDES[side])
                stated = judged.fits.ambient_degc[judged.pairs.case[pair]]
                notes.append(
                    f"{corner} does not settle towards the stated {stated:.0f} °C: by itself it "
                    f"would settle at {judged.settling.level_degc[side, pair]:.0f} °C, time constant "
                    f"{judged.settling.tau_s[side, pair]:.0f} s; the cooling law or the ambient does not fit it"
                )
    return notes


def _left_out_notes(judged: Judged, k: int) -> list[str]:
    """Readings kept in the file and on the chart that do not vote."""
    codes = judged.fits.left_out
    rows = np.flatnonzero((judged.readings.case == k) & (codes != VOTES))
    notes = []
    for row in rows:
        corner = corner_name(int(judged.readings.axle[row]), SIDES[judged.readings.side[row]])
        notes.append(
            f"line {judged.readings.line[row]}: {corner} {judged.readings.indicated_degc[row]:.1f} °C "
            f"does not vote: {REASONS[int(codes[row])]}"
        )
    return notes
