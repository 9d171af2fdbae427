"""How the priors on the time constant come about: ``python tests/tau_priors.py`` prints the tables of
docs/tau-priors.md.

Parts of each brake class are drawn from wide, stated ranges; the film coefficient comes from the package ht
(Churchill-Chu) and from measurements, radiation from thermlog.physics.cooling. Everything about sizes is
common practice without a source.
"""

from __future__ import annotations

import sys

import numpy as np
from ht.conv_free_immersed import Nu_vertical_plate_Churchill
from msgspec import Struct
from oracle.cooling import radiation_film_w_m2k

DRAWS = 20000
RISE_K, AMBIENT_DEGC = 100.0, 20.0
CAST_IRON_J_KGK = 500.0  # 450 to 490 from room temperature to 200 °C in data books, more when hot
MEASURED_FILM_W_M2K = 3.0  # low end for parked discs: Topouris et al. (2020), see docs/sources.md
GRAVITY_M_S2 = 9.80665

# Air at 1 atm: temperature [K], kinematic viscosity and thermal diffusivity [m²/s], conductivity [W/(m·K)],
# Prandtl number. Bergman et al., 7th ed. (2011), table A.4 (from memory, not checked).
AIR = np.array(
    [
        [250.0, 11.44e-6, 15.9e-6, 0.0223, 0.720],
        [300.0, 15.89e-6, 22.5e-6, 0.0263, 0.707],
        [350.0, 20.92e-6, 29.9e-6, 0.0300, 0.700],
        [400.0, 26.41e-6, 38.3e-6, 0.0338, 0.690],
        [450.0, 32.39e-6, 47.2e-6, 0.0373, 0.686],
    ]
)


class Part(Struct, frozen=True, kw_only=True):
    """One brake part, usual sizes (common practice, no source).

    `open_m2` radiates and sees the air, `vane_m2` is inside (vane channels, inside of a drum); `path_w_k` is
    what the hub can carry off when it is still cold.
    """

    name: str
    mass_kg: float
    size_m: float
    open_m2: float
    vane_m2: float
    path_w_k: float


def disc(name: str, mass_kg: float, *, sizes_m: tuple[float, float, float, float], vented: bool) -> Part:
    """Areas of a disc (diameter, hat diameter, thickness, hat height): vanes 1.2 times both faces."""
    outer_m, hat_m, thick_m, high_m = sizes_m
    faces = 2.0 * np.pi / 4.0 * (outer_m**2 - hat_m**2)
    hat = np.pi * hat_m * high_m + np.pi / 4.0 * hat_m**2
    vanes = 1.2 * faces if vented else 0.0
    path = 0.15 * mass_kg**0.7
    open_m2 = float(faces + np.pi * outer_m * thick_m + hat)
    return Part(name=name, mass_kg=mass_kg, size_m=outer_m, open_m2=open_m2, vane_m2=vanes, path_w_k=path)


def drum(name: str, mass_kg: float, *, outer_m: float, width_m: float) -> Part:
    """Areas of a drum: shell and most of the back; its inside counts as vanes do, its back on the wheel."""
    shell = float(np.pi * outer_m * width_m)
    open_m2 = shell + 0.8 * float(np.pi / 4.0 * outer_m**2)
    path = 0.3 * mass_kg**0.7
    return Part(name=name, mass_kg=mass_kg, size_m=outer_m, open_m2=open_m2, vane_m2=shell, path_w_k=path)


CLASSES: dict[str, tuple[Part, ...]] = {
    "light disc": (
        disc("small-car rear disc, solid", 4.0, sizes_m=(0.26, 0.15, 0.010, 0.045), vented=False),
        disc("car front disc, vented", 6.0, sizes_m=(0.28, 0.16, 0.022, 0.045), vented=True),
        disc("large car front disc, vented", 10.0, sizes_m=(0.33, 0.19, 0.028, 0.050), vented=True),
        disc("light-truck front disc, vented", 15.0, sizes_m=(0.36, 0.21, 0.034, 0.060), vented=True),
    ),
    "light drum": (
        drum("small-car rear drum", 4.0, outer_m=0.22, width_m=0.045),
        drum("car rear drum", 5.0, outer_m=0.24, width_m=0.055),
        drum("light-truck rear drum", 11.0, outer_m=0.33, width_m=0.085),
    ),
    "heavy disc": (
        disc("light heavy-vehicle disc, vented", 22.0, sizes_m=(0.38, 0.20, 0.040, 0.100), vented=True),
        disc("heavy-truck disc, vented", 32.0, sizes_m=(0.434, 0.23, 0.045, 0.120), vented=True),
    ),
    "heavy drum": (
        drum("narrow heavy drum", 38.0, outer_m=0.42, width_m=0.15),
        drum("heavy-truck drum", 50.0, outer_m=0.46, width_m=0.22),
    ),
    "hub": (
        Part(name="car hub", mass_kg=4.0, size_m=0.13, open_m2=0.045, vane_m2=0.0, path_w_k=0.25),
        Part(name="heavy hub", mass_kg=25.0, size_m=0.30, open_m2=0.25, vane_m2=0.0, path_w_k=0.6),
    ),
}


