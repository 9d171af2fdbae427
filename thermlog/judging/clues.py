"""What a diagnosed case has to say about causes, the next check and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.advice.cautions import cautions
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.nextcheck import next_check
from thermlog.advice.suspects import rank_suspects
from thermlog.advice.urgency import HotSpots, HottestReading, HubDifference, has_fluid, urgent_lines
from thermlog.judging.digest import Digest
from thermlog.words.findings import (
    Answer,
    Answers,
    AnswerWord,
    AxleFinding,
    CornerFinding,
    NextCheck,
    PatternFinding,
    PatternKind,
    Suspect,
    Urgent,
)
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason
from thermlog.words.tables import Drive
from thermlog.words.vehicle import BRAKE_SPOTS, HUB_SPOT, Vehicle, corner_name, mate_of


def advice(evidence: LogEvidence) -> tuple[tuple[Suspect, ...], NextCheck, tuple[str, ...]]:
    """Suspects, next check and cautions that follow from the evidence of a log."""
    suspects = rank_suspects(evidence)
    return suspects, next_check(evidence, suspects), cautions(evidence)


def evidence_of(
    found: tuple[PatternFinding, Sequence[AxleFinding], Sequence[CornerFinding]],
    hottest: Sequence[HottestReading],
    case: tuple[Vehicle, Drive | None, Policy],
) -> LogEvidence:
    """The evidence of one case.

    Parameters
    ----------
    found : pattern, axles, corners
        Findings of the case.
    hottest : sequence of HottestReading
        See `hottest_of`.
    case : vehicle, drive, policy

    Returns
    -------
    LogEvidence
        A pattern that is only possible counts as "cannot tell" here: causes of something not established
        are not ranked.
    """
    pattern, axles, corners = found
    vehicle, drive, policy = case
    called = [axle for axle in axles if axle.verdict in {"hot", "cold"}]
    whole = any(corner.verdict == "hot" for corner in corners)
    kind = pattern.kind if called or whole or pattern.kind == "hub_hot" else _unsettled(axles)
    by_place = {(corner.corner, corner.spot): corner for corner in corners}
    suspect = pattern.corners[0] if pattern.corners else ""
    brakes = [one.value_degc for one in hottest if one.spot in BRAKE_SPOTS]
    return LogEvidence(
        kind=kind,
        corners=pattern.corners,
        answers=_answers(kind, found, policy),
        urgent=_urgent(corners, hottest, vehicle, policy),
        vehicle=vehicle,
        drive=drive,
        policy=policy,
        brake_degc=max(brakes, default=None),
        open_side=any(_open(axle, corners) for axle in called),
        face_difference_k=_difference(by_place, (suspect, "rotor_inner"), (suspect, "rotor_outer")),
        hub_read=any(corner.spot == HUB_SPOT for corner in corners),
        hub_over_brake=_hub_over_brake(by_place, suspect),
        single_reading=any(corner.corner == suspect and corner.readings_used == 1 for corner in corners),
    )


def hottest_of(told: Digest, span: range) -> tuple[HottestReading, ...]:
    """Hottest reading of every pair of a case; the digest keeps both sides together."""
    found = ((told.spot[pair], told.hottest_degc[pair]) for pair in span)
    return tuple(HottestReading(spot=spot, value_degc=value) for spot, value in found if value is not None)


def _urgent(
    corners: Sequence[CornerFinding], hottest: Sequence[HottestReading], vehicle: Vehicle, policy: Policy
) -> tuple[Urgent, ...]:
    """Urgent lines of the old verdicts: a hub called hot was judged where it was compared."""
    hubs = tuple(
        HubDifference(corner=corner.corner, over="mate", difference_k=policy.hub_over_mate_k)
        for corner in corners
        if corner.spot == HUB_SPOT and corner.verdict == "hot"
    )
    spots = HotSpots(readings=tuple(hottest), hubs=hubs, hydraulic=has_fluid(vehicle))
    return urgent_lines(spots, (), policy)


def _answers(
    kind: PatternKind,
    found: tuple[PatternFinding, Sequence[AxleFinding], Sequence[CornerFinding]],
    policy: Policy,
) -> Answers:
    """Answers as the verdicts imply them."""
    pattern, axles, corners = found
    brakes = [corner for corner in corners if corner.spot in BRAKE_SPOTS]
    alike = pattern.kind in {"all_hot", "circuit_hot", "axle_hot"}
    watched = tuple(corner.corner for corner in brakes if corner.verdict == "watch")
    gaps = tuple(reason for axle in axles if (reason := _gap(axle)) is not None)
    return Answers(
        drag=Answer(
            answer=_word("hot", brakes, kind),
            corners=pattern.corners or watched,
            reasons=gaps,
            decides=_decides(pattern.corners if alike else watched, (axles, brakes), policy),
        ),
        idle=Answer(answer=_word("cold", brakes, kind), corners=pattern.corners or watched, reasons=gaps),
        heat=Answer(answer="yes" if kind == "all_hot" else "no"),
    )


def _word(verdict: str, brakes: Sequence[CornerFinding], kind: PatternKind) -> AnswerWord:
    if any(corner.verdict == verdict for corner in brakes):
        return "yes"
    if any(corner.verdict == "watch" for corner in brakes):
        return "watch"
    return "cannot_tell" if kind == "cannot_tell" else "no"


def _gap(axle: AxleFinding) -> Reason | None:
    """Left against right of an axle that is not alike, the hotter side first."""
    if axle.difference_k is None or axle.verdict == "even":
        return None
    sides = (corner_name(axle.axle, "L"), corner_name(axle.axle, "R"))
    numbers = {"difference_k": abs(axle.difference_k)}
    if axle.rise_ratio is not None:
        numbers["ratio"] = axle.rise_ratio
    if axle.difference_interval_k is not None:
        low, high = sorted(abs(end) for end in axle.difference_interval_k)
        numbers |= {"low_k": low, "high_k": high}
    return Reason(code="gap_open", corners=sides if axle.difference_k >= 0 else sides[::-1], numbers=numbers)


def _decides(
    watched: tuple[str, ...], told: tuple[Sequence[AxleFinding], Sequence[CornerFinding]], policy: Policy
) -> tuple[Reason, ...]:
    """What would settle what the verdicts leave open."""
    axles, brakes = told
    read = {corner.corner for corner in brakes if corner.readings_used}
    if watched:
        once = tuple(corner.corner for corner in brakes if corner.readings_used == 1)
        again = (Reason(code="read_again", corners=once),) if set(watched) & set(once) else ()
        return (*again, Reason(code="coast_drive", corners=watched))
    missing = tuple(side for corner in sorted(read) if (side := mate_of(corner)) not in read)
    if missing:
        return (Reason(code="read_unread", corners=missing),)
    warmest = max((corner.rise_k for corner in brakes if corner.rise_k is not None), default=None)
    if any(axle.verdict == "cannot_tell" for axle in axles) and warmest is not None:
        lacking = policy.minimum_rise_k - warmest
        if lacking > 0:
            return (Reason(code="drive_with_braking", numbers={"missing_k": lacking}),)
    return ()


def _unsettled(axles: Sequence[AxleFinding]) -> PatternKind:
    return "none" if axles and all(axle.verdict == "even" for axle in axles) else "cannot_tell"


def _open(axle: AxleFinding, corners: Sequence[CornerFinding]) -> bool:
    """Called unlike, with neither side named and not both called alike."""
    if axle.suspect is not None:
        return False
    return any(corner.axle == axle.axle and corner.verdict == "watch" for corner in corners)


def _difference(
    by_place: dict[tuple[str, str], CornerFinding], one: tuple[str, str], other: tuple[str, str]
) -> float | None:
    first, second = by_place.get(one), by_place.get(other)
    if first is None or second is None or first.at_common_degc is None or second.at_common_degc is None:
        return None
    return first.at_common_degc - second.at_common_degc


def _hub_over_brake(by_place: dict[tuple[str, str], CornerFinding], corner: str) -> bool:
    gaps = [_difference(by_place, (corner, HUB_SPOT), (corner, spot)) for spot in BRAKE_SPOTS]
    return any(gap is not None and gap > 0 for gap in gaps)
