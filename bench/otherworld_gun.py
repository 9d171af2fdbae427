"""Gun and skins of the second simulator: what a surface sends, 8 to 14 µm, and what the gun shows."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from otherworld_body import Body
from otherworld_kinds import Kind

from thermlog.words.units import ZERO_DEGC_IN_K
from thermlog.words.vehicle import SPOTS

Array = np.ndarray[Any, np.dtype[Any]]

SKINS = ("mixed", "even", "bright", "one_new")
SET_EMISSIVITY = 0.95
_BAND_M = np.linspace(8e-6, 14e-6, 61)
_SCALE_DEGC = np.arange(-90.0, 1300.0, 1.0)


def _band_light() -> Array:
    """Planck's law summed over the band, flat response [W/(m²·sr)], at every degree of the scale."""
    kelvin = _SCALE_DEGC[:, None] + ZERO_DEGC_IN_K
    light = 1.1910429724e-16 / (_BAND_M**5 * np.expm1(0.014387768775 / (_BAND_M * kelvin)))  # CODATA 2018
    return np.trapezoid(light, _BAND_M, axis=1)


_LIGHT = _band_light()


def light_of(degc: Array | float) -> Array:
    """Black light of a temperature in the band [W/(m²·sr)]."""
    return np.interp(degc, _SCALE_DEGC, _LIGHT)


def degc_of(light: Array) -> Array:
    """Temperature of a black surface that sends so much."""
    return np.interp(light, _LIGHT, _SCALE_DEGC)


class Skins(Struct, frozen=True, kw_only=True, eq=False):
    """What the gun meets at each corner; arrays (vehicles, corners) unless said otherwise.

    `emissivity` and `hub_emissivity` are for 8 to 14 µm; `ring` is the part of the spot on the swept ring,
    the rest is on the bulk; `fill` how much of the spot the brake fills; `mirror_k` by how much what is
    mirrored is warmer than the air; `spot` the code written down.
    """

    emissivity: Array
    hub_emissivity: Array
    ring: Array
    fill: Array
    mirror_k: Array
    spot: Array


class Guns(Struct, frozen=True, kw_only=True, eq=False):
    """One gun a vehicle, (vehicles,): offset and slope of its calibration, last digit, repeatability."""

    offset_k: Array
    slope: Array
    step_k: Array
    repeat_k: Array


def draw_skins(kind: Kind, skins: str, idle: Array, rng: np.random.Generator) -> Skins:
    """Skins of the brakes; `idle` marks brakes that have not been rubbing: a rotor among them is rusty."""
    if skins not in SKINS:
        msg = f"no such skins: {skins!r}; write one of {', '.join(SKINS)}"
        raise ValueError(msg)
    shape, count = idle.shape, idle.shape[0]
    scheme = np.full(count, skins) if skins != "mixed" else rng.choice(SKINS[1:], count, p=(0.5, 0.35, 0.15))
    disc = np.repeat([axle.brake.kind == "disc" for axle in kind.axles], 2)
    dull = np.clip(rng.uniform(0.70, 0.92, (count, 1)) + rng.normal(0.0, 0.015, shape), 0.6, 0.96)
    swept = np.exp(rng.normal(np.log(0.36), 0.20, (count, 1)) + rng.normal(0.0, 0.22, shape))
    swept = np.where(idle, rng.uniform(0.65, 0.88, shape), np.clip(swept, 0.16, 0.75))
    new = np.arange(shape[1]) == rng.integers(0, shape[1], (count, 1))
    shiny = np.where(disc, rng.uniform(0.22, 0.45, shape), rng.uniform(0.35, 0.60, shape))
    bright = (scheme == "bright")[:, None] & disc
    one_new = (scheme == "one_new")[:, None] & new
    emissivity = np.where(bright, swept, np.where(one_new, shiny, dull))
    # A dull vehicle is often read at the bell, a bright one at the face; of a drum one sees the shell.
    bell = ~bright & (rng.random((count, 1)) < 0.4)
    named = rng.random((count, 1)) < 0.25
    spot = np.where(disc, np.where(bell, SPOTS.index("hat"), SPOTS.index("rotor_outer")), SPOTS.index("drum"))
    return Skins(
        emissivity=emissivity,
        hub_emissivity=rng.uniform(0.55, 0.92, (count, 1)) + rng.normal(0.0, 0.03, shape),
        ring=np.where(disc & ~bell, 0.9, np.where(disc, 0.1, 0.0)),
        fill=np.clip(1.0 - rng.exponential(0.04, (count, 1)) - rng.exponential(0.01, shape), 0.7, 1.0),
        mirror_k=rng.normal(3.0, 4.0, (count, 1)) + rng.normal(0.0, 1.0, shape),
        spot=np.where(named, spot, SPOTS.index("brake")),
    )


def draw_guns(count: int, rng: np.random.Generator) -> Guns:
    """Workshop guns: most show tenths or halves of a kelvin, some whole ones."""
    return Guns(
        offset_k=rng.normal(0.0, 1.0, count),
        slope=1.0 + rng.normal(0.0, 0.007, count),
        step_k=rng.choice([0.1, 0.5, 1.0], count, p=(0.55, 0.2, 0.25)),
        repeat_k=rng.uniform(0.2, 0.7, count),
    )


def seen_light(degc: Array, emissivity: Array, mirrored_degc: Array) -> Array:
    """Light of a grey surface: its own and what it mirrors."""
    return emissivity * light_of(degc) + (1.0 - emissivity) * light_of(mirrored_degc)


def shown_degc(light: Array, body_degc: Array) -> Array:
    """What a gun set to 0.95 shows, its own body standing for what is mirrored."""
    own = (1.0 - SET_EMISSIVITY) * light_of(body_degc)
    return degc_of((light - own) / SET_EMISSIVITY)


def rim_degc(body: Body, hub_degc: Array, rows: Array, corners: Array) -> Array:
    """Rim and tyre beside a brake: between air and hub, warmer in the sun."""
    air = body.near_degc[rows, corners]
    return air + 0.45 * (hub_degc - air) + body.sun_k[rows, corners]