def air(film_k: float) -> tuple[float, float, float, float]:
    """Viscosity, diffusivity, conductivity and Prandtl number of air, interpolated."""
    nu, alpha, k, prandtl = (float(np.interp(film_k, AIR[:, 0], column)) for column in AIR.T[1:])
    return nu, alpha, k, prandtl


def plate_film_w_m2k(rise_k: float, length_m: float) -> float:
    """Natural convection on a vertical plate in air of 20 °C, by the package ht."""
    film_k = AMBIENT_DEGC + 273.15 + rise_k / 2.0
    viscosity, diffusivity, conductivity, prandtl = air(film_k)
    rayleigh = GRAVITY_M_S2 / film_k * rise_k * length_m**3 / (viscosity * diffusivity)
    return float(Nu_vertical_plate_Churchill(prandtl, rayleigh / prandtl)) * conductivity / length_m


def breeze_film_w_m2k(speed_m_s: np.ndarray, length_m: float) -> np.ndarray:
    """Laminar flow along a plate in air of 20 °C: Nu = 0.664 Re^(1/2) Pr^(1/3) (from memory, not checked)."""
    viscosity, _, conductivity, prandtl = air(AMBIENT_DEGC + 273.15 + RISE_K / 2.0)
    nusselt = 0.664 * np.sqrt(speed_m_s * length_m / viscosity) * prandtl ** (1.0 / 3.0)
    return np.asarray(nusselt * conductivity / length_m)


def draw_taus_s(part: Part, rng: np.random.Generator) -> np.ndarray:
    """Time constants of one part over what is not known of it, each evenly likely within its range.

    Film from the low end of measurements to the plate, or that of a breeze of 0 to 2 m/s if it is larger;
    emissivity 0.2 to 0.9; 60 to 100 % of the open area free of caliper, shield and wheel; none to all of the
    inside, and none to all of the hub's path, taking part; mass ±20 %.
    """
    natural, breeze, emissivity, free, inside, path, mass = rng.uniform(0.0, 1.0, (7, DRAWS))
    plate = plate_film_w_m2k(RISE_K, part.size_m)
    still = MEASURED_FILM_W_M2K + natural * (plate - MEASURED_FILM_W_M2K)
    convection = np.maximum(still, breeze_film_w_m2k(2.0 * breeze, part.size_m))
    black = radiation_film_w_m2k(
        surface_degc=AMBIENT_DEGC + RISE_K, surroundings_degc=AMBIENT_DEGC, emissivity=1.0
    )
    loss = (convection + black * (0.2 + 0.7 * emissivity)) * part.open_m2 * (0.6 + 0.4 * free)
    loss += still * inside * part.vane_m2 + path * part.path_w_k
    capacity = part.mass_kg * (0.8 + 0.4 * mass) * CAST_IRON_J_KGK
    return np.asarray(capacity / loss)


class Prior(Struct, frozen=True, kw_only=True):
    """Median of τ [s], standard deviation of ln τ, and the 2.5 and 97.5 % points [s]."""

    median_s: float
    spread: float
    low_s: float
    high_s: float


def prior(parts: tuple[Part, ...], seed: int = 1) -> Prior:
    """All parts of a class together, equal shares."""
    rng = np.random.default_rng(seed)
    taus = np.concatenate([draw_taus_s(part, rng) for part in parts])
    low, median, high = np.quantile(taus, [0.025, 0.5, 0.975])
    return Prior(
        median_s=float(median), spread=float(np.std(np.log(taus))), low_s=float(low), high_s=float(high)
    )


def row(name: str, found: Prior) -> str:
    """One line of the tables; τ in minutes."""
    minutes = [f"{value / 60.0:.0f}" for value in (found.median_s, found.low_s, found.high_s)]
    return f"| {name} | {minutes[0]} | {found.spread:.2f} | {minutes[1]} to {minutes[2]} |"


def tables() -> list[str]:
    """Lines of both tables: classes, then parts."""
    classes = [row(name, prior(parts)) for name, parts in CLASSES.items()]
    parts = [row(part.name, prior((part,))) for group in CLASSES.values() for part in group]
    return classes + parts


if __name__ == "__main__":
    sys.stdout.write("\n".join(tables()) + "\n")
