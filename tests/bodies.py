"""Bodies of known constants on the simulator's heat balance, and our fit as plain least squares."""

import numpy as np
from fitcases import corner, fitted, no_prior

from thermlog.fitting.fit import Fits
from thermlog.simulation.brakeheat import BrakeNodes, BrakeState, HeatInput, advance
from thermlog.words.tables import Floats, Readings

PARKED = HeatInput(ambient_degc=20.0)


def marched(nodes: BrakeNodes, heat: HeatInput, start: tuple[float, float], seconds, step_s=5.0) -> Floats:
    """Rotor temperature at the times asked for, whole steps in order, from a start of rotor and hub [°C]."""
    now, at, found = BrakeState(rotor_degc=np.array([start[0]]), hub_degc=np.array([start[1]])), 0.0, []
    for end in seconds:
        while at < end:
            now, at = advance(nodes, heat, now, step_s=step_s), at + step_s
        found.append(float(now.rotor_degc[0]))
    return np.array(found)


def plate(emissivity: float) -> BrakeNodes:
    """3000 J/K, 0.20 m²; natural convection 1.42(θ/L)^¼, L = 0.28 m (McAdams, from memory), and radiation."""
    return BrakeNodes(
        rotor_j_per_k=3000.0, hub_j_per_k=1.0, rotor_to_hub_w_per_k=0.0, area_m2=0.20, emissivity=emissivity,
        film_w_per_m2k54=1.42 / 0.28**0.25, rolling_w_per_k=0.0, hub_rolling_w_per_k=0.0,
        hub_parked_w_per_k=0.0,
    )  # fmt: skip


def plate_degc(seconds, emissivity: float) -> Floats:
    """The plate from 200 °C in air of 20 °C."""
    return marched(plate(emissivity), PARKED, (200.0, 20.0), seconds)


def plain_fit(seconds, degc, ambient_degc: float) -> tuple[Readings, Fits]:
    """Least squares for amplitude and time constant alone, the air held."""
    readings = corner(seconds, degc)
    return readings, fitted(readings, **no_prior(ambient_degc=ambient_degc))
