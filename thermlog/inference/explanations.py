"""The explanations a vehicle can have, with their prior shares."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import assert_never

from msgspec import Struct
from msgspec.structs import replace

from thermlog.words.findings import PatternKind
from thermlog.words.kinds import FAULT_KINDS, NONE, SEVERAL, FaultKind, Members, Question, Sign, fault_kind
from thermlog.words.policy import Policy

# What competes for the probability of a vehicle, in the order of the columns of every table of kinds.
KINDS: tuple[PatternKind, ...] = (NONE.name, *(kind.name for kind in FAULT_KINDS if kind.weighed))
# States of an axle's two brakes.
_SPARED_SHARE = (
    0.5  # of healthy vehicles whose motor brakes an axle that it leaves cold; engineering judgement
)
HEALTHY, HOT_LEFT, HOT_RIGHT, COLD_LEFT, COLD_RIGHT, BOTH_HOT, BOTH_COLD, HOT_BY_COLD, COLD_BY_HOT = range(9)


class Explanation(Struct, frozen=True, kw_only=True):
    """One way the vehicle can be.

    Attributes
    ----------
    kind : PatternKind
    weight : float
        Prior probability.
    changed : tuple of (axle row, state)
        Axles that depart from the heat level of the vehicle; none where that level itself is raised.
    members : tuple of (axle row, side)
        Corners that are not healthy.
    raises_level : bool
        True if all brakes are hot from one cause.
    """

    kind: PatternKind
    weight: float
    changed: tuple[tuple[int, int], ...] = ()
    members: Members = ()
    raises_level: bool = False


def column_of(kind: FaultKind) -> int:
    """Column of a kind in the tables."""
    return KINDS.index(kind.name)


def kinds_asked_of(question: Question) -> tuple[PatternKind, ...]:
    """Kinds that alone answer a question with yes."""
    return tuple(kind.name for kind in FAULT_KINDS if kind.weighed and kind.asked_of == question)


# Nothing is too cold after a drive without braking.
COLD_KINDS: frozenset[PatternKind] = frozenset(kinds_asked_of("idle"))


@lru_cache(maxsize=64)
def kind_weights(
    policy: Policy,
    axles: int,
    axle_count: int,
    impossible: frozenset[PatternKind],
    towed: frozenset[int] = frozenset(),
) -> Mapping[PatternKind, float]:
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
    towed : frozenset of int
        Rows of axles behind a coupling, beside others before it.

    Returns
    -------
    mapping
        Sums to ``policy.fault_share``.
    """
    weights: dict[PatternKind, float] = {
        kind.name: getattr(policy, kind.weight)
        for kind in FAULT_KINDS
        if kind.weight is not None and kind.name not in impossible and _places(kind, axles, axle_count, towed)
    }
    total = sum(weights.values())
    return {kind: policy.fault_share * weight / total for kind, weight in weights.items() if weight > 0}


def _places(kind: FaultKind, axles: int, axle_count: int, towed: frozenset[int]) -> tuple[Members, ...]:
    """Where a kind can sit on this vehicle: what is of a trailer sits at the whole of it."""
    places = kind.places(axles, axle_count)
    if not kind.of_trailer:
        return places
    return tuple(members for members in places if {row for row, _ in members} == towed)


