"""Laws of cooling, and the heat of a drag, on numbers and arrays; nothing here knows of readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np

from thermlog.words.tables import Floats

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


STEFAN_BOLTZMANN = 5.670374419184430e-8  # W/(m²·K⁴), 2π⁵k⁴/(15h³c²) with the exact constants of the SI

Law: TypeAlias = Literal["exponential", "power"]


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
        m(x) = exp(−x) or (1 + x/4)⁻⁴; 1 at x = 0.
    slope : float array
        dm/d ln τ = x·exp(−x) or x·(1 + x/4)⁻⁵.

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


def law_curvature(scaled_time: Floats, slope: Floats, law: Law) -> Floats:
    """Second derivative d²m/d(ln τ)² of the shape of `law_shape`.

    Parameters
    ----------
    scaled_time, slope : float array, same shape
        x = t/τ without unit, and the slope which `law_shape` gives there.
    law : Law

    Returns
    -------
    float array
        slope·(x − 1), under the power law slope·((5/4)·x/(1 + x/4) − 1).

    Examples
    --------
    >>> x = np.array([0.5, 1.0, 2.0])
    >>> law_curvature(x, law_shape(x, "exponential")[1], "exponential").round(4).tolist()
    [-0.1516, 0.0, 0.2707]
    """
    if law == "power":
        return slope * (1.25 * scaled_time / (1.0 + 0.25 * scaled_time) - 1.0)
    return slope * (scaled_time - 1.0)


def drag_power_w(*, torque_nm: float, speed_m_s: float, tyre_radius_m: float) -> float:
    """Heat which a dragging brake makes on the road, torque times wheel speed [W].

    Examples
    --------
    >>> round(drag_power_w(torque_nm=10.0, speed_m_s=100.0 / 3.6, tyre_radius_m=0.31), 3)
    896.057
    """
    return torque_nm * speed_m_s / tyre_radius_m
