"""The physical check that tells most about the cause per minute: expected information over time."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import lru_cache
from math import log2
from operator import mul

from thermlog.advice.doing import BY_THE_BOOK, doing
from thermlog.advice.evidence import Observation
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.suspects import Situation, cause_weights, situation_of
from thermlog.words.findings import NextCheck
from thermlog.words.vehicle import axle_words, corner_words

_MOST_ANSWERS = 3  # answers explained beside a check


def telling_check(evidence: LogEvidence) -> NextCheck:
    """The check with the highest expected information per minute."""
    situation = situation_of(evidence)
    wheels, axles = _places(evidence)
    key = _best_check(situation, wheels, axles, warm=is_warm(evidence))
    doubt = " Only one reading stands behind this: repeat it first." if evidence.single_reading else ""
    return as_check(evidence, key, _why(situation, key) + doubt)


def is_warm(evidence: LogEvidence) -> bool:
    """True while a check that needs heat can still be made, as far as the log knows."""
    return evidence.brake_degc is None or evidence.brake_degc >= doing().rule["warm_degc"]


@lru_cache(maxsize=4096)
def _best_check(situation: Situation, wheels: int, axles: int, *, warm: bool) -> str:
    table = evidence_table()
    answered = {key for key, _ in situation.answers}
    return max(
        (key for key in table.observations if may_ask(key, situation, answered, warm=warm)),
        key=lambda key: _rate(situation, key, wheels=wheels, axles=axles),
    )


def may_ask(key: str, situation: Situation, answered: Collection[str], *, warm: bool) -> bool:
    """True if a check applies here, is not answered yet and is safe in the present state.

    Parameters
    ----------
    key : str
        Name of the observation in the evidence file.
    situation : Situation
    answered : collection of str
        Observations answered so far.
    warm : bool
        False if the brakes are too cool for a check that needs heat, or too hot to work at.
    """
    asked = evidence_table().observations[key]
    applies = asked.source != "log" and key not in answered and situation.share_of(asked.applies_to) > 0
    colder = dict(situation.answers).get(evidence_table().named("sign")) == "colder"
    possible = {
        "hot": warm and not colder,
        "drags": not colder and not _turns_free(situation),
        "steer": situation.steered,
        "parking": situation.parking != "no",
        "opens": not before_opening(situation, answered),
    }
    return applies and all(possible.get(need, True) for need in asked.needs)


def _turns_free(situation: Situation) -> bool:
    """True if it was turned by hand and does not drag any more."""
    told = dict(situation.answers)
    return any(told.get(check) == "free" for check in evidence_table().role["turn"])


def before_opening(situation: Situation, answered: Collection[str]) -> list[tuple[str, ...]]:
    """What must be answered before anything hydraulic is opened: of each group one check.

    The wheel is looked at and turned by hand, and the parking brake, if any acts here, is checked.
    """
    role = evidence_table().role
    groups = [*((check,) for check in role["look"]), role["turn"]]
    if situation.parking != "no":
        groups.append(role["parking"])
    return [group for group in groups if set(group).isdisjoint(answered)]


def _rate(situation: Situation, key: str, *, wheels: int, axles: int) -> float:
    """Expected information per minute [bit/min]."""
    asked = evidence_table().observations[key]
    minutes = _minutes(asked, situation.weight_class, wheels=wheels, axles=axles)
    return bits_per_minute(expected_bits(asked, situation), asked, minutes)


def expected_bits(asked: Observation, situation: Situation) -> float:
    """Expected information of a question, as far as it applies to what the brake may be [bit]."""
    return information_bits(believed(situation), asked.p) * situation.share_of(asked.applies_to)


def bits_per_minute(bits: float, asked: Observation, minutes: float) -> float:
    """Rate by which checks are compared [bit/min]: doubled where a check cannot be made up later."""
    rule = evidence_table().rule
    hurry = rule["hot_first"] if "hot" in asked.needs else 1.0
    return bits * hurry / (minutes + rule["overhead_min"])


@lru_cache(maxsize=4096)
def believed(situation: Situation) -> Mapping[str, float]:
    """Share of every cause that is possible, the likeliest first."""
    return held_below(cause_weights(situation), evidence_table().rule["most_share"])


def held_below(weights: Mapping[str, float], most: float) -> dict[str, float]:
    """Weights as shares of one, the largest held at `most`: coarse judgement never makes a cause certain.

    Parameters
    ----------
    weights : mapping of str to float
        The heaviest first, at least two.
    most : float
        Largest share allowed, above one half.
    """
    total = sum(weights.values())
    shares = {cause: weight / total for cause, weight in weights.items()}
    first, share = next(iter(shares.items()))
    if share <= most:
        return shares
    return {cause: most if cause == first else p * (1 - most) / (1 - share) for cause, p in shares.items()}


def information_bits(believed: Mapping[str, float], p: Mapping[str, tuple[float, ...]]) -> float:
    """Expected information of a question about the cause [bit]: the mutual information of cause and answer.

    Parameters
    ----------
    believed : mapping of str to float
        Share of every cause, summing to one.
    p : mapping of str to tuple of float
        Of every cause: probability of every answer.

    References
    ----------
    .. [1] Cover and Thomas, *Elements of Information Theory*, 2nd ed., Wiley 2006, eq. 2.28 (from memory, not
       checked).
    """
    gain = 0.0
    for k, p_answer in enumerate(_answer_shares(believed, p)):
        for cause, share in believed.items():
            if p[cause][k] > 0.0:
                gain += share * p[cause][k] * log2(p[cause][k] / p_answer)
    return gain


def _answer_shares(believed: Mapping[str, float], p: Mapping[str, tuple[float, ...]]) -> list[float]:
    columns = zip(*(p[cause] for cause in believed), strict=True)
    return [sum(map(mul, believed.values(), column)) for column in columns]


def _minutes(
    asked: Observation, weight_class: str, *, wheels: int, axles: int, reached: Collection[str] = ()
) -> float:
    """Time for a check, with getting there from the states that were reached.

    A check at a wheel is made at every wheel concerned, one at the vehicle once, and all cool together.
    """
    setup = evidence_table().setup_min
    wanted = [state for state in ("lift", "wheel_off") if state in asked.needs and state not in reached]
    raised = sum(setup[f"{state}_{weight_class}"] for state in wanted)
    waits = "cold" in asked.needs and "cold" not in reached
    waited = setup[f"cold_{weight_class}"] if waits else 0.0
    each = {"wheel": wheels, "axle": axles, "vehicle": 1}[asked.once]
    return asked.minutes * each + raised * axles + waited


def check_minutes(evidence: LogEvidence, asked: Observation, reached: Collection[str] = ()) -> float:
    """Time for a check at all places concerned, from the states that were reached."""
    wheels, axles = _places(evidence)
    return _minutes(asked, evidence.vehicle.weight_class, wheels=wheels, axles=axles, reached=reached)


def _places(evidence: LogEvidence) -> tuple[int, int]:
    """Number of wheels and of axles concerned."""
    return len(evidence.corners) or 2 * len(evidence.axles), len(evidence.axles)


def as_check(evidence: LogEvidence, key: str, why: str) -> NextCheck:
    """One question of the evidence file as a check at the place concerned."""
    return check_of(evidence, key, evidence_table().observations[key], why)


def check_of(
    evidence: LogEvidence, key: str, asked: Observation, why: str, reached: Collection[str] = ()
) -> NextCheck:
    """A question as a check at the place concerned, from the states that were reached."""
    return NextCheck(
        id=key,
        question=asked.ask.format(place=places_named(evidence)),
        minutes=check_minutes(evidence, asked, reached),
        safety=f"{asked.safety} {BY_THE_BOOK}",
        why=why,
    )


@lru_cache(maxsize=4096)
def _why(situation: Situation, key: str) -> str:
    """Which cause each of the likeliest answers would speak for."""
    table = evidence_table()
    asked, likely = table.observations[key], believed(situation)
    shares, words = _answer_shares(likely, asked.p), tuple(asked.answers.values())
    meant: dict[str, list[str]] = {}
    for k in sorted(range(len(shares)), key=lambda k: -shares[k])[:_MOST_ANSWERS]:
        # Squared: a cause that is believed and explains the answer well, not the believed one by habit.
        fit = {cause: share * asked.p[cause][k] ** 2 for cause, share in likely.items()}
        meant.setdefault(max(fit, key=lambda cause: fit[cause]), []).append(f'"{words[k]}"')
    said = (f"{' or '.join(answers)} would point to {table.causes[c].short}" for c, answers in meant.items())
    return f"It tells most per minute now: {', '.join(said)}."


def places_named(evidence: LogEvidence) -> str:
    """The place in words with the names of its corners."""
    count = len(evidence.vehicle.axles)
    if evidence.fault.scope == "vehicle":
        return "each wheel"
    if 0 < len(evidence.corners) < 3:
        return " and ".join(corner_words(corner, count) for corner in evidence.corners)
    return " and ".join(f"{axle_words(axle, count)} left and right" for axle in evidence.axles)
