"""What a log could have shown: drags and losses planted into its own readings, and the case weighed again.

Extra heat that decays as the brake itself does moves the corner's rise at the common time and leaves its
curve as it is, so a fault is planted where the explanations are weighed; nothing is fitted again. The least
fault that the rules of the answers then raise is the decision threshold of this very log; with what another
walk of the same brakes would scatter on top it is the least fault found in four walks of five, the detection
limit (Currie, Analytical Chemistry 40 (1968) 586; ISO 11929; docs/sources.md).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Protocol, TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.inference.edges import LogSteps, edges_of
from thermlog.inference.gaps import Gaps, is_plain
from thermlog.inference.likelihood import Brakes, Group
from thermlog.inference.pattern import (
    Evidence,
    Nodes,
    brakes_of,
    groups_of,
    heard_of,
    nodes_of,
    speaking,
    steady_of,
)
from thermlog.inference.scales import Change, Places, Scales, Weighing, scales_of, shares_with
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Floats, Ints

# From a group as driven and read to one as it is thought of.
Rethought: TypeAlias = Callable[[Group], tuple[Group, Change]]
Z80 = 0.8416  # standard normal quantile of 80 %
_STEPS = 256
_EXTRA_K = LogSteps(low=3.0, high=300.0, steps=_STEPS)
# Rise of the log odds from step to step near the line, measured on simulated walks: where to look, no more.
_DRAG_SLOPE, _LOSS_SLOPE = 0.05, 0.03
_FAR = 3.0  # as log odds
_LEAST_P = 1e-12
_AIR_SIGMAS = 2.0


class HidingLines(Protocol):
    """What a "no" may hide: of a policy, or of many as columns."""

    @property
    def hidden_drag_k(self) -> float | Floats: ...  # noqa: D102
    @property
    def hidden_drag_part(self) -> float | Floats: ...  # noqa: D102


class Limits(Struct, frozen=True, kw_only=True, eq=False):
    """The least fault at every corner that such a walk shows in four cases of five; an array (2, pairs) each.

    NaN for corners that were not asked about or not read, inf where even the largest would be missed.

    Attributes
    ----------
    extra_k : float array
        Extra heat at the common time, indicated [K].
    loss_share : float array
        Lost part of the brake's work, 0 to 1.
    """

    extra_k: Floats
    loss_share: Floats

    @classmethod
    def placed(cls, pairs: int, some: Iterable[LeastFaults]) -> Limits:
        """Of so many pairs: those of some corners, NaN for the others."""
        extra_k, loss_share = np.full((2, 2, pairs), np.nan)
        for one in some:
            extra_k[one.side, one.pair], loss_share[one.side, one.pair] = one.extra_k, one.loss_share
        return cls(extra_k=extra_k, loss_share=loss_share)


class LeastFaults(Struct, frozen=True, kw_only=True, eq=False):
    """The same of some corners, one entry a corner."""

    side: Ints
    pair: Ints
    extra_k: Floats
    loss_share: Floats | float


class Trial(Struct, frozen=True, kw_only=True, eq=False):
    """One group, ready to have faults planted.

    Attributes
    ----------
    gaps : Gaps
    group : Group
    places : Places
    scales : Scales
        Of these places.
    """

    gaps: Gaps
    group: Group
    places: Places
    scales: Scales


def unchanged(brakes: Brakes) -> Brakes:
    """The readings as they are."""
    return brakes


def as_read(group: Group) -> tuple[Group, Change]:
    """Driven and read as it was."""
    return group, unchanged


def trials(
    evidence: Evidence,
    gaps: Gaps,
    cases: Bools,
    rethought: Rethought = as_read,
    asked: Bools | None = None,
) -> list[Trial]:
    """Groups of the chosen cases.

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
    cases : bool array (cases,)
    rethought : callable
        Gives the group as it is thought of, and what makes brakes as thought of from its brakes as read.
    asked : bool array (2, pairs), optional
        Corners that are asked about; else all that can be.
    """
    wanted = speaking(evidence) & cases[evidence.pairs.case]
    found = []
    for group, change in map(rethought, groups_of(evidence, np.flatnonzero(wanted))):
        steady = steady_of(evidence, group)
        if asked is not None:
            steady &= asked[:, group.columns].reshape(-1, group.cases.size).T
        if steady.any():
            nodes = nodes_of(evidence, group, change)
            found.append(trial_of(evidence, gaps, (group, nodes), steady, change))
    return found


def trial_of(
    evidence: Evidence, gaps: Gaps, known: tuple[Group, Nodes], asked: Bools, change: Change = unchanged
) -> Trial:
    """One group, ready to have faults planted.

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
    known : tuple of (Group, Nodes)
        With its likelihoods under the same change.
    asked : bool array (cases, 2 * axles)
        Corners that are asked about, all left ones first.
    change : callable
        From brakes as read to brakes as thought.
    """
    group, nodes = known
    heard = heard_of(evidence, group)
    weighing = Weighing(evidence=evidence, group=group, read=heard, change=change, nodes=nodes)
    places = places_asked(evidence, group, asked, change)
    return Trial(gaps=gaps, group=group, places=places, scales=scales_of(weighing, places))


def places_asked(evidence: Evidence, group: Group, asked: Bools, change: Change) -> Places:
    """Corners of a group that are asked about: bool array (cases, 2 * axles), all left ones first."""
    axles = len(group.axles)
    at, case = np.nonzero(asked.T)
    side, row = at // axles, at % axles
    brakes = change(brakes_of(evidence, group.columns))
    rise, variance = (
        column.reshape(axles, group.cases.size, 2) for column in (brakes.rise_k, brakes.variance)
    )
    usual = evidence.usual_part
    as_shown = variance * np.moveaxis(usual[:, group.columns], 0, -1) ** 2
    both = np.nansum(as_shown, axis=2)[row, case]
    return Places(
        case=case,
        row=row,
        side=side,
        pair=group.columns[row, case],
        rise_k=rise[row, case, side],
        mate_k=rise[row, case, 1 - side],
        scatter_k=np.sqrt(2.0 * both),
        usual=usual[side, group.columns[row, case]],
        mate_usual=usual[1 - side, group.columns[row, case]],
    )


def clears_drag(trial: Trial, at: Ints) -> Bools:
    """Places of these at which a drag as large as the policy's line would have shown in 4 cases of 5."""
    policy, places = trial.group.policy, trial.places
    line = drag_line_k(policy, places.rise_k[at] * places.usual[at])
    return _drag_guide(trial, line - Z80 * places.scatter_k[at], at) >= 0.0


