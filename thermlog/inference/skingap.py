"""What surfaces leave open in left against right: the gap of the metal beside the gap of the readings."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.correcting.correct import Corrected, check_correction
from thermlog.correcting.gun import Gun, accuracy_sigma_k
from thermlog.correcting.skins import skin_spread_k
from thermlog.correcting.surfaces import Catalogue, Skin
from thermlog.fitting.pairs import Pairs, mean_of_series
from thermlog.inference.left_right import SideComparison
from thermlog.words.tables import Bools, Floats
from thermlog.words.vehicle import SPOTS


class SkinGap(Struct, frozen=True, kw_only=True):
    """Surfaces in the comparison of every pair.

    Attributes
    ----------
    known : bool array (pairs,)
        True where every side that was read was corrected with a stated emissivity: the curves are then of the
        metal.
    side_fraction : float array (2, pairs)
        Standard uncertainty that the surface brings into one side's rise, in parts of that rise: unequal
        skins where nobody stated them, the spread of the stated value where somebody did.
    surface_difference_k, surface_sigma_k : float array (pairs,)
        Left minus right of the metal and its standard uncertainty, readings and skins together [K].
    skin_common_k, skin_corner_k : float array (pairs,)
        Part of unknown skins in that: common to both sides, and one side unlike the other [K].
    shared_sigma_k : float array (pairs,)
        What the calibration of the one gun leaves in left minus right of the curves [K]: nearly nothing where
        both sides read alike, for it is shared.
    level_sigma_k : float array (2, pairs)
        What the gun's calibration, and the spread of a stated emissivity, add to the uncertainty of one
        side's temperature [K]; most of it cancels in a difference.
    surface_shared_sigma_k : float array (pairs,)
        The same in left minus right of the metal [K].
    metal_per_curve : float array (2, pairs)
        Kelvin of metal for one kelvin of the fitted curve, at the middle of what is believed of the skin; 1
        where the curves are of the metal.
    mirrored_sigma_k : float array (pairs,)
        What surroundings of another temperature than the air's leave in left minus right of stated skins [K].
    """

    known: Bools
    side_fraction: Floats
    surface_difference_k: Floats
    surface_sigma_k: Floats
    skin_common_k: Floats
    skin_corner_k: Floats
    shared_sigma_k: Floats
    level_sigma_k: Floats
    surface_shared_sigma_k: Floats
    metal_per_curve: Floats
    mirrored_sigma_k: Floats


def skin_gap(
    pairs: Pairs, comparison: SideComparison, ambient_degc: Floats, gun: Gun, catalogue: Catalogue
) -> SkinGap:
    """Gap of the metal where no emissivity is stated.

    Parameters
    ----------
    pairs : Pairs
    comparison : SideComparison
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
    gain = np.stack([spread.left_per_indicated, spread.right_per_indicated])
    shown_degc = comparison.state.temperature_degc
    shared = calibration_sigma_k(gun, catalogue, shown_degc, np.ones_like(gain))
    surface_shared = calibration_sigma_k(gun, catalogue, shown_degc, gain)
    read = np.hypot(_read_sigma(comparison, gain), surface_shared)
    return SkinGap(
        known=np.zeros(pairs.count, dtype=bool),
        side_fraction=np.stack([fraction, fraction]),
        surface_difference_k=np.where(comparison.both, spread.surface_difference_k, np.nan),
        surface_sigma_k=np.hypot(read, spread.surface_sigma_k),
        skin_common_k=spread.surface_common_k,
        skin_corner_k=spread.surface_corner_k,
        shared_sigma_k=np.nan_to_num(shared, nan=0.0),
        level_sigma_k=np.hypot(*_gun_errors_k(gun, catalogue, shown_degc, np.ones_like(gain))),
        surface_shared_sigma_k=np.nan_to_num(surface_shared, nan=0.0),
        metal_per_curve=gain,
        mirrored_sigma_k=np.zeros(pairs.count),
    )


def calibration_sigma_k(gun: Gun, catalogue: Catalogue, shown_degc: Floats, gain: Floats) -> Floats:
    """What the calibration of one gun leaves in left minus right.

    Parameters
    ----------
    gun : Gun
        Its stated accuracy counts, or its field check in place of that.
    catalogue : Catalogue
        Gives the emissivity of water for the check.
    shown_degc : float array (2, pairs)
        What the gun shows left and right [°C].
    gain : float array (2, pairs)
        Kelvin of the compared temperature for one kelvin shown.

    Returns
    -------
    float array (pairs,)
        Standard uncertainty [K]: the error of both sides is one and the same, so that only what it does
        unlike on the two sides counts.
    """
    low_end, high_end = _gun_errors_k(gun, catalogue, shown_degc, gain)
    sigma: Floats = np.hypot(low_end[0] - low_end[1], high_end[0] - high_end[1])
    return sigma


