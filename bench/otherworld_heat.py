"""Heat of the second simulator: three stores a brake, on the road and parked, by Heun's rule."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from otherworld_body import SIGMA, WARMING, Body, by_brake
from otherworld_drive import KMH, STEP_S, Drive
from otherworld_faults import Fault
from otherworld_kinds import Kind

from thermlog.words.units import ZERO_DEGC_IN_K

Array = np.ndarray[Any, np.dtype[Any]]

INTO_IRON = 0.95  # of braking heat; linings keep the rest
INTO_HUB = 0.02  # of braking heat, through carrier and wheel bolts
VENT_POWER = 0.75  # of the film coefficient with speed; handbooks 0.55 to 0.8, from memory, not checked
# Moments at which a parked vehicle's temperatures are kept [s]: fine at first, where the ring levels out.
KNOTS_S = np.concatenate([np.arange(0, 120, 10), np.arange(120, 900, 60), np.arange(900, 4201, 150)]).astype(
    float
)
PARKED_STEP_S = 20.0


class Ledger(Struct):
    """Heat put in and heat lost to the air, (vehicles, corners) [J]."""

    put_in_j: Array
    lost_j: Array


class Road(Struct, frozen=True, kw_only=True, eq=False):
    """A finished drive: temperatures (3, vehicles, corners) [°C] as the wheels stop, and its books."""

    stores_degc: Array
    ledger: Ledger


def losses_w(body: Body, stores_degc: Array, forced: Array) -> Array:
    """Heat to the air from ring, bulk and hub [W]: forced and natural convection, radiation.

    Natural convection goes with the 5/4 power of the rise (a laminar plate in air; McAdams, from memory, not
    checked), the rest of the factor is in `Body.still`.
    """
    rise = stores_degc - body.near_degc
    film = forced + body.still * np.sqrt(np.sqrt(np.abs(rise)))
    squared = (stores_degc + ZERO_DEGC_IN_K) ** 2
    cool = (body.near_degc + ZERO_DEGC_IN_K) ** 2
    glow = SIGMA * body.glow * (squared * squared - cool * cool)
    return body.area_m2 * (film * rise + glow)


def advance(
    body: Body, stores_degc: Array, heat_w: Array, forced: Array, step_s: float
) -> tuple[Array, Array]:
    """Temperatures one step later, and the mean loss of each store over the step [W]."""
    slope, early = _slope(body, stores_degc, heat_w, forced)
    slope_end, late = _slope(body, stores_degc + step_s * slope, heat_w, forced)
    return stores_degc + 0.5 * step_s * (slope + slope_end), 0.5 * (early + late)


def _slope(body: Body, stores_degc: Array, heat_w: Array, forced: Array) -> tuple[Array, Array]:
    lost = losses_w(body, stores_degc, forced)
    inward = body.ring_w_per_k * (stores_degc[0] - stores_degc[1])
    onward = body.carrier_w_per_k * (stores_degc[1] - stores_degc[2])
    net = heat_w - lost
    net[0] -= inward
    net[1] += inward - onward
    net[2] += onward
    return net / body.store_j_per_k, lost


def drive_heat(kind: Kind, body: Body, drive: Drive, fault: Fault) -> Road:
    """Drive every vehicle from cold to where it parks."""
    stores = np.repeat((body.near_degc + body.warm_k[:, None])[None], 3, axis=0)
    share = _shares_with(body, fault)
    warming = by_brake(kind, WARMING) / 100.0
    ledger = Ledger(put_in_j=np.zeros(body.share.shape), lost_j=np.zeros(body.share.shape))
    since = np.arange(drive.steps) - drive.begins[:, None]
    sticks = since >= fault.late[:, None] * (drive.steps - drive.begins[:, None])
    for step in range(drive.steps):
        speed = drive.speed[:, step, None]
        feedback = np.clip(1.0 + warming * (stores[0] - body.near_degc), 0.5, 1.3)
        drag_nm = body.drag_nm + fault.drag_nm * feedback * sticks[:, step, None]
        braking_w = drive.brake_w[:, step, None] * share
        heat = np.zeros_like(stores)
        heat[0] = INTO_IRON * (braking_w + drag_nm * speed / kind.tyre_radius_m)
        heat[2] = INTO_HUB * braking_w + fault.hub_w * speed / (50.0 * KMH)
        forced = body.film_50 * (speed / (50.0 * KMH)) ** VENT_POWER
        stores, lost = advance(body, stores, heat, forced, STEP_S)
        ledger.put_in_j += STEP_S * heat.sum(axis=0)
        ledger.lost_j += STEP_S * lost.sum(axis=0)
    return Road(stores_degc=stores, ledger=ledger)


def _shares_with(body: Body, fault: Fault) -> Array:
    """Shares of the braking with what is lost gone, and some of it made up for by all the others."""
    left = body.share * (1.0 - fault.lost)
    whole = left.sum(axis=1, keepdims=True)
    return left * np.maximum(whole, 0.3) ** -fault.made_up[:, None]


def park_heat(body: Body, stores_degc: Array, until_s: float = float(KNOTS_S[-1])) -> Array:
    """Temperatures at `KNOTS_S` up to a moment, (knots, 3, vehicles, corners) [°C]."""
    heat = np.zeros_like(stores_degc)
    heat[1] = body.sun_w
    knots = KNOTS_S[until_s >= KNOTS_S]
    kept = np.empty((knots.size, *stores_degc.shape), dtype=np.float32)
    kept[0] = stores_degc
    for number, gap in enumerate(np.diff(knots), start=1):
        parts = max(1, round(gap / PARKED_STEP_S))
        for _ in range(parts):
            stores_degc, _ = advance(body, stores_degc, heat, body.wind, gap / parts)
        kept[number] = stores_degc
    return kept


def cooling_time_s(body: Body, rise_k: Array) -> Array:
    """Time constant [s] of ring and bulk together at a rise, (vehicles, corners); the hub half as warm."""
    level = np.maximum(rise_k, 10.0)
    stores = body.near_degc + np.stack([level, level, 0.5 * level])
    lost = losses_w(body, stores, body.wind)[:2].sum(axis=0) + body.carrier_w_per_k * 0.5 * level
    return level * body.store_j_per_k[:2].sum(axis=0) / lost
