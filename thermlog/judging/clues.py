"""What a diagnosed case has to say about causes, the next check and the cautions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from thermlog.advice.cautions import cautions
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.nextcheck import next_check
from thermlog.advice.suspects import rank_suspects
from thermlog.words.findings import (
    Answer,
    Answers,
    CornerFinding,
    Diagnosis,
    NextCheck,
    PatternKind,
    Suspect,
)
from thermlog.words.kinds import CANNOT_TELL, HUB_HOT, NONE
from thermlog.words.policy import Policy
from thermlog.words.tables import Drive
from thermlog.words.vehicle import BRAKE_SPOTS, HUB_SPOT, Spot, Vehicle

_Places = Mapping[tuple[str, Spot], CornerFinding]


def advice(evidence: LogEvidence) -> tuple[tuple[Suspect, ...], NextCheck, tuple[str, ...]]:
    """Suspects, next check and cautions that follow from the evidence of a log."""
    suspects = rank_suspects(evidence)
    return suspects, next_check(evidence, suspects), cautions(evidence)


def advice_if_even(
    vehicle: Vehicle, policy: Policy, drive: Drive | None, brake_degc: float | None
) -> tuple[NextCheck, tuple[str, ...]]:
    """Next check and cautions where every answer is "no" and nothing is urgent: no cause is ranked.

    They follow from the hottest brake by the rules of `doing` alone.
    """
    no = Answer(answer="no")
    evidence = LogEvidence(
        kind=NONE.name,
        corners=(),
        answers=Answers(drag=no, idle=no, heat=no),
        vehicle=vehicle,
        drive=drive,
        policy=policy,
        brake_degc=brake_degc,
    )
    _, check, warned = advice(evidence)
    return check, warned


def first_check(evidence: LogEvidence) -> NextCheck:
    """The next check alone."""
    return next_check(evidence, rank_suspects(evidence))


def evidence_of(found: Diagnosis, policy: Policy, hottest_degc: float | None) -> LogEvidence:
    """The evidence of one case.

    Parameters
    ----------
    found : Diagnosis
        With its answers.
    policy : Policy
    hottest_degc : float or None
        Hottest reading at any brake [°C].

    Returns
    -------
    LogEvidence
        A fault that is only possible counts as not established: causes of it are not ranked.
    """
    by_place = {(corner.corner, corner.spot): corner for corner in found.corners}
    corners = found.pattern.corners
    suspect = corners[0] if corners else ""
    open_side = _open_side(found)
    return LogEvidence(
        kind=_established(found),
        corners=corners,
        answers=found.answers,
        urgent=found.urgent,
        seen=tuple(dict.fromkeys(one.code for one in found.seen)),
        vehicle=found.description,
        drive=found.drive,
        policy=policy,
        brake_degc=hottest_degc,
        part_degc=max((one.start_degc for one in found.corners if one.start_degc is not None), default=None),
        degc=tuple(_hottest_degc(found.corners).items()),
        open_side=open_side,
        face_difference_k=_difference(by_place, (suspect, "rotor_inner"), (suspect, "rotor_outer")),
        hub_read=any(corner.spot == HUB_SPOT for corner in found.corners),
        hub_over_brake=_hub_over_brake(by_place, suspect),
        single_reading=any(
            corner.corner == suspect and corner.spot != HUB_SPOT and corner.readings_used == 1
            for corner in found.corners
        ),
        parts_above=found.parts_above,
        to_weigh=tuple(one for one in found.unweighed if one.of_brakes),
        called=found.called,
    )


def _established(found: Diagnosis) -> PatternKind:
    """The kind of fault that is called; what is only watched or open ranks no causes."""
    answers, kind = found.answers, found.pattern.kind
    if kind == HUB_HOT.name or any(one.answer == "yes" for one in answers.each):
        return kind
    return (CANNOT_TELL if found.flagged else NONE).name


def _open_side(found: Diagnosis) -> bool:
    """Two sides differ, which is the odd one is open, and no fault is called, which would come first."""
    answers = (found.answers.drag, found.answers.idle)
    if any(one.answer == "yes" for one in found.answers.each):
        return False
    return any(
        reason.code == "gap_open" for one in answers if one.answer == "watch" for reason in one.reasons
    )


def _hottest_degc(corners: Sequence[CornerFinding]) -> dict[str, float]:
    """Hottest brake spot of every corner at the common time."""
    degc: dict[str, float] = {}
    for one in corners:
        if one.spot in BRAKE_SPOTS and one.at_common_degc is not None:
            degc[one.corner] = max(one.at_common_degc.value, degc.get(one.corner, one.at_common_degc.value))
    return degc


def _difference(by_place: _Places, one: tuple[str, Spot], other: tuple[str, Spot]) -> float | None:
    first, second = by_place.get(one), by_place.get(other)
    if first is None or second is None or first.at_common_degc is None or second.at_common_degc is None:
        return None
    return first.at_common_degc.value - second.at_common_degc.value


def _hub_over_brake(by_place: _Places, corner: str) -> bool:
    gaps = [_difference(by_place, (corner, HUB_SPOT), (corner, spot)) for spot in BRAKE_SPOTS]
    return any(gap is not None and gap > 0 for gap in gaps)
