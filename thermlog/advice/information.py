"""The physical check that tells most about the cause per minute: expected information over time."""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache
from math import log

import numpy as np
from msgspec.structs import replace

from thermlog.advice.board import (
    before_opening,
    believed,
    bits_per_minute,
    board_of,
    check_minutes,
    expected_bits,
    may_be_asked,
    minutes_of,
)
from thermlog.advice.doing import BY_THE_BOOK, doing
from thermlog.advice.evidence import Observation
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.heat import is_too_hot
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.ordering import standing_before
from thermlog.advice.situations import Situation, parking_first, situation_of
from thermlog.words.findings import NextCheck
from thermlog.words.sentences import degc, listed, sentence
from thermlog.words.vehicle import axle_words, corner_words

_MOST_ANSWERS = 3  # answers explained beside a check
_COOLED = "Touch nothing yet, let {} cool: does the gun read below {} at every part to be touched?"


def telling_check(evidence: LogEvidence) -> NextCheck:
    """The check with the highest expected information per minute."""
    situation = situation_of(evidence)
    key = _best_check(
        situation, wheels_looked_at(evidence), warm=is_warm(evidence), wait_min=_rounded(evidence)
    )
    doubt = " Only one reading stands behind this: repeat it first." if evidence.single_reading else ""
    return as_check(evidence, key, _why(situation, key) + doubt)


def is_warm(evidence: LogEvidence) -> bool:
    """True while a check that needs heat can still be made, as far as the log knows."""
    return evidence.brake_degc is None or evidence.brake_degc >= doing().rule["warm_degc"]


def is_cold(evidence: LogEvidence) -> bool:
    """True where nothing has to cool: no brake is warm to the hand, or the odd one had no work.

    Beside a brake that is too hot for anybody near a wheel the odd one is waited for, too.
    """
    cool = evidence.brake_degc is not None and evidence.brake_degc < doing().rule["cool_degc"]
    odd_is = evidence.fault.sign == "cold" and not evidence.open_side
    return cool or (odd_is and not is_too_hot(evidence))


def cooling_min(evidence: LogEvidence, passed_min: float = 0.0) -> float:
    """Minutes until the hottest brake may be touched, so long after the readings [min].

    It cools towards the air with the usual time constant, also while other checks are made.
    """
    if is_cold(evidence):
        return 0.0
    setup = evidence_table().setup_min
    air_degc = setup["cold_air_degc"]
    from_degc = setup["cold_from_degc"] if evidence.brake_degc is None else evidence.brake_degc
    decay = max(1.0, (from_degc - air_degc) / (doing().rule["cool_degc"] - air_degc))
    return max(0.0, setup[f"cold_tau_{evidence.vehicle.weight_class}"] * log(decay) - passed_min)


def _rounded(evidence: LogEvidence) -> float:
    """`cooling_min` to ten minutes: many vehicles of a fleet are alike then, and are chosen for once."""
    return round(cooling_min(evidence), -1)


@lru_cache(maxsize=4096)
def _best_check(situation: Situation, places: tuple[int, int], *, warm: bool, wait_min: float) -> str:
    board = board_of(situation)
    able = may_be_asked(board, situation, warm=warm, opened=not before_opening(situation))
    able &= np.array([one.key in evidence_table().observations for one in board.asked])
    standing = standing_before(board, situation, able)
    able &= ~standing.shut
    role = evidence_table().role
    # What comes before it may be asked itself; what work it had is asked by the search.
    behind = [key for key, first in standing.before.items() if {one.key for one in first} - {*role["work"]}]
    able[board.at_some(behind)] = False
    parking = board.at_some(role["parking"]) if parking_first(situation) else []
    if any(able[k] for k in parking):
        return next(board.asked[k].key for k in parking if able[k])
    minutes = minutes_of(situation, places, frozenset(), wait_min=wait_min)
    rate = bits_per_minute(board, expected_bits(board, situation), minutes)
    return board.asked[int(np.where(able, rate, -np.inf).argmax())].key


def parking_check(evidence: LogEvidence) -> str:
    """The check of the parking brake that is of the kind fitted here: by lever and cable, or by air."""
    table, situation = evidence_table(), situation_of(evidence)
    asked = {key: table.observations[key] for key in table.role["parking"]}
    return max(asked, key=lambda key: situation.share_of(asked[key].applies_to))


