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

from thermlog.judging.doubt import Doubt
from thermlog.judging.explanations import BOTH_COLD, BOTH_HOT, COLD_LEFT, HEALTHY, HOT_LEFT
from thermlog.judging.likelihood import (
    Brakes,
    Group,
    axle_kernel,
    brake_likelihood,
    odd_skin_share,
    over_levels,
    own_likelihood,
)
from thermlog.judging.odds import (
    COLDS,
    HOTS,
    SINGLES,
    all_but_one,
    beside_axles,
    odds_of,
    others_of,
    pairs_beside,
    read_parts,
)
from thermlog.judging.pattern import Evidence, Nodes, brakes_of, with_air
from thermlog.judging.posterior import odd_and_read
from thermlog.judging.states import LEVELS_K
from thermlog.words.tables import Bools, Floats, Ints

BrakeQuestion: TypeAlias = Literal["drag", "idle"]
Change: TypeAlias = Callable[[Brakes], Brakes]
EVERYWHERE = slice(None)


class Weighing(Struct, frozen=True, kw_only=True, eq=False):
    """One group and what it is weighed with.

    Attributes
    ----------
    read : bool array (cases, 2 * axles)
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


class Scale(Struct, frozen=True, kw_only=True, eq=False):
    """Coefficients of every place under one node of what is summed over.

    Attributes
    ----------
    weight : float
    skin_part : float
    brakes : Brakes
        As they stand above the air of this node.
    total : float array (places, levels)
        Of all explanations.
    asked, own : mapping of question to float array (places, levels)
        Of those that answer the question with yes; of those in which this very corner drags, or is idle.
    """

    weight: float
    skin_part: float
    brakes: Brakes
    total: Floats
    asked: Mapping[BrakeQuestion, Floats]
    own: Mapping[BrakeQuestion, Floats]


class Scales(Struct, frozen=True, kw_only=True, eq=False):
    """All nodes."""

    nodes: tuple[Scale, ...]
    group: Group
    doubt: Doubt


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
    sums = np.zeros((3, extra_k.size))
    for node in scales.nodes:
        brakes = _with_extra(_take(node.brakes, at), extra_k, scales.group)
        own = own_likelihood(brakes, scales.group, scales.doubt, node.skin_part)
        for row, vector in enumerate((node.total, node.asked[question], node.own[question])):
            sums[row] += node.weight * np.einsum("pl,pl->p", own, vector[at])
    total = np.maximum(sums[0], 1e-300)
    return sums[1] / total, sums[2] / total


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
    group, evidence, change = weighing.group, weighing.evidence, weighing.change
    pair = group.columns[places.row, places.case]
    both = change(brakes_of(evidence, pair))
    at = 2 * np.arange(pair.size)
    share = odd_skin_share(_take(both, at).known, group)
    found = []
    for node, likelihood in weighing.nodes:
        shifted = with_air(both, evidence, pair, node)
        mine, mate = (_take(shifted, at + side) for side in (places.side, 1 - places.side))
        beside = brake_likelihood(mate, group, evidence.doubt, node.skin_part)
        folded = _folded(weighing, places, likelihood, beside)
        total, asked_drag, asked_idle, own_drag, own_idle = (
            vector + share * (vector @ group.states.odd_skin - vector) for vector in folded
        )
        found.append(
            Scale(
                weight=node.weight,
                skin_part=node.skin_part,
                brakes=mine,
                total=total,
                asked={"drag": asked_drag, "idle": asked_idle},
                own={"drag": own_drag, "idle": own_idle},
            )
        )
    return Scales(nodes=tuple(found), group=group, doubt=evidence.doubt)


def _take(brakes: Brakes, rows: Ints | slice) -> Brakes:
    return Brakes(**{name: getattr(brakes, name)[rows] for name in brakes.__struct_fields__})


def _folded(weighing: Weighing, places: Places, likelihood: Floats, mate: Floats) -> Floats:
    """Coefficients over what a place's brake shows as a healthy one: (5, places, levels).

    Total, asked for a drag and for an idle brake, own as a drag and as an idle brake. `likelihood` of the
    axles; `mate`: that of the mate of every place.
    """
    group = weighing.group
    asked_of, at = np.unique(places.case, return_inverse=True)
    told = _coefficients(group, likelihood[asked_of], weighing.read[asked_of])
    to_hot, to_cold = group.states.hot, group.states.cold
    folded = np.empty((5, places.case.size, LEVELS_K.size))
    for row, axle in enumerate(group.axles):
        weights = [over_levels(one[:, row], axle_kernel(axle, group)) for one in told]
        for side in (0, 1):
            here = np.flatnonzero((places.row == row) & (places.side == side))
            brake = mate[here]
            maps = (brake, brake @ to_hot.T, brake @ to_cold.T)
            for number, one in enumerate(weights):
                healthy, hot, cold = _of_states(one[at[here]], maps, side)
                hot, cold = hot @ to_hot, cold @ to_cold
                folded[number, here] = healthy + hot + cold
                if number == 0:
                    folded[3, here], folded[4, here] = hot, cold
    return folded


def _of_states(weights: Floats, mate: Sequence[Floats], side: int) -> tuple[Floats, Floats, Floats]:
    """Weights on this side healthy, hot and cold, its mate's likelihood in each state put in."""
    healthy, hot, cold = mate
    return (
        weights[:, HEALTHY] * healthy
        + weights[:, HOT_LEFT + 1 - side] * hot
        + weights[:, COLD_LEFT + 1 - side] * cold,
        weights[:, HOT_LEFT + side] * healthy + weights[:, BOTH_HOT] * hot,
        weights[:, COLD_LEFT + side] * healthy + weights[:, BOTH_COLD] * cold,
    )


def _coefficients(group: Group, likelihood: Floats, read: Bools) -> list[Floats]:
    """Coefficients of the states of every axle over the heat levels: (cases, axles, states, levels) each.

    Of all explanations, and of those that answer the one and the other question with yes. `likelihood` of
    the axles.
    """
    odds = odds_of(group, likelihood)
    every = np.ones((read.shape[0], len(group.table)), dtype=bool)
    chosen = (every, *odd_and_read(group, read))
    found = beside_axles(group, odds, likelihood, chosen)
    # of two separate faults one is here and one elsewhere, or both are elsewhere
    others = all_but_one(odds, likelihood)
    one_here, none_here = odds.part[:, :, None] * others_of(odds.each)[:, :, None], pairs_beside(odds.each)
    for here, kind in zip(found, (None, HOTS, COLDS), strict=True):
        two, neither = one_here, none_here
        if kind is not None:  # less those two neither of which answers the question
            less = read_parts(odds.part, read, kind)
            without = (less[:, :, None] @ odds.odds[:, :, SINGLES])[:, :, 0]
            two = less[..., None] * others_of(without)[:, :, None]
            np.maximum(np.subtract(one_here, two, out=two), 0.0, out=two)
            neither = np.maximum(none_here - pairs_beside(without), 0.0)
        here[:, :, SINGLES] += two * others[:, :, None]
        here[:, :, HEALTHY] += neither * others
    return found
