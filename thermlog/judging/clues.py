"""What a diagnosed case has to say about causes, the next check and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.advice.nextcheck import cautions, next_check
from thermlog.advice.suspects import LogEvidence, rank_suspects
from thermlog.judging.digest import Digest
from thermlog.words.findings import (
    AxleFinding,
    CornerFinding,
    NextCheck,
    PatternFinding,
    PatternKind,
    Suspect,
)
from thermlog.words.policy import Policy
from thermlog.words.sentences import capital, sentence
from thermlog.words.tables import Drive
from thermlog.words.vehicle import BRAKE_SPOTS, HUB_SPOT, TYRE_SPOTS, Spot, Vehicle


def advice(evidence: LogEvidence) -> tuple[tuple[Suspect, ...], NextCheck | None, tuple[str, ...]]:
    """Suspects, next check and cautions that follow from the evidence of a log."""
    suspects = rank_suspects(evidence)
    return suspects, next_check(evidence, suspects), cautions(evidence)


def evidence_of(
    found: tuple[PatternFinding, Sequence[AxleFinding], Sequence[CornerFinding]],
    hottest: tuple[float | None, float | None, float | None],
    case: tuple[Vehicle, Drive | None, Policy],
) -> LogEvidence:
    """The evidence of one case.

    Parameters
    ----------
    found : pattern, axles, corners
        Findings of the case.
    hottest : brake, hub, tyre
        Hottest reading of each kind [°C]; None where none was read. See `hottest_of`.
    case : vehicle, drive, policy

    Returns
    -------
    LogEvidence
        A pattern that is only possible counts as "cannot tell" here: causes of something not established
        are not ranked.
    """
    pattern, axles, corners = found
    called = [axle for axle in axles if axle.verdict in {"hot", "cold"}]
    whole = any(corner.verdict == "hot" for corner in corners)
    kind = pattern.kind if called or whole or pattern.kind == "hub_hot" else _unsettled(axles)
    by_place = {(corner.corner, corner.spot): corner for corner in corners}
    suspect = pattern.corners[0] if pattern.corners else ""
    return LogEvidence(
        kind=kind,
        corners=pattern.corners,
        vehicle=case[0],
        drive=case[1],
        open_side=any(_open(axle, corners) for axle in called),
        watched=pattern.kind if not (called or whole) and _watched_alike(pattern, corners) else None,
        face_difference_k=_difference(by_place, (suspect, "rotor_inner"), (suspect, "rotor_outer")),
        hub_over_brake=_hub_over_brake(by_place, suspect),
        single_reading=any(corner.corner == suspect and corner.readings_used == 1 for corner in corners),
        repeat=_repeat(axles),
        brake_degc=hottest[0],
        hub_degc=hottest[1],
        tyre_degc=hottest[2],
        policy=case[2],
    )


def hottest_of(told: Digest, span: range) -> tuple[float | None, float | None, float | None]:
    """Hottest reading of the pairs of a case at brakes, hubs and tyres [°C]."""

    def hottest(spots: tuple[Spot, ...]) -> float | None:
        values = (told.hottest_degc[pair] for pair in span if told.spot[pair] in spots)
        return max((value for value in values if value is not None), default=None)

    return hottest(BRAKE_SPOTS), hottest((HUB_SPOT,)), hottest(TYRE_SPOTS)


def _watched_alike(pattern: PatternFinding, corners: Sequence[CornerFinding]) -> bool:
    """A kind of fault that brakes share, with every brake it names watched."""
    watched = {corner.corner for corner in corners if corner.verdict == "watch"}
    return pattern.kind in {"axle_hot", "circuit_hot", "all_hot"} and watched.issuperset(pattern.corners)


def _unsettled(axles: Sequence[AxleFinding]) -> PatternKind:
    return "none" if axles and all(axle.verdict == "even" for axle in axles) else "cannot_tell"


def _open(axle: AxleFinding, corners: Sequence[CornerFinding]) -> bool:
    """Called unlike, with neither side named and not both called alike."""
    if axle.suspect is not None:
        return False
    return any(corner.axle == axle.axle and corner.verdict == "watch" for corner in corners)


def _repeat(axles: Sequence[AxleFinding]) -> str | None:
    """What would settle the first axle that is not settled, in its own words."""
    for wanted in ("cannot_tell", "watch"):
        for axle in axles:
            if axle.verdict == wanted and axle.why:
                return sentence("{}.", capital(axle.why[0]))
    return None


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
