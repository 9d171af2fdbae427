"""Every kind of fault a vehicle can have: one table; all else that knows of kinds follows from it.

A new kind is an entry in `FAULT_KINDS`, the policy's number it names as its weight, and the answer of
``th_scope`` in the evidence file under which causes are ranked. Code elsewhere asks a kind for its sign,
scope, size or what shows it, and matches all of them; the kind of one brake or one axle it takes from
`kind_of`. By its name here it calls only a kind that is meant itself: what is said where no kind is found
(`NONE`, `CANNOT_TELL`), more than one (`SEVERAL`), a hot hub, all brakes hot, a diagonal.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Literal, TypeAlias, assert_never

from msgspec import Struct

from thermlog.words.reasons import WhyCode
from thermlog.words.vehicle import Split

Sign: TypeAlias = Literal["hot", "cold", "mixed", "none"]
Scope: TypeAlias = Literal["nothing", "corner", "hub", "axle", "circuit", "vehicle", "several"]
Size: TypeAlias = Literal["drag", "bearing", "loss", "none"]
ShownBy: TypeAlias = Literal["gap", "height", "hub"]
Question: TypeAlias = Literal["drag", "idle", "heat"]
# Corners as (row of the axle, side), 0 the first axle and the left side.
Members: TypeAlias = tuple[tuple[int, int], ...]


class FaultKind(Struct, frozen=True, kw_only=True):
    """One kind of fault, or one thing that is said in the place of a fault.

    Attributes
    ----------
    name : str
        In JSON, on the command line, in tables.
    meaning : str
        For people, in a few words.
    sign : {"hot", "cold", "mixed", "none"}
        How its brakes stand out; "none" where there is no fault.
    scope : {"nothing", "corner", "hub", "axle", "circuit", "vehicle", "several"}
        What one cause reaches. "circuit": brakes of more than one axle, but not all. "several": no one cause.
    places : callable (axles, axle_count) -> tuple of Members
        Every set of corners it can sit at: of so many axles read, of a vehicle that has so many.
    shown_by : {"gap", "height", "hub"}
        What shows it: a gap between left and right, the height of whole axles, the height of hubs.
    size : {"drag", "bearing", "loss", "none"}
        What tells how bad it is: residual torque of brakes, torque of a bearing, lost part of the work.
    weight : str or None
        The policy's number that is its prior weight; None for what is not weighed against the others.
    stands_out : str or None
        Its answer to ``th_scope`` in the evidence file; None where no causes are ranked.
    reason : WhyCode or None
        The one reason that tells it; None where it is told corner by corner.
    simulated : bool
        True if the simulator plants it.
    never_on : Split or None
        The stated hydraulic split of vehicles that cannot have it.
    spared : bool
        True if it is no fault of axles that a drive motor or a retarder slows too.
    of_trailer : bool
        True for what sits at all axles behind a coupling, beside axles before it, and nowhere else.
    """

    name: str
    meaning: str
    sign: Sign
    scope: Scope
    places: Callable[[int, int], tuple[Members, ...]]
    shown_by: ShownBy = "gap"
    size: Size = "none"
    weight: str | None = None
    stands_out: str | None = None
    reason: WhyCode | None = None
    simulated: bool = False
    never_on: Split | None = None
    spared: bool = False
    of_trailer: bool = False

    @property
    def is_fault(self) -> bool:
        """False for the healthy vehicle, and where nothing can be told."""
        return self.sign != "none"

    @property
    def weighed(self) -> bool:
        """True if it competes for the probability of the vehicle."""
        return self.weight is not None

    @property
    def has_place(self) -> bool:
        """True if it sits at some corners of the vehicle and not at others."""
        match self.scope:
            case "corner" | "hub" | "axle" | "circuit" | "several":
                return True
            case "nothing" | "vehicle":
                return False
            case _:
                assert_never(self.scope)

    @property
    def warms(self) -> bool:
        """True if something of it is hotter than it ought to be."""
        match self.sign:
            case "hot" | "mixed":
                return True
            case "cold" | "none":
                return False
            case _:
                assert_never(self.sign)

    @property
    def asked_of(self) -> Question | None:
        """The question that it alone answers with yes; None for what answers none or several."""
        match self.scope:
            case "corner" | "axle" | "circuit":
                return self._by_sign(hot="drag")
            case "vehicle":
                return self._by_sign(hot="heat")
            case "nothing" | "hub" | "several":
                return None
            case _:
                assert_never(self.scope)

    def _by_sign(self, *, hot: Question) -> Question | None:
        match self.sign:
            case "hot":
                return hot
            case "cold":
                return "idle"
            case "mixed" | "none":
                return None
            case _:
                assert_never(self.sign)


def _nowhere(axles: int, axle_count: int) -> tuple[Members, ...]:  # noqa: ARG001 - one shape for all kinds
    return ()


def _no_corner(axles: int, axle_count: int) -> tuple[Members, ...]:  # noqa: ARG001
    return ((),)


def _each_corner(axles: int, axle_count: int) -> tuple[Members, ...]:  # noqa: ARG001
    return tuple(((row, side),) for row in range(axles) for side in (0, 1))


def _each_axle(axles: int, axle_count: int) -> tuple[Members, ...]:  # noqa: ARG001
    return tuple(_both_sides(range(row, row + 1)) for row in range(axles))


def _diagonals(axles: int, axle_count: int) -> tuple[Members, ...]:
    """Of a vehicle with two axles, both of them read."""
    return tuple(((0, side), (1, 1 - side)) for side in (0, 1)) if axles == axle_count == 2 else ()


def _neighbouring_axles(axles: int, axle_count: int) -> tuple[Members, ...]:  # noqa: ARG001
    """Two axles and more, never all."""
    return tuple(
        _both_sides(range(begin, end))
        for begin in range(axles)
        for end in range(begin + 2, axles + 1)
        if end - begin < axles
    )


def _last_axles(axles: int, axle_count: int) -> tuple[Members, ...]:  # noqa: ARG001
    """Two axles and more at the end, never all: an axle alone is a kind of its own."""
    return tuple(_both_sides(range(begin, axles)) for begin in range(1, axles - 1))


def _whole_vehicle(axles: int, axle_count: int) -> tuple[Members, ...]:
    """Where more than one axle was read, or there is but one."""
    return (_both_sides(range(axles)),) if axles >= 2 or axle_count == 1 else ()


def _two_axles_apart(axles: int, axle_count: int) -> tuple[Members, ...]:  # noqa: ARG001
    """A corner of one axle and a corner of another."""
    return tuple(
        ((row, side), (other, its))
        for row in range(axles)
        for other in range(row + 1, axles)
        for side in (0, 1)
        for its in (0, 1)
    )


def _both_sides(rows: range) -> Members:
    return tuple((row, side) for row in rows for side in (0, 1))


NONE = FaultKind(
    name="none", meaning="no fault", sign="none", scope="nothing", places=_no_corner, simulated=True
)
CORNER_HOT = FaultKind(
    name="corner_hot", meaning="one brake drags", sign="hot", scope="corner", places=_each_corner,
    size="drag", weight="corner_hot_weight", stands_out="one_corner", simulated=True,
)  # fmt: skip
CORNER_COLD = FaultKind(
    name="corner_cold", meaning="one brake does nothing, or too little", sign="cold", scope="corner",
    places=_each_corner, size="loss", weight="corner_cold_weight", stands_out="one_corner", simulated=True,
)  # fmt: skip
AXLE_HOT = FaultKind(
    name="axle_hot", meaning="both brakes of one axle drag", sign="hot", scope="axle", places=_each_axle,
    shown_by="height", size="drag", weight="axle_hot_weight", stands_out="axle_pair", reason="both_sides_hot",
    simulated=True,
)  # fmt: skip
AXLE_COLD = FaultKind(
    name="axle_cold", meaning="both brakes of one axle do nothing, or too little", sign="cold", scope="axle",
    places=_each_axle, shown_by="height", size="loss", weight="axle_cold_weight", stands_out="axle_pair",
    reason="both_sides_cold", simulated=True, spared=True,
)  # fmt: skip
DIAGONAL_HOT = FaultKind(
    name="diagonal_hot", meaning="two brakes across a vehicle of two axles drag: one diagonal circuit",
    sign="hot", scope="circuit", places=_diagonals, size="drag", weight="diagonal_hot_weight",
    stands_out="diagonal_pair", reason="diagonal_hot", simulated=True, never_on="front_rear",
)  # fmt: skip
DIAGONAL_COLD = FaultKind(
    name="diagonal_cold", meaning="two brakes across a vehicle of two axles do nothing: one diagonal circuit",
    sign="cold", scope="circuit", places=_diagonals, size="loss", weight="diagonal_cold_weight",
    stands_out="diagonal_pair", reason="diagonal_cold", never_on="front_rear",
)  # fmt: skip
CIRCUIT_HOT = FaultKind(
    name="circuit_hot", meaning="all brakes of neighbouring axles drag: one circuit or valve", sign="hot",
    scope="circuit", places=_neighbouring_axles, shown_by="height", size="drag", weight="circuit_hot_weight",
    stands_out="axle_group", reason="circuit_hot",
)  # fmt: skip
CIRCUIT_COLD = FaultKind(
    name="circuit_cold", meaning="no brake of neighbouring axles does its part: one circuit, valve or line",
    sign="cold", scope="circuit", places=_neighbouring_axles, shown_by="height", size="loss",
    weight="circuit_cold_weight", stands_out="axle_group", reason="circuit_cold", spared=True,
)  # fmt: skip
TRAILER_HOT = FaultKind(
    name="trailer_hot", meaning="all brakes of the trailer drag: breakaway, current, drawtube, air supply",
    sign="hot", scope="circuit", places=_last_axles, shown_by="height", size="drag",
    weight="trailer_hot_weight", stands_out="axle_group", reason="trailer_hot", of_trailer=True,
)  # fmt: skip
TRAILER_COLD = FaultKind(
    name="trailer_cold", meaning="no brake of the trailer does its part: plug, drawtube or line",
    sign="cold", scope="circuit", places=_last_axles, shown_by="height", size="loss",
    weight="trailer_cold_weight", stands_out="axle_group", reason="trailer_cold", spared=True,
    of_trailer=True,
)  # fmt: skip
ALL_HOT = FaultKind(
    name="all_hot", meaning="all brakes drag: one cause for the vehicle", sign="hot", scope="vehicle",
    places=_whole_vehicle, shown_by="height", size="drag", weight="all_hot_weight",
    stands_out="whole_vehicle", reason="all_hot", simulated=True,
)  # fmt: skip
HUB_HOT = FaultKind(
    name="hub_hot", meaning="a hub is hot by itself, as with a failing bearing", sign="hot", scope="hub",
    places=_each_corner, shown_by="hub", size="bearing", stands_out="one_corner", simulated=True,
)  # fmt: skip
SEVERAL = FaultKind(
    name="several", meaning="two or more separate faults", sign="mixed", scope="several",
    places=_two_axles_apart, weight="several_weight", stands_out="one_corner",
)  # fmt: skip
CANNOT_TELL = FaultKind(
    name="cannot_tell", meaning="it cannot be told", sign="none", scope="nothing", places=_nowhere
)
# In the order in which they are listed everywhere.
FAULT_KINDS: tuple[FaultKind, ...] = (
    NONE, CORNER_HOT, CORNER_COLD, AXLE_HOT, AXLE_COLD, DIAGONAL_HOT, DIAGONAL_COLD, CIRCUIT_HOT,
    CIRCUIT_COLD, TRAILER_HOT, TRAILER_COLD, ALL_HOT, HUB_HOT, SEVERAL, CANNOT_TELL,
)  # fmt: skip


@lru_cache(maxsize=64)
def fault_kind(name: str) -> FaultKind:
    """The kind of that name.

    Examples
    --------
    >>> fault_kind("corner_hot").sign
    'hot'
    """
    return {kind.name: kind for kind in FAULT_KINDS}[name]


@lru_cache(maxsize=4)
def kind_of(scope: Literal["corner", "axle"], sign: Literal["hot", "cold"]) -> FaultKind:
    """The one kind of a single brake, or of both brakes of an axle, that stands out so.

    Examples
    --------
    >>> kind_of("axle", "cold").name
    'axle_cold'
    """
    (only,) = (kind for kind in FAULT_KINDS if (kind.scope, kind.sign) == (scope, sign))
    return only


def reasons_of(scope: Scope, *signs: Sign) -> frozenset[WhyCode]:
    """The reasons that tell the kinds of one scope.

    Parameters
    ----------
    scope : Scope
    *signs : {"hot", "cold", "mixed", "none"}
        Those of these signs; of any without.

    Examples
    --------
    >>> sorted(reasons_of("circuit", "hot"))
    ['circuit_hot', 'diagonal_hot', 'trailer_hot']
    """
    kinds = (kind for kind in FAULT_KINDS if kind.scope == scope and (not signs or kind.sign in signs))
    return frozenset(kind.reason for kind in kinds if kind.reason is not None)
