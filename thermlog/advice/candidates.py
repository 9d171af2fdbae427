"""What can be asked at the wheel: checks of the evidence file, what equipment is fitted, and the gates."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.suspects import Situation, brake_parts
from thermlog.advice.telling import before_opening, check_minutes, is_warm, may_ask
from thermlog.words.sentences import capital

BRAKE_KIND, PARKING_HERE, ON_STANDS = "brake_kind", "parking_here", "on_stands"
_LOOK = "Chocked, engine off. Hot parts burn: look, do not touch."
_GATES: dict[str, Mapping[str, str]] = {
    ON_STANDS: {"yes": "raised, on rated stands, the others chocked", "no": "cannot be raised safely here"},
    "clear_and_wait": {"cooled": "cooled down", "not_yet": "not yet"},
}
_PARKING: Mapping[str, str] = {"yes": "acts here", "no": "does not act here"}


class Candidate(Struct, frozen=True, kw_only=True):
    """Something that can be asked now.

    Attributes
    ----------
    key : str
    ask, how, safety : str
        In a mechanic's words; `ask` may name the place.
    words, means : mapping
        Answer -> words; answer -> what it tells, where the card says so.
    answers_of : mapping
        Cause -> probability of every answer.
    needs : frozenset of str
    applies : float
        Probability that it can be asked of this brake at all.
    own_minutes : float or None
        Where the evidence file has no card for it.
    """

    key: str
    ask: str
    how: str = ""
    safety: str = _LOOK
    words: Mapping[str, str]
    means: Mapping[str, str] = field(default_factory=dict)
    answers_of: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    needs: frozenset[str] = frozenset()
    applies: float = 1.0
    own_minutes: float | None = None

    def minutes(self, evidence: LogEvidence, reached: frozenset[str]) -> float:
        """Time it takes from the state that was reached."""
        if self.own_minutes is not None:
            return self.own_minutes
        return check_minutes(evidence, self.key, reached)

    def allowed(self, evidence: LogEvidence, situation: Situation, spent_min: float) -> bool:
        """True if it applies and is safe once its gates are passed."""
        if self.own_minutes is not None:
            return True
        answered = {key for key, _ in situation.answers}
        warm = is_warm(evidence) and spent_min < evidence_table().rule["warm_min"] and not evidence.urgent
        if "opens" in self.needs and self.key not in answered:
            answered |= {check for group in before_opening(situation, answered) for check in group}
        return may_ask(self.key, situation, answered, warm=warm)


@lru_cache(maxsize=4096)
def candidates(situation: Situation) -> tuple[Candidate, ...]:
    """Everything that can be asked about the causes that are possible here."""
    table = evidence_table()
    checks = [
        Candidate(
            key=key,
            ask=asked.ask,
            how=asked.how,
            means=asked.means,
            safety=asked.safety,
            words=asked.answers,
            answers_of=asked.p,
            needs=frozenset(asked.needs),
            applies=situation.share_of(asked.applies_to),
        )
        for key, asked in table.observations.items()
        if asked.source != "log"
    ]
    return (*checks, *_brake_kind(situation), *_parking_here(situation))


def _brake_kind(situation: Situation) -> list[Candidate]:
    """Ask which kind of brake it is: a doubt about equipment is a question."""
    if len([share for _, share in situation.shares if share > 0]) < 2:
        return []
    kinds_of, words = evidence_table().kinds, evidence_table().brake_words
    groups = {kinds_of[kind].group for kind, share in situation.shares if share > 0}
    kinds = [kind for kind in kinds_of if kinds_of[kind].group in groups]  # also those that are rare
    return [
        Candidate(
            key=BRAKE_KIND,
            ask="Which kind of brake is fitted at {place}?",
            how=" ".join(f"{capital(kinds_of[kind].words)}: {kinds_of[kind].see}." for kind in kinds),
            words={kind: words[kind] for kind in kinds},
            answers_of={
                cause: tuple(parts.get(kind, 0.0) for kind in kinds)
                for cause, parts in brake_parts(situation).items()
            },
            own_minutes=evidence_table().rule["look_min"],
        )
    ]


def _parking_here(situation: Situation) -> list[Candidate]:
    """Ask whether the parking brake acts on this axle."""
    if situation.parking != "assumed":
        return []
    table, usual = evidence_table(), evidence_table().rule["parking_here"]
    certain = {"parking_brake_here", "spring_brake_here"}
    return [
        Candidate(
            key=PARKING_HERE,
            ask="Does the parking brake act at {place}?",
            words=_PARKING,
            answers_of={
                key: (1.0, 0.0) if cause.requires in certain else (usual, 1.0 - usual)
                for key, cause in table.causes.items()
            },
            own_minutes=table.rule["look_min"],
        )
    ]


def stands_before(one: Candidate, told: Mapping[str, str]) -> Candidate | None:
    """What must be answered before anything is done at a raised wheel."""
    if not one.needs & {"lift", "wheel_off"} or told.get(ON_STANDS) == "yes":
        return None
    return Candidate(
        key=ON_STANDS,
        ask="Raise {place} at the lifting points: does it stand on rated stands, the other wheels chocked?",
        safety="Level hard ground. Never under a vehicle on a jack alone.",
        words=_GATES[ON_STANDS],
        own_minutes=0.0,  # the raising is counted with the first check there
    )


def known_answers(check: str) -> tuple[str, ...] | None:
    """Answers that a check can have; None if there is no such check."""
    table = evidence_table()
    if check in _GATES:
        return tuple(_GATES[check])
    if check == BRAKE_KIND:
        return tuple(table.brake_words)
    if check == PARKING_HERE:
        return tuple(_PARKING)
    asked = table.observations.get(check)
    return None if asked is None or asked.source == "log" else tuple(asked.answers)


def with_answer(situation: Situation, check: str, answer: str) -> Situation:
    """The situation with one more thing known."""
    if check in _GATES:
        return situation
    if check == BRAKE_KIND:
        return replace(situation, shares=((answer, 1.0),))
    if check == PARKING_HERE:
        return replace(situation, parking="yes" if answer == "yes" else "no")
    kept = tuple(pair for pair in situation.answers if pair[0] != check)
    return replace(situation, answers=(*kept, (check, answer)))
