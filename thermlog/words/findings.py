"""What a diagnosis says: frozen records, one object a vehicle and drive, the shape of the output contract."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from thermlog.words.bounds import AxleNumber, CornerName, NotNegative, Sha256, Share
from thermlog.words.budgets import Budget
from thermlog.words.estimates import Estimate, Interval
from thermlog.words.fitted import Curve
from thermlog.words.kinds import FAULT_KINDS
from thermlog.words.noted import Unweighed
from thermlog.words.parts import PartAbove
from thermlog.words.reasons import Reason
from thermlog.words.sharpening import Sharper
from thermlog.words.tables import AmbientSource, Blind, Drive, LogRecord, Seen, Taken
from thermlog.words.vehicle import OwnWords, Side, Spot, Vehicle

Verdict: TypeAlias = Literal["even", "watch", "hot", "cold", "cannot_tell"]
STANDING_OUT: tuple[Verdict, ...] = ("hot", "cold", "watch")
if TYPE_CHECKING:
    PatternKind: TypeAlias = str
else:
    PatternKind = Literal[tuple(kind.name for kind in FAULT_KINDS)]  # what the JSON Schema lists
CauseFit: TypeAlias = Literal["likely", "possible", "unlikely"]
AnswerWord: TypeAlias = Literal["no", "watch", "yes", "cannot_tell"]
UrgentCode: TypeAlias = Literal[
    "brake_hot", "hub_hot", "hub_over_mate", "hub_over_brake", "tyre_hot", "rim_hot", "caliper_hot",
    "over_range", "smoke", "glow", "flame", "smell", "sparks", "steam", "burst", "melted", "grease", "leak",
    "locked", "loose", "pedal", "air_loss", "grind", "brake_lamp",
]  # fmt: skip


class Detectable(Struct, frozen=True):
    """The least fault that a walk like this one would show in four cases of five at one corner.

    Attributes
    ----------
    corner : str
        Axle number from the front and the vehicle's own side.
    rise_k : float or None
        Least extra heat at the common time, indicated [K]; None where the largest looked for would be missed.
    torque_nm : float or None
        Residual torque behind it, right within a factor of about three [N·m].
    lost_share : float or None
        Part of the brake's work that must be missing, 0 to 1; None where even a dead brake would be missed.
    """

    corner: CornerName
    rise_k: float | None = None
    torque_nm: NotNegative | None = None
    lost_share: Share | None = None


class Answer(Struct, frozen=True, kw_only=True):
    """One question about the vehicle, answered from one log.

    Attributes
    ----------
    answer : {"no", "watch", "yes", "cannot_tell"}
    p : float or None
        Probability that a brake that was read is so; None where it cannot be worked out.
    corners, beside : tuple of str
        The brakes a "yes" or a "watch" is about, and those watched beside a "yes"; what stands in the way.
    reasons : tuple of Reason
        Why, the strongest first.
    decides : tuple of Reason
        What to do so that an open answer becomes a "yes" or a "no", the best first.
    detectable : tuple of Detectable
        What this log would have shown, corner by corner; empty where that was not asked for.
    sharper : tuple of Sharper
        Beside a "no", what would lower the largest of these; empty where that was not asked for.
    """

    answer: AnswerWord = "cannot_tell"
    p: float | None = None
    corners: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()
    decides: tuple[Reason, ...] = ()
    detectable: tuple[Detectable, ...] = ()
    sharper: tuple[Sharper, ...] = ()

    @property
    def open(self) -> bool:
        """True unless the answer is a plain "no"."""
        return self.answer != "no"

    @property
    def suspects(self) -> bool:
        """True where brakes are called, or watched."""
        return self.answer in {"yes", "watch"}

    @property
    def suspected(self) -> tuple[str, ...]:
        """The brakes called or watched."""
        return (*self.corners, *self.beside) if self.suspects else ()


class Answers(Struct, frozen=True, kw_only=True):
    """The one summary that text, chart, tables, fleet and exit code are made of.

    Attributes
    ----------
    drag, idle, heat : Answer
        Does a brake drag? Does one not work? Is the whole vehicle hotter than such a drive leaves it?
    """

    drag: Answer
    idle: Answer
    heat: Answer

    @property
    def each(self) -> tuple[Answer, Answer, Answer]:
        """All three, in the order in which they are told."""
        return self.drag, self.idle, self.heat

    @property
    def may_all_drag(self) -> bool:
        """True where every brake is hotter than usual, and no drive without braking has cleared them."""
        return self.heat.suspects and self.drag.answer != "no"


class Urgent(Struct, frozen=True, kw_only=True):
    """Something for which the vehicle stops and people keep clear.

    Attributes
    ----------
    code : UrgentCode
        What it is; the first half are temperatures, the others were seen.
    corner, spot : str or None
        Where; None for what was seen without a place.
    value_degc, limit_degc : float or None
        Hottest reading, and the line it passes [°C]; None for what was seen, and above the gun's range.
    """

    code: UrgentCode
    corner: CornerName | None = None
    spot: Spot | None = None
    value_degc: float | None = None
    limit_degc: float | None = None


class CornerFinding(Struct, frozen=True):
    """One corner at one spot, brought to the common time.

    Attributes
    ----------
    corner, axle, side, spot
        Where the readings were taken.
    readings, readings_used : int
        Readings of this corner and spot; those that vote in the fit.
    start_degc : float or None
        Fitted indicated temperature at the first reading of the whole walk [°C].
    tau_s : Estimate or None
        Time constant [s].
    at_common_degc, rise_k : Estimate or None
        Fitted indicated temperature at the common time [°C]; above a known ambient [K].
    p_hot, p_cold : float or None
        Probability that this corner is the odd one, hot or cold.
    expected_degc : interval or None
        Where 95 % of healthy brakes here would read at the common time, given the others [°C].
    verdict : Verdict
    reasons : tuple of Reason
    """

    corner: CornerName
    axle: AxleNumber
    side: Side
    spot: Spot
    readings: int
    readings_used: int
    start_degc: float | None = None
    tau_s: Estimate | None = None
    at_common_degc: Estimate | None = None
    rise_k: Estimate | None = None
    p_hot: float | None = None
    p_cold: float | None = None
    expected_degc: Interval | None = None
    verdict: Verdict = "cannot_tell"
    reasons: tuple[Reason, ...] = ()


class AxleFinding(Struct, frozen=True):
    """Left against right on one axle at the common time.

    Attributes
    ----------
    difference_k : Estimate or None
        Left minus right, indicated [K].
    rise_ratio : Estimate or None
        Hotter over cooler rise; None where the cooler rise is not clearly above zero.
    surface_difference_k : Estimate or None
        Left minus right of the metal [K]; much wider where emissivities are not known, the same if stated.
    surface_known : bool
        True if both sides were corrected with a stated emissivity.
    marks_k : interval or None
        Hotter minus cooler from which both watch marks, and both suspect marks, are passed [K].
    suspect : str or None
        The odd corner; None if there is none or if it is open which side is the odd one.
    """

    axle: int
    difference_k: Estimate | None = None
    rise_ratio: Estimate | None = None
    surface_difference_k: Estimate | None = None
    surface_known: bool = False
    marks_k: Interval | None = None
    verdict: Verdict = "cannot_tell"
    suspect: str | None = None
    reasons: tuple[Reason, ...] = ()


def widest_axle(axles: Sequence[AxleFinding]) -> AxleFinding | None:
    """Axle with the largest difference among those that could be compared; None without one."""
    gaps = {k: abs(axle.difference_k.value) for k, axle in enumerate(axles) if axle.difference_k is not None}
    return axles[max(gaps, key=lambda k: gaps[k])] if gaps else None


class PatternFinding(Struct, frozen=True, kw_only=True):
    """The explanation of all corners together that has most support."""

    kind: PatternKind
    corners: tuple[str, ...] = ()
    p: float | None = None
    reasons: tuple[Reason, ...] = ()


class Suspect(Struct, frozen=True, kw_only=True):
    """One cause at one place, with what speaks for and against it.

    Attributes
    ----------
    cause, name : str
        For programs, and for people.
    place, corners : str, tuple of str
        Where it would be, in words; by codes too, where it is corners alone.
    standing : {"likely", "possible", "unlikely"}
        How well it fits what was found.
    for_, against : tuple of str
        What speaks for it, or against it; may change.
    """

    cause: str
    name: str
    place: str
    corners: tuple[str, ...] = ()
    standing: CauseFit
    for_: tuple[str, ...] = ()
    against: tuple[str, ...] = ()


class NextCheck(Struct, frozen=True, kw_only=True):
    """The physical check, or the reading, that helps most now.

    Attributes
    ----------
    id, question : str
        For programs; what to find out, or to do.
    minutes : float
        About how long it takes.
    safety : str
        How to do it safely.
    why : str
        What it is good for; may change.
    cools_first : bool
        True where a brake is so hot that nobody drives it, or goes nearer to a wheel than the gun needs.
    """

    id: str
    question: str
    minutes: NotNegative
    safety: str
    why: str
    cools_first: bool = False


class Decision(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One thing to do, and what it would bring if it confirms the present curves.

    Attributes
    ----------
    axle : int
        From the front.
    action : str
        In words, with corner and time.
    verdict : Verdict
        The verdict it would lead to.
    half_width_k : float or None
        Half of the 95 % interval of the difference afterwards [K].
    decides : bool
        True if that verdict is settled.
    """

    axle: AxleNumber
    action: str
    verdict: Verdict
    half_width_k: float | None
    decides: bool


