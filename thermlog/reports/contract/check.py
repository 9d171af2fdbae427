"""One judged drive as JSON tells it: ``thermlog check``, and every log of a fleet."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import UNSET, Struct, UnsetType

from thermlog.reports.contract.answers import AnswersObject
from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.figures import NOT_KNOWN, at_six_digits, both, parts_of, six_digits_of
from thermlog.reports.wording import reason_texts, six_digits
from thermlog.words.bounds import AxleNumber, CornerName, Count, NotNegative, Sha256, Share
from thermlog.words.budgets import Budget
from thermlog.words.estimates import Interval
from thermlog.words.findings import (
    AxleFinding,
    CornerFinding,
    Decision,
    Diagnosis,
    NextCheck,
    PatternFinding,
    PatternKind,
    PolicyMark,
    Severity,
    Suspect,
    Urgent,
    Verdict,
)
from thermlog.words.tables import AmbientSource, Blind, Drive, LogRecord, Seen, SetAside, Taken
from thermlog.words.vehicle import Side, Spot


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
        return cls(
            file=record.file,
            sha256=record.sha256,
            rows_read=record.rows_read,
            rows_used=record.rows_used,
            set_aside=record.set_aside,
            notes=(*record.notes, *notes),
        )


class CornerObject(Struct, frozen=True, kw_only=True):
    """One corner at one spot, brought to the common time.

    Attributes
    ----------
    corner : str
        Axle number from the front and the vehicle's own side.
    axle : int
        The same axle, from the front.
    side : {"L", "R"}
        The same side.
    spot : str
        What was aimed at; "brake" where the log does not say where on the brake.
    readings : int
        Readings of this corner and spot.
    readings_used : int
        Those of them that vote in the fit.
    start_degc : float or None
        Fitted, at the first reading of the walk [°C].
    tau_s : float or None
        Time constant [s].
    tau_interval_s : interval or None
        Its 95 % interval [low, high]; null if not known.
    at_common_degc : float or None
        Fitted, at common_time_s [°C].
    interval_degc : interval or None
        Its 95 % interval [low, high]; null if not known.
    rise_k : float or None
        at_common_degc above ambient [K]; null where the ambient is not known.
    p_hot, p_cold : float or None
        Probability that this corner is the odd one, hot or cold.
    verdict : Verdict
        What is said of this corner; "cannot_tell" is a result, too.
    why : tuple of str
        Reasons of the verdict in words; may change.
    expected_degc : interval or None
        Where 95 % of healthy brakes here would read at common_time_s, given the other brakes [°C]; null
        without an air temperature, without another brake, and for what is no brake.
    """

    corner: CornerName
    axle: AxleNumber
    side: Side
    spot: Spot
    readings: Count
    readings_used: Count
    start_degc: float | None
    tau_s: float | None
    tau_interval_s: Interval | None
    at_common_degc: float | None
    interval_degc: Interval | None
    rise_k: float | None
    p_hot: Share | None
    p_cold: Share | None
    verdict: Verdict
    why: tuple[str, ...]
    expected_degc: Interval | None = None

    @classmethod
    def of(cls, corner: CornerFinding, numbers: Sequence[float | None]) -> CornerObject:
        """One corner and spot with its numbers as shown: those of `_of_corner`."""
        start_degc, rise_k, p_hot, p_cold, tau_s, at_common_degc = numbers[:6]
        return cls(
            corner=corner.corner,
            axle=corner.axle,
            side=corner.side,
            spot=corner.spot,
            readings=corner.readings,
            readings_used=corner.readings_used,
            start_degc=start_degc,
            tau_s=tau_s,
            tau_interval_s=both(*numbers[6:8]),
            at_common_degc=at_common_degc,
            interval_degc=both(*numbers[8:10]),
            rise_k=rise_k,
            p_hot=p_hot,
            p_cold=p_cold,
            verdict=corner.verdict,
            why=reason_texts(corner.reasons),
            expected_degc=both(*numbers[10:]),
        )


def _of_corner(corner: CornerFinding) -> tuple[float | None, ...]:
    (tau_s, *tau), (at_degc, *at) = parts_of(corner.tau_s), parts_of(corner.at_common_degc)
    single = (corner.start_degc, parts_of(corner.rise_k)[0], corner.p_hot, corner.p_cold, tau_s, at_degc)
    return (*single, *tau, *at, *(corner.expected_degc or NOT_KNOWN))


class AxleObject(Struct, frozen=True, kw_only=True):
    """Left against right on one axle at the common time.

    Attributes
    ----------
    axle : int
        From the front.
    difference_k : float or None
        Left minus right, indicated [K].
    difference_interval_k : interval or None
        Its 95 % interval [low, high]; null if not known.
    rise_ratio : float or None
        Hotter over cooler rise; null where the cooler rise is not clearly above zero.
    rise_ratio_interval : interval or None
        Its 95 % interval [low, high]; null if not known.
    surface_difference_k : float or None
        Left minus right of the metal [K]; as indicated where an emissivity was stated and the readings
        corrected.
    surface_difference_interval_k : interval or None
        Its 95 % interval [low, high]; much wider than the indicated one where emissivities are not known.
    surface_known : bool
        True if both sides were corrected with a stated emissivity.
    verdict : Verdict
        What is said of this axle; "cannot_tell" is a result, too.
    suspect : str or None
        The odd corner; null if there is none or if it is open which side is the odd one.
    why : tuple of str
        Reasons of the verdict in words; may change.
    watch_gap_k, suspect_gap_k : float or None
        Hotter minus cooler from which both watch marks, or both suspect marks, are passed [K].
    """

    axle: AxleNumber
    difference_k: float | None
    difference_interval_k: Interval | None
    rise_ratio: float | None
    rise_ratio_interval: Interval | None
    surface_difference_k: float | None
    surface_difference_interval_k: Interval | None
    surface_known: bool
    verdict: Verdict
    suspect: CornerName | None
    why: tuple[str, ...]
    watch_gap_k: float | None = None
    suspect_gap_k: float | None = None

    @classmethod
    def of(cls, axle: AxleFinding, numbers: Sequence[float | None]) -> AxleObject:
        """One axle with its numbers as shown: those of `_of_axle`."""
        difference_k, rise_ratio, surface_k, watch_k, suspect_k = numbers[:5]
        return cls(
            axle=axle.axle,
            difference_k=difference_k,
            difference_interval_k=both(*numbers[5:7]),
            rise_ratio=rise_ratio,
            rise_ratio_interval=both(*numbers[7:9]),
            surface_difference_k=surface_k,
            surface_difference_interval_k=both(*numbers[9:]),
            surface_known=axle.surface_known,
            verdict=axle.verdict,
            suspect=axle.suspect,
            why=reason_texts(axle.reasons),
            watch_gap_k=watch_k,
            suspect_gap_k=suspect_k,
        )


def _of_axle(axle: AxleFinding) -> tuple[float | None, ...]:
    difference_k, *difference = parts_of(axle.difference_k)
    rise_ratio, *ratio = parts_of(axle.rise_ratio)
    surface_k, *surface = parts_of(axle.surface_difference_k)
    single = (difference_k, rise_ratio, surface_k, *(axle.marks_k or NOT_KNOWN))
    return (*single, *difference, *ratio, *surface)


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
    def of(cls, pattern: PatternFinding) -> PatternObject:
        """The pattern with its reasons in words."""
        return cls(
            kind=pattern.kind,
            corners=pattern.corners,
            p=six_digits(pattern.p),
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
    """

    started_at: str | None
    by: str | None
    gun: str | None
    odometer_km: NotNegative | None

    @classmethod
    def of(cls, taken: Taken | None) -> TakenObject:
        """As far as the log says it."""
        said = taken or Taken()
        return cls(started_at=said.start, by=said.by, gun=said.gun, odometer_km=six_digits(said.odometer_km))


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
    taken : TakenObject
        When, by whom and with what the log was taken.
    blind : tuple of Blind
        Readings taken, or tried, that tell no temperature.
    seen : tuple of Seen
        What was stated beside the readings.
    p_fault : float or None
        Probability that anything at all is wrong with a brake that was read.
    severity : tuple of Severity
        Drag and heat behind each brake called hot: an order of magnitude, not a measurement.
    suspects : tuple of Suspect
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
    taken: TakenObject
    blind: tuple[Blind, ...]
    seen: tuple[Seen, ...]
    p_fault: Share | None
    severity: tuple[Severity, ...]
    suspects: tuple[Suspect, ...]
    next_check: NextCheck | None
    cautions: tuple[str, ...]
    budgets: tuple[Budget, ...] | UnsetType = UNSET
    decisions: tuple[Decision, ...] | UnsetType = UNSET

    @classmethod
    def of(cls, diagnosis: Diagnosis) -> CheckObject:
        """One diagnosis; budgets and decisions where they were asked for."""
        explained = bool(diagnosis.budgets)
        return cls(
            log=LogObject.of(diagnosis.log, diagnosis.notes),
            vehicle=diagnosis.vehicle,
            drive=diagnosis.drive,
            ambient_degc=six_digits(diagnosis.ambient_degc),
            ambient_source=diagnosis.ambient_source,
            policy=diagnosis.policy,
            common_time_s=six_digits(diagnosis.common_time_s),
            corners=tuple(
                map(CornerObject.of, diagnosis.corners, six_digits_of(map(_of_corner, diagnosis.corners)))
            ),
            axles=tuple(map(AxleObject.of, diagnosis.axles, six_digits_of(map(_of_axle, diagnosis.axles)))),
            pattern=PatternObject.of(diagnosis.pattern),
            answers=AnswersObject.of(diagnosis.answers),
            urgent=at_six_digits(diagnosis.urgent),
            taken=TakenObject.of(diagnosis.taken),
            blind=at_six_digits(diagnosis.blind),
            seen=diagnosis.seen,
            p_fault=six_digits(diagnosis.p_fault),
            severity=at_six_digits(diagnosis.severity),
            suspects=diagnosis.suspects,
            next_check=at_six_digits(diagnosis.next_check),
            cautions=diagnosis.cautions,
            budgets=at_six_digits(diagnosis.budgets) if explained else UNSET,
            decisions=at_six_digits(diagnosis.decisions) if explained else UNSET,
        )
