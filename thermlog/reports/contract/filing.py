"""What is filed of the defects of a depot, as JSON tells it."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.fleet.defects import Defect, DefectClass, DefectReading
from thermlog.fleet.workrow import WorkGroup
from thermlog.followup.jobproof import JobVerification
from thermlog.followup.jobrecord import JobRecord
from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.jsonnumbers import at_six_digits, taken_over
from thermlog.words.bounds import CornerName, NotNegative, Sha256
from thermlog.words.estimates import Interval
from thermlog.words.findings import PolicyMark, Urgent
from thermlog.words.tables import Drive

FILING_WORDING = (
    "A screening record: what a gun showed and what was concluded from it. It certifies nothing; whether the "
    "vehicle may be used is decided by a qualified person under the local inspection code."
)


Recorded: TypeAlias = Literal["run", "history"]


class DefectObject(Struct, frozen=True, kw_only=True):
    """One defect of one vehicle, as a screening found it.

    Attributes
    ----------
    unit, file : str
        Vehicle; its log.
    sha256 : str
        Hash of the log's bytes.
    drive : {"normal", "coast", "verification"} or None
        Kind of drive, as stated.
    kind : DefectClass
        What is the matter: "stops" is a line above which nobody drives, or what was seen.
    corners : tuple of str
        The wheels it is about; empty for the whole vehicle.
    urgent : tuple of Urgent
        What stops the vehicle, the most dangerous first; of the kind "stops" alone.
    difference_k : float or None
        Left minus right, indicated [K].
    interval_k : interval or None
        Its 95 % interval [low, high].
    severity : str or None
        Drag behind it, in words, an order of magnitude; null where none can be told.
    torque_nm : float or None
        The same as a torque [N·m].
    readings : tuple of DefectReading
        Of these wheels and their mates.
    policy : PolicyMark
        That judged, with the hash of its bytes.
    gun : str or None
        As the log states it, else as it was described.
    by : str or None
        Who took the readings, as the log states it.
    taken : str or None
        When, by ISO 8601, as the log states it.
    action, action_words : str or None
        What to do next, by its code and in words.
    """

    unit: str
    file: str
    sha256: Sha256
    drive: Drive | None
    kind: DefectClass
    corners: tuple[CornerName, ...]
    urgent: tuple[Urgent, ...]
    difference_k: float | None
    interval_k: Interval | None
    severity: str | None
    torque_nm: NotNegative | None
    readings: tuple[DefectReading, ...]
    policy: PolicyMark
    gun: str | None
    by: str | None
    taken: str | None
    action: str | None
    action_words: str | None

    @classmethod
    def of(cls, defect: Defect) -> DefectObject:
        """One defect, as it was found."""
        gap_k, severity = defect.difference_k, defect.severity
        return taken_over(
            cls,
            defect,
            difference_k=None if gap_k is None else gap_k.value,
            interval_k=None if gap_k is None else gap_k.interval,
            severity=None if severity is None else severity.words,
            torque_nm=None if severity is None else severity.torque_nm.value,
        )


class VerificationObject(Struct, frozen=True, kw_only=True):
    """A drive of the same vehicle that was stated as verification.

    Attributes
    ----------
    file : str
        Its log.
    sha256 : str
        Hash of the log's bytes.
    group : WorkGroup
        What was found on it.
    taken : str or None
        When, by ISO 8601, as the log states it; null where that is not known here.
    recorded : {"run", "history"}
        Judged by the same command, or known from the history; of the history only drives after the defect.
    """

    file: str
    sha256: Sha256
    group: WorkGroup
    taken: str | None
    recorded: Recorded


class JobProofObject(Struct, frozen=True, kw_only=True):
    """A drive after a repair, as the record of the job has it.

    Attributes
    ----------
    file : str
        Its log.
    sha256 : str
        Hash of the log's bytes.
    at : str
        When it was compared, by ISO 8601.
    outcome : str
        What the comparison said, in words; may change.
    even_again : bool
        True if the drive proved that the sides are even again.
    """

    file: str
    sha256: Sha256
    at: str
    outcome: str
    even_again: bool

    @classmethod
    def of(cls, drive: JobVerification) -> JobProofObject:
        """One drive."""
        return taken_over(cls, drive)


class FiledJobObject(Struct, frozen=True, kw_only=True):
    """A job that began with the log of the defect, or of the same vehicle after it.

    Attributes
    ----------
    log_sha256 : str
        Hash of the log that the job began with.
    opened_at : str
        When, by ISO 8601.
    by : str or None
        Who works on it.
    cause : str or None
        What was really found, by its key, or no_fault; null while that is open.
    parts : tuple of str
        What was fitted.
    measured : tuple of str
        What was measured.
    proof : JobProofObject or None
        The last drive after the repair.
    proofs : tuple of JobProofObject
        Every drive after the repair, oldest first.
    """

    log_sha256: Sha256
    opened_at: str
    by: str | None
    cause: str | None
    parts: tuple[str, ...]
    measured: tuple[str, ...]
    proof: JobProofObject | None
    proofs: tuple[JobProofObject, ...]

    @classmethod
    def of(cls, record: JobRecord) -> FiledJobObject:
        """One job."""
        proofs = tuple(map(JobProofObject.of, record.verifications))
        proof = proofs[-1] if proofs else None
        return taken_over(cls, record, log_sha256=record.log.sha256, proof=proof, proofs=proofs)


class FiledObject(Struct, frozen=True, kw_only=True):
    """One defect with what shows that it was dealt with.

    Attributes
    ----------
    defect : DefectObject
        As the screening found it.
    verification : tuple of VerificationObject
        Verification drives of the same vehicle, of this run and of the history; empty where there is none.
    jobs : tuple of FiledJobObject
        Jobs that the history knows; empty where there is none.
    """

    defect: DefectObject
    verification: tuple[VerificationObject, ...]
    jobs: tuple[FiledJobObject, ...]

    @classmethod
    def of(
        cls,
        defect: Defect,
        verification: tuple[VerificationObject, ...],
        jobs: tuple[FiledJobObject, ...] = (),
    ) -> FiledObject:
        """One defect, numbers at six digits."""
        return cls(defect=at_six_digits(DefectObject.of(defect)), verification=verification, jobs=jobs)


class FilingObject(DocumentObject, frozen=True, kw_only=True):
    """Every defect that was called, for filing.

    Attributes
    ----------
    wording : str
        What such a record is, and is not.
    filed : tuple of FiledObject
        In the order of the list of work.
    """

    wording: str = FILING_WORDING
    filed: tuple[FiledObject, ...] = ()
