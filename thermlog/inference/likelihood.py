"""How well every state of an axle's two brakes explains what was read, over the vehicle's heat level."""

from __future__ import annotations

import math
from typing import Literal, TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.inference.doubt import Doubt, spread_over_sides
from thermlog.inference.explanations import HEALTHY, Explanation
from thermlog.inference.states import States, healthy_likelihood, share_kernel
from thermlog.words.findings import PatternKind
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Floats, Ints

Likeness: TypeAlias = Literal["like", "unlike", "unsaid"]

_HOT, _COLD = 1, 2
# Left and right in the order of the states of `explanations`.
_SIDES_OF_STATE = (
    (HEALTHY, HEALTHY), (_HOT, HEALTHY), (HEALTHY, _HOT), (_COLD, HEALTHY), (HEALTHY, _COLD), (_HOT, _HOT),
    (_COLD, _COLD), (_HOT, _COLD), (_COLD, _HOT),
)  # fmt: skip
_MISS_FLOOR = 1e-4  # no reading is beyond doubt: keeps one freak from deciding a vehicle


class Group(Struct, frozen=True, kw_only=True, eq=False):
    """Cases judged together: alike in axles, policy, kind of drive and description.

    Attributes
    ----------
    cases : int array (cases,)
    columns : int array (axles, cases)
        The pairs that speak for the axles.
    axles : tuple of int
        Axle numbers of the rows.
    shot_sigma_k : float
        Scatter of one shot on one spot [K].
    likeness : tuple of {"like", "unlike", "unsaid"}
        Of every axle of the vehicle: are its brakes of the commonest kind?
    air_unsure : bool
        True if there is so little heat that the uncertainty of the air matters.
    towed : frozenset of int
        Rows of axles behind a coupling, beside others before it.
    axle_spreads : tuple of float
        What earlier visits leave open in the share of every row; empty where there are none.
    kind_shift_ln : float
        How far the axles of a less common kind of brake all together stand from their usual share [ln].
    """

    cases: Ints
    columns: Ints
    axles: tuple[int, ...]
    policy: Policy
    shot_sigma_k: float
    states: States
    coast: bool
    steered_front: bool
    axle_count: int
    impossible: frozenset[PatternKind]
    table: tuple[Explanation, ...]
    likeness: tuple[Likeness, ...]
    air_unsure: bool
    towed: frozenset[int] = frozenset()
    axle_spreads: tuple[float, ...] = ()
    kind_shift_ln: float = 0.0

    @property
    def kind_spread_ln(self) -> float:
        """Spread of what several axles of a less common kind of brake have in common in their shares [ln].

        An axle alone of its kind has it in its own spread, and what earlier visits tell holds it already.
        """
        if self.coast or self.axle_spreads or self.likeness.count("unlike") in {0, 1, len(self.likeness)}:
            return 0.0
        policy = self.policy
        of_one_kind = policy.unlike_axle_spread**2 - policy.like_axle_spread**2
        return math.sqrt(2.0 * max(of_one_kind, 0.0))  # of one kind beside the other: both stand off

    @property
    def side_spread(self) -> tuple[float, float]:
        """Healthy spread of a side about its axle: in parts of the level, and in kelvin."""
        policy = self.policy
        if self.coast:
            return policy.coast_side_spread_fraction, policy.coast_side_spread_k
        return policy.side_spread_fraction, policy.side_spread_k


class Brakes(Struct, frozen=True, kw_only=True, eq=False):
    """What was read at brakes that speak, any number of them.

    Attributes
    ----------
    rise_k, variance : float array (brakes,)
        At the common time [K], and its variance for a given air [K^2]; NaN where nothing was read.
    used : int array (brakes,)
        Readings that vote.
    skin_fraction : float array (brakes,)
        Standard uncertainty that the surface brings, in parts of the rise.
    known : bool array (brakes,)
        True where an emissivity was stated.
    learned : bool array (brakes,)
        True where earlier visits tell how the surface shines.
    doubt : int array (brakes,)
        Row in the likelihoods of corners in doubt; -1 where the readings agree.
    extra_k : float array (brakes,)
        Heat planted on top of the readings [K].
    """

    rise_k: Floats
    variance: Floats
    used: Ints
    skin_fraction: Floats
    known: Bools
    learned: Bools
    doubt: Ints
    extra_k: Floats


class Usual(Struct, frozen=True, kw_only=True, eq=False):
    """What a vehicle's own earlier visits lead to expect.

    Attributes
    ----------
    offset_ln : float array (2, pairs)
        Logarithm of a corner's usual rise over what is expected without them; 0 where they tell nothing.
    side_fraction : float array (pairs,)
        What they leave open in how one side's surface shines, in parts of its rise; NaN where they tell
        nothing.
    axle_spread : float array (pairs,)
        What they leave open in the axle's share [ln]; NaN where they tell nothing.
    visits : int array (cases,)
        How many there were.
    """

    offset_ln: Floats
    side_fraction: Floats
    axle_spread: Floats
    visits: Ints


def brake_likelihood(brakes: Brakes, group: Group, doubt: Doubt, skin_part: float) -> Floats:
    """Likelihood of every brake for every healthy level of its axle, unlike faces included.

    Parameters and result as `own_likelihood`.
    """
    return _with_odd_skins(own_likelihood(brakes, group, doubt, skin_part), brakes.known, group)


