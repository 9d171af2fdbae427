"""From the columns of a batch to the findings of one case: answers first, all else follows from them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, TypeAlias

from msgspec.structs import replace

from thermlog.advice.partlook import looked_at_first
from thermlog.inference.vehicle_drives import verified_cases
from thermlog.judging.airs import what_holds
from thermlog.judging.answers import answers_of
from thermlog.judging.bands import beside_healthy, healthy_bands
from thermlog.judging.clear_gaps import with_clear_gaps
from thermlog.judging.curves import curves_of
from thermlog.judging.danger import danger_of, hottest_brake_degc, urgent_of
from thermlog.judging.digest import Digest
from thermlog.judging.facts import CaseFacts, case_facts
from thermlog.judging.hubs import HubNumbers, hub_numbers
from thermlog.judging.judged import Judged
from thermlog.judging.nextsteps import Danger, with_decides
from thermlog.judging.notes import notes_of
from thermlog.judging.oneorder import partner_of, severer, without_made
from thermlog.judging.oneround import not_by_one_round
from thermlog.judging.parts import PartsCase, parts_above, reason_of, without_told
from thermlog.judging.plainly_even import plainly_even
from thermlog.judging.verdict import axle_verdict, corner_verdict, pattern_of
from thermlog.words.findings import (
    Answers,
    AxleFinding,
    CornerFinding,
    Diagnosis,
    NextCheck,
    Urgent,
    Verdict,
)
from thermlog.words.parts import SPOT_NAMES, PartAbove
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.tables import Bools
from thermlog.words.vehicle import BRAKE_SPOTS, HUB_SPOT, SIDES, corner_name

if TYPE_CHECKING:
    from thermlog.judging.detectable import LimitsAhead

Refine: TypeAlias = Callable[[Judged, CaseFacts, Answers, Danger], Answers]
_Said: TypeAlias = tuple[Verdict, tuple[Reason, ...]]


def tell_all(
    judged: Judged,
    cases: Sequence[int],
    *,
    curves: bool,
    even: Bools | None = None,
    sharper: bool = False,
) -> Iterator[Diagnosis]:
    """Findings with limits, causes, next check, cautions, severity and notes.

    Parameters
    ----------
    judged : Judged
    cases : sequence of int
        Told in this order; what their logs would have shown is worked out for all of them at once.
    curves : bool
        True to add the curves a chart needs.
    even : bool array (all cases,), optional
        From `plainly_even.plainly_even`, where somebody knows it already.
    sharper : bool
        True to add to every "no" what would sharpen it.

    Yields
    ------
    Diagnosis
    """
    # a quiet fleet does without these rooms and their tables
    from thermlog.judging.detectable import limits_ahead
    from thermlog.judging.even import even_findings

    ahead = limits_ahead(judged, cases, sharper=sharper)
    refine, plain = _refining(judged, ahead), plainly_even(judged) if even is None else even
    odd = {k: tell_findings(judged, k, refine=refine) for k in cases if not plain[k]}
    bands = healthy_bands(judged, cases, odd)
    calm = even_findings(judged, [k for k in cases if plain[k]], ahead, bands)
    paired, told = any(partner_of(judged, k) is not None for k in cases), {}
    repaired = verified_cases(judged.readings.cases)
    for k in cases:
        if k in odd:
            found = replace(odd[k], corners=beside_healthy(judged, k, odd[k], bands))
            found = with_advice(judged, k, found)
        else:
            found = next(calm)
        if curves:
            found = replace(found, curves=curves_of(judged, k, found.corners))
        if k in repaired:
            found = replace(found, next_check=_before_repair(judged, k, found, found.next_check))
        if not paired:
            yield found
        else:
            told[k] = found
    checks = {k: one.next_check for k, one in told.items()}
    for k in list(told):
        other = partner_of(judged, k)
        if other is not None and other not in checks:
            checks[other] = _first_check(judged, other, tell_findings(judged, other, refine=refine))
    yield from (replace(one, next_check=severer(judged, k, checks)) for k, one in told.items())


def _before_repair(judged: Judged, k: int, found: Diagnosis, check: NextCheck | None) -> NextCheck | None:
    """What to do next, which a drive before the repair leaves to the one after it, unless it was stopped."""
    if check is None or found.urgent:
        return check
    from thermlog.advice.nextcheck import go_by_verification  # a quiet fleet does without this room
    from thermlog.judging.clues import evidence_of

    return go_by_verification(evidence_of(found, judged.policies[k], hottest_brake_degc(judged, k)))


def _refining(judged: Judged, ahead: LimitsAhead) -> Refine:
    """Adds what the logs of some cases would have shown."""
    from thermlog.judging.detectable import limits_ahead, with_limits

    def refine(weighed: Judged, facts: CaseFacts, answers: Answers, danger: Danger) -> Answers:
        alone = weighed is not judged
        known = limits_ahead(weighed, [facts.k], sharper=ahead.sharper) if alone else ahead
        return with_limits(facts, answers, known, danger)

    return refine


def with_advice(judged: Judged, k: int, found: Diagnosis) -> Diagnosis:
    """Findings with causes, next check, cautions, severity and notes.

    Parameters
    ----------
    judged : Judged
    k : int
    found : Diagnosis
        From `tell_findings`, with what healthy brakes would read.

    Returns
    -------
    Diagnosis
    """
    # a fleet's rows do without these rooms and their tables
    from thermlog.advice.severity import SeverityCase, severities
    from thermlog.judging.clues import advice, evidence_of

    evidence = evidence_of(found, judged.policies[k], hottest_brake_degc(judged, k))
    suspects, check, warned = advice(evidence)
    case = SeverityCase(vehicle=found.description, drive=found.drive, policy=judged.policies[k])
    return replace(
        found,
        suspects=suspects,
        next_check=check,
        cautions=warned,
        notes=notes_of(judged, k),
        severity=severities(found.corners, found.axles, case),
    )


def tell_to_do(judged: Judged, cases: Sequence[int]) -> Iterator[tuple[Diagnosis, NextCheck | None]]:
    """Findings with what to do next, as `tell_all` says it; None where nothing asks for a look.

    What the logs would have shown is worked out only where what to do next hangs on it.

    Parameters
    ----------
    judged : Judged
    cases : sequence of int
        Told in this order.

    Yields
    ------
    Diagnosis, NextCheck or None
    """
    found = {k: tell_findings(judged, k) for k in cases}
    hiding = [k for k, one in found.items() if one.flagged and _hides(one)]
    if hiding:
        from thermlog.judging.detectable import limits_ahead

        refine = _refining(judged, limits_ahead(judged, hiding))
        found |= {k: tell_findings(judged, k, refine=refine) for k in hiding}
    checks = {k: _first_check(judged, k, one) if one.flagged else None for k, one in found.items()}
    repaired = verified_cases(judged.readings.cases)
    for k in repaired.keys() & found.keys():
        checks[k] = _before_repair(judged, k, found[k], checks[k])
    for k, one in found.items():
        yield one, severer(judged, k, checks)


def _hides(found: Diagnosis) -> bool:
    """True if a fault might not have shown in this log."""
    return any(reason.code == "limit_above_line" for one in found.answers.each for reason in one.reasons)


def _first_check(judged: Judged, k: int, found: Diagnosis) -> NextCheck:
    from thermlog.judging.clues import evidence_of, first_check  # a quiet fleet does without this room

    return first_check(evidence_of(found, judged.policies[k], hottest_brake_degc(judged, k)))


def _unrefined(_judged: Judged, _facts: CaseFacts, answers: Answers, _danger: Danger) -> Answers:
    return answers


def tell_findings(judged: Judged, k: int, *, refine: Refine = _unrefined) -> Diagnosis:
    """Answers, corners, axles and pattern of case `k`: all that a fleet's row shows.

    Parameters
    ----------
    judged : Judged
    k : int
    refine : callable
        What is added to the answers before anything follows from them, such as limits.

    Returns
    -------
    Diagnosis
    """
    case, policy, told = judged.readings.cases[k], judged.policies[k], judged.digest
    span = range(told.first[k], told.first[k + 1])
    weighed, facts, answers = _with_past(judged, k)
    if k in judged.stops:
        from thermlog.judging.pastwords import beside_stop  # most checks have no history

        answers = beside_stop(answers, judged.stops[k])
    if k in judged.dead_before:
        from thermlog.judging.pastwords import beside_dead  # most checks have no history

        answers = beside_dead(answers, judged.dead_before[k])
    if weighed is judged.today:
        judged, told = weighed, weighed.digest
    idle = answers.idle.suspected
    hubs = hub_numbers(told, span, idle, policy)
    urgent = urgent_of(judged, k, hubs)
    vehicle, air_degc = judged.vehicles[k], case.ambient_degc
    beside = PartsCase(told=told, span=span, policy=policy, vehicle=vehicle, air_degc=air_degc, idle=idle)
    parts = without_told(parts_above(beside), hubs, urgent)
    danger = danger_of(judged, k, answers, urgent)
    answers = without_made(judged, k, with_decides(answers, facts, danger))
    answers = looked_at_first(answers, tuple(parts.values()))
    held = replace(danger, no_drive=danger.no_drive or bool(parts))  # a hub is looked at before it moves
    answers = refine(weighed, facts, answers, held)
    known = case.ambient_degc is not None

    @cache
    def said(corner: str) -> _Said:
        return corner_verdict(corner, answers, facts)

    corners = _with_parts(_corners((told, span), said, hubs, known=known), parts)
    corners = tuple(_with_stop(one, urgent) for one in corners)
    hot_hubs = tuple(hub.corner for hub in hubs.values() if hub.hot is not None)
    return judged.frame(k)(
        corners=corners,
        axles=_axles((told, span), facts, (answers, said), known=known),
        pattern=pattern_of(answers, facts, hot_hubs),
        answers=answers,
        urgent=urgent,
        parts_above=tuple(parts.values()),
    )


def _with_parts(
    corners: tuple[CornerFinding, ...], parts: Mapping[tuple[str, str], PartAbove]
) -> tuple[CornerFinding, ...]:
    """The corners with the parts that are watched beside what is even, or cannot be told."""
    found = []
    for one in corners:
        part = parts.get((one.corner, one.spot))
        if part is not None and one.verdict in {"even", "cannot_tell"}:
            one = replace(one, verdict="watch", reasons=(reason_of(part),))  # noqa: PLW2901
        found.append(one)
    return tuple(found)


def _with_stop(found: CornerFinding, urgent: tuple[Urgent, ...]) -> CornerFinding:
    """A spot past its line is never even, or left open; that a brake is so hot is no drag by itself."""
    own = (one for one in urgent if (one.corner, one.spot) == (found.corner, found.spot))
    stop = next(own, None)
    if stop is None or found.verdict not in {"even", "cannot_tell"}:
        return found
    lines = {"value_degc": stop.value_degc, "limit_degc": stop.limit_degc}
    numbers = {name: degc for name, degc in lines.items() if degc is not None}
    reason = Reason(code="past_line", corners=(found.corner,), numbers=numbers, quoted=SPOT_NAMES[found.spot])
    verdict: Verdict = "watch" if found.spot in BRAKE_SPOTS else "hot"
    return replace(found, verdict=verdict, reasons=(reason, *found.reasons))


def _with_past(judged: Judged, k: int) -> tuple[Judged, CaseFacts, Answers]:
    """The same with what earlier visits did to it; what today's log alone calls stands, whatever they say."""
    today, found = judged.alone(k), _answered(judged, k)
    if today is None:
        return found
    from thermlog.judging.pastwords import called_today_only, with_past  # most checks have no history

    alone = _answered(today, k)
    visits = judged.visits[k]
    if called_today_only(alone[2], found[2]):
        return alone[0], alone[1], with_past(alone[2], found[2], visits, stands=True)
    return found[0], found[1], with_past(found[2], alone[2], visits, stands=False)


