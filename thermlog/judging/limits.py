"""What a log could have shown: drags and losses planted into its own readings, and the case weighed again.

Extra heat that decays as the brake itself does moves the corner's rise at the common time and leaves its curve
as it is, so a fault is planted where the explanations are weighed; nothing is fitted again. The least fault that
the rules of the answers then raise is the decision threshold of this very log; with what another walk of the same
brakes would scatter on top it is the least fault found in four walks of five, the detection limit (Currie,
Analytical Chemistry 40 (1968) 586; ISO 11929; docs/sources.md).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.gaps import Gaps, is_plain
from thermlog.judging.likelihood import Brakes, Group, axle_likelihood, brake_likelihood
from thermlog.judging.pattern import Evidence, brakes_of, groups_of, nodes_of, read_of, skin_parts, speaking
from thermlog.judging.posterior import Posterior, weigh
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Floats, Ints

Change: TypeAlias = Callable[[Brakes], Brakes]
_Z80 = 0.8416  # standard normal quantile of 80 %
_STEPS = 8
_LOWEST_K, _HIGHEST_K = 3.0, 300.0


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


class _Places(Struct, frozen=True, kw_only=True, eq=False):
    """Corners of one group, one entry a corner.

    Attributes
    ----------
    case, row, side : int array (places,)
        Place of the case in the group, row of the axle, 0 left and 1 right.
    pair : int array (places,)
    rise_k, mate_k : float array (places,)
        Rise of the corner and of its mate [K].
    scatter_k : float array (places,)
        What the difference of two walks of corner and mate scatters by [K].
    """

    case: Ints
    row: Ints
    side: Ints
    pair: Ints
    rise_k: Floats
    mate_k: Floats
    scatter_k: Floats


class Trial(Struct, frozen=True, kw_only=True, eq=False):
    """One group, ready to have faults planted.

    Attributes
    ----------
    nodes : list of (weight, likelihood)
        Of the readings as they are.
    change : callable
        What is thought different from the readings as they are, such as one more round.
    """

    evidence: Evidence
    gaps: Gaps
    group: Group
    places: _Places
    nodes: list[tuple[float, Floats]]
    read: Bools
    change: Change


def unchanged(brakes: Brakes) -> Brakes:
    """The readings as they are."""
    return brakes


def trials(evidence: Evidence, gaps: Gaps, cases: Bools, change: Change = unchanged) -> list[Trial]:
    """Groups of the chosen cases.

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
    cases : bool array (cases,)
    change : callable
        From brakes as read to brakes as thought.
    """
    wanted = speaking(evidence) & cases[evidence.pairs.case]
    found = []
    for group in groups_of(evidence, np.flatnonzero(wanted)):
        read = read_of(evidence, group)
        found.append(
            Trial(
                evidence=evidence,
                gaps=gaps,
                group=group,
                places=_places(evidence, group, read, change),
                nodes=nodes_of(evidence, group, change),
                read=read,
                change=change,
            )
        )
    return found


def _places(evidence: Evidence, group: Group, read: Bools, change: Change) -> _Places:
    axles = len(group.axles)
    case, at = np.nonzero(read)
    side, row = at // axles, at % axles
    brakes = change(brakes_of(evidence, group.columns))
    rise, variance = (
        column.reshape(axles, group.cases.size, 2) for column in (brakes.rise_k, brakes.variance)
    )
    both = np.nansum(variance, axis=2)[row, case]
    return _Places(
        case=case,
        row=row,
        side=side,
        pair=group.columns[row, case],
        rise_k=rise[row, case, side],
        mate_k=rise[row, case, 1 - side],
        scatter_k=np.sqrt(2.0 * both),
    )


def clears_drag(trial: Trial) -> Bools:
    """Corners at which a drag as large as the policy's line would have shown in four cases of five."""
    policy, places = trial.group.policy, trial.places
    line = drag_line_k(policy, places.rise_k)
    return _shows_drag(trial, line - _Z80 * places.scatter_k)


def clears_idle(trial: Trial) -> Bools:
    """Corners at which a loss as large as the policy's line would have shown in four cases of five."""
    places = trial.places
    with np.errstate(divide="ignore", invalid="ignore"):
        share = trial.group.policy.hidden_loss_share - _Z80 * places.scatter_k / places.rise_k
    return (places.rise_k > 0) & (share > 0) & _shows_idle(trial, np.clip(share, 0.0, 1.0))


