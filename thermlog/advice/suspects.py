"""Causes of an odd corner, axle or vehicle, ranked by what the log itself answers.

Weight = prior times the likelihood of every answer of the log, to the power 0.7 because hot, hub and face
answers are not independent; the answer about where keeps its full weight. All numbers stand in
``evidence.toml`` and are engineering judgement: they order what to look at first, never percentages on paper.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import lru_cache
from math import log, prod
from typing import Literal, assert_never

from msgspec import Struct

from thermlog.advice.evidence import Cause, EvidenceTable, Observation
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.urgency import light_trailer
from thermlog.words.findings import Suspect
from thermlog.words.kinds import CORNER_HOT
from thermlog.words.sentences import named, sentence, with_article
from thermlog.words.vehicle import Axle, Split, Vehicle, WeightClass, mate_of

_MOST_SUSPECTS = 5


class Situation(Struct, frozen=True, kw_only=True):
    """All that moves the ranking; the same for every vehicle with the same answers, so results are kept.

    `steered`: is it one wheel that steers; `shares`: what the suspect's brake may be; `parking`: does the
    parking brake act on its axles; `idle`: does the description make cool brakes normal here; `trailer`: are
    its axles described as a trailer's; `answers`: what the log answers itself.
    """

    weight_class: WeightClass
    steered: bool
    split: Split
    shares: tuple[tuple[str, float], ...]
    parking: Literal["yes", "assumed", "no"]
    idle: bool
    trailer: bool = False
    answers: tuple[tuple[str, str], ...]

    def share_of(self, brakes: Collection[str]) -> float:
        """Probability that the brake is one of these kinds."""
        return sum(share for kind, share in self.shares if kind in brakes)

    @property
    def wrong_split(self) -> bool:
        """True if the stated hydraulic split does not join the corners that stand out."""
        joins = {"diagonal": "diagonal_pair", "front_rear": "axle_pair"}.get(self.split)
        seen = dict(self.answers).get(evidence_table().named("scope"))
        return joins is not None and seen != joins and seen in {"diagonal_pair", "axle_pair"}


def rank_suspects(evidence: LogEvidence) -> tuple[Suspect, ...]:
    """Causes worth a look by the log alone, the likeliest first.

    Returns
    -------
    tuple of Suspect
        At most five and one line for "no single cause fits"; empty if nothing is odd or nothing can be told.
    """
    if not evidence.fault.is_fault:
        return ()
    return ranked(evidence, situation_of(evidence))


def ranked(evidence: LogEvidence, situation: Situation) -> tuple[Suspect, ...]:
    """The same by all that is known, `situation`, which may hold answers found at the wheel."""
    weights = cause_weights(situation)
    best = max(weights.values())
    unlike = evidence.fault.scope == "several" or nothing_fits(situation, weights)
    at_most = "also possible" if unlike else "most likely"
    listed = [
        _suspect(evidence, situation, cause, weight / best, at_most=at_most)
        for cause, weight in list(weights.items())[:_MOST_SUSPECTS]
        if weight >= best * evidence_table().rule["least_ratio"]
    ]
    return (*([_no_single_cause(evidence, situation)] if unlike else []), *listed)


def situation_of(evidence: LogEvidence) -> Situation:
    """The part of the evidence that moves the ranking."""
    vehicle = evidence.vehicle
    here = [vehicle.axle(number) for number in evidence.axles]
    return Situation(
        weight_class=vehicle.weight_class,
        steered=len(evidence.corners) == 1 and here[0].role == "steer",
        split=vehicle.split,
        shares=_shares(vehicle, here),
        parking=_parking(evidence, here),
        idle=evidence.spared,
        trailer=all(axle.role in {"trailer", "dolly"} for axle in here),
        answers=_answers(evidence),
    )


@lru_cache(maxsize=4096)
def cause_weights(situation: Situation) -> Mapping[str, float]:
    """Relative weight of every cause that can be present, the heaviest first."""
    table = evidence_table()
    raw = {
        cause: prior * prod(_tempered(table, key, answer, cause) for key, answer in situation.answers)
        for cause, prior in _priors(situation).items()
    }
    return dict(sorted(raw.items(), key=lambda item: -item[1]))


@lru_cache(maxsize=4096)
def _priors(situation: Situation) -> Mapping[str, float]:
    """Prior share of every cause that this brake, axle and vehicle can have."""
    raw = {key: _prior(cause, situation) for key, cause in evidence_table().causes.items()}
    total = sum(raw.values())
    return {key: prior / total for key, prior in raw.items() if prior > 0}


def _prior(cause: Cause, situation: Situation) -> float:
    return sum(_by_kind(cause, situation).values()) * _fitting(cause, situation)


def _by_kind(cause: Cause, situation: Situation) -> dict[str, float]:
    """Prior of a cause on each kind of brake that this may be, with the share of that kind."""
    unsaid = cause.requires == "idle_axle_here" and not situation.idle
    least = evidence_table().rule["idle_unsaid"]
    return {
        kind: share * (least if unsaid and kind in cause.prior else cause.prior.get(kind, 0.0))
        for kind, share in situation.shares
    }


def brake_parts(situation: Situation) -> dict[str, dict[str, float]]:
    """Probability of every kind of brake, given each cause that is possible here."""
    found = {}
    for key in _priors(situation):
        parts = _by_kind(evidence_table().causes[key], situation)
        total = sum(parts.values())
        found[key] = {kind: part / total for kind, part in parts.items()}
    return found


def _fitting(cause: Cause, situation: Situation) -> float:
    """Factor on a prior by what the vehicle has there; 0 where it lacks what the cause needs."""
    rule = evidence_table().rule
    factor = 1.0
    if cause.requires.endswith("_brake_here") and situation.parking == "no":
        return 0.0
    if cause.requires == "trailer_here" and not situation.trailer:
        return 0.0
    if cause.requires == "parking_brake_here":
        factor *= rule["parking_factor"]
    if cause.requires == "idle_axle_here" and situation.idle:
        factor *= rule["idle_factor"]
    if "circuit" in cause.scope and situation.wrong_split:
        factor *= rule["wrong_split"]
    return factor


def _tempered(table: EvidenceTable, key: str, answer: str, cause: str) -> float:
    p = table.observations[key].likelihood(answer, cause)
    return p if key in table.role["scope"] else float(p ** table.rule["temper"])


def _shares(vehicle: Vehicle, axles: list[Axle]) -> tuple[tuple[str, float], ...]:
    """Kinds of brake on these axles, averaged."""
    sums: dict[str, float] = {}
    for axle in axles:
        known = axle.brake or ("steer" if axle.role == "steer" else "axle")
        usual = "trailer_axle" if light_trailer(vehicle) else f"{vehicle.weight_class}_{known}"
        for kind, share in evidence_table().share[usual].items():
            sums[kind] = sums.get(kind, 0.0) + share / len(axles)
    return tuple(sums.items())


def _parking(evidence: LogEvidence, axles: list[Axle]) -> Literal["yes", "assumed", "no"]:
    """One parking brake can hold all that stands out only if it acts on all axles concerned."""
    enough = any if evidence.fault.scope == "several" else all
    if any(axle.parking_brake for axle in evidence.vehicle.axles):
        return "yes" if enough(axle.parking_brake for axle in axles) else "no"
    # Not described: hardly ever on the first axle, usually behind it (common practice, no source).
    return "assumed" if enough(number > 1 for number in evidence.axles) else "no"


def _answers(evidence: LogEvidence) -> tuple[tuple[str, str], ...]:
    """What the log answers by itself, in the order of the evidence file."""
    clearly_hot = evidence.fault.sign == "hot" and not evidence.open_side
    found = {
        "scope": evidence.fault.stands_out,
        "sign": _sign(evidence),
        "repeat": "one_reading" if evidence.single_reading else None,
        "coast": "still_hot" if clearly_hot and evidence.drive == "coast" else None,
        "face": _face(evidence.face_difference_k) if evidence.fault == CORNER_HOT else None,
        "hub": _hub(evidence),
    }
    table = evidence_table()
    return tuple((table.named(role), answer) for role, answer in found.items() if answer)


def _sign(evidence: LogEvidence) -> str | None:
    if evidence.open_side:
        return "open"
    if evidence.fault.scope == "hub":
        return "not_different"
    sign = evidence.fault.sign
    match sign:
        case "hot":
            return "hotter"
        case "cold":
            return "colder"
        case "mixed" | "none":
            return None
        case _:
            assert_never(sign)


def _face(difference_k: float | None) -> str | None:
    if difference_k is None:
        return None
    if abs(difference_k) < evidence_table().rule["face_difference_k"]:
        return "about_same"
    return "inner_hotter" if difference_k > 0 else "outer_hotter"


def _hub(evidence: LogEvidence) -> str | None:
    """What the hub of the first corner says; a hot brake warms its hub, too."""
    if evidence.hub_odd and evidence.hub_over_brake:
        return "hub_hotter_than_brake"
    if evidence.fault.scope == "hub":
        return "hub_alone"
    if evidence.fault != CORNER_HOT or not evidence.hub_read:
        return None
    over_mate = any(
        one.code == "hub_over_mate" and one.corner in evidence.corners[:1] for one in evidence.urgent
    )
    return "hub_above_mate" if over_mate else "hub_not_odd"


def nothing_fits(situation: Situation, weights: Mapping[str, float]) -> bool:
    """True if every cause worth naming has answers that it explains badly, more than slips account for.

    One answer in ten is wrong at a real wheel, too, so one of many that does not fit is no contradiction.
    """
    table = evidence_table()
    asked = [(key, answer) for key, answer in situation.answers if key not in table.role["repeat"]]
    slips = len(asked) // table.rule["answers_a_slip"]
    least = max(weights.values()) * table.rule["possible_ratio"]
    misfits = (
        sum(table.observations[key].likelihood(answer, cause) < table.rule["misfit"] for key, answer in asked)
        for cause, weight in weights.items()
        if weight >= least
    )
    return all(count > slips for count in misfits)


def _no_single_cause(evidence: LogEvidence, situation: Situation) -> Suspect:
    asked, scope = evidence_table().observations, evidence_table().role["scope"]
    facts = [f"{asked[key].fact(answer)}." for key, answer in situation.answers if key not in scope]
    several = ["Several corners stand out, each by itself."] if evidence.fault.scope == "several" else []
    return Suspect(
        cause="no_single_cause",
        name="Does not fit a single cause: look for two faults or a reading problem",
        place=_corners_or_axles(evidence),
        standing="most likely",
        for_=(*several, *facts),
    )


def _suspect(
    evidence: LogEvidence, situation: Situation, cause: str, ratio: float, *, at_most: str
) -> Suspect:
    table = evidence_table()
    speaks_for, speaks_against = _reasons(situation, cause)
    standing = at_most if ratio >= table.rule["likely_ratio"] else "also possible"
    return Suspect(
        cause=cause,
        name=table.causes[cause].name,
        place=_place(evidence, table.causes[cause]),
        standing=standing if ratio >= table.rule["possible_ratio"] else "unlikely",
        for_=speaks_for,
        against=speaks_against,
    )


def _place(evidence: LogEvidence, cause: Cause) -> str:
    """Where a cause of this scope would sit: corner, axle, circuit or the whole vehicle."""
    if cause.scope == "vehicle" or evidence.fault.scope == "vehicle":
        return "whole vehicle"
    if cause.scope.startswith("axle"):
        return _axles(evidence.axles)
    corners = _corners_or_axles(evidence)
    if evidence.open_side and cause.scope == "corner" and len(evidence.corners) == 1:
        mate = named(mate_of(evidence.corners[0]))
        if cause.tends not in {"hot", "cold"}:
            return sentence("{} or {}", corners, mate)
        return corners if evidence.fault.sign == cause.tends else sentence("{}", mate)
    shared = len(evidence.axles) > 1 and evidence.fault.scope != "several" and "circuit" in cause.scope
    return sentence("circuit of {}", corners) if shared or cause.scope == "circuit" else corners


def _corners_or_axles(evidence: LogEvidence) -> str:
    few = 0 < len(evidence.corners) < 3
    return sentence("{}", named(*evidence.corners)) if few else _axles(evidence.axles)


def _axles(numbers: tuple[int, ...]) -> str:
    return f"axle{'s' if len(numbers) > 1 else ''} {' and '.join(map(str, numbers))}"


@lru_cache(maxsize=4096)
def _reasons(situation: Situation, cause: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What speaks for a cause against its rivals, what against it, the strongest first.

    An answer that all causes worth naming explain alike, such as that something stands out, is no reason.
    """
    table = evidence_table()
    weights = cause_weights(situation)
    rivals = {key: weight for key, weight in weights.items() if key != cause}
    total = sum(rivals.values())
    told = []
    for key, answer in situation.answers:
        asked = table.observations[key]
        beside = sum(weight * asked.likelihood(answer, rival) for rival, weight in rivals.items()) / total
        told.append((asked.likelihood(answer, cause) / beside, asked, answer))
    strongest = sorted(told, key=lambda one: -abs(log(one[0])))
    least, most = table.rule["reason_for"], table.rule["reason_against"]
    speaks_for = [f"{asked.fact(answer)}." for ratio, asked, answer in strongest if ratio >= least]
    speaks_against = [_against(asked, answer, cause) for ratio, asked, answer in strongest if ratio <= most]
    return (*speaks_for, *_known_for(situation, cause)), (*speaks_against, *_doubts(situation, cause))


