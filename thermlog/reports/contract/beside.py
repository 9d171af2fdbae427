"""Drives beside each other as JSON tells them: ``thermlog compare``."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta, Struct

from thermlog.followup.outcomes import Outcome
from thermlog.followup.proof import ComparedAxle, ComparedCorner, Comparison
from thermlog.reports.contract.answers import AnswersObject, ReasonObject, SuspectObject, reason_objects
from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.jsonnumbers import at_six_digits, ends_of, taken_over, value_of
from thermlog.reports.wording import six_digits
from thermlog.words.bounds import AxleNumber, CornerName, Sha256
from thermlog.words.estimates import Estimate, Interval
from thermlog.words.findings import Diagnosis, NextCheck, PolicyMark, Urgent, Verdict
from thermlog.words.noted import Unweighed
from thermlog.words.tables import Drive
from thermlog.words.vehicle import Spot


class KelvinObject(Struct, frozen=True, kw_only=True):
    """A difference, or a change of one, with its interval.

    Attributes
    ----------
    value_k : float or None
        The difference [K].
    interval_k : interval or None
        Its 95 % interval [low, high]; null if not known.
    """

    value_k: float | None
    interval_k: Interval | None

    @classmethod
    def of(cls, estimate: Estimate | None) -> KelvinObject | None:
        """None where there is none."""
        if estimate is None:
            return None
        return cls(value_k=value_of(estimate), interval_k=ends_of(estimate))


class RatioObject(Struct, frozen=True, kw_only=True):
    """A ratio of rises with its interval.

    Attributes
    ----------
    value : float or None
        Hotter over cooler rise.
    interval : interval or None
        Its 95 % interval [low, high]; null if not known.
    """

    value: float | None
    interval: Interval | None

    @classmethod
    def of(cls, estimate: Estimate | None) -> RatioObject | None:
        """None where there is none."""
        if estimate is None:
            return None
        return cls(value=value_of(estimate), interval=ends_of(estimate))


class ComparedLogObject(Struct, frozen=True, kw_only=True):
    """One of the drives.

    Attributes
    ----------
    file : str
        Path as given.
    sha256 : str
        Hash of its bytes.
    vehicle : str or None
        As stated in the log or by option.
    drive : {"normal", "coast", "verification"} or None
        Kind of drive, as stated in the log or by option.
    ambient_degc : float or None
        Air temperature [°C]; null if nobody stated one.
    common_time_s : float or None
        The moment all corners of this log are brought to, on its own clock [s].
    parked_known : bool
        False: the log is aligned at its first reading.
    policy : PolicyMark
        The policy that judged.
    answers : AnswersObject
        What this log says by itself.
    urgent : tuple of Urgent
        The most dangerous first.
    unweighed : tuple of Unweighed
        Remarks that no rule understands, for a person to weigh.
    """

    file: str
    sha256: Sha256
    vehicle: str | None
    drive: Drive | None
    ambient_degc: float | None
    common_time_s: float | None
    parked_known: bool
    policy: PolicyMark
    answers: AnswersObject
    urgent: tuple[Urgent, ...]
    unweighed: tuple[Unweighed, ...]

    @classmethod
    def of(cls, one: Diagnosis) -> ComparedLogObject:
        """One drive, without its corners."""
        return taken_over(
            cls,
            one,
            file=one.log.file,
            sha256=one.log.sha256,
            ambient_degc=six_digits(one.ambient_degc),
            common_time_s=six_digits(one.common_time_s),
            answers=AnswersObject.of(one.answers),
            urgent=at_six_digits(one.urgent),
        )


class ComparedCornerObject(Struct, frozen=True, kw_only=True):
    """One corner at one spot in every log.

    Attributes
    ----------
    corner : str
        Axle number from the front and the vehicle's own side.
    spot : str
        What was aimed at.
    rises : tuple of KelvinObject or None
        Above the log's own ambient at its common time; null where there is none.
    changes : tuple of KelvinObject or None
        Minus the first log; null for the first, and where the logs are not of one vehicle.
    verdicts : tuple of Verdict or None
        One a log; null where not read.
    """

    corner: CornerName
    spot: Spot
    rises: tuple[KelvinObject | None, ...]
    changes: tuple[KelvinObject | None, ...]
    verdicts: tuple[Verdict | None, ...]

    @classmethod
    def of(cls, corner: ComparedCorner) -> ComparedCornerObject:
        """One corner and spot."""
        return cls(
            corner=corner.corner,
            spot=corner.spot,
            rises=tuple(map(KelvinObject.of, corner.rises_k)),
            changes=tuple(map(KelvinObject.of, corner.changes_k)),
            verdicts=corner.verdicts,
        )


class ComparedAxleObject(Struct, frozen=True, kw_only=True):
    """Left against right on one axle in every log.

    Attributes
    ----------
    axle : int
        From the front.
    differences : tuple of KelvinObject or None
        Left minus right at the common time; null where there is none.
    changes : tuple of KelvinObject or None
        Minus the first log; null for the first, and where the logs are not of one vehicle.
    rise_ratios : tuple of RatioObject or None
        Hotter over cooler rise; null where there is none.
    verdicts : tuple of Verdict or None
        One a log; null where not read.
    outcome : Outcome
        Last log against the first: what is new on this axle, or what became of what stood out; "repaired":
        even again, as far as these drives show.
    why : str
        The sentences of the reasons in one; may change.
    reasons : tuple of ReasonObject
        Of the outcome, the strongest first.
    """

    axle: AxleNumber
    differences: tuple[KelvinObject | None, ...]
    changes: tuple[KelvinObject | None, ...]
    rise_ratios: tuple[RatioObject | None, ...]
    verdicts: tuple[Verdict | None, ...]
    outcome: Outcome
    why: str
    reasons: tuple[ReasonObject, ...]

    @classmethod
    def of(cls, axle: ComparedAxle) -> ComparedAxleObject:
        """One axle."""
        return cls(
            axle=axle.axle,
            differences=tuple(map(KelvinObject.of, axle.differences_k)),
            changes=tuple(map(KelvinObject.of, axle.changes_k)),
            rise_ratios=tuple(map(RatioObject.of, axle.ratios)),
            verdicts=axle.verdicts,
            outcome=axle.outcome,
            why="; ".join(axle.why),
            reasons=reason_objects(axle.reasons),
        )


class CompareObject(DocumentObject, frozen=True, kw_only=True):
    """Two or more drives beside each other; lists have one entry a log, in the order given.

    Attributes
    ----------
    logs : tuple of ComparedLogObject
        The drives.
    corners : tuple of ComparedCornerObject
        Rises, corner by corner.
    axles : tuple of ComparedAxleObject
        Left against right, axle by axle, and what became of it.
    notes : tuple of str
        What a reader of the comparison must know; may change.
    open_or_flagged : bool
        True where the last log asks for a look, or anything is new, unrepaired or open: exit code 1.
    urgent : tuple of Urgent
        For what the vehicle stops by the last log, the most dangerous first.
    suspects : tuple of SuspectObject
        Causes by the last log, the likeliest first.
    next_check : NextCheck or None
        What helps most now; null where nothing asks for a look.
    cautions : tuple of str
        What to beware of by the last log, the most pressing first; may change.
    stopped_before : tuple of ReasonObject
        What stopped the vehicle on an earlier drive and does not now, and parts that were watched there, with
        what has become of it.
    unexplained : bool
        True where one of these is not shown to be explained and gone.
    to_state : ReasonObject or None
        What the log of the drive after the repair is to state: something is even again, and no log says of a
        repair; null where nothing is asked.
    """

    logs: Annotated[tuple[ComparedLogObject, ...], Meta(min_length=2)]
    corners: tuple[ComparedCornerObject, ...]
    axles: tuple[ComparedAxleObject, ...]
    notes: tuple[str, ...]
    open_or_flagged: bool
    urgent: tuple[Urgent, ...]
    suspects: tuple[SuspectObject, ...]
    next_check: NextCheck | None
    cautions: tuple[str, ...]
    stopped_before: tuple[ReasonObject, ...]
    unexplained: bool
    to_state: ReasonObject | None

    @classmethod
    def of(cls, comparison: Comparison) -> CompareObject:
        """A whole comparison."""
        last, lacking = comparison.last, comparison.lacking
        return cls(
            logs=tuple(map(ComparedLogObject.of, comparison.diagnoses)),
            corners=tuple(map(ComparedCornerObject.of, comparison.corners)),
            axles=tuple(map(ComparedAxleObject.of, comparison.axles)),
            notes=comparison.notes,
            open_or_flagged=comparison.open_or_flagged,
            urgent=at_six_digits(comparison.urgent),
            suspects=tuple(map(SuspectObject.of, last.suspects)),
            next_check=at_six_digits(comparison.next_check),
            cautions=last.cautions,
            stopped_before=reason_objects(tuple(one.reason for one in comparison.stops)),
            unexplained=comparison.unexplained,
            to_state=None if lacking is None else reason_objects((lacking,))[0],
        )