def clears_idle(trial: Trial, at: Ints) -> Bools:
    """Places of these at which a loss as large as the policy's line would have shown in 4 cases of 5."""
    rise_k, scatter_k = trial.places.rise_k[at], trial.places.scatter_k[at]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = trial.group.policy.hidden_loss_share - Z80 * scatter_k / rise_k
    return (rise_k > 0) & (share > 0) & (_idle_guide(trial, np.clip(share, 0.0, 1.0), at) >= 0.0)


def drag_line_k(policy: HidingLines, rise_k: Floats) -> Floats:
    """Largest drag that may stay hidden where "no" is said [K]."""
    line: Floats = np.maximum(policy.hidden_drag_k, policy.hidden_drag_part * np.maximum(rise_k, 0.0))
    return line


def drag_line_of(policy: Policy, rise_k: float) -> float:
    """The same of one brake."""
    return max(policy.hidden_drag_k, policy.hidden_drag_part * max(rise_k, 0.0))


def most_drag_k(rise_k: Floats, most_k: Floats, air_sigma_k: Floats | float) -> Floats:
    """Largest extra heat that readings leave room for: all heat that the brake holds [K].

    Parameters
    ----------
    rise_k, most_k : float array
        Rise of a brake, and that of its hottest reading [K].
    air_sigma_k : float array or float
        Standard uncertainty of the air, by which a rise may be more than it seems [K].
    """
    return np.asarray(np.fmax(np.fmax(rise_k, most_k), 0.0) + _AIR_SIGMAS * air_sigma_k)


def limits_of(evidence: Evidence, gaps: Gaps, cases: Bools) -> Limits:
    """The least faults of some cases.

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
    cases : bool array (cases,)

    Returns
    -------
    Limits
    """
    return Limits.placed(evidence.pairs.count, map(least_faults, trials(evidence, gaps, cases)))