def drag_line_k(policy: Policy, rise_k: Floats) -> Floats:
    """Largest drag that may stay hidden where "no" is said [K]."""
    line: Floats = np.maximum(policy.hidden_drag_k, policy.hidden_drag_part * np.maximum(rise_k, 0.0))
    return line


def limits_of(evidence: Evidence, gaps: Gaps, cases: Bools, change: Change = unchanged) -> Limits:
    """The least faults of some cases.

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
    cases : bool array (cases,)
    change : callable

    Returns
    -------
    Limits
    """
    count = evidence.pairs.count
    found = Limits(extra_k=np.full((2, count), np.nan), loss_share=np.full((2, count), np.nan))
    for trial in trials(evidence, gaps, cases, change):
        places = trial.places
        where = (places.side, places.pair)
        found.extra_k[where] = _least_drag_k(trial)
        if not trial.group.coast:
            found.loss_share[where] = _least_loss(trial)
    return found


def _least_drag_k(trial: Trial) -> Floats:
    low, high = (np.full(trial.places.case.size, np.log(end)) for end in (_LOWEST_K, _HIGHEST_K))
    edge = np.exp(_bisected(low, high, lambda middle: _shows_drag(trial, np.exp(middle))))
    limit: Floats = edge + _Z80 * trial.places.scatter_k
    return limit


def _least_loss(trial: Trial) -> Floats:
    places = trial.places
    low, high = np.zeros(places.case.size), np.ones(places.case.size)
    edge = _bisected(low, high, lambda middle: _shows_idle(trial, middle))
    with np.errstate(divide="ignore", invalid="ignore"):
        limit = edge + _Z80 * places.scatter_k / places.rise_k
    return np.where((places.rise_k > 0) & (limit <= 1.0), limit, np.inf)


def _bisected(low: Floats, high: Floats, shows: Callable[[Floats], Bools]) -> Floats:
    """Edge between what does not show and what does; inf where even the highest does not."""
    seen = shows(high)
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        hit = shows(middle)
        low, high = np.where(hit, low, middle), np.where(hit, middle, high)
    return np.where(seen, high, np.inf)


def _shows_drag(trial: Trial, extra_k: Floats) -> Bools:
    """Would the rules of the answers raise this?"""
    policy, places = trial.group.policy, trial.places
    extra = np.maximum(extra_k, 0.0)
    found = _planted(trial, extra)
    hot = found.p_hot[places.side, places.row, np.arange(places.case.size)]
    rise = places.rise_k + extra
    gap_k, half_k = rise - places.mate_k, trial.gaps.half_k[places.pair]
    plain = is_plain(gap_k - half_k, rise, places.mate_k, policy) & (hot >= policy.gap_probability)
    shown: Bools = (found.p_drag >= policy.doubt_probability) | plain
    return shown & (extra_k > 0)


def _shows_idle(trial: Trial, share: Floats) -> Bools:
    found = _planted(trial, -share * np.maximum(trial.places.rise_k, 0.0))
    shown: Bools = found.p_idle >= trial.group.policy.doubt_probability
    return shown


def _planted(trial: Trial, extra_k: Floats) -> Posterior:
    """The group weighed again, once a place, each time with one brake changed."""
    group, places = trial.group, trial.places
    nodes = []
    for (weight, likelihood), (_, part) in zip(trial.nodes, skin_parts(trial.evidence, group), strict=True):
        changed = likelihood[places.case]
        for row, axle in enumerate(group.axles):
            here = np.flatnonzero(places.row == row)
            brakes = trial.change(brakes_of(trial.evidence, group.columns[row, places.case[here]]))
            brakes = _with_extra(
                brakes, 2 * np.arange(here.size) + places.side[here], extra_k[here], group.policy
            )
            sides = brake_likelihood(brakes, group, trial.evidence.doubt, part)
            changed[here, row] = axle_likelihood(sides.reshape(here.size, 2, -1), axle, group)
        nodes.append((weight, changed))
    return weigh(group, nodes, trial.read[places.case])


def _with_extra(brakes: Brakes, at: Ints, extra_k: Floats, policy: Policy) -> Brakes:
    """Some brakes with extra heat; what scatters in proportion to the rise scatters accordingly."""
    added, variance = np.zeros(brakes.rise_k.size), brakes.variance.copy()
    added[at] = extra_k
    before, after = (
        policy.reading_sigma_k**2 + (policy.aim_fraction * rise) ** 2
        for rise in (brakes.rise_k[at], brakes.rise_k[at] + extra_k)
    )
    variance[at] *= after / before
    return replace(brakes, extra_k=added, variance=variance)
