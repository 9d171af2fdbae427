"""All corners together: which explanations of the whole vehicle have most support.

Every brake is healthy, hot (drags: heat added) or cold (idle: a part of its heat left). The vehicle's heat
level, each axle's departure from its usual share, and how unlike its skins are, are unknown and summed over;
the explanations compete with the prior shares of the policy. The results are probabilities given that model
and those shares, no more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.fitting.fit import FITTED, Fits
from thermlog.fitting.pairs import Pairs
from thermlog.fitting.predict import SHIFT
from thermlog.inference.doubt import Doubt, heard, without_curve
from thermlog.inference.explanations import explanations
from thermlog.inference.left_right import SideComparison
from thermlog.inference.likelihood import (
    Brakes,
    Group,
    Likeness,
    Usual,
    axle_spread_of,
    brake_likelihood,
    by_state,
)
from thermlog.inference.odds import Odds, Separate, odds_of, once, separate_parts
from thermlog.inference.posterior import Posterior, named_faults, weigh
from thermlog.inference.skingap import SkinGap
from thermlog.inference.states import LOWEST_K, states_of
from thermlog.inference.support import Patterns, WeighedGroup, patterns_of
from thermlog.words.few import Few
from thermlog.words.findings import PatternKind
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Floats, Ints

_STACKED_CASES = 256  # judged at once: few calls; more of them gain no more
_SPREAD_DIGITS = 2  # of a spread: cases as alike as that are judged together
_AIR_PART = 0.1  # of the warmest rise: an air less certain than this is summed over
# Weight and place in standard deviations: Gauss-Hermite with one and with three points, exact for a normal
# distribution up to the fifth power (Abramowitz and Stegun, table 25.10; from memory, not checked).
_SURE = ((1.0, 0.0),)
_UNSURE_AIR = ((2.0 / 3.0, 0.0), (1.0 / 6.0, -(3.0**0.5)), (1.0 / 6.0, 3.0**0.5))
# In steps of one, which the own spread of an axle bridges; none beyond two: more is no matter of its kind.
_SHARED = ((0.403, 0.0), (0.244, -1.0), (0.244, 1.0), (0.0545, -2.0), (0.0545, 2.0))


class CaseContext(Struct, frozen=True, kw_only=True, eq=False):
    """What the pattern must know of every case besides its readings.

    Attributes
    ----------
    policies : Few of Policy (cases,)
    shot_sigma_k : float array (cases,)
        Scatter of one shot on one spot [K].
    coast : bool array (cases,)
        True for a drive without braking.
    axle_count : int array (cases,)
        Axles of the vehicle, read or not.
    steered_front : bool array (cases,)
        True if axle 1 is a steer axle before others, which has a usual share of its own.
    impossible : Few of frozenset of PatternKind (cases,)
        Explanations this vehicle or drive cannot have.
    spared : Few of frozenset of int (cases,)
        Axles that a motor or a retarder slows too: cold is no fault of theirs.
    towed : Few of frozenset of int (cases,)
        Axles behind a coupling, beside others before it.
    likeness : Few of tuple of {"like", "unlike", "unsaid"} (cases,)
        Of every axle: are its brakes of the commonest kind of the vehicle?
    silent : frozenset of (case, axle)
        Axles that say nothing, such as a lifted one.
    skins_even_share : float or None
        Share of vehicles whose skins are alike, learned from a batch; None: the policy's.
    """

    policies: Few[Policy]
    shot_sigma_k: Floats
    coast: Bools
    axle_count: Ints
    steered_front: Bools
    impossible: Few[frozenset[PatternKind]]
    spared: Few[frozenset[int]]
    towed: Few[frozenset[int]]
    likeness: Few[tuple[Likeness, ...]]
    silent: frozenset[tuple[int, int]]
    skins_even_share: float | None = None


class Evidence(Struct, frozen=True, kw_only=True, eq=False):
    """All that the explanations are weighed with.

    Attributes
    ----------
    comparison : SideComparison
        With the levels at which axles are weighed.
    gap : SkinGap
        What surfaces leave open in each rise.
    doubt : Doubt
        Corners whose readings contradict each other.
    usual : Usual or None
        What earlier visits lead to expect; the rises above are already beside it.
    """

    pairs: Pairs
    fits: Fits
    comparison: SideComparison
    gap: SkinGap
    doubt: Doubt
    context: CaseContext
    usual: Usual | None = None

    @property
    def usual_part(self) -> Floats:
        """What earlier visits show to be usual of every corner, in parts of what is expected: (2, pairs)."""
        offset = np.zeros_like(self.comparison.state.rise_k) if self.usual is None else self.usual.offset_ln
        part: Floats = np.exp(offset)
        return part

    def spreads_of(self, columns: Ints, likeness: Sequence[Likeness], policy: Policy) -> tuple[float, ...]:
        """Spread of the shares of some axles of one case; empty where earlier visits tell nothing of any."""
        if self.usual is None or np.isnan(self.usual.axle_spread[columns]).all():
            return ()
        each = zip(columns.tolist(), self.pairs.axle[columns].tolist(), strict=True)
        return tuple(
            axle_spread_of(policy, likeness[axle - 1])
            if np.isnan(self.usual.axle_spread[pair])
            else round(float(self.usual.axle_spread[pair]), _SPREAD_DIGITS)
            for pair, axle in each
        )


def find_patterns(evidence: Evidence) -> Patterns:
    """Weigh the explanations of every case.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    Patterns
    """
    weighed = [one for one, _ in weighed_groups(evidence)]
    return patterns_of(weighed, len(evidence.context.policies), evidence.pairs.count)


def weighed_groups(evidence: Evidence) -> Iterator[tuple[WeighedGroup, Nodes]]:
    """Every group weighed, with the likelihoods it was weighed with: see `nodes_of`."""
    for group in groups_of(evidence, np.flatnonzero(speaking(evidence))):
        nodes = nodes_of(evidence, group)
        yield _weighed(evidence, group, nodes), nodes


def _weighed(evidence: Evidence, group: Group, nodes: Nodes) -> WeighedGroup:
    shares = [(node.weight, odds, separate) for node, odds, separate in nodes]
    posterior = weigh(group, shares, heard_of(evidence, group))
    return WeighedGroup(
        group=group,
        posterior=posterior,
        skin_odds=_skin_odds([node for node, *_ in nodes], posterior),
        named=tuple(named_faults(group, posterior)),
    )


def _skin_odds(nodes: Sequence[Node], posterior: Posterior) -> Floats:
    """Evidence of skins alike over that of skins unlike; 1 where a policy knows of one kind only."""
    weight = np.array([node.weight for node in nodes])
    first = np.array([node.skin_part == nodes[0].skin_part for node in nodes])
    if not weight[first].sum() or not weight[~first].sum():
        return np.ones(posterior.node.shape[0])
    alike, unlike = (
        posterior.node[:, those] @ weight[those] / weight[those].sum() for those in (first, ~first)
    )
    odds: Floats = alike / np.maximum(unlike, 1e-300)
    return odds


def speaking(evidence: Evidence) -> Bools:
    """Pairs that speak for their axle."""
    pairs, comparison, silent = evidence.pairs, evidence.comparison, evidence.context.silent
    usable: Bools = comparison.chosen & heard(evidence.fits, evidence.doubt).any(0)
    usable &= np.isfinite(comparison.common_time_s)[pairs.case]
    if silent:
        places = zip(pairs.case.tolist(), pairs.axle.tolist(), strict=True)
        usable &= [place not in silent for place in places]
    return usable


def groups_of(evidence: Evidence, chosen: Ints) -> list[Group]:
    """Cases with the same axles, policy, description and kind of drive, so many at a time.

    Parameters
    ----------
    evidence : Evidence
    chosen : int array
        Of the pairs that speak, in order.

    Returns
    -------
    list of Group
    """
    context, pairs = evidence.context, evidence.pairs
    table: dict[tuple[object, ...], list[int]] = {}
    starts = np.searchsorted(pairs.case[chosen], np.arange(len(context.policies) + 1))
    axle = pairs.axle[chosen].tolist()
    like = np.stack(
        (
            _air_unsure(evidence, chosen),
            context.axle_count,
            context.policies.code,
            context.coast,
            context.steered_front,
            context.impossible.code,
            context.spared.code,
            context.towed.code,
            context.likeness.code,
        ),
        axis=1,
    ).tolist()
    for case, (begin, end) in enumerate(pairwise(starts.tolist())):
        if end > begin:
            spreads = evidence.spreads_of(chosen[begin:end], context.likeness[case], context.policies[case])
            table.setdefault((*like[case], *axle[begin:end], *spreads), []).append(case)
    return [
        _group(
            evidence, np.array(alike[begin : begin + _STACKED_CASES]), chosen, starts, air_unsure=bool(key[0])
        )
        for key, alike in table.items()
        for begin in range(0, len(alike), _STACKED_CASES)
    ]


def _air_unsure(evidence: Evidence, chosen: Ints) -> Bools:
    """Cases whose brakes hold so little heat that the uncertainty of the air matters."""
    cases, case = len(evidence.context.policies), evidence.pairs.case[chosen]
    warmest, sigma = np.zeros(cases), np.zeros(cases)
    np.maximum.at(warmest, case, np.nan_to_num(evidence.comparison.state.rise_k[:, chosen]).max(0))
    np.maximum.at(sigma, case, air_sigma_k(evidence)[chosen])
    unsure: Bools = sigma > _AIR_PART * warmest
    return unsure


def _group(evidence: Evidence, cases: Ints, chosen: Ints, starts: Ints, *, air_unsure: bool) -> Group:
    context, first = evidence.context, int(cases[0])
    axles = int(starts[first + 1] - starts[first])
    columns = chosen[starts[cases][None, :] + np.arange(axles)[:, None]]
    policy, coast = context.policies[first], bool(context.coast[first])
    count, impossible = int(context.axle_count[first]), context.impossible[first]
    numbers = tuple(evidence.pairs.axle[columns[:, 0]].tolist())
    spared, towed = (
        frozenset(row for row, number in enumerate(numbers) if number in those[first])
        for those in (context.spared, context.towed)
    )
    return Group(
        cases=cases,
        columns=columns,
        axles=numbers,
        policy=policy,
        shot_sigma_k=float(context.shot_sigma_k[first]),
        states=states_of(policy, coast=coast),
        coast=coast,
        steered_front=bool(context.steered_front[first]),
        axle_count=count,
        impossible=impossible,
        table=explanations(axles, count, policy, impossible, spared, towed=towed),
        likeness=context.likeness[first],
        air_unsure=air_unsure,
        towed=towed,
        axle_spreads=evidence.spreads_of(columns[:, 0], context.likeness[first], policy),
    )


def read_of(evidence: Evidence, group: Group) -> Bools:
    """Brakes of a group that have a curve: bool array (cases, 2 * axles), all left ones first."""
    fitted: Bools = (evidence.fits.state == FITTED)[:, group.columns]
    return fitted.reshape(-1, group.cases.size).T


def heard_of(evidence: Evidence, group: Group) -> Bools:
    """Brakes whose readings count, with a curve or without: as `read_of`."""
    return heard(evidence.fits, evidence.doubt)[:, group.columns].reshape(-1, group.cases.size).T


def steady_of(evidence: Evidence, group: Group) -> Bools:
    """Brakes with a curve whose mates do not climb or stand; as `read_of`. Only these have limits."""
    unsteady = without_curve(evidence.fits)[::-1, group.columns]
    return read_of(evidence, group) & ~unsteady.reshape(-1, group.cases.size).T


class Node(Struct, frozen=True, kw_only=True):
    """One way of what is not known of a vehicle and summed over.

    Attributes
    ----------
    weight : float
    skin_part : float
        How unlike its skins are, in parts of what is believed of them.
    air_sigmas : float
        How far the air is from the fitted one, in its standard uncertainties.
    kind_shift_ln : float
        As of `likelihood.Group`.
    """

    weight: float
    skin_part: float
    air_sigmas: float
    kind_shift_ln: float


# Every node with the likelihoods under it, and with what they make of separate faults.
Nodes: TypeAlias = list[tuple[Node, Odds, Separate]]


def unknowns(evidence: Evidence, group: Group) -> tuple[Node, ...]:
    """What is summed over: skins alike or not, kinds of brake apart, the air where it matters."""
    policy, learned = group.policy, evidence.context.skins_even_share
    even = policy.skins_even_share if learned is None else learned
    skins = (even, policy.skins_even_part), (1.0 - even, policy.skins_unlike_part)
    spread = group.kind_spread_ln
    return tuple(
        Node(weight=share * weight * part, skin_part=skin, air_sigmas=air, kind_shift_ln=off * spread)
        for share, skin in skins
        for weight, air in (_UNSURE_AIR if group.air_unsure else _SURE)
        for part, off in (_SHARED if spread else _SURE)
    )


def under(group: Group, node: Node) -> Group:
    """The group as it is under one node."""
    return replace(group, kind_shift_ln=node.kind_shift_ln) if node.kind_shift_ln else group


def with_air(brakes: Brakes, evidence: Evidence, columns: Ints, node: Node) -> Brakes:
    """Brakes of some pairs (both sides each, in order) as they would stand above another air."""
    if node.air_sigmas == 0.0:
        return brakes
    shift_k = node.air_sigmas * air_sigma_k(evidence)[np.repeat(columns.ravel(), 2)]
    return replace(brakes, extra_k=brakes.extra_k - shift_k)


def air_sigma_k(evidence: Evidence) -> Floats:
    """Standard uncertainty of the air after the fit, for every pair [K]."""
    sigma: Floats = np.sqrt(np.maximum(evidence.fits.covariance[SHIFT, SHIFT], 0.0))
    return sigma


def nodes_of(
    evidence: Evidence, group: Group, change: Callable[[Brakes], Brakes] = lambda brakes: brakes
) -> Nodes:
    """Every node with its likelihoods; `change` makes brakes as thought of from brakes as read."""
    brakes = change(brakes_of(evidence, group.columns))
    parts = separate_parts(group, once(heard_of(evidence, group)))
    each = ((node, node_odds(evidence, group, brakes, node)) for node in unknowns(evidence, group))
    return [(node, odds, odds.separate(parts)) for node, odds in each]


def node_odds(
    evidence: Evidence, group: Group, brakes: Brakes, node: Node, heat: Floats | None = None
) -> Odds:
    """Likelihoods of brakes in the order of the group's columns under one node; `heat` as of `odds_of`."""
    shifted = with_air(brakes, evidence, group.columns, node)
    healthy = brake_likelihood(shifted, group, evidence.doubt, node.skin_part)
    by_side = np.moveaxis(healthy.reshape(*group.columns.shape, 2, -1), 2, 0)
    return odds_of(under(group, node), by_state(by_side, group), heat)


