"""What one log has to say to the advice room: the answers, where, on which vehicle, and how hot."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from thermlog.words.findings import Answers, PatternKind, Urgent
from thermlog.words.kinds import FaultKind, fault_kind
from thermlog.words.noted import Unweighed
from thermlog.words.parts import PartAbove
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason
from thermlog.words.seenwords import SeenCode
from thermlog.words.tables import Drive
from thermlog.words.vehicle import RAISABLE, OwnWords, Vehicle, split_corner

_QUOTED = 60  # letters of a remark


class LogEvidence(Struct, frozen=True, kw_only=True):
    """Everything that suspects, the next check and the cautions follow from.

    Attributes
    ----------
    kind : PatternKind
        The fault that is established. "none" and "cannot_tell": no cause is ranked, whatever the answers
        still leave open.
    corners : tuple of str
        The corners of that fault. With `open_side`: the one the kind names, or both.
    answers : Answers
        Drag, idle and heat. The first of `decides` of an open answer becomes the next thing to do, unless
        something forbids it.
    urgent : tuple of Urgent
        From `urgency.urgent_lines`; while any stands, nobody works at a wheel and nobody drives.
    seen : tuple of SeenCode
        What was seen or noticed, whether it stops the vehicle or not.
    vehicle : Vehicle
    drive : Drive or None
        The drive that was read.
    policy : Policy
    brake_degc : float or None
        Hottest reading at any brake spot, indicated [°C]; None if no brake was read.
    part_degc : float or None
        Hottest reading at any spot, brake or not [°C]; None if nobody gives it.
    degc : tuple of (str, float)
        Corner -> its hottest brake spot at the common time [°C], as far as that is known.
    open_side : bool
        True if two sides differ and which is the odd one is open.
    face_difference_k : float or None
        Inner minus outer friction face at the first corner [K]; None if not both were read.
    hub_read : bool
        True if any hub was read: then "no hub stands out" is an answer, too.
    hub_over_brake : bool
        True if the hub of the first corner is hotter than its brake.
    single_reading : bool
        True if one reading alone stands behind the first corner.
    parts_above : tuple of PartAbove
        Parts beside the brakes that are watched.
    to_weigh : tuple of Unweighed
        Remarks about a wheel or a brake that no rule understands.
    since_min : float
        Minutes since it was read, as far as a clock tells; 0 where none does.
    called : tuple of OwnWords
        What the log calls its corners, where people would be told another name.
    """

    kind: PatternKind
    corners: tuple[str, ...]
    answers: Answers
    urgent: tuple[Urgent, ...] = ()
    seen: tuple[SeenCode, ...] = ()
    vehicle: Vehicle
    drive: Drive | None
    policy: Policy
    brake_degc: float | None
    part_degc: float | None = None
    degc: tuple[tuple[str, float], ...] = ()
    open_side: bool = False
    face_difference_k: float | None = None
    hub_read: bool = False
    hub_over_brake: bool = False
    single_reading: bool = False
    parts_above: tuple[PartAbove, ...] = ()
    to_weigh: tuple[Unweighed, ...] = ()
    since_min: float = 0.0
    called: tuple[OwnWords, ...] = ()

    @property
    def fault(self) -> FaultKind:
        """The kind with all that is known of it."""
        return fault_kind(self.kind)

    @property
    def axles(self) -> tuple[int, ...]:
        """Axle numbers concerned; all of them if no corner is named."""
        concerned = sorted({split_corner(corner)[0] for corner in self.corners})
        return tuple(concerned) or tuple(range(1, len(self.vehicle.axles) + 1))

    @property
    def hub_odd(self) -> bool:
        """True if a hub stands out; an idle brake is cooler than its hub without any fault of the hub."""
        return self.fault.scope == "hub" or (self.hub_over_brake and self.fault.sign == "hot")

    @property
    def spared(self) -> bool:
        """True if the description makes cool brakes normal on an axle concerned."""
        return makes_cool(self.vehicle, self.axles)

    @property
    def kept(self) -> Reason:
        """To keep the log; before that, to weigh what was noted of a wheel or a brake."""
        if not self.to_weigh:
            return Reason(code="keep_record")
        first = self.to_weigh[0]
        corners = () if first.corner is None else (first.corner,)
        more = {"more": len(self.to_weigh) - 1.0} if len(self.to_weigh) > 1 else {}
        told = {"line": float(first.line)} | more
        return Reason(code="weigh_remark", corners=corners, numbers=told, quoted=first.text[:_QUOTED])

    @property
    def strong_gap(self) -> bool:
        """True if a reason of drag or idle tells a gap that passes the policy's strong marks."""
        return has_strong_gap(self.answers, self.policy)


def makes_cool(vehicle: Vehicle, axles: Iterable[int]) -> bool:
    """True if the description makes cool brakes normal on one of these axles."""
    here = {number: vehicle.axle(number) for number in axles}
    lifted = any(axle.lifted or axle.role in RAISABLE for axle in here.values())
    return vehicle.regenerative or lifted or not vehicle.spared.isdisjoint(here)


def has_strong_gap(answers: Answers, policy: Policy) -> bool:
    """True if a reason of drag or idle tells a gap that passes the policy's strong marks.

    Counted are ``difference_k`` with ``ratio``; without a ratio the difference alone.
    """
    return any(_strong(reason, policy) for reason in (*answers.drag.reasons, *answers.idle.reasons))


def _strong(reason: Reason, policy: Policy) -> bool:
    gap_k = reason.numbers.get("difference_k", 0.0)
    ratio = reason.numbers.get("ratio", policy.strong_ratio)
    return gap_k >= policy.strong_difference_k and ratio >= policy.strong_ratio
