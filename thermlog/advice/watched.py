"""A drag that is watched and not established: where a search for its cause would begin."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.advice.board import TURNS
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.situations import parking_first, situation_of
from thermlog.advice.twice import latest
from thermlog.words.kinds import ALL_HOT, AXLE_HOT, CORNER_HOT
from thermlog.words.vehicle import split_corner


def watched(evidence: LogEvidence) -> LogEvidence | None:
    """The evidence as if the drag that it only watches were established; None where it watches none.

    Taken are one brake, both of one axle, and a whole vehicle that is hotter than usual.
    """
    drag, heat = evidence.answers.drag, evidence.answers.heat
    axles = {split_corner(corner)[0] for corner in drag.corners}
    if evidence.fault.is_fault:
        return None
    if heat.answer == "watch" and not drag.suspects:
        return replace(evidence, kind=ALL_HOT.name, corners=(), open_side=False)
    if drag.answer != "watch" or len(axles) != 1:
        return None
    kind = CORNER_HOT if len(drag.corners) == 1 else AXLE_HOT
    return replace(evidence, kind=kind.name, corners=drag.corners, open_side=False)


def parked_axle(evidence: LogEvidence) -> LogEvidence | None:
    """`watched`, where both brakes of an axle are so that the parking brake of a light vehicle can hold."""
    taken = watched(evidence)
    light = evidence.vehicle.weight_class == "light"
    held = light and taken is not None and taken.fault == AXLE_HOT and parking_first(situation_of(taken))
    return taken if held else None


def drags_by_hand(found: tuple[tuple[str, str], ...]) -> bool | None:
    """Whether the wheel dragged when it was turned by hand, or its parking brake was on; None: not tried."""
    told, role = latest(found), evidence_table().role
    answers = [told[check] for check in role["turn"] if check in told]
    held = told.get(evidence_table().named("parking")) == "not_fully_released"
    if held or not TURNS.issuperset(answers):
        return True
    return False if answers else None
