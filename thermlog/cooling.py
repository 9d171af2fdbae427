"""Formulas of heating and cooling, on numbers and arrays.

Temperatures in °C carry ``_degc``, differences ``_k``. Nothing here knows of readings or vehicles.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from thermlog.tables import Floats

Law: TypeAlias = Literal["exponential", "power"]
LAWS: tuple[Law, ...] = ("exponential", "power")


def law_shape(scaled_time: ArrayLike, law: Law) -> tuple[Floats, Floats]:
    """Tell what is left of a rise, and how that answers to the time constant.

    Parameters
    ----------
    scaled_time : array_like, any shape
        x = time over time constant, t/τ, without unit. Above −4 under the power law.
    law : {"exponential", "power"}
        Newton's law, or the 5/4-power law of natural convection (film coefficient ~ rise^¼).

    Returns
    -------
    shape : float array
        m(x) = exp(−x), or (1 + x/4)⁻⁴; 1 at x = 0.
    slope : float array
        dm/d ln τ = x·exp(−x), or x·(1 + x/4)⁻⁵.

    Notes
    -----
    Power law: Bejan & Kraus, Heat Transfer Handbook (2003), eqs 3.285-3.286, with exponent ¼. τ is the time
    constant at the start.

    Examples
    --------
    >>> shape, slope = law_shape([0.0, 1.0], "power")
    >>> shape.round(4).tolist(), slope.round(5).tolist()
    ([1.0, 0.4096], [0.0, 0.32768])
    """
    x = np.asarray(scaled_time, dtype=np.float64)
    if law == "exponential":
        shape = np.exp(-x)
        return shape, x * shape
    inverse = 1.0 / (1.0 + 0.25 * x)
    square = inverse * inverse
    shape = square * square
    return shape, x * shape * inverse