def _answered(judged: Judged, k: int) -> tuple[Judged, CaseFacts, Answers]:
    """Facts and answers of one case with what they were drawn from; without an air, what holds under all."""
    assumed = judged.under_air(k)
    if not assumed:
        facts = case_facts(judged, k)
        return judged, facts, _answers(judged, facts)
    told = [_answered(under, place) for under, place in assumed]
    middle, facts, _ = told[len(told) // 2]
    airs = {
        f"{end}_degc": told[place][1].case.ambient_degc or 0.0 for place, end in ((0, "low"), (-1, "high"))
    }
    holds = not_by_one_round(what_holds([answers for _, _, answers in told], airs), facts)
    return middle, facts, with_clear_gaps(holds, [_shows_drag(below, one) for below, one, _ in told])


def _shows_drag(judged: Judged, facts: CaseFacts) -> CaseFacts:
    """Of the drive that tells whether a brake drags: the one without braking, where there are two."""
    coast = judged.digest.coast_case[facts.k]
    return facts if coast is None else case_facts(judged, coast)


def _answers(judged: Judged, facts: CaseFacts) -> Answers:
    """Answers of one case; a vehicle driven twice has one answer to each question."""
    told = judged.digest
    other = told.coast_case[facts.k]
    if other is not None:
        return answers_of(facts, case_facts(judged, other))
    mine = answers_of(facts)
    braked = told.braked_case[facts.k]
    if braked is None:
        return mine
    both = answers_of(case_facts(judged, braked), facts)
    return Answers(drag=both.drag, idle=both.idle, heat=mine.heat)


def _corners(
    columns: tuple[Digest, range],
    said: Callable[[str], _Said],
    hubs: Mapping[str, HubNumbers],
    *,
    known: bool,
) -> tuple[CornerFinding, ...]:
    told, span = columns
    found = []
    for pair in span:
        for side in (0, 1):
            if not told.readings[side][pair]:
                continue
            corner = told.corner[side][pair]
            if told.spot[pair] == HUB_SPOT:
                found.append(_hub(told, (pair, side), hubs[corner], known=known))
            else:
                verdict, reasons = said(corner)
                one = told.corner_finding(pair, side, known=known)
                found.append(replace(one, verdict=verdict, reasons=reasons))
    return tuple(found)


def _hub(told: Digest, place: tuple[int, int], hub: HubNumbers, *, known: bool) -> CornerFinding:
    """A hub has a verdict of its own: beside its mate, then beside its own brake."""
    one = told.corner_finding(*place, known=known)
    if hub.hot is not None:
        numbers = {"difference_k": hub.hot.difference_k, "mark_k": hub.hot.mark_k}
        code: ReasonCode = "hub_over_mate" if hub.hot.over == "mate" else "hub_over_brake"
        reasons: tuple[Reason, ...] = (Reason(code=code, corners=(hub.corner,), numbers=numbers),)
        verdict: Verdict = "hot"
    elif hub.compared:
        verdict, reasons = "even", ()
    else:
        verdict, reasons = "cannot_tell", (Reason(code="hub_alone", corners=(hub.corner,)),)
    return replace(one, verdict=verdict, reasons=reasons, p_hot=hub.p_hot, p_cold=None)


def _axles(
    columns: tuple[Digest, range],
    facts: CaseFacts,
    answered: tuple[Answers, Callable[[str], _Said]],
    *,
    known: bool,
) -> tuple[AxleFinding, ...]:
    (told, span), (answers, said) = columns, answered
    found = []
    for pair in (pair for pair in span if told.chosen[pair]):
        number = told.axle[pair]
        words = {corner: said(corner)[0] for corner in (corner_name(number, side) for side in SIDES)}
        verdict, suspect, reasons = axle_verdict(number, words, answers, facts)
        one = told.axle_finding(pair, known=known)
        marks_k = told.marks_k[pair] if known else None
        found.append(replace(one, verdict=verdict, suspect=suspect, reasons=reasons, marks_k=marks_k))
    return tuple(found)