class Severity(Struct, frozen=True, kw_only=True):
    """Drag and heat behind a hot brake: an order of magnitude, not a measurement.

    Attributes
    ----------
    corner : str
        Axle number from the front and the vehicle's own side.
    torque_nm : Estimate
        Residual torque, with the ends within which most such brakes lie [N·m].
    heat_w : Estimate
        Heat it makes at the speed assumed, likewise [W].
    lower_bound : bool
        True if the brake is hotter than what was read: all numbers are then the least.
    words : str
        The same for people, with what was assumed.
    """

    corner: CornerName
    torque_nm: Estimate
    heat_w: Estimate
    lower_bound: bool
    words: str


class PolicyMark(Struct, frozen=True, kw_only=True):
    """Name and hash of the policy that judged.

    Attributes
    ----------
    name, sha256 : str
        Bundled name, or that of the file; hash of its bytes.
    """

    name: str
    sha256: Sha256


class Diagnosis(Struct, frozen=True, kw_only=True):
    """Everything thermlog says about one drive of one vehicle."""

    log: LogRecord
    vehicle: str | None
    drive: Drive | None
    description: Vehicle
    ambient_degc: float | None
    ambient_source: AmbientSource | None
    parked_known: bool
    policy: PolicyMark
    policy_note: str
    common_time_s: float | None
    corners: tuple[CornerFinding, ...]
    axles: tuple[AxleFinding, ...]
    pattern: PatternFinding
    p_fault: float | None
    answers: Answers
    urgent: tuple[Urgent, ...] = ()
    taken: Taken | None = None
    blind: tuple[Blind, ...] = ()
    seen: tuple[Seen, ...] = ()
    unweighed: tuple[Unweighed, ...] = ()
    called: tuple[OwnWords, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    next_check: NextCheck | None = None
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    curves: tuple[Curve, ...] = ()
    budgets: tuple[Budget, ...] = ()
    decisions: tuple[Decision, ...] = ()
    severity: tuple[Severity, ...] = ()
    parts_above: tuple[PartAbove, ...] = ()

    @property
    def axle_count(self) -> int:
        """Highest axle number known."""
        named = (int(corner[:-1]) for answer in self.answers.each for corner in answer.corners)
        return max(len(self.description.axles), 0, *(one.axle for one in self.corners), *named)

    def axle(self, number: int) -> AxleFinding | None:
        """Finding of one axle; None if it was not read."""
        return next((axle for axle in self.axles if axle.axle == number), None)

    def corner(self, corner: str, spot: Spot | None = None) -> CornerFinding | None:
        """Finding of one corner at one spot, without `spot` the first of that corner; None if not read."""
        return next((c for c in self.corners if c.corner == corner and spot in {None, c.spot}), None)

    @property
    def taken_at(self) -> str | None:
        """When it was taken, as its log states it by ISO 8601; None if it says nothing."""
        return self.taken.start if self.taken else None

    @property
    def flagged(self) -> bool:
        """True if a question is not answered with a plain "no", anything is urgent, or a part is watched."""
        return bool(self.urgent or self.parts_above) or any(one.open for one in self.answers.each)
