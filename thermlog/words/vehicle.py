"""Corners, axles and the vehicle they belong to: how they are named and described."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from typing import Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from thermlog.words.letters import as_letters

Side: TypeAlias = Literal["L", "R"]
SIDES: tuple[Side, Side] = ("L", "R")
SIDE_NAMES: dict[str, str] = {"L": "left", "R": "right"}

Spot: TypeAlias = Literal[
    "brake", "rotor_outer", "rotor_inner", "hat", "caliper", "drum", "hub", "rim", "tyre_inner", "tyre_outer"
]
# The order is the code used in tables; "brake" means that the log does not say where on the brake.
SPOTS: tuple[Spot, ...] = (
    "brake", "rotor_outer", "rotor_inner", "hat", "caliper", "drum", "hub", "rim", "tyre_inner", "tyre_outer"
)  # fmt: skip
BRAKE_SPOTS: tuple[Spot, ...] = ("brake", "rotor_outer", "rotor_inner", "hat", "caliper", "drum")
# What warms by braking: a caliper takes its heat from them.
FACE_SPOTS: frozenset[Spot] = frozenset(BRAKE_SPOTS) - {"caliper"}
HUB_SPOT: Spot = "hub"
UNSAID_SPOT: Spot = "brake"  # where on the brake nobody said
TYRE_SPOTS: tuple[Spot, ...] = ("tyre_inner", "tyre_outer")

WeightClass: TypeAlias = Literal["light", "heavy"]
BrakeKind: TypeAlias = Literal["disc", "drum"]
# What is fitted in full, how it is worked, too: the kinds of `advice/evidence.toml`, by the same names.
FittedBrake: TypeAlias = Literal[
    "hyd_disc_floating", "hyd_disc_fixed", "hyd_drum", "heavy_hyd_disc", "heavy_hyd_drum", "air_drum_scam",
    "air_drum_wedge", "air_disc", "overrun_drum", "electric_drum", "surge_hyd",
]  # fmt: skip
AxleRole: TypeAlias = Literal["steer", "drive", "trailer", "lift", "tag", "pusher", "dolly", "axle"]
RAISABLE: frozenset[AxleRole] = frozenset({"lift", "tag", "pusher"})  # axles that can be up on a drive
TRAILING: frozenset[AxleRole] = frozenset({"trailer", "dolly"})  # axles behind a coupling
Split: TypeAlias = Literal["diagonal", "front_rear", "unknown"]


HEAVY_BRAKES: frozenset[FittedBrake] = frozenset(
    {"heavy_hyd_disc", "heavy_hyd_drum", "air_drum_scam", "air_drum_wedge", "air_disc"}
)
TRAILER_BRAKES: frozenset[FittedBrake] = frozenset({"overrun_drum", "electric_drum", "surge_hyd"})
FLUID_BRAKES: frozenset[FittedBrake] = frozenset(
    {"hyd_disc_floating", "hyd_disc_fixed", "hyd_drum", "heavy_hyd_disc", "heavy_hyd_drum", "surge_hyd"}
)


class Axle(Struct, frozen=True, kw_only=True):
    """One axle of a vehicle.

    Attributes
    ----------
    role : AxleRole
        What the axle does; ``"axle"`` if not said.
    brake : {"disc", "drum"}, optional
        None if not said and not to be seen from the spots read.
    fitted : FittedBrake, optional
        How the brake is made and worked, in full; None if not said. Agrees with `brake`.
    parking_brake : bool
        True if the parking brake acts on this axle.
    lifted : bool
        True if the axle was up or unloaded on this drive: cold is then normal.
    unbraked : bool
        True if the axle has no brakes at all, as the second of a light trailer or a pusher may have none.
    retarder : bool
        True if a retarder or an engine brake slows the vehicle by this axle: cold is then no fault.
    """

    role: AxleRole = "axle"
    brake: BrakeKind | None = None
    fitted: FittedBrake | None = None
    parking_brake: bool = False
    lifted: bool = False
    unbraked: bool = False
    retarder: bool = False


class Vehicle(Struct, frozen=True, kw_only=True):
    """What is known of a vehicle besides its readings.

    Attributes
    ----------
    axles : tuple of Axle
        From the front; index 0 is axle 1.
    weight_class : {"light", "heavy"}
        Which defaults and which bundled policy apply.
    split : {"diagonal", "front_rear", "unknown"}
        Which brakes share a hydraulic circuit.
    regenerative : bool
        True if the drive motor brakes too; cool friction brakes are then normal.
    tyre_radius_m : float
        Rolling radius [m], for the step from drag torque to heat.
    stated : bool
        False if everything here is a default taken from the positions alone.
    """

    axles: tuple[Axle, ...]
    weight_class: WeightClass
    split: Split = "unknown"
    regenerative: bool = False
    tyre_radius_m: float = 0.31  # passenger-car tyre, common practice, no source
    stated: bool = False

    def axle(self, number: int) -> Axle:
        """Axle by its number from the front; one of which nothing is said where none is described."""
        return self.axles[number - 1] if number <= len(self.axles) else Axle()

    @property
    def spared(self) -> frozenset[int]:
        """Axles whose brakes a motor or a retarder leaves less work, so that cold is no fault of theirs."""
        axles = enumerate(self.axles, start=1)
        return frozenset(number for number, axle in axles if self.regenerative or axle.retarder)

    @property
    def trailing(self) -> frozenset[int]:
        """Axles described as a trailer's or a dolly's."""
        return frozenset(number for number, axle in enumerate(self.axles, start=1) if axle.role in TRAILING)

    @property
    def unbraked(self) -> frozenset[int]:
        """Axles without brakes."""
        return frozenset(number for number, axle in enumerate(self.axles, start=1) if axle.unbraked)

    def is_lifted(self, number: int) -> bool:
        """True if the axle is described as raised."""
        return self.stated and self.axle(number).lifted

    def has_no_work(self, number: int) -> bool:
        """True if the axle is described as raised, or as one without brakes: no brake of it need be read."""
        return self.is_lifted(number) or self.axle(number).unbraked

    def has_drum(self, number: int) -> bool:
        """As described; where nothing is said heavy vehicles have drums."""
        brake = self.axle(number).brake
        return brake == "drum" or (brake is None and self.weight_class == "heavy")


def unit_key(name: str) -> str:
    """Name of a unit without what people write one way today and another way tomorrow.

    Examples
    --------
    >>> unit_key(" Van  7") == unit_key("van 7")
    True
    """
    return as_letters(" ".join(name.casefold().split()))


_PARTS = r"\d+|[^\W\d_]+|[^\w\s\-\u2010-\u2015\u2212]"  # numbers, words, signs but dashes


def alike_units(keys: Iterable[str]) -> list[tuple[str, ...]]:
    """Keys of units that only spaces and dashes tell apart, in groups: one vehicle, or two.

    Parameters
    ----------
    keys : iterable of str
        From `unit_key`.

    Examples
    --------
    >>> alike_units(["van 200", "van-200", "van200", "van 2 00", "van 7"])
    [('van 200', 'van-200', 'van200')]
    """
    found: dict[str, list[str]] = {}
    for key in sorted(set(keys)):
        found.setdefault(" ".join(re.findall(_PARTS, key)), []).append(key)
    return [tuple(some) for some in found.values() if len(some) > 1]


def disc_or_drum(fitted: FittedBrake) -> BrakeKind:
    """What is seen of a brake that is stated in full.

    Examples
    --------
    >>> disc_or_drum("air_disc"), disc_or_drum("surge_hyd")
    ('disc', 'drum')
    """
    return "disc" if "disc" in fitted else "drum"


def class_of(fitted: Sequence[FittedBrake | None]) -> WeightClass | None:
    """Class of a vehicle by brakes that are stated in full; None where none is, or they are of both classes.

    Examples
    --------
    >>> class_of(["air_disc", None]), class_of(["hyd_drum"]), class_of(["hyd_drum", "air_disc"])
    ('heavy', 'light', None)
    """
    heavy = {one in HEAVY_BRAKES for one in fitted if one is not None}
    if len(heavy) != 1:
        return None
    return "heavy" if True in heavy else "light"


def corner_name(axle: int, side: Side) -> str:
    """Canonical corner: axle number from the front and the vehicle's own side.

    Examples
    --------
    >>> corner_name(2, "R")
    '2R'
    """
    return f"{axle}{side}"


def split_corner(corner: str) -> tuple[int, Side]:
    """Axle number and side of a canonical corner.

    Examples
    --------
    >>> split_corner("12L")
    (12, 'L')
    """
    return int(corner[:-1]), "L" if corner[-1] == "L" else "R"


def mate_of(corner: str) -> str:
    """The corner on the other side of the same axle.

    Examples
    --------
    >>> mate_of("3L")
    '3R'
    """
    axle, side = split_corner(corner)
    return corner_name(axle, "R" if side == "L" else "L")


def is_diagonal(corners: Collection[str]) -> bool:
    """True for two corners across a vehicle: of two axles, and not of one side.

    Examples
    --------
    >>> is_diagonal(("1R", "2L")), is_diagonal(("1L", "2L"))
    (True, False)
    """
    axles, sides = zip(*map(split_corner, corners), strict=True) if corners else ((), ())
    return len(corners) == len(set(axles)) == len(set(sides)) == 2


def axle_words(axle: int, axle_count: int) -> str:
    """Name of an axle for people.

    Examples
    --------
    >>> axle_words(1, 2), axle_words(2, 2), axle_words(3, 5), axle_words(3, 2)
    ('front', 'rear', 'axle 3', 'axle 3')
    """
    if axle_count == 2 and axle <= 2:
        return "front" if axle == 1 else "rear"
    return f"axle {axle}"


class OwnWords(Struct, frozen=True):
    """What a log calls a corner, where a page may call it otherwise.

    Attributes
    ----------
    corner : str
    words : str
        As written.
    by_end : bool
        True for front and rear alone, which is how a page names two axles, too.
    """

    corner: str
    words: str
    by_end: bool = False


def own_words(corner: str, axle_count: int, called: Iterable[OwnWords]) -> str:
    """What the log calls a corner, where a page calls it otherwise; else empty.

    Examples
    --------
    >>> own_words("2L", 3, [OwnWords("2L", "RL", by_end=True)])
    'RL'
    >>> own_words("2L", 2, [OwnWords("2L", "RL", by_end=True)])
    ''
    """
    mine = (one for one in called if one.corner == corner)
    return next((one.words for one in mine if axle_count != 2 or not one.by_end), "")


def corner_words(corner: str, axle_count: int, called: Iterable[OwnWords] = ()) -> str:
    """Name of a corner for people, with the words of the log behind it where they are others.

    Examples
    --------
    >>> corner_words("1L", 2), corner_words("4R", 5)
    ('front left', 'axle 4 right')
    >>> corner_words("4R", 5, [OwnWords("4R", "trailer rear right")])
    'axle 4 right (trailer rear right)'
    """
    axle, side = split_corner(corner)
    name = f"{axle_words(axle, axle_count)} {SIDE_NAMES[side]}"
    own = own_words(corner, axle_count, called)
    return f"{name} ({own})" if own else name


def default_vehicle(
    axle_count: int, *, weight_class: WeightClass | None = None, drum: bool = False
) -> Vehicle:
    """Vehicle as far as the positions alone tell.

    Parameters
    ----------
    axle_count : int
        Highest axle number in the log, at least 1.
    weight_class : {"light", "heavy"}, optional
        Taken from the axles if not given: three and more axles are heavy.
    drum : bool
        True if drums were read.

    Returns
    -------
    Vehicle
        With ``stated`` False.
    """
    if weight_class is None:
        weight_class = "heavy" if axle_count > 2 else "light"
    brake: BrakeKind | None = "drum" if drum else None
    roles: list[AxleRole] = ["axle"] * axle_count
    if axle_count >= 2:
        roles[0] = "steer"
    axles = tuple(Axle(role=role, brake=brake) for role in roles)
    radius_m = 0.31 if weight_class == "light" else 0.50  # common practice, no source
    return Vehicle(axles=axles, weight_class=weight_class, tyre_radius_m=radius_m)


def with_retarder(axles: Sequence[Axle], slowed: Collection[int]) -> tuple[Axle, ...]:
    """The axles, those of these numbers slowed by a retarder."""
    return tuple(replace(axle, retarder=number in slowed) for number, axle in enumerate(axles, start=1))


def slowed_axles(axles: Sequence[Axle]) -> frozenset[int]:
    """Axles that a retarder slows where nobody says which: the driven ones, if they are stated.

    Else those that neither steer nor are of a trailer nor can be raised; of a trailer alone all.

    Examples
    --------
    >>> sorted(slowed_axles([Axle(role="steer"), Axle(role="drive"), Axle(role="tag")]))
    [2]
    >>> sorted(slowed_axles([Axle(role="steer"), Axle()])), sorted(slowed_axles([Axle(role="trailer")]))
    ([2], [1])
    """
    for role in ("drive", "axle"):
        found = frozenset(number for number, axle in enumerate(axles, start=1) if axle.role == role)
        if found:
            return found
    return frozenset(range(1, len(axles) + 1))


def towed_axles(axles: Sequence[Axle]) -> frozenset[int]:
    """Axles behind the coupling, the first of a trailer or dolly and all after it; none of a trailer alone.

    Examples
    --------
    >>> sorted(towed_axles([Axle(role="steer"), Axle(), Axle(role="trailer"), Axle(role="lift")]))
    [3, 4]
    >>> towed_axles([Axle(role="trailer"), Axle(role="trailer")])
    frozenset()
    """
    first = next((number for number, axle in enumerate(axles, 1) if axle.role in TRAILING), 1)
    return frozenset(range(first, len(axles) + 1)) if first > 1 else frozenset()


def may_be_raised(vehicle: Vehicle, corners: Iterable[str]) -> bool:
    """True if corners are both sides of axles that can be raised, and nobody says that they were."""
    sides: dict[int, set[str]] = {}
    for corner in corners:
        axle, side = split_corner(corner)
        sides.setdefault(axle, set()).add(side)
    here = [vehicle.axle(axle) for axle in sides]
    can = all(axle.role in RAISABLE and not axle.lifted for axle in here)
    return bool(sides) and can and all(len(each) == len(SIDES) for each in sides.values())
