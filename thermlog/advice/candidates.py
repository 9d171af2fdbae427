"""What can be asked: checks of the evidence file, what equipment is fitted, how the vehicle stands."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.evidence import Likelihoods, Observation
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation, brake_parts
from thermlog.advice.twice import AGAIN, first_time
from thermlog.words.sentences import capital

BRAKE_KIND, PARKING_HERE, ON_STANDS, COOL_FIRST = "brake_kind", "parking_here", "on_stands", "cool_first"
WAIT: Final = "clear_and_wait"  # above an urgent line nothing else is asked
_GATES: dict[str, Mapping[str, str]] = {
    COOL_FIRST: {"cooled": "cooled, read again by gun", "not_yet": "not yet"},
    ON_STANDS: {"yes": "raised, on rated stands, the others chocked", "no": "cannot be raised safely here"},
    WAIT: {"cooled": "cooled, read again by gun", "not_yet": "not yet"},
}
_PARKING: Mapping[str, str] = {"yes": "acts here", "no": "does not act here"}
_TITLES = {
    BRAKE_KIND: "Kind of brake", PARKING_HERE: "Parking brake here", ON_STANDS: "On rated stands",
    COOL_FIRST: "Cool enough to touch", WAIT: "Cooled down",
}  # fmt: skip


class Candidate(Struct, frozen=True, kw_only=True):
    """A question by its name: one of the evidence file, or one about what is fitted or how it stands."""

    key: str
    asked: Observation


@cache
def checks() -> tuple[Candidate, ...]:
    """Every check of the evidence file that is made at the vehicle."""
    asked = evidence_table().observations
    return tuple(Candidate(key=key, asked=one) for key, one in asked.items() if one.source != "log")


def looks(situation: Situation) -> tuple[Candidate, ...]:
    """What is asked about the equipment, as far as it is not known."""
    return (*_brake_kind(situation), *_parking_here(situation))


def _brake_kind(situation: Situation) -> list[Candidate]:
    """Ask which kind of brake it is: a doubt about equipment is a question."""
    if len([share for _, share in situation.shares if share > 0]) < 2:
        return []
    kinds_of, words = evidence_table().kinds, evidence_table().brake_words
    groups = {kinds_of[kind].group for kind, share in situation.shares if share > 0}
    kinds = [kind for kind in kinds_of if kinds_of[kind].group in groups]  # also those that are rare
    asked = _look(
        "Which kind of brake is fitted at {place}?",
        {kind: words[kind] for kind in kinds},
        {
            cause: tuple(parts.get(kind, 0.0) for kind in kinds)
            for cause, parts in brake_parts(situation).items()
        },
        how=" ".join(f"{capital(kinds_of[kind].words)}: {kinds_of[kind].see}." for kind in kinds),
    )
    # Of several wheels it is that of the one where the work is done: axles may have unlike brakes.
    return [Candidate(key=BRAKE_KIND, asked=replace(asked, once="wheel", needs=("touch",)))]


def _parking_here(situation: Situation) -> list[Candidate]:
    """Ask whether the parking brake acts on this axle."""
    if situation.parking != "assumed":
        return []
    table, usual = evidence_table(), evidence_table().rule["parking_here"]
    certain = {"parking_brake_here", "spring_brake_here"}
    p = {
        key: (1.0, 0.0) if cause.requires in certain else (usual, 1.0 - usual)
        for key, cause in table.causes.items()
    }
    asked = _look("Does the parking brake act at {place}?", _PARKING, p)
    return [Candidate(key=PARKING_HERE, asked=asked)]


def _look(
    ask: str, answers: Mapping[str, str], p: Mapping[str, tuple[float, ...]], *, how: str = ""
) -> Observation:
    """A question about equipment, answered by looking at any brake."""
    return Observation(
        ask=ask,
        how=how,
        answers=answers,
        minutes=evidence_table().rule["look_min"],
        once="vehicle",
        source="ground",
        needs=(),
        applies_to=tuple(evidence_table().kinds),
        safety="Chocked, engine off. Hot parts burn: look, do not touch.",
        p=Likelihoods.of(p),
    )


def once_more(first: Candidate) -> Candidate:
    """The same check, made a second time."""
    asked = first.asked
    return Candidate(
        key=first.key + AGAIN,
        asked=replace(
            asked,
            ask=f"Once more before a cause is named, for all hangs on it: {asked.ask}",
            how=f"Begin anew, best with another pair of eyes: a slip is soon made twice. {asked.how}",
        ),
    )


def stands_before(one: Candidate, told: Mapping[str, str]) -> Candidate | None:
    """What must be answered before anything is done at a raised wheel."""
    if {"lift", "wheel_off"}.isdisjoint(one.asked.needs) or told.get(ON_STANDS) == "yes":
        return None
    asked = Observation(
        ask=(
            "Raise {place} at the lifting points, a driven axle with both its wheels: does it stand on rated "
            "stands, the other wheels chocked?"
        ),
        answers=_GATES[ON_STANDS],
        minutes=0.0,  # raising alone, which is counted with the first check there
        once="wheel",
        source="lift",
        needs=("lift", "stands"),
        applies_to=tuple(evidence_table().kinds),
        safety="Level hard ground. Never under a vehicle on a jack alone.",
        p=Likelihoods.of({}),
    )
    return Candidate(key=ON_STANDS, asked=asked)


def cools_before() -> Candidate:
    """What must be answered before anything is touched where a brake was too hot for it."""
    asked = Observation(
        ask="Touch nothing yet: does the gun read every part to be touched at {place} as cool enough?",
        answers=_GATES[COOL_FIRST],
        minutes=0.0,  # the waiting is counted as it passes
        once="vehicle",
        source="gun",
        needs=(),
        applies_to=tuple(evidence_table().kinds),
        safety="Never water on hot metal. Parked level and chocked, engine off; use the gun, not the hand.",
        p=Likelihoods.of({}),
    )
    return Candidate(key=COOL_FIRST, asked=asked)


def gates() -> tuple[str, ...]:
    """Names of what is asked before other checks may be made."""
    return tuple(_GATES)


def known_answers(check: str) -> tuple[str, ...] | None:
    """Answers that a check can have; None if there is no such check."""
    table = evidence_table()
    if check in _GATES:
        return tuple(_GATES[check])
    if check == BRAKE_KIND:
        return tuple(table.brake_words)
    if check == PARKING_HERE:
        return tuple(_PARKING)
    asked = table.observations.get(first_time(check))
    return None if asked is None or asked.source == "log" else tuple(asked.answers)


def check_title(check: str) -> str | None:
    """What a check is called, the first or the second time; None if there is no such check."""
    asked = evidence_table().observations.get(first_time(check))
    return _TITLES.get(check) if asked is None else asked.title


def answer_words(check: str, answer: str) -> str:
    """An answer in words; as it is where nobody knows it."""
    if check in {BRAKE_KIND, PARKING_HERE, *_GATES}:
        known = evidence_table().brake_words if check == BRAKE_KIND else _GATES.get(check, _PARKING)
        return known.get(answer, answer)
    asked = evidence_table().observations.get(first_time(check))
    return answer if asked is None else asked.answers.get(answer, answer)


def with_answer(situation: Situation, check: str, answer: str) -> Situation:
    """The situation with one more thing known."""
    if check in _GATES:
        return situation
    if check == BRAKE_KIND:
        return replace(situation, shares=((answer, 1.0),))
    if check == PARKING_HERE:
        acts = answer == "yes"
        return replace(situation, parking="yes" if acts else "no", sprung=acts)
    kept = tuple(pair for pair in situation.answers if pair[0] != check)
    found = tuple(pair for pair in situation.found if pair[0] != check)
    return replace(situation, answers=kept, found=(*found, (check, answer)))
