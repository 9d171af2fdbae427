"""Drives of the second simulator: speeds and braking, step by step, up to the moment the wheels stop."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from otherworld_kinds import Kind

Array = np.ndarray[Any, np.dtype[Any]]

STEP_S = 10.0
KMH = 1 / 3.6


class Drive(Struct, frozen=True, kw_only=True, eq=False):
    """Drives of many vehicles that all end at the last step.

    Attributes
    ----------
    speed : array (vehicles, steps)
        [m/s]; 0 before the drive begins.
    brake_w : array (vehicles, steps)
        Heat that the friction brakes of the whole vehicle make, mean over the step [W].
    begins : int array (vehicles,)
        First step of the drive.
    """

    speed: Array
    brake_w: Array
    begins: Array

    @property
    def steps(self) -> int:
        return int(self.speed.shape[1])


def draw_drives(kind: Kind, drive: str, mass_kg: Array, rng: np.random.Generator) -> Drive:
    """Random histories: town or rural; a ``coast`` has no braking at the end."""
    count, heavy = mass_kg.size, kind.weight_class == "heavy"
    steps = round((55 if heavy else 32) * 60 / STEP_S)
    ago = np.arange(steps)[::-1] * STEP_S  # time to the end of the drive
    length = 60.0 * rng.uniform(*((22, 52) if heavy else (12, 30)), (count, 1))
    moving = ago < length
    speed, stops = _route(kind, (count, steps), rng)
    quiet = np.where(
        rng.random((count, 1)) < 0.5, length, 60.0 * rng.uniform(10, 16, (count, 1)) * (1 + heavy)
    )
    quiet_speed = KMH * rng.uniform(55, 80, (count, 1))
    last_stop_ago = rng.uniform(10, 150, (count, 1))  # drawn always: a vehicle is the same on both drives
    if drive == "coast":
        stops &= ago > quiet
        speed = np.where(ago > quiet, speed, quiet_speed)
    else:
        stops &= ago > last_stop_ago
    speed *= moving
    friction = rng.uniform(*kind.friction, (count, 1))
    drop = np.where(rng.random((count, steps)) < 0.5, 1.0, 1.0 - rng.uniform(0.2, 0.7, (count, steps)) ** 2)
    energy_j = 0.5 * mass_kg[:, None] * friction * speed**2 * drop * stops
    _park(energy_j, mass_kg, drive, rng)
    slowed = np.where(stops, 0.6, 1.0)
    slowed[:, -1] = 0.3
    return Drive(speed=speed * slowed, brake_w=energy_j / STEP_S, begins=np.argmax(moving, axis=1))


def _route(kind: Kind, shape: tuple[int, int], rng: np.random.Generator) -> tuple[Array, Array]:
    """Speed before each step's braking [m/s], and whether the step has a stop or a slowing."""
    count, steps = shape
    town = rng.random((count, 1)) < kind.town
    fast = (45, 72) if kind.weight_class == "heavy" else (50, 85)
    cruise = KMH * np.where(town, rng.uniform(26, 46, (count, 1)), rng.uniform(*fast, (count, 1)))
    every_s = np.where(town, rng.uniform(24, 65, (count, 1)), rng.uniform(50, 170, (count, 1)))
    sway = np.zeros(shape)
    for step in range(1, steps):  # speed wanders slowly: the past 80 s are remembered
        sway[:, step] = 0.88 * sway[:, step - 1] + 0.09 * rng.standard_normal(count)
    speed = cruise * np.clip(1.0 + sway, 0.35, 1.5)
    return speed, rng.random(shape) < STEP_S / every_s


def _park(energy_j: Array, mass_kg: Array, drive: str, rng: np.random.Generator) -> None:
    """The stop that ends the drive: gentle, or for one vehicle in seven hard, but never after a coast."""
    count = mass_kg.size
    hard = (rng.random(count) < 1 / 7) & (drive != "coast")
    from_speed = KMH * np.where(hard, rng.uniform(40, 65, count), rng.uniform(5, 15, count))
    when = -1 - rng.integers(0, 3, count) * hard
    energy_j[np.arange(count), when] += 0.5 * mass_kg * 0.9 * from_speed**2
