"""What the explanations give for any likelihood of one corner's own readings, everything else as it was read.

All sums over explanations are linear in the likelihood of a corner. Its coefficients over the levels that the
corner can show are worked out once; planting a fault there then costs one product, not a whole weighing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Literal, TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.doubt import Doubt, spread_over_sides
from thermlog.judging.elsewhere import SINGLE, Elsewhere, OfAxle, elsewhere
from thermlog.judging.explanations import (
    BOTH_COLD,
    BOTH_HOT,
    COLD_BY_HOT,
    COLD_LEFT,
    HEALTHY,
    HOT_BY_COLD,
    HOT_LEFT,
)
from thermlog.judging.likelihood import (
    Brakes,
    Group,
    brake_likelihood,
    missed_share,
    odd_skin_share,
    over_levels,
    side_fraction,
)
from thermlog.judging.odds import (
    COLDS,
    HOTS,
    ODD,
    OF_TWO,
    odd_states,
    odds_of,
)
from thermlog.judging.pattern import Evidence, Nodes, brakes_of, with_air
from thermlog.judging.posterior import odd_and_read
from thermlog.judging.states import LEVELS_K, SQUARES, likelihood_within
from thermlog.words.tables import Bools, Floats, Ints

BrakeQuestion: TypeAlias = Literal["drag", "idle"]
Change: TypeAlias = Callable[[Brakes], Brakes]
EVERYWHERE = slice(None)
_LEAST = np.finfo(float).tiny
# Beside the largest coefficient of a place; a likelihood is seldom less than 1e-10, so products stay normal.
_NOTHING = 1e-27


class Weighing(Struct, frozen=True, kw_only=True, eq=False):
    """One group and what it is weighed with.

    Attributes
    ----------
    read : bool array (cases, 2 * axles)
        Brakes whose readings count.
    change : callable
        From brakes as read to brakes as thought, such as after one more round.
    nodes : Nodes
        From `pattern.nodes_of` with the same change.
    """

    evidence: Evidence
    group: Group
    read: Bools
    change: Change
    nodes: Nodes


class Places(Struct, frozen=True, kw_only=True, eq=False):
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
    usual, mate_usual : float array (places,)
        What earlier visits show to be usual of the corner and of its mate, in parts of what would be expected
        without them; rises are beside it, heat that is planted is not.
    """

    case: Ints
    row: Ints
    side: Ints
    pair: Ints
    rise_k: Floats
    mate_k: Floats
    scatter_k: Floats
    usual: Floats
    mate_usual: Floats


class Scales(Struct, frozen=True, kw_only=True, eq=False):
    """Coefficients of every place under every node of what is summed over.

    Attributes
    ----------
    group : Group
    doubt : Doubt
    brakes : Brakes
        Of the places, above the air as stated.
    extra_k : float array (places, nodes)
        How much more they stand above the air of a node [K].
    side_fraction : float array (places, nodes)
        From `likelihood.side_fraction`.
    spread : float array (places, nodes, levels)
        Variance of what such brakes show without that of their readings [K^2].
    asked : mapping of question to float array (places, 3, nodes, levels)
        Coefficients of all explanations, of those that answer the question with yes, of those in which this
        very corner drags, or is idle; times the weight of the node, in parts of the largest of a place. Like
        `spread` in single precision, which is twice as fast: shares hold six digits, and steps a fiftieth.
    """

    group: Group
    doubt: Doubt
    brakes: Brakes
    extra_k: Floats
    side_fraction: Floats
    spread: Floats
    asked: Mapping[BrakeQuestion, Floats]


def shares_with(
    scales: Scales, extra_k: Floats, question: BrakeQuestion, at: Ints | slice = EVERYWHERE
) -> tuple[Floats, Floats]:
    """Probabilities with heat planted at some places, each by itself.

    Parameters
    ----------
    scales : Scales
    extra_k : float array (places,)
        Heat on top of what was read [K]; below 0 for heat taken away.
    question : {"drag", "idle"}
    at : int array (places,) or slice
        Which places.

    Returns
    -------
    asked, own : float array (places,)
        That a brake which was read is as asked; that this one is.
    """
    sums = np.einsum("pvnl,pnl->vp", scales.asked[question][at], _planted(scales, extra_k, at))
    asked, own = sums[1:] / np.maximum(sums[0], np.finfo(np.float32).tiny)
    return asked.astype(np.float64), own.astype(np.float64)