def _against(asked: Observation, answer: str, cause: str) -> str:
    """What speaks against a cause, and what would rather be seen with it."""
    usual = asked.usual(cause)
    if usual == asked.answers[answer]:
        return f"{asked.fact(answer)}: more usual with other causes."
    return f"{asked.fact(answer)}; with this cause more often {usual}."


def _known_for(situation: Situation, cause: str) -> list[str]:
    table = evidence_table()
    if table.causes[cause].requires == "idle_axle_here":
        return ["The description makes cool brakes normal here."] if situation.idle else []
    often = _priors(situation)[cause] >= table.rule["often_share"]
    return ["Common on such a brake (judgement, not statistics)."] if often else []


def _doubts(situation: Situation, cause: str) -> list[str]:
    """What the description leaves open, or says against a cause."""
    table = evidence_table()
    found = table.causes[cause]
    said = []
    if found.requires == "idle_axle_here" and not situation.idle:
        said.append("Nothing describes this axle as raised, lightly loaded or slowed by the motor.")
    if "circuit" in found.scope and situation.wrong_split:
        said.append("The stated hydraulic split does not join these corners.")
    if found.requires.endswith("_brake_here") and situation.parking == "assumed":
        said.append("The description does not say that the parking brake acts here.")
    if situation.share_of(found.brakes) < table.rule["known_share"]:
        kinds = " or ".join(table.brake_words[kind] for kind, _ in situation.shares if kind in found.brakes)
        said.append(f"Only on {with_article(kinds)}; the log does not say which brake this is.")
    return said
