"""What one log holds against one brake or hub, and whether it could have told."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.words.findings import Answer, CornerFinding, Diagnosis
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.vehicle import BRAKE_SPOTS, HUB_SPOT, split_corner

# Said of a corner that was read well: too little for a verdict, enough to set it against its mate.
_HIDDEN: frozenset[ReasonCode] = frozenset(
    {"limit_above_line", "single_reading", "below_air", "gap_near", "gap_either_way", "axles_unlike"}
)
Kind: TypeAlias = Literal["drag", "idle", "hub"]


class Trouble(Struct, frozen=True, kw_only=True):
    """One thing said of one corner.

    Attributes
    ----------
    corner : str
    kind : {"drag", "idle", "hub"}
    called : bool
        False for what is only to be watched.
    whole : bool
        True where nothing but the heat of the whole vehicle speaks of it: no one brake is told by that.
    reasons : tuple of Reason
        What the log itself says of it, the strongest first.
    """

    corner: str
    kind: Kind
    called: bool
    whole: bool = False
    reasons: tuple[Reason, ...] = ()

    @property
    def place(self) -> tuple[str, Kind]:
        """Where and what."""
        return self.corner, self.kind

    @property
    def open_side(self) -> bool:
        """True for a gap of which it is open which side is the odd one."""
        return not self.called and any(reason.code == "gap_open" for reason in self.reasons)


def troubles_of(found: Diagnosis, number: int) -> tuple[Trouble, ...]:
    """Everything called or watched at one axle, brakes first, one entry a corner and kind.

    Parameters
    ----------
    found : Diagnosis
    number : int
        Axle.

    Returns
    -------
    tuple of Trouble
        A whole vehicle that is too hot counts at each of its brakes as one that may drag.
    """
    answers = found.answers
    said = [
        *_said("drag", answers.drag), *_said("idle", answers.idle), *_said("drag", answers.heat, whole=True),
        *(Trouble(corner=c.corner, kind="hub", called=True, reasons=c.reasons) for c in _hot_hubs(found)),
    ]  # fmt: skip
    places: dict[tuple[str, Kind], Trouble] = {}
    for one in sorted(said, key=lambda one: not one.called):
        if split_corner(one.corner)[0] == number:
            places.setdefault(one.place, one)
    return tuple(sorted(places.values(), key=lambda one: (one.kind == "hub", not one.called)))


def _said(kind: Kind, answer: Answer, *, whole: bool = False) -> list[Trouble]:
    if not answer.suspects:
        return []
    called = answer.answer == "yes"
    return [
        Trouble(corner=corner, kind=kind, called=called, whole=whole, reasons=_of(corner, answer))
        for corner in answer.corners
    ]


def _of(corner: str, answer: Answer) -> tuple[Reason, ...]:
    return tuple(reason for reason in answer.reasons if corner in reason.corners)


def _hot_hubs(found: Diagnosis) -> list[CornerFinding]:
    """Hubs that stand out; of what is past its line by itself `stops` tells what became."""
    hot = [c for c in found.corners if c.spot == HUB_SPOT and c.verdict == "hot"]
    return [c for c in hot if all(reason.code != "past_line" for reason in c.reasons)]


def seen_well(found: Diagnosis, corner: str, kind: Kind) -> bool:
    """True if the corner was read, and read well enough to be compared.

    Parameters
    ----------
    found : Diagnosis
    corner : str
    kind : {"drag", "idle", "hub"}
    """
    spots = (HUB_SPOT,) if kind == "hub" else BRAKE_SPOTS
    here = [c for c in found.corners if c.corner == corner and c.spot in spots]
    return any(c.at_common_degc is not None and not _unsighted(c) for c in here)


def _unsighted(found: CornerFinding) -> bool:
    """True where the readings themselves are no good; what could hide in good ones is another matter."""
    codes = {reason.code for reason in found.reasons}
    return found.verdict == "cannot_tell" and not (codes and codes <= _HIDDEN)


def told_at(found: Diagnosis, corner: str, kind: Kind, policy: Policy) -> bool:
    """True if this log could tell one kind of fault at one corner.

    Parameters
    ----------
    found : Diagnosis
    corner : str
    kind : {"drag", "idle", "hub"}
    policy : Policy
        Below its least rise no brake that does nothing can be told.
    """
    if kind == "hub":
        return seen_well(found, corner, kind)
    if kind == "idle" and warmest_k(found) < policy.minimum_rise_k:
        return False
    idle = found.answers.idle
    if kind == "drag" and corner in idle.suspected:
        return False  # a dead brake has no heat to drag with
    answer = found.answers.drag if kind == "drag" else idle
    if answer.answer == "cannot_tell":
        return bool(answer.corners) and corner not in answer.corners and seen_well(found, corner, kind)
    return seen_well(found, corner, kind)


def warmest_k(found: Diagnosis) -> float:
    """Rise of the warmest brake [K]; 0 where none is known."""
    return max((c.rise_k.value for c in found.corners if c.rise_k and c.spot in BRAKE_SPOTS), default=0.0)
