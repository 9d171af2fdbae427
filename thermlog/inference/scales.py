"""What the explanations give for any likelihood of one corner's own readings, everything else as it was read.

All sums over explanations are linear in the likelihood of a corner. Its coefficients over the levels that the
corner can show are worked out once; planting a fault there then costs one product, not a whole weighing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Literal, TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.inference.brake_weights import Folded, folded
from thermlog.inference.doubt import Doubt, spread_over_sides
from thermlog.inference.edges import EVERYWHERE
from thermlog.inference.elsewhere import SINGLE
from thermlog.inference.likelihood import Brakes, Group, missed_share, side_fraction
from thermlog.inference.pattern import Evidence, Nodes, air_sigma_k, brakes_of, under
from thermlog.inference.states import LEVELS_K, SQUARES, likelihood_within
from thermlog.inference.tails import HealthyMixture
from thermlog.words.tables import Bools, Floats, Ints

BrakeQuestion: TypeAlias = Literal["drag", "idle"]
Change: TypeAlias = Callable[[Brakes], Brakes]
_LEAST = np.finfo(float).tiny
# Beside the largest coefficient of a place; a likelihood is seldom less than 1e-10, so products stay normal.
_NEXT_TO_NOTHING = 1e-27
# Rows of `Folded`: asked, for a drag own, and total.
_ASKED: Mapping[BrakeQuestion, slice] = {"drag": slice(0, 3), "idle": slice(3, 1, -1)}
_TOTAL, _ROWS = 2, 5


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
    """Corners of one group, one entry a corner; all left ones first, axle by axle.

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
        Of the places, above the air as stated; the variance is 1 where nothing was read.
    missed : float array (places,)
        From `likelihood.missed_share`.
    extra_k : float array (places, nodes)
        How much more they stand above the air of a node [K].
    side_fraction : float array (places, nodes)
        From `likelihood.side_fraction`.
    spread : float array (places, nodes, levels)
        Variance of what such brakes show without that of their readings [K^2].
    found : float array (places, 5, nodes, levels)
        Coefficients as of `brake_weights.Folded` in its order, times the weight of the node, in parts of the
        largest total of a place. Like `spread` in single precision, which is twice as fast: shares hold six
        digits, and steps a fiftieth.
    """

    group: Group
    doubt: Doubt
    brakes: Brakes
    missed: Floats
    extra_k: Floats
    side_fraction: Floats
    spread: Floats
    found: Floats

    def shown_if_healthy(self, at: Ints | slice) -> HealthyMixture:
        """What healthy brakes in some places would show, while nothing is suspected of the others."""
        scatter = self.brakes.variance[at].astype(SINGLE)
        healthy = self.found[at, -1]
        weight = healthy / healthy.max((1, 2), keepdims=True)
        inverse = self.spread[at] + scatter[:, None, None]
        np.sqrt(inverse, out=inverse)
        np.divide(1.0, inverse, out=inverse)
        return HealthyMixture(weight=weight, inverse_sigma=inverse, shift_k=-self.extra_k[at].astype(SINGLE))


def shares_with(
    scales: Scales, extra_k: Floats, question: BrakeQuestion, at: Ints | slice = EVERYWHERE
) -> tuple[Floats, ...]:
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
    asked : float array (places,)
        That a brake which was read is as asked.
    own : float array (places,)
        For a drag, that this one drags; nothing hangs on it for a loss.
    """
    coefficients = scales.found[at, _ASKED[question]]
    *shares, total = np.einsum("pvnl,pnl->vp", coefficients, _planted(scales, extra_k, at))
    total = np.maximum(total, np.finfo(SINGLE).tiny)
    return tuple((share / total).astype(np.float64) for share in shares)


