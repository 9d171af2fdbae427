"""Kinds of vehicle of the second simulator; every number is common practice, no source."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from thermlog.words.vehicle import Axle, AxleRole, BrakeKind, Split, Vehicle, WeightClass


class Brake(Struct, frozen=True):
    """One brake: a swept ring, the rest of rotor or drum, and the hub or carrier behind it.

    `lag_s` is the time in which ring and bulk level out, `carrier_w_per_k` what leads from bulk to hub,
    `film_50` the film coefficient [W/m²K] that driving at 50 km/h adds.
    """

    kind: BrakeKind
    mass_kg: float
    area_m2: float
    lag_s: float
    hub_kg: float
    hub_m2: float
    carrier_w_per_k: float
    film_50: float


SMALL_FRONT = Brake("disc", 4.5, 0.16, 28.0, 6.0, 0.07, 0.7, 31.0)
SMALL_REAR = Brake("disc", 3.4, 0.13, 24.0, 5.0, 0.06, 0.6, 32.0)
FAMILY_FRONT = Brake("disc", 6.6, 0.20, 32.0, 7.0, 0.08, 0.8, 31.0)
LIGHT_DRUM = Brake("drum", 5.2, 0.17, 75.0, 5.0, 0.05, 0.9, 21.0)
VAN_FRONT = Brake("disc", 9.5, 0.27, 36.0, 9.0, 0.10, 1.0, 31.0)
VAN_REAR = Brake("disc", 7.8, 0.23, 34.0, 9.0, 0.10, 1.0, 33.0)
OVERRUN_DRUM = Brake("drum", 4.2, 0.14, 65.0, 4.0, 0.05, 0.7, 22.0)
AIR_DISC = Brake("disc", 32.0, 0.62, 60.0, 40.0, 0.30, 2.2, 31.0)
CAM_STEER = Brake("drum", 38.0, 0.62, 110.0, 38.0, 0.28, 2.2, 24.0)
CAM_DRUM = Brake("drum", 48.0, 0.75, 130.0, 45.0, 0.30, 2.6, 22.0)


class AxleBuild(Struct, frozen=True):
    """An axle: its brake, its usual share of the vehicle's braking, what it does."""

    brake: Brake
    share: float
    role: AxleRole = "axle"
    parking_brake: bool = False


class Kind(Struct, frozen=True, kw_only=True):
    """A kind of vehicle.

    `mass_kg` and `friction` are the ends of what is met: weight on the day, and the part of the slowing that
    falls to the friction brakes. `share_spread` is the relative spread of an axle's share between vehicles,
    `side_scale` the scale of the uneven sides (Student's t with four degrees of freedom), `town` how many of
    the drives are town drives.
    """

    axles: tuple[AxleBuild, ...]
    weight_class: WeightClass
    mass_kg: tuple[float, float]
    friction: tuple[float, float]
    tyre_radius_m: float
    split: Split
    share_spread: float = 0.10
    side_scale: float = 0.025
    town: float = 0.45
    intake: float = 1.0
    regenerative: bool = False

    @property
    def corners(self) -> int:
        return 2 * len(self.axles)

    @property
    def heavy_factor(self) -> float:
        """Drag torques of heavy brakes over those of light ones."""
        return 3.0 if self.weight_class == "heavy" else 1.0

    def vehicle(self) -> Vehicle:
        """What somebody who knows the vehicle would write down of it."""
        return Vehicle(
            axles=tuple(
                Axle(role=axle.role, brake=axle.brake.kind, parking_brake=axle.parking_brake)
                for axle in self.axles
            ),
            weight_class=self.weight_class,
            split=self.split,
            regenerative=self.regenerative,
            tyre_radius_m=self.tyre_radius_m,
            stated=True,
        )


