"""How right a depot's answers were, as JSON tells it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.jsonnumbers import ends_of, taken_over, value_of
from thermlog.reports.wording import six_digits
from thermlog.words.bounds import Count, Sha256, Share
from thermlog.words.estimates import Interval
from thermlog.words.findings import AnswerWord

if TYPE_CHECKING:
    from thermlog.history.outcomes import AnswerCount, DragCount, FoundCause, MissedFault, Outcomes


class AnswerOutcomeObject(Struct, frozen=True, kw_only=True):
    """Drives that were answered alike, and how many of them had a fault.

    Attributes
    ----------
    answer : {"yes", "watch", "cannot_tell", "no"}
        The most pressing of the answers about drag and idle brakes.
    drives : int
        Drives with a known outcome.
    faulty : int
        Those of them on which any brake fault was found.
    share : float or None
        Of drives with a fault; null where there are no drives.
    interval : interval or None
        Its 95 % interval after Wilson [low, high].
    """

    answer: AnswerWord
    drives: Count
    faulty: Count
    share: Share | None
    interval: Interval | None

    @classmethod
    def of(cls, one: AnswerCount) -> AnswerOutcomeObject:
        """One answer."""
        share, ends = value_of(one.share), ends_of(one.share)
        return cls(answer=one.answer, drives=one.drives, faulty=one.faulty, share=share, interval=ends)


class CalibrationObject(Struct, frozen=True, kw_only=True):
    """Drives of about one probability of a drag, and how many brakes did drag.

    Attributes
    ----------
    p_from : float
        Probability of a drag that was said: from here on.
    p_below : float
        And below this; 1 is among the last.
    drives : int
        Drives with a known outcome that tells whether a brake dragged.
    dragged : int
        Those of them on which one did.
    share : float or None
        Of drives on which one did; null where there are no drives.
    interval : interval or None
        Its 95 % interval after Wilson [low, high].
    mean_p : float or None
        Mean of what was said of them.
    """

    p_from: Share
    p_below: Share
    drives: Count
    dragged: Count
    share: Share | None
    interval: Interval | None
    mean_p: Share | None

    @classmethod
    def of(cls, one: DragCount) -> CalibrationObject:
        """One range of probabilities."""
        share, interval = value_of(one.share), ends_of(one.share)
        return taken_over(cls, one, share=share, interval=interval, mean_p=six_digits(one.said))


class FoundCauseObject(Struct, frozen=True, kw_only=True):
    """A cause that was found.

    Attributes
    ----------
    cause : str
        By its key.
    count : int
        How often.
    table : float
        Its share by the table of causes.
    together : float
        With what was found added; the table counts as 20 findings.
    """

    cause: str
    count: Count
    table: Share
    together: Share

    @classmethod
    def of(cls, one: FoundCause) -> FoundCauseObject:
        """One cause."""
        return cls(
            cause=one.cause,
            count=one.count,
            table=six_digits(one.table) or 0.0,
            together=six_digits(one.together) or 0.0,
        )


class MissedObject(Struct, frozen=True, kw_only=True):
    """A drive that was answered "no", and on which a fault was found.

    Attributes
    ----------
    unit : str or None
        Name of the vehicle, in small letters.
    file : str
        The log.
    sha256 : str
        Hash of its bytes.
    taken_at : str or None
        When it was read, as the log states it.
    cause : str
        What was found.
    p_drag : float or None
        Probability of a drag that was said.
    p_idle : float or None
        The same of a brake that does not work.
    """

    unit: str | None
    file: str
    sha256: Sha256
    taken_at: str | None
    cause: str
    p_drag: Share | None
    p_idle: Share | None

    @classmethod
    def of(cls, one: MissedFault) -> MissedObject:
        """One drive."""
        p_drag, p_idle = six_digits(one.p_drag), six_digits(one.p_idle)
        return taken_over(cls, one, sha256=one.log_sha256, p_drag=p_drag, p_idle=p_idle)


class OutcomesObject(DocumentObject, frozen=True, kw_only=True):
    """How right a depot's answers were, where somebody looked.

    Attributes
    ----------
    checked : int
        Drives with braking that are stored.
    known : int
        Those of them of which it was found out what was wrong, if anything.
    answers : tuple of AnswerOutcomeObject
        The most pressing first.
    calibration : tuple of CalibrationObject
        By the probability of a drag.
    causes : tuple of FoundCauseObject
        The most frequent first.
    missed : tuple of MissedObject
        In the order driven.
    """

    checked: Count
    known: Count
    answers: tuple[AnswerOutcomeObject, ...]
    calibration: tuple[CalibrationObject, ...]
    causes: tuple[FoundCauseObject, ...]
    missed: tuple[MissedObject, ...]

    @classmethod
    def of(cls, found: Outcomes) -> OutcomesObject:
        """All of it."""
        return cls(
            checked=found.checked,
            known=found.known,
            answers=tuple(map(AnswerOutcomeObject.of, found.answers)),
            calibration=tuple(map(CalibrationObject.of, found.drags)),
            causes=tuple(map(FoundCauseObject.of, found.causes)),
            missed=tuple(map(MissedObject.of, found.missed)),
        )
