"""What is filed of the defects of a depot, as JSON tells it."""

from __future__ import annotations

from msgspec import Struct

from thermlog.fleet.defects import Defect
from thermlog.fleet.workrow import WorkGroup
from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.figures import at_six_digits
from thermlog.words.bounds import Sha256

WORDING = (
    "A screening record: what a gun showed and what was concluded from it. It certifies nothing; whether the "
    "vehicle may be used is decided by a qualified person under the local inspection code."
)


class VerificationObject(Struct, frozen=True, kw_only=True):
    """A drive of the same vehicle that was stated as verification, judged in the same run.

    Attributes
    ----------
    file : str
        Its log.
    sha256 : str
        Hash of the log's bytes.
    group : WorkGroup
        What was found on it.
    """

    file: str
    sha256: Sha256
    group: WorkGroup


class FiledObject(Struct, frozen=True, kw_only=True):
    """One defect with what shows that it was dealt with.

    Attributes
    ----------
    defect : Defect
        As the screening found it.
    verification : tuple of VerificationObject
        Verification drives of the same vehicle in the same run; empty where there is none.
    """

    defect: Defect
    verification: tuple[VerificationObject, ...]

    @classmethod
    def of(cls, defect: Defect, verification: tuple[VerificationObject, ...]) -> FiledObject:
        """One defect, numbers at six digits."""
        return cls(defect=at_six_digits((defect,))[0], verification=verification)


class FilingObject(DocumentObject, frozen=True, kw_only=True):
    """Every defect that was called, for filing.

    Attributes
    ----------
    wording : str
        What such a record is, and is not.
    filed : tuple of FiledObject
        In the order of the list of work.
    """

    wording: str = WORDING
    filed: tuple[FiledObject, ...] = ()
