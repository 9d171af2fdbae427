"""Boiling point of water at the pressure on the spot, and the pressure from the altitude."""

from __future__ import annotations

import math

from thermlog.words.units import ZERO_DEGC_IN_K

_STANDARD_PRESSURE_HPA = 1013.25


def pressure_at_altitude_hpa(altitude_m: float) -> float:
    """Air pressure of the standard atmosphere up to 11 km [hPa].

    ISO 2533:1975, constants from memory, not checked. Weather moves the real pressure by some ±30 hPa (common
    practice, no source), which is 0.8 K at the boiling point; a barometer is better.

    Examples
    --------
    >>> round(pressure_at_altitude_hpa(1000.0), 1)
    898.7
    """
    return _STANDARD_PRESSURE_HPA * math.pow(1.0 - 0.0065 * altitude_m / 288.15, 5.25588)


# Coefficients n1 to n10 of the saturation line: IAPWS-IF97 (2007 revision), table 34 (from memory; they
# reproduce the three check values of its table 36 to nine digits, which a wrong digit would not).
_SATURATION = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
    0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip


def boiling_point_degc(pressure_hpa: float) -> float:
    """Temperature at which water boils [°C], pressure on the spot from 7 to 220 000 hPa.

    IAPWS-IF97, equation 31 (saturation temperature).

    Examples
    --------
    >>> round(boiling_point_degc(1013.25), 2)
    99.97
    """
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _SATURATION
    beta = math.sqrt(math.sqrt(pressure_hpa * 1e-4))  # fourth root of MPa
    e = beta * beta + n3 * beta + n6
    f = n1 * beta * beta + n4 * beta + n7
    g = n2 * beta * beta + n5 * beta + n8
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    return (n10 + d - math.sqrt((n10 + d) ** 2 - 4.0 * (n9 + n10 * d))) / 2.0 - ZERO_DEGC_IN_K