def own_likelihood(brakes: Brakes, group: Group, doubt: Doubt, skin_part: float) -> Floats:
    """Likelihood of every brake for every level of its own that it shows.

    Parameters
    ----------
    brakes : Brakes
    group : Group
    doubt : Doubt
    skin_part : float
        How unlike the skins of the vehicle are, in parts of what is believed of them.

    Returns
    -------
    float array (brakes, levels)
    """
    side_k, wide = group.side_spread[1], side_fraction(brakes, group, skin_part)
    healthy = healthy_likelihood(
        brakes.rise_k + brakes.extra_k,
        np.nan_to_num(brakes.variance, nan=1.0),
        missed_share(brakes, group),
        side_fraction=wide,
        side_k=np.full(wide.size, side_k),
    )
    unsure = np.flatnonzero(brakes.doubt >= 0)
    if unsure.size:
        healthy[unsure] = spread_over_sides(
            doubt.likelihood[brakes.doubt[unsure]], wide[unsure], side_k, shift_k=brakes.extra_k[unsure]
        )
    return healthy


def side_fraction(brakes: Brakes, group: Group, skin_part: float) -> Floats:
    """Spread of what a brake shows about its axle's level, in parts of that: sides and skins (brakes,)."""
    skin = np.where(brakes.known | brakes.learned, 1.0, skin_part) * brakes.skin_fraction
    return np.hypot(group.side_spread[0], skin)


def missed_share(brakes: Brakes, group: Group) -> Floats:
    """Probability that all readings of a brake missed it (brakes,)."""
    missed: Floats = group.policy.miss_share ** np.maximum(brakes.used, 1) + _MISS_FLOOR
    return missed


def _with_odd_skins(healthy: Floats, known: Bools, group: Group) -> Floats:
    """Where no emissivity is stated, a face may shine quite unlike the others and show a part of its rise."""
    share = odd_skin_share(known, group)
    mixed: Floats = healthy @ group.states.odd_skin.T
    mixed -= healthy
    mixed *= share
    mixed += healthy
    return mixed


def odd_skin_share(known: Bools, group: Group) -> Floats:
    """Share of brakes whose face shines quite unlike the others: (brakes, 1); none where it was stated."""
    return np.where(known, 0.0, group.policy.odd_skin_share)[:, None]


def by_state(healthy: Floats, group: Group) -> Floats:
    """Likelihood of brakes as healthy, dragging and idle ones over the level of their axle.

    Parameters
    ----------
    healthy : float array (..., levels)
        From `brake_likelihood`.
    group : Group

    Returns
    -------
    float array (3, ..., levels)
    """
    found = np.empty((3, *healthy.shape))
    found[0] = healthy
    for state, shown in ((_HOT, group.states.hot), (_COLD, group.states.cold)):
        over_levels(found[0], shown.T, out=found[state])
    return found


def axle_likelihood(sides: Floats, axle: int, group: Group, out: Floats | None = None) -> Floats:
    """Likelihood of every state of one axle's two brakes for every heat level of the vehicle.

    Parameters
    ----------
    sides : float array (3, 2, cases, levels)
        From `by_state`, left and right.
    axle : int
        Axle number.
    group : Group
    out : float array, optional
        Where the result goes.

    Returns
    -------
    float array (states, cases, levels)
    """
    together = np.empty((len(_SIDES_OF_STATE), *sides.shape[2:]))
    for state, (left, right) in enumerate(_SIDES_OF_STATE):
        np.multiply(sides[left, 0], sides[right, 1], out=together[state])
    return over_levels(together, axle_kernel(axle, group).T, out)


def over_levels(values: Floats, weights: Floats, out: Floats | None = None) -> Floats:
    """The product over the last axis, of all rows at once: many small ones cost several times as much.

    As exact as the values are; into `out` if given, which lies in one piece.
    """
    rows = values.reshape(-1, values.shape[-1])
    found = np.matmul(
        rows, weights.astype(values.dtype, copy=False), out=None if out is None else out.reshape(rows.shape)
    )
    return found.reshape(values.shape)


def axle_kernel(axle: int, group: Group) -> Floats:
    """Weight of every level of an axle (column) for every heat level of the vehicle (row)."""
    return share_kernel(_usual_share(axle, group), _axle_spread(axle, group))


def _usual_share(axle: int, group: Group) -> float:
    policy = group.policy
    front = policy.coast_front_share if group.coast else policy.front_share
    usual = share_of(axle, group.axle_count, front if group.steered_front else 1.0)
    return usual * math.exp(group.kind_shift_ln) if group.likeness[axle - 1] == "unlike" else usual


def share_of(axle: int, axle_count: int, front_share: float) -> float:
    """Usual rise of an axle over the vehicle's heat level; its logarithms add up to zero over all axles.

    Parameters
    ----------
    axle, axle_count : int
    front_share : float
        Usual rise of the first axle over that of the others.
    """
    if axle_count < 2:
        return 1.0
    part = 1.0 / axle_count
    return float(front_share ** (1.0 - part if axle == 1 else -part))


def _axle_spread(axle: int, group: Group) -> float:
    if group.coast:
        return group.policy.coast_axle_spread
    if group.axle_spreads:
        return group.axle_spreads[group.axles.index(axle)]
    alone = "like" if group.kind_spread_ln else group.likeness[axle - 1]
    return axle_spread_of(group.policy, alone)


def axle_spread_of(policy: Policy, likeness: Likeness) -> float:
    """Spread of an axle's share over vehicles of which nothing more is known."""
    spread: dict[Likeness, float] = {
        "like": policy.like_axle_spread,
        "unlike": policy.unlike_axle_spread,
        "unsaid": policy.unsaid_axle_spread,
    }
    return spread[likeness]
