"""Vehicles of the second simulator as built and as parked: their wheel ends, and the air round them."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from otherworld_kinds import Kind

Array = np.ndarray[Any, np.dtype[Any]]

IRON_J_PER_KG_K = 500.0  # grey iron between 20 and 200 °C, common practice, no source
SIGMA = 5.670374e-8  # Stefan-Boltzmann constant [W/m²K⁴], CODATA 2018
RING_OF_MASS = {"disc": 0.40, "drum": 0.30}
RING_OF_AREA = {"disc": 0.45, "drum": 0.08}  # the swept track of a drum faces its own shoes, not the air
WARMING = {"disc": 0.10, "drum": -0.15}  # change of a drag torque per 100 K: rotors thicken, drums open up
HEALTHY_DRAG_NM = (0.5, 4.0)


class Body(Struct, frozen=True, kw_only=True, eq=False):
    """What `vehicles` vehicles of one kind are made of; arrays (vehicles, corners) unless said otherwise.

    Attributes
    ----------
    mass_kg, air_degc, stated_degc : array (vehicles,)
        Weight on the day, true air, air as somebody wrote it down.
    share : array
        Part of the vehicle's friction braking; one vehicle's shares sum to 1.
    drag_nm : array
        Healthy residual drag.
    store_j_per_k, area_m2 : array (3, vehicles, corners)
        Ring, bulk, hub.
    ring_w_per_k, carrier_w_per_k : array
        Conduction ring to bulk, bulk to hub.
    film_50, still : array
        Film coefficient added at 50 km/h; factor of the natural convection [W/m²K per K to the 1/4].
    glow : array
        Emissivity for all heat radiation times view of cool surroundings.
    wind : array
        Film coefficient the wind adds when parked [W/m²K].
    sun_w, sun_k : array
        What the sun puts into the bulk [W], and adds to rim and tyre [K].
    near_degc : array
        Air round the wheel, a little warmer than the air outside.
    warm_k : array (vehicles,)
        Rise left over from earlier, as the drive begins.
    """

    mass_kg: Array
    air_degc: Array
    stated_degc: Array
    share: Array
    drag_nm: Array
    store_j_per_k: Array
    area_m2: Array
    ring_w_per_k: Array
    carrier_w_per_k: Array
    film_50: Array
    still: Array
    glow: Array
    wind: Array
    sun_w: Array
    sun_k: Array
    near_degc: Array
    warm_k: Array


def per_corner(kind: Kind, name: str) -> Array:
    """One property of the brakes of a kind, (corners,)."""
    return np.repeat([getattr(axle.brake, name) for axle in kind.axles], 2)


def by_brake(kind: Kind, table: dict[str, float]) -> Array:
    """One number a corner from a table by kind of brake, (corners,)."""
    return np.repeat([table[axle.brake.kind] for axle in kind.axles], 2)


def draw_bodies(kind: Kind, count: int, rng: np.random.Generator) -> Body:
    """Vehicles of one kind, each with its own weight, shares, parts and weather."""
    shape = (count, kind.corners)
    air = np.clip(rng.normal(14.0, 9.0, count), -8.0, 36.0)
    store, area = _metal(kind, shape, rng)
    bulk_only = store[0] * store[1] / (store[0] + store[1])
    wind, sun = _weather(shape, rng)
    per_wheel = kind.heavy_factor
    return Body(
        mass_kg=rng.uniform(*kind.mass_kg, count),
        air_degc=air,
        stated_degc=_stated(air, rng),
        share=_shares(kind, count, rng),
        drag_nm=_residual_drag(shape, rng) * per_wheel,
        store_j_per_k=store,
        area_m2=area,
        ring_w_per_k=bulk_only / (per_corner(kind, "lag_s") * _spread(shape, 0.20, 0.03, rng)),
        carrier_w_per_k=per_corner(kind, "carrier_w_per_k") * _spread(shape, 0.30, 0.05, rng),
        film_50=per_corner(kind, "film_50") * _spread(shape, 0.22, 0.03, rng),
        still=1.30 * _spread(shape, 0.22, 0.03, rng),
        glow=0.45 * _spread(shape, 0.30, 0.03, rng),
        wind=wind,
        sun_w=sun * 8.0 * per_wheel,
        sun_k=sun * 20.0,
        near_degc=air[:, None] + np.repeat(np.abs(rng.normal(0.0, 1.5, (count, len(kind.axles)))), 2, axis=1),
        warm_k=rng.uniform(0.0, 8.0, count),
    )


def _spread(shape: tuple[int, int], vehicle: float, corner: float, rng: np.random.Generator) -> Array:
    """Factor about 1: one part for the whole vehicle, one for each corner."""
    return np.exp(rng.normal(0.0, vehicle, (shape[0], 1)) + rng.normal(0.0, corner, shape))


def _metal(kind: Kind, shape: tuple[int, int], rng: np.random.Generator) -> tuple[Array, Array]:
    """Stores [J/K] and areas [m²] of ring, bulk and hub."""
    worn = np.repeat(rng.uniform(0.85, 1.05, (shape[0], len(kind.axles))), 2, axis=1)
    mass = per_corner(kind, "mass_kg") * worn * np.exp(rng.normal(0.0, 0.015, shape))
    area = per_corner(kind, "area_m2") * _spread(shape, 0.06, 0.01, rng)
    hub = per_corner(kind, "hub_kg") * _spread(shape, 0.10, 0.01, rng)
    ring, skin = by_brake(kind, RING_OF_MASS), by_brake(kind, RING_OF_AREA)
    hub_area = per_corner(kind, "hub_m2") * np.ones(shape)
    store = IRON_J_PER_KG_K * np.stack([mass * ring, mass * (1.0 - ring), hub])
    return store, np.stack([area * skin, area * (1.0 - skin), hub_area])


def _shares(kind: Kind, count: int, rng: np.random.Generator) -> Array:
    """Each corner's part of the braking: the axle's share, halved unevenly with heavy tails."""
    axles = len(kind.axles)
    usual = np.array([axle.share for axle in kind.axles])
    axle = usual * np.exp(rng.normal(0.0, kind.share_spread, (count, axles)))
    axle /= axle.sum(axis=1, keepdims=True)
    uneven = np.clip(kind.side_scale * rng.standard_t(4, (count, axles)), -0.22, 0.22)
    return (axle[:, :, None] * np.stack([1.0 + uneven, 1.0 - uneven], axis=2) / 2.0).reshape(count, 2 * axles)


def _residual_drag(shape: tuple[int, int], rng: np.random.Generator) -> Array:
    low, high = HEALTHY_DRAG_NM
    usual = np.exp(rng.uniform(np.log(0.7), np.log(2.8), (shape[0], 1)))
    return np.clip(usual * np.exp(rng.normal(0.0, 0.30, shape)), low, high)


def _weather(shape: tuple[int, int], rng: np.random.Generator) -> tuple[Array, Array]:
    """Wind's film coefficient and sunshine (0 to 1), each on one side of the parked vehicle."""
    count, corners = shape
    side = np.arange(corners) % 2
    outdoors = rng.random((count, 1)) < 0.55
    windward = side == rng.integers(0, 2, (count, 1))
    speed = outdoors * np.clip(rng.lognormal(0.5, 0.6, (count, 1)), 0.0, 6.0)
    film = 4.0 * speed**0.6 * rng.uniform(0.15, 0.45, (count, 1)) * np.where(windward, 1.0, 0.35)
    sunny = outdoors & (rng.random((count, 1)) < 0.4)
    return film, sunny * rng.uniform(0.2, 1.0, (count, 1)) * (side == rng.integers(0, 2, (count, 1)))


def _stated(air: Array, rng: np.random.Generator) -> Array:
    """Air as written down: usually 1.5 K off, one time in six from a forecast or a dashboard, 4 K off."""
    sd = np.where(rng.random(air.size) < 1 / 6, 4.0, 1.5)
    return np.round(2.0 * (air + sd * rng.standard_normal(air.size))) / 2.0
