"""A series of cases: which is next, what has been committed to, and what of it is kept."""

from __future__ import annotations

import secrets

from msgspec import Struct
from msgspec.structs import replace

from thermlog.practice.cases import CaseOrder, PracticeCase, case_seed
from thermlog.practice.commitment import Commitment
from thermlog.practice.marking import Marked, marked
from thermlog.practice.scorefile import OpenSeries, ScoreFile, no_scores, scored
from thermlog.practice.topics import Level, Topic
from thermlog.words.errors import OptionError
from thermlog.words.version import __version__

_UNGUESSABLE_BITS = 63
_USUAL_LEVEL: Level = 2


class WantedSeries(Struct, frozen=True, kw_only=True):
    """What was asked for; None where nothing was said.

    Attributes
    ----------
    length : int or None
        None: one case, or the series that is open.
    level, topic, seed
        As in `scorefile.OpenSeries`; without a seed one that nobody can guess.
    anew : bool
        True to begin another series though one is open.
    """

    length: int | None = None
    level: Level | None = None
    topic: Topic | None = None
    seed: int | None = None
    anew: bool = False


class Answered(Struct, frozen=True, kw_only=True, eq=False):
    """One case with its number and marks."""

    case: PracticeCase
    number: int
    told: Marked


class PracticeSeries:
    """A series on its way, and the scores it adds to.

    Attributes
    ----------
    plan : OpenSeries
    scores : ScoreFile
    answered : list of Answered
        In this sitting.
    """

    def __init__(self, plan: OpenSeries, scores: ScoreFile) -> None:
        self.plan, self.scores = plan, scores
        self.answered: list[Answered] = []

    @property
    def through(self) -> bool:
        """True if no case is left."""
        return self.plan.done >= self.plan.length

    @property
    def place(self) -> tuple[int, int]:
        """Number of the case that waits, and of how many."""
        return self.plan.done + 1, self.plan.length

    def case(self) -> PracticeCase:
        """The case that waits."""
        return nth_case(self.plan, self.plan.done + 1)

    def to_keep(self) -> ScoreFile:
        """The scores as they stand, with the series unless it is through."""
        return replace(self.scores, tool=__version__, series=None if self.through else self.plan)

    def commit(self, case: PracticeCase, committed: Commitment) -> Answered:
        """Mark the case that waits, keep its score, and go on to the next."""
        entry = Answered(case=case, number=self.plan.done + 1, told=marked(case, committed))
        self.plan = replace(self.plan, done=self.plan.done + 1)
        self.scores = replace(self.scores, cases=(*self.scores.cases, scored(case, entry.told)))
        self.answered.append(entry)
        return entry


def nth_case(plan: OpenSeries, number: int) -> PracticeCase:
    """The n-th case of a series, first 1."""
    return PracticeCase(CaseOrder(seed=case_seed(plan.seed, number), level=plan.level, topic=plan.topic))


def begin_series(wanted: WantedSeries, scores: ScoreFile) -> PracticeSeries:
    """The series that is open in the score file, or a new one.

    Raises
    ------
    OptionError
        One is open, and another is asked for.
    """
    going = scores.series
    if going is None or wanted.anew:
        return PracticeSeries(_new(wanted), scores)
    asked = {
        "length": wanted.length, "level": wanted.level, "topic": wanted.topic, "seed": wanted.seed,
    }  # fmt: skip
    if any(value is not None and value != getattr(going, name) for name, value in asked.items()):
        msg = (
            f"a series is open at case {going.done + 1} of {going.length}; go on without other options, "
            "or begin another with --new"
        )
        raise OptionError(msg)
    return PracticeSeries(going, scores)


def _new(wanted: WantedSeries) -> OpenSeries:
    return OpenSeries(
        seed=secrets.randbits(_UNGUESSABLE_BITS) if wanted.seed is None else wanted.seed,
        length=wanted.length or 1,
        level=wanted.level or _USUAL_LEVEL,
        topic=wanted.topic,
    )


def marked_series(plan: OpenSeries, answered: list[Answered]) -> PracticeSeries:
    """A series that was answered on paper, as one sitting."""
    scores = replace(no_scores(), cases=tuple(scored(one.case, one.told) for one in answered))
    series = PracticeSeries(replace(plan, done=plan.length), scores)
    series.answered = answered
    return series
