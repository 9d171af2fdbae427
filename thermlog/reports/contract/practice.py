"""A practice case, as JSON tells it: nothing of its truth before somebody has committed to something."""

from __future__ import annotations

from msgspec import Struct

from thermlog.practice.cases import PracticeCase
from thermlog.practice.commitment import Commitment, Step
from thermlog.practice.marking import Mark, OpenWord, PlantedFault
from thermlog.practice.progress import Progress, progress_of
from thermlog.practice.series import Answered, PracticeSeries
from thermlog.practice.topics import Level, Topic
from thermlog.reports.contract.check import CheckObject
from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.jsonnumbers import taken_over
from thermlog.words.bounds import AxleNumber, CornerName, Count
from thermlog.words.tables import Drive
from thermlog.words.vehicle import Spot


class ShownObject(Struct, frozen=True, kw_only=True):
    """One reading of a case.

    Attributes
    ----------
    line : int
        In the text of the log.
    corner, spot : str
        Where it was taken.
    elapsed_s : float
        Since the wheels stopped [s].
    temp_degc : float
        What the gun showed [°C].
    """

    line: Count
    corner: CornerName
    spot: Spot
    elapsed_s: float
    temp_degc: float


class OpenCaseObject(Struct, frozen=True, kw_only=True):
    """A case as somebody sees it who has not committed yet.

    Attributes
    ----------
    number : int
        Of the series, first 1.
    vehicle : str or None
        What it is.
    drive : {"normal", "coast", "verification"} or null
        The drive before the walk.
    ambient_degc : float or None
        Air as stated in the log [°C].
    corners : tuple of str
        Of the vehicle.
    readings : tuple of ShownObject
        In order of time.
    log : str
        The same as the text of a log.
    """

    number: AxleNumber
    vehicle: str | None
    drive: Drive | None
    ambient_degc: float | None
    corners: tuple[CornerName, ...]
    readings: tuple[ShownObject, ...]
    log: str

    @classmethod
    def of(cls, case: PracticeCase, number: int) -> OpenCaseObject:
        """The n-th case of a series."""
        told = case.read.readings.cases[0]
        return cls(
            number=number,
            vehicle=told.vehicle,
            drive=told.drive,
            ambient_degc=told.ambient_degc,
            corners=case.corners,
            readings=tuple(
                taken_over(ShownObject, one, temp_degc=one.indicated_degc) for one in case.readings
            ),
            log=case.log,
        )


class ToldCaseObject(Struct, frozen=True, kw_only=True):
    """A case after the commitment.

    Attributes
    ----------
    case : OpenCaseObject
        What was shown.
    topic : Topic
        What it is about.
    committed, tool : Commitment
        What was committed to, and what the tool's findings come to.
    truth : PlantedFault
        What was planted.
    mark, tool_mark : Mark
        What the two commitments are worth.
    open_because : OpenWord or None
        Why "cannot_tell" is right here; null where the log can tell.
    tool_steps : tuple of Step
        What the tool asks for next, first, and what else would decide.
    step_agrees : bool or None
        True if the next check is one of these; null if none was named.
    check : CheckObject
        What ``thermlog check`` says of the same log.
    """

    case: OpenCaseObject
    topic: Topic
    committed: Commitment
    truth: PlantedFault
    mark: Mark
    open_because: OpenWord | None
    tool: Commitment
    tool_mark: Mark
    tool_steps: tuple[Step, ...]
    step_agrees: bool | None
    check: CheckObject

    @classmethod
    def of(cls, one: Answered) -> ToldCaseObject:
        """A case with its marks."""
        case = one.case
        shown, check = OpenCaseObject.of(case, one.number), CheckObject.of(case.told)
        return taken_over(cls, one.told, case=shown, topic=case.topic, check=check)


class PracticeObject(DocumentObject, frozen=True, kw_only=True):
    """Practice: what was answered, and the case that waits for an answer.

    Attributes
    ----------
    seed : int
        Of the series: with it, level and topic every case can be made again.
    length : int
        Cases in all.
    level : {1, 2, 3}
        How hard they are.
    topic : Topic or None
        What all are about; null where each draws its own.
    told : tuple of ToldCaseObject
        What was answered now.
    open : OpenCaseObject or None
        The case that waits; null where all are answered.
    progress : Progress or None
        Of the score file; null without one.
    """

    seed: Count
    length: Count
    level: Level
    topic: Topic | None
    told: tuple[ToldCaseObject, ...]
    open: OpenCaseObject | None
    progress: Progress | None

    @classmethod
    def of(cls, series: PracticeSeries, *, kept: bool) -> PracticeObject:
        """What was answered in a sitting, and what waits."""
        plan = series.plan
        return cls(
            seed=plan.seed,
            length=plan.length,
            level=plan.level,
            topic=plan.topic,
            told=tuple(map(ToldCaseObject.of, series.answered)),
            open=None if series.through else OpenCaseObject.of(series.case(), plan.done + 1),
            progress=progress_of(series.scores.cases) if kept else None,
        )


class ProgressObject(DocumentObject, frozen=True, kw_only=True):
    """The score file in a few numbers.

    Attributes
    ----------
    progress : Progress
        Of all cases in it.
    """

    progress: Progress
