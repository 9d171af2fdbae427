"""What the answers about one case are drawn from, as plain values."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.inference.explanations import KINDS
from thermlog.inference.limits import drag_line_of, most_drag_k
from thermlog.judging.axlenumbers import AxleNumbers, axle_numbers
from thermlog.judging.digest import Digest
from thermlog.judging.judged import Judged
from thermlog.judging.slips import Walked
from thermlog.judging.uncleared import Uncleared, shown_by, uncleared_of
from thermlog.words.findings import PatternKind
from thermlog.words.kinds import SEVERAL, Members, kind_of
from thermlog.words.policy import Policy
from thermlog.words.tables import BlindCode, Case, Readings
from thermlog.words.vehicle import BRAKE_SPOTS, SIDES, Vehicle, corner_name, mate_of, split_corner

_ALSO = 1.0 / 3.0  # of the likeliest one's probability: odd sides of gaps elsewhere go with it; judgement

# Attempts to read a wheel; other words may stand in a line of their own.
_TRIED: frozenset[BlindCode] = frozenset(
    {"over_range", "under_range", "no_value", "set_aside", "before_parked"}
)


class Suspected(Struct, frozen=True, kw_only=True):
    """The best explanation that answers one question with yes.

    Attributes
    ----------
    p : float or None
        Probability that any brake that was read is so.
    kind : PatternKind
    corners : tuple of str
    """

    p: float | None
    kind: PatternKind
    corners: tuple[str, ...]


class CaseFacts(Struct, frozen=True, kw_only=True):
    """One case.

    Attributes
    ----------
    axles : dict of int to AxleNumbers
    drag, idle : Suspected
    p_heat : float or None
    p_kind : dict of PatternKind to float
        Empty where nothing could be weighed.
    hides_drag, hides_idle : tuple of str
        Corners at which a fault as large as the policy's line might not have shown.
    """

    k: int
    case: Case
    vehicle: Vehicle
    policy: Policy
    axles: Mapping[int, AxleNumbers]
    uncleared: Uncleared
    drag: Suspected
    idle: Suspected
    p_heat: float | None
    p_kind: Mapping[PatternKind, float]
    hides_drag: tuple[str, ...]
    hides_idle: tuple[str, ...]

    @property
    def coast(self) -> bool:
        """True for a drive without braking."""
        return self.case.drive == "coast"

    @property
    def warmest_k(self) -> float:
        """Rise of the warmest brake [K]; 0 where none is known."""
        return max((side.rise_k or 0.0 for axle in self.axles.values() for side in axle.sides), default=0.0)

    @property
    def mostly_below_air(self) -> bool:
        """True where half of the brakes or more read below the stated air: then it rather is the air."""
        air_degc = self.case.ambient_degc or 0.0
        sides = [side for axle in self.axles.values() for side in axle.sides]
        warmest = ((side.hottest_degc or 0.0) - air_degc if side.readings else 0.0 for side in sides)
        rises = [
            at_most if side.rise_k is None else side.rise_k
            for side, at_most in zip(sides, warmest, strict=True)
        ]
        return 2 * sum(rise_k < 0.0 for rise_k in rises) >= len(rises)

    @property
    def air_sigma_k(self) -> float:
        """Standard uncertainty of the air [K]: as stated, else the policy's."""
        return self.case.ambient_sigma_k or self.policy.ambient_sigma_k

    def hidden_line_k(self, corner: str) -> float:
        """Largest drag that may stay hidden at a corner where "no" is said [K]."""
        numbers = self.axle_of(corner)
        rise_k = 0.0 if numbers is None else numbers.side(corner).rise_k or 0.0
        return drag_line_of(self.policy, rise_k)

    def hottest_drag_k(self, corner: str) -> float:
        """Largest extra heat that the readings of a corner leave room for [K]: all of its own heat.

        No bound where one reading, or two that contradict each other, may have missed the brake.
        """
        numbers = self.axle_of(corner)
        if numbers is None:
            return math.inf
        side = numbers.side(corner)
        if side.is_doubtful or side.rise_k is None:
            return math.inf
        return float(most_drag_k(np.array(side.rise_k), np.array(side.most_k or 0.0), self.air_sigma_k))

    def expected_k(self, corner: str, *, without: Collection[int] = ()) -> float | None:
        """Rise of a brake as the other axles lead to expect [K], some left out; None without another axle."""
        mine, levels = int(corner[:-1]), []
        for number, axle in self.axles.items():
            rises = axle.rises_k
            if number != mine and number not in without and rises:
                levels.append(sum(rises) / len(rises) / self.usual_share(number))
        return sum(levels) / len(levels) * self.usual_share(mine) if levels else None

    def usual_share(self, axle: int) -> float:
        """Usual rise of an axle over that of the axles behind the steered one."""
        if self.coast or axle != 1 or self.vehicle.axles[0].role != "steer":
            return 1.0
        return self.policy.front_share

    def axle_of(self, corner: str) -> AxleNumbers | None:
        """Numbers of the axle of a corner."""
        return self.axles.get(int(corner[:-1]))


