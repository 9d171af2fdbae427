"""What came out of weighing, group by group, put together for all cases."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from msgspec import Struct

from thermlog.inference.explanations import KINDS
from thermlog.inference.likelihood import Group
from thermlog.inference.posterior import Posterior
from thermlog.words.kinds import Members
from thermlog.words.tables import Floats, Ints

_Table = TypeVar("_Table", Floats, Ints)


class Patterns(Struct, frozen=True, kw_only=True, eq=False):
    """Support for every explanation.

    Attributes
    ----------
    p_kind : float array (cases, kinds)
        Probability of each of `KINDS`; NaN where nothing can be compared.
    p_hot, p_cold : float array (2, pairs)
        Probability that the brake is hot or cold; NaN for pairs that do not speak for their axle.
    p_drag, p_idle : float array (cases,)
        Probability that a brake that was read carries extra heat, or lacks a part of its heat.
    p_heat : float array (cases,)
        Probability that all brakes are hot, against what is usual after such a drive.
    skin_odds : float array (cases,)
        Odds of the readings if the skins of the vehicle are alike, over those if they are not.
    kind, drag_kind, idle_kind : int array (cases,)
        Index of the best supported kind, of all, of those with a dragging and with an idle brake; -1 where
        there is none.
    members, drag_members, idle_members : tuple of tuple of (axle, side)
        The corners that the best supported fault names, however likely the healthy vehicle is beside it; the
        same of the best fault with a dragging brake, and with an idle one.
    """

    p_kind: Floats
    p_hot: Floats
    p_cold: Floats
    p_drag: Floats
    p_idle: Floats
    p_heat: Floats
    skin_odds: Floats
    kind: Ints
    drag_kind: Ints
    idle_kind: Ints
    members: tuple[Members, ...]
    drag_members: tuple[Members, ...]
    idle_members: tuple[Members, ...]


class WeighedGroup(Struct, frozen=True, kw_only=True, eq=False):
    """One group with what came out.

    Attributes
    ----------
    skin_odds : float array (cases,)
    named : tuple of (corners, kind)
        Of the best fault, of the best with a dragging and of the best with an idle brake, as
        `posterior.named_faults` gives them.
    """

    group: Group
    posterior: Posterior
    skin_odds: Floats
    named: tuple[tuple[list[Members], Ints], ...]


def patterns_of(weighed: Sequence[WeighedGroup], cases: int, pairs: int) -> Patterns:
    """The groups put together.

    Parameters
    ----------
    weighed : sequence of WeighedGroup
    cases, pairs : int
        How many there are in all; where nothing was weighed, nothing is said.

    Returns
    -------
    Patterns
    """
    where, columns = [one.group.cases for one in weighed], [one.group.columns for one in weighed]
    found = [one.posterior for one in weighed]
    unsaid, of_pairs = np.full(cases, np.nan), np.full((pairs, 2), np.nan)
    no_kind: Ints = np.full(cases, -1)
    kind, drag_kind, idle_kind = (
        _spread(no_kind, where, [one.named[which][1] for one in weighed]) for which in range(3)
    )
    members, drag_members, idle_members = (_members(weighed, which, cases) for which in range(3))
    return Patterns(
        p_kind=_spread(np.full((cases, len(KINDS)), np.nan), where, [one.p_kind for one in found]),
        p_hot=_spread(of_pairs, columns, [np.moveaxis(one.p_hot, 0, -1) for one in found]).T,
        p_cold=_spread(of_pairs, columns, [np.moveaxis(one.p_cold, 0, -1) for one in found]).T,
        p_drag=_spread(unsaid, where, [one.p_drag for one in found]),
        p_idle=_spread(unsaid, where, [one.p_idle for one in found]),
        p_heat=_spread(unsaid, where, [one.p_heat for one in found]),
        skin_odds=_spread(unsaid, where, [one.skin_odds for one in weighed]),
        kind=kind,
        drag_kind=drag_kind,
        idle_kind=idle_kind,
        members=members,
        drag_members=drag_members,
        idle_members=idle_members,
    )


def _spread(unsaid: _Table, where: Sequence[Ints], values: Sequence[_Table]) -> _Table:
    """A table like `unsaid` with the values of every group in their rows."""
    table = unsaid.copy()
    for rows, some in zip(where, values, strict=True):
        table[rows] = some
    return table


def _members(weighed: Sequence[WeighedGroup], which: int, cases: int) -> tuple[Members, ...]:
    """Corners of one of the named faults of every case, as (axle, side)."""
    found: list[Members] = [()] * cases
    for one in weighed:
        axles, (named, _) = one.group.axles, one.named[which]
        for case, members in zip(one.group.cases.tolist(), named, strict=True):
            found[case] = tuple((axles[row], side) for row, side in members)
    return tuple(found)
