"""One judged drive as JSON tells it: ``thermlog check``, and every log of a fleet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from msgspec import UNSET, Struct, UnsetType

from thermlog.reports.contract.answers import AnswersObject, SuspectObject, answers_objects
from thermlog.reports.contract.corners import AxleObject, CornerObject, axle_objects, corner_objects
from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.jsonnumbers import at_six_digits, six_digits_of, taken_over
from thermlog.reports.wording import reason_texts, six_digits
from thermlog.words.bounds import CornerName, Count, NotNegative, Sha256, Share
from thermlog.words.budgets import Budget
from thermlog.words.estimates import Interval
from thermlog.words.findings import (
    Decision,
    Diagnosis,
    NextCheck,
    PatternFinding,
    PatternKind,
    PolicyMark,
    Severity,
    Urgent,
)
from thermlog.words.noted import Unweighed
from thermlog.words.parts import PartAbove
from thermlog.words.tables import AmbientSource, Blind, Drive, LogRecord, Seen, SetAside, Taken


class LogObject(Struct, frozen=True, kw_only=True):
    """Input file; rows_read = rows_used + length of set_aside.

    Attributes
    ----------
    file : str
        Path as given.
    sha256 : str
        Hash of its bytes.
    rows_read : int
        Readings found; in a file with a column a wheel every filled temperature cell counts as one.
    rows_used : int
        Readings that are judged.
    set_aside : tuple of SetAside
        Readings that are not, each with its reason.
    notes : tuple of str
        What was understood in reading and judging that a person should know.
    """

    file: str
    sha256: Sha256
    rows_read: Count
    rows_used: Count
    set_aside: tuple[SetAside, ...]
    notes: tuple[str, ...]

    @classmethod
    def of(cls, record: LogRecord, notes: tuple[str, ...] = ()) -> LogObject:
        """One file, with notes from judging."""
        return taken_over(cls, record, notes=(*record.notes, *notes))


class PatternObject(Struct, frozen=True, kw_only=True):
    """The explanation of all corners together that has most support.

    Attributes
    ----------
    kind : PatternKind
        The fault the answers speak of; "none" only where no brake drags and none is said not to work.
    corners : tuple of str
        Corners it names.
    p : float or None
        Its probability.
    why : tuple of str
        Reasons in words; may change.
    """

    kind: PatternKind
    corners: tuple[CornerName, ...]
    p: Share | None
    why: tuple[str, ...]

    @classmethod
    def of(cls, pattern: PatternFinding, p: float | None) -> PatternObject:
        """The pattern with its probability as shown and its reasons in words."""
        return cls(
            kind=pattern.kind,
            corners=pattern.corners,
            p=p,
            why=reason_texts(pattern.reasons),
        )


class TakenObject(Struct, frozen=True, kw_only=True):
    """When, by whom and with what the log was taken; null where it does not say.

    Attributes
    ----------
    started_at : str or None
        Moment of the first reading, ISO 8601: a date and time, a date alone, or a time of day alone, which
        begins with "T".
    by : str or None
        Who read, as written.
    gun : str or None
        What it was read with, as written.
    odometer_km : float or None
        Distance driven [km].
    repair : str or None
        What was found and mended before this drive, as written.
    nothing_seen : bool
        True if the log says that somebody looked for smoke, glow, smell and the like, and saw none.
    """

    started_at: str | None
    by: str | None
    gun: str | None
    odometer_km: NotNegative | None
    repair: str | None
    nothing_seen: bool

    @classmethod
    def of(cls, taken: Taken | None) -> TakenObject:
        """As far as the log says it."""
        said = taken or Taken()
        return taken_over(cls, said, started_at=said.start, odometer_km=six_digits(said.odometer_km))


class SeverityObject(Struct, frozen=True, kw_only=True):
    """Drag and heat behind a hot brake: an order of magnitude, not a measurement.

    Attributes
    ----------
    corner : str
        Axle number from the front and the vehicle's own side.
    torque_nm : float
        Residual torque [N·m].
    heat_w : float
        Heat it makes at the speed assumed [W].
    torque_interval_nm, heat_interval_w : interval
        Within which most such brakes lie [low, high].
    lower_bound : bool
        True if the brake is hotter than what was read: all numbers are then the least.
    words : str
        The same for people, with what was assumed.
    """

    corner: CornerName
    torque_nm: NotNegative
    torque_interval_nm: Interval
    heat_w: NotNegative
    heat_interval_w: Interval
    lower_bound: bool
    words: str

    @classmethod
    def of(cls, severity: Severity) -> SeverityObject:
        """One brake."""
        return cls(
            corner=severity.corner,
            torque_nm=severity.torque_nm.value,
            torque_interval_nm=severity.torque_nm.ends,
            heat_w=severity.heat_w.value,
            heat_interval_w=severity.heat_w.ends,
            lower_bound=severity.lower_bound,
            words=severity.words,
        )


class CheckObject(DocumentObject, frozen=True, kw_only=True):
    """One drive of one vehicle.

    Attributes
    ----------
    log : LogObject
        The input file and what became of its rows.
    vehicle : str or None
        As stated in the log or by option.
    drive : {"normal", "coast", "verification"} or None
        Kind of drive, as stated in the log or by option.
    ambient_degc : float or None
        Air temperature [°C]; null if nobody stated one.
    ambient_source : {"option", "log", "assumed"} or None
        Who stated it.
    policy : PolicyMark
        The policy that judged.
    common_time_s : float or None
        The moment all corners are brought to, on the log's own elapsed clock [s].
    corners : tuple of CornerObject
        Every corner and spot that was read.
    axles : tuple of AxleObject
        Left against right, axle by axle.
    pattern : PatternObject
        The explanation of all corners together that has most support.
    answers : AnswersObject
        Does a brake drag, does one not work, is the whole vehicle hot?
    urgent : tuple of Urgent
        For what the vehicle stops, the most dangerous first.
    parts_above : tuple of PartAbove
        Rims, tyres, calipers, hubs and further spots of a brake that stand far above their mates, above the
        same of other axles or above their own brakes, though under the line that stops the vehicle: they are
        watched.
    taken : TakenObject
        When, by whom and with what the log was taken.
    blind : tuple of Blind
        Readings taken, or tried, that tell no temperature.
    seen : tuple of Seen
        What was stated beside the readings.
    unweighed : tuple of Unweighed
        Remarks in free words of which thermlog understands nothing: a person has to weigh them.
    p_fault : float or None
        Probability that anything at all is wrong with a brake that was read.
    severity : tuple of SeverityObject
        Drag and heat behind each brake called hot: an order of magnitude, not a measurement.
    suspects : tuple of SuspectObject
        Causes, the likeliest first.
    next_check : NextCheck or None
        What helps most now; null where nothing asks for a look.
    cautions : tuple of str
        What to beware of, the most pressing first; may change.
    budgets : tuple of Budget
        With --explain: where the uncertainty of each difference comes from.
    decisions : tuple of Decision
        With --explain: what would settle an axle that is not settled.
    """

    log: LogObject
    vehicle: str | None
    drive: Drive | None
    ambient_degc: float | None
    ambient_source: AmbientSource | None
    policy: PolicyMark
    common_time_s: float | None
    corners: tuple[CornerObject, ...]
    axles: tuple[AxleObject, ...]
    pattern: PatternObject
    answers: AnswersObject
    urgent: tuple[Urgent, ...]
    parts_above: tuple[PartAbove, ...]
    taken: TakenObject
    blind: tuple[Blind, ...]
    seen: tuple[Seen, ...]
    unweighed: tuple[Unweighed, ...]
    p_fault: Share | None
    severity: tuple[SeverityObject, ...]
    suspects: tuple[SuspectObject, ...]
    next_check: NextCheck | None
    cautions: tuple[str, ...]
    budgets: tuple[Budget, ...] | UnsetType = UNSET
    decisions: tuple[Decision, ...] | UnsetType = UNSET

    @classmethod
    def of(cls, diagnosis: Diagnosis) -> CheckObject:
        """One diagnosis; budgets and decisions where they were asked for."""
        return next(check_objects([diagnosis]))


def check_objects(diagnoses: Sequence[Diagnosis]) -> Iterator[CheckObject]:
    """Many diagnoses, one after the other; the numbers of all are rounded at once."""
    corners = corner_objects(diagnoses)
    axles = axle_objects([one.axles for one in diagnoses])
    answers = answers_objects([one.answers for one in diagnoses])
    figures = six_digits_of(
        [
            [one.ambient_degc for one in diagnoses],
            [one.common_time_s for one in diagnoses],
            [one.pattern.p for one in diagnoses],
            [one.p_fault for one in diagnoses],
        ]
    )
    return map(_check_object, diagnoses, corners, axles, answers, zip(*figures, strict=True))


def _check_object(
    diagnosis: Diagnosis,
    corners: tuple[CornerObject, ...],
    axles: tuple[AxleObject, ...],
    answers: AnswersObject,
    figures: tuple[float | None, ...],
) -> CheckObject:
    """One diagnosis; `figures` are its air, common time, probability of the pattern and of any fault."""
    explained = bool(diagnosis.budgets)
    ambient_degc, common_time_s, p_pattern, p_fault = figures
    return CheckObject(
        log=LogObject.of(diagnosis.log, diagnosis.notes),
        vehicle=diagnosis.vehicle,
        drive=diagnosis.drive,
        ambient_degc=ambient_degc,
        ambient_source=diagnosis.ambient_source,
        policy=diagnosis.policy,
        common_time_s=common_time_s,
        corners=corners,
        axles=axles,
        pattern=PatternObject.of(diagnosis.pattern, p_pattern),
        answers=answers,
        urgent=at_six_digits(diagnosis.urgent),
        parts_above=at_six_digits(diagnosis.parts_above),
        taken=TakenObject.of(diagnosis.taken),
        blind=at_six_digits(diagnosis.blind),
        seen=diagnosis.seen,
        unweighed=diagnosis.unweighed,
        p_fault=p_fault,
        severity=at_six_digits(tuple(map(SeverityObject.of, diagnosis.severity))),
        suspects=tuple(map(SuspectObject.of, diagnosis.suspects)),
        next_check=_next_check(diagnosis.next_check),
        cautions=diagnosis.cautions,
        budgets=at_six_digits(diagnosis.budgets) if explained else UNSET,
        decisions=at_six_digits(diagnosis.decisions) if explained else UNSET,
    )


@lru_cache(maxsize=256)
def _next_check(check: NextCheck | None) -> NextCheck | None:
    """At six digits; sound vehicles share theirs."""
    return at_six_digits(check)
