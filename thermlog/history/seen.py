"""What drives show of their brakes, one by one: what numbers of a policy are learned from."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import FITTED
from thermlog.inference.likelihood import Likeness
from thermlog.judging.axlenumbers import FEWEST_FOR_TAU
from thermlog.judging.tell import tell_findings
from thermlog.words.findings import Answers, AnswerWord
from thermlog.words.vehicle import HUB_SPOT, SPOTS, WeightClass, unit_key

if TYPE_CHECKING:
    from thermlog.judging.judged import Judged
    from thermlog.words.policy import Policy

CoolingKind: TypeAlias = Literal["disc", "drum", "hub"]
WORDS: tuple[AnswerWord, ...] = ("yes", "watch", "cannot_tell", "no")
PRIOR_FINDINGS = 20.0  # that what was believed before counts as; engineering judgement
_MOST_PRIOR_PART = 0.5  # of a fitted time constant that may come from what was believed before
_LEAST_RISE_K = 10.0  # of the cooler side: below, a kelvin of the air makes any ratio


class AxleSeen(Struct, frozen=True, kw_only=True):
    """One axle on one drive with braking.

    Attributes
    ----------
    axle : int
    role : str
        What the axle does.
    likeness : Likeness
        Are its brakes of the commonest kind of the vehicle?
    unlike_ln : float
        Logarithm of left over right.
    share_ln : float or None
        Logarithm of the axle's heat over the vehicle's; None where it is the only one.
    steered : bool
        True if the vehicle has a steer axle before others.
    axle_count : int
        Axles of which that is known.
    """

    axle: int
    role: str
    likeness: Likeness
    unlike_ln: float
    share_ln: float | None
    steered: bool
    axle_count: int


class DriveSeen(Struct, frozen=True, kw_only=True):
    """One drive with braking.

    Attributes
    ----------
    unit : str
        Vehicle, or the log where it names none.
    log_sha256 : str
    weight_class : WeightClass
    answer : AnswerWord
        The most pressing of the answers about drag and idle brakes.
    drag : AnswerWord
    taken_s : float or None
        When, since 1970 [s].
    axles : tuple of AxleSeen
        Empty for a drive that teaches nothing of healthy brakes: called, or its air unknown.
    tau_ln : tuple of (CoolingKind, float)
        Logarithms of the time constants of pairs that the readings tell, freed of what was believed before.
    """

    unit: str
    log_sha256: str
    weight_class: WeightClass
    answer: AnswerWord
    drag: AnswerWord
    taken_s: float | None
    axles: tuple[AxleSeen, ...] = ()
    tau_ln: tuple[tuple[CoolingKind, float], ...] = ()

    @property
    def called(self) -> bool:
        """True if a brake was called: nothing is learned of healthy ones."""
        return self.answer == "yes"


def drives_seen(judged: Judged) -> Iterator[DriveSeen]:
    """All drives of a batch, in order; those without braking left out.

    Parameters
    ----------
    judged : Judged
    """
    for k, case in enumerate(judged.readings.cases):
        if case.drive == "coast":
            continue
        answers = tell_findings(judged, k).answers
        teaches = case.ambient_degc is not None and "yes" not in _said(answers)
        yield DriveSeen(
            unit=unit_key(case.vehicle) if case.vehicle else case.log.sha256,
            log_sha256=case.log.sha256,
            weight_class=judged.vehicles[k].weight_class,
            answer=next(word for word in WORDS if word in _said(answers)),
            drag=answers.drag.answer,
            taken_s=case.taken_s,
            axles=tuple(_axles(judged, k)) if teaches else (),
            tau_ln=tuple(_taus(judged, k)) if teaches else (),
        )


def _said(answers: Answers) -> set[AnswerWord]:
    return {answers.drag.answer, answers.idle.answer}


def _axles(judged: Judged, k: int) -> Iterator[AxleSeen]:
    """Axles both of whose brakes were read warm enough for a ratio."""
    rise, fitted = judged.comparison.state.rise_k, judged.fits.state == FITTED
    pairs = [
        pair
        for pair in range(int(judged.pairs.first[k]), int(judged.pairs.first[k + 1]))
        if judged.comparison.chosen[pair] and fitted[:, pair].all() and rise[:, pair].min() >= _LEAST_RISE_K
    ]
    levels = [float(np.log(rise[:, pair]).mean()) for pair in pairs]
    vehicle, likeness = judged.vehicles[k], judged.evidence.context.likeness[k]
    for pair, level in zip(pairs, levels, strict=True):
        axle = int(judged.pairs.axle[pair])
        yield AxleSeen(
            axle=axle,
            role=vehicle.axle(axle).role,
            likeness=likeness[axle - 1] if axle <= len(likeness) else "unsaid",
            unlike_ln=float(np.log(rise[0, pair] / rise[1, pair])),
            share_ln=level - sum(levels) / len(levels) if len(levels) > 1 else None,
            steered=vehicle.axle(1).role == "steer",
            axle_count=len(levels),
        )


def _taus(judged: Judged, k: int) -> Iterator[tuple[CoolingKind, float]]:
    """Time constants of brakes and hubs, the mean of both sides of each.

    A fitted one lies between what the readings say and what was believed before; the share of the latter is
    the variance that is left over the one before, and is taken out again.
    """
    fits, vehicle, policy = judged.fits, judged.vehicles[k], judged.policies[k]
    for pair in range(int(judged.pairs.first[k]), int(judged.pairs.first[k + 1])):
        hub = SPOTS[int(judged.pairs.spot[pair])] == HUB_SPOT
        told = (fits.state[:, pair] == FITTED).all() and fits.used[:, pair].min() >= FEWEST_FOR_TAU
        if not told or not (hub or judged.comparison.chosen[pair]):
            continue
        drum = vehicle.has_drum(int(judged.pairs.axle[pair]))
        kind: CoolingKind = "hub" if hub else "drum" if drum else "disc"
        mean, variance = _believed(policy, kind)
        both = fits.covariance[np.ix_((1, 3), (1, 3), (pair,))]
        part = float(both.sum()) / 4.0 / variance
        if part <= _MOST_PRIOR_PART:
            yield kind, mean + (float(fits.log_tau[:, pair].mean()) - mean) / (1.0 - part)


def _believed(policy: Policy, kind: CoolingKind) -> tuple[float, float]:
    """Mean and variance of the mean of both sides, before any reading."""
    tau_s, spread = getattr(policy, f"tau_{kind}_s"), getattr(policy, f"tau_{kind}_spread")
    return math.log(tau_s), max(spread**2 - policy.tau_side_spread**2 / 4.0, 1e-12)