def _planted(scales: Scales, extra_k: Floats, at: Ints | slice) -> Floats:
    """Likelihood of some places with heat planted: (places, nodes, levels)."""
    brakes, group = _with_extra(_take(scales.brakes, at), extra_k, scales.group), scales.group
    more_k = brakes.extra_k[:, None] + scales.extra_k[at]
    scatter = np.nan_to_num(brakes.variance, nan=1.0).astype(SINGLE)
    spread = scales.spread[at] + scatter[:, None, None]
    missed = np.broadcast_to(missed_share(brakes, group)[:, None], more_k.shape)
    own = likelihood_within(brakes.rise_k[:, None] + more_k, spread, missed)
    unsure = np.flatnonzero(brakes.doubt >= 0)
    if unsure.size:
        likelihood, fraction = scales.doubt.likelihood[brakes.doubt[unsure]], scales.side_fraction[at][unsure]
        for node in range(more_k.shape[1]):
            own[unsure, node] = spread_over_sides(
                likelihood, fraction[:, node], group.side_spread[1], shift_k=more_k[unsure, node]
            )
    return own


def _with_extra(brakes: Brakes, extra_k: Floats, group: Group) -> Brakes:
    """Brakes with extra heat; what scatters in proportion to the rise scatters accordingly."""
    before, after = (
        group.shot_sigma_k**2 + (group.policy.aim_fraction * rise) ** 2
        for rise in (brakes.rise_k, brakes.rise_k + extra_k)
    )
    return replace(brakes, extra_k=brakes.extra_k + extra_k, variance=brakes.variance * after / before)


def scales_of(weighing: Weighing, places: Places) -> Scales:
    """Coefficients of all places for both questions.

    Parameters
    ----------
    weighing : Weighing
    places : Places

    Returns
    -------
    Scales
    """
    group, evidence = weighing.group, weighing.evidence
    pair = group.columns[places.row, places.case]
    both = weighing.change(brakes_of(evidence, pair))
    mine = 2 * np.arange(pair.size) + places.side
    own, share = _take(both, mine), odd_skin_share(both.known, group)[mine].astype(SINGLE)
    extra_k, fraction, size = np.empty((3, pair.size, len(weighing.nodes)))
    folded = np.empty((5, pair.size, len(weighing.nodes), LEVELS_K.size), dtype=SINGLE)
    for number, (node, likelihood) in enumerate(weighing.nodes):
        shifted = with_air(both, evidence, pair, node)
        mate = _take(shifted, 2 * np.arange(pair.size) + 1 - places.side)
        beside = brake_likelihood(mate, group, evidence.doubt, node.skin_part)
        vectors, of_axle = _folded(weighing, places, likelihood, beside)
        folded[:, :, number] = vectors + share * (over_levels(vectors, group.states.odd_skin) - vectors)
        size[:, number] = node.weight * of_axle
        extra_k[:, number] = (shifted.extra_k - both.extra_k)[mine]
        fraction[:, number] = side_fraction(own, group, node.skin_part)
    size /= np.maximum((size * folded[0].max(-1)).max(-1, keepdims=True), _LEAST)
    folded *= size.astype(SINGLE)[..., None]
    folded *= folded > _NOTHING
    total, asked_drag, asked_idle, own_drag, own_idle = folded
    return Scales(
        group=group,
        doubt=evidence.doubt,
        brakes=own,
        extra_k=extra_k,
        side_fraction=fraction,
        spread=(np.square(fraction)[..., None] * SQUARES + group.side_spread[1] ** 2).astype(SINGLE),
        asked={
            "drag": np.stack([total, asked_drag, own_drag], axis=1),
            "idle": np.stack([total, asked_idle, own_idle], axis=1),
        },
    )


def _take(brakes: Brakes, rows: Ints | slice) -> Brakes:
    return Brakes(**{name: getattr(brakes, name)[rows] for name in brakes.__struct_fields__})