def _light(
    axles: tuple[AxleBuild, ...],
    mass_kg: tuple[float, float],
    radius_m: float,
    *,
    split: Literal["diagonal", "front_rear"] = "diagonal",
    friction: tuple[float, float] = (0.55, 0.95),
    intake: float = 1.0,
) -> Kind:
    return Kind(
        axles=axles,
        weight_class="light",
        mass_kg=mass_kg,
        friction=friction,
        tyre_radius_m=radius_m,
        split=split,
        intake=intake,
        regenerative=friction[1] < 0.4,
    )


def _heavy(
    axles: tuple[AxleBuild, ...],
    mass_kg: tuple[float, float],
    *,
    town: float = 0.25,
    friction: tuple[float, float] = (0.40, 0.80),
    intake: float = 0.5,
) -> Kind:
    return Kind(
        axles=axles,
        weight_class="heavy",
        mass_kg=mass_kg,
        friction=friction,
        tyre_radius_m=0.49,
        split="front_rear",
        share_spread=0.13,
        side_scale=0.04,
        town=town,
        intake=intake,
    )


KINDS: dict[str, Kind] = {
    "small_disc": _light(
        (AxleBuild(SMALL_FRONT, 0.73, "steer"), AxleBuild(SMALL_REAR, 0.27, "axle", parking_brake=True)),
        (1000, 1400),
        0.29,
        intake=3.0,
    ),
    "family_mixed": _light(
        (AxleBuild(FAMILY_FRONT, 0.78, "steer"), AxleBuild(LIGHT_DRUM, 0.22, "axle", parking_brake=True)),
        (1250, 1900),
        0.31,
        intake=3.0,
    ),
    "van_loaded": _light(
        (AxleBuild(VAN_FRONT, 0.66, "steer"), AxleBuild(VAN_REAR, 0.34, "drive", parking_brake=True)),
        (1900, 3400),
        0.34,
        split="front_rear",
        intake=2.0,
    ),
    "motor_braked": _light(
        (AxleBuild(FAMILY_FRONT, 0.62, "drive"), AxleBuild(SMALL_REAR, 0.38, "axle", parking_brake=True)),
        (1500, 2200),
        0.33,
        friction=(0.04, 0.25),
    ),
    "overrun_one": _light(
        (AxleBuild(OVERRUN_DRUM, 1.0, "trailer", parking_brake=True),),
        (500, 1300),
        0.29,
        split="front_rear",
        friction=(0.35, 0.80),
        intake=0.5,
    ),
    "overrun_two": _light(
        tuple(AxleBuild(OVERRUN_DRUM, 0.5, "trailer", parking_brake=True) for _ in range(2)),
        (1000, 2600),
        0.29,
        split="front_rear",
        friction=(0.35, 0.80),
        intake=0.5,
    ),
    "lorry_airdisc": _heavy(
        (AxleBuild(AIR_DISC, 0.47, "steer"), AxleBuild(AIR_DISC, 0.53, "drive", parking_brake=True)),
        (8000, 17000),
    ),
    "lorry_scam": _heavy(
        (AxleBuild(CAM_STEER, 0.42, "steer"), AxleBuild(CAM_DRUM, 0.58, "drive", parking_brake=True)),
        (8000, 17000),
    ),
    "tipper_three": _heavy(
        (
            AxleBuild(CAM_STEER, 0.28, "steer"),
            AxleBuild(CAM_DRUM, 0.36, "drive", parking_brake=True),
            AxleBuild(CAM_DRUM, 0.36, "drive", parking_brake=True),
        ),
        (11000, 25000),
    ),
    "combo_five": _heavy(
        (
            AxleBuild(AIR_DISC, 0.18, "steer"),
            AxleBuild(AIR_DISC, 0.22, "drive", parking_brake=True),
            *(AxleBuild(CAM_DRUM, 0.20, "trailer", parking_brake=True) for _ in range(3)),
        ),
        (16000, 40000),
        town=0.12,
    ),
    "citybus": _heavy(
        (AxleBuild(AIR_DISC, 0.44, "steer"), AxleBuild(AIR_DISC, 0.56, "drive", parking_brake=True)),
        (11000, 18000),
        town=0.92,
        friction=(0.25, 0.55),
    ),
}