def brakes_of(evidence: Evidence, columns: Ints) -> Brakes:
    """Both brakes of some pairs, left and right beside each other, in the order of `columns`."""
    fits, state, gap = evidence.fits, evidence.comparison.state, evidence.gap
    # nothing is colder than the air: what reads below it has no heat, or the air is a little off
    above_air_k = np.maximum(state.rise_k[:, columns], LOWEST_K)
    rise_k = np.where(fits.state[:, columns] == FITTED, above_air_k, np.nan)
    skin_fraction = gap.side_fraction[:, columns]
    learned = np.zeros(columns.shape, dtype=bool)
    if evidence.usual is not None:
        told = evidence.usual.side_fraction[columns]
        learned = np.isfinite(told)
        skin_fraction = np.where(learned, told, skin_fraction)
    return Brakes(
        rise_k=_flat(rise_k),
        variance=_flat(state.own_variance[:, columns]),
        used=_flat(fits.used[:, columns]),
        skin_fraction=_flat(skin_fraction),
        known=np.repeat(gap.known[columns].ravel(), 2),
        learned=np.repeat(learned.ravel(), 2),
        doubt=_flat(evidence.doubt.place[:, columns]),
        extra_k=np.zeros(2 * columns.size),
    )


def _flat(sides: np.ndarray) -> np.ndarray:
    return np.moveaxis(sides, 0, -1).ravel()
