"""Where the search for a cause stands, as JSON tells it."""

from __future__ import annotations

from msgspec import Struct

from thermlog.advice.choosing import Ending
from thermlog.advice.narrowing import Found, Narrowed, Remedy, SearchedPlace
from thermlog.followup.jobproof import JobStage, JobVerification
from thermlog.followup.jobrecord import JobRecord
from thermlog.reports.contract.answers import AnswersObject, SuspectObject
from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.jsonnumbers import at_six_digits, taken_over
from thermlog.reports.summary import headline
from thermlog.words.bounds import NotNegative, Sha256
from thermlog.words.findings import Diagnosis, NextCheck, Urgent


class SourceObject(Struct, frozen=True, kw_only=True):
    """The log that the search began with.

    Attributes
    ----------
    file : str
        As given.
    sha256 : str
        Of its content.
    """

    file: str
    sha256: Sha256


class ChoiceObject(Struct, frozen=True, kw_only=True):
    """One answer that the next check can have.

    Attributes
    ----------
    id : str
        For ``--found CHECK=ANSWER``.
    means : str
        The answer in words, and where it would lead; may change.
    """

    id: str
    means: str


class AskedObject(Struct, frozen=True, kw_only=True):
    """One check that was answered.

    Attributes
    ----------
    id : str
        The check.
    answer : str
        What it showed.
    """

    id: str
    answer: str

    @classmethod
    def of(cls, found: Found) -> AskedObject:
        """One answer."""
        return cls(id=found.check, answer=found.answer)


class NextCheckObject(Struct, frozen=True, kw_only=True):
    """The next check, with what it can show.

    Attributes
    ----------
    id : str
        For ``--found CHECK=ANSWER``.
    question : str
        What to find out, or to do.
    minutes : float
        About how long it takes, from where the vehicle stands now.
    safety : str
        How to do it safely.
    why : str
        What it is good for; may change.
    how : str
        How it is done; empty where the question says it all.
    answers : tuple of ChoiceObject
        What it can show. Empty for a reading or a drive that the log asks for.
    """

    id: str
    question: str
    minutes: NotNegative
    safety: str
    why: str
    how: str
    answers: tuple[ChoiceObject, ...]

    @classmethod
    def of(cls, check: NextCheck, narrowed: Narrowed) -> NextCheckObject:
        """The next check of a search."""
        return taken_over(
            cls,
            check,
            minutes=round(check.minutes, 1),
            how=narrowed.how,
            answers=tuple(
                ChoiceObject(id=one.id, means=f"{one.words}: {one.means}") for one in narrowed.answers
            ),
        )


class JobObject(Struct, frozen=True, kw_only=True):
    """What the record of the job holds beside the answers.

    Attributes
    ----------
    complaint, by : str or None
        What the driver says; who works on it.
    cause : str or None
        What was really found; null while that is open.
    parts, measured : tuple of str
        What was fitted and measured.
    verification : JobVerification or None
        The last drive after the repair, and what became of the fault.
    verifications : tuple of JobVerification
        Every drive after the repair, oldest first.
    parts_since : tuple of str
        Parts that were entered after the last of them: no drive has shown what they do.
    stage : JobStage
        What is next: the search, the drive that proves what was entered, or nothing, for it is proven.
    """

    complaint: str | None
    by: str | None
    cause: str | None
    parts: tuple[str, ...]
    measured: tuple[str, ...]
    verification: JobVerification | None
    verifications: tuple[JobVerification, ...]
    parts_since: tuple[str, ...]
    stage: JobStage

    @classmethod
    def of(cls, record: JobRecord) -> JobObject:
        """Of one record."""
        return taken_over(cls, record)


class NarrowObject(DocumentObject, frozen=True, kw_only=True):
    """Where the search for a cause stands.

    Attributes
    ----------
    log : SourceObject
        The log that it began with.
    finding : str
        What this log says, in one line: what stops the vehicle first; may change.
    answers : AnswersObject
        Does a brake drag, does one not work, is the whole vehicle hot? As in ``check``.
    urgent : tuple of Urgent
        For what the vehicle stops, the most dangerous first, as in ``check``. Answers of the search and a
        drive after the repair take nothing from it.
    about : SearchedPlace or None
        What the search is about where several suspects are called; null where there is one.
    others : tuple of SearchedPlace
        The other suspects, the severer first: searches of their own.
    causes : tuple of SuspectObject
        The likeliest first; empty where no fault is established.
    asked : tuple of AskedObject
        Answers so far, in their order.
    skipped : tuple of str
        Checks that could not be done.
    differing : tuple of str
        Checks that were made twice (``id`` and ``id_again``) and had two answers; they count for no cause.
    cautions : tuple of str
        What an answer forbids, whatever cause is the likeliest.
    minutes : float
        Spent on these checks, as the cards say.
    ending : Ending or None
        Why the search has ended; "contradiction" may stand beside a next check.
    next_check : NextCheckObject or None
        Null where the search has ended, or a repair is entered that no drive has disproved.
    remedy : Remedy or None
        What the card says of the one cause that is left; null otherwise, and once a repair is entered.
    job : JobObject or None
        Null where no record is kept.
    """

    log: SourceObject
    finding: str
    answers: AnswersObject
    urgent: tuple[Urgent, ...]
    about: SearchedPlace | None
    others: tuple[SearchedPlace, ...]
    causes: tuple[SuspectObject, ...]
    asked: tuple[AskedObject, ...]
    skipped: tuple[str, ...]
    differing: tuple[str, ...]
    cautions: tuple[str, ...]
    minutes: NotNegative
    ending: Ending | None
    next_check: NextCheckObject | None
    remedy: Remedy | None
    job: JobObject | None

    @classmethod
    def of(cls, narrowed: Narrowed, diagnosis: Diagnosis, record: JobRecord | None = None) -> NarrowObject:
        """Where the search stands that began with a log's findings."""
        check = narrowed.check
        return cls(
            log=SourceObject(file=diagnosis.log.file, sha256=diagnosis.log.sha256),
            finding=headline(diagnosis),
            answers=AnswersObject.of(diagnosis.answers),
            urgent=at_six_digits(diagnosis.urgent),
            about=narrowed.about,
            others=narrowed.others,
            causes=tuple(map(SuspectObject.of, narrowed.suspects)),
            asked=tuple(map(AskedObject.of, narrowed.found)),
            skipped=narrowed.skipped,
            differing=narrowed.differs,
            cautions=tuple(map(str, narrowed.cautions)),
            minutes=round(narrowed.minutes, 1),
            ending=narrowed.ending,
            next_check=None if check is None else NextCheckObject.of(check, narrowed),
            remedy=narrowed.remedy,
            job=None if record is None else JobObject.of(record),
        )
