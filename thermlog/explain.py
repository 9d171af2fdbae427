"""Where the uncertainty of a comparison comes from: a budget an axle, for whoever asks why."""

from __future__ import annotations

from typing import Literal

import numpy as np

from thermlog.cooling import law_shape
from thermlog.findings import Budget, Contribution
from thermlog.judged import Judged
from thermlog.tables import Floats
from thermlog.vehicle import SPOTS

_SHIFT = 4  # place of the ambient shift in the covariance of a pair
_AMPLITUDES, _LOG_TAUS = [0, 2], [1, 3]


def budgets(judged: Judged, k: int) -> tuple[Budget, ...]:
    """Budgets of all axles of one case that have a difference.

    Parameters
    ----------
    judged : Judged
    k : int

    Returns
    -------
    tuple of Budget
        One of the indicated difference; where the emissivities are not known a second one of the metal's.

    Notes
    -----
    Uncertainties add in squares as in JCGM 100:2008 (GUM), 5.1.2; a part that moves both sides together
    counts by its difference only (5.2). Clause numbers from memory, not checked.
    """
    found: list[Budget] = []
    for pair in range(judged.digest.first[k], judged.digest.first[k + 1]):
        if judged.comparison.chosen[pair] and judged.comparison.both[pair]:
            read = _read_parts(judged, k, pair)
            found.append(
                _budget(judged, pair, "indicated", float(judged.comparison.difference_k[pair]), read)
            )
            if not judged.gap.known[pair]:
                metal = float(judged.gap.surface_difference_k[pair])
                found.append(_budget(judged, pair, "surface", metal, _metal_parts(judged, pair, read)))
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


def _gradient(judged: Judged, k: int, pair: int) -> Floats:
    """How left minus right at the common time answers to the five unknowns of the pair."""
    fits = judged.fits
    elapsed = judged.comparison.common_time_s[k] - fits.reference_s[k]
    shape, slope = law_shape(elapsed * np.exp(-fits.log_tau[:, pair]), fits.law)
    amplitude = fits.amplitude_k[:, pair]
    return np.array([shape[0], amplitude[0] * slope[0], -shape[1], -amplitude[1] * slope[1], 0.0])


def _read_parts(judged: Judged, k: int, pair: int) -> dict[str, float]:
    """Variance of the indicated difference by source [K^2]."""
    covariance, gradient = judged.fits.covariance[:, :, pair], _gradient(judged, k, pair)
    total = float(gradient @ covariance @ gradient)
    column = covariance[:, _SHIFT]
    air = float((gradient @ column) ** 2 / max(covariance[_SHIFT, _SHIFT], 1e-12))
    given_air = covariance - np.outer(column, column) / max(covariance[_SHIFT, _SHIFT], 1e-12)
    tau = given_air[np.ix_(_LOG_TAUS, _LOG_TAUS)]
    mixed = given_air[np.ix_(_AMPLITUDES, _LOG_TAUS)]
    level = given_air[np.ix_(_AMPLITUDES, _AMPLITUDES)] - mixed @ np.linalg.solve(tau, mixed.T)
    shots = float(gradient[_AMPLITUDES] @ level @ gradient[_AMPLITUDES])
    parts = _shot_parts(judged, pair, shots)
    parts["time constants: how fast each side cools"] = max(total - air - shots, 0.0)
    parts["air temperature"] = air
    parts["gun calibration, shared by both sides"] = float(judged.gap.shared_sigma_k[pair]) ** 2
    if judged.gap.known[pair]:
        parts["spread of the stated emissivities"] = float(judged.gap.surface_sigma_k[pair]) ** 2 - sum(
            parts.values()
        )
    return parts


def _shot_parts(judged: Judged, pair: int, shots: float) -> dict[str, float]:
    """Scatter of single shots: the gun's own part, and the rest, which is aim and hand."""
    gun = judged.gun
    variance = float(np.mean(judged.fits.sigma_k[:, pair] ** 2))
    repeat = min(gun.repeatability_k**2 / variance, 1.0)
    digit = min(gun.resolution_k**2 / 12.0 / variance, 1.0 - repeat)
    return {
        "aim and hand: shots beside each other differ": shots * (1.0 - repeat - digit),
        "gun repeatability": shots * repeat,
        "last digit the gun shows": shots * digit,
    }


def _metal_parts(judged: Judged, pair: int, read: dict[str, float]) -> dict[str, float]:
    """Variance of the surface difference: the readings' parts scaled to the metal, and the skins."""
    whole = float(judged.gap.surface_sigma_k[pair]) ** 2
    common, corner = judged.gap.skin_common_k[pair] ** 2, judged.gap.skin_corner_k[pair] ** 2
    left = max(whole - common - corner, 0.0)
    scale = left / max(sum(read.values()), 1e-12)
    parts = {source: part * scale for source, part in read.items()}
    parts["emissivity, one side unlike the other"] = float(corner)
    parts["emissivity, common to both sides"] = float(common)
    return parts