def case_facts(judged: Judged, k: int) -> CaseFacts:
    """Facts of case `k`.

    Parameters
    ----------
    judged : Judged
    k : int
    """
    told, patterns, case = judged.digest, judged.patterns, judged.readings.cases[k]
    span = range(told.first[k], told.first[k + 1])
    axles = {told.axle[pair]: axle_numbers(told, pair) for pair in span if told.chosen[pair]}
    shown = shown_by([side for numbers in axles.values() for side in numbers.sides], case.ambient_degc)
    shown = replace(
        shown,
        elsewhere=_elsewhere(told, span),
        common_time_s=told.common_time_s[k],
        walked=_walked(judged.readings, k),
    )
    weighed = told.p_drag[k] is not None
    hidden_drag, hidden_idle = judged.hidden.of(k)
    hot, cold = _read(patterns.drag_members[k], axles), _read(patterns.idle_members[k], axles)
    policy, compared = judged.policies[k], axles.values()
    dragging, without = (
        _suspected(p, int(kind), corners, hot=is_hot)
        for p, kind, corners, is_hot in (
            (told.p_drag[k], patterns.drag_kind[k], hot, True),
            (told.p_idle[k], patterns.idle_kind[k], cold, False),
        )
    )
    facts = CaseFacts(
        k=k,
        case=case,
        vehicle=judged.vehicles[k],
        policy=policy,
        axles=axles,
        uncleared=uncleared_of(case, judged.vehicles[k], axles, policy, shown),
        drag=_with_gaps(dragging, compared, policy, hot=True),
        idle=_with_gaps(without, compared, policy, hot=False),
        p_heat=told.p_heat[k],
        p_kind=dict(zip(KINDS, patterns.p_kind[k].tolist(), strict=True)) if weighed else {},
        hides_drag=hidden_drag,
        hides_idle=hidden_idle,
    )
    drag, idle = (
        _odd_alone(facts, found, hot=hot) for found, hot in ((facts.drag, True), (facts.idle, False))
    )
    return replace(facts, drag=drag, idle=_without_spared(idle, facts.vehicle))


def _without_spared(found: Suspected, vehicle: Vehicle) -> Suspected:
    """What does not work, without whole axles whose work a motor or a retarder does: cold by right."""
    both = {corner for corner in found.corners if mate_of(corner) in found.corners}
    left = tuple(
        one for one in found.corners if one not in both or split_corner(one)[0] not in vehicle.spared
    )
    if len(left) == len(found.corners):
        return found
    return _suspected(found.p, KINDS.index(found.kind), left, hot=False)


