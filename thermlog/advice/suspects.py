"""Causes of an odd corner, axle or vehicle in words, the likeliest first, with what speaks for each.

All numbers stand in ``evidence.toml`` and are engineering judgement: they order what to look at first, never
percentages on paper.
"""

from __future__ import annotations

from functools import lru_cache
from math import log

from thermlog.advice.apart import suspects_apart
from thermlog.advice.evidence import Cause, Observation
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.situations import Situation, priors, situation_of
from thermlog.advice.twice import agreed_pairs, made_twice
from thermlog.advice.weighing import cause_weights, nothing_fits, weights_of
from thermlog.words.findings import CauseFit, Suspect
from thermlog.words.sentences import named, sentence, with_article
from thermlog.words.vehicle import is_diagonal, mate_of

_MOST_SUSPECTS = 5
_MOST_EACH = 3  # of each of several
NO_SINGLE_CAUSE = "Does not fit a single cause"  # all that a small screen has room for


def rank_suspects(evidence: LogEvidence) -> tuple[Suspect, ...]:
    """Causes worth a look by the log alone, the likeliest first.

    Returns
    -------
    tuple of Suspect
        At most five, of several suspects three of each, the severer first, and one line for "no single cause
        fits"; empty if nothing is odd or nothing can be told.
    """
    if not evidence.fault.is_fault:
        return ()
    apart = suspects_apart(evidence)
    most = _MOST_SUSPECTS if len(apart) == 1 else _MOST_EACH
    return tuple(cause for one in apart for cause in ranked(one, situation_of(one), most=most))


def ranked(evidence: LogEvidence, situation: Situation, *, most: int = _MOST_SUSPECTS) -> tuple[Suspect, ...]:
    """The same of one suspect by all that is known, which may hold answers found at the wheel."""
    weights = cause_weights(situation)
    best = max(weights.values())
    unlike = evidence.fault.scope == "several" or nothing_fits(situation, weights_of(situation))
    at_most: CauseFit = "possible" if unlike else "likely"
    listed = [
        _suspect(evidence, situation, cause, weight / best, at_most=at_most)
        for cause, weight in list(weights.items())[:most]
        if weight >= best * evidence_table().rule["least_ratio"]
    ]
    return (*([_no_single_cause(evidence, situation)] if unlike else []), *listed)


def _no_single_cause(evidence: LogEvidence, situation: Situation) -> Suspect:
    asked, scope = evidence_table().observations, evidence_table().role["scope"]
    facts = [
        f"{asked[key].fact(answer)}." for key, answer in agreed_pairs(situation.told) if key not in scope
    ]
    place, corners = _corners_or_axles(evidence)
    several = ["Several corners stand out, each by itself."] if evidence.fault.scope == "several" else []
    return Suspect(
        cause="no_single_cause",
        name=f"{NO_SINGLE_CAUSE}: look for two faults or a reading problem",
        place=place,
        corners=corners,
        standing="likely",
        for_=(*several, *facts),
    )


def _suspect(
    evidence: LogEvidence, situation: Situation, cause: str, ratio: float, *, at_most: CauseFit
) -> Suspect:
    table = evidence_table()
    speaks_for, speaks_against = _reasons(situation, cause)
    place, corners = _place(evidence, table.causes[cause])
    standing = at_most if ratio >= table.rule["likely_ratio"] else "possible"
    return Suspect(
        cause=cause,
        name=table.causes[cause].name,
        place=place,
        corners=corners,
        standing=standing if ratio >= table.rule["possible_ratio"] else "unlikely",
        for_=speaks_for,
        against=speaks_against,
    )