@lru_cache(maxsize=64)
def explanations(
    axles: int,
    axle_count: int,
    policy: Policy,
    impossible: frozenset[PatternKind],
    spared: frozenset[int] = frozenset(),
    *,
    towed: frozenset[int] = frozenset(),
) -> tuple[Explanation, ...]:
    """Every explanation of a vehicle except separate faults, which `odds` sums in closed form.

    Parameters
    ----------
    axles : int
        Axles that were read, at least 1; rows below count through them.
    axle_count : int
        Axles of the vehicle.
    policy : Policy
    impossible : frozenset of PatternKind
        Kinds this vehicle or drive cannot have.
    spared : frozenset of int
        Rows of axles that a motor or a retarder slows too: cold axles among them count as "none" and name no
        corner.
    towed : frozenset of int
        Rows of axles behind a coupling, beside others before it.

    Returns
    -------
    tuple of Explanation
        The first is the healthy vehicle.
    """
    weights = kind_weights(policy, axles, axle_count, impossible, towed)
    places = {name: _places(fault_kind(name), axles, axle_count, towed) for name in weights}
    by_right = {
        name: [members for members in places[name] if {row for row, _ in members} <= spared]
        for name in weights
        if fault_kind(name).spared
    }
    usual = sum(map(bool, by_right.values()))
    healthy = 1.0 - policy.fault_share
    each = healthy * _SPARED_SHARE / usual if usual else 0.0
    table = [Explanation(kind=NONE.name, weight=healthy - usual * each)]
    for name, weight in weights.items():
        here = by_right.get(name, ())
        for members in places[name]:
            share = weight / len(places[name]) + (each / len(here) if members in here else 0.0)
            one = _at(members, fault_kind(name), share)
            if one is not None:
                table.append(_no_fault(one) if members in here else one)
    return tuple(_beside_trailer(table, towed))


def _beside_trailer(table: Sequence[Explanation], towed: frozenset[int]) -> Iterator[Explanation]:
    """The table where a fault of the whole trailer may stand beside one of a brake or an axle before it."""
    before = [
        one for one in table if len(one.changed) == 1 and one.members and one.changed[0][0] not in towed
    ]
    alone = 1.0 - sum(one.weight for one in before)
    for one in table:
        if not fault_kind(one.kind).of_trailer:
            yield one
            continue
        yield replace(one, weight=alone * one.weight)
        for other in before:  # they come about apart
            yield Explanation(
                kind=SEVERAL.name,
                weight=one.weight * other.weight,
                changed=(*other.changed, *one.changed),
                members=(*other.members, *one.members),
            )


def _no_fault(one: Explanation) -> Explanation:
    """The same where it is no fault of the vehicle."""
    return replace(one, kind=NONE.name, members=())


def _at(members: Members, kind: FaultKind, weight: float) -> Explanation | None:
    """A kind of fault at one place; None for what is not weighed place by place."""
    match kind.scope:
        case "corner" | "axle" | "circuit":
            changed = _changed(members, kind.sign)
            return Explanation(kind=kind.name, weight=weight, changed=changed, members=members)
        case "vehicle":
            return _whole(members, kind, weight)
        case "several" | "nothing" | "hub":
            return None
        case _:
            assert_never(kind.scope)


def _whole(members: Members, kind: FaultKind, weight: float) -> Explanation | None:
    """One cause for all brakes; None for what is not weighed."""
    match kind.sign:
        case "hot":  # no axle departs from the others, the heat of the vehicle does
            return Explanation(kind=kind.name, weight=weight, members=members, raises_level=True)
        case "cold":  # every axle departs from the heat that the driving made
            changed = _changed(members, kind.sign)
            return Explanation(kind=kind.name, weight=weight, changed=changed, members=members)
        case "mixed" | "none":
            return None
        case _:
            assert_never(kind.sign)


def _changed(members: Members, sign: Sign) -> tuple[tuple[int, int], ...]:
    """Axles with their states where some corners are hot, or cold."""
    sides: dict[int, list[int]] = {}
    for row, side in members:
        sides.setdefault(row, []).append(side)
    left, right, both = _states(sign)
    return tuple((row, both if len(odd) == 2 else (left, right)[odd[0]]) for row, odd in sides.items())


def _states(sign: Sign) -> tuple[int, int, int]:
    """States of an axle with its left, its right and both brakes of one sign."""
    match sign:
        case "hot":
            return HOT_LEFT, HOT_RIGHT, BOTH_HOT
        case "cold":
            return COLD_LEFT, COLD_RIGHT, BOTH_COLD
        case "mixed" | "none":
            return HEALTHY, HEALTHY, HEALTHY
        case _:
            assert_never(sign)