def _folded(weighing: Weighing, places: Places, likelihood: Floats, mate: Floats) -> tuple[Floats, Floats]:
    """Coefficients over what a place's brake shows as a healthy one: (5, places, levels).

    Total, asked for a drag and for an idle brake, own as a drag and as an idle brake; and what those of each
    place are parts of. `likelihood` of the axles; `mate`: that of the mate of every place.
    """
    group = weighing.group
    asked_of, at = np.unique(places.case, return_inverse=True)
    read = weighing.read[asked_of]
    beside = _beside(group, likelihood[asked_of], read)
    to_hot, to_cold = group.states.hot.astype(SINGLE), group.states.cold.astype(SINGLE)
    folded, size = np.empty((5, *mate.shape), dtype=SINGLE), np.empty(places.case.size)
    for row in range(len(group.axles)):
        weights = beside.of_axle(group, read, row)
        for side in (0, 1):
            here = np.flatnonzero((places.row == row) & (places.side == side))
            some = EVERYWHERE if here.size == asked_of.size else at[here]  # each case once, in order
            brake, size[here] = mate[here].astype(SINGLE), weights.size[some]
            maps = (brake, brake @ to_hot.T, brake @ to_cold.T)
            for number, one in enumerate(weights.states):
                healthy, hot, cold = _of_states(one[some], maps, side)
                hot, cold = hot @ to_hot, cold @ to_cold
                healthy += hot
                healthy += cold
                folded[number, here] = healthy
                if number == 0:
                    folded[3, here], folded[4, here] = hot, cold
    return folded, size


class _Beside(Struct, frozen=True, kw_only=True, eq=False):
    """What multiplies the states of axles, over the vehicle's heat levels.

    Three sums each: of all explanations, and of those that answer the one and the other question with yes.

    Attributes
    ----------
    elsewhere : Elsewhere
        With separate faults on other axles.
    part : float array (axles, odd states)
        Weight of every odd state of an axle among separate faults.
    some : float array (3, cases, axles, levels)
        Weight of one or more faults on other axles.
    """

    elsewhere: Elsewhere
    part: Floats
    some: Floats

    def of_axle(self, group: Group, read: Bools, row: int) -> OfAxle:
        """The same for one axle over its own levels."""
        more = np.concatenate([self.some[:, :, row], self.elsewhere.alone[None, :, row]])
        found = self.elsewhere.of_axle(group, row, more)
        some, part = found.more[:3, :, None], self.part[row][:, None].astype(SINGLE)
        # two faults of this axle need none on another
        every = some[0] + OF_TWO[:, None] * found.more[3][:, None]
        found.states[0, :, ODD] += part * every
        for number, sides in ((1, HOTS), (2, COLDS)):
            # where this axle answers the question, the others may be as they like
            answers = odd_states(read, sides)[:, row, :, None]
            found.states[number, :, ODD] += part * np.where(answers, every, some[number])
        return found


def _beside(group: Group, likelihood: Floats, read: Bools) -> _Beside:
    """`likelihood` of the axles, `read` of the same cases."""
    odds = odds_of(group, likelihood)
    counted = np.ones((read.shape[0], len(group.table)), dtype=bool)
    found = elsewhere(group, odds, likelihood, (counted, *odd_and_read(group, read)))
    every = odds.separate.beside()
    beside = [np.stack(every)]
    for sides in (HOTS, COLDS):
        without = odds.separate_of(np.where(odd_states(read, sides), 0.0, odds.part))
        # less those none of which answers
        beside.append(np.maximum(beside[0] - np.stack(without.beside()), 0.0))
    some, two = np.stack(beside, axis=1)
    found.healthy[...] += two * found.alone
    return _Beside(elsewhere=found, part=odds.part, some=some * found.alone)


def _of_states(weights: Floats, mate: Sequence[Floats], side: int) -> tuple[Floats, Floats, Floats]:
    """Weights on this side healthy, hot and cold, its mate's likelihood in each state put in."""
    healthy, hot, cold = mate
    return (
        weights[:, HEALTHY] * healthy
        + weights[:, HOT_LEFT + 1 - side] * hot
        + weights[:, COLD_LEFT + 1 - side] * cold,
        weights[:, HOT_LEFT + side] * healthy
        + weights[:, BOTH_HOT] * hot
        + weights[:, HOT_BY_COLD + side] * cold,
        weights[:, COLD_LEFT + side] * healthy
        + weights[:, BOTH_COLD] * cold
        + weights[:, COLD_BY_HOT - side] * hot,
    )