def wheels_looked_at(evidence: LogEvidence) -> tuple[int, int]:
    """Number of wheels that eye and gun look at, and of those where hands work.

    Where several wheels stand out as one fault, what they share shows at each, so one of them is enough.
    """
    wheels = len(evidence.corners) or 2 * len(evidence.axles)
    return wheels, wheels if evidence.fault.scope == "several" else 1


def minutes_here(
    evidence: LogEvidence, asked: Observation, reached: Collection[str] = (), *, passed_min: float = 0.0
) -> float:
    """Time for a check here, from the states that were reached and so long after the readings [min]."""
    return check_minutes(
        asked,
        evidence.vehicle.weight_class,
        places=wheels_looked_at(evidence),
        reached=reached,
        wait_min=cooling_min(evidence, passed_min),
    )


def as_check(evidence: LogEvidence, key: str, why: str) -> NextCheck:
    """One question of the evidence file as an instruction at the place concerned."""
    asked = evidence_table().observations[key]
    check = check_of(evidence, key, asked, why)
    return replace(check, question=asked.instruction.format(place=asked_at(evidence, asked)))


def check_of(
    evidence: LogEvidence,
    key: str,
    asked: Observation,
    why: str,
    reached: Collection[str] = (),
    *,
    passed_min: float = 0.0,
) -> NextCheck:
    """A question as a check at the place concerned, from the states that were reached."""
    return NextCheck(
        id=key,
        question=asked.ask.format(place=asked_at(evidence, asked)),
        minutes=minutes_here(evidence, asked, reached, passed_min=passed_min),
        safety=f"{asked.safety} {BY_THE_BOOK}",
        why=why,
    )


def cooled_question(evidence: LogEvidence) -> str:
    """Whether it has cooled so far that the place concerned may be touched."""
    cool = degc(doing().rule["cool_degc"])
    return sentence(_COOLED, places_named(evidence), cool)


@lru_cache(maxsize=4096)
def _why(situation: Situation, key: str) -> str:
    """Which cause each of the likeliest answers would speak for."""
    table = evidence_table()
    asked, shares = table.observations[key], believed(situation)
    likely = {cause: share for cause, share in zip(table.causes, shares, strict=True) if share > 0.0}
    words = tuple(asked.answers.values())
    met = [sum(share * asked.p[cause][k] for cause, share in likely.items()) for k in range(len(words))]
    meant: dict[str, list[str]] = {}
    for k in sorted(range(len(met)), key=lambda k: -met[k])[:_MOST_ANSWERS]:
        # Squared: a cause that is believed and explains the answer well, not the believed one by habit.
        fit = {cause: share * asked.p[cause][k] ** 2 for cause, share in likely.items()}
        meant.setdefault(max(fit, key=lambda cause: fit[cause]), []).append(f'"{words[k]}"')
    said = (f"{' or '.join(answers)} would point to {table.causes[c].short}" for c, answers in meant.items())
    return f"It tells most per minute now: {', '.join(said)}."


def asked_at(evidence: LogEvidence, asked: Observation) -> str:
    """Where a question is asked: what brings hands to a wheel is done at one of those that stand out.

    So is what is done once for an axle, or the vehicle, and felt at the wheel that was raised.
    """
    looked_at, worked_at = wheels_looked_at(evidence)
    at_one = "lift" in asked.needs or (asked.once == "wheel" and asked.touches)
    if not at_one or worked_at == looked_at:
        return places_named(evidence)
    if evidence.fault.scope == "vehicle":
        return "one of the wheels"
    return f"one of {places_named(evidence)}"


def places_named(evidence: LogEvidence) -> str:
    """The place in words with the names of its corners, those of the log behind ours."""
    count = len(evidence.vehicle.axles)
    if evidence.fault.scope == "vehicle":
        return "each wheel"
    if 0 < len(evidence.corners) < 3:
        return listed(corner_words(corner, count, evidence.called) for corner in evidence.corners)
    return listed(f"{axle_words(axle, count)} left and right" for axle in evidence.axles)