def least_faults(trial: Trial) -> LeastFaults:
    """The least faults at the places of a trial; without braking no loss shows, and none is asked for."""
    return LeastFaults(
        side=trial.places.side,
        pair=trial.places.pair,
        extra_k=_least_drag_k(trial),
        loss_share=np.nan if trial.group.coast else _least_loss(trial),
    )


def _least_drag_k(trial: Trial) -> Floats:
    # a gap that is plain by itself is the most that is needed, and most often what is
    plain = _EXTRA_K.of(_plain_k(trial))
    edges = edges_of(
        lambda step, at: _drag_guide(trial, _EXTRA_K.at(step), at),
        np.ceil(plain).astype(np.int64) - 1,
        _EXTRA_K.steps,
        _DRAG_SLOPE,
    )
    # there the guide jumps, everywhere else it rises evenly
    jumps = (edges.step - 1 < plain) & (plain <= edges.step)
    crossed = _EXTRA_K.at(np.where(jumps, plain, edges.crossed()))
    edge = np.where(edges.step > _EXTRA_K.steps, np.inf, crossed)
    limit: Floats = edge + Z80 * trial.places.scatter_k
    return limit


def _plain_k(trial: Trial) -> Floats:
    """Extra heat that makes a plain gap [K]; the probabilities apart."""
    policy, places = trial.group.policy, trial.places
    mate, half_k = np.maximum(places.mate_k, 0.0), trial.gaps.half_k[places.pair]
    needed = np.maximum(mate + half_k + policy.watch_difference_k, policy.watch_ratio * mate)
    return np.nan_to_num((needed - places.rise_k) * places.usual, nan=_EXTRA_K.low)


def _least_loss(trial: Trial) -> Floats:
    places = trial.places
    edges = edges_of(
        lambda step, at: _idle_guide(trial, step / _STEPS, at),
        np.full(places.case.size, _STEPS // 2),
        _STEPS,
        _LOSS_SLOPE,
    )
    edge = np.where(edges.step > _STEPS, np.inf, edges.crossed() / _STEPS)
    with np.errstate(divide="ignore", invalid="ignore"):
        limit = edge + Z80 * places.scatter_k / places.rise_k
    return np.where((places.rise_k > 0) & (limit <= 1.0), limit, np.inf)


def _drag_guide(trial: Trial, extra_k: Floats, at: Ints | slice) -> Floats:
    """0 or more where the rules of the answers would raise this; below it how far off [log odds]."""
    policy, places = trial.group.policy, trial.places
    usual, mate_k, pair = places.usual[at], places.mate_k[at], places.pair[at]
    extra = np.maximum(extra_k, 0.0) / usual
    p_drag, hot = shares_with(trial.scales, extra, "drag", at)
    rise, half_k = places.rise_k[at] + extra, trial.gaps.half_k[pair]
    plain = is_plain(rise - mate_k - half_k, rise, mate_k, policy)
    shown_k, mate_shown_k = rise * usual, mate_k * places.mate_usual[at]
    plain &= is_plain(shown_k - mate_shown_k - half_k, shown_k, mate_shown_k, policy)
    by_gap = np.where(plain, _above(hot, policy.gap_probability), -_FAR)
    guide = np.maximum(_above(p_drag, policy.doubt_probability), by_gap)
    return np.where(extra_k > 0, guide, -_FAR)


def _idle_guide(trial: Trial, share: Floats, at: Ints | slice) -> Floats:
    """The same for a loss of some share of the work."""
    lost_k = share * np.maximum(trial.places.rise_k[at], 0.0)
    (p_idle,) = shares_with(trial.scales, -lost_k, "idle", at)
    return _above(p_idle, trial.group.policy.doubt_probability)


def _above(p: Floats, line: float) -> Floats:
    """How far a probability is above a line, as log odds: 0 or more just where it is not below."""
    odds = np.log(np.maximum(p, _LEAST_P) / np.maximum(1.0 - p, _LEAST_P))
    far = odds - np.log(line / (1.0 - line))
    return np.asarray(np.where(p >= line, np.maximum(far, 0.0), np.minimum(far, -_LEAST_P)))
