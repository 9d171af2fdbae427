"""What surfaces leave open in left against right: the gap of the metal beside the gap of the readings."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermlog.compare import Comparison
from thermlog.correct import Corrected
from thermlog.gun import Gun, accuracy_sigma_k
from thermlog.pairs import Pairs, mean_of_series
from thermlog.skins import SkinSpread, skin_spread_k
from thermlog.surfaces import Catalogue, Skin
from thermlog.tables import Bools, Floats
from thermlog.vehicle import SPOTS


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinGap:
    """Surfaces in the comparison of every pair.

    Attributes
    ----------
    known : bool array (pairs,)
        True where both sides were corrected with a stated emissivity: readings and metal are then the same.
    side_fraction : float array (2, pairs)
        Standard uncertainty that the surface brings into one side's rise, in parts of that rise: unequal
        skins where nobody stated them, the spread of the stated value where somebody did.
    surface_difference_k, surface_sigma_k : float array (pairs,)
        Left minus right of the metal and its standard uncertainty, readings and skins together [K].
    skin_common_k, skin_corner_k : float array (pairs,)
        Part of unknown skins in that: common to both sides, and one side unlike the other [K].
    shared_sigma_k : float array (pairs,)
        What the calibration of the one gun leaves in left minus right [K]: nearly nothing, it is shared.
    """

    known: Bools
    side_fraction: Floats
    surface_difference_k: Floats
    surface_sigma_k: Floats
    skin_common_k: Floats
    skin_corner_k: Floats
    shared_sigma_k: Floats


def skin_gap(
    pairs: Pairs, comparison: Comparison, ambient_degc: Floats, gun: Gun, catalogue: Catalogue
) -> SkinGap:
    """Gap of the metal where no emissivity is stated.

    Parameters
    ----------
    pairs : Pairs
    comparison : Comparison
    ambient_degc : float array (cases,)
        As used in the fit [°C].
    gun : Gun
    catalogue : Catalogue
        What is believed of skins nobody named, spot by spot.

    Returns
    -------
    SkinGap
    """
    left, right = comparison.state.temperature_degc
    values = np.array([_row(catalogue.skins[spot]) for spot in SPOTS])[pairs.spot].T
    skin = Skin(emissivity=values[0], spread_common=values[1], spread_corner=values[2])
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = skin_spread_k(left, right, ambient_degc=ambient_degc[pairs.case], skin=skin, gun=gun)
    fraction = np.nan_to_num(spread.log_ratio_sigma, nan=0.0) / np.sqrt(2.0)
    shared = np.abs(accuracy_sigma_k(gun, left) - accuracy_sigma_k(gun, right))
    read = np.hypot(_read_sigma(comparison, spread), shared)
    return SkinGap(
        known=np.zeros(pairs.count, dtype=bool),
        side_fraction=np.stack([fraction, fraction]),
        surface_difference_k=np.where(comparison.both, spread.surface_difference_k, np.nan),
        surface_sigma_k=np.hypot(read, spread.surface_sigma_k),
        skin_common_k=spread.surface_common_k,
        skin_corner_k=spread.surface_corner_k,
        shared_sigma_k=np.nan_to_num(shared, nan=0.0),
    )


def _row(skin: Skin) -> tuple[float, float, float]:
    parts = (skin.emissivity, skin.spread_common, skin.spread_corner)
    middle, common, corner = (float(np.asarray(part, dtype=np.float64)) for part in parts)
    return middle, common, corner


def _read_sigma(comparison: Comparison, spread: SkinSpread) -> Floats:
    """Uncertainty of the readings' gap, scaled from what is shown to the metal."""
    variance = comparison.state.temperature_variance
    gain_left, gain_right = spread.left_per_indicated, spread.right_per_indicated
    total = gain_left**2 * variance[0] + gain_right**2 * variance[1]
    total = total - 2.0 * gain_left * gain_right * comparison.state.temperature_covariance
    sigma: Floats = np.sqrt(np.maximum(total, 0.0))
    return sigma


def with_stated(
    gap: SkinGap, pairs: Pairs, comparison: Comparison, corrected: Corrected, ambient_degc: Floats
) -> SkinGap:
    """The gap again where emissivities were stated: curves of the metal, and the spread of what was stated.

    Parameters
    ----------
    gap : SkinGap
    pairs : Pairs
    comparison : Comparison
        Of the corrected readings.
    corrected : Corrected
        Its rows are those of `pairs`.
    ambient_degc : float array (cases,)
        As used in the fit [°C].

    Returns
    -------
    SkinGap
    """
    known = mean_of_series(pairs, np.isfinite(corrected.emissivity).astype(np.float64)) == 1.0
    rise_k = mean_of_series(pairs, corrected.surface_degc) - ambient_degc[pairs.case]
    fraction = mean_of_series(pairs, corrected.emissivity_sigma_k) / np.maximum(rise_k, 1.0)
    both = known.all(0)
    own = fraction * np.maximum(comparison.state.rise_k, 0.0)
    return replace(
        gap,
        known=both,
        side_fraction=np.where(both, fraction, gap.side_fraction),
        surface_difference_k=np.where(both, comparison.difference_k, gap.surface_difference_k),
        surface_sigma_k=np.where(
            both,
            np.sqrt(comparison.difference_sigma_k**2 + gap.shared_sigma_k**2 + (own**2).sum(0)),
            gap.surface_sigma_k,
        ),
    )
