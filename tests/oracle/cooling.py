"""Closed forms of cooling, apart from the package's own code."""

import math

import numpy as np

STEFAN_BOLTZMANN = 5.670374419184430e-8  # W/(m²·K⁴), CODATA 2018


def newton_degc(elapsed_s, *, start_degc, ambient_degc, tau_s):
    """Lumped body: ambient + (start - ambient)·exp(-t/τ); all arguments broadcast."""
    elapsed, start, ambient, tau = (
        np.asarray(v, float) for v in (elapsed_s, start_degc, ambient_degc, tau_s)
    )
    return ambient + (start - ambient) * np.exp(-elapsed / tau)


def power_law_left(x):
    """What natural convection leaves of a rise: Bejan & Kraus, Heat Transfer Handbook (2003), 3.285-3.286."""
    return (1.0 + np.asarray(x, float) / 4.0) ** -4


def radiation_time_s(*, start_degc, end_degc, surroundings_degc, capacity_per_area_j_m2k):
    """Time in which radiation alone cools a lumped body: Bejan & Kraus (2003), eq. 3.283."""
    start, end, around = (v + 273.15 for v in (start_degc, end_degc, surroundings_degc))

    def primitive(t):
        return math.log((t + around) / (t - around)) + 2.0 * math.atan(t / around)

    return (
        (primitive(end) - primitive(start)) * capacity_per_area_j_m2k / (4.0 * STEFAN_BOLTZMANN * around**3)
    )


def radiation_film_w_m2k(*, surface_degc, surroundings_degc, emissivity):
    """Radiation between a small grey body and its surroundings as a film coefficient [W/(m²·K)]."""
    hot, cold = surface_degc + 273.15, surroundings_degc + 273.15
    return emissivity * STEFAN_BOLTZMANN * (hot * hot + cold * cold) * (hot + cold)
