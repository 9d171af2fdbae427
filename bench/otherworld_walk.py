"""Walks of the second simulator: in which order, when, where the spot falls, and what is written down."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from otherworld_body import Body
from otherworld_gun import Guns, Skins, light_of, rim_degc, seen_light, shown_degc
from otherworld_heat import KNOTS_S, cooling_time_s

from thermlog.words.vehicle import SPOTS

Array = np.ndarray[Any, np.dtype[Any]]

MISSES = (0.02, 0.06)


class Parked(Struct, frozen=True, kw_only=True, eq=False):
    """Vehicles as they stand: enough to walk round them again and again.

    `kept_degc` (knots, 3, vehicles, corners) holds at `KNOTS_S`; `reads_hubs` (vehicles,) tells whether hubs
    are read too.
    """

    body: Body
    skins: Skins
    guns: Guns
    kept_degc: Array
    reads_hubs: Array


class Extra(Struct, frozen=True, kw_only=True, eq=False):
    """Indicated kelvin that one column of each vehicle carries on top at a moment, (vehicles,)."""

    column: Array
    extra_k: Array
    at_s: float


class Shots(Struct, frozen=True, kw_only=True, eq=False):
    """Shots (vehicles, shots): column of the corner, moment, what was shown, spot code, whether taken."""

    column: Array
    elapsed_s: Array
    shown_degc: Array
    spot: Array
    taken: Array
    missed: Array


def walk(parked: Parked, rounds: int, rng: np.random.Generator, extra: Extra | None = None) -> Shots:
    """One walk round each vehicle: brakes, and hubs a few seconds later where hubs are read."""
    count, corners = parked.skins.spot.shape
    column, when = _plan(count, corners, rounds, rng)
    rows = np.arange(count)[:, None]
    on_brake, missed = _on_brake(corners, column, rng)
    light = _brake_light(parked, rows, column, when, rng)
    hub_when = np.minimum(when + rng.uniform(3.0, 7.0, when.shape), KNOTS_S[-1])
    beside = _beside_light(parked, rows, column, when, rng)
    fill = parked.skins.fill[rows, column]
    weight = on_brake * fill
    rim = light_of(rim_degc(parked.body, _at(parked, 2, rows, column, when), rows, column))
    light = weight * light + (1.0 - on_brake) * beside + (on_brake - weight) * rim
    more = 0.0 if extra is None else on_brake * _extra(parked, extra, column, when)
    hub = seen_light(
        _at(parked, 2, rows, column, hub_when),
        parked.skins.hub_emissivity[rows, column],
        _mirrored(parked, rows, column),
    )
    shown = np.hstack(
        [_written(parked, light, more, rng), _written(parked, fill * hub + (1 - fill) * rim, 0.0, rng)]
    )
    taken = np.ones_like(shown, dtype=bool)
    taken[:, when.shape[1] :] = parked.reads_hubs[:, None]
    return Shots(
        column=np.hstack([column, column]),
        elapsed_s=np.round(np.hstack([when, hub_when])),
        shown_degc=shown,
        spot=np.hstack([parked.skins.spot[rows, column], np.full(when.shape, SPOTS.index("hub"))]),
        taken=taken,
        missed=np.hstack([missed, np.zeros_like(missed)]),
    )


def _plan(count: int, corners: int, rounds: int, rng: np.random.Generator) -> tuple[Array, Array]:
    """Order and moments of the shots, each (vehicles, rounds * corners)."""
    left, right = np.arange(0, corners, 2), np.arange(1, corners, 2)
    snake = np.stack([left, right], axis=1)
    snake[1::2] = snake[1::2, ::-1]
    orders = np.stack(
        [
            np.arange(corners),  # left, right, axle by axle
            snake.ravel(),  # left, right, then back from right to left
            np.concatenate([left, right]),  # one side, then the other, both from the front
            np.concatenate([right, left[::-1]]),  # clockwise seen from above, from the right front
            np.concatenate([left, right[::-1]]),  # the other way about
        ]
    )
    chosen = orders[rng.integers(0, len(orders), count)]
    back = rng.random((count, 1, 1)) < 0.3  # every second round the other way
    turned = back & (np.arange(rounds) % 2 == 1)[None, :, None]
    column = np.where(turned, chosen[:, None, ::-1], chosen[:, None]).reshape(count, -1)
    pace = rng.uniform(9.0, 18.0, (count, 1, 1))
    gap = np.clip(pace * np.exp(rng.normal(0.0, 0.22, (count, rounds, corners))), 8.0, 25.0)
    held_up = rng.random(gap.shape) < 0.02
    gap = gap + held_up * np.minimum(20.0 * (1.0 + rng.pareto(1.3, gap.shape)), 300.0)
    waits = np.where(rng.random(count) < 0.5, rng.uniform(5, 60, count), rng.uniform(90, 300, count))
    gap[:, 1:, 0] += waits[:, None]
    gap[:, 0, 0] = rng.uniform(20.0, 150.0, count)
    return column, np.minimum(np.cumsum(gap.reshape(count, -1), axis=1), KNOTS_S[-1])


def _on_brake(corners: int, column: Array, rng: np.random.Generator) -> tuple[Array, Array]:
    """Part of each spot that is on the brake (1 on a hit), and which shots miss.

    One vehicle in six has a wheel cover in the way: two in five shots at that corner go astray, alike.
    """
    count = column.shape[0]
    covered = (rng.random((count, 1)) < 1 / 6) & (column == rng.integers(0, corners, (count, 1)))
    missed = rng.random(column.shape) < np.where(covered, 0.4, rng.uniform(*MISSES, (count, 1)))
    alone, alike = rng.beta(1.2, 1.2, column.shape), rng.uniform(0.1, 0.8, (count, 1))
    part = np.where(covered, np.clip(alike + rng.normal(0.0, 0.05, column.shape), 0.0, 1.0), alone)
    return np.where(missed, part, 1.0), missed


def _at(parked: Parked, store: int, rows: Array, column: Array, when: Array) -> Array:
    """Temperature of a store at the moment of each shot, straight between the moments kept."""
    after = np.clip(np.searchsorted(KNOTS_S, when), 1, KNOTS_S.size - 1)
    part = (when - KNOTS_S[after - 1]) / (KNOTS_S[after] - KNOTS_S[after - 1])
    kept = parked.kept_degc
    early, late = kept[after - 1, store, rows, column], kept[after, store, rows, column]
    return early + part * (late - early)


def _mirrored(parked: Parked, rows: Array, column: Array) -> Array:
    return parked.body.air_degc[:, None] + parked.skins.mirror_k[rows, column]


def _brake_light(parked: Parked, rows: Array, column: Array, when: Array, rng: np.random.Generator) -> Array:
    """Light of the brake itself; each shot falls on another patch, warmer or cooler by a few hundredths."""
    ring = parked.skins.ring[rows, column]
    metal = ring * _at(parked, 0, rows, column, when) + (1.0 - ring) * _at(parked, 1, rows, column, when)
    air = parked.body.near_degc[rows, column]
    patch = 1.0 + np.clip(0.018 * rng.standard_t(5, column.shape), -0.15, 0.15)
    return seen_light(
        air + patch * (metal - air), parked.skins.emissivity[rows, column], _mirrored(parked, rows, column)
    )


def _beside_light(parked: Parked, rows: Array, column: Array, when: Array, rng: np.random.Generator) -> Array:
    """Light of what a miss falls on: rim or tyre, caliper, gap to the cold behind, or pad edge or exhaust."""
    rim = rim_degc(parked.body, _at(parked, 2, rows, column, when), rows, column)
    air = parked.body.near_degc[rows, column]
    ring_k = _at(parked, 0, rows, column, when) - air
    caliper = air + 0.55 * ring_k
    gap = air + rng.normal(2.0, 2.0, column.shape)
    edge = air + rng.uniform(1.1, 1.6, column.shape) * ring_k
    exhaust = air + rng.uniform(60.0, 200.0, column.shape) * np.exp(-when / 1500.0)
    which = rng.choice(5, column.shape, p=(0.55, 0.20, 0.15, 0.07, 0.03))
    degc = np.choose(which, [rim, caliper, gap, edge, exhaust])
    return seen_light(degc, rng.uniform(0.75, 0.95, column.shape), _mirrored(parked, rows, column))


def _extra(parked: Parked, extra: Extra, column: Array, when: Array) -> Array:
    """Indicated kelvin on top, falling with the time constant that the corner itself has when parked."""
    each = np.arange(extra.column.size)
    kept = parked.kept_degc[int(np.argmin(np.abs(KNOTS_S - extra.at_s))), 1]
    rise = np.maximum(kept - parked.body.near_degc, 0.0)[each, extra.column] + np.abs(extra.extra_k)
    level = np.broadcast_to(rise[:, None], parked.body.share.shape)
    tau_s = cooling_time_s(parked.body, level)[each, extra.column][:, None]
    fading = np.exp(-(when - extra.at_s) / tau_s)
    return (column == extra.column[:, None]) * extra.extra_k[:, None] * fading


def _written(parked: Parked, light: Array, more_k: Array | float, rng: np.random.Generator) -> Array:
    """What stands on the display: calibration common to all shots, noise of each, last digit."""
    guns, air = parked.guns, parked.body.air_degc[:, None]
    shown = shown_degc(light, np.broadcast_to(air, light.shape)) + more_k
    shown = 23.0 + guns.slope[:, None] * (shown - 23.0) + guns.offset_k[:, None]
    shown = shown + guns.repeat_k[:, None] * rng.standard_normal(light.shape)
    step = guns.step_k[:, None]
    return np.round(np.round(shown / step) * step, 1)