def _gun_errors_k(gun: Gun, catalogue: Catalogue, shown_degc: Floats, gain: Floats) -> tuple[Floats, Floats]:
    """Two independent errors of the one gun, as they show on each side [K]: (2, pairs) each.

    Without a check its stated accuracy is one error; with a check what is left at ice and at boiling point.
    """
    if gun.check is None:
        return gain * accuracy_sigma_k(gun, shown_degc), np.zeros_like(gain)
    line = check_correction(gun, catalogue)
    low, high = line.points_degc
    part = (shown_degc - low) / (high - low)
    return gain * (1.0 - part) * line.sigmas_k[0], gain * part * line.sigmas_k[1]


def _row(skin: Skin) -> tuple[float, float, float]:
    parts = (skin.emissivity, skin.spread_common, skin.spread_corner)
    middle, common, corner = (float(np.asarray(part, dtype=np.float64)) for part in parts)
    return middle, common, corner


def _read_sigma(comparison: SideComparison, gain: Floats) -> Floats:
    """Uncertainty of the readings' gap, scaled from what is shown to the metal."""
    variance = comparison.state.temperature_variance
    total = (gain**2 * variance).sum(0) - 2.0 * gain[0] * gain[1] * comparison.state.temperature_covariance
    sigma: Floats = np.sqrt(np.maximum(total, 0.0))
    return sigma


class Correcting(Struct, frozen=True, kw_only=True):
    """What the readings were corrected with, rows as the pairs'; ambient as used in the fit [°C], [K]."""

    corrected: Corrected
    ambient_degc: Floats
    ambient_sigma_k: Floats
    gun: Gun
    catalogue: Catalogue


def with_stated(gap: SkinGap, pairs: Pairs, comparison: SideComparison, correcting: Correcting) -> SkinGap:
    """The gap again where emissivities were stated: curves of the metal, and the spread of what was stated.

    Parameters
    ----------
    gap : SkinGap
    pairs : Pairs
    comparison : SideComparison
        Of the corrected readings.
    correcting : Correcting

    Returns
    -------
    SkinGap
    """
    corrected = correcting.corrected
    stated = mean_of_series(pairs, np.isfinite(corrected.emissivity).astype(np.float64))
    both = ((stated == 1.0) | np.isnan(stated)).all(0)  # a side that nobody read leaves nothing unstated
    rise_k = mean_of_series(pairs, corrected.surface_degc) - correcting.ambient_degc[pairs.case]
    fraction = np.nan_to_num(mean_of_series(pairs, corrected.emissivity_sigma_k) / np.maximum(rise_k, 1.0))
    own = fraction * np.maximum(comparison.state.rise_k, 0.0)
    shown_degc = mean_of_series(pairs, corrected.gun_degc)
    gain = mean_of_series(pairs, corrected.surface_per_indicated)
    shared = calibration_sigma_k(correcting.gun, correcting.catalogue, shown_degc, gain)
    level = np.hypot(*_gun_errors_k(correcting.gun, correcting.catalogue, shown_degc, gain))
    left, right = mean_of_series(pairs, corrected.surface_per_reflected)
    mirrored = np.nan_to_num(np.abs(left - right) * correcting.ambient_sigma_k[pairs.case])
    sigma = np.sqrt(comparison.difference_sigma_k**2 + shared**2 + mirrored**2 + (own**2).sum(0))
    return replace(
        gap,
        known=both,
        side_fraction=np.where(both, fraction, gap.side_fraction),
        surface_difference_k=np.where(both, comparison.difference_k, gap.surface_difference_k),
        surface_sigma_k=np.where(both, sigma, gap.surface_sigma_k),
        shared_sigma_k=np.where(both, shared, gap.shared_sigma_k),
        level_sigma_k=np.where(both, np.hypot(level, own), gap.level_sigma_k),
        surface_shared_sigma_k=np.where(both, shared, gap.surface_shared_sigma_k),
        metal_per_curve=np.where(both, 1.0, gap.metal_per_curve),
        mirrored_sigma_k=np.where(both, mirrored, 0.0),
    )


def beside_unstated(
    gap: SkinGap, pairs: Pairs, comparison: SideComparison, correcting: Correcting
) -> SideComparison:
    """Rises for the comparison of axles where a vehicle has stated and unstated ones.

    Metal beside bare readings would make every axle with a stated emissivity look hot. The sides of such an
    axle keep their corrected ratio, its level is the one shown.

    Parameters
    ----------
    gap : SkinGap
        From `with_stated`.
    pairs : Pairs
    comparison : SideComparison
    correcting : Correcting

    Returns
    -------
    SideComparison
        Unchanged for vehicles whose axles are all stated, or none.
    """
    cases = pairs.first.size - 1
    stated, bare = (
        np.bincount(pairs.case[comparison.chosen & those], minlength=cases) > 0
        for those in (gap.known, ~gap.known)
    )
    scaled = gap.known & (stated & bare)[pairs.case]
    if not scaled.any():
        return comparison
    air, corrected = correcting.ambient_degc[pairs.case], correcting.corrected
    shown_k, metal_k = (
        np.maximum(np.nanmean(mean_of_series(pairs, column), axis=0) - air, 1.0)
        for column in (corrected.gun_degc, corrected.surface_degc)
    )
    level = np.where(scaled, shown_k / metal_k, 1.0)
    state = comparison.state
    return replace(
        comparison,
        state=replace(state, rise_k=state.rise_k * level, own_variance=state.own_variance * level**2),
    )
