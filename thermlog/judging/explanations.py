"""The explanations a vehicle can have, with their prior shares."""

from __future__ import annotations

from functools import lru_cache

from msgspec import Struct

from thermlog.words.findings import PatternKind
from thermlog.words.policy import Policy

KINDS: tuple[PatternKind, ...] = (
    "none", "corner_hot", "corner_cold", "axle_hot", "axle_cold", "diagonal_hot", "circuit_hot", "all_hot",
    "several",
)  # fmt: skip
COLD_KINDS: frozenset[PatternKind] = frozenset({"corner_cold", "axle_cold"})
# States of an axle's two brakes.
HEALTHY, HOT_LEFT, HOT_RIGHT, COLD_LEFT, COLD_RIGHT, BOTH_HOT, BOTH_COLD = range(7)


class Explanation(Struct, frozen=True, kw_only=True):
    """One way the vehicle can be.

    Attributes
    ----------
    kind : PatternKind
    weight : float
        Prior probability.
    changed : tuple of (axle row, state)
        Axles that depart from the heat level of the vehicle; none for "all_hot", which raises that level.
    members : tuple of (axle row, side)
        Corners that are not healthy.
    """

    kind: PatternKind
    weight: float
    changed: tuple[tuple[int, int], ...] = ()
    members: tuple[tuple[int, int], ...] = ()


def kind_weights(
    policy: Policy, axles: int, axle_count: int, impossible: frozenset[PatternKind]
) -> dict[PatternKind, float]:
    """Prior probability of every kind of fault that such a vehicle can have.

    Parameters
    ----------
    policy : Policy
    axles : int
        Axles that were read.
    axle_count : int
        Axles of the vehicle.
    impossible : frozenset of PatternKind
        Kinds this vehicle or drive cannot have.

    Returns
    -------
    dict
        Sums to ``policy.fault_share``.
    """
    weights: dict[PatternKind, float] = {
        "corner_hot": policy.corner_hot_weight,
        "corner_cold": policy.corner_cold_weight,
        "axle_hot": policy.axle_hot_weight,
        "axle_cold": policy.axle_cold_weight,
    }
    if axles >= 2:
        weights |= {"all_hot": policy.all_hot_weight, "several": policy.several_weight}
    if axles == 2 and axle_count == 2:
        weights["diagonal_hot"] = policy.diagonal_hot_weight
    if axles >= 3:
        weights["circuit_hot"] = policy.circuit_hot_weight
    weights = {kind: weight for kind, weight in weights.items() if kind not in impossible}
    total = sum(weights.values())
    return {kind: policy.fault_share * weight / total for kind, weight in weights.items() if weight > 0}


@lru_cache(maxsize=64)
def explanations(
    axles: int,
    axle_count: int,
    policy: Policy,
    impossible: frozenset[PatternKind],
    harmless: frozenset[PatternKind] = frozenset(),
) -> tuple[Explanation, ...]:
    """Every explanation of a vehicle except two separate faults, which `pattern` sums in closed form.

    Parameters
    ----------
    axles : int
        Axles that were read, at least 1; rows below count through them.
    axle_count : int
        Axles of the vehicle.
    policy : Policy
    impossible : frozenset of PatternKind
        Kinds this vehicle or drive cannot have.
    harmless : frozenset of PatternKind
        Kinds that are no fault on this vehicle: they count as "none" and name no corner.

    Returns
    -------
    tuple of Explanation
        The first is the healthy vehicle.
    """
    rows = range(axles)
    shapes: dict[PatternKind, list[tuple[tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]]]] = {
        "corner_hot": [(((r, HOT_LEFT + s),), ((r, s),)) for r in rows for s in (0, 1)],
        "corner_cold": [(((r, COLD_LEFT + s),), ((r, s),)) for r in rows for s in (0, 1)],
        "axle_hot": [_whole_axles([r], BOTH_HOT) for r in rows],
        "axle_cold": [_whole_axles([r], BOTH_COLD) for r in rows],
        "diagonal_hot": [(((0, HOT_LEFT + s), (1, HOT_RIGHT - s)), ((0, s), (1, 1 - s))) for s in (0, 1)],
        "circuit_hot": [
            _whole_axles(range(begin, end), BOTH_HOT)
            for begin in rows
            for end in range(begin + 2, axles + 1)
            if end - begin < axles
        ],
        # one cause for all brakes: no axle departs from the others, the heat of the vehicle does
        "all_hot": [((), _whole_axles(rows, BOTH_HOT)[1])],
    }
    table = [Explanation(kind="none", weight=1.0 - policy.fault_share)]
    for kind, weight in kind_weights(policy, axles, axle_count, impossible).items():
        places, fault = shapes.get(kind, []), kind not in harmless
        table += [
            Explanation(
                kind=kind if fault else "none",
                weight=weight / len(places),
                changed=changed,
                members=corners if fault else (),
            )
            for changed, corners in places
        ]
    return tuple(table)


def _whole_axles(
    rows: list[int] | range, state: int
) -> tuple[tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]]:
    return tuple((r, state) for r in rows), tuple((r, s) for r in rows for s in (0, 1))
