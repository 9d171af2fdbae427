"""Where the uncertainty of a comparison comes from: a budget an axle, for whoever asks why."""

from __future__ import annotations

from typing import Literal

import numpy as np

from thermlog.correcting.gun import noise_of
from thermlog.fitting.pairs import mean_of_series
from thermlog.fitting.predict import SHIFT, curve_shape
from thermlog.judging.judged import Judged
from thermlog.words.budgets import Budget, Contribution
from thermlog.words.tables import Floats
from thermlog.words.vehicle import SPOTS

_AMPLITUDES, _LOG_TAUS = [0, 2], [1, 3]
_CALIBRATION = "gun calibration, shared by both sides"


def budgets(judged: Judged, k: int) -> tuple[Budget, ...]:
    """Budgets of all axles of one case that have a difference.

    Parameters
    ----------
    judged : Judged
    k : int

    Returns
    -------
    tuple of Budget
        One of the indicated difference and one of the metal's; the latter alone where emissivities were
        stated and the readings corrected.

    Notes
    -----
    Uncertainties add in squares as in JCGM 100:2008 (GUM), 5.1.2; a part that moves both sides together
    counts by its difference only (5.2). Clause numbers from memory, not checked.
    """
    found: list[Budget] = []
    for pair in range(judged.digest.first[k], judged.digest.first[k + 1]):
        if judged.comparison.chosen[pair] and judged.comparison.both[pair]:
            curve_k = float(judged.comparison.difference_k[pair])
            metal_k = float(judged.gap.surface_difference_k[pair])
            of_curves = _parts_of_curves(judged, k, pair)
            if judged.gap.known[pair]:
                found.append(_budget(judged, pair, "surface", curve_k, of_curves))
            else:
                found.append(_budget(judged, pair, "indicated", curve_k, of_curves))
                found.append(_budget(judged, pair, "surface", metal_k, _parts_of_metal(judged, k, pair)))
    return tuple(found)


def _budget(
    judged: Judged,
    pair: int,
    covers: Literal["indicated", "surface"],
    difference_k: float,
    parts: dict[str, float],
) -> Budget:
    variance = sum(parts.values())
    ordered = sorted(parts.items(), key=lambda part: -part[1])
    return Budget(
        axle=int(judged.pairs.axle[pair]),
        spot=SPOTS[judged.pairs.spot[pair]],
        difference_k=difference_k,
        sigma_k=float(np.sqrt(variance)),
        covers=covers,
        contributions=tuple(
            Contribution(source=source, sigma_k=float(np.sqrt(part)), share=part / variance)
            for source, part in ordered
            if part > 0
        ),
    )


def _gradient(judged: Judged, k: int, pair: int, gain: Floats) -> Floats:
    """How left minus right at the common time answers to the five unknowns of the pair; `gain` a side."""
    fits = judged.fits
    shape, slope = curve_shape(fits, k, fits.log_tau[:, pair], judged.comparison.common_time_s[k])
    by_amplitude, by_log_tau = gain * shape, gain * fits.amplitude_k[:, pair] * slope
    return np.array([by_amplitude[0], by_log_tau[0], -by_amplitude[1], -by_log_tau[1], gain[0] - gain[1]])


def _parts_of_curves(judged: Judged, k: int, pair: int) -> dict[str, float]:
    """Variance of the difference of the curves by source [K^2]."""
    parts = _curve_parts(judged, k, pair, np.ones(2))
    parts[_CALIBRATION] = float(judged.gap.shared_sigma_k[pair]) ** 2
    if judged.gap.known[pair]:
        parts["surroundings mirrored by one side more"] = float(judged.gap.mirrored_sigma_k[pair]) ** 2
        whole = float(judged.gap.surface_sigma_k[pair]) ** 2
        parts["spread of the stated emissivities"] = max(whole - sum(parts.values()), 0.0)
    return parts


def _parts_of_metal(judged: Judged, k: int, pair: int) -> dict[str, float]:
    """Variance of the surface difference: the curves' parts at the size of the metal, and the skins."""
    gap = judged.gap
    parts = _curve_parts(judged, k, pair, gap.metal_per_curve[:, pair])
    parts[_CALIBRATION] = float(gap.surface_shared_sigma_k[pair]) ** 2
    parts["emissivity, one side unlike the other"] = float(gap.skin_corner_k[pair]) ** 2
    parts["emissivity, common to both sides"] = float(gap.skin_common_k[pair]) ** 2
    return parts


def _curve_parts(judged: Judged, k: int, pair: int, gain: Floats) -> dict[str, float]:
    """Variance that the fit leaves, by source [K^2]: the air, then for given air and cooling the shots."""
    covariance, gradient = judged.fits.covariance[:, :, pair], _gradient(judged, k, pair, gain)
    total = float(gradient @ covariance @ gradient)
    column, air_variance = covariance[:, SHIFT], max(covariance[SHIFT, SHIFT], 1e-12)
    air = float((gradient @ column) ** 2 / air_variance)
    given_air = covariance - np.outer(column, column) / air_variance
    tau = given_air[np.ix_(_LOG_TAUS, _LOG_TAUS)]
    mixed = given_air[np.ix_(_AMPLITUDES, _LOG_TAUS)]
    level = given_air[np.ix_(_AMPLITUDES, _AMPLITUDES)] - mixed @ np.linalg.solve(tau, mixed.T)
    shots = float(gradient[_AMPLITUDES] @ level @ gradient[_AMPLITUDES])
    return _shot_parts(judged, pair, shots) | {
        "time constants: how fast each side cools": max(total - air - shots, 0.0),
        "air temperature": air,
    }


def _shot_parts(judged: Judged, pair: int, shots: float) -> dict[str, float]:
    """Scatter of single shots: the gun's own part, and the rest, which is aim and hand."""
    noise, scale = noise_of(judged.gun), 1.0
    if judged.corrected is not None:
        by_side = mean_of_series(judged.pairs, judged.corrected.surface_per_indicated)[:, pair]
        scale = float(np.mean(by_side**2))
    variance = float(np.mean(judged.fits.sigma_k[:, pair] ** 2)) / scale
    repeat = min(noise.repeat_k**2 / variance, 1.0)
    digit = min(noise.digit_k**2 / variance, 1.0 - repeat)
    return {
        "aim and hand: shots beside each other differ": shots * (1.0 - repeat - digit),
        "gun repeatability": shots * repeat,
        "last digit the gun shows": shots * digit,
    }