def _place(evidence: LogEvidence, cause: Cause) -> tuple[str, tuple[str, ...]]:
    """Where a cause of this scope would sit: corner, axle, circuit or the whole vehicle.

    In words, and its corners where it is these alone.
    """
    if cause.scope == "vehicle" or evidence.fault.scope == "vehicle":
        return "whole vehicle", ()
    if cause.scope.startswith("axle") and not is_diagonal(evidence.corners):
        return _axles(evidence.axles), ()
    place, corners = _corners_or_axles(evidence)
    if evidence.open_side and cause.scope == "corner" and len(evidence.corners) == 1:
        mate = mate_of(evidence.corners[0])
        if cause.tends not in {"hot", "cold"}:
            return sentence("{} or {}", place, named(mate)), ()
        return (place, corners) if evidence.fault.sign == cause.tends else _at_corners(mate)
    shared = len(evidence.axles) > 1 and evidence.fault.scope != "several" and "circuit" in cause.scope
    if shared or cause.scope == "circuit":
        return sentence("circuit of {}", place), ()
    return place, corners


def _corners_or_axles(evidence: LogEvidence) -> tuple[str, tuple[str, ...]]:
    few = 0 < len(evidence.corners) < 3
    return _at_corners(*evidence.corners) if few else (_axles(evidence.axles), ())


def _at_corners(*corners: str) -> tuple[str, tuple[str, ...]]:
    return sentence("{}", named(*corners)), corners


def _axles(numbers: tuple[int, ...]) -> str:
    return f"axle{'s' if len(numbers) > 1 else ''} {' and '.join(map(str, numbers))}"


@lru_cache(maxsize=4096)
def _reasons(situation: Situation, cause: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What speaks for a cause against its rivals, what against it, the strongest first.

    An answer that all causes worth naming explain alike, such as that something stands out, is no reason; nor
    is a check that had another answer the second time.
    """
    table = evidence_table()
    weights = cause_weights(situation)
    rivals = {key: weight for key, weight in weights.items() if key != cause}
    total = sum(rivals.values())
    told = []
    for key, answer in agreed_pairs(situation.told):
        asked = table.observations[key]
        beside = sum(weight * asked.likelihood(answer, rival) for rival, weight in rivals.items()) / total
        told.append((asked.likelihood(answer, cause) / beside, key, answer))
    strongest = sorted(told, key=lambda one: -abs(log(one[0])))
    least, most = table.rule["reason_for"], table.rule["reason_against"]
    twice = made_twice(situation.found)
    speaks_for = [
        _in_favour(table.observations[key], answer, cause, twice=key in twice)
        for ratio, key, answer in strongest
        if ratio >= least
    ]
    speaks_against = [
        _against(table.observations[key], answer, cause) for ratio, key, answer in strongest if ratio <= most
    ]
    return (*speaks_for, *_known_for(situation, cause)), (*speaks_against, *_doubts(situation, cause))


def _in_favour(asked: Observation, answer: str, cause: str, *, twice: bool) -> str:
    """What speaks for a cause; where it mostly shows another answer, that is said."""
    fact = f"{asked.fact(answer)}, twice" if twice else asked.fact(answer)
    if asked.usual(cause) == asked.answers[answer]:
        return f"{fact}."
    return f"{fact}: seldom with this cause, more seldom with the others."


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
    known = situation.causes_found
    count = 0 if known is None else dict(known.counts).get(cause, 0)
    if known is not None and count:
        return [f"Found {count} of {known.total} times at this depot."]
    often = priors(situation)[cause] >= table.rule["often_share"]
    return ["Common on such a brake (judgement, not statistics)."] if often else []


def _doubts(situation: Situation, cause: str) -> list[str]:
    """What the description leaves open, or says against a cause."""
    table = evidence_table()
    found = table.causes[cause]
    said = []
    if found.requires == "idle_axle_here" and not situation.idle:
        said.append("Nothing describes this axle as raised, lightly loaded or slowed by the motor.")
    if found.requires == "whole_trailer_here" and situation.trailer == "part":
        said.append("Another axle of this trailer does its part.")
    if "circuit" in found.scope and situation.wrong_split:
        said.append("The stated hydraulic split does not join these corners.")
    if found.requires.endswith("_brake_here") and situation.parking == "assumed":
        said.append("The description does not say that the parking brake acts here.")
    if situation.share_of(found.brakes) < table.rule["known_share"]:
        kinds = " or ".join(table.brake_words[kind] for kind, _ in situation.shares if kind in found.brakes)
        said.append(f"Only on {with_article(kinds)}; the log does not say which brake this is.")
    return said
