"""The look at a part beside the brakes that is watched: it comes before any drive, whatever else is open."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.words.findings import Answer, Answers
from thermlog.words.parts import PartAbove
from thermlog.words.reasons import DRIVES, Reason, ReasonCode
from thermlog.words.vehicle import HUB_SPOT, Spot, mate_of

_LOOKED_AT: dict[Spot, ReasonCode] = {
    "hub": "look_at_hub", "rim": "look_at_rim", "tyre_inner": "look_at_tyre", "tyre_outer": "look_at_tyre",
    "caliper": "look_at_caliper",
}  # fmt: skip
_LOOK_AT_FACE: ReasonCode = "look_at_face"
PART_LOOKS: frozenset[ReasonCode] = frozenset({*_LOOKED_AT.values(), _LOOK_AT_FACE})


def look_at_part(parts: tuple[PartAbove, ...]) -> Reason:
    """To look at the part that is watched: of several the one furthest above its mark.

    Parameters
    ----------
    parts : tuple of PartAbove
        One at least.
    """
    part = max(parts, key=lambda one: one.difference_k / max(one.mark_k, 1.0))
    corners = (part.corner, mate_of(part.corner))
    return Reason(code=_LOOKED_AT.get(part.spot, _LOOK_AT_FACE), corners=corners)


def watched_hubs(parts: tuple[PartAbove, ...]) -> tuple[str, ...]:
    """Corners of the hubs among them: their bearings are checked before the vehicle moves."""
    return tuple(dict.fromkeys(one.corner for one in parts if one.spot == HUB_SPOT))


def looked_at_first(answers: Answers, parts: tuple[PartAbove, ...]) -> Answers:
    """The answers; before the first drive that would decide one stands the look at what is watched.

    Parameters
    ----------
    answers : Answers
    parts : tuple of PartAbove
        Watched beside the brakes; none changes nothing.
    """
    if not parts:
        return answers
    look = look_at_part(parts)
    drag, idle, heat = (replace(one, decides=_before_a_drive(one, look)) for one in answers.each)
    return Answers(drag=drag, idle=idle, heat=heat)


def _before_a_drive(answer: Answer, look: Reason) -> tuple[Reason, ...]:
    steps = answer.decides
    first = next((place for place, one in enumerate(steps) if one.code in DRIVES), None)
    return steps if first is None else (*steps[:first], look, *steps[first:])