def _odd_alone(facts: CaseFacts, found: Suspected, *, hot: bool) -> Suspected:
    """The same without mates that are as warm as axles nobody speaks of lead to expect, a plain gap between.

    A fault of a whole axle leaves no side of it sound.
    """
    named = {int(corner[:-1]) for corner in found.corners}
    sound = set()
    for number in named:
        axle = facts.axles[number]
        mate = axle.hot_cold[1 if hot else 0]
        both = {side.corner for side in axle.sides} <= set(found.corners)
        expected, rise_k = facts.expected_k(mate.corner, without=named), mate.rise_k
        if both and expected is not None and rise_k is not None and axle.is_plain(facts.policy):
            ratio = facts.policy.watch_ratio
            if rise_k <= ratio * expected if hot else rise_k * ratio >= expected:
                sound.add(mate.corner)
    if not sound:
        return found
    corners = tuple(corner for corner in found.corners if corner not in sound)
    one = kind_of("corner", "hot" if hot else "cold")
    return Suspected(p=found.p, kind=one.name if len(corners) == 1 else SEVERAL.name, corners=corners)


def _elsewhere(told: Digest, span: range) -> frozenset[str]:
    """Corners whose brake was read at a spot that does not speak for its axle."""
    others = (pair for pair in span if not told.chosen[pair] and told.spot[pair] in BRAKE_SPOTS)
    return frozenset(told.corner[side][pair] for pair in others for side in (0, 1) if told.used[side][pair])


def _walked(readings: Readings, k: int) -> Walked:
    """Lines of a case with the corners that were read there, in order; none where all wheels are known."""
    blind = readings.cases[k].blind
    if not any(one.code == "unknown_wheel" for one in blind):
        return ()
    own = readings.case == k
    columns = (column[own].tolist() for column in (readings.line, readings.axle, readings.side))
    read = [(line, corner_name(axle, SIDES[side])) for line, axle, side in zip(*columns, strict=True)]
    tried = [(one.line, one.corner) for one in blind if one.corner is not None and one.code in _TRIED]
    return sorted({*read, *tried})


def _read(members: Members, axles: Mapping[int, AxleNumbers]) -> tuple[str, ...]:
    """Corners of an explanation that were read: no other is ever named."""
    return tuple(corner_name(axle, SIDES[side]) for axle, side in members if axles[axle].sides[side].heard)


def _suspected(p: float | None, kind: int, corners: tuple[str, ...], *, hot: bool) -> Suspected:
    """The best explanation of a question; by its number of corners where that is one brake, or one axle."""
    pair = len(corners) == 2 and mate_of(corners[0]) == corners[1]
    if kind < 0 or not (len(corners) == 1 or pair):
        return Suspected(p=p, kind=KINDS[kind], corners=corners)
    named = kind_of("axle" if pair else "corner", "hot" if hot else "cold")
    return Suspected(p=p, kind=named.name, corners=corners)


def _with_gaps(found: Suspected, axles: Iterable[AxleNumbers], policy: Policy, *, hot: bool) -> Suspected:
    """The same with the odd sides of plain gaps elsewhere that are about as likely, and clearly the odd ones.

    One explanation names one place; a gap on another axle that speaks as clearly is no alternative to it.
    """
    plain = {
        axle.axle: axle.hot_cold if hot else axle.hot_cold[::-1] for axle in axles if axle.is_plain(policy)
    }
    chances = {
        number: (odd.p_hot, mate.p_cold) if hot else (odd.p_cold, mate.p_hot)
        for number, (odd, mate) in plain.items()
    }
    named = {int(corner[:-1]) for corner in found.corners}
    if not named:
        return found
    least = _ALSO * max((chances[number][0] for number in named if number in chances), default=found.p or 0.0)
    also = [
        plain[number][0].corner
        for number, (own, other) in chances.items()
        if number not in named and own >= max(least, policy.side_probability * (own + other))
    ]
    corners = tuple(sorted((*found.corners, *also), key=split_corner))
    return Suspected(p=found.p, kind=SEVERAL.name, corners=corners) if also else found