def _planted(scales: Scales, extra_k: Floats, at: Ints | slice) -> Floats:
    """Likelihood of some places with heat planted: (places, nodes, levels)."""
    brakes, group, rise_k = scales.brakes, scales.group, scales.brakes.rise_k[at]
    more_k = (brakes.extra_k[at] + extra_k)[:, None] + scales.extra_k[at]
    scatter = _scatter(brakes.variance[at], rise_k, extra_k, group).astype(SINGLE)
    spread = scales.spread[at] + scatter[:, None, None]
    own = likelihood_within(rise_k[:, None] + more_k, spread, scales.missed[at][:, None])
    doubt = brakes.doubt[at]
    unsure = np.flatnonzero(doubt >= 0)
    if unsure.size:
        likelihood, fraction = scales.doubt.likelihood[doubt[unsure]], scales.side_fraction[at][unsure]
        for node in range(more_k.shape[1]):
            own[unsure, node] = spread_over_sides(
                likelihood, fraction[:, node], group.side_spread[1], shift_k=more_k[unsure, node]
            )
    return own


def _scatter(variance: Floats, rise_k: Floats, extra_k: Floats, group: Group) -> Floats:
    """Variance of brakes with extra heat: what scatters in proportion to the rise scatters accordingly."""
    before, after = (
        group.shot_sigma_k**2 + (group.policy.aim_fraction * rise) ** 2 for rise in (rise_k, rise_k + extra_k)
    )
    return np.asarray(variance * after / before)


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
    brakes = weighing.change(brakes_of(evidence, group.columns))
    known = brakes.known[::2].reshape(group.columns.shape)
    own = _take(brakes, 2 * (places.row * group.cases.size + places.case) + places.side)
    own = replace(own, variance=np.nan_to_num(own.variance, nan=1.0))
    extra_k, fraction, size = np.empty((3, pair.size, len(weighing.nodes)))
    found = np.empty((pair.size, _ROWS, len(weighing.nodes), LEVELS_K.size), dtype=SINGLE)
    asked = {*zip(places.row.tolist(), places.side.tolist(), strict=True)}
    for number, (node, odds, separate) in enumerate(weighing.nodes):
        brake_by_brake = folded(under(group, node), (odds, separate), known, weighing.read, asked)
        size[:, number] = node.weight * _fill(found[:, :, number], brake_by_brake, places, group)
        extra_k[:, number] = 0.0 if node.air_sigmas == 0.0 else -node.air_sigmas * air_sigma_k(evidence)[pair]
        fraction[:, number] = side_fraction(own, group, node.skin_part)
    size /= np.maximum((size * found[:, _TOTAL].max(-1)).max(-1, keepdims=True), _LEAST)
    found *= size.astype(SINGLE)[:, None, :, None]
    np.clip(found, _NEXT_TO_NOTHING, np.inf, out=found)  # a third of the time of a maximum
    return Scales(
        group=group,
        doubt=evidence.doubt,
        brakes=own,
        missed=missed_share(own, group),
        extra_k=extra_k,
        side_fraction=fraction,
        spread=(np.square(fraction)[..., None] * SQUARES + group.side_spread[1] ** 2).astype(SINGLE),
        found=found,
    )


def _take(brakes: Brakes, rows: Ints) -> Brakes:
    return Brakes(**{name: getattr(brakes, name)[rows] for name in brakes.__struct_fields__})


def _fill(
    found: Floats, brake_by_brake: Iterable[tuple[int, int, Folded]], places: Places, group: Group
) -> Floats:
    """Fill in the coefficients of all places under one node, (places, rows, levels).

    Gives what the coefficients of each place are parts of.
    """
    size = np.empty(places.case.size)
    corner = places.side * len(group.axles) + places.row  # in order
    for row, side, one in brake_by_brake:
        here = slice(*np.searchsorted(corner, side * len(group.axles) + row + np.arange(2)).tolist())
        cases: Ints | slice = places.case[here]
        if places.case[here].size == group.cases.size:
            cases = EVERYWHERE  # in order; nothing is copied
        size[here] = one.size[cases]
        rows = (one.asked_drag, one.own_drag, one.total, one.asked_idle, one.healthy)
        for number, values in enumerate(rows):
            found[here, number] = values[cases]
    return size
