"""What the answers about one case are drawn from, as plain values."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.axlenumbers import AxleNumbers, axle_numbers
from thermlog.judging.digest import Digest
from thermlog.judging.explanations import KINDS
from thermlog.judging.judged import Judged
from thermlog.judging.limits import drag_line_k, most_drag_k
from thermlog.judging.sight import CaseSight, shown_by, sight_of
from thermlog.words.findings import PatternKind
from thermlog.words.kinds import CORNER_COLD, CORNER_HOT, FaultKind, Members
from thermlog.words.policy import Policy
from thermlog.words.tables import Case
from thermlog.words.vehicle import BRAKE_SPOTS, SIDES, Vehicle, corner_name


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
    sight: CaseSight
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
    def air_sigma_k(self) -> float:
        """Standard uncertainty of the air [K]: as stated, else the policy's."""
        return self.case.ambient_sigma_k or self.policy.ambient_sigma_k

    def hidden_line_k(self, corner: str) -> float:
        """Largest drag that may stay hidden at a corner where "no" is said [K]."""
        numbers = self.axle_of(corner)
        rise_k = 0.0 if numbers is None else numbers.side(corner).rise_k or 0.0
        return float(drag_line_k(self.policy, np.array(rise_k)))

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

    def expected_k(self, corner: str) -> float | None:
        """Rise of a brake as the other axles lead to expect [K]; None without another axle."""
        mine, levels = int(corner[:-1]), []
        for number, axle in self.axles.items():
            rises = [side.rise_k for side in axle.sides if side.rise_k is not None]
            if number != mine and rises:
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
    shown = replace(shown, elsewhere=_elsewhere(told, span))
    weighed = told.p_drag[k] is not None
    hidden_drag, hidden_idle = judged.hidden.of(k)
    dragging, without = _read(patterns.drag_members[k], axles), _read(patterns.idle_members[k], axles)
    return CaseFacts(
        k=k,
        case=case,
        vehicle=judged.vehicles[k],
        policy=judged.policies[k],
        axles=axles,
        sight=sight_of(case, judged.vehicles[k], axles, judged.policies[k], shown),
        drag=_suspected(told.p_drag[k], int(patterns.drag_kind[k]), dragging, CORNER_HOT),
        idle=_suspected(told.p_idle[k], int(patterns.idle_kind[k]), without, CORNER_COLD),
        p_heat=told.p_heat[k],
        p_kind=dict(zip(KINDS, patterns.p_kind[k].tolist(), strict=True)) if weighed else {},
        hides_drag=hidden_drag,
        hides_idle=hidden_idle,
    )


def _elsewhere(told: Digest, span: range) -> frozenset[str]:
    """Corners whose brake was read at a spot that does not speak for its axle."""
    others = (pair for pair in span if not told.chosen[pair] and told.spot[pair] in BRAKE_SPOTS)
    return frozenset(told.corner[side][pair] for pair in others for side in (0, 1) if told.used[side][pair])


def _read(members: Members, axles: Mapping[int, AxleNumbers]) -> tuple[str, ...]:
    """Corners of an explanation that were read: no other is ever named."""
    return tuple(corner_name(axle, SIDES[side]) for axle, side in members if axles[axle].sides[side].used)


def _suspected(p: float | None, kind: int, corners: tuple[str, ...], one: FaultKind) -> Suspected:
    """The best explanation of a question; `one` is its kind where it names a single corner."""
    return Suspected(p=p, kind=one.name if len(corners) == 1 and kind >= 0 else KINDS[kind], corners=corners)
