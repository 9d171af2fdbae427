"""Temperature of every corner at a time of choice, with its uncertainty, from the fitted curves."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import Fits
from thermlog.fitting.pairs import Pairs
from thermlog.physics.cooling import law_shape
from thermlog.words.tables import Floats, Ints

SHIFT = 4  # place of the ambient shift in the covariance of a pair


class PairState(Struct, frozen=True, kw_only=True, eq=False):
    """Both sides of every pair at one time.

    Attributes
    ----------
    temperature_degc, rise_k : float array (2, pairs)
        Indicated temperature [°C]; the same above the fitted ambient [K].
    temperature_variance, rise_variance : float array (2, pairs)
        [K^2].
    own_variance : float array (2, pairs)
        Of the rise for a given ambient: what does not move all corners together [K^2].
    temperature_covariance, rise_covariance : float array (pairs,)
        Left with right [K^2]: the shared ambient and the tie between the sides.
    """

    temperature_degc: Floats
    rise_k: Floats
    temperature_variance: Floats
    rise_variance: Floats
    own_variance: Floats
    temperature_covariance: Floats
    rise_covariance: Floats


def curve_shape(
    fits: Fits, case: Ints | int, log_tau: Floats, time_s: Floats | float
) -> tuple[Floats, Floats]:
    """What is left of the rise of fitted curves, and how that answers to ln(tau).

    Parameters
    ----------
    fits : Fits
    case : int or int array
        Case of each curve; all arguments broadcast.
    log_tau : float array
        ln of the time constants [ln s].
    time_s : float or array
        On the log's own clock [s].

    Returns
    -------
    shape, slope : float array
        As `cooling.law_shape`: 1 at the case's first reading.
    """
    return law_shape((time_s - fits.reference_s[case]) * np.exp(-log_tau), fits.law)


def state_at(fits: Fits, pairs: Pairs, time_s: Floats) -> PairState:
    """Evaluate the fitted curves.

    Parameters
    ----------
    fits : Fits
    pairs : Pairs
    time_s : float array (pairs,)
        Time on the log's own clock [s]; trustworthy inside the measured window only.

    Returns
    -------
    PairState
        NaN where there is no fit.
    """
    shape, slope = curve_shape(fits, pairs.case, fits.log_tau, time_s)
    rise = fits.amplitude_k * shape
    ambient = fits.ambient_degc[pairs.case] + fits.ambient_shift_k[pairs.case]
    left = _gradient(shape[0], fits.amplitude_k[0] * slope[0], 0)
    right = _gradient(shape[1], fits.amplitude_k[1] * slope[1], 1)
    blocks = [_product(fits.covariance, a, b) for a, b in ((left, left), (right, right), (left, right))]
    shift = np.zeros((5, pairs.count))
    shift[SHIFT] = 1.0
    with_shift = [
        _product(fits.covariance, a + shift, b + shift)
        for a, b in ((left, left), (right, right), (left, right))
    ]
    ambient_variance = np.maximum(fits.covariance[SHIFT, SHIFT], 1e-12)
    moved = np.stack([_product(fits.covariance, side, shift) for side in (left, right)])
    return PairState(
        temperature_degc=ambient + rise,
        rise_k=rise,
        temperature_variance=np.stack(with_shift[:2]),
        rise_variance=np.stack(blocks[:2]),
        own_variance=np.stack(blocks[:2]) - moved**2 / ambient_variance,
        temperature_covariance=with_shift[2],
        rise_covariance=blocks[2],
    )


def _gradient(by_amplitude: Floats, by_log_tau: Floats, side: int) -> Floats:
    gradient = np.zeros((5, by_amplitude.size))
    gradient[2 * side], gradient[2 * side + 1] = by_amplitude, by_log_tau
    return gradient


def _product(covariance: Floats, a: Floats, b: Floats) -> Floats:
    product: Floats = np.einsum("ip,ijp,jp->p", a, covariance, b)
    return product
