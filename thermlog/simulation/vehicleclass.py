"""The vehicles a simulation can drive: builds, brakes and healthy spread, from ``vehicle_classes.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from msgspec import Struct

from thermlog.words.bundled import bundled
from thermlog.words.vehicle import SIDES, Axle, AxleRole, Split, Vehicle, WeightClass, corner_name


class BrakeBuild(Struct, frozen=True, kw_only=True):
    """Heat capacities and losses of one brake as built.

    Attributes
    ----------
    rotor_j_per_k, hub_j_per_k : float
        Heat capacity of the ring or drum, and of hub, carrier and caliper or shoes together [J/K].
    area_m2 : float
        Surface of the ring or drum that loses heat when parked [m²].
    rotor_to_hub_w_per_k : float
        Conduction between the two [W/K].
    hub_parked_w_per_k : float
        Loss of the hub to still air, radiation included [W/K].
    rolling_w_per_k : tuple of float
        Lowest and highest forced-convection loss of the ring or drum at 50 km/h [W/K].
    residual_drag_nm : tuple of float
        Least and most drag of a healthy released brake [N·m].
    source : str
        Where the figures come from.
    """

    rotor_j_per_k: float
    hub_j_per_k: float
    area_m2: float
    rotor_to_hub_w_per_k: float
    hub_parked_w_per_k: float
    rolling_w_per_k: tuple[float, float]
    residual_drag_nm: tuple[float, float]
    source: str


class AxleBuild(Struct, frozen=True, kw_only=True):
    """One axle: what it does, its brakes, and the axle's share of the braking force (0 to 1)."""

    axle: Axle
    brake: BrakeBuild
    force_share: float


class VehicleClass(Struct, frozen=True, kw_only=True):
    """A kind of vehicle, with the spread between healthy ones.

    Attributes
    ----------
    name, title : str
        Short name for commands; name for people.
    axles : tuple of AxleBuild
        From the front.
    weight_class, split, regenerative, tyre_radius_m
        As in `vehicle.Vehicle`.
    mass_kg : tuple of float
        Unladen and laden mass [kg].
    friction_share : float
        Part of the slowing that the friction brakes do, 0 to 1.
    drag_factor : float
        Residual drag over that of the same brakes elsewhere; low-drag calipers have less than 1.
    side_spread, axle_spread : float
        Standard deviation of the logarithm of brake force, corner by corner and axle by axle.
    source : str
        Where the figures come from.
    """

    name: str
    title: str
    axles: tuple[AxleBuild, ...]
    weight_class: WeightClass
    split: Split
    regenerative: bool
    tyre_radius_m: float
    mass_kg: tuple[float, float]
    friction_share: float
    drag_factor: float
    side_spread: float
    axle_spread: float
    source: str

    @property
    def corners(self) -> tuple[str, ...]:
        """Canonical corners, axle by axle from the front, left before right."""
        return tuple(corner_name(k + 1, side) for k in range(len(self.axles)) for side in SIDES)

    def description(self) -> Vehicle:
        """Tell the same vehicle in the words a log would state."""
        return Vehicle(
            axles=tuple(build.axle for build in self.axles),
            weight_class=self.weight_class,
            split=self.split,
            regenerative=self.regenerative,
            tyre_radius_m=self.tyre_radius_m,
            stated=True,
        )


def _brake_build(table: Mapping[str, Any]) -> BrakeBuild:
    figures: dict[str, Any] = {name: tuple(v) if isinstance(v, list) else v for name, v in table.items()}
    return BrakeBuild(**figures)


def _axle_builds(table: Mapping[str, Any], brakes: Mapping[str, BrakeBuild]) -> tuple[AxleBuild, ...]:
    rows = zip(table["brakes"], table["roles"], table["force_shares"], strict=True)
    return tuple(
        AxleBuild(
            axle=_axle(brake, role, parking=number in table["parking_axles"]),
            brake=brakes[brake],
            force_share=share,
        )
        for number, (brake, role, share) in enumerate(rows, start=1)
    )


def _axle(brake: str, role: AxleRole, *, parking: bool) -> Axle:
    return Axle(role=role, brake="drum" if brake.endswith("_drum") else "disc", parking_brake=parking)


def _vehicle_class(name: str, table: Mapping[str, Any], brakes: Mapping[str, BrakeBuild]) -> VehicleClass:
    return VehicleClass(
        name=name,
        title=table["title"],
        axles=_axle_builds(table, brakes),
        weight_class=table["weight_class"],
        split=table["split"],
        regenerative=table.get("regenerative", False),
        tyre_radius_m=table["tyre_radius_m"],
        mass_kg=tuple(table["mass_kg"]),
        friction_share=table["friction_share"],
        drag_factor=table.get("drag_factor", 1.0),
        side_spread=table["side_spread"],
        axle_spread=table["axle_spread"],
        source=table["source"],
    )


def _bundled() -> dict[str, VehicleClass]:
    data = bundled(Path(__file__).with_name("vehicle_classes.toml"))
    brakes = {name: _brake_build(table) for name, table in data["brakes"].items()}
    return {name: _vehicle_class(name, table, brakes) for name, table in data["classes"].items()}


VEHICLE_CLASSES: Mapping[str, VehicleClass] = MappingProxyType(_bundled())
